"""Testability: what looking, volts, ohms and parts in the hand each buy, and where another test point would help.

The words are those of MIL-HDBK-2165 and IEEE 1522 (from memory). A fault is *detected* where some test tells it from
the sound machine. Faults that no test tells apart are an *ambiguity group*: they fall into the same part in every test
of the table. *Fault detection* is the share of all faults that are detected; *fault isolation* the share of the
detected ones whose group holds one fault, two or three at most. A test never merges groups, but one that detects more
faults without telling them apart lowers fault isolation: read both figures together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import fsum
from typing import Any

from .analysis_texts import text
from .candidates import MOST_STATES, Candidate, every_test, reachable
from .circuit import FRAME, Circuit
from .families import Hypothesis
from .meter import OHMS, VOLTS
from .outcomes import OutcomeTable, outcome_table

LOOK, HAND = "look", "hand"
LEVELS = (LOOK, VOLTS, OHMS, HAND)
"""Kinds of test, in the order in which they are taken up; each level has the tests of those before it too."""

GROUP_SIZES = (1, 2, 3)
"""Sizes of group for which fault isolation is given."""

MOST_POINTS = 5
"""Test points that are proposed."""

Groups = tuple[tuple[str, ...], ...]
"""Names of faults in groups, both in the order of the table."""


@dataclass(frozen=True, slots=True)
class Fractions:
    """Fault detection; fault isolation for each of :data:`GROUP_SIZES`; the mean size of group of a detected fault.

    The mean is over the detected faults, so a group of three counts three times. None: there is nothing to divide by.
    """

    detection: float | None
    isolation: tuple[float | None, ...]
    group_size: float | None

    def as_json(self) -> dict[str, Any]:
        """The fractions as the command line's JSON gives them, rounded."""
        return {
            "detection": _rounded(self.detection),
            "isolation": {str(size): _rounded(share) for size, share in zip(GROUP_SIZES, self.isolation, strict=True)},
            "group_size": _rounded(self.group_size),
        }


@dataclass(frozen=True, slots=True)
class Level:
    """What the tests up to one kind tell. ``groups`` hold the detected faults, ``undetected`` the others.

    ``plain`` counts every fault once, ``weighted`` by how often it is met in the trade.
    """

    name: str
    tests: int
    groups: Groups
    undetected: tuple[str, ...]
    plain: Fractions
    weighted: Fractions

    def as_json(self) -> dict[str, Any]:
        """The level as the command line's JSON gives it."""
        return {
            "up_to": self.name,
            "tests": self.tests,
            "plain": self.plain.as_json(),
            "weighted": self.weighted.as_json(),
            "undetected": list(self.undetected),
            "groups": [list(group) for group in self.groups],
        }

    @property
    def title(self) -> str:
        """What the level measures, in words."""
        return text(f"testability.level.{self.name}")

    @property
    def cells(self) -> tuple[str, ...]:
        """Fault detection, fault isolation to each size of group, mean size; each with the weighted one in brackets."""
        pairs = zip(
            (self.plain.detection, *self.plain.isolation),
            (self.weighted.detection, *self.weighted.isolation),
            strict=True,
        )
        shares = [f"{_percent(plain)} ({_percent(weighted)})" for plain, weighted in pairs]
        return (*shares, f"{_mean(self.plain)} ({_mean(self.weighted)})")

    def words(self) -> str:
        """Return the level's figures in one line, the weighted ones in brackets."""
        detection, one, two, three, size = self.cells
        return text(
            "testability.level",
            level=self.title,
            tests=self.tests,
            detection=detection,
            one=one,
            two=two,
            three=three,
            size=size,
        )

    def groups_in_words(self) -> list[str]:
        """Return in words who is not detected, and each group of several faults."""
        return [
            text("testability.undetected", names=", ".join(self.undetected) or text("testability.none")),
            *(text("testability.group", names=", ".join(group)) for group in self.groups if len(group) > 1),
        ]


