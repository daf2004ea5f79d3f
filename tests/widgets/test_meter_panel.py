"""The meter as a person handles it: range, leads, hold, watching, confirming, a real meter's reading, remarks."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from faultwright_widgets.bench_session import BenchSession
from faultwright_widgets.exercise import Exercise
from tests.widgets.sprayer import bench


def do(session: BenchSession, *messages: dict[str, Any]) -> dict[str, Any]:
    """Send messages and return the state after the last."""
    for message in messages:
        session.handle(message)
    return session.state()


def leads(red: str, black: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the messages that put both leads."""
    return tuple({"do": "point", "lead": lead, "terminal": at} for lead, at in (("red", red), ("black", black)))  # type: ignore[return-value]


KEY_ON = {"do": "move", "move": "key=on"}


def test_a_coarse_range_hides_what_a_fine_one_shows() -> None:
    """On the 600 V range of a 6,000-count meter the last digit is 0.1 V; the battery's 12.6 V keeps one decimal."""
    session = BenchSession(bench())
    state = do(session, *leads("G1:+", "G1:-"), {"do": "range", "range": "600 V"})
    assert state["shown"]["display"] == "12.6 V"
    assert state["meter"]["range"] == "600 V"
    assert do(session, {"do": "meter", "mode": "ohms"})["meter"]["range"] == ""
    refused = do(session, {"do": "range", "range": "7 Ω"})
    assert refused["alerts"]


def test_leads_that_are_not_zeroed_stand_in_ohms() -> None:
    """Leads of 0.3 Ω (common practice: 0.2 to 0.5 Ω) add to ohms until they are zeroed."""
    session = BenchSession(bench())
    shown = []
    for on in (True, False):
        state = do(
            session,
            {"do": "meter", "mode": "ohms", "alone": "F1"},
            *leads("F1:1", "F1:2"),
            {"do": "zero", "on": on},
            {"do": "read"},
        )
        shown.append(float(state["shown"]["display"].split()[0]))
    assert round(shown[1] - shown[0], 1) == 0.3


def test_hold_keeps_the_number_until_it_is_let_go() -> None:
    """A held number stays while a control moves and says so; with nothing shown there is nothing to hold."""
    session = BenchSession(bench())
    nothing = do(session, {"do": "hold", "on": True, "place": "measure"})
    assert nothing["alerts"] == [{"place": "measure", "text": "there is nothing to hold yet"}]
    held = do(session, *leads("S1:2", "FRAME"), {"do": "hold", "on": True}, KEY_ON)
    assert (held["shown"]["display"], held["meter"]["held"]) == ("0.00 V", True)
    assert do(session, {"do": "hold", "on": False})["shown"]["display"].startswith("12.")


def test_a_watched_move_is_noted_as_move_and_reading() -> None:
    """A sticking float switch goes over late: five displays, the words, and a record that any reader can replay."""
    session = BenchSession(bench("B1 sticking"))
    do(session, KEY_ON, *leads("B1:2", "FRAME"), {"do": "watch", "on": True}, {"do": "move", "move": "float=full"})
    state = do(session, {"do": "move", "move": "float=low"})
    assert len(state["shown"]["watched"]) == 5
    assert "late" in state["shown"]["course"]
    assert [next(iter(action)) for action in session.work.bench.as_json()["actions"][1:]] == ["move", "read"] * 2


def test_watching_asks_for_the_prediction_first() -> None:
    """Where the exercise asks for a hypothesis, a watched move without one is refused and nothing moves."""
    session = BenchSession(bench(), Exercise(ask_expected=True, ask_suspect=True))
    state = do(session, *leads("B1:2", "FRAME"), {"do": "watch", "on": True}, {**KEY_ON, "place": "operate"})
    assert [alert["text"] for alert in state["alerts"]] == [
        "write what you suspect before you take the reading",
        "write what you expect before you take the reading: a number with its unit, or OL",
    ]
    assert state["controls"]["key"] == "off"


def test_a_critical_reading_is_taken_only_when_it_is_confirmed() -> None:
    """Amps across a switch of a machine that can move bridges it: the bench asks, and the record keeps the warning."""
    session = BenchSession(bench())
    asked = do(session, {"do": "meter", "mode": "amps"}, *leads("B1:1", "B1:2"), {"do": "read"})
    assert asked["confirm"] is True
    assert asked["findings"] == []
    assert {"critical"} <= {caution["level"] for caution in asked["cautions"]}
    taken = do(session, {"do": "read", "on": True})
    assert taken["confirm"] is False
    assert "warned: " in taken["findings"][0]["expected"]


def test_a_real_meters_reading_is_typed_in() -> None:
    """12,4 V stands in the record as taken on real hardware; what is no display is refused with what is allowed."""
    session = BenchSession(bench())
    state = do(session, *leads("G1:+", "G1:-"), {"do": "real", "text": "12,4 V"})
    assert state["shown"]["display"] == "12.40 V"
    assert session.work.bench.as_json()["actions"][0]["read"]["source"] == "bench"
    assert do(session, {"do": "real", "text": "plenty"})["alerts"]


def test_remarks_on_findings_are_kept_in_the_answer(tmp_path: Path) -> None:
    """A remark stands beside its finding, is saved with the answer and taken up again; an empty one takes it away."""
    file = tmp_path / "answer.json"
    session = BenchSession(bench(), answer_file=file)
    do(session, {"do": "observe"}, {"do": "annotate", "index": 0, "text": " pump silent "})
    assert json.loads(file.read_text(encoding="utf-8"))["notes"] == {"0": "pump silent"}
    again = BenchSession(bench(), answer_file=file)
    assert again.state()["findings"][0]["note"] == "pump silent"
    assert do(again, {"do": "annotate", "index": 0, "text": ""})["findings"][0]["note"] == ""
    assert do(again, {"do": "annotate", "index": 5, "text": "x"})["alerts"][0]["text"] == "action 5 is no finding"
