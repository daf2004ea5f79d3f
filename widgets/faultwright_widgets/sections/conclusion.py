"""The conclusion: the fault that is claimed, the calculation, the continuity claims, the remedy, how sure."""

from __future__ import annotations

from typing import Any

from faultwright.errors import Refused, unknown
from faultwright.record import CONFIDENCES
from faultwright_widgets.messages import Doing, Message, is_on, text_in
from faultwright_widgets.texts import text
from faultwright_widgets.work import Work

_FIELDS = ("calculation", "remedy", "confidence")


class Conclusion:
    """The answer as it is written."""

    def __init__(self, work: Work) -> None:
        """Open the answer."""
        self.work = work
        self.doing: Doing = {"claim": self.claim, "answer": self.fill_in, "continuity": self.say_continuity}

    def claim(self, message: Message) -> None:
        """Name a fault, or no longer."""
        fault = text_in(message, "fault")
        others = [name for name in self.work.answer.claim if name != fault]
        self.work.answer.claim = [*others, fault] if is_on(message) else others

    def fill_in(self, message: Message) -> None:
        """Fill in a field of the answer."""
        field, written = text_in(message, "field"), text_in(message, "text")
        if field not in _FIELDS:
            raise Refused(unknown("part of the answer", field, _FIELDS))
        if field == "confidence" and written not in ("", *CONFIDENCES):
            raise Refused(unknown("confidence", written, CONFIDENCES))
        done = self.work.last_repair()
        if field == "remedy" and done and written != done:
            raise Refused(text("conclusion.remedy_is_done", repair=done))
        setattr(self.work.answer, field, written)

    def say_continuity(self, message: Message) -> None:
        """Answer a continuity question."""
        asked = [question["id"] for question in self.work.exercise.questions.get("continuity", [])]
        question = text_in(message, "id")
        if question not in asked:
            raise Refused(unknown("continuity question", question, asked))
        self.work.answer.continuity[question] = text_in(message, "text")

    def state(self) -> dict[str, Any]:
        """Return the answer so far."""
        answer = self.work.answer
        return {
            "answer": {
                "claim": list(answer.claim),
                "calculation": answer.calculation,
                "continuity": dict(answer.continuity),
                "remedy": answer.remedy,
                "confidence": answer.confidence,
            }
        }
