"""The voltage-drop profile: how the voltage falls along the path of the current through a load, and over what.

Rows run along the path from the source's ``+`` down to its ``-``, as on the circuit diagram. At the left each joint has
its volts against the source's ``-``; at the right each wire and part has its drop, in decades, so that a contact's
millivolts can be read beside a load's 12 V. With a record only what was measured is shown, so nothing is given away.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from faultwright.circuit import FRAME, Circuit
from faultwright.drop_profile import USUAL_GROUND_PATH, USUAL_NOMINAL, WIRE, DropProfile, Stretch, drop_profile
from faultwright.errors import Refused
from faultwright.falls import Fall, Unexpected, falls_in, falls_on, largest_unexpected
from faultwright.machine import Machine
from faultwright.meter import VOLTS, show
from faultwright.quantities import show_quantity
from faultwright.record import Record

from .plot_style import (
    HEALTHY,
    MEASURED,
    PALE,
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
from .situation import Situation
from .words import shown

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_INCHES_A_JOINT = 0.42
_LINEAR_TO = 0.001
"""V below which drops are drawn as they are; a meter shows 0.1 mV."""
_USUAL: dict[str, Any] = {"color": "black", "marker": "|", "markersize": 15, "markeredgewidth": 2.5}
_AGAINST_FRAME: dict[str, Any] = MEASURED | {"marker": "D"}


def plot_drop_profile(
    circuit: Circuit, load: str, moves: str = "", *, record: Record | None = None, machine: Machine | None = None
) -> Plot:
    """Return the profile of the current through a load, healthy and, where given, measured; its label says it in words.

    Parameters
    ----------
    circuit
        The circuit as its author wrote it; path and healthy volts follow from it.
    load
        The part that uses the current: a lamp, a motor, a relay for its coil.
    moves
        What brings the machine from rest to where the current flows, parted by ``;``.
    record
        Volts between joints of the path are shown as measured, where they were taken in this state before any repair.
    machine
        Measured at every joint: on a copy with its faults, after the same moves. The machine is left alone. This shows
        where a fault is: for a demonstration, or afterwards.

    Raises Refused for an unknown load or move, where no current flows on a healthy machine, and for a record together
    with a machine.
    """
    if record is not None and machine is not None:
        raise Refused(text("profile.both"))
    steps = [move.strip() for move in moves.split(";") if move.strip()]
    profile = drop_profile(circuit, load, steps)
    falls: list[Fall] | None = None
    if record is not None:
        falls = falls_in(profile, record)
    if machine is not None:
        measured = Machine(circuit, machine.faults)
        for move in steps:
            measured.move(move)
        falls = falls_on(profile, measured)
    return _drawn(profile, falls)


def _drawn(profile: DropProfile, falls: list[Fall] | None) -> Plot:
    worst = largest_unexpected(falls or [])
    note = _note(profile, falls, worst)
    circuit, last = profile.machine.circuit, len(profile.terminals) - 1
    title = [
        text("profile.title", load=profile.load),
        circuit.title or circuit.name,
        _state(profile),
        *([note] if note else []),
    ]
    plot = new_plot(_told(profile, falls or [], note), title, 2.4 + _INCHES_A_JOINT * (last + 1))
    volts, drops = plot.subplots(1, 2, sharey=True, width_ratios=(4, 3))
    rows_down(volts, 0, last)
    rows_down(drops, 0, last)
    _draw_volts(volts, profile, falls or [])
    _draw_drops(drops, profile, falls or [])
    if worst:
        volts.axhspan(worst.first, worst.last, label=text("profile.here"), **_HERE)
        drops.axhspan(worst.first, worst.last, **_HERE)
    volts.set_xlabel(text("profile.volts", end=profile.terminals[-1]))
    drops.set_xlabel(text("profile.drop"))
    name_rows(volts, _columns(profile))
    legend(plot)
    return finished(plot)


_HERE: dict[str, Any] = {"facecolor": PALE, "edgecolor": "black", "linewidth": 1.2, "zorder": 0}


def _draw_volts(axes: Axes, profile: DropProfile, falls: Sequence[Fall]) -> None:
    """Draw the volts of the joints: the healthy ones joined, those measured on their rows."""
    rows = range(len(profile.terminals))
    axes.plot(profile.volts, rows, linewidth=1.2, label=text("profile.healthy"), **HEALTHY)
    measured, over = text("profile.measured"), over_limit_at(fall.reading for fall in falls)
    for last, (label, marks) in _returns(profile).items():
        its = [fall for fall in falls if fall.last == last and (label == measured or fall.first + 1 < last)]
        places = [place_of(fall.reading, over) for fall in its]
        for fall, place in zip(its, places, strict=True):
            if fall.differs:
                axes.plot((profile.volts[fall.first], place), (fall.first, fall.first), **TIE)
        if its:
            axes.plot(places, [fall.first for fall in its], linestyle="none", label=label, **marks)
        say_what_is_no_number(axes, [(fall.first, fall.reading) for fall in its], over)
    axes.margins(x=0.08)


def _returns(profile: DropProfile) -> dict[int, tuple[str, dict[str, Any]]]:
    """Return where the black lead stays while the red one goes along the path: label and mark of each such joint.

    The source's ``-``, and FRAME, where that is another joint.
    """
    found = {len(profile.terminals) - 1: (text("profile.measured"), MEASURED)}
    if FRAME in profile.terminals[:-1]:
        found[profile.terminals.index(FRAME)] = text("profile.measured_at", black=FRAME), _AGAINST_FRAME
    return found


def _draw_drops(axes: Axes, profile: DropProfile, falls: Sequence[Fall]) -> None:
    """Draw the drop over each wire and part, healthy and measured, and the most that is usual."""
    middles = [number + 0.5 for number in range(len(profile.stretches))]
    axes.plot([stretch.drop for stretch in profile.stretches], middles, linestyle="none", **HEALTHY)
    usual = [(stretch.usual, row) for stretch, row in zip(profile.stretches, middles, strict=True) if stretch.usual]
    if usual:
        axes.plot(*zip(*usual, strict=True), linestyle="none", label=text("profile.usual"), **_USUAL)
    across = [fall for fall in falls if _is_across(profile, fall)]
    over = over_limit_at(fall.reading for fall in across)
    rows = [(fall.first + fall.last) / 2 for fall in across]
    for fall, row in zip(across, rows, strict=True):
        place = place_of(fall.reading, over)
        if fall.last - fall.first > 1:
            axes.plot((place, place), (fall.first, fall.last), color="black", linewidth=1.2)
        elif fall.differs:
            axes.plot((profile.stretches[fall.first].drop, place), (row, row), **TIE)
    if across:
        places = [place_of(fall.reading, over) for fall in across]
        axes.plot(places, rows, linestyle="none", label=text("profile.measured"), **MEASURED)
    say_what_is_no_number(axes, [(row, fall.reading) for row, fall in zip(rows, across, strict=True)], over)
    in_decades(axes, _LINEAR_TO, lambda value: f"{value:g}")
    axes.margins(x=0.1)


def _is_across(profile: DropProfile, fall: Fall) -> bool:
    """Say whether a reading was taken over something on the path, not of a joint against the common return."""
    return fall.last == fall.first + 1 or fall.last not in _returns(profile)


def _columns(profile: DropProfile) -> Iterator[Column]:
    passed = [(row + 0.5, _name(profile, stretch), stretch.used) for row, stretch in enumerate(profile.stretches)]
    yield Column(text("profile.passed"), tuple(passed))
    joints = enumerate(profile.terminals)
    yield Column(text("profile.joint"), tuple((row, terminal, False) for row, terminal in joints))


def _name(profile: DropProfile, stretch: Stretch) -> str:
    """Return a wire or part with what it is; a switch with its control."""
    circuit = profile.machine.circuit
    if stretch.kind == WIRE:
        return stretch.place
    part = circuit.parts.get(stretch.place.partition(" ")[0])
    control = circuit.controls.get(part.control or "") if part else None
    return text("profile.part", place=stretch.place, what=control.label if control else stretch.kind)


# In words


def _state(profile: DropProfile) -> str:
    machine = profile.machine
    return Situation(machine.state, machine.wiring, machine.disturbed).words(machine.circuit)


def _note(profile: DropProfile, falls: list[Fall] | None, worst: Unexpected | None) -> str:
    """Return what is to be said of the readings: the largest unexpected drop, or that there is none."""
    if falls is None:
        return ""
    if worst is None:
        return text("profile.as_healthy" if falls else "profile.no_readings")
    places = [stretch.place for stretch in profile.stretches[worst.first : worst.last]]
    return text(
        "profile.worst",
        drop=show(VOLTS, worst.drop).display,
        first=profile.terminals[worst.first],
        last=profile.terminals[worst.last],
        places=", ".join(places),
        expected=show(VOLTS, worst.expected).display,
    )


def _told(profile: DropProfile, falls: Sequence[Fall], note: str) -> Told:
    circuit, terminals = profile.machine.circuit, profile.terminals
    by_ends = {(fall.first, fall.last): fall for fall in falls}
    end = len(terminals) - 1
    rows = []
    for number, terminal in enumerate(terminals[:-1]):
        stretch = profile.stretches[number]
        own = by_ends.pop((number, end), None)
        over = by_ends.pop((number, number + 1), own if number + 1 == end else None)
        rows.append((terminal, _display(profile.volts[number]), _measured(own), ""))
        for ends in sorted(ends for ends in by_ends if ends[0] == number):
            fall = by_ends[ends]
            words = text("profile.from", first=terminal, last=terminals[ends[1]])
            rows.append((words, show(VOLTS, fall.healthy.value or 0.0).display, _measured(fall), ""))
        usual = "" if stretch.usual is None else show_quantity(stretch.usual, "V")
        place = text("profile.over", place=_name(profile, stretch))
        rows.append((place, _display(stretch.drop), _measured(over), usual))
    return Told(
        text(
            "profile.summary",
            load=profile.load,
            title=circuit.title or circuit.name,
            state=_state(profile),
            end=terminals[-1],
        ),
        (text("profile.where"), text("states.healthy"), text("states.measured"), text("profile.head.usual")),
        tuple(rows),
        (*_totals(profile), *([f"{note}."] if note else [])),
    )


def _display(volts: float) -> str:
    return show(VOLTS, volts).display


def _measured(fall: Fall | None) -> str:
    if fall is None:
        return ""
    words = shown(fall.reading) if fall.reading.value is not None else word_of(fall.reading)
    return text("states.differs", shown=words) if fall.differs else words


def _totals(profile: DropProfile) -> Iterator[str]:
    """Say what is lost before the load, and over the ground path behind it."""
    terminals, volts = profile.terminals, profile.volts
    yield text("profile.feed", first=terminals[0], drop=_display(volts[0] - volts[profile.used[0]]))
    if profile.ground_path < len(terminals) - 1:
        usual = profile.machine.circuit.nominal == USUAL_NOMINAL
        yield text(
            "profile.ground.usual" if usual else "profile.ground",
            first=terminals[profile.ground_path],
            last=terminals[-1],
            drop=_display(volts[profile.ground_path]),
            usual=show_quantity(USUAL_GROUND_PATH, "V"),
        )
