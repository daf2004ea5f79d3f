"""Trials: every hypothesis, at every value tried, taken through a record in lanes, and which finding speaks against it.

A fault with a free value is tried at a grid of values. Between two of them a reading moves one way as the value grows,
so a stretch between two values is given up when some finding lies on the same side at both of its ends (where a relay
or a motor changes in between that is rash, and noted). What is neither right at a value nor in a stretch that is left
is let go at once, so that most of a record is gone through by few.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from .circuit import Circuit
from .families import Hypothesis
from .faults import Fault
from .in_step import Machines
from .lane_meter import Shown
from .lane_networks import Floats, Numbers, Truths
from .lane_readings import read_each
from .lane_seen import Codes, code
from .meter import FLOATING, OK, STATUSES
from .moves import Move
from .record import Finding, Measured, Observed, Record, agreeing_values, is_zero

LEAST, MOST = 1e-3, 1e7
"""Ω between which the value of a fault is sought: a sound joint and an open one, for every meter here."""

_PER_DECADE = 2
_WITHIN = 16
"""Steps between two values, where a value is sought between two."""

MOST_KEPT = 5000
"""Columns of which the machines at rest are kept from one record to the next: the single faults of a large circuit."""

BELOW, AGREES, ABOVE = -1, 0, 1
"""On which side of a finding a prediction lies."""
OTHERWISE, LET_GO = 2, 9
"""The prediction is of another kind (an OL against a number); the hypothesis was let go before."""


@dataclass(frozen=True)
class Trial:
    """A hypothesis that is tried: faults whose values are set, and perhaps one with a free value.

    ``within`` are the Ω between which the value is sought, if not everywhere.
    """

    fixed: Hypothesis
    free: Fault | None = None
    within: tuple[float, float] | None = None

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The faults by name, in the order of the universe where they were paired so."""
        return tuple(fault.name for fault in (*self.fixed, *([self.free] if self.free else [])))

    def values(self) -> list[float]:
        """Return the values at which the free fault is tried, in Ω, rising; one nought where there is none."""
        if self.free is None:
            return [0.0]
        if self.within is not None:
            low, high = self.within
            return [low * (high / low) ** (step / _WITHIN) for step in range(_WITHIN + 1)]
        steps = round(math.log10(MOST / LEAST)) * _PER_DECADE
        grid = [LEAST * 10 ** (step / _PER_DECADE) for step in range(steps + 1)]
        return sorted({*grid, self.free.value or LEAST})

    def at(self, value: float) -> Hypothesis:
        """Return the faults with the free one at a value."""
        return self.fixed if self.free is None else (*self.fixed, replace(self.free, value=value))


def trial_of(fault: Fault | None) -> Trial:
    """Return the trial of a single fault, or of the sound machine."""
    if fault is None:
        return Trial(())
    return Trial((fault,)) if fault.value is None else Trial((), fault)


@dataclass(frozen=True)
class Outcome:
    """What the findings say of trials.

    ``signs`` has the shape (findings, columns): on which side of each finding a prediction lies. A trial has the
    columns ``start[trial]`` to ``start[trial + 1]``, one a value. ``stands`` are the machines as they stood at each
    finding. ``rash`` says from which columns to the next it is not enough to look at both ends: between them a relay,
    a fuse, a latch or a motor changes, where a reading may jump.
    """

    trials: Sequence[Trial]
    findings: Sequence[Finding]
    values: Floats
    start: Numbers
    signs: Codes
    stands: Sequence[Machines]
    rash: Truths

    def columns(self, trial: int) -> range:
        """Return the columns of a trial."""
        return range(self.start[trial], self.start[trial + 1])

    @cached_property
    def explaining(self) -> Numbers:
        """How many findings, from the first on, agree with each column."""
        found: Numbers = np.append(self.signs, np.ones((1, self.signs.shape[1])), axis=0).astype(bool).argmax(axis=0)
        return found

    def agreeing(self, trial: int, which: Sequence[int]) -> list[int]:
        """Return the columns of a trial with which these findings agree."""
        columns = self.columns(trial)
        signs = self.signs[which, columns.start : columns.stop]
        return [columns[place] for place in np.flatnonzero((signs == AGREES).all(axis=0))]

    def closer(self, trial: int) -> list[Trial]:
        """Return the trials that look where this one was rash."""
        rash = (column for column in self.columns(trial) if self.rash[column])
        return [replace(self.trials[trial], within=self._ends(column)) for column in rash]

    def _ends(self, column: int) -> tuple[float, float]:
        """Return the values in Ω of a column and of the next."""
        low, high = self.values[column : column + 2].tolist()
        return low, high

    def stretches(self, trial: int) -> list[tuple[float, float]]:
        """Return the values in Ω between which the findings leave room for one that explains them all."""
        return [self._ends(column) for column in self.left(trial, range(len(self.findings)))]

    def left(self, trial: int, which: Sequence[int]) -> list[int]:
        """Return the columns from which to the next these findings leave room for a value that explains them."""
        columns = self.columns(trial)
        signs = self.signs[which, columns.start : columns.stop]
        low, high = signs[:, :-1], signs[:, 1:]
        given_up = (((low == high) & (low != AGREES)) | (low == LET_GO) | (high == LET_GO)).any(axis=0)
        return [columns[place] for place in np.flatnonzero(~given_up)]


