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
from .circuit import LATCHED, Circuit
from .families import Family, Hypothesis, family_of
from .in_step import Machines, Standing
from .meter import read
from .network import Network
from .record import Observed, Prediction, Record, discrepancy, replay
from .solve import Solver
from .trials import AGREES, LET_GO, OTHERWISE, Outcome

_DEEPEST = 12
"""Halvings of a stretch between two values tried: to 0.03 % of the value."""

Range = tuple[float, float, float]
"""The lowest value in Ω that explains, the highest, and one between that does; noughts where there is no value."""


@dataclass(frozen=True)
class _Between:
    """Two neighbouring columns of a trial, which bracket the values that are asked about."""

    low: int
    high: int


class Explaining:
    """What one trial explains of a record."""

    def __init__(self, circuit: Circuit, record: Record, outcome: Outcome, number: int) -> None:
        """Take the trial with this number in the outcome."""
        self.circuit, self.record, self.outcome, self.number = circuit, record, outcome, number
        self.trial = outcome.trials[number]
        self.columns = outcome.columns(number)
        self._families: dict[int, Family] = {}
        self._worked_out: dict[tuple[int, float], int] = {}
        self._replayed: dict[float, list[int]] = {}

    def can(self, which: Iterable[int]) -> bool:
        """Say whether one value, or the trial as it is, explains these findings (by number among the findings)."""
        which = list(which)
        return bool(self._agreeing(which)) or (self.trial.free is not None and self._in_a_stretch(which) is not None)

    def range(self) -> Range | None:
        """Return which values explain all findings, or None."""
        which = range(len(self.outcome.findings))
        agreeing = self._agreeing(which)
        if self.trial.free is None:
            return (0.0, 0.0, 0.0) if agreeing else None
        values = self.outcome.values.tolist()
        if not agreeing:
            found = self._in_a_stretch(which)
            if found is None:
                return None
            inside, below, above, between = found
            return self._edge(inside, below, between, which), self._edge(inside, above, between, which), inside
        first, last = agreeing[0], agreeing[-1]
        lowest, highest = values[first], values[last]
        if first > self.columns.start:
            lowest = self._edge(lowest, values[first - 1], _Between(first - 1, first), which)
        if last + 1 < self.columns.stop:
            highest = self._edge(highest, values[last + 1], _Between(last, last + 1), which)
        middle = math.sqrt(lowest * highest)
        whole = len(agreeing) == last + 1 - first
        return lowest, highest, middle if whole or self._agrees(middle, which) else values[first]

    def first_against(self) -> int:
        """Return the first finding with which, together with those before it, the trial cannot be."""
        count = len(self.outcome.findings)
        return next((last for last in range(count) if not self.can(range(last + 1))), count - 1)

    def _agreeing(self, which: Sequence[int]) -> list[int]:
        return self.outcome.agreeing(self.number, which)

    def _in_a_stretch(self, which: Sequence[int]) -> tuple[float, float, float, _Between] | None:
        """Return a value between those tried that explains, one below and one above that do not, and where it was."""
        for low in self.columns[:-1]:
            one, other = (self.outcome.signs[which, end].tolist() for end in (low, low + 1))
            lower, upper = self.outcome.values[low : low + 2].tolist()
            between = _Between(low, low + 1)
            found = self._search(between, which, one, other, lower, upper, _DEEPEST)
            if found is not None:
                return *found, between
        return None

    def _search(  # noqa: PLR0913, PLR0917 - both ends, and what is said there
        self,
        between: _Between,
        which: Sequence[int],
        one: list[int],
        other: list[int],
        low: float,
        high: float,
        depth: int,
    ) -> tuple[float, float, float] | None:
        """Return a value that explains and values below and above it that do not, or None."""
        if depth == 0 or any(a == b != AGREES or LET_GO in {a, b} for a, b in zip(one, other, strict=True)):
            return None
        middle = math.sqrt(low * high)
        signs = [self._sign(finding, middle, between) for finding in which]
        if not any(signs):
            return middle, low, high
        lower = self._search(between, which, one, signs, low, middle, depth - 1)
        return lower or self._search(between, which, signs, other, middle, high, depth - 1)

    def _edge(self, inside: float, outside: float, between: _Between, which: Sequence[int]) -> float:
        """Return the last value from ``inside`` towards ``outside`` that still explains."""
        for _ in range(_DEEPEST):
            middle = math.sqrt(inside * outside)
            if all(self._sign(finding, middle, between) == AGREES for finding in which):
                inside = middle
            else:
                outside = middle
        return inside

    def _agrees(self, value: float, which: Sequence[int]) -> bool:
        """Say whether the findings agree with the free fault at a value."""
        tried = self.outcome.values[self.columns.start : self.columns.stop]
        high = int(np.clip(np.searchsorted(tried, value), 1, len(tried) - 1)) + self.columns.start
        return all(self._sign(finding, value, _Between(high - 1, high)) == AGREES for finding in which)

    def _sign(self, finding: int, value: float, between: _Between) -> int:
        """Return on which side of a finding the prediction lies at a value between two that were tried."""
        signs = self.outcome.signs[finding, [between.low, between.high]].tolist()
        stand = self.outcome.stands[finding]
        rows = [_row_of(stand, column) for column in (between.low, between.high)]
        if None in rows or not _alike(stand, rows):
            return self._replayed_at(value)[finding]
        if signs == [AGREES, AGREES]:
            return AGREES
        if (finding, value) not in self._worked_out:
            self._worked_out[finding, value] = self._predicted(finding, stand, rows[0] or 0, self.trial.at(value))
        return self._worked_out[finding, value]

    def _predicted(self, finding: int, stand: Machines, row: int, faults: Hypothesis) -> int:
        """Work one finding out for a machine that stood as ``row`` did."""
        standing = replace(stand.standing_by_itself(row), faults=stand.there(faults))
        standing.solver = Solver(self._network(finding, standing))
        asked = self.outcome.findings[finding]
        prediction: Prediction
        if isinstance(asked, Observed):
            settled = standing.solver.settle(standing.positions(), standing.relays, standing.blown)
            seen = plain(standing.solver, settled, self.circuit.behaviour)
            before = {name: bool(stand.seen[name][row] == 1) for name in _latched(self.circuit)}
            now = {**seen, **latched(self.circuit.behaviour, seen, before, stand.states[0])}
            prediction = {name: now[name] for name in asked.seen}
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


def _latched(circuit: Circuit) -> list[str]:
    return [name for name, behaviour in circuit.behaviour.items() if behaviour.kind == LATCHED]


def _row_of(stand: Machines, column: int) -> int | None:
    """Return which of the machines that stood there had this column, or None: it was let go before."""
    row = int(np.searchsorted(stand.hypothesis, column))
    return row if row < len(stand.hypothesis) and stand.hypothesis[row] == column else None


def _alike(stand: Machines, rows: Sequence[int | None]) -> bool:
    """Say whether two machines stood alike in all that has a history."""
    one, other = rows
    flags = [*stand.relays.values(), *stand.blown.values(), *(stand.seen[name] for name in _latched(stand.circuit))]
    return all(flag[one] == flag[other] for flag in flags)
