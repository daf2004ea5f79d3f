"""Situations: every hypothesis, at every value tried, as its machine stands after some moves; all of it is kept.

Many records go through the same situations: those of one class, or one record as it grows. What a situation shows is
worked out once, in lanes.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property

import numpy as np

from .circuit import Circuit
from .faults import Fault
from .in_step import Machines
from .lane_networks import Truths
from .lane_readings import read_each
from .machine import Machine
from .meter import Probe
from .moves import REST, Move
from .record import Finding, Measured, Observed
from .trials import Trial, trial_of
from .value_stretches import FINE, Agreeing, Columns, Readings, agreeing_codes, all_agreeing

MOST_KEPT = 512
"""Situations that are kept; the one that was asked for longest ago is let go first."""

MOST_AGREEING = 4096
"""Findings of which what agrees is kept, of all situations."""

MOST_VALUES = 200
"""Values of one fault that are tried: where that does not do, what may be left counts as left."""

_MOST_AT_ONCE = 8
"""Values by which a fault's are added to at a time: many doubts go when one does."""


class Situations:
    """A circuit with each of some hypotheses in it, in whatever situation is asked for."""

    def __init__(self, circuit: Circuit, trials: Sequence[Trial]) -> None:
        """Lay out the hypotheses: one column each, and one a value where a fault has a free one."""
        self.circuit = circuit
        self.trials = list(trials)
        self.number: Mapping[tuple[str, ...], int] = {trial.names: place for place, trial in enumerate(self.trials)}
        self.values = [trial.values() for trial in self.trials]
        self.diodes = any(part.kind == "diode" for part in circuit.parts.values())
        self._lay_out()

    def _lay_out(self) -> None:
        counts = [len(values) for values in self.values]
        start = np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)
        self.columns = Columns(np.array([value for values in self.values for value in values]), start)
        self._known: OrderedDict[tuple[Move, ...], Situation] = OrderedDict()
        self._agreeing: OrderedDict[object, Agreeing] = OrderedDict()

    def kept(self, key: object, work_out: Callable[[], Agreeing]) -> Agreeing:
        """Return what agrees with a finding in a situation, kept under ``key`` or worked out now."""
        found = self._agreeing.get(key)
        if found is None:
            found = self._agreeing[key] = work_out()
            if len(self._agreeing) > MOST_AGREEING:
                self._agreeing.popitem(last=False)
        return found

    def _at_rest(self) -> Machines:
        pairs = zip(self.trials, self.values, strict=True)
        return Machines(self.circuit, [trial.at(value) for trial, values in pairs for value in values])

    @cached_property
    def closer(self) -> Situations:
        """The same circuit with those hypotheses that had to be looked at more closely, at the values for that."""
        return Situations(self.circuit, [])

    def after(self, moves: Sequence[Move]) -> Situation:
        """Return how all stand after moves from rest."""
        wanted = _since_rest(moves)
        known = len(wanted)
        while known and wanted[:known] not in self._known:
            known -= 1
        if wanted[:known] not in self._known:
            self._known[()] = Situation(self, (), self._at_rest())
        situation = self._known[wanted[:known]]
        for end in range(known + 1, len(wanted) + 1):
            machines = situation.machines.copy()
            machines.move(wanted[end - 1])
            situation = self._known[wanted[:end]] = Situation(self, wanted[:end], machines)
            while len(self._known) > MOST_KEPT:
                self._known.popitem(last=False)
        self._known.move_to_end(wanted)
        return situation

    def take_in(self, trial: Trial, values: Iterable[float]) -> None:
        """Try a hypothesis at some more values; if any is new, all situations are worked out anew when asked for."""
        place = self.number.get(trial.names)
        if place is None:
            self.number = {**self.number, trial.names: len(self.trials)}
            self.trials.append(trial)
            self.values.append(sorted(values))
        elif self.values[place] != (more := sorted({*self.values[place], *values})):
            self.values[place] = more
        else:
            return
        self._lay_out()

    def look_closer(self, doubtful: Iterable[tuple[Situation, int]]) -> None:
        """Try more values where, in a situation, it is doubtful what agrees in the stretch behind a column.

        Where the machine stands otherwise at both ends the values are found between which it changes; elsewhere one
        in the middle is taken.
        """
        more: dict[int, set[float]] = {}
        # What one situation tells of a stretch mostly settles it for the others too.
        for column, situation in {column: situation for situation, column in reversed(list(doubtful))}.items():
            hypothesis = int(np.searchsorted(self.columns.start, column, side="right")) - 1
            values = more.setdefault(hypothesis, set())
            if len(values) < _MOST_AT_ONCE:
                values.update(situation.between(hypothesis, column))
        for hypothesis, values in more.items():
            self.take_in(self.trials[hypothesis], values)


