"""Which values of a fault explain findings: the range in Ω between the values that were tried, found by halving.

Between two values at which the machine stood alike before a finding only that finding is worked out again; where it
stood otherwise (another relay had pulled in), the whole record is gone through.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from .behaviour import latched, plain
from .circuit import Circuit
from .families import Family, family_of
from .in_step import Machines, Standing
from .meter import read
from .network import Network
from .record import Observed, Prediction, Record, discrepancy, replay
from .solve import Solver
from .trials import AGREES, OTHERWISE, Outcome
from .value_stretches import FINE

_DEEPEST = 14
"""Halvings of a stretch in which a value that agrees with a finding is sought, where both ends do not."""

_FINEST = 16
"""Halvings after which the values that agree with two findings only touch: where a relay just pulls in, say."""

Range = tuple[float, float, float]
"""The lowest value in Ω that explains, the highest, and one between that does; noughts where there is no value."""


@dataclass
class _End:
    """Where the values end that agree with a finding: somewhere from ``inside``, which agrees, to ``outside``.

    The two are the same where they do not end between two values tried.
    """

    finding: int
    inside: float
    outside: float

    def is_fine(self) -> bool:
        """Say whether the end is known well enough for a range."""
        return max(self.inside, self.outside) <= FINE * min(self.inside, self.outside)


class Explaining:
    """What one trial explains of a record."""

    def __init__(self, circuit: Circuit, record: Record, outcome: Outcome, number: int) -> None:
        """Take the trial with this number in the outcome."""
        self.circuit, self.record, self.outcome, self.number = circuit, record, outcome, number
        self.trial = outcome.trials[number]
        self.columns = outcome.columns(number)
        self._agreeing: dict[tuple[int, int], tuple[_End, _End] | None] = {}
        self._families: dict[int, Family] = {}
        self._replayed: dict[float, list[int]] = {}

    def can(self, which: Iterable[int]) -> bool:
        """Say whether one value, or the trial as it is, explains these findings (by number among the findings)."""
        which = list(which)
        if self.outcome.agreeing(self.number, which):
            return True
        left = self.outcome.left(self.number, which)
        return self.trial.free is not None and any(self._meet(which, low) for low in left)

    def range(self) -> Range | None:
        """Return which values explain all findings, or None."""
        which = range(len(self.outcome.findings))
        if self.trial.free is None:
            return (0.0, 0.0, 0.0) if self._longest() == len(which) else None
        meeting = [low for low in self.outcome.left(self.number, which) if self._meet(which, low)]
        if not meeting:
            return None
        lowest, next_end = self._range_in(which, meeting[0])
        _, highest = self._range_in(which, meeting[-1])
        agreeing = self.outcome.agreeing(self.number, which)
        if agreeing:  # what was tried is known; between two that agree something may jump
            return lowest, highest, float(self.outcome.values[agreeing[len(agreeing) // 2]])
        return lowest, highest, math.sqrt(lowest * next_end)

    def first_against(self) -> int:
        """Return the first finding with which, together with those before it, the trial cannot be."""
        longest, count = self._longest(), len(self.outcome.findings)
        if self.trial.free is None:
            return longest
        return next((last for last in range(longest, count) if not self.can(range(last + 1))), count - 1)

    def _longest(self) -> int:
        """Return with how many findings, from the first on, one of the values tried agrees."""
        return int(self.outcome.explaining[self.columns.start : self.columns.stop].max())

    def _meet(self, which: Sequence[int], low: int) -> bool:
        """Say whether some value of a stretch agrees with all of these findings."""
        ends = self._all_ends(which, low)
        if ends is None:
            return False
        lower, upper = ends
        for _ in range(_FINEST):
            last, first = max(lower, key=_inside), min(upper, key=_inside)
            if last.inside <= first.inside:
                return True
            if max(map(_outside, lower)) >= min(map(_outside, upper)):
                return False
            self._halve(last, low)
            self._halve(first, low)
        return False

    def _range_in(self, which: Sequence[int], low: int) -> tuple[float, float]:
        """Return the first and the last value of a stretch that agree with all of these findings."""
        found = []
        for ends, furthest in zip(self._all_ends(which, low) or (), (max, min), strict=True):
            while not (end := furthest(ends, key=_inside)).is_fine():
                self._halve(end, low)
            found.append(end.inside)
        return found[0], found[1]

    def _all_ends(self, which: Sequence[int], low: int) -> tuple[list[_End], list[_End]] | None:
        """Return the lower and the upper ends of what agrees with each finding in a stretch; None if one never does.

        Those of the stretch itself stand first.
        """
        lowest, highest = self.outcome.values[low : low + 2].tolist()
        lower, upper = [_End(-1, lowest, lowest)], [_End(-1, highest, highest)]
        for finding in which:
            if (finding, low) not in self._agreeing:
                self._agreeing[finding, low] = self._agreeing_with(finding, low)
            ends = self._agreeing[finding, low]
            if ends is None:
                return None
            lower.append(ends[0])
            upper.append(ends[1])
        return lower, upper

    def _agreeing_with(self, finding: int, low: int) -> tuple[_End, _End] | None:
        """Return the ends of the values of a stretch that agree with one finding, or None."""
        at_low, at_high = self.outcome.signs[finding, low : low + 2].tolist()
        lowest, highest = self.outcome.values[low : low + 2].tolist()
        lower, upper = _End(finding, lowest, lowest), _End(finding, highest, highest)
        if at_low == at_high == AGREES:
            return lower, upper
        if at_low == AGREES:
            return lower, _End(finding, lowest, highest)
        if at_high == AGREES:
            return _End(finding, highest, lowest), upper
        found = self._search(finding, low, (lowest, at_low), (highest, at_high), _DEEPEST)
        return found and (_End(finding, found[0], found[1]), _End(finding, found[0], found[2]))

    def _search(
        self, finding: int, low: int, one: tuple[float, int], other: tuple[float, int], depth: int
    ) -> tuple[float, float, float] | None:
        """Return a value that agrees between two that do not, and one below and one above it that do not, or None."""
        (below, at_below), (above, at_above) = one, other
        if depth == 0 or at_below == at_above:
            return None
        middle = math.sqrt(below * above)
        sign = self._sign(finding, middle, low)
        if sign == AGREES:
            return middle, below, above
        lower = self._search(finding, low, one, (middle, sign), depth - 1)
        return lower or self._search(finding, low, (middle, sign), other, depth - 1)

    def _halve(self, end: _End, low: int) -> None:
        """Come closer to an end by half, on the scale of a logarithm."""
        if end.inside != end.outside:
            middle = math.sqrt(end.inside * end.outside)
            if self._sign(end.finding, middle, low) == AGREES:
                end.inside = middle
            else:
                end.outside = middle

    def _sign(self, finding: int, value: float, low: int) -> int:
        """Return on which side of a finding the prediction lies at a value between a column and the next."""
        stand = self.outcome.stands[finding]
        one, other = (_row_of(stand, column) for column in (low, low + 1))
        if one is None or other is None or not _alike(stand, one, other):
            return self._replayed_at(value)[finding]
        return self._predicted(finding, stand, one, value)

    def _predicted(self, finding: int, stand: Machines, row: int, value: float) -> int:
        """Work one finding out with the free fault at a value, if it was not cured, for a machine that stood so."""
        standing = stand.standing_by_itself(row)
        standing.faults = tuple(
            replace(fault, value=value) if self.trial.free and fault.name == self.trial.free.name else fault
            for fault in standing.faults
        )
        standing.solver = Solver(self._network(finding, standing))
        asked = self.outcome.findings[finding]
        prediction: Prediction
        if isinstance(asked, Observed):
            settled = standing.solver.settle(standing.positions(), standing.relays, standing.blown)
            seen = plain(standing.solver, settled, self.circuit.behaviour)
            before = {name: bool(stand.seen[name][row] == 1) for name in self.circuit.latched}
            prediction = {**seen, **latched(self.circuit.behaviour, seen, before, stand.states[0])}
        else:
            prediction = read(standing, asked.probe)
        return _as_sign(discrepancy(asked, prediction))

    def _network(self, finding: int, standing: Standing) -> Network:
        """Return the network with the free fault at its value, made from one that was built for this finding before."""
        if finding not in self._families:
            self._families[finding] = family_of(self.circuit, standing.faults, standing.wiring, for_lanes=False)
        family = self._families[finding]
        network = family.network
        for fault, branches in zip(standing.faults, family.valued, strict=True):
            if fault.value is not None:
                network = network.with_series(branches, fault.value)
        return network

    def _replayed_at(self, value: float) -> list[int]:
        if value not in self._replayed:
            predictions = replay(self.circuit, self.trial.at(value), self.record)[0]
            pairs = zip(self.outcome.findings, predictions, strict=True)
            self._replayed[value] = [_as_sign(discrepancy(finding, prediction)) for finding, prediction in pairs]
        return self._replayed[value]


def _as_sign(side: int | None) -> int:
    return OTHERWISE if side is None else side


def _row_of(stand: Machines, column: int) -> int | None:
    """Return which of the machines that stood there had this column, or None: it was let go before."""
    row = int(np.searchsorted(stand.hypothesis, column))
    return row if row < len(stand.hypothesis) and stand.hypothesis[row] == column else None


def _alike(stand: Machines, one: int, other: int) -> bool:
    """Say whether two machines stood alike in all that has a history."""
    return all(flag[one] == flag[other] for flag in stand.history())


def _inside(end: _End) -> float:
    return end.inside


def _outside(end: _End) -> float:
    return end.outside
