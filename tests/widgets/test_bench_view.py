"""The widget: what it syncs, what it never syncs, and errors that are shown."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from faultwright.faults import parse_fault
from faultwright.story import Question, Story
from faultwright_widgets.bench_view import BenchView
from faultwright_widgets.exercise import Exercise
from tests.widgets.sprayer import CIRCUIT, bench

MOVES = ("key=on", "float=full", "test=pressed", "unplug=X1", "mate=X1", "rest")
OTHERWISE: tuple[dict[str, object], ...] = (
    {"do": "ask", "question": "Since when?"},
    {"do": "inspect", "at": "W6"},
    {"do": "move", "move": "substitute=K1"},
    {"do": "move", "move": "load=K1:30,FRAME"},
    {"do": "annotate", "index": 1, "text": "in the yard"},
    {"do": "cite", "index": 1, "on": True},
)
"""What else is done, and tells those faults apart no more than the moves do."""
HIDDEN = ("W6 resistance 7193 Ω", "B1 resistance 7193 Ω", "W4 resistance 7193 Ω")  # more than any place on the drawing
"""Faults that no one can tell apart without opening the route between S1 and K1."""


def send(view: BenchView, message: object) -> None:
    """Send a message as the front end does."""
    view._receive(view, message, [])  # noqa: SLF001 - the front end's own way in


def synced(view: BenchView) -> str:
    """Return everything that the front end gets, but for the identities of the models."""
    state = {key: value for key, value in view.get_state().items() if key not in ("layout", "tabbable", "tooltip")}
    return json.dumps(state, ensure_ascii=False, allow_nan=False)


def journey(fault: str) -> list[str]:
    """Return everything synced along a day's moves, with what is seen noted after each."""
    story = Story(questions=(Question("Since when?", "Since Monday."),))
    complaint = "The pump does not run when the tank is full."
    view = BenchView(bench(fault), Exercise(complaint=complaint, story=story))
    states = [synced(view)]
    for move in MOVES:
        send(view, {"do": "move", "move": move})
        send(view, {"do": "observe"})
        states.append(synced(view))
    for message in OTHERWISE:
        send(view, message)
        assert view.state["alerts"] == []
        states.append(synced(view))
    return states


def test_nothing_synced_tells_faults_apart_that_look_alike() -> None:
    """Faults with one and the same symptom give byte for byte the same state, so the state cannot hold the fault."""
    assert all(one == other for one, other in pairwise(journey(fault) for fault in HIDDEN))


@pytest.mark.parametrize("fault", HIDDEN)
def test_the_hidden_value_and_its_message_are_nowhere_in_the_state(fault: str) -> None:
    """Neither the fault with its value nor the value alone is anywhere in what is synced."""
    whole = "".join(journey(fault))
    assert str(parse_fault(fault, CIRCUIT)) not in whole
    assert "7193" not in whole


def test_every_fault_is_offered_alike() -> None:
    """The list of suspects is the circuit's whole universe, the same whatever is wrong."""
    assert BenchView(bench("W6 open")).setup == BenchView(bench()).setup


def test_the_bench_knows_whether_a_file_keeps_the_work(tmp_path: Path) -> None:
    """What is said after a kernel restart depends on it: only a record or answer in a file is still there."""
    assert BenchView(bench()).setup["kept"] is False
    assert BenchView(bench(file=tmp_path / "record.json")).setup["kept"] is True
    assert BenchView(bench(), answer_file=tmp_path / "answer.json").setup["kept"] is True


def plain(value: Any) -> bool:  # noqa: ANN401 - any JSON
    """Say whether a value is made of plain Python only."""
    if isinstance(value, dict):
        return all(type(key) is str and plain(entry) for key, entry in value.items())
    if isinstance(value, list):
        return all(plain(entry) for entry in value)
    return value is None or type(value) in (bool, int, float, str)


def test_only_plain_python_is_synced() -> None:
    """A numpy scalar in a synced trait freezes a front end silently, so every value is of a plain type."""
    view = BenchView(bench("F1 open"), Exercise(complaint="Dead.", questions={"calculation": {"prompt": "?"}}))
    for message in (
        {"do": "move", "move": "key=on"},
        {"do": "point", "lead": "red", "terminal": "F1:1"},
        {"do": "point", "lead": "black", "terminal": "FRAME"},
        {"do": "read"},
    ):
        send(view, message)
        assert plain(view.state)
    assert plain(view.setup)


def test_a_message_brings_a_new_state_and_the_commanded_position_to_the_drawing() -> None:
    """State and drawing change together, of the drawing only two lines; a meter's lead leaves it as it is."""
    view = BenchView(bench())
    before = view.diagram
    send(view, {"do": "move", "move": "key=on"})
    assert view.state["controls"]["key"] == "on"
    assert view.diagram is before
    after = view.diagram_anew
    assert [line.split()[0] for line in after.values()] == ["<desc", "<g"]
    send(view, {"do": "point", "lead": "red", "terminal": "K1:86"})
    assert view.state["meter"]["red"] == "K1:86"
    assert view.diagram is before
    assert view.diagram_anew is after
    send(view, {"do": "move", "move": "key=off"})
    assert view.diagram_anew == {}


@pytest.mark.parametrize("message", [None, "move", 7, {"do": ["move"]}])
def test_a_message_of_the_wrong_form_is_shown_and_never_raised(message: object) -> None:
    """Whatever comes in, the person sees an alert and the bench goes on."""
    view = BenchView(bench())
    send(view, message)
    assert view.state["alerts"][0]["place"] == "bench"
    send(view, {"do": "move", "move": "key=on"})
    assert view.state["controls"]["key"] == "on"
    assert view.state["alerts"] == []


def test_a_bug_in_the_kernel_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """An exception inside a handler, which a notebook would swallow, reaches the person with its message."""
    view = BenchView(bench())

    def broken(_move: str) -> None:
        raise ZeroDivisionError("made to fail")

    monkeypatch.setattr(view.session.work.bench, "move", broken)
    send(view, {"do": "move", "move": "key=on"})
    assert "ZeroDivisionError: made to fail" in view.state["alerts"][0]["text"]


def test_the_text_of_a_bench_is_short() -> None:
    """What a plain text front end shows is the circuit's name, not the whole state."""
    assert repr(BenchView(bench())) == "BenchView(orchard-sprayer)"
