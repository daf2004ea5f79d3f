"""The trace: a candidate's record done once more on that candidate's own machine, action by action.

It tells which findings this machine could have shown, what stood when each was made, and when the fault was gone.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass, replace

from faultwright.behaviour import Seen
from faultwright.circuit import Circuit
from faultwright.faults import Fault
from faultwright.machine import Machine
from faultwright.meter import CONTINUITY, DIODE, OHMS, Probe, read
from faultwright.moves import Move
from faultwright.network import Wiring
from faultwright.record import Action, Measured, Observed, Prediction, Record, discrepancy

MOVING = ("motor", "solenoid", "magneto", "input")
"""Kinds of part that make a machine move, or keep its engine running."""

DEAD_MODES = (OHMS, CONTINUITY, DIODE)
"""Meter modes that ask for a circuit without supply."""

_PUT_ON = ("bridge", "unbridge", "load", "unload")


@dataclass(frozen=True, slots=True)
class Moment:
    """How things stood when an action was made (a move: after it).

    ``delivers`` says, of a measurement that asks for a circuit without supply, that some source delivers current.
    ``would`` is what this machine shows where the action is a finding, and ``true`` says that the finding agrees.
    ``again`` says that the same finding had been made in the very same situation before. ``forced`` names what moves
    only by the jumpers and test lamps that are on, where a sound machine refuses. ``blown`` names the fuses that have
    gone.
    """

    index: int
    action: Action
    state: Mapping[str, str]
    wiring: Wiring
    delivers: bool
    cured: bool
    would: Prediction | None = None
    true: bool = False
    again: bool = False
    forced: tuple[str, ...] = ()
    blown: frozenset[str] = frozenset()

    @property
    def clean(self) -> bool:
        """Whether nothing is bridged, loaded, unplugged or substituted."""
        return self.wiring == Wiring()


@dataclass(frozen=True, slots=True)
class Trace:
    """All moments of a record, and the wiring at its end."""

    moments: tuple[Moment, ...]
    cured: bool
    wiring: Wiring

    @property
    def cure(self) -> int:
        """The number of the action that took the fault away; the length of the record where none did."""
        return next((moment.index for moment in self.moments if moment.cured), len(self.moments))

    @property
    def forged(self) -> list[Moment]:
        """The findings that this machine could not have shown."""
        return [moment for moment in self.moments if moment.would is not None and not moment.true]


def trace(circuit: Circuit, fault: Fault, record: Record) -> Trace:
    """Do a record once more on a machine with this fault."""
    machine = Machine(circuit, [fault])
    sound = _Sound(circuit)
    moments: list[Moment] = []
    known: set[object] = set()
    for index, action in enumerate(record.actions):
        would: Prediction | None = None
        true = again = False
        if isinstance(action, Move):
            machine.make(action)
            sound.note(action)
        elif isinstance(action, Measured):
            would = read(machine, action.probe)
            # On a simulated machine there is no real meter whose tolerance could be claimed.
            true = discrepancy(replace(action, source="") if action.source else action, would) == 0
            again = _known(known, machine, action.probe)
        elif isinstance(action, Observed):
            seen = machine.seen()
            would = {name: seen[name] for name in action.seen}
            true = discrepancy(action, would) == 0
            again = _known(known, machine, tuple(sorted(action.seen)))
        moments.append(
            Moment(
                index=index,
                action=action,
                state=dict(machine.state),
                wiring=machine.wiring,
                delivers=_is_dead(action) and machine.delivers(),
                cured=not machine.faults,
                would=would,
                true=true,
                again=again,
                forced=_forced(machine, sound),
                blown=machine.blown,
            )
        )
    return Trace(tuple(moments), not machine.faults, machine.wiring)


def _is_dead(action: Action) -> bool:
    """Say whether an action is a measurement that asks for a circuit without supply."""
    return isinstance(action, Measured) and action.probe.mode in DEAD_MODES


class _Sound:
    """A sound machine that goes through the same moves without jumpers and test lamps, but only when it is asked."""

    def __init__(self, circuit: Circuit) -> None:
        self._machine = Machine(circuit)
        self._waiting: list[Move] = []

    def note(self, move: Move) -> None:
        """Remember a move."""
        if move.verb not in _PUT_ON:
            self._waiting.append(move)

    def seen(self) -> Mapping[str, Seen]:
        """Return what is seen of it now: each move is made once, however often it is asked."""
        for move in self._waiting:
            self._machine.make(move)
        self._waiting.clear()
        return self._machine.seen()


def _forced(machine: Machine, sound: _Sound) -> tuple[str, ...]:
    """Return what moves now, and neither without the jumpers and test lamps nor on a sound machine."""
    if not (machine.wiring.bridges or machine.wiring.loads):
        return ()
    now = machine.seen()
    moving = [name for name, one in machine.circuit.behaviour.items() if one.kind in MOVING and now[name] is True]
    if not moving:
        return ()
    bare = copy.copy(machine)
    bare.rewire(replace(machine.wiring, bridges=(), loads=()))
    without, meant = bare.seen(), sound.seen()
    return tuple(name for name in moving if not without[name] and not meant[name])


def _known(known: set[object], machine: Machine, what: Probe | tuple[str, ...]) -> bool:
    """Say whether a measurement repeats one made in the very same situation, and remember it."""
    situation = (
        what,
        tuple(machine.state.items()),
        tuple(machine.before.items()),
        tuple(machine.relays.items()),
        tuple(machine.latched.items()),
        machine.blown,
        machine.wiring,
        machine.disturbed,
        machine.faults,
    )
    repeated = situation in known
    known.add(situation)
    return repeated
