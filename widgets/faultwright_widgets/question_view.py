"""Questions as a widget: radio groups, a button each, and the verdict beneath."""

from __future__ import annotations

from collections.abc import Sequence

from .question_session import Note, Question, QuestionSession
from .session_view import SessionView, script


class QuestionView(SessionView):
    """Some questions. What is right stays in the kernel until it is asked for."""

    _esm = script("dom.js", "questions.js")
    failed = "questions.failed"

    def __init__(self, title: str, questions: Sequence[Question], note: Note | None = None) -> None:
        self.session = QuestionSession(title, questions, note)
        super().__init__(self.session, {"title": title, "questions": self.session.as_asked()})

    def __repr__(self) -> str:
        """A short text; the one that widgets have by default writes out the whole state."""
        return f"QuestionView({self.session.title})"