class Situation:
    """How all hypotheses stand after some moves, and what shows then."""

    def __init__(self, situations: Situations, moves: tuple[Move, ...], machines: Machines) -> None:
        """Take the machines as they stand."""
        self.situations, self.moves, self.machines = situations, moves, machines
        self._readings: dict[Probe, Readings] = {}

    @cached_property
    def alike(self) -> Truths:
        """Whether the machines of a column and the next stand alike: relays, fuses, latches, motors.

        Those in which the same relays buzz do, wherever these were last seen.
        """
        found = np.ones(len(self.machines.hypothesis), dtype=bool)
        for flag in self.machines.regime():
            found[:-1] &= flag[:-1] == flag[1:]
        buzzing = {number: one.settled.buzzing for number, one in self.machines.alone.items() if one.settled.buzzing}
        for number, relays in buzzing.items():
            if buzzing.get(number + 1) == relays:
                found[number] = True
        return found

    def agreeing(self, finding: Finding) -> Agreeing:
        """Return what agrees with a finding here: a reading, or all that was seen at once."""
        known = self.situations
        if isinstance(finding, Measured):
            reading = finding.reading
            key: object = self, finding.probe, reading.value, reading.status, finding.source, finding.off
            return known.kept(key, lambda: self.readings(finding.probe).agreeing(finding))
        return known.kept((self, *finding.seen.items()), lambda: self._seen(finding))

    def _seen(self, finding: Observed) -> Agreeing:
        columns, codes = self.situations.columns, self.machines.seen
        each = [agreeing_codes(columns, codes[name], self.alike, seen) for name, seen in finding.seen.items()]
        return all_agreeing(columns, each)

    def readings(self, probe: Probe) -> Readings:
        """Return what a meter shows."""
        if probe not in self._readings:
            known = self.situations
            shown = read_each(self.machines, probe)
            self._readings[probe] = Readings(known.columns, shown, self.alike, diodes=known.diodes)
        return self._readings[probe]

    def between(self, hypothesis: int, column: int) -> list[float]:
        """Return values in Ω between a column and the next: two beside where the machine changes, or one half-way."""
        low, high = self.situations.columns.value[column : column + 2].tolist()
        at_low, at_high = self._stands(hypothesis, low), self._stands(hypothesis, high)
        if at_low == at_high:
            return [(low * high) ** 0.5]
        while high > (1 + (FINE - 1) / 2) * low:
            middle = (low * high) ** 0.5
            stands = self._stands(hypothesis, middle)
            low, high = (middle, high) if stands == at_low else (low, middle)
        return [low, high]

    def _stands(self, hypothesis: int, value: float) -> object:
        """Return how the machine of a hypothesis stands here, and what it is seen to do, with its fault at a value."""
        machine = Machine(self.situations.circuit, self.situations.trials[hypothesis].at(value))
        for move in self.moves:
            machine.make(move)
        settled = machine.settled
        relays = frozenset(name for name, pulled_in in machine.relays.items() if pulled_in) - settled.buzzing
        return relays, settled.buzzing, machine.blown, frozenset(settled.turning), tuple(machine.seen().items())


def situations_of(circuit: Circuit, faults: Iterable[Fault]) -> Situations:
    """Return the situations of a circuit with each of some single faults, and sound."""
    return Situations(circuit, [*map(trial_of, faults), trial_of(None)])


def _since_rest(moves: Sequence[Move]) -> tuple[Move, ...]:
    """Return the moves that count: repairs, and everything since the controls last went to rest."""
    last = max((place for place, move in enumerate(moves) if move.verb == REST), default=-1)
    repairs = tuple(move for move in moves[: last + 1] if move.verb == "repair")
    return (*repairs, *([moves[last]] if repairs else []), *moves[last + 1 :])
