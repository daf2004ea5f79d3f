"""Marking consistency on simulated records: every habit on machines of every circuit of the course, marked."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from pathlib import Path
from statistics import fmean, pstdev

from faultwright.errors import Refused
from faultwright_autograde import demo
from faultwright_autograde.blueprint import Blueprint, Selection
from faultwright_autograde.blueprint_file import read_blueprint
from faultwright_autograde.case import Case
from faultwright_autograde.draws import Draws
from faultwright_autograde.handed_in import mark_handed_in
from faultwright_autograde.mark import Mark
from faultwright_autograde.paper import PaperMaker
from faultwright_autograde.simulated.habits import HABITS, MUST_NOT_PASS, MUST_PASS, expected, is_plain, play
from faultwright_course.catalogue import paper_names, paper_path
from tests.tiers import is_large

SECRET = b"consistency of marking, 32 bytes"


def blueprints() -> list[Path]:
    """Return the blueprints: of the course the papers for a class and each lesson's case alone; the demonstration's.

    A lesson's guided case is made of the same circuit as its case alone, and all faults of it are drawn from here. The
    large machine is not among them: a search on it takes a simulated student a minute, and there are thousands.
    """
    names = [name for name in paper_names() if not name.endswith("-guided")]
    paths = [*map(paper_path, names), Path(demo.__file__).parent / "demo_class" / "paper.yaml"]
    return [path for path in paths if not is_large(read_blueprint(path).circuit)]


@lru_cache(maxsize=16)
def maker_of(path: Path) -> PaperMaker:
    """Return the maker of cases of a blueprint, with every fault in the pool that its complaint shows.

    All machines of one blueprint have the same wires and battery: the class's dictionary is worked out once.
    """
    found = read_blueprint(path)
    wide = replace(
        found,
        practice=False,
        selection=Selection(left_out=found.selection.left_out),
        suspects=Blueprint.suspects,
        tests=Blueprint.tests,
        emf=(1.0, 1.0),
        length=(1.0, 1.0),
        safety_switches=found.safety_switches or tuple(part for part in _switches(found)),
    )
    return PaperMaker(wide, SECRET)


def _switches(blueprint: Blueprint) -> Iterator[str]:
    return (name for name, part in blueprint.circuit.parts.items() if part.kind == "switch")


@dataclass(frozen=True, slots=True)
class Played:
    """One record: on which circuit, with what in it, by which habit, and what marking gave."""

    paper: str
    circuit: str
    fault: str
    habit: str
    expected: str
    mark: float
    share: float
    passed: bool
    hurdles: tuple[str, ...]


def played(path: Path, numbers: Sequence[int], habits: Sequence[str] = tuple(HABITS)) -> list[Played]:
    """Let every habit work on the machines with these numbers of a blueprint, and mark them; the same every time."""
    maker = maker_of(path)
    found: list[Played] = []
    for number in numbers:
        try:
            case = maker.case(f"bench-{number}")
            other = _neighbour(maker, case, number)
        except Refused:
            continue
        plain = is_plain(case)
        neighbour = play(other, "methodical", Draws(SECRET, "neighbour", str(number)), {})
        for habit in habits:
            answer = play(case, habit, Draws(SECRET, habit, str(number)), neighbour)
            one = mark_handed_in(case, "answer", partial(json.dumps, answer))
            found.append(_row(case, habit, expected(habit, plain=plain), one))
    return found


def _neighbour(maker: PaperMaker, case: Case, number: int) -> Case:
    """Return a case for whoever is copied from: with another fault, as a copied right answer is a right one."""
    others = (maker.case(f"bench-{number + 1000 * step}") for step in range(1, 21))
    return next(other for other in others if other.fault.name != case.fault.name)


def _row(case: Case, habit: str, awaited: str, mark: Mark) -> Played:
    share = mark.mark / mark.maximum
    name = case.blueprint.paper
    return Played(name, case.circuit.name, case.fault.name, habit, awaited, mark.mark, share, mark.passed, mark.hurdles)


def wrong(rows: Sequence[Played]) -> list[Played]:
    """Return the records that marking took for what they are not: passed and unsound, or sound and not passed."""
    return [
        row
        for row in rows
        if (row.expected == MUST_PASS and not row.passed) or (row.expected == MUST_NOT_PASS and row.passed)
    ]


def at_most(failures: int, trials: int, confidence: float = 0.95) -> float:
    """Return the exact upper bound of a rate (Clopper and Pearson, Biometrika 26, 1934): one-sided, by bisection.

    It is the rate at which so few failures or fewer would come about with a probability of 1 − ``confidence`` only.
    """
    if failures >= trials:
        return 1.0
    low, high = failures / trials, 1.0
    for _ in range(60):
        rate = (low + high) / 2
        few = sum(math.comb(trials, k) * rate**k * (1 - rate) ** (trials - k) for k in range(failures + 1))
        low, high = (rate, high) if few > 1 - confidence else (low, rate)
    return high


def by_habit(rows: Sequence[Played]) -> list[tuple[str, int, float, float, float]]:
    """Return for each habit: records, mean mark in per cent, spread, share that passed."""
    found = []
    for habit in HABITS:
        own = [row for row in rows if row.habit == habit]
        if own:
            shares = [100 * row.share for row in own]
            found.append((habit, len(own), fmean(shares), pstdev(shares), fmean(row.passed for row in own)))
    return found
