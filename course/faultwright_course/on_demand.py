"""What a lesson shows only when it is asked to, so that opening the lesson gives nothing away.

Opening a lesson runs all of its cells. A picture of which states differ would then stand there before the student has
looked for them.
"""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path

from ipywidgets import HTML, Button, Layout, VBox

from faultwright.errors import Refused
from faultwright.meter import Probe
from faultwright_widgets.profile_plot import plot_drop_profile
from faultwright_widgets.reading_plot import plot_over_states, states_held
from faultwright_widgets.show import Plot, Shown
from faultwright_widgets.suspects_plot import plot_suspects

from .opening import Opened, open_case
from .texts import text


def plot_on_demand(case: str | Path, probe: Probe, *, answer_file: Path | str, **fixed: str) -> VBox:
    """Return a button that draws one reading over the control states, healthy against this case's machine.

    ``answer_file`` is where the case's bench keeps its work: each press draws the machine as that work has left it.
    ``fixed`` holds controls at one position. Raises Refused for an unknown case, control or position.
    """
    states_held(open_case(case).circuit, fixed)

    def draw(opened: Opened) -> Plot:
        # Whatever is no control has been refused above.
        return plot_over_states(opened.circuit, probe, machine=opened.bench.machine, **fixed)  # type: ignore[arg-type]

    return _button("plot.draw", case, answer_file, draw)


def drops_on_demand(case: str | Path, load: str, moves: str, *, answer_file: Path | str) -> VBox:
    """Return a button that draws the voltage drops along the path of a load, and what was measured there.

    ``moves`` bring the sound machine from rest to the state, parted by ``;``. The case's own machine is not read.
    """

    def draw(opened: Opened) -> Plot:
        return plot_drop_profile(opened.circuit, load, moves, record=opened.bench.record)

    return _button("plot.draw_drops", case, answer_file, draw)


def suspects_on_demand(case: str | Path, *, answer_file: Path | str) -> VBox:
    """Return a button that draws how many suspects each finding has left."""
    return _button(
        "plot.draw_suspects", case, answer_file, lambda opened: plot_suspects(opened.circuit, opened.bench.record)
    )


def _button(label: str, case: str | Path, answer_file: Path | str, draw: Callable[[Opened], Plot]) -> VBox:
    """Return a button that draws the work as the answer file holds it at each press."""
    button = Button(description=text(label), layout=Layout(width="max-content"))
    picture = HTML()

    def show(_button: Button) -> None:
        try:
            picture.value = Shown(draw(open_case(case, answer_file=answer_file)))._repr_html_()
        except Refused as refused:
            picture.value = f"<p>{escape(str(refused))}</p>"

    button.on_click(show)
    return VBox([button, picture])
