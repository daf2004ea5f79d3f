"""The controller with low-voltage release does what DOE-HDBK-1011/4, module ES-15, prints of it (read)."""

from __future__ import annotations

from faultwright.machine import Machine
from tests.course.circuit_tables import Row, after, check_table, course_circuit

CONTROLLER = course_circuit("controller-release")

TABLE = (
    Row({"supply": "failed"}, (False, False), "nothing is fed"),
    Row({"supply": "present", "selector": "off"}, (False, False), "not selected"),
    Row({"supply": "present", "selector": "run"}, (True, True), "M picks up at normal voltage"),
)


def test_truth_table() -> None:
    """The contactor follows supply and selector."""
    check_table(CONTROLLER, TABLE)


def test_it_picks_up_by_itself() -> None:
    """M drops out on low voltage and picks up when normal voltage returns, with nobody at the machine."""
    machine = Machine(CONTROLLER)
    assert after(machine, "supply=present selector=run")["turns"] is True
    assert after(machine, "supply=failed")["turns"] is False
    assert after(machine, "supply=present") == {"contactor": True, "turns": True}