@dataclass(frozen=True, slots=True)
class ExtraPoint:
    """A point that cannot be probed now, and what the machine's testability would be if it could.

    ``splits`` holds, for each group that it would split, the parts; undetected faults stand with the sound machine.
    """

    terminal: str
    splits: tuple[Groups, ...]
    after: Level

    def as_json(self) -> dict[str, Any]:
        """The point as the command line's JSON gives it."""
        return {
            "terminal": self.terminal,
            "splits": [[list(part) for part in parts] for parts in self.splits],
            "plain": self.after.plain.as_json(),
            "weighted": self.after.weighted.as_json(),
        }

    def words(self, before: Level) -> str:
        """Return in words what the point would tell apart, and what it would make of the isolation before."""
        told = (text("testability.from").join(", ".join(part) for part in parts) for parts in self.splits)
        return text(
            "testability.point",
            terminal=self.terminal,
            told="; ".join(told),
            detected=_percent(before.plain.detection),
            then_detected=_percent(self.after.plain.detection),
            isolated=_percent(before.plain.isolation[0]),
            then_isolated=_percent(self.after.plain.isolation[0]),
        )


@dataclass(frozen=True, slots=True)
class Figures:
    """The figures of each level, and the test points that would help most, best first."""

    levels: tuple[Level, ...]
    points: tuple[ExtraPoint, ...]

    def as_json(self) -> dict[str, Any]:
        """The figures as the command line's JSON gives them."""
        return {
            "levels": [level.as_json() for level in self.levels],
            "test_points": [point.as_json() for point in self.points],
        }

    def words(self) -> list[str]:
        """Return the figures in words, line by line; groups and what is not detected with every test made."""
        return [*self.levels_in_words(), *self.levels[-1].groups_in_words(), *self.points_in_words()]

    def levels_in_words(self) -> list[str]:
        """Return how many faults are judged, the figures of each level, and what is often asked for."""
        last = self.levels[-1]
        faults = len(last.undetected) + sum(len(group) for group in last.groups)
        heading = text("testability.heading", faults=faults)
        return [heading, *(level.words() for level in self.levels), text("testability.targets")]

    def points_in_words(self) -> list[str]:
        """Return in words what each of the test points would tell apart."""
        return [point.words(self.levels[-1]) for point in self.points]


def figures(
    circuit: Circuit,
    table: OutcomeTable,
    tell: Callable[[int, int], None] = lambda _done, _of: None,
    most: int = MOST_STATES,
) -> Figures:
    """Return the testability of a circuit with a table of its tests from rest; the sound machine is a hypothesis of it.

    The table's tests are those of :func:`~faultwright.candidates.every_test` in ``most`` control states. Another reach
    is asked for with another circuit: ``replace(circuit, reach=…)``. ``tell`` is told how far the test points have been
    tried.
    """
    return Figures(levels(table), extra_points(circuit, table, tell, most))


def levels(table: OutcomeTable) -> tuple[Level, ...]:
    """Return what each level of tests tells."""
    found: list[Level] = []
    kinds = [_kind(test) for test in table.tests]
    for number, name in enumerate(LEVELS, start=1):
        used = [parts for parts, kind in zip(table.parts, kinds, strict=True) if kind in LEVELS[:number]]
        found.append(_level(table, name, len(used), _grouped(table, used)))
    return tuple(found)


def extra_points(
    circuit: Circuit,
    table: OutcomeTable,
    tell: Callable[[int, int], None] = lambda _done, _of: None,
    most: int = MOST_STATES,
) -> tuple[ExtraPoint, ...]:
    """Return the points that would split a group if they were in reach, those that isolate most first."""
    now = (FRAME, *reachable(circuit))
    tests = {terminal: list(_tests_at(circuit, terminal, most)) for terminal in circuit.wired if terminal not in now}
    every = [test for listed in tests.values() for test in listed]
    if not every:
        return ()
    added = iter(outcome_table(circuit, table.hypotheses, every, tell=tell).parts)
    before = _grouped(table, table.parts)
    found: list[ExtraPoint] = []
    for terminal, listed in tests.items():
        after = _grouped(table, [before, *(next(added) for _ in listed)])
        splits = tuple(_splits(table.hypotheses, before, after))
        if splits:
            found.append(ExtraPoint(terminal, splits, _level(table, HAND, len(table.tests) + len(listed), after)))
    return tuple(sorted(found, key=_worth, reverse=True)[:MOST_POINTS])


