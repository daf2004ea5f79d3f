"""The author view as a widget: put a fault in, and see what a student would see and who is suspected.

It names the fault, so it is for whoever prepares a case.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

from faultwright.bench import Bench
from faultwright.circuit import Circuit

from .author_session import AuthorSession
from .bench_view import BenchView
from .exercise import Exercise
from .job_sheet import fault_places
from .texts import TEXTS, text

_STATIC = Path(__file__).parent / "static"


class AuthorView(anywidget.AnyWidget):
    """A circuit, and whatever fault its author puts in. Raises Refused where it has too many control states."""

    _esm = "\n".join((_STATIC / name).read_text(encoding="utf-8") for name in ("dom.js", "author.js"))
    _css = _STATIC / "bench.css"

    setup = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)

    def __init__(self, circuit: Circuit) -> None:
        self.session = AuthorSession(circuit)
        super().__init__(
            setup={"texts": dict(TEXTS), "title": circuit.title or circuit.name, "places": fault_places(circuit)},
            state=self.session.state() | {"handled": 0},
        )
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        """A short text; the one that widgets have by default writes out the whole state."""
        return f"AuthorView({self.session.circuit.name})"

    def _receive(self, _widget: object, message: Any, _buffers: object) -> None:  # noqa: ANN401 - JSON
        handled = self.state["handled"] + 1
        try:
            self.session.handle(message)
            self.state = self.session.state() | {"handled": handled}
        except Exception as error:  # noqa: BLE001 - whatever it is, the person must see it
            failed = text("author.failed", message=f"{type(error).__name__}: {error}")
            self.state = {**self.state, "alerts": [failed], "handled": handled}

    def bench(self, exercise: Exercise | None = None) -> BenchView:
        """Return a new bench with the fault that is in now, as a student would get it."""
        fault = self.session.fault
        return BenchView(Bench(self.session.circuit, [fault] if fault else []), exercise)
