"""Marking consistency on some two thousand simulated records: ``python -m tests.autograde.measure_consistency``.

Writes the tables in ``course/guides/consistency.md``.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import fmean, pstdev

from faultwright.files import write_whole
from faultwright_autograde.side_by_side import processors, side_by_side
from faultwright_autograde.simulated.habits import HABITS, MUST_NOT_PASS, MUST_PASS

from .consistency import Played, at_most, blueprints, by_habit, played, wrong

REPORT = Path(__file__).resolve().parents[2] / "course" / "guides" / "consistency.md"
MACHINES, CHUNK = 8, 2

NOTES = """\
# Consistency of marking, on simulated records

*Simulated: these are programs that work by rules, and no evidence about people.* Each habit works at a bench like
anybody's, hands in a record, and is marked as a class is. A habit is known beforehand to be sound (it finds out, names
what the evidence leaves, repairs and proves; a slip in a calculation or in citing costs its marks and no more) or
unsound (it guesses, copies, forges, claims everything, changes parts, defeats a guard, or proves nothing). Those that
may only be too wide in the end are open, and so is whoever names a fault without a reading on a machine where the
looks that the complaint asks for leave no other. The machines are drawn from every fault that the complaint of each
blueprint shows; those of one blueprint have the same battery and wires. All circuits of the course that have a lesson
are among them but the machine of forty-five parts.

    python -m tests.autograde.measure_consistency

"""


def main() -> None:
    """Measure and write the report."""
    started = time.monotonic()
    rows = _measured()
    write_whole(REPORT, NOTES + _report(rows))
    sys.stderr.write(f"\n{len(rows)} records in {time.monotonic() - started:.0f} s, {len(wrong(rows))} marked wrong\n")


def _measured() -> list[Played]:
    """Return all records, in an order that does not depend on which process was the faster."""
    work = [(path, range(first, first + CHUNK)) for path in blueprints() for first in range(0, MACHINES, CHUNK)]
    found: dict[tuple[Path, range], list[Played]] = {}
    for some, rows in side_by_side(_played, work, processors()):
        found[some] = rows
        sys.stderr.write(f"\r{len(found)} of {len(work)}")
    return [row for some in work for row in found[some]]


def _played(some: tuple[Path, range]) -> list[Played]:
    return played(*some)


def _report(rows: Sequence[Played]) -> str:
    lines = []
    sound = [row for row in rows if row.expected == MUST_PASS]
    unsound = [row for row in rows if row.expected == MUST_NOT_PASS]
    failed, passed = sum(not row.passed for row in sound), sum(row.passed for row in unsound)
    circuits, faults = {row.circuit for row in rows}, {(row.paper, row.fault) for row in rows}
    lines += [
        f"{len(rows)} records of {len(HABITS)} habits on {len(circuits)} circuits, {len(faults)} different faults.",
        "",
        "| | records | marked wrong | at most (95 %, exact) |",
        "| --- | ---: | ---: | ---: |",
        f"| sound, and not passed | {len(sound)} | {failed} | {100 * at_most(failed, len(sound)):.2f} % |",
        f"| unsound, and passed | {len(unsound)} | {passed} | {100 * at_most(passed, len(unsound)):.2f} % |",
        "",
        "The bound is Clopper and Pearson's (Biometrika 26, 1934), as if the records were independent; those on the",
        "same machine are not quite.",
        "",
    ]
    lines += [f"- {row.paper}, {row.fault}, {row.habit}: {row.mark:g}. {' '.join(row.hurdles)}" for row in wrong(rows)]
    lines += [
        "",
        "| habit | a fair examiner | records | mean mark | spread | passed |",
        "| --- | --- | ---: | ---: | ---: | ---: |",
        *(
            f"| {habit} | {HABITS[habit]} | {count} | {mean:.1f} % | {spread:.1f} | {share:.0%} |"
            for habit, count, mean, spread, share in by_habit(rows)
        ),
        "",
        "## Papers of equal difficulty?",
        "",
        "Machines that differ in fault and value are not alike for that. The marks of the same habit on the machines",
        "of one blueprint, its pool opened to all faults that its complaint shows (a class's bounds are narrower):",
        "",
        "| blueprint | machines | methodical | lowest, highest | from-one-end | lowest, highest |",
        "| --- | ---: | ---: | ---: | ---: | ---: |",
        *_by_paper(rows),
        "",
    ]
    return "\n".join(lines)


def _by_paper(rows: Sequence[Played]) -> list[str]:
    found = []
    for paper in dict.fromkeys(row.paper for row in rows):
        cells, machines = [], 0
        for habit in ("methodical", "from-one-end"):
            shares = [100 * row.share for row in rows if (row.paper, row.habit) == (paper, habit)]
            machines = len(shares)
            cells += [f"{fmean(shares):.1f} ± {pstdev(shares):.1f} %", f"{min(shares):.1f}, {max(shares):.1f}"]
        found.append(f"| {paper} | {machines} | {' | '.join(cells)} |")
    return found


if __name__ == "__main__":
    main()
