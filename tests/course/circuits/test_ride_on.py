"""The ride-on mower: who sits on it decides, and open is run."""

from __future__ import annotations

import pytest

from faultwright.faults import universe
from faultwright.machine import Machine
from faultwright_course.catalogue import course_circuit
from tests.course.circuit_tables import Row, after, at, check_table, drop

MOWER = course_circuit("ride-on")
STARTED = "key=run brake=on seat=taken key=start key=run"

# Cranks, sparks, runs, from rest, the key last.
TABLE = (
    Row({"key": "off"}, (False, False, False), "the key grounds the magneto"),
    Row({"key": "run", "seat": "taken"}, (False, True, False), "nothing grounds it"),
    Row({"key": "run", "seat": "empty", "blade": "out"}, (False, True, False), "the blade is out"),
    Row({"key": "run", "seat": "empty", "blade": "in"}, (False, False, False), "blade in and nobody there: stop"),
    Row({"key": "start", "brake": "off", "seat": "taken"}, (False, True, False), "no cranking with the brake off"),
    Row(
        {"key": "start", "brake": "off", "seat": "empty", "blade": "out"}, (False, True, False), "nor without a driver"
    ),
    Row({"key": "start", "seat": "empty", "blade": "in"}, (False, False, False), "blade in: neither cranks nor sparks"),
    Row({"key": "start", "brake": "on", "seat": "taken", "blade": "in"}, (False, True, False), "not with the blade in"),
    Row({"key": "start", "brake": "on", "blade": "out", "seat": "taken"}, (True, True, True), "it cranks and starts"),
    Row(
        {"key": "start", "brake": "on", "blade": "out", "seat": "empty"},
        (True, True, True),
        "blade out: a seat is not asked",
    ),
)


def test_truth_table() -> None:
    """In every control state what an operator-presence circuit of this kind does (common practice)."""
    check_table(MOWER, TABLE)


def test_leaving_the_seat_with_the_blade_in_stops_it() -> None:
    """And sitting down again starts nothing."""
    machine = Machine(MOWER)
    assert after(machine, STARTED)["runs"] is True
    assert after(machine, "brake=off blade=in")["runs"] is True
    assert after(machine, "seat=empty")["runs"] is False
    assert after(machine, "seat=taken")["runs"] is False


def test_leaving_the_seat_with_the_blade_out_does_not() -> None:
    """The driver may get off to open a gate."""
    machine = Machine(MOWER)
    after(machine, STARTED)
    assert after(machine, "seat=empty")["runs"] is True


@pytest.mark.parametrize("fault", ["W12 open", "W13 open", "X1:1 open", "T1:stop open"])
def test_a_broken_stop_wire_means_that_it_will_not_stop(fault: str) -> None:
    """Stop by ground: with the wire broken neither the key nor the empty seat stops the engine."""
    machine = Machine(MOWER, [universe(MOWER)[fault]])
    assert after(machine, STARTED)["runs"] is True
    assert after(machine, "key=off")["runs"] is True
    assert after(machine, "blade=in seat=empty")["runs"] is True


@pytest.mark.parametrize("fault", ["W12 shorted to ground", "W13 shorted to ground"])
def test_a_chafed_stop_wire_means_that_it_will_not_start(fault: str) -> None:
    """It cranks and never sparks."""
    seen = after(Machine(MOWER, [universe(MOWER)[fault]]), "brake=on seat=taken key=start")
    assert seen == {"cranks": True, "sparks": False, "runs": False}


def test_sound_joints_keep_to_common_practice() -> None:
    """Cranking: one side 0.5 V at most, ground 0.1 V, the battery above 9.6 V (common practice at 12 V)."""
    cranking = at(MOWER, MOWER.rest() | {"brake": "on", "key": "start"})
    assert cranking.seen()["cranks"] is True
    assert drop(cranking, "G1:+", "M1:1") <= 0.5
    assert drop(cranking, "M1:2", "G1:-") <= 0.2
    assert drop(cranking, "G1:+", "G1:-") >= 9.6
    assert drop(cranking, "S2:1", "S2:2") <= 0.2
