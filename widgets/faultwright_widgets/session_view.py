"""A session as a widget: a message from the page, the session, and the whole state back as plain JSON."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, ClassVar, Protocol

import anywidget
import traitlets

from .messages import Message
from .texts import TEXTS, text

STATIC = Path(__file__).parent / "static"


def script(*names: str) -> str:
    """Return files of the static folder as one module: they are joined, so they import nothing from each other."""
    return "\n".join((STATIC / name).read_text(encoding="utf-8") for name in names)


class Session(Protocol):
    """What stands behind a view, without any Jupyter."""

    def handle(self, message: Message) -> None:
        """Do what a message asks for; what cannot be done becomes an alert."""

    def state(self) -> dict[str, Any]:
        """Return everything that is to be seen, as plain JSON, with ``alerts``."""


class SessionView(anywidget.AnyWidget):
    """A session on a page; the page gets the texts and ``setup`` once, and the state after every message.

    A subclass names its ``_esm`` and, under ``failed``, the text that is shown for an error of the program.
    """

    _css = STATIC / "bench.css"
    failed: ClassVar[str]

    setup = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)

    def __init__(self, session: Session, setup: Mapping[str, Any]) -> None:
        self._session = session
        super().__init__(setup={"texts": dict(TEXTS), **setup}, state=session.state() | {"handled": 0})
        self.on_msg(self._receive)

    def _receive(self, _widget: object, message: Any, _buffers: object) -> None:  # noqa: ANN401 - JSON
        handled = self.state["handled"] + 1
        try:
            self._session.handle(message)
            self.state = self._session.state() | {"handled": handled}
        except Exception as error:  # noqa: BLE001 - whatever it is, the person must see it
            failed = text(self.failed, message=f"{type(error).__name__}: {error}")
            self.state = {**self.state, "alerts": [failed], "handled": handled}
