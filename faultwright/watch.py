"""Watching the meter while a control moves: five readings along one move.

A sound contact changes once, half-way; a sticking one late; a dirty one flickers before it settles, in one
of a few patterns that the circuit and the move fix, so that a record can be replayed.
"""

from __future__ import annotations

import copy
import random
from collections.abc import Mapping

from .circuit import Part
from .machine import Machine, Step
from .meter import Probe, Reading, check_probe, read
from .moves import Move, parse_move

ALONG = 5
"""Readings along a move: the first before it, the last when all has settled."""

_SOUND = (False, False, True, True, True)
_LATE = (False, False, False, False, True)
_FLICKERING = (
    (False, False, True, False, True),
    (False, True, False, False, True),
    (False, True, False, True, True),
)
"""For each reading: has the contact arrived?"""


def watch(machine: Machine, move: Move | str, probe: Probe) -> tuple[Step, list[Reading]]:
    """Make a move and return what is seen after it, and the readings along it.

    Raises Refused, with nothing moved, for a move or a measurement that does not exist.
    """
    check_probe(probe, machine.circuit)
    if isinstance(move, str):
        move = parse_move(move, machine.circuit)
    before = copy.copy(machine)
    before.state = dict(machine.state)  # the move changes the machine's own
    positions_before = machine.positions()
    step = machine.move(move)
    positions_after = machine.positions()
    courses = _courses(machine, move)
    readings = []
    for moment in range(ALONG):
        stands = copy.copy(before if moment < ALONG // 2 else machine)
        stands.held = {
            switch: positions_after[switch] if courses[switch][moment] else positions_before[switch]
            for switch in positions_after
        }
        readings.append(read(stands, probe))
    return step, readings


def _courses(machine: Machine, move: Move) -> Mapping[str, tuple[bool, ...]]:
    """Return for each switch when it arrives: soundly, late, or flickering where its contact is dirty."""
    dirty = {fault.place for fault in machine.present() if fault.mode.endswith("resistance")}
    chance = random.Random(f"{machine.circuit.name} {move}")  # noqa: S311 - a fixed pattern, not a secret

    def course(part: Part) -> tuple[bool, ...]:
        if part.name in machine.solver.network.sticking:
            return _LATE
        return chance.choice(_FLICKERING) if part.name in dirty else _SOUND

    return {part.name: course(part) for part in machine.circuit.parts.values() if part.control is not None}
