"""The tractor's starting circuit: what milliohms do where some two hundred amperes flow."""

from __future__ import annotations

import math

import pytest

from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright.meter import Probe, read
from faultwright_course.catalogue import course_circuit
from tests.course.circuit_tables import Row, at, check_table, drop

TRACTOR = course_circuit("tractor-start")
CRANKING = {"key": "start", "clutch": "down"}

# Panel lamp, relay, cranks.
TABLE = (
    Row({"key": "off"}, ("off", False, False), "nothing is fed"),
    Row({"key": "run"}, ("lit", False, False), "key on"),
    Row({"key": "start", "clutch": "up"}, ("lit", False, False), "the clutch pedal must be down"),
    Row({"key": "start", "clutch": "down"}, ("lit", True, True), "it cranks"),
)


def test_truth_table() -> None:
    """The starter turns with the key in start and the clutch pedal down, and not otherwise (common practice)."""
    check_table(TRACTOR, TABLE)


def test_a_sound_starting_circuit_keeps_to_common_practice() -> None:
    """Resting 12.6 V; cranking not under 9.6 V; each side 0.5 V at most; the ground side some 0.1 to 0.2 V."""
    assert drop(at(TRACTOR, {"key": "off", "clutch": "up"}), "G1:+", "G1:-") == pytest.approx(12.6, abs=0.05)
    cranking = at(TRACTOR, CRANKING)
    assert drop(cranking, "G1:+", "G1:-") >= 9.6
    assert drop(cranking, "G1:+", "M1:1") <= 0.5
    assert drop(cranking, "M1:2", "G1:-") <= 0.2
    for red, black in (("Q1:30", "Q1:87"), ("X1:1", "X1:2"), ("M1:2", "XE1:1")):
        assert drop(cranking, red, black) <= 0.1


def test_ohms_do_not_see_what_a_drop_sees() -> None:
    """A joint of 20 mΩ in the ground strap: under load volts, in the hand next to nothing on ohms (common practice)."""
    fault = parse_fault("XE1:1 resistance 20 mΩ", TRACTOR)
    cranking = at(TRACTOR, CRANKING, fault)
    assert drop(cranking, "M1:2", "G1:-") > 1.5
    isolated = Machine(TRACTOR, [fault])
    isolated.move("unplug=G1")
    shown = read(isolated, Probe("ohms", "M1:2", "FRAME"))
    assert shown.value is not None
    assert shown.value <= 0.1


def test_a_worse_joint_stops_it() -> None:
    """40 mΩ in the main cable's joint: the starter no longer turns, and the relay still clicks in."""
    seen = at(TRACTOR, CRANKING, parse_fault("X1:2 resistance 40 mΩ", TRACTOR)).seen()
    assert (seen["relay"], seen["cranks"]) == (True, False)


def test_a_published_starter() -> None:
    """12 V with 0.0100 Ω and a starter of 0.0500 Ω: 200 A, 10.0 V, 2.00 kW (OpenStax, worked example; read)."""
    current = 12 / (0.0100 + 0.0500)
    assert math.isclose(current, 200)
    assert math.isclose(12 - current * 0.0100, 10.0)
    # Ours is of that kind: with its own emf and resistances the current at standstill lies near.
    standstill = 12.6 / (0.008 + 0.050)
    assert standstill == pytest.approx(current, rel=0.1)
