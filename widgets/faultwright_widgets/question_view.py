"""Questions as a widget: radio groups, a button each, and the verdict beneath."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from .question_session import Note, Question, QuestionSession
from .texts import TEXTS, text

_STATIC = Path(__file__).parent / "static"


class QuestionView(anywidget.AnyWidget):
    """Some questions. What is right stays in the kernel until it is asked for."""

    _esm = "\n".join((_STATIC / name).read_text(encoding="utf-8") for name in ("dom.js", "questions.js"))
    _css = _STATIC / "bench.css"

    setup = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)

    def __init__(self, title: str, questions: Sequence[Question], note: Note | None = None) -> None:
        self.session = QuestionSession(title, questions, note)
        super().__init__(
            setup={"texts": dict(TEXTS), "title": title, "questions": self.session.as_asked()},
            state=self.session.state() | {"handled": 0},
        )
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        """A short text; the one that widgets have by default writes out the whole state."""
        return f"QuestionView({self.session.title})"

    def _receive(self, _widget: object, message: Any, _buffers: object) -> None:  # noqa: ANN401 - JSON
        handled = self.state["handled"] + 1
        try:
            self.session.handle(message)
            self.state = self.session.state() | {"handled": handled}
        except Exception as error:  # noqa: BLE001 - whatever it is, the person must see it
            failed = text("questions.failed", message=f"{type(error).__name__}: {error}")
            self.state = {**self.state, "alerts": [failed], "handled": handled}
