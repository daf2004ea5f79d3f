"""The questions in a lesson: those that look back when it opens, and its own with answer and reason."""

from __future__ import annotations

from pathlib import Path

from faultwright_widgets.question_session import Note, Question
from faultwright_widgets.question_view import QuestionView

from .progress import read_progress
from .question_bank import looking_back, questions_of
from .texts import text


def look_back(number: str, folder: Path | str = ".") -> QuestionView:
    """Return questions of the lessons one, three and six before this one; ``number`` is this lesson's, as ``06``."""
    return QuestionView(text("ask.back"), looking_back(number), _noting(folder))


def ask(number: str, folder: Path | str = ".") -> QuestionView:
    """Return the questions of this lesson, each with an answer and its reason."""
    return QuestionView(text("ask.own"), questions_of(number), _noting(folder))


def _noting(folder: Path | str) -> Note:
    """Return what notes the first answer to each question in the progress of a folder."""

    def note(question: Question, right: bool) -> None:  # noqa: FBT001 - a result
        read_progress(folder).note(question.skill, right)  # read anew each time: several views share the file

    return note
