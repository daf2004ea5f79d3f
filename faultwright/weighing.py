"""Weighing: which hypotheses a row of findings leaves, and which finding cleared each of the others.

The same as ``suspects.py`` finds out for one record, for many records of one circuit: what the situations show is
worked out once (``situations.py``).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from .faults import Fault
from .lane_networks import Floats, Numbers, Truths
from .moves import Move
from .record import Action, Measured, Observed
from .situations import MOST_VALUES, Situation, Situations
from .value_stretches import Agreeing

MOST_LOOKS = 40
"""Times that more values are tried before a hypothesis that is still in doubt counts as left."""


@dataclass(frozen=True)
class Weighed:
    """What is left, values set to one that explains everything; ``cleared``: the number of the action that did it."""

    faults: Mapping[str, Fault]
    healthy: bool
    cleared: Mapping[str, int]


def weigh(situations: Situations, actions: Sequence[Action]) -> Weighed:
    """Return what actions from rest leave of the hypotheses of ``situations``."""
    for look in range(MOST_LOOKS):
        balance = _Balance(situations)
        doubtful = balance.put_on(actions, to_the_end=look == MOST_LOOKS - 1)
        if not doubtful:
            break
        situations.look_closer(doubtful)
    return balance.result()


class _Balance:
    """What agrees with all findings so far, by column and by stretch."""

    def __init__(self, situations: Situations) -> None:
        self.situations, self.columns = situations, situations.columns
        count = len(self.columns.value)
        self.agrees: Truths = np.ones(count, dtype=bool)
        self.low: Floats = np.where(self.columns.joined, self.columns.value, math.inf)
        self.high: Floats = np.where(self.columns.joined, self.columns.following, -math.inf)
        self.lowest, self.highest = self.low.copy(), self.high.copy()
        self.alive: Truths = np.ones(len(situations.trials), dtype=bool)
        self.cleared_by: Numbers = np.full(len(situations.trials), -1)
        self.used: list[tuple[Situation, Agreeing]] = []

    def put_on(self, actions: Sequence[Action], *, to_the_end: bool) -> list[tuple[Situation, int]]:
        """Put on one finding after the other; unless to the end, stop where one leaves a hypothesis in doubt.

        Return the stretches in doubt, each with a situation that leaves it so.
        """
        moves: list[Move] = []
        situation: Situation | None = None
        for number, action in enumerate(actions):
            if isinstance(action, Move):
                moves.append(action)
                situation = None
            elif isinstance(action, Measured | Observed):
                situation = situation or self.situations.after(moves)
                for agreeing in situation.agreeing(action):
                    self._take(situation, agreeing)
                alive = self.columns.any_of(self.agrees | (self.lowest <= self.highest))
                self.cleared_by[self.alive & ~alive] = number
                self.alive &= alive
                if not to_the_end and (doubtful := self._doubtful()):
                    return doubtful
        return []

    def _take(self, situation: Situation, agreeing: Agreeing) -> None:
        self.used.append((situation, agreeing))
        self.agrees &= agreeing.columns
        np.maximum(self.low, agreeing.low, out=self.low)
        np.minimum(self.high, agreeing.high, out=self.high)
        np.maximum(self.lowest, agreeing.lowest, out=self.lowest)
        np.minimum(self.highest, agreeing.highest, out=self.highest)

    def _doubtful(self) -> list[tuple[Situation, int]]:
        """Return the stretches of hypotheses that may be left and are not for sure, where a finding leaves that open."""
        in_doubt = self.alive & ~self.columns.any_of(self.agrees | (self.low <= self.high))
        in_doubt &= np.diff(self.columns.start) < MOST_VALUES
        if not in_doubt.any():
            return []
        of_one = np.repeat(in_doubt, np.diff(self.columns.start))
        asked = of_one & (self.lowest <= self.highest)
        return [
            (situation, column)
            for situation, agreeing in self.used
            for column in np.flatnonzero(asked & agreeing.doubtful).tolist()
        ]

    def result(self) -> Weighed:
        left: dict[str, Fault] = {}
        cleared: dict[str, int] = {}
        for name, place in self.situations.number.items():
            if not self.alive[place]:
                cleared[name] = int(self.cleared_by[place])
                continue
            free = self.situations.trials[place].free
            left[name] = (
                self.situations.trials[place].fixed[0] if free is None else replace(free, value=self._value(place))
            )
        return Weighed(left, bool(self.alive[self.situations.sound]), cleared)

    def _value(self, place: int) -> float:
        """Return a value in Ω of a hypothesis that explains everything: the middle one of those tried, else between."""
        first, end = self.columns.start[place : place + 2].tolist()
        tried = np.flatnonzero(self.agrees[first:end])
        if len(tried):
            return float(self.columns.value[first + tried[len(tried) // 2]])
        stretch = first + int(np.flatnonzero(self.lowest[first:end] <= self.highest[first:end])[0])
        return math.sqrt(float(self.lowest[stretch]) * float(self.highest[stretch]))
