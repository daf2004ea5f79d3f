"""The controller with low-voltage protection does what DOE-HDBK-1011/4, module ES-15, prints of it (read)."""

from __future__ import annotations

from faultwright.machine import Machine
from tests.course.circuit_tables import Row, after, check_table, course_circuit

CONTROLLER = course_circuit("controller-protection")

TABLE = (
    Row({"supply": "failed"}, (False, False), "nothing is fed"),
    Row({"supply": "present", "stop": "pressed"}, (False, False), "the stop button de-energises M"),
    Row({"supply": "present", "stop": "released", "start": "released"}, (False, False), "nobody has started it"),
    Row({"supply": "present", "stop": "released", "start": "pressed"}, (True, True), "the start button energises M"),
)


def test_truth_table() -> None:
    """From rest the contactor follows the start button, if stop is released and there is a supply."""
    check_table(CONTROLLER, TABLE)


def test_ma_bridges_the_start_button() -> None:
    """With the button released the circuit stays complete."""
    machine = Machine(CONTROLLER)
    assert after(machine, "supply=present start=pressed")["contactor"] is True
    assert after(machine, "start=released") == {"contactor": True, "turns": True}


def test_the_start_button_must_be_pushed_again_after_the_supply_failed() -> None:
    """M drops out with the supply; its return starts nothing."""
    machine = Machine(CONTROLLER)
    after(machine, "supply=present start=pressed start=released")
    assert after(machine, "supply=failed")["contactor"] is False
    assert after(machine, "supply=present") == {"contactor": False, "turns": False}
    assert after(machine, "start=pressed start=released")["turns"] is True


def test_the_stop_button_de_energises() -> None:
    """Stop drops M out; letting it go starts nothing."""
    machine = Machine(CONTROLLER)
    after(machine, "supply=present start=pressed start=released")
    assert after(machine, "stop=pressed")["turns"] is False
    assert after(machine, "stop=released")["turns"] is False
