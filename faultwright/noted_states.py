"""The control states in which something was noted, each beside what a sound machine does there.

All of it follows from the circuit and the record: nothing here knows what is wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .behaviour import Seen, word_of
from .candidates import worth_reaching
from .circuit import Circuit
from .help_texts import text
from .machine import Machine
from .moves import control_moves
from .network import Wiring
from .record import Observed, Record, gone_through, is_repair

MOST_TO_SEE = 4
"""States not looked at yet that are named at once: as many as a person keeps in mind."""


@dataclass(frozen=True, slots=True)
class Noted:
    """What was noted in a control state with the wiring as it should be, and what a sound machine does there.

    ``number`` counts the record's actions from 0.
    """

    number: int
    state: Mapping[str, str]
    seen: Mapping[str, Seen]
    sound: Mapping[str, Seen]

    @property
    def wrong(self) -> list[str]:
        """The behaviours that differ from a sound machine's, by name."""
        return [name for name in self.seen if self.seen[name] != self.sound[name]]


def noted_states(circuit: Circuit, record: Record) -> list[Noted]:
    """Return what was noted since the last repair, with nothing unplugged, added or disturbed; the latest of a state.

    A sound machine goes through the same moves, so that relays, fuses and latches have the same history.
    """
    machine = Machine(circuit)
    found: dict[tuple[str, ...], Noted] = {}
    for number, action in gone_through(machine, record):
        if is_repair(action):
            found.clear()
        elif isinstance(action, Observed) and machine.wiring == Wiring() and not machine.disturbed:
            key = tuple(machine.state.values())
            found.pop(key, None)
            found[key] = Noted(number, dict(machine.state), action.seen, machine.seen())
    return list(found.values())


def differing_states(circuit: Circuit, record: Record) -> list[str]:
    """Return, in words, in which states what was noted differs from a sound machine, and which states to hold beside.

    Each behaviour that differs is told once, in the state in which it was noted last. Where nothing differs, states
    not noted yet are named.
    """
    noted = noted_states(circuit, record)
    latest = {name: one for one in noted for name in one.wrong}
    if latest:
        return [
            line
            for one in noted
            for line in _beside(circuit, one, [name for name in latest if latest[name] is one], noted)
        ]
    repaired = any(map(is_repair, record.moves()))
    return [text("states.nothing", since=text("states.since") if repaired else ""), *_to_see(circuit, noted)]


def _beside(circuit: Circuit, one: Noted, names: Sequence[str], noted: Sequence[Noted]) -> list[str]:
    """Return what was noted wrong of some behaviours, and the nearest state in which a sound machine does the same."""
    if not names:
        return []
    sound = _all_say(names, one.sound)
    state, seen = state_words(circuit, one.state), _all_say(names, one.seen)
    found = text("states.differs", state=state, sound=sound, seen=seen, number=one.number + 1)
    well = [other for other in noted if all(other.seen.get(name) == one.sound[name] for name in names)]
    if well:
        near = min(well, key=lambda other: len(_changed(one.state, other.state)))
        key, nearest, number = "states.well", near.state, near.number + 1
    else:
        rest = [
            state
            for state, does in _sound_states(circuit)
            if state not in [other.state for other in noted] and all(does[name] == one.sound[name] for name in names)
        ]
        if not rest:
            return [found, text("states.nowhere", sound=sound)]
        nearest = min(rest, key=lambda state: len(_changed(one.state, state)))
        key, number = "states.look", 0
    between, state = _between(circuit, one.state, nearest), state_words(circuit, nearest)
    return [found, text(key, state=state, sound=sound, number=number, between=between)]


def _to_see(circuit: Circuit, noted: Sequence[Noted]) -> list[str]:
    """Return some states not noted yet, first those in which a sound machine does most, then those nearest to rest."""
    known = [one.state for one in noted]
    rest = circuit.rest()
    still = [(state, seen) for state, seen in _sound_states(circuit) if state not in known]
    if not still:
        return [text("states.all_noted")]
    still.sort(key=lambda entry: (-sum(map(_is_on, entry[1].values())), len(_changed(rest, entry[0]))))
    return [
        text("states.to_see", state=state_words(circuit, state), sound=_all_say(list(seen), seen))
        for state, seen in still[:MOST_TO_SEE]
    ]


def _sound_states(circuit: Circuit) -> list[tuple[dict[str, str], Mapping[str, Seen]]]:
    """Return the states worth reaching, each with what a sound machine does when it is brought there from rest."""
    found: list[tuple[dict[str, str], Mapping[str, Seen]]] = []
    for state in worth_reaching(circuit, circuit.rest()):
        machine = Machine(circuit)
        for move in control_moves(circuit, circuit.rest(), state):
            machine.make(move)
        found.append((state, machine.seen()))
    return found


def _is_on(seen: Seen) -> bool:
    return seen not in (False, "off", None)


def _all_say(names: Sequence[str], seen: Mapping[str, Seen]) -> str:
    """Return what is seen of some behaviours in words: ``neutral lamp: lit, cranks: no``."""
    return ", ".join(f"{name.replace('_', ' ')}: {word_of(seen[name])}" for name in names)


def state_words(circuit: Circuit, state: Mapping[str, str]) -> str:
    """Return a control state in the machine's own words, without the controls at rest."""
    rest = circuit.rest()
    moved = [
        text("states.position", label=_label(circuit, name), position=position)
        for name, position in state.items()
        if position != rest[name]
    ]
    return ", ".join(moved) or text("state.rest")


def _between(circuit: Circuit, one: Mapping[str, str], other: Mapping[str, str]) -> str:
    """Return the controls that stand otherwise in two states, in words."""
    return ", ".join(
        text("states.change", label=_label(circuit, name), one=one[name], other=other[name])
        for name in _changed(one, other)
    )


def _changed(one: Mapping[str, str], other: Mapping[str, str]) -> list[str]:
    return [name for name in one if one[name] != other[name]]


def _label(circuit: Circuit, name: str) -> str:
    return circuit.controls[name].label or name
