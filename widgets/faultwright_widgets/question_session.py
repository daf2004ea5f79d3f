"""Questions with one or two tiers, without any Jupyter: an answer, often its reason, and what there is to say of it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from faultwright.errors import Refused

from .messages import Message
from .texts import text


@dataclass(frozen=True, slots=True)
class Choice:
    """A choice; a wrong one may name the common idea that it goes with."""

    says: str
    model: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """A question. Of its choices, and of its reasons if it has any, the first is right; they are shown in other orders.

    ``skill`` is what it practises; ``why`` is told with the verdict.
    """

    name: str
    skill: str
    ask: str
    choices: tuple[Choice, ...]
    why: str
    reasons: tuple[Choice, ...] = ()

    def shown(self, choices: Sequence[Choice]) -> list[int]:
        """Return the order in which choices are shown, the same every time and with no rule to it."""
        return sorted(range(len(choices)), key=lambda number: hashlib.sha256(f"{self.name} {number}".encode()).digest())


Note = Callable[[Question, bool], None]
"""Takes a question and whether its first answer was right."""


class QuestionSession:
    """Questions and what has been answered; the right answers stay here."""

    def __init__(self, title: str, questions: Sequence[Question], note: Note | None = None) -> None:
        """Begin with nothing answered. ``note`` is told of the first answer to each question."""
        self.title, self.questions, self._note = title, tuple(questions), note
        self.told = [""] * len(self.questions)
        self.right: list[bool | None] = [None] * len(self.questions)
        self.alerts: list[str] = []

    def as_asked(self) -> list[dict[str, Any]]:
        """Return the questions as they are shown, as plain JSON."""
        return [
            {
                "ask": one.ask,
                "choices": [one.choices[number].says for number in one.shown(one.choices)],
                "reasons": [one.reasons[number].says for number in one.shown(one.reasons)],
            }
            for one in self.questions
        ]

    def handle(self, message: Message) -> None:
        """Take an answer: ``{"question": 0, "choice": 1, "reason": 2}``, by the places in which they are shown."""
        self.alerts = []
        try:
            self._answer(message)
        except Refused as refused:
            self.alerts = [mistake.message for mistake in refused.mistakes]

    def _answer(self, message: Message) -> None:
        number = message.get("question")
        if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number < len(self.questions):
            raise Refused(text("questions.choose"))
        question = self.questions[number]
        choice = _chosen(question, question.choices, message.get("choice"))
        reason = _chosen(question, question.reasons, message.get("reason"))
        if choice is None or (question.reasons and reason is None):
            raise Refused(text("questions.choose_both" if question.reasons else "questions.choose"))
        right = choice is question.choices[0] and (not question.reasons or reason is question.reasons[0])
        first = self.right[number] is None
        self.right[number] = right
        self.told[number] = " ".join(_verdict(question, choice, reason)) + (
            "" if first else f" {text('questions.again')}"
        )
        if first and self._note is not None:
            self._note(question, right)

    def state(self) -> dict[str, Any]:
        """Return what is to be seen besides the questions, as plain JSON."""
        return {"told": list(self.told), "right": list(self.right), "alerts": list(self.alerts)}


def _chosen(question: Question, choices: Sequence[Choice], given: object) -> Choice | None:
    """Return the choice that stands in the place given, or None where nothing is chosen."""
    if isinstance(given, bool) or not isinstance(given, int) or not 0 <= given < len(choices):
        return None
    return choices[question.shown(choices)[given]]


def _verdict(question: Question, choice: Choice, reason: Choice | None) -> list[str]:
    answer_right = choice is question.choices[0]
    reason_right = reason is None or reason is question.reasons[0]
    if answer_right and reason_right:
        key = "questions.right" if reason is None else "questions.right_why"
    elif answer_right:
        key = "questions.reason_wrong"
    else:
        key = "questions.answer_wrong" if reason is not None and reason_right else "questions.wrong"
    models = dict.fromkeys(one.model for one in (choice, reason) if one is not None and one.model)
    return [text(key), *(text("questions.model", model=model) for model in models), question.why]
