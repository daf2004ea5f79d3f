"""The bench as a widget: one job sheet from complaint to proof, in JupyterLab and Notebook 7."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

from faultwright.bench import Bench
from faultwright.drawing.svg import draw

from .bench_session import BenchSession
from .exercise import Exercise
from .job_sheet import job_sheet

_STATIC = Path(__file__).parent / "static"
_SCRIPTS = ("dom.js", "look.js", "operate.js", "measure.js", "answer.js", "bench.js")
SCOPE = "fwscope"
"""Goes before the drawing's ids; each view puts its own in its stead (``measure.js``)."""


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

    _esm = "\n".join((_STATIC / name).read_text(encoding="utf-8") for name in _SCRIPTS)
    _css = _STATIC / "bench.css"

    setup = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)
    findings: traitlets.List[Any] = traitlets.List().tag(sync=True)
    proof = traitlets.Dict().tag(sync=True)
    diagram = traitlets.Unicode().tag(sync=True)

    def __init__(self, bench: Bench, exercise: Exercise | None = None, *, answer_file: Path | None = None) -> None:
        exercise = exercise or Exercise()
        self.session = BenchSession(bench, exercise, answer_file=answer_file)
        self._drawn: tuple[object, ...] = ()
        kept = bench.file is not None or answer_file is not None
        super().__init__(
            setup=job_sheet(bench.circuit, exercise, kept=kept),
            diagram=self._draw(),
            **self._parts(self.session.state()),
        )
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        """A short text; the one that widgets have by default writes out the whole state."""
        return f"BenchView({self.session.work.circuit.name})"

    def _receive(self, _widget: object, message: Any, _buffers: object) -> None:  # noqa: ANN401 - JSON
        try:
            self.session.handle(message)
            parts, diagram = self._parts(self.session.state()), self._draw()
        except Exception as error:  # noqa: BLE001 - whatever it is, the person at the bench must see it
            self.session.fail(error)
            parts, diagram = {"state": {**self.state, "alerts": list(self.session.alerts)}}, self.diagram
        with self.hold_sync():
            self.diagram = diagram
            for name, part in parts.items():
                setattr(self, name, part)

    @staticmethod
    def _parts(state: dict[str, Any]) -> dict[str, Any]:
        """Part the state: what grows with the work is sent again only when it has changed."""
        return {"findings": state.pop("findings"), "proof": state.pop("proof"), "state": state}

    def _draw(self) -> str:
        """Draw the circuit with commanded positions; only what is commanded and unplugged changes the drawing."""
        machine = self.session.work.bench.machine
        shown = (tuple(machine.state.items()), machine.wiring.unplugged)
        if shown != self._drawn:
            self._svg = draw(
                self.session.work.circuit, positions=machine.state, unplugged=machine.wiring.unplugged, scope=SCOPE
            )
            self._drawn = shown
        return self._svg
