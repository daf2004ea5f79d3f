"""Asking the operator and inspecting a place: both come from the case, and both stand in the record."""

from __future__ import annotations

from typing import Any

from faultwright.errors import Refused
from faultwright.record import Asked
from faultwright.story import places
from faultwright_widgets.messages import Doing, Message, text_in
from faultwright_widgets.texts import text
from faultwright_widgets.words import as_written
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
        if not question:
            raise Refused(text("look.choose_question"))
        answer = self.work.exercise.story.answer(question)
        self.work.bench.ask(question, answer)
        self.work.said["look"] = text("look.answered", question=question, answer=answer)

    def inspect(self, message: Message) -> None:
        """Look at a place, and note what it shows."""
        bench, typed = self.work.bench, text_in(message, "at").strip()
        if not typed:
            raise Refused(text("look.choose_place"))
        place = as_written(typed, places(self.work.circuit))
        seen = self.work.exercise.story.look(place, bench.machine)
        bench.inspect(place, seen)
        self.work.said["look"] = text("look.inspected", place=place, seen=seen)

    def state(self) -> dict[str, Any]:
        """Return what has been asked; what was answered and seen stands among the findings."""
        return {"asked": [action.question for action in self.work.bench.actions if isinstance(action, Asked)]}
