"""One reading over all control states: healthy, as calculated, against measured, with the meter's tolerance.

Each plot has a text alternative. States are told apart by place, healthy and measured by shape, so both read in
greyscale.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from faultwright.circuit import Circuit
from faultwright.errors import Mistake, Refused, unknown
from faultwright.faults import Fault
from faultwright.machine import Machine
from faultwright.meter import SCALES, Probe, Reading, read
from faultwright.moves import control_moves
from faultwright.quantities import show_quantity
from faultwright.record import Measured, Record, discrepancy

from .plot_style import (
    GREY,
    HEALTHY,
    MEASURED,
    TIE,
    Column,
    finished,
    in_decades,
    legend,
    name_rows,
    new_plot,
    over_limit_at,
    place_of,
    rows_down,
    say_what_is_no_number,
    word_of,
)
from .plot_texts import text
from .show import Plot, Told
from .situation import Situation, situations, wiring_moves
from .words import shown, state_words, what_was_measured

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_STATES = 64
"""Control states that fit a plot."""
_DECADES = 1e4
"""From this span of readings on, the axis is logarithmic."""
_INCHES_A_ROW = 0.26

State = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadingInState:
    """What a healthy machine shows in a control state, and what was measured there (None: nothing).

    ``differs``: what was measured is not what a healthy machine shows.
    """

    state: Mapping[str, str]
    healthy: Reading
    measured: Reading | None
    differs: bool


def readings_over_states(
    circuit: Circuit, probe: Probe, /, *, record: Record | None = None, machine: Machine | None = None, **fixed: str
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
    fixed
        Controls that stay at one position: the states are those of the others.

    Raises Refused for an unknown terminal, control or position and for more than 64 control states.
    """
    states = list(states_held(circuit, fixed))
    recorded, rewire = _recorded(circuit, probe, record)
    if machine is not None and not recorded:
        rewire = wiring_moves(machine.wiring, machine.disturbed)
    found = []
    for state in states:
        healthy = _in_state(circuit, (), state, rewire, probe)
        measured = recorded.get(tuple(state.values()))
        if measured is None and machine is not None:
            measured = Measured(probe, _in_state(circuit, machine.faults, state, rewire, probe))
        differs = measured is not None and discrepancy(measured, healthy) != 0
        found.append(ReadingInState(state, healthy, measured.reading if measured else None, differs))
    return found


def states_held(circuit: Circuit, fixed: Mapping[str, str]) -> Iterator[dict[str, str]]:
    """Yield the control states in which the fixed controls stand where they should. Raises Refused."""
    mistakes = []
    count = circuit.state_count
    for name, position in fixed.items():
        control = circuit.controls.get(name)
        if control is None:
            mistakes.append(Mistake(unknown("control", name, list(circuit.controls))))
        elif position not in control.positions:
            mistakes.append(Mistake(f"control {name}: {unknown('position', position, control.positions)}"))
        else:
            count //= len(control.positions)
    if mistakes:
        raise Refused(mistakes)
    if count > MOST_STATES:
        raise Refused(text("plot.too_many", count=count, most=MOST_STATES))
    return (state for state in circuit.states() if fixed.items() <= state.items())


def _recorded(circuit: Circuit, probe: Probe, record: Record | None) -> tuple[dict[State, Measured], list[str]]:
    """Return the record's findings of this measurement by state, and the moves to the wiring that they share."""
    found: list[tuple[Situation, Measured]] = [
        (situation, action)
        for _, action, situation in situations(circuit, record.actions if record else ())
        if isinstance(action, Measured) and action.probe == probe
    ]
    if not found:
        return {}, []
    wiring, disturbed = found[-1][0].wiring, found[-1][0].disturbed
    alike = [entry for entry in found if (entry[0].wiring, entry[0].disturbed) == (wiring, disturbed)]
    return {tuple(situation.state.values()): finding for situation, finding in alike}, wiring_moves(wiring, disturbed)


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
    circuit: Circuit, probe: Probe, /, *, record: Record | None = None, machine: Machine | None = None, **fixed: str
) -> Plot:
    """Return the plot of :func:`readings_over_states`, one row a state; its label is the text alternative."""
    readings = readings_over_states(circuit, probe, record=record, machine=machine, **fixed)
    title = [what_was_measured(probe), circuit.title or circuit.name]
    if fixed:
        title.append(text("states.at", state=state_words(circuit, fixed)))
    plot = new_plot(_told(circuit, probe, readings), title, 2.4 + _INCHES_A_ROW * len(readings))
    axes = plot.add_subplot()
    rows_down(axes, 0, len(readings) - 1)
    _draw_healthy(axes, readings)
    _draw_measured(axes, readings)
    _scale(axes, readings, SCALES[probe.mode].unit)
    axes.set_xlabel(text("plot.axis", mode=text(f"mode.{probe.mode}"), unit=SCALES[probe.mode].unit))
    name_rows(axes, _columns(circuit, readings, fixed))
    legend(plot)
    return finished(plot)


