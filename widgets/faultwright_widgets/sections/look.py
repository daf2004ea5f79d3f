"""Asking the operator and inspecting a place: both come from the case, and both stand in the record."""

from __future__ import annotations

from typing import Any

from faultwright_widgets.messages import Doing, Message, text_in
from faultwright_widgets.texts import text
from faultwright_widgets.work import Work


class Look:
    """What the operator says and what the eye sees."""

    def __init__(self, work: Work) -> None:
        """Stand beside the operator."""
        self.work = work
        self.doing: Doing = {"ask": self.ask, "inspect": self.inspect}

    def ask(self, message: Message) -> None:
        """Ask the operator, and note question and answer."""
        question = text_in(message, "question")
        answer = self.work.exercise.story.answer(question)
        self.work.bench.ask(question, answer)
        self.work.said["look"] = text("look.answered", question=question, answer=answer)

    def inspect(self, message: Message) -> None:
        """Look at a place, and note what it shows."""
        bench, place = self.work.bench, text_in(message, "at").strip()
        seen = self.work.exercise.story.look(place, bench.machine)
        bench.inspect(place, seen)
        self.work.said["look"] = text("look.inspected", place=place, seen=seen)

    def state(self) -> dict[str, Any]:
        """Return nothing of its own: what was found stands among the findings."""
        return {}
