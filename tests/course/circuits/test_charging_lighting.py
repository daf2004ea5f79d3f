"""The utility cart: charging, the charge lamp, and two headlamps on a relay."""

from __future__ import annotations

import pytest

from faultwright.faults import universe
from faultwright_course.catalogue import course_circuit
from tests.course.circuit_tables import Row, at, check_table, current, drop

CART = course_circuit("charging-lighting")

# Charge lamp, full charge shown, left lamp, right lamp, relay.
TABLE = (
    Row({"key": "off"}, ("off", False, "off", "off", False), "the key feeds everything"),
    Row(
        {"key": "on", "engine": "stopped", "lights": "off"},
        ("lit", False, "off", "off", False),
        "through the field winding",
    ),
    Row(
        {"key": "on", "engine": "stopped", "lights": "on"}, ("lit", False, "lit", "lit", True), "lamps on, not charging"
    ),
    Row({"key": "on", "engine": "running", "lights": "off"}, ("off", True, "off", "off", False), "charging"),
    Row({"key": "on", "engine": "running", "lights": "on"}, ("off", True, "lit", "lit", True), "charging, lamps on"),
)


def test_truth_table() -> None:
    """The charge lamp lights with the key on and the generator standing, and goes out when it charges."""
    check_table(CART, TABLE)


@pytest.mark.parametrize("lights", ["off", "on"])
def test_the_charging_voltage_keeps_to_common_practice(lights: str) -> None:
    """At rest 12.6 V, charging 13.8 to 14.6 V (common practice)."""
    assert drop(at(CART, CART.rest()), "G1:+", "G1:-") == pytest.approx(12.6, abs=0.01)
    assert 13.8 <= drop(at(CART, {"key": "on", "engine": "running", "lights": lights}), "G1:+", "G1:-") <= 14.6


def test_the_headlamps_take_what_their_power_says() -> None:
    """Two of 55 W at 12 V, 2.62 Ω each when hot, in parallel (Ohm's law)."""
    lit = at(CART, {"key": "on", "engine": "running", "lights": "on"})
    volts = drop(lit, "P2:1", "P2:2")
    assert current(lit, "W17") == pytest.approx(2 * volts / (144 / 55), rel=0.03)


def test_without_the_diode_the_generator_feeds_the_key_side() -> None:
    """R2 shorted is a sneak path: key off, engine running, and the headlamps stay on through the charge lamp."""
    off = {"key": "off", "engine": "running", "lights": "on"}
    assert at(CART, off).seen()["relay"] is False
    assert at(CART, off, universe(CART)["R2 shorted"]).seen()["relay"] is True


def test_a_broken_charging_fuse_is_told_by_the_monitor_and_not_by_the_lamp() -> None:
    """With F3 open the generator turns and feeds nobody: the charge lamp is out, and the battery stays at rest."""
    running = {"key": "on", "engine": "running", "lights": "off"}
    broken = at(CART, running, universe(CART)["F3 open"])
    assert drop(broken, "G1:+", "G1:-") == pytest.approx(12.6, abs=0.1)
    assert (broken.seen()["charge_lamp"], broken.seen()["full_charge"]) == ("off", False)


@pytest.mark.parametrize("engine", ["stopped", "running"])
def test_sound_joints_keep_to_common_practice(engine: str) -> None:
    """Headlamps lit, each load's ground path drops 0.1 V at most, a contact 0.2 V (common practice at 12 V)."""
    lit = at(CART, {"key": "on", "engine": engine, "lights": "on"})
    for load in ("P2:2", "P3:2", "Q1:85", "K1:-", "G2:-"):
        assert drop(lit, load, "FRAME") <= 0.1, load
    for contact in (("Q1:30", "Q1:87"), ("S1:1", "S1:2"), ("S2:1", "S2:2")):
        assert drop(lit, *contact) <= 0.2, contact


def test_both_ends_of_the_charge_lamp_stand_alike_when_it_charges() -> None:
    """Charging, the lamp is dark because the generator holds its far end up, not because that end hangs free.

    The far end is near the generator's voltage (13.8 to 14.6 V, common practice) and nothing is left across the lamp;
    with the generator standing, nearly the whole battery is across it.
    """
    charging = at(CART, {"key": "on", "engine": "running", "lights": "off"})
    assert 13.8 <= drop(charging, "P1:2", "FRAME") <= 14.6
    assert drop(charging, "P1:1", "P1:2") <= 0.5
    standing = at(CART, {"key": "on", "engine": "stopped", "lights": "off"})
    assert drop(standing, "P1:1", "P1:2") >= 9
