"""One reading over all control states: healthy, as calculated, against measured, with the meter's tolerance.

Each plot has a text alternative. States are told apart by place, healthy and measured by shape, so both read in
greyscale.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from matplotlib.figure import Figure

from faultwright.circuit import Circuit
from faultwright.errors import Refused
from faultwright.faults import Fault
from faultwright.machine import Machine
from faultwright.meter import OVERLOAD, Probe, Reading, agree, read, show
from faultwright.moves import control_moves
from faultwright.record import Measured, Record

from .texts import text
from .words import Situation, shown, situations, state_words, what_was_measured, wiring_moves

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_STATES = 64
"""Control states that fit a plot."""
_DECADES = 1e4
"""From this span of readings on, the axis is logarithmic."""
_BLUE, _VERMILLION, _GREY = "#0072B2", "#D55E00", "#8c8c8c"
"""Of Okabe and Ito's set; the shapes carry the meaning."""
_POINTS_A_LETTER = 5.4
"""Width of a letter at 8 points, at most."""

State = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadingInState:
    """What a healthy machine shows in a control state, and what was measured there (None: nothing)."""

    state: Mapping[str, str]
    healthy: Reading
    measured: Reading | None

    @property
    def differs(self) -> bool:
        """Whether what was measured is not what a healthy machine shows."""
        return self.measured is not None and not agree(self.healthy, self.measured)


def readings_over_states(
    circuit: Circuit, probe: Probe, *, record: Record | None = None, machine: Machine | None = None
) -> list[ReadingInState]:
    """Return one reading in every control state, each reached by its own moves from rest.

    Parameters
    ----------
    circuit
        The circuit as its author wrote it; the healthy readings follow from it.
    probe
        The measurement.
    record
        Findings of this very measurement are taken as measured, the last one in each state, as far as the wiring was
        then as at the last of them.
    machine
        Measured where the record says nothing: on a copy, in the wiring as it stands. The machine is left alone.

    Raises Refused for an unknown terminal and for more than 64 control states.
    """
    if circuit.state_count > MOST_STATES:
        raise Refused(text("plot.too_many", count=circuit.state_count, most=MOST_STATES))
    recorded, rewire = _recorded(circuit, probe, record)
    if machine is not None and not recorded:
        rewire = wiring_moves(machine.wiring, machine.disturbed)
    found = []
    for state in circuit.states():
        measured = recorded.get(tuple(state.values()))
        if measured is None and machine is not None:
            measured = _in_state(circuit, machine.faults, state, rewire, probe)
        found.append(ReadingInState(state, _in_state(circuit, (), state, rewire, probe), measured))
    return found


def _recorded(circuit: Circuit, probe: Probe, record: Record | None) -> tuple[dict[State, Reading], list[str]]:
    """Return the record's readings of this measurement by state, and the moves to the wiring that they share."""
    found: list[tuple[Situation, Reading]] = [
        (situation, action.reading)
        for _, action, situation in situations(circuit, record.actions if record else ())
        if isinstance(action, Measured) and action.probe == probe
    ]
    if not found:
        return {}, []
    wiring, disturbed = found[-1][0].wiring, found[-1][0].disturbed
    alike = [entry for entry in found if (entry[0].wiring, entry[0].disturbed) == (wiring, disturbed)]
    return {tuple(situation.state.values()): reading for situation, reading in alike}, wiring_moves(wiring, disturbed)


def _in_state(
    circuit: Circuit, faults: tuple[Fault, ...], state: Mapping[str, str], rewire: list[str], probe: Probe
) -> Reading:
    machine = Machine(circuit, faults)
    for move in rewire:
        machine.move(move)
    for control_move in control_moves(circuit, circuit.rest(), dict(state)):
        machine.move(control_move)
    return read(machine, probe)


def plot_over_states(
    circuit: Circuit, probe: Probe, *, record: Record | None = None, machine: Machine | None = None
) -> Figure:
    """Return the plot of :func:`readings_over_states`, one row a state; its label is the text alternative."""
    readings = readings_over_states(circuit, probe, record=record, machine=machine)
    figure = Figure(figsize=(9.0, 2.4 + 0.26 * len(readings)), layout="constrained")
    figure.set_label(_describe(circuit, probe, readings))
    axes = figure.add_subplot()
    _draw_healthy(axes, readings)
    _draw_measured(axes, readings)
    figure.suptitle(text("plot.title", what=what_was_measured(probe), title=circuit.title or circuit.name), fontsize=11)
    axes.set_xlabel(text("plot.axis", mode=text(f"mode.{probe.mode}"), unit=show(probe.mode, 0.0).unit))
    _label_states(axes, circuit, readings)
    figure.legend(*axes.get_legend_handles_labels(), loc="outside lower center", ncols=2, frameon=False)
    return figure


def _draw_healthy(axes: Axes, readings: list[ReadingInState]) -> None:
    """Draw what a healthy machine shows: an open square on a hatched tolerance."""
    over = _over_limit_at(readings)
    rows = range(len(readings))
    at = [_place(entry.healthy, over) for entry in readings]
    tolerances = [0.0 if entry.healthy.value is None else entry.healthy.tolerance for entry in readings]
    axes.barh(
        rows,
        [2 * tolerance for tolerance in tolerances],
        left=[place - tolerance for place, tolerance in zip(at, tolerances, strict=True)],
        height=0.8,
        color="white",
        edgecolor=_GREY,
        hatch="/////",
    )
    axes.plot(
        at,
        rows,
        linestyle="none",
        color=_BLUE,
        marker="s",
        markersize=10,
        markerfacecolor="white",
        markeredgewidth=1.6,
        label=text("plot.healthy"),
    )
    _say(axes, [(row, entry.healthy) for row, entry in enumerate(readings)], over)
    _scale(axes, readings)
    axes.grid(axis="x", linewidth=0.5, color="#cccccc")
    axes.set_axisbelow(True)


