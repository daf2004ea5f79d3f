"""Rules of published standards, asserted as logic on the course's machines.

*read*: the rule was read in the document that is named; *memory*: known from the trade, not read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import pytest

from faultwright.behaviour import Seen
from faultwright.circuit import FRAME, Circuit
from faultwright.circuit_file import read_circuit
from faultwright.faults import Fault, parse_fault, universe
from faultwright.machine import Machine
from faultwright.moves import control_moves
from faultwright.network import OPEN
from faultwright.parts import terminals
from faultwright.state_table import state_table
from faultwright_course.catalogue import circuit_path

RUNABOUT, COMPRESSOR = (read_circuit(circuit_path(name)) for name in ("runabout", "compressor"))


def at(circuit: Circuit, state: Mapping[str, str]) -> Machine:
    """Return a machine brought from rest to a control state."""
    machine = Machine(circuit)
    for move in control_moves(circuit, machine.state, dict(state)):
        machine.move(move)
    return machine


# The prop stand: 2009/78/EC Annex I 3.1 (read), EU 168/2013 with 44/2014 (memory). A stand swings back by itself, or a
# device keeps the machine from moving off with the stand down. The runabout has the device.


def would_move_off(state: Mapping[str, str]) -> bool:
    """Say whether the engine drives the wheel with the stand down: a gear in and the clutch let go."""
    return (state["stand"], state["gear"], state["clutch"]) == ("down", "engaged", "released")


def drives_off(faults: Iterable[Fault] = ()) -> list[Mapping[str, Seen]]:
    """Return what is seen in the states in which the machine would move off with its stand down and is not refused."""
    rows = [row.seen for row in state_table(RUNABOUT, faults) if would_move_off(row.state)]
    assert len(rows) == 4
    return [seen for seen in rows if seen["cranks"] is not False or seen["runs"] is not False]


def test_the_runabout_cannot_move_off_with_its_stand_down() -> None:
    """In no control state with the stand down, a gear in and the clutch let go does the engine crank or run."""
    assert drives_off() == []


@pytest.mark.parametrize("fault", ["B2 stuck closed", "B1 stuck closed", "S3 stuck closed", "W11 shorted to ground"])
def test_what_defeats_the_stand_device(fault: str) -> None:
    """A switch that no longer opens, or an earth fault on the enable line, does away with the device."""
    assert drives_off([parse_fault(fault, RUNABOUT)]) != []


def test_a_running_engine_stops_before_the_runabout_moves_off() -> None:
    """From every state in which it runs, each single move into gear, clutch or stand that would let it go stops it."""
    tried = 0
    for state in RUNABOUT.states():
        for control in RUNABOUT.controls.values():
            for position in control.positions:
                machine = at(RUNABOUT, state)
                following = {**state, control.name: position}
                if machine.seen()["runs"] is True and would_move_off(following):
                    tried += 1
                    assert machine.move(f"{control.name}={position}").seen["runs"] is False, (state, following)
    assert tried >= 3  # into gear, out of the clutch, down with the stand


# Earthed control circuits: IEC 60204-1 9.4.3.1 (read)


def returns_straight(circuit: Circuit, terminal: str) -> bool:
    """Say whether wires, plugs and grounds alone join a terminal to FRAME: no contact, fuse, diode or load between."""
    network = Machine(circuit).solver.network
    kind = {part.name: part.kind for part in circuit.parts.values()}
    joining = [
        branch.closed if kind.get(branch.part, "wire") in {"wire", "connector", "ground"} else OPEN
        for branch in network.branches
    ]
    return network.joined(joining, network.node[terminal], network.node[FRAME])


def test_compressor_coil_and_contacts() -> None:
    """All contacts lie between the switched conductor and one coil terminal; the other goes straight to the common."""
    assert returns_straight(COMPRESSOR, "Q1:85")
    fed = ["Q1:86", *(pin for name in ("S1", "S2", "B1") for pin in terminals(COMPRESSOR.parts[name]))]
    assert not any(returns_straight(COMPRESSOR, terminal) for terminal in fed)


def started_by(circuit: Circuit, behaviour: str) -> list[str]:
    """Return the earth faults that make something happen in a control state in which a sound machine refuses."""
    sound = [row.seen[behaviour] for row in state_table(circuit)]
    faults = [fault for fault in universe(circuit).values() if fault.mode == "shorted to ground"]
    assert len(faults) == len(circuit.wires)
    return [
        fault.place
        for fault in faults
        if any(
            row.seen[behaviour] is not False and before is False
            for row, before in zip(state_table(circuit, [fault]), sound, strict=True)
        )
    ]


def test_no_earth_fault_starts_the_compressor() -> None:
    """That is what the rule is for."""
    assert started_by(COMPRESSOR, "compressor") == []


def test_an_earth_fault_starts_a_machine_that_is_enabled_by_ground() -> None:
    """The runabout's switches stand in the return, so each wire of its enable line that chafes through enables it.

    So do the two that reach that line through the diode.
    """
    assert not returns_straight(RUNABOUT, "Q1:85")
    assert started_by(RUNABOUT, "cranks") == ["W7", "W8", "W9", "W11", "W13", "W14", "W17", "W21"]


# Voltage drop in the wires: FAA AC 43.13-1B Table 11-6 (memory)


def drop(machine: Machine, *pairs: tuple[str, str]) -> float:
    """Return the V between the terminals of each pair, together."""
    return sum(abs(float(machine.settled.voltage(a) - machine.settled.voltage(b))) for a, b in pairs)


def test_allowed_drops() -> None:
    """On a 14 V system 0.5 V may be lost between source and load, there and back, continuously, 1 V for a short while.

    The compressor runs on, the runabout's starter does not.
    """
    running = at(COMPRESSOR, {"key": "on", "run": "pressed", "pressure": "low"})
    assert 0 < drop(running, ("G1:+", "M1:1"), ("M1:2", "G1:-")) <= 0.5
    cranking = at(RUNABOUT, RUNABOUT.rest() | {"key": "on", "start": "pressed"})
    assert 0 < drop(cranking, ("G1:+", "M1:1"), ("M1:2", "G1:-")) <= 1
