"""The bench as a widget: one job sheet from complaint to proof, in JupyterLab and Notebook 7."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

from faultwright.bench import Bench

from .bench_session import BenchSession
from .drawn import Drawn
from .exercise import Exercise
from .job_sheet import job_sheet
from .session_view import STATIC, script

_SCRIPTS = (
    "dom.js",
    "look.js",
    "operate.js",
    "drawn.js",
    "measure.js",
    "findings.js",
    "answer.js",
    "helping.js",
    "bench.js",
)


class BenchView(anywidget.AnyWidget):
    """One machine on the bench, with its controls, its drawing, the meter, the findings and the answer.

    Parameters
    ----------
    bench
        The machine and its record. With a file of its own the record is saved there at once.
    exercise
        What is said and asked: complaint, questions, what must be predicted (:class:`Exercise`).
    answer_file
        Where the answer is kept, with the record, at every change; a draft in it is taken up again.

    Everything synced is plain JSON that a person at the bench may know. The faults stay in ``bench``.
    """

    _esm = script(*_SCRIPTS)
    _css = STATIC / "bench.css"

    setup = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)
    findings: traitlets.List[Any] = traitlets.List().tag(sync=True)
    proof = traitlets.Dict().tag(sync=True)
    diagram = traitlets.Unicode().tag(sync=True)
    diagram_anew = traitlets.Dict().tag(sync=True)
    """The drawing when it was last sent whole, and by their number the lines that have changed since."""

    def __init__(self, bench: Bench, exercise: Exercise | None = None, *, answer_file: Path | None = None) -> None:
        exercise = exercise or Exercise()
        self.session = BenchSession(bench, exercise, answer_file=answer_file)
        self._drawn = Drawn(bench.circuit)
        kept = bench.file is not None or answer_file is not None
        super().__init__(
            setup=job_sheet(bench.circuit, exercise, kept=kept),
            **self._draw(),
            **self._parts(self.session.state()),
        )
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        """A short text; the one that widgets have by default writes out the whole state."""
        return f"BenchView({self.session.work.circuit.name})"

    def _receive(self, _widget: object, message: Any, _buffers: object) -> None:  # noqa: ANN401 - JSON
        try:
            self.session.do(message)
            self._show(self._parts(self.session.state()) | self._draw())
            # Only now, since writing a file safely takes longer than all else, and nobody waits for it.
            if not self.session.save():
                self._show(self._parts(self.session.state()))
        except Exception as error:  # noqa: BLE001 - whatever it is, the person at the bench must see it
            self.session.fail(error)
            self._show({"state": {**self.state, "alerts": list(self.session.alerts)}})

    def _show(self, parts: dict[str, Any]) -> None:
        with self.hold_sync():
            for name, part in parts.items():
                setattr(self, name, part)

    @staticmethod
    def _parts(state: dict[str, Any]) -> dict[str, Any]:
        """Part the state: what grows with the work is sent again only when it has changed."""
        return {"findings": state.pop("findings"), "proof": state.pop("proof"), "state": state}

    def _draw(self) -> dict[str, Any]:
        self._drawn.follow(self.session.work.bench.machine)
        return {"diagram": self._drawn.whole, "diagram_anew": self._drawn.anew}
