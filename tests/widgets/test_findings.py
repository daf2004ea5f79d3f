"""The findings: remarks beside them, and that nothing of them is lost with the kernel."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from faultwright.record import LONGEST_TEXT
from faultwright.story import Question, Story
from faultwright_widgets.bench_session import BenchSession
from faultwright_widgets.exercise import Exercise
from tests.widgets.sprayer import bench

EXERCISE = Exercise(story=Story(questions=(Question("Since when?", "Since Monday."),)), ask_expected=True)
WORK: tuple[dict[str, object], ...] = (
    {"do": "ask", "question": "Since when?"},
    {"do": "move", "move": "key=on"},
    {"do": "observe"},
    {"do": "inspect", "at": "K1"},
    {"do": "point", "lead": "red", "terminal": "K1:30"},
    {"do": "point", "lead": "black", "terminal": "FRAME"},
    {"do": "predict", "field": "expected", "text": "12,6 V"},
    {"do": "read"},
    {"do": "cite", "index": 2, "on": True},
    {"do": "annotate", "index": 4, "text": " taken at the relay's base "},
)


def worked(session: BenchSession, *messages: dict[str, object]) -> dict[str, Any]:
    """Do things and return the state; nothing of it is refused."""
    for message in messages:
        session.handle(message)
        assert session.alerts == []
    return session.state()


@pytest.mark.parametrize("own_record", [True, False], ids=["record-file", "answer-file-alone"])
def test_nothing_of_the_findings_is_lost_with_the_kernel(tmp_path: Path, own_record: bool) -> None:  # noqa: FBT001
    """Findings, predictions, citations, remarks and what was asked are the same to whoever opens the files anew."""

    def opened() -> BenchSession:
        own = bench("W6 open", file=tmp_path / "record.json" if own_record else None)
        return BenchSession(own, EXERCISE, answer_file=tmp_path / "answer.json")

    before = worked(opened(), *WORK)
    after = opened().state()
    for part in ("findings", "asked", "answer", "controls", "seen", "wiring"):
        assert after[part] == before[part]
    rows = {row["number"]: row for row in after["findings"]}
    assert (rows[5]["expected"], rows[5]["note"]) == ("12.6 V", "taken at the relay's base")
    assert (rows[3]["cited"], rows[5]["cited"]) == (True, False)
    assert after["asked"] == ["Since when?"]


def test_a_remark_can_be_changed_and_taken_away(tmp_path: Path) -> None:
    """The last remark counts; an empty one is none, in the file too."""
    file = tmp_path / "answer.json"
    session = BenchSession(bench(), EXERCISE, answer_file=file)
    state = worked(session, *WORK, {"do": "annotate", "index": 4, "text": "leads zeroed"})
    assert [row["note"] for row in state["findings"]][-1] == "leads zeroed"
    assert json.loads(file.read_text(encoding="utf-8"))["notes"] == {"4": "leads zeroed"}
    state = worked(session, {"do": "annotate", "index": 4, "text": "  "})
    assert [row["note"] for row in state["findings"]][-1] == ""
    assert json.loads(file.read_text(encoding="utf-8"))["notes"] == {}


@pytest.mark.parametrize(
    ("message", "refused"),
    [
        ({"index": 0, "text": "asked politely"}, "action 0 is no finding"),
        ({"index": 99, "text": "?"}, "action 99 is no finding"),
        ({"index": True, "text": "?"}, "action True is no finding"),
        ({"index": 4, "text": "x" * (LONGEST_TEXT + 1)}, f"'text' must be text of at most {LONGEST_TEXT} characters"),
    ],
)
def test_a_remark_that_cannot_be_kept_is_refused(message: dict[str, object], refused: str) -> None:
    """Only a finding takes a remark, and a short one; the one that stands stays."""
    session = BenchSession(bench(), EXERCISE)
    worked(session, *WORK)
    session.handle({"do": "annotate", "place": "findings", **message})
    state = session.state()
    assert state["alerts"] == [{"place": "findings", "text": refused}]
    assert [row["note"] for row in state["findings"] if row["note"]] == ["taken at the relay's base"]


def test_a_remark_that_no_file_keeps_is_said_to_last_as_long_as_the_kernel(tmp_path: Path) -> None:
    """A file for the record alone holds no remarks; with an answer file nothing needs saying."""
    unkept = worked(BenchSession(bench(file=tmp_path / "record.json"), EXERCISE), *WORK)
    assert unkept["said"]["findings"] == (
        "Remarks last as long as the kernel runs: this bench has no answer file to keep them."
    )
    assert worked(BenchSession(bench(), EXERCISE, answer_file=tmp_path / "answer.json"), *WORK)["said"] == {}