def _draw_healthy(axes: Axes, readings: list[ReadingInState]) -> None:
    """Draw what a healthy machine shows: an open square on a hatched tolerance, which is seen through it."""
    over = over_limit_at(_both(readings))
    at = [place_of(entry.healthy, over) for entry in readings]
    tolerances = [0.0 if entry.healthy.value is None else entry.healthy.tolerance for entry in readings]
    axes.barh(
        range(len(readings)),
        [2 * tolerance for tolerance in tolerances],
        left=[place - tolerance for place, tolerance in zip(at, tolerances, strict=True)],
        height=0.92,
        color="white",
        edgecolor=GREY,
        hatch="//////",
        label=text("states.tolerance"),
    )
    axes.plot(at, range(len(readings)), linestyle="none", label=text("states.mark"), **HEALTHY)


def _draw_measured(axes: Axes, readings: list[ReadingInState]) -> None:
    """Draw what was measured: a full disc, inside the square where both agree, else tied to it by a dotted line.

    Readings without a number are said in words.
    """
    over = over_limit_at(_both(readings))
    measured = [(row, entry.measured) for row, entry in enumerate(readings) if entry.measured is not None]
    for row, entry in enumerate(readings):
        if entry.measured is not None and entry.differs:
            axes.plot((place_of(entry.healthy, over), place_of(entry.measured, over)), (row, row), **TIE)
    if measured:
        places = [place_of(reading, over) for _, reading in measured]
        axes.plot(places, [row for row, _ in measured], linestyle="none", label=text("plot.measured"), **MEASURED)
    say_what_is_no_number(axes, [*((row, entry.healthy) for row, entry in enumerate(readings)), *measured], over)


def _both(readings: list[ReadingInState]) -> list[Reading]:
    return [reading for entry in readings for reading in (entry.healthy, entry.measured) if reading is not None]


def _scale(axes: Axes, readings: list[ReadingInState], unit: str) -> None:
    """Take a logarithmic axis where the numbers span decades, and leave room for words."""
    sizes = [abs(reading.value) for reading in _both(readings) if reading.value]
    if sizes and max(sizes) > _DECADES * min(sizes):
        in_decades(axes, 1.0, lambda value: show_quantity(value, unit))
    axes.use_sticky_edges = False
    axes.margins(x=0.06)


def _columns(circuit: Circuit, readings: list[ReadingInState], fixed: Mapping[str, str]) -> Iterator[Column]:
    """Yield a column of positions for each control that moves; a position other than at rest is bold."""
    for control in circuit.controls.values():
        if control.name not in fixed:
            positions = [entry.state[control.name] for entry in readings]
            yield Column(
                "\n".join((control.label or control.name).split()),
                tuple((row, position, position != control.positions[0]) for row, position in enumerate(positions)),
            )


def describe_over_states(
    circuit: Circuit, probe: Probe, /, *, record: Record | None = None, machine: Machine | None = None, **fixed: str
) -> str:
    """Return in words what :func:`plot_over_states` shows."""
    return _told(circuit, probe, readings_over_states(circuit, probe, record=record, machine=machine, **fixed)).words()


def _told(circuit: Circuit, probe: Probe, readings: list[ReadingInState]) -> Told:
    what, title = what_was_measured(probe), circuit.title or circuit.name
    rows = []
    for entry in readings:
        measured = "" if entry.measured is None else _said(entry.measured)
        rows.append(
            (
                state_words(circuit, entry.state) or text("plot.no_controls"),
                _within(entry.healthy),
                text("states.differs", shown=measured) if entry.differs else measured,
            )
        )
    return Told(
        text("plot.describe", what=what, count=len(readings), title=title),
        (text("states.state"), text("states.healthy"), text("states.measured")),
        tuple(rows),
    )


def _within(reading: Reading) -> str:
    """Return what is shown, with the tolerance where it is a number."""
    if reading.value is None:
        return word_of(reading)
    tolerance = show_quantity(reading.tolerance, reading.unit)
    return text("states.value", shown=shown(reading), tolerance=tolerance)


def _said(reading: Reading) -> str:
    return shown(reading) if reading.value is not None else word_of(reading)
