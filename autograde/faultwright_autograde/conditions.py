"""Claims about control states: ``always``, ``never``, or positions joined by ``and`` and ``or``.

A continuity claim is right when it says, in every state of the controls, whether the path is there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from faultwright.candidates import isolation
from faultwright.circuit import Circuit
from faultwright.errors import Refused, unknown
from faultwright.machine import Machine
from faultwright.meter import CONTINUITY, Probe, read
from faultwright.moves import control_moves

ALWAYS, NEVER = "always", "never"


@dataclass(frozen=True, slots=True)
class Condition:
    """Holds where all positions of one of its ``ways`` are taken; ``((),)`` is always, ``()`` never."""

    text: str
    ways: tuple[tuple[tuple[str, str], ...], ...]

    def holds(self, state: Mapping[str, str]) -> bool:
        """Say whether the condition holds in a state of the controls."""
        return any(all(state[control] == position for control, position in way) for way in self.ways)


def parse_condition(text: str, circuit: Circuit) -> Condition:
    """Return the condition that ``text`` writes. Raises Refused with the nearest control or position."""
    words = " ".join(text.split())
    if words in (ALWAYS, NEVER):
        return Condition(words, ((),) if words == ALWAYS else ())
    ways = tuple(tuple(_position(entry, circuit) for entry in way.split(" and ")) for way in words.split(" or "))
    return Condition(words, ways)


def _position(entry: str, circuit: Circuit) -> tuple[str, str]:
    control, equals, position = (part.strip() for part in entry.partition("="))
    if not equals:
        raise Refused(f"{entry!r} is no condition; write always, never, or control=position joined by 'and' and 'or'")
    if control not in circuit.controls:
        raise Refused(unknown("control", control, list(circuit.controls)))
    if position not in circuit.controls[control].positions:
        raise Refused(f"control {control}: {unknown('position', position, circuit.controls[control].positions)}")
    return control, position


def path_states(circuit: Circuit, between: tuple[str, str]) -> list[tuple[dict[str, str], bool]]:
    """Return whether continuity beeps between two terminals of the sound, isolated circuit, for every state."""
    found = []
    for state in circuit.states():
        machine = Machine(circuit)
        for move in (*isolation(circuit), *control_moves(circuit, machine.state, state)):
            machine.move(move)
        found.append((state, bool(read(machine, Probe(CONTINUITY, *between)).beeps)))
    return found


def first_wrong(condition: Condition, states: list[tuple[dict[str, str], bool]]) -> dict[str, str] | None:
    """Return the first state in which a condition says something else than the circuit, or None: it holds in all."""
    return next((state for state, there in states if condition.holds(state) != there), None)


def is_true(condition: Condition, states: list[tuple[dict[str, str], bool]]) -> bool:
    """Say whether a condition tells, in every state, whether the path is there."""
    return first_wrong(condition, states) is None
