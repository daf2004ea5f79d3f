"""The flatbed trailer: a relay, three lamps on one ground, and what they do when it is lost."""

from __future__ import annotations

import pytest

from faultwright.faults import universe
from faultwright_course.catalogue import course_circuit
from tests.course.circuit_tables import Row, at, check_table, current, drop

TRAILER = course_circuit("trailer-lights")

# Side lamp, work lamp, warning lamp, warning repeater, side repeater, relay.
TABLE = (
    Row({"lights": "off", "warning": "off"}, ("off", "off", "off", "off", "off", False), "nothing is on"),
    Row({"lights": "off", "warning": "on"}, ("off", "off", "lit", "lit", "off", False), "its own switch"),
    Row({"lights": "side", "warning": "off"}, ("lit", "off", "off", "off", "lit", False), "side alone"),
    Row({"lights": "side", "warning": "on"}, ("lit", "off", "lit", "lit", "lit", False), "side and warning"),
    Row({"lights": "work", "warning": "off"}, ("lit", "lit", "off", "off", "lit", True), "work brings side with it"),
    Row({"lights": "work", "warning": "on"}, ("lit", "lit", "lit", "lit", "lit", True), "all of them"),
)


def test_truth_table() -> None:
    """Sound, each lamp answers to its own switch."""
    check_table(TRAILER, TABLE)


@pytest.mark.parametrize("fault", ["W17 open", "W16 open", "X1:4 open", "XE1:1 open"])
def test_without_the_shared_ground_lamps_answer_to_the_wrong_switch(fault: str) -> None:
    """Warning on, lights off: the side lamp glows, since its lamp and repeater are the way back (common practice).

    With the ground whole it is dark there.
    """
    warned = {"lights": "off", "warning": "on"}
    assert at(TRAILER, warned).seen()["side_lamp"] == "off"
    seen = at(TRAILER, warned, universe(TRAILER)[fault]).seen()
    assert seen["side_lamp"] == "dim"
    assert seen["warning_lamp"] != "lit"
    assert seen["warning_repeater"] == "lit"


def test_the_work_lamp_takes_what_its_power_says() -> None:
    """55 W at 12 V are 2.62 Ω hot: 4.6 A; the relay's coil of 85 Ω takes 0.15 A (Ohm's law)."""
    working = at(TRAILER, {"lights": "work", "warning": "off"})
    assert current(working, "W8") == pytest.approx(12.4 / (12**2 / 55), rel=0.03)
    assert current(working, "W6") == pytest.approx(12.5 / 85, rel=0.02)


def test_sound_joints_keep_to_common_practice() -> None:
    """All lamps lit, each load's ground path drops 0.1 V at most, a contact 0.2 V (common practice at 12 V)."""
    lit = at(TRAILER, {"lights": "work", "warning": "on"})
    for load in ("P1:2", "P2:2", "P3:2", "P4:2", "P5:2", "Q1:85"):
        assert drop(lit, load, "FRAME") <= 0.1, load
    for contact in (("Q1:30", "Q1:87"), ("S1:1", "S1:2"), ("S1:1", "S1:3"), ("S2:1", "S2:2")):
        assert drop(lit, *contact) <= 0.2, contact
