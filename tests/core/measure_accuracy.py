"""The accuracy of voltages and currents over many random circuits: ``python -m tests.core.measure_accuracy``.

Writes the table in ``course/guides/accuracy.md``.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from faultwright.files import write_whole

from . import ngspice
from .accuracy import (
    CURRENT_ABSOLUTE,
    CURRENT_RELATIVE,
    NGSPICE_ABSOLUTE,
    NGSPICE_RELATIVE,
    NGSPICE_ROUNDING,
    VOLTS,
    Found,
    check,
    currents_by_fractions,
    machine_after,
    random_days,
    voltages_by_fractions,
    voltages_by_ngspice,
)
from .conducting import exact_solution
from .strategies import days

REPORT = Path(__file__).resolve().parents[2] / "course" / "guides" / "accuracy.md"
CIRCUITS, CHUNK = 10_000, 500
MOST_MOVES = 8
LEAST = {"V": 1e-3, "A": 1e-9}
"""V and A from which a relative error is told: of next to nothing it says nothing."""

NOTES = """\
Relative errors are told from 1 mV and 1 nA up. What is allowed is the larger of the two; the worst share of it, and
how many are beyond it. Those beyond ngspice's are ngspice's own: the exact fractions agree with this package in the
same circuits. It leaves some 1e-13 A over at a node, of which the kilohms of a part that hangs on FRAME without a way
back make nanovolts.

The exact fractions are another calculation: branch equations from parts, wires, faults and moves, solved for the
currents round the loops; then every branch and node is checked to be left without a remainder
(`tests/core/conducting.py`, `tests/core/loop_equations.py`). Currents are those of `Settled.currents()`.

What this does not say: a diode here drops the same volts at every current. With exponential junctions in ngspice the
course's circuits, the yard loader and random circuits keep every node within 50 mV as long as the junctions that
conduct stray 50 mV together: a single one from a seventh of the current at which its `forward_drop` is right to seven
times as much. A decade off it strays 60 mV, three decades 0.18 V (`tests/core/test_real_diodes.py`).
"""


@dataclass(slots=True)
class Tally:
    """How many numbers of one quantity were compared, in ``unit``, and the worst of them."""

    what: str
    unit: str
    allowed: str
    compared: int = 0
    error: float = 0.0
    relative: float = 0.0
    share: float = 0.0
    beyond: int = 0

    def add(self, found: Sequence[Found]) -> None:
        """Take in the numbers of one circuit."""
        self.compared += len(found)
        for one in found:
            self.error = max(self.error, one.error)
            self.share = max(self.share, one.error / one.allowed)
            self.beyond += one.error > one.allowed
            if abs(one.true) >= LEAST[self.unit]:
                self.relative = max(self.relative, one.error / abs(one.true))


@dataclass(slots=True)
class Measured:
    """What was found over many circuits: sums over them, and the tallies."""

    circuits: int = 0
    parts: int = 0
    nodes: int = 0
    most_nodes: int = 0
    faults: int = 0
    moves: int = 0
    by_ngspice: Tally = field(
        default_factory=lambda: Tally(
            "node voltages, ngspice", "V", f"{NGSPICE_RELATIVE:g} of it or {NGSPICE_ABSOLUTE:g} V"
        )
    )
    voltages: Tally = field(default_factory=lambda: Tally("node voltages, exact fractions", "V", f"{VOLTS:g} V"))
    currents: Tally = field(
        default_factory=lambda: Tally(
            "branch currents, exact fractions", "A", f"{CURRENT_RELATIVE:g} of it or {CURRENT_ABSOLUTE:g} A"
        )
    )


def measured(circuits: int, chunk: int = CHUNK) -> Measured:
    """Compare so many random circuits, the same in every run, and say on the way how far it is.

    Raises AssertionError at the first circuit in which a number is further off than allowed.
    """
    result, known, start = Measured(), set[str](), time.perf_counter()
    for number, done in enumerate(range(0, circuits, chunk)):
        _take_in(result, min(chunk, circuits - done), number, known)
        seconds = time.perf_counter() - start
        print(f"{result.circuits:,} of {circuits:,} circuits, {seconds:.0f} s", file=sys.stderr, flush=True)  # noqa: T201
    return result


def _take_in(result: Measured, count: int, number: int, known: set[str]) -> None:
    """Draw one chunk of circuits and add what is found in them."""
    wanted = days(most_parts=14, least_faults=1, most_faults=2, most_moves=MOST_MOVES)
    drawn = random_days(wanted, count, number, known)
    machines = [machine_after(day) for day in drawn]
    with tempfile.TemporaryDirectory() as folder:
        by_ngspice = list(voltages_by_ngspice(machines, Path(folder)))
    for day, machine, outside in zip(drawn, machines, by_ngspice, strict=True):
        solution = exact_solution(machine)
        for tally, found in (
            (result.voltages, voltages_by_fractions(machine, solution)),
            (result.currents, currents_by_fractions(machine, solution)),
        ):
            check(found, day)
            tally.add(found)
        # Every terminal's voltage has just been found exact: what is left of a difference is ngspice's.
        check([replace(one, allowed=max(one.allowed, NGSPICE_ROUNDING)) for one in outside], day)
        result.by_ngspice.add(outside)
        result.circuits += 1
        result.parts += len(day.circuit.parts)
        result.nodes += len(machine.settled.network.names)
        result.most_nodes = max(result.most_nodes, len(machine.settled.network.names))
        result.faults += len(machine.present())
        result.moves += len(day.moves)


def report(result: Measured) -> str:
    """Return the page with the table."""
    count = result.circuits
    lines = [
        "# Accuracy",
        "",
        "Voltages and currents as they settle, beside an outside program's and beside exact ones; written by",
        f"`python -m tests.core.measure_accuracy` ({ngspice.version()}).",
        "",
        f"{count:,} random circuits of every kind of part, all different, with one fault or two and up to {MOST_MOVES}",
        f"moves. On average they have {result.parts / count:.1f} parts, {result.nodes / count:.0f} nodes,",
        f"{result.faults / count:.1f} faults present and {result.moves / count:.1f} moves; the largest has",
        f"{result.most_nodes} nodes.",
        "",
        "| what, against what | compared | worst error | worst relative error | allowed | worst share | beyond |",
        "| --- | --- | --- | --- | --- | --- | --- |",
        *(_row(tally) for tally in (result.by_ngspice, result.voltages, result.currents)),
        "",
        NOTES,
    ]
    return "\n".join(lines)


def _row(tally: Tally) -> str:
    return (
        f"| {tally.what} | {tally.compared:,} | {tally.error:.1e} {tally.unit} | {tally.relative:.1e} "
        f"| {tally.allowed} | {tally.share:.2g} | {tally.beyond} |"
    )


if __name__ == "__main__":
    text = report(measured(CIRCUITS))
    write_whole(REPORT, text)
    print(text)  # noqa: T201 - what the command is for