def try_out(
    circuit: Circuit,
    record: Record,
    trials: Sequence[Trial],
    tell: Callable[[int, int], None] = lambda _done, _of: None,
    *,
    let_go: bool = True,
) -> Outcome:
    """Take trials through a record, of which every finding is a single one.

    ``tell`` is told how many of how many actions have been gone through.

    Without ``let_go`` every finding is put to every column, also where another spoke against it before.
    """
    findings = [finding for _, finding in record.findings()]
    values = [trial.values() for trial in trials]
    start = np.concatenate([[0], np.cumsum([len(some) for some in values])]).astype(np.intp)
    machines = _at_rest(circuit, trials, int(start[-1]))
    columns = machines.hypotheses
    signs = np.full((len(findings), len(columns)), LET_GO, dtype=np.int8)
    stands: list[Machines] = []
    stand: Machines | None = None
    needed = agreeing = np.ones(len(columns), dtype=bool)
    stretch = np.ones(len(columns), dtype=bool)  # from each column to the next
    stretch[start[1:] - 1] = False
    rash = np.zeros(len(columns), dtype=bool)
    for done, action in enumerate(record.actions):
        tell(done, len(record.actions))
        if let_go and not isinstance(action, Observed) and not needed[machines.hypothesis].all():
            machines.keep(np.flatnonzero(needed[machines.hypothesis]))
            stand = None
        if isinstance(action, Move):
            machines.move(action)
            stand = None
        elif isinstance(action, Measured | Observed):
            stand = stand or machines.snapshot()
            now = signs[len(stands)]
            now[machines.hypothesis] = _signs(action, machines)
            stands.append(stand)
            agreeing = agreeing & (now == AGREES)
            not_both = stretch[:-1] & ((now[:-1] != AGREES) | (now[1:] != AGREES))
            if not_both.any():
                rash[:-1] |= not_both & (_changes(machines, len(columns)) >= _fewest_changes(circuit, action))
            stretch[:-1] &= (now[:-1] != now[1:]) | (now[:-1] == AGREES)
            needed = agreeing | stretch
            needed[1:] |= stretch[:-1]
    return Outcome(trials, findings, np.concatenate([np.array(some) for some in values]), start, signs, stands, rash)


def _changes(machines: Machines, columns: int) -> Numbers:
    """Return how many relays, fuses, latches and motors change from each column to the next."""
    found = np.zeros(columns - 1, dtype=np.intp)
    for flag in machines.regime():
        flags = np.zeros(columns, dtype=np.int8)
        flags[machines.hypothesis] = flag
        found += flags[:-1] != flags[1:]
    return found


def _fewest_changes(circuit: Circuit, finding: Finding) -> int:
    """Return from how many changes on, between two values, a finding can agree although it does at neither.

    A number, and a lamp's light, can rise to it before a jump; what only is or is not needs a way back.
    """
    graded = isinstance(finding, Measured) or any(circuit.behaviour[name].kind == "lamp" for name in finding.seen)
    return 1 if graded else 2


@lru_cache(maxsize=8)
def _kept(circuit: Circuit, trials: tuple[Trial, ...]) -> Machines:
    return _new(circuit, trials)


def _new(circuit: Circuit, trials: Iterable[Trial]) -> Machines:
    return Machines(circuit, [trial.at(value) for trial in trials for value in trial.values()])


def _at_rest(circuit: Circuit, trials: Sequence[Trial], columns: int) -> Machines:
    """Return machines at rest, one a column; those of single faults are kept, for they are asked for again."""
    return _kept(circuit, tuple(trials)).copy() if columns <= MOST_KEPT else _new(circuit, trials)


def _signs(finding: Finding, machines: Machines) -> Codes:
    """Return on which side of a finding each machine lies, as ``record.discrepancy`` says of one."""
    if isinstance(finding, Observed):
        return _signs_of_seen(finding, machines)
    shown = read_each(machines, finding.probe)
    return signs_of_readings(finding, shown)


def _signs_of_seen(finding: Observed, machines: Machines) -> Codes:
    """Compare what is seen; the first behaviour that differs decides on the side."""
    found = np.zeros(len(machines.hypothesis), dtype=np.int8)
    for name, seen in finding.seen.items():
        codes = machines.seen[name]
        lamp = machines.circuit.behaviour[name].kind == "lamp"
        order = np.where(codes < 0, 1, codes if lamp else 2 * codes)
        mine = {"off": 0, "dim": 1, "lit": 2, False: 0, True: 2}.get(seen, 1) if seen is not None else 1
        differs = (codes != code(seen)) & (found == AGREES)
        found[differs] = np.where(order[differs] > mine, ABOVE, BELOW)
    return found


def signs_of_readings(finding: Measured, shown: Shown) -> Codes:
    """Compare predicted readings with the one that was taken."""
    agrees = readings_agreeing(finding, shown)
    if finding.reading.status != OK:
        return np.where(agrees, AGREES, OTHERWISE).astype(np.int8)
    least, _ = agreeing_values(finding)
    with np.errstate(invalid="ignore"):
        side = np.where(shown.value < least, BELOW, ABOVE)
    numbers = shown.status == STATUSES.index(OK)
    return np.where(agrees, AGREES, np.where(numbers, side, OTHERWISE)).astype(np.int8)


def readings_agreeing(finding: Measured, shown: Shown) -> Truths:
    """Say which predicted readings agree with the one that was taken, as ``record.discrepancy`` says of one."""
    reading = finding.reading
    if reading.value is None or reading.status != OK:
        found: Truths = shown.status == STATUSES.index(reading.status)
        return found
    least, most = agreeing_values(finding)
    with np.errstate(invalid="ignore"):
        found = (shown.status == STATUSES.index(OK)) & (shown.value >= least) & (shown.value <= most)
    return found | (shown.status == STATUSES.index(FLOATING)) if is_zero(finding) else found
