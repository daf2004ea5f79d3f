"""Printed expectations of the course's circuits, and machines brought to where they are wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from faultwright.behaviour import Seen
from faultwright.circuit import Circuit
from faultwright.faults import Fault
from faultwright.machine import Machine
from faultwright.moves import control_moves


@dataclass(frozen=True)
class Row:
    """One or several control states (controls that are not named may stand anywhere), what is seen, and why."""

    state: dict[str, str]
    seen: tuple[Seen, ...]
    why: str

    def covers(self, state: dict[str, str]) -> bool:
        """Say whether the row speaks of a state."""
        return self.state.items() <= state.items()


def at(circuit: Circuit, state: dict[str, str], *faults: Fault) -> Machine:
    """Return a machine brought from rest to a control state, the controls in the order of the file."""
    machine = Machine(circuit, faults)
    for move in control_moves(circuit, machine.state, state):
        machine.move(move)
    return machine


def check_table(circuit: Circuit, table: Sequence[Row]) -> None:
    """Compare a sound machine in every control state with its table, in which each state stands once."""
    for state in circuit.states():
        (row,) = [row for row in table if row.covers(state)]
        assert tuple(at(circuit, state).seen().values()) == row.seen, f"{state}: {row.why}"


def after(machine: Machine, moves: str) -> dict[str, Seen]:
    """Return what is seen after the moves in a line."""
    for move in moves.split():
        machine.move(move)
    return machine.seen()


def drop(machine: Machine, red: str, black: str) -> float:
    """Return a voltage between two terminals in V, whatever its sign."""
    return abs(float(machine.settled.voltage(red) - machine.settled.voltage(black)))


def current(machine: Machine, wire: str) -> float:
    """Return the current that a wire carries, in A, by Ohm's law from its drop."""
    ends = machine.circuit.wires[wire]
    return drop(machine, ends.start, ends.end) / ends.resistance
