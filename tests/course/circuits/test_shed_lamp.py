"""The shed lamp: one loop, all of it needed."""

from __future__ import annotations

import pytest

from faultwright.faults import universe
from faultwright_course.catalogue import course_circuit
from tests.course.circuit_tables import Row, at, check_table, current, drop

SHED = course_circuit("shed-lamp")
TABLE = (Row({"light": "off"}, ("off",), "the switch is open"), Row({"light": "on"}, ("lit",), "the loop is closed"))


def test_truth_table() -> None:
    """The lamp follows its switch."""
    check_table(SHED, TABLE)


def test_every_part_of_the_loop_is_needed() -> None:
    """Each open fault darkens the lamp, but for the wire to the frame, which carries nothing (series)."""
    for fault in universe(SHED).values():
        if fault.mode.endswith("open") and fault.place != "W7":
            assert at(SHED, {"light": "on"}, fault).seen()["lamp"] == "off", fault


def test_the_current_follows_from_ohms_law() -> None:
    """A 10 W lamp for 12 V is 14.4 Ω hot: 12.6 V drive some 0.87 A through it and through every wire of the loop."""
    lit = at(SHED, {"light": "on"})
    for wire in ("W1", "W3", "W6"):
        assert current(lit, wire) == pytest.approx(12.6 / 14.4, rel=0.02)
    assert drop(lit, "P1:1", "P1:2") >= 12.2


def test_sound_joints_keep_to_common_practice() -> None:
    """Lamp lit, the way back to the battery drops 0.1 V at most, the switch 0.2 V (common practice at 12 V)."""
    lit = at(SHED, {"light": "on"})
    assert drop(lit, "P1:2", "G1:-") <= 0.1
    assert drop(lit, "S1:1", "S1:2") <= 0.2
