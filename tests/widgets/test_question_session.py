"""Questions with an answer and a reason: the verdict, what it goes with, and what counts."""

from __future__ import annotations

import json

import pytest

from faultwright_widgets.question_session import Choice, Question, QuestionSession
from faultwright_widgets.question_view import QuestionView

ONE = Question("one", "volts", "Which?", (Choice("this"), Choice("that", "current is used up")), "So it is.")
TWO = Question(
    "two",
    "relays",
    "Which, and why?",
    (Choice("a"), Choice("b"), Choice("c")),
    "Therefore.",
    (Choice("because of a"), Choice("because of b", "one wire is enough")),
)

IDEA = "What was chosen goes with a common idea that does not hold: one wire is enough."


def place(question: Question, choice: int, *, reason: bool = False) -> int:
    """Return where a choice is shown."""
    return question.shown(question.reasons if reason else question.choices).index(choice)


def answer(session: QuestionSession, number: int, choice: int, reason: int | None = None) -> str:
    """Answer by the order of the file; return what is told."""
    question = session.questions[number]
    message = {"question": number, "choice": place(question, choice)}
    if reason is not None:
        message["reason"] = place(question, reason, reason=True)
    session.handle(message)
    return session.told[number]


def test_an_answer_is_told_right_or_wrong_with_the_idea_behind_it() -> None:
    """One tier: right, or wrong with the common idea that it goes with; the explanation follows in any case."""
    session = QuestionSession("lesson", [ONE])
    assert answer(session, 0, 0) == "Right. So it is."
    wrong = QuestionSession("lesson", [ONE])
    assert answer(wrong, 0, 1) == (
        "Not so. What was chosen goes with a common idea that does not hold: current is used up. So it is."
    )


@pytest.mark.parametrize(
    ("choice", "reason", "told"),
    [
        (0, 0, "Right, and for the right reason. Therefore."),
        (0, 1, f"The answer is right, the reason is not. {IDEA} Therefore."),
        (1, 0, "The reason is right, the answer does not follow from it. Therefore."),
        (2, 1, f"Not so. {IDEA} Therefore."),
    ],
)
def test_two_tiers_count_only_together(choice: int, reason: int, told: str) -> None:
    """Answer and reason: right is only who has both."""
    noted: list[bool] = []
    session = QuestionSession("lesson", [TWO], lambda _question, right: noted.append(right))
    assert answer(session, 0, choice, reason) == told
    assert noted == [(choice, reason) == (0, 0)]


def test_only_the_first_answer_is_noted() -> None:
    """Who answers again is told again, and nothing is noted twice."""
    noted: list[tuple[str, bool]] = []
    session = QuestionSession("lesson", [ONE, TWO], lambda question, right: noted.append((question.name, right)))
    answer(session, 0, 1)
    assert answer(session, 0, 0).startswith("Right. So it is. You may answer again")
    assert noted == [("one", False)]


def test_nothing_right_leaves_the_kernel_before_it_is_asked_for() -> None:
    """What the page gets at first has every choice in an order without a rule, and nothing of right, why or idea."""
    view = QuestionView("lesson", [ONE, TWO])
    sent = json.dumps([view.setup["questions"], view.state])
    assert "So it is" not in sent
    assert "used up" not in sent
    assert "right" not in json.dumps(view.setup["questions"])
    orders = {tuple(Question(f"q{number}", "", "", TWO.choices, "").shown(TWO.choices)) for number in range(60)}
    assert len(orders) == 6


@pytest.mark.parametrize(
    "message",
    [
        {},
        {"question": 0},
        {"question": 7, "choice": 0},
        {"question": "0"},
        {"question": True},
        {"question": 0, "choice": 9},
    ],
)
def test_what_is_no_answer_is_asked_for(message: dict[str, object]) -> None:
    """An answer without a choice, or from a broken page, is asked for again; nothing is noted."""
    session = QuestionSession("lesson", [ONE])
    session.handle(message)
    assert session.alerts == ["choose an answer first"]
    assert session.told == [""]


def test_a_reason_is_needed_where_there_are_reasons() -> None:
    """Of two tiers both must be chosen."""
    session = QuestionSession("lesson", [TWO])
    session.handle({"question": 0, "choice": 0})
    assert session.alerts == ["choose an answer and a reason first"]
