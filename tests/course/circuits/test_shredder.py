"""The shredder: a guarded stop chain with hold-in that stops by de-energising and never starts by itself."""

from __future__ import annotations

import pytest

from faultwright.circuit import split_terminal
from faultwright.faults import universe
from faultwright.machine import Machine
from faultwright_course.catalogue import course_circuit
from tests.course.circuit_tables import Row, after, at, check_table

SHREDDER = course_circuit("shredder")
READY = "mains=on start=pressed start=released"

# Control lamp, contactor, shreds: from rest to the state, the start button last (common practice of a stop chain).
TABLE = (
    Row({"mains": "off"}, ("off", False, False), "nothing is fed"),
    Row({"mains": "on", "start": "released"}, ("lit", False, False), "fed, and nobody has started it"),
    *(
        Row({"mains": "on", "start": "pressed", **state}, ("lit", False, False), "one contact of the chain is open")
        for state in (
            {"emergency": "pressed"},
            {"emergency": "released", "hopper": "open"},
            {"emergency": "released", "hopper": "closed", "chute": "open"},
            {"emergency": "released", "hopper": "closed", "chute": "closed", "overload": "tripped"},
            {"emergency": "released", "hopper": "closed", "chute": "closed", "overload": "reset", "stop": "pressed"},
        )
    ),
    Row(
        {
            "mains": "on", "emergency": "released", "hopper": "closed", "chute": "closed", "overload": "reset",
            "stop": "released", "start": "pressed",
        },
        ("lit", True, True),
        "the whole chain is closed and somebody starts it",
    ),
)  # fmt: skip

OPENED = {
    "emergency=pressed": "emergency=released",
    "hopper=open": "hopper=closed",
    "chute=open": "chute=closed",
    "overload=tripped": "overload=reset",
    "stop=pressed": "stop=released",
    "mains=off": "mains=on",
}


def test_truth_table() -> None:
    """A sound machine does in every control state what the table says."""
    check_table(SHREDDER, TABLE)


@pytest.mark.parametrize(("opened", "closed"), OPENED.items())
def test_each_contact_stops_it_and_it_does_not_start_again(opened: str, closed: str) -> None:
    """Stop by de-energising; no restart by itself when guard or supply come back (IEC 60204-1, summary read)."""
    machine = Machine(SHREDDER)
    assert after(machine, READY)["shreds"] is True
    assert after(machine, opened)["shreds"] is False
    assert after(machine, closed)["shreds"] is False
    assert after(machine, "start=pressed start=released")["shreds"] is True


@pytest.mark.parametrize("fault", ["W12 open", "W13 open", "Q1 13-14 stuck open"])
def test_without_hold_in_it_runs_only_while_start_is_pressed(fault: str) -> None:
    """A broken hold-in path: the button has to be held (common practice)."""
    machine = Machine(SHREDDER, [universe(SHREDDER)[fault]])
    assert after(machine, "mains=on start=pressed")["shreds"] is True
    assert after(machine, "start=released")["shreds"] is False


def test_a_welded_contactor_does_not_stop() -> None:
    """The fault for which the chain has no answer: the main contact stays closed, whatever opens."""
    machine = Machine(SHREDDER, [universe(SHREDDER)["Q1 1-2 stuck closed"]])
    assert after(machine, READY)["shreds"] is True
    assert after(machine, "emergency=pressed") == {"control_lamp": "lit", "contactor": False, "shreds": True}


def test_the_coil_returns_straight_to_the_bonded_common() -> None:
    """All contacts stand between the switched conductor and one coil terminal (IEC 60204-1 9.4.3.1, read)."""
    (wire,) = [SHREDDER.wires[name] for name in SHREDDER.wired["Q1:A2"]]
    assert split_terminal(wire.end)[0] == "XE1"


def test_two_guards_in_series_mask_a_fault() -> None:
    """With both guards open a guard switch that is stuck closed is not noticed (ISO/TR 24119, scope read)."""
    stuck = universe(SHREDDER)["B1 stuck closed"]
    both = SHREDDER.rest() | {"mains": "on", "start": "pressed", "hopper": "open", "chute": "open"}
    assert at(SHREDDER, both, stuck).seen() == at(SHREDDER, both).seen()
    one = both | {"chute": "closed"}
    assert at(SHREDDER, one, stuck).seen()["shreds"] is True
    assert at(SHREDDER, one).seen()["shreds"] is False


def test_sound_joints_keep_to_common_practice() -> None:
    """Running, a switch drops 0.2 V at most, the ground path 0.1 V, the whole chain less than the coil can miss."""
    running = at(SHREDDER, SHREDDER.rest() | {"mains": "on", "start": "pressed"}).settled
    for switch, pins in {"S1": "12", "S2": ("11", "12"), "F2": ("95", "96")}.items():
        first, second = (f"{switch}:{pin}" for pin in pins)
        assert abs(float(running.voltage(first) - running.voltage(second))) <= 0.2
    assert abs(float(running.voltage("M1:2"))) <= 0.12
    assert float(running.voltage("Q1:A1") - running.voltage("Q1:A2")) >= 0.95 * 24
