"""Suspects: every fault whose replay agrees with all findings of a record at once.

A fault with a free value is a suspect only if one single value explains everything; its range is given.
A sound machine is a hypothesis too.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from .circuit import Circuit
from .faults import Fault, universe
from .record import Finding, Prediction, Record, discrepancy, replay

LEAST, MOST = 1e-3, 1e7
"""Ω between which the value of a fault is sought: a sound joint and an open one, for every meter here."""

_PER_DECADE = 2
_DEEPEST = 14
"""Halvings of a step of the grid: to 0.02 % of the value."""


@dataclass(frozen=True)
class Suspects:
    """What a record leaves possible.

    ``faults`` by name, values set to one that explains everything; ``ranges`` in Ω; ``cleared`` maps each
    other fault to the number (in the record's actions) of the first finding that it cannot explain;
    ``conflict`` holds the numbers of findings that no single fault and no sound machine explains together.
    """

    faults: Mapping[str, Fault]
    healthy: bool
    ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    cleared: Mapping[str, int] = field(default_factory=dict)
    conflict: tuple[int, ...] = ()

    @property
    def names(self) -> list[str]:
        """The suspects by name, in the order of the universe."""
        return list(self.faults)


def find_suspects(circuit: Circuit, record: Record, faults: Iterable[Fault] | None = None) -> Suspects:
    """Return the suspects among ``faults`` (by default the universe of the circuit) that a record leaves."""
    findings = list(record.findings())
    numbers = [number for number, _ in findings]
    kept: dict[str, Fault] = {}
    ranges: dict[str, tuple[float, float]] = {}
    cleared: dict[str, int] = {}
    against: list[frozenset[int]] = []
    for fault in faults if faults is not None else universe(circuit).values():
        trial = _Trial(circuit, record, [finding for _, finding in findings], fault)
        found = trial.values()
        if found is None:
            first = trial.contradicted()
            cleared[fault.name] = numbers[min(first)]
            against.append(frozenset(numbers[index] for index in first))
            continue
        if fault.value is None:
            kept[fault.name] = fault
        else:
            kept[fault.name] = replace(fault, value=math.sqrt(found[0] * found[1]))
            ranges[fault.name] = found
    sound = _Trial(circuit, record, [finding for _, finding in findings], None)
    healthy = sound.values() is not None
    conflict: tuple[int, ...] = ()
    if not kept and not healthy:
        against.append(frozenset(numbers[index] for index in sound.contradicted()))
        conflict = _conflict(against)
    return Suspects(kept, healthy, ranges, cleared, conflict)


class _Trial:
    """One hypothesis tried on a record: what each finding says of it, at any value."""

    def __init__(self, circuit: Circuit, record: Record, findings: Sequence[Finding], fault: Fault | None) -> None:
        self.circuit, self.record, self.findings, self.fault = circuit, record, findings, fault
        self.tried: dict[float, tuple[int | None, ...]] = {}

    def _compare(self, faults: tuple[Fault, ...]) -> tuple[int | None, ...]:
        predictions: list[Prediction] = replay(self.circuit, faults, self.record)[0]
        return tuple(
            discrepancy(finding, prediction) for finding, prediction in zip(self.findings, predictions, strict=True)
        )

    def at(self, value: float) -> tuple[int | None, ...]:
        """Return the discrepancy of every finding with the fault at ``value`` Ω."""
        if value not in self.tried:
            faults = () if self.fault is None else (replace(self.fault, value=value),)
            self.tried[value] = self._compare(faults)
        return self.tried[value]

    def values(self) -> tuple[float, float] | None:
        """Return the range of values at which every finding agrees, or None; (0, 0) where there is no value."""
        if self.fault is None or self.fault.value is None:
            faults = () if self.fault is None else (self.fault,)
            self.tried[0.0] = self._compare(faults)
            return (0.0, 0.0) if _agrees(self.tried[0.0]) else None
        steps = round(math.log10(MOST / LEAST)) * _PER_DECADE
        grid = [LEAST * 10 ** (step / _PER_DECADE) for step in range(steps + 1)]
        for value in grid:
            self.at(value)
        inside = next((value for value in (*grid, self.fault.value) if _agrees(self.at(value))), None)
        if inside is None:
            for low, high in pairwise(grid):
                inside = self._search(low, high, _DEEPEST)
                if inside is not None:
                    break
        if inside is None:
            return None
        return self._edge(inside, LEAST), self._edge(inside, MOST)

    def _search(self, low: float, high: float, depth: int) -> float | None:
        """Look for a value that explains everything between two that do not.

        A reading moves one way as the value grows, so a stretch is given up when some finding lies on
        the same side at both of its ends.
        """
        if depth == 0 or any(one == other != 0 for one, other in zip(self.at(low), self.at(high), strict=True)):
            return None
        middle = math.sqrt(low * high)
        if _agrees(self.at(middle)):
            return middle
        lower = self._search(low, middle, depth - 1)
        return lower if lower is not None else self._search(middle, high, depth - 1)

    def _edge(self, inside: float, limit: float) -> float:
        """Return the last value towards ``limit`` that still explains everything."""
        if _agrees(self.at(limit)):
            return limit
        good, bad = inside, limit
        for _ in range(_DEEPEST + 4):
            middle = math.sqrt(good * bad)
            if _agrees(self.at(middle)):
                good = middle
            else:
                bad = middle
        return good

    def contradicted(self) -> list[int]:
        """Return the findings against the hypothesis, at the value that explains most of them."""
        best = min(self.tried.values(), key=lambda signs: sum(sign != 0 for sign in signs))
        return [index for index, sign in enumerate(best) if sign != 0]


def _agrees(signs: tuple[int | None, ...]) -> bool:
    return all(sign == 0 for sign in signs)


def _conflict(against: Sequence[frozenset[int]]) -> tuple[int, ...]:
    """Return few findings that between them speak against every hypothesis (greedy, then thinned out)."""
    chosen: list[int] = []
    left = list(against)
    while left:
        numbers = sorted({number for findings in left for number in findings})
        best = max(numbers, key=lambda number: sum(number in findings for findings in left))
        chosen.append(best)
        left = [findings for findings in left if best not in findings]
    for number in list(chosen):
        fewer = [other for other in chosen if other != number]
        if fewer and all(findings & set(fewer) for findings in against):
            chosen = fewer
    return tuple(sorted(chosen))
