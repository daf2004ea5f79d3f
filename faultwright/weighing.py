"""Weighing: which hypotheses a row of findings leaves, and which finding cleared each of the others.

The same as ``suspects.py`` finds out for one record, for many records of one circuit: what the situations show is
worked out once (``situations.py``). A hypothesis of which the values tried do not tell is looked at more closely.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from .lane_networks import Floats, Numbers, Truths
from .moves import Move
from .record import Action, Measured, Observed
from .situations import MOST_VALUES, Situation, Situations
from .value_stretches import Agreeing

MOST_LOOKS = 40
"""Times that more values are tried before a hypothesis that is still in doubt counts as left."""

_NEIGHBOURS = 2
"""Values to either side of a stretch in doubt that are tried again: curves are drawn through them."""

Names = tuple[str, ...]
"""The faults of a hypothesis; none is the sound machine."""

Stretches = Mapping[Names, Sequence[int]]
"""Hypotheses and the columns behind which their stretches in doubt lie."""


@dataclass(frozen=True)
class Weighed:
    """What findings leave.

    ``cleared`` maps each hypothesis that is not left to the number of the action from which on none of the values
    tried, nor anything between them, explains all; where that took a closer look, to that of the last finding.
    ``balance`` is that of the values tried at first.
    """

    cleared: Mapping[Names, int]
    balance: Balance

    @property
    def left(self) -> list[Names]:
        """The hypotheses that are left, in their order."""
        return [trial.names for trial in self.balance.situations.trials if trial.names not in self.cleared]

    def value_of(self, names: Names) -> float:
        """Return a value in Ω of a hypothesis that is left with which it explains everything; 0 where none is free.

        Where that took a closer look it lies between the values that were tried at first, and may miss by a little: it
        follows from this record alone, whatever others had been looked at.
        """
        return self.balance.value_of(names)


def weigh(situations: Situations, actions: Sequence[Action]) -> Weighed:
    """Return what actions from rest leave of the hypotheses of ``situations``."""
    balance = Balance(situations)
    balance.put_on(actions)
    cleared = balance.cleared()
    in_doubt = balance.in_doubt()
    if not in_doubt:
        return Weighed(cleared, balance)
    last = max(number for number, action in enumerate(actions) if isinstance(action, Measured | Observed))
    closer = _looked_at_closely(situations, actions, in_doubt)
    cleared |= {names: last for names in in_doubt if not closer.holds(names)}
    return Weighed(cleared, balance)


def _looked_at_closely(situations: Situations, actions: Sequence[Action], in_doubt: Stretches) -> Balance:
    """Return the balance of the hypotheses in doubt, at as many values as it takes to tell."""
    closer = situations.closer
    within: dict[Names, list[tuple[float, float]]] = {}
    for names, columns in in_doubt.items():
        place = situations.number[names]
        values, first = situations.values[place], int(situations.columns.start[place])
        for column in columns:
            at = column - first
            within.setdefault(names, []).append((values[at], values[at + 1]))
            around = values[max(0, at - _NEIGHBOURS) : at + 2 + _NEIGHBOURS]
            closer.take_in(situations.trials[place], around)
    balance = Balance(closer, within)
    balance.put_on(actions)
    looks = 1
    while looks < MOST_LOOKS and (doubtful := balance.doubtful()):
        closer.look_closer(doubtful)
        balance = Balance(closer, within)
        balance.put_on(actions)
        looks += 1
    return balance


@dataclass
class Balance:
    """What agrees with all findings so far, by column and by stretch; ``within`` some values in Ω only, if given."""

    situations: Situations
    within: Mapping[Names, Sequence[tuple[float, float]]] | None = None
    used: list[tuple[Situation, Agreeing]] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin with everything that is asked about."""
        columns = self.columns = self.situations.columns
        asked = np.ones(len(columns.value), dtype=bool) if self.within is None else self._asked(self.within)
        stretch = columns.joined & asked & np.append(asked[1:], False)
        self.agrees: Truths = asked.copy()
        self.low: Floats = np.where(stretch, columns.value, math.inf)
        self.high: Floats = np.where(stretch, columns.following, -math.inf)
        self.lowest, self.highest = self.low.copy(), self.high.copy()
        self.alive: Truths = columns.any_of(self.agrees)
        self.cleared_by: Numbers = np.full(len(self.alive), -1)

    def _asked(self, within: Mapping[Names, Sequence[tuple[float, float]]]) -> Truths:
        asked = np.zeros(len(self.columns.value), dtype=bool)
        for names, stretches in within.items():
            first, end = self.columns.start[(place := self.situations.number[names]) : place + 2].tolist()
            value = self.columns.value[first:end]
            for low, high in stretches:
                asked[first:end] |= (low <= value) & (value <= high)
        return asked

    def put_on(self, actions: Sequence[Action]) -> None:
        """Put on one finding after the other."""
        moves: list[Move] = []
        situation: Situation | None = None
        for number, action in enumerate(actions):
            if isinstance(action, Move):
                moves.append(action)
                situation = None
            elif isinstance(action, Measured | Observed):
                situation = situation or self.situations.after(moves)
                self._take(situation, situation.agreeing(action))
                alive = self.columns.any_of(self.agrees | (self.lowest <= self.highest))
                self.cleared_by[self.alive & ~alive] = number
                self.alive &= alive

    def _take(self, situation: Situation, agreeing: Agreeing) -> None:
        self.used.append((situation, agreeing))
        self.agrees &= agreeing.columns
        np.maximum(self.low, agreeing.low, out=self.low)
        np.minimum(self.high, agreeing.high, out=self.high)
        np.maximum(self.lowest, agreeing.lowest, out=self.lowest)
        np.minimum(self.highest, agreeing.highest, out=self.highest)

    def _doubted(self) -> Truths:
        """Say behind which columns hypotheses may be left that are not left for sure."""
        in_doubt = self.alive & ~self.columns.any_of(self.agrees | (self.low <= self.high))
        in_doubt &= np.diff(self.columns.start) < MOST_VALUES
        of_one = np.repeat(in_doubt, np.diff(self.columns.start))
        found: Truths = of_one & (self.lowest <= self.highest)
        return found

    def in_doubt(self) -> dict[Names, list[int]]:
        """Return the hypotheses that may be left and are not for sure, with the columns behind which that is so."""
        found: dict[Names, list[int]] = {}
        for column in np.flatnonzero(self._doubted()).tolist():
            place = int(np.searchsorted(self.columns.start, column, side="right")) - 1
            found.setdefault(self.situations.trials[place].names, []).append(column)
        return found

    def doubtful(self) -> list[tuple[Situation, int]]:
        """Return the stretches in doubt, each with the situations in which a finding leaves that open."""
        doubted = self._doubted()
        if not doubted.any():
            return []
        return [
            (situation, column)
            for situation, agreeing in self.used
            for column in np.flatnonzero(doubted & agreeing.doubtful).tolist()
        ]

    def cleared(self) -> dict[Names, int]:
        """Return the hypotheses that are not left, each with the number of the action that cleared it."""
        places = np.flatnonzero(self.cleared_by >= 0).tolist()
        return {self.situations.trials[place].names: int(self.cleared_by[place]) for place in places}

    def holds(self, names: Names) -> bool:
        """Say whether a hypothesis is or may be left."""
        return bool(self.alive[self.situations.number[names]])

    def value_of(self, names: Names) -> float:
        """Return a value in Ω of one that is left: the middle one of those tried that agree, else one between."""
        first, end = self.columns.start[(place := self.situations.number[names]) : place + 2].tolist()
        tried = np.flatnonzero(self.agrees[first:end])
        if len(tried):
            return float(self.columns.value[first + tried[len(tried) // 2]])
        stretch = first + int(np.flatnonzero(self.lowest[first:end] <= self.highest[first:end])[0])
        return math.sqrt(float(self.lowest[stretch]) * float(self.highest[stretch]))