def _draw_measured(axes: Axes, readings: list[ReadingInState]) -> None:
    """Draw what was measured: a full disc, inside the square where both agree, else tied to it by a dotted line."""
    over = _over_limit_at(readings)
    measured = [(row, entry.measured) for row, entry in enumerate(readings) if entry.measured is not None]
    for row, entry in enumerate(readings):
        if entry.measured is not None and entry.differs:
            ends = _place(entry.healthy, over), _place(entry.measured, over)
            axes.plot(ends, (row, row), linestyle=":", linewidth=1.5, color="black", zorder=1)
    axes.plot(
        [_place(reading, over) for _, reading in measured],
        [row for row, _ in measured],
        linestyle="none",
        color=_VERMILLION,
        marker="o",
        markersize=6,
        markeredgecolor="black",
        label=text("plot.measured"),
    )
    _say(axes, measured, over)


def _values(readings: list[ReadingInState]) -> list[float]:
    both = [reading for entry in readings for reading in (entry.healthy, entry.measured) if reading is not None]
    return [reading.value for reading in both if reading.value is not None]


def _over_limit_at(readings: list[ReadingInState]) -> float:
    """Return where OL is drawn: beyond every number."""
    return 1.15 * max([*_values(readings), 0.0]) or 1.0


def _place(reading: Reading, over: float) -> float:
    """Return where a reading is drawn: OL beyond every number, a floating or missing one at zero."""
    if reading.value is not None:
        return reading.value
    return over if reading.status == OVERLOAD else 0.0


def _say(axes: Axes, rows: list[tuple[int, Reading]], over: float) -> None:
    """Write beside a mark what it stands for where that is no number."""
    for row, reading in rows:
        if reading.value is None:
            axes.annotate(
                _word(reading),
                (_place(reading, over), row),
                (9, 0),
                textcoords="offset points",
                va="center",
                fontsize=8,
            )


def _scale(axes: Axes, readings: list[ReadingInState]) -> None:
    """Take a logarithmic axis where the numbers span decades, and leave room for words."""
    sizes = [abs(value) for value in _values(readings) if value]
    if sizes and max(sizes) > _DECADES * min(sizes):
        axes.set_xscale("symlog", linthresh=1.0)
    axes.use_sticky_edges = False
    axes.margins(x=0.06)


def _word(reading: Reading) -> str:
    return text(f"plot.{reading.status}")


def _label_states(axes: Axes, circuit: Circuit, readings: list[ReadingInState]) -> None:
    """Name each row by its positions, one column a control, with the control's label above it."""
    axes.set_ylim(len(readings) - 0.4, -0.6)
    axes.set_yticks(range(len(readings)), [""] * len(readings))
    left = -10.0
    for control in reversed(tuple(circuit.controls.values())):
        heading = "\n".join((control.label or control.name).split())
        widest = max(map(len, (*control.positions, *heading.split("\n"))))
        cells = [(row, entry.state[control.name]) for row, entry in enumerate(readings)]
        for row, position in cells:
            bold = "bold" if position != control.positions[0] else "normal"
            _label(axes, position, (0.0, row), (left, 0), on_row=True, weight=bold)
        _label(axes, heading, (0.0, 1.0), (left, 4), on_row=False)
        left -= _POINTS_A_LETTER * widest + 8


def _label(  # noqa: PLR0913 - where a text stands
    axes: Axes,
    words: str,
    where: tuple[float, float],
    off: tuple[float, float],
    *,
    on_row: bool,
    weight: str = "normal",
) -> None:
    axes.annotate(
        words,
        where,
        off,
        xycoords=("axes fraction", "data") if on_row else "axes fraction",
        textcoords="offset points",
        ha="right",
        va="center" if on_row else "bottom",
        fontsize=8,
        fontweight=weight,
    )


def describe_over_states(
    circuit: Circuit, probe: Probe, *, record: Record | None = None, machine: Machine | None = None
) -> str:
    """Return in words what :func:`plot_over_states` shows."""
    return _describe(circuit, probe, readings_over_states(circuit, probe, record=record, machine=machine))


def _describe(circuit: Circuit, probe: Probe, readings: list[ReadingInState]) -> str:
    what, title = what_was_measured(probe), circuit.title or circuit.name
    lines = [text("plot.describe", what=what, count=len(readings), title=title)]
    for entry in readings:
        state = state_words(circuit, entry.state) or text("plot.no_controls")
        line = text("plot.describe_state", state=state, healthy=_said(entry.healthy))
        if entry.measured is not None:
            differs = text("plot.differs") if entry.differs else ""
            line += ", " + text("plot.describe_measured", measured=_said(entry.measured), differs=differs)
        lines.append(line + ".")
    return "\n".join(lines)


def _said(reading: Reading) -> str:
    return shown(reading) if reading.value is not None else _word(reading)
