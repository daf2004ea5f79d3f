"""The bench as a widget: one job sheet from complaint to proof, in JupyterLab and Notebook 7."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

from faultwright.bench import Bench
from faultwright.drawing.svg import draw

from .bench_session import BenchSession
from .job_sheet import Questions, job_sheet

_STATIC = Path(__file__).parent / "static"
_SCRIPTS = ("dom.js", "operate.js", "measure.js", "answer.js", "bench.js")
SCOPE = "fwscope"
"""Goes before the drawing's ids; each view puts its own in its stead (``measure.js``)."""


class BenchView(anywidget.AnyWidget):
    """One machine on the bench, with its controls, its drawing, the meter, the findings and the answer.

    Parameters
    ----------
    bench
        The machine and its record. With a file of its own the record is saved there at once.
    complaint
        What the operator says is wrong.
    questions
        What the exercise asks besides diagnosis, evidence and remedy: a calculation and continuity claims.
    answer_file
        Where the answer is kept, with the record, at every change; a draft in it is taken up again.
    ask_expected
        Whether a value must be predicted before a reading is shown.
    paper
        The name of the paper that the answer belongs to.

    Everything synced is plain JSON that a person at the bench may know. The faults stay in ``bench``.
    """

    _esm = "\n".join((_STATIC / name).read_text(encoding="utf-8") for name in _SCRIPTS)
    _css = _STATIC / "bench.css"

    setup = traitlets.Dict().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)
    diagram = traitlets.Unicode().tag(sync=True)

    def __init__(  # noqa: PLR0913 - an exercise has this much to say
        self,
        bench: Bench,
        *,
        complaint: str = "",
        questions: Questions | None = None,
        answer_file: Path | None = None,
        ask_expected: bool = False,
        paper: str = "",
    ) -> None:
        self.session = BenchSession(
            bench, questions=questions, paper=paper, answer_file=answer_file, ask_expected=ask_expected
        )
        self._drawn: tuple[object, ...] = ()
        super().__init__(
            setup=job_sheet(
                bench.circuit,
                complaint=complaint,
                questions=questions or {},
                ask_expected=ask_expected,
                kept=bench.file is not None or answer_file is not None,
            ),
            state=self.session.state(),
            diagram=self._draw(),
        )
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        """A short text; the one that widgets have by default writes out the whole state."""
        return f"BenchView({self.session.circuit.name})"

    def _receive(self, _widget: object, message: Any, _buffers: object) -> None:  # noqa: ANN401 - JSON
        try:
            self.session.handle(message)
            state, diagram = self.session.state(), self._draw()
        except Exception as error:  # noqa: BLE001 - whatever it is, the person at the bench must see it
            self.session.fail(error)
            state, diagram = {**self.state, "alerts": list(self.session.alerts)}, self.diagram
        with self.hold_sync():
            self.diagram = diagram
            self.state = state

    def _draw(self) -> str:
        """Draw the circuit with commanded positions; only what is commanded and unplugged changes the drawing."""
        machine = self.session.bench.machine
        shown = (tuple(machine.state.items()), machine.wiring.unplugged)
        if shown != self._drawn:
            self._svg = draw(
                self.session.circuit, positions=machine.state, unplugged=machine.wiring.unplugged, scope=SCOPE
            )
            self._drawn = shown
        return self._svg
