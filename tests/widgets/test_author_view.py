"""The author view: a fault put in, what a student would see of it, who is suspected, and what is refused."""

from __future__ import annotations

import json

from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright_widgets.author_session import AuthorSession
from faultwright_widgets.author_view import AuthorView
from tests.widgets.sprayer import CIRCUIT


def test_a_fault_shows_where_it_differs_and_who_looks_the_same() -> None:
    """With the float's wire open the pump stands in one state more; suspects have just this symptom table."""
    session = AuthorSession(CIRCUIT)
    session.handle({"do": "put_in", "fault": "W6 open"})
    state = session.state()
    assert state["fault"] == "W6 open"
    assert [row["state"] for row in state["rows"] if row["differs"]] == [
        "Key switch on, Pump test button released, Tank float full"
    ]
    assert "≠ pump: no" in next(row["seen"] for row in state["rows"] if row["differs"])
    assert {"W6 open", "W4 open", "B1 stuck open"} <= set(state["suspects"])
    for name in state["suspects"]:
        machine = Machine(CIRCUIT, [parse_fault(name, CIRCUIT)])
        assert [machine.move(move).seen["pump"] for move in ("key=on", "float=full")] == [False, False], name
    assert state["best"].startswith("Best first test")
    json.dumps(state)


def test_slips_are_refused_and_the_fault_in_stays() -> None:
    """An unknown fault is refused with the nearest name, and nothing chosen is said so; the fault in stays in."""
    session = AuthorSession(CIRCUIT)
    session.handle({"do": "put_in", "fault": "W6 open"})
    session.handle({"do": "put_in", "fault": "W6 opne"})
    assert "open" in session.alerts[0]
    assert session.state()["fault"] == "W6 open"
    session.handle({"do": "put_in", "fault": ""})
    assert session.alerts == ["choose a place and a fault"]
    session.handle({"do": "take_out"})
    assert session.state() == {"fault": "", "alerts": []}


def test_the_bench_of_the_view_has_the_fault_and_hides_it() -> None:
    """The bench made from the view is a student's: the fault is in its machine and nowhere in what is synced."""
    view = AuthorView(CIRCUIT)
    view.session.handle({"do": "put_in", "fault": "W6 resistance 7193 Ω"})
    bench = view.bench()
    assert [str(fault) for fault in bench.session.work.bench.machine.faults] == ["W6 resistance 7.193 kΩ"]
    assert "7193" not in json.dumps(bench.state)


def test_a_failure_of_the_view_is_said() -> None:
    """An error inside is shown to the person, who has not made it."""
    view = AuthorView(CIRCUIT)
    view.session.put_in = None  # type: ignore[method-assign,assignment]
    view._receive(view, {"do": "put_in", "fault": "W6 open"}, [])  # noqa: SLF001 - the front end's own way in
    assert view.state["alerts"][0].startswith("The view itself has failed")
