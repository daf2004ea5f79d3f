"""Asking the operator and looking at a place: what is said, what is noted, and what the front end is told."""

from __future__ import annotations

from typing import Any

import pytest

from faultwright.story import Question, Sign, Story
from faultwright_widgets.bench_session import BenchSession
from faultwright_widgets.exercise import Exercise
from tests.widgets.sprayer import bench

SINCE, SMELL = "Since when?", "Does anything smell burnt?"
STORY = Story(
    questions=(Question(SINCE, "Since the wash-down."), Question(SMELL, "No.")),
    signs=(Sign("X1:1", "the pin is pushed back", apart=True), Sign("W6", "a cable tie is missing")),
)


def session() -> BenchSession:
    """Return a session with an operator to ask."""
    return BenchSession(bench("W6 open"), Exercise(story=STORY))


def do(at: BenchSession, /, **message: object) -> dict[str, Any]:
    """Do one thing in the section and return the state."""
    at.handle({**message, "place": "look"})
    return at.state()


def test_a_question_is_answered_noted_and_marked_as_asked() -> None:
    """The answer is said, stands among the findings without being citable, and the question is marked."""
    at = session()
    assert at.state()["asked"] == []
    state = do(at, do="ask", question=SINCE)
    assert state["said"]["look"] == "“Since when?” – “Since the wash-down.”"
    row = state["findings"][0]
    assert (row["what"], row["shown"], row["citable"]) == ("Asked: Since when?", "Since the wash-down.", False)
    assert state["asked"] == [SINCE]


def test_what_is_asked_and_seen_cannot_be_cited() -> None:
    """Neither an answer nor a look is evidence: citing one is refused."""
    at = session()
    do(at, do="ask", question=SMELL)
    do(at, do="inspect", at="W6")
    for index in (0, 1):
        state = do(at, do="cite", index=index, on=True)
        assert state["alerts"][0]["text"] == f"action {index} is no finding"


@pytest.mark.parametrize("typed", ["W6", "w6", "  w6 "])
def test_a_place_may_be_typed_in_small_letters(typed: str) -> None:
    """Where only capitals tell it from one place that is there, that place is looked at."""
    state = do(session(), do="inspect", at=typed)
    assert state["said"]["look"] == "W6: a cable tie is missing."
    assert state["findings"][0]["what"] == "Inspected W6"


def test_a_look_shows_what_is_there_now() -> None:
    """A sign that shows only when the connector is apart is not seen before."""
    at = session()
    assert "pushed back" not in do(at, do="inspect", at="X1:1")["said"]["look"]
    at.handle({"do": "move", "move": "unplug=X1"})
    assert do(at, do="inspect", at="X1:1")["said"]["look"] == "X1:1: the pin is pushed back."


@pytest.mark.parametrize(
    ("message", "refused"),
    [
        ({"do": "ask"}, "choose a question"),
        ({"do": "ask", "question": "Since wen?"}, "there is no question 'Since wen?'; did you mean 'Since when?'"),
        ({"do": "inspect", "at": " "}, "choose a place, or type its name"),
        ({"do": "inspect", "at": "W66"}, "there is no place 'W66'"),
    ],
)
def test_what_cannot_be_asked_or_looked_at_is_said(message: dict[str, object], refused: str) -> None:
    """The refusal stands at its section and nothing is noted."""
    state = do(session(), **message)
    assert state["alerts"][0]["place"] == "look"
    assert refused in state["alerts"][0]["text"]
    assert state["findings"] == []


def test_answers_stay_in_the_kernel_until_they_are_asked_for() -> None:
    """Neither the fixed part nor the state holds an answer or a sign that nobody has asked for."""
    at = session()
    do(at, do="ask", question=SMELL)
    told = str(at.state())
    assert "wash-down" not in told
    assert "cable tie" not in told
