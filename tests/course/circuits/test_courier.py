"""The courier: starts in neutral or with clutch and stand, runs on in neutral or with the stand up."""

from __future__ import annotations

from faultwright.faults import universe
from faultwright.machine import Machine
from faultwright_course.catalogue import course_circuit
from tests.course.circuit_tables import Row, after, at, check_table, drop

COURIER = course_circuit("courier")

# Neutral lamp, cranks, sparks, runs: the other of the two usual arrangements (common practice).
TABLE = (
    Row({"key": "off"}, ("off", False, False, False), "nothing is fed"),
    Row(
        {"key": "on", "gear": "neutral", "start": "released"},
        ("lit", False, True, False),
        "neutral grounds the run line",
    ),
    Row({"key": "on", "gear": "neutral", "start": "pressed"}, ("lit", True, True, True), "and the start line"),
    Row({"key": "on", "gear": "engaged", "stand": "down"}, ("off", False, False, False), "stand down in gear: nothing"),
    Row(
        {"key": "on", "gear": "engaged", "stand": "raised", "start": "released"},
        ("off", False, True, False),
        "the stand alone grounds the run line",
    ),
    Row(
        {"key": "on", "gear": "engaged", "stand": "raised", "start": "pressed", "clutch": "released"},
        ("off", False, True, False),
        "in gear the start line needs the clutch as well",
    ),
    Row(
        {"key": "on", "gear": "engaged", "stand": "raised", "start": "pressed", "clutch": "pulled"},
        ("off", True, True, True),
        "clutch and stand together",
    ),
)
STARTED = "key=on start=pressed start=released"


def test_truth_table() -> None:
    """A sound machine does in every control state what the table says."""
    check_table(COURIER, TABLE)


def test_it_cannot_move_off_with_the_stand_down() -> None:
    """Engaging a gear with the stand down stops it (2009/78/EC Annex I, EU 168/2013: memory)."""
    machine = Machine(COURIER)
    assert after(machine, STARTED)["runs"] is True
    assert after(machine, "clutch=pulled gear=engaged")["runs"] is False


def test_it_runs_on_in_gear_with_the_stand_up() -> None:
    """Stand up, clutch pulled, gear in, clutch let go: it drives."""
    machine = Machine(COURIER)
    after(machine, STARTED)
    for move in ("stand=raised", "clutch=pulled", "gear=engaged", "clutch=released"):
        assert after(machine, move)["runs"] is True, move
    assert after(machine, "stand=down")["runs"] is False


def test_a_shorted_diode_is_a_sneak_path() -> None:
    """R2 shorted: the stand lights the neutral lamp in gear; R1 shorted: clutch and stand together do."""
    up = COURIER.rest() | {"key": "on", "gear": "engaged", "stand": "raised"}
    assert at(COURIER, up).seen()["neutral_lamp"] == "off"
    assert at(COURIER, up, universe(COURIER)["R2 shorted"]).seen()["neutral_lamp"] == "lit"
    pulled = up | {"clutch": "pulled"}
    assert at(COURIER, up, universe(COURIER)["R1 shorted"]).seen()["neutral_lamp"] == "off"
    assert at(COURIER, pulled, universe(COURIER)["R1 shorted"]).seen()["neutral_lamp"] == "lit"


def test_an_open_diode_loses_a_function() -> None:
    """R1 open: no cranking in neutral; R2 open: no spark there. The neutral lamp lights with either."""
    neutral = COURIER.rest() | {"key": "on", "start": "pressed"}
    assert at(COURIER, neutral, universe(COURIER)["R1 open"]).seen() == {
        "neutral_lamp": "lit", "cranks": False, "sparks": True, "runs": False,
    }  # fmt: skip
    assert at(COURIER, neutral, universe(COURIER)["R2 open"]).seen() == {
        "neutral_lamp": "lit", "cranks": True, "sparks": False, "runs": False,
    }  # fmt: skip


def test_sound_joints_keep_to_common_practice() -> None:
    """Cranking: one side 0.5 V at most, ground 0.1 V (common practice at 12 V)."""
    cranking = at(COURIER, COURIER.rest() | {"key": "on", "start": "pressed"})
    assert drop(cranking, "G1:+", "M1:1") <= 0.5
    assert drop(cranking, "M1:2", "G1:-") <= 0.1
    assert drop(cranking, "S1:1", "S1:2") <= 0.2