def _kind(test: Candidate) -> str:
    if test.probe is None:
        return LOOK
    return HAND if test.probe.alone else test.probe.mode


def _tests_at(circuit: Circuit, terminal: str, most: int) -> Iterator[Candidate]:
    """Yield the tests that a terminal takes part in once it is in reach."""
    for test in every_test(replace(circuit, reach={**circuit.reach, terminal: ""}), most=most):
        if test.probe is not None and not test.probe.alone and terminal in (test.probe.red, test.probe.black):
            yield test


def _grouped(table: OutcomeTable, parts: Sequence[Sequence[int]]) -> list[int]:
    """Return the number of each hypothesis' group, where these parts of tests (or groups) are all that is known."""
    numbers: dict[tuple[int, ...], int] = {}
    everywhere = zip([0] * len(table.hypotheses), *parts, strict=True)
    return [numbers.setdefault(falls_into, len(numbers)) for falls_into in everywhere]


def _level(table: OutcomeTable, name: str, tests: int, groups: Sequence[int]) -> Level:
    sound = groups[table.hypotheses.index(())]
    faults = [place for place, hypothesis in enumerate(table.hypotheses) if hypothesis]
    sizes = [0 if groups[place] == sound else groups.count(groups[place]) for place in faults]
    members: dict[int, list[str]] = {}
    for place in faults:
        members.setdefault(groups[place], []).append(_name(table.hypotheses[place]))
    undetected = tuple(members.pop(sound, ()))
    return Level(
        name,
        tests,
        tuple(map(tuple, members.values())),
        undetected,
        _fractions([1.0] * len(faults), sizes),
        _fractions([table.shares[place] for place in faults], sizes),
    )


def _fractions(weights: Sequence[float], sizes: Sequence[int]) -> Fractions:
    """Return the fractions of faults with these weights in groups of these sizes; a fault of size 0 is not detected."""
    weighed = list(zip(weights, sizes, strict=True))
    detected = fsum(weight for weight, size in weighed if size)
    isolated = [fsum(weight for weight, size in weighed if 0 < size <= most) for most in GROUP_SIZES]
    return Fractions(
        _share(detected, fsum(weights)),
        tuple(_share(one, detected) for one in isolated),
        _share(fsum(weight * size for weight, size in weighed), detected),
    )


def _share(some: float, of: float) -> float | None:
    return some / of if of else None


def _splits(hypotheses: Sequence[Hypothesis], before: Sequence[int], after: Sequence[int]) -> Iterator[Groups]:
    """Yield the parts of each group that is in more than one part afterwards."""
    parts: dict[int, dict[int, list[str]]] = {}
    for hypothesis, old, new in zip(hypotheses, before, after, strict=True):
        parts.setdefault(old, {}).setdefault(new, []).append(_name(hypothesis))
    yield from (tuple(map(tuple, group.values())) for group in parts.values() if len(group) > 1)


def _name(hypothesis: Hypothesis) -> str:
    return text("testability.and").join(fault.name for fault in hypothesis) or text("testability.sound")


def _worth(point: ExtraPoint) -> tuple[float, ...]:
    """Of all faults, by how often they are met, the shares isolated to each size of group; then the least mean size."""
    found = point.after.weighted
    isolated = ((found.detection or 0.0) * (share or 0.0) for share in found.isolation)
    return (*isolated, -(found.group_size or 0.0))


def _rounded(number: float | None) -> float | None:
    return None if number is None else round(number, 4)


def _percent(share: float | None) -> str:
    return text("testability.nothing") if share is None else f"{100 * share:.1f} %"


def _mean(fractions: Fractions) -> str:
    return text("testability.nothing") if fractions.group_size is None else f"{fractions.group_size:.2f}"
