"""What a lesson shows only when it is asked to, so that opening the lesson gives nothing away.

Opening a lesson runs all of its cells. A picture of which states differ would then stand there before the student has
looked for them.
"""

from __future__ import annotations

from dataclasses import replace
from html import escape
from pathlib import Path

from ipywidgets import HTML, Button, Layout, VBox

from faultwright.circuit import Circuit
from faultwright.errors import Mistake, Refused, unknown
from faultwright.meter import Probe
from faultwright_widgets.reading_plot import plot_over_states
from faultwright_widgets.show import Shown

from .opening import open_case
from .texts import text


def plot_on_demand(case: str | Path, probe: Probe, *, answer_file: Path | str, **fixed: str) -> VBox:
    """Return a button that draws one reading over the control states, healthy against this case's machine.

    ``answer_file`` is where the case's bench keeps its work: each press draws the machine as that work has left it.
    ``fixed`` holds controls at one position. Raises Refused for an unknown case, control or position.
    """
    held_at(open_case(case).circuit, fixed)
    button = Button(description=text("plot.draw"), layout=Layout(width="max-content"))
    picture = HTML()

    def draw(_button: Button) -> None:
        try:
            opened = open_case(case, answer_file=answer_file)
            figure = plot_over_states(held_at(opened.circuit, fixed), probe, machine=opened.bench.machine)
        except Refused as refused:
            picture.value = f"<p>{escape(str(refused))}</p>"
        else:
            picture.value = Shown(figure)._repr_html_()

    button.on_click(draw)
    return VBox([button, picture])


def held_at(circuit: Circuit, fixed: dict[str, str]) -> Circuit:
    """Return the circuit with some controls held at one position: it then has the states of the others only.

    At rest, too, the held controls stand there.
    Raises Refused, with the nearest name, for a control or a position that the circuit does not have.
    """
    mistakes = []
    for name, position in fixed.items():
        if name not in circuit.controls:
            mistakes.append(Mistake(unknown("control", name, list(circuit.controls))))
        elif position not in circuit.controls[name].positions:
            mistakes.append(
                Mistake(f"control {name}: {unknown('position', position, circuit.controls[name].positions)}")
            )
    if mistakes:
        raise Refused(mistakes)
    held = {name: replace(circuit.controls[name], positions=(position,)) for name, position in fixed.items()}
    return replace(circuit, controls={**circuit.controls, **held})
