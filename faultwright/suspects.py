"""Suspects: every fault whose replay agrees with all findings of a record at once.

A fault with a free value is a suspect only if one single value explains everything; its range is given.
A sound machine is a hypothesis too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations, pairwise

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


def find_suspects(
    circuit: Circuit,
    record: Record,
    faults: Iterable[Fault] | None = None,
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> Suspects:
    """Return the suspects among ``faults`` (by default the universe of the circuit) that a record leaves.

    ``tell`` is told how many of how many hypotheses have been tried.
    """
    numbers = [number for number, _ in record.findings()]
    kept: dict[str, Fault] = {}
    ranges: dict[str, tuple[float, float]] = {}
    cleared: dict[str, int] = {}
    trials = []
    hypotheses = list(faults if faults is not None else universe(circuit).values())
    for number, fault in enumerate(hypotheses):
        tell(number, len(hypotheses))
        trial = _Trial(circuit, record, fault)
        trials.append(trial)
        found = trial.explaining()
        if found is None:
            cleared[fault.name] = numbers[trial.first_against()]
        elif fault.value is None:
            kept[fault.name] = fault
        else:
            kept[fault.name] = replace(fault, value=math.sqrt(found[0] * found[1]))
            ranges[fault.name] = found
    sound = _Trial(circuit, record, None)
    healthy = sound.explaining() is not None
    conflict = () if kept or healthy else _smallest_conflict([*trials, sound])
    return Suspects(kept, healthy, ranges, cleared, tuple(numbers[index] for index in conflict))


class _Trial:
    """One hypothesis tried on a record: what each finding says of it, at any value."""

    def __init__(self, circuit: Circuit, record: Record, fault: Fault | None) -> None:
        self.circuit, self.record, self.fault = circuit, record, fault
        self.findings: list[Finding] = [finding for _, finding in record.findings()]
        self.tried: dict[float, tuple[int | None, ...]] = {}

    def at(self, value: float) -> tuple[int | None, ...]:
        """Return the discrepancy of every finding with the fault at ``value`` Ω (0 where it has no value)."""
        if value not in self.tried:
            faults = () if self.fault is None else (replace(self.fault, value=value if self.has_value else None),)
            predictions: list[Prediction] = replay(self.circuit, faults, self.record)[0]
            pairs = zip(self.findings, predictions, strict=True)
            self.tried[value] = tuple(discrepancy(finding, prediction) for finding, prediction in pairs)
        return self.tried[value]

    @property
    def has_value(self) -> bool:
        """Say whether the fault has a free value."""
        return self.fault is not None and self.fault.value is not None

    def explaining(self, only: Sequence[int] | None = None) -> tuple[float, float] | None:
        """Return the range of values at which all findings (or ``only`` these) agree, or None.

        (0, 0) where the hypothesis has no value and they agree.
        """
        which = range(len(self.findings)) if only is None else only
        if self.fault is None or self.fault.value is None:
            return (0.0, 0.0) if self._agrees(0.0, which) else None
        steps = round(math.log10(MOST / LEAST)) * _PER_DECADE
        grid = [LEAST * 10 ** (step / _PER_DECADE) for step in range(steps + 1)]
        inside = next((value for value in (*grid, self.fault.value) if self._agrees(value, which)), None)
        for low, high in pairwise(grid) if inside is None else ():
            inside = self._search(low, high, which, _DEEPEST)
            if inside is not None:
                break
        if inside is None:
            return None
        return self._edge(inside, LEAST, which), self._edge(inside, MOST, which)

    def _agrees(self, value: float, which: Sequence[int]) -> bool:
        signs = self.at(value)
        return all(signs[index] == 0 for index in which)

    def _search(self, low: float, high: float, which: Sequence[int], depth: int) -> float | None:
        """Look for a value that explains everything between two that do not.

        A reading moves one way as the value grows, so a stretch is given up when some finding lies on
        the same side at both of its ends.
        """
        one, other = self.at(low), self.at(high)
        if depth == 0 or any(one[index] == other[index] != 0 for index in which):
            return None
        middle = math.sqrt(low * high)
        if self._agrees(middle, which):
            return middle
        lower = self._search(low, middle, which, depth - 1)
        return lower if lower is not None else self._search(middle, high, which, depth - 1)

    def _edge(self, inside: float, limit: float, which: Sequence[int]) -> float:
        """Return the last value towards ``limit`` that still explains everything."""
        if self._agrees(limit, which):
            return limit
        good, bad = inside, limit
        for _ in range(_DEEPEST + 4):
            middle = math.sqrt(good * bad)
            if self._agrees(middle, which):
                good = middle
            else:
                bad = middle
        return good

    def first_against(self) -> int:
        """Return the first finding with which, together with those before it, the hypothesis cannot be."""
        count = len(self.findings)
        return next((last for last in range(count) if self.explaining(range(last + 1)) is None), count - 1)

    def against(self) -> list[frozenset[int]]:
        """Return the smallest sets of findings that the hypothesis cannot explain.

        Single findings; and, for a fault with a value, pairs that need different values: the values that
        explain a finding are one stretch, and stretches that meet in pairs meet all at once (Helly).
        """
        count = range(len(self.findings))
        single = [index for index in count if self.explaining([index]) is None]
        found = [frozenset({index}) for index in single]
        if self.has_value:
            rest = [index for index in count if index not in single]
            found += [frozenset(pair) for pair in combinations(rest, 2) if self.explaining(pair) is None]
        return found


def _smallest_conflict(trials: Sequence[_Trial]) -> tuple[int, ...]:
    """Return the fewest findings that between them speak against every hypothesis, the earliest such."""
    against = [trial.against() for trial in trials]
    numbers = sorted({index for sets in against for one in sets for index in one})
    for size in range(1, len(numbers) + 1):
        for chosen in combinations(numbers, size):
            if all(any(one <= set(chosen) for one in sets) for sets in against):
                return chosen
    return ()
