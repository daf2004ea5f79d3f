"""The meter: volts, amps, ohms, continuity and diode test, as a part of the circuit that it measures.

6,000 counts, auto range or a range that is chosen, no random error. The accuracy figures are those of a common
handheld meter.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Protocol

from .circuit import FRAME, Circuit
from .circuit_file import terminal_mistake
from .electrics import Settled
from .errors import Mistake, Refused, unknown
from .network import Network
from .parts import terminals
from .scale import AUTO, COUNTS, Scale, last_digit, rounded
from .solve import Meter, Solver

OK, OVERLOAD, UNSTEADY, BLOWN, FLOATING, LIVE = "ok", "overload", "unsteady", "blown", "floating", "live"
STATUSES = (OK, OVERLOAD, UNSTEADY, BLOWN, FLOATING, LIVE)

VOLTS, AMPS, OHMS, CONTINUITY, DIODE = "volts", "amps", "ohms", "continuity", "diode"
MODES = (VOLTS, AMPS, OHMS, CONTINUITY, DIODE)

INPUT_RESISTANCE = 10e6
"""Ω on volts (OpenStax University Physics 2, 10.4)."""
SHUNT = 0.01
"""Ω on amps: a 10 A shunt (common practice)."""
METER_FUSE = 20.0
"""A from which the meter's own fuse goes: a 10 A range that bears 20 A for half a minute (common practice)."""
LIVE_FROM = 0.0001
"""V across the meter from which a circuit counts as live."""
BEEPS_BELOW = 50.0
"""Ω below which continuity beeps."""
DIODE_CURRENT, DIODE_MOST = 0.001, 3.0
"""A of the diode test, and V over which it shows OL (common practice)."""
LEADS = 0.3
"""Ω of a pair of sound leads, which ohms and continuity show until they are zeroed (common practice: 0.2 to 0.5 Ω)."""
MOST_LEADS = 100.0
"""Ω of a pair of leads that still are leads."""
ROUNDING = 1e-9
"""Share of a difference of two displayed values that is rounding."""
_DIODE_SOURCE = 1e9
"""Ω of the diode test's source: so large that its current is steady to a millionth."""


class Standing(Protocol):
    """A machine as it stands: what the meter is put to."""

    @property
    def circuit(self) -> Circuit:
        """The circuit, as it was drawn."""

    @property
    def solver(self) -> Solver:
        """The solver of the network as wired now."""

    @property
    def relays(self) -> Mapping[str, bool]:
        """Which relays are energised."""

    @property
    def blown(self) -> frozenset[str]:
        """The fuses that have opened."""

    def positions(self) -> Mapping[str, str]:
        """Return each switch's position."""

    def solver_with(self, *, ammeter: tuple[str, float] | None = None, alone: str | None = None) -> Solver:
        """Return the solver of the network as wired now, with an ammeter put in or a part measured in the hand."""


SCALES = {
    VOLTS: Scale("V", 0.6, 1000.0, 0.005, 2, ((1e-3, "m"), (1.0, ""))),
    DIODE: Scale("V", 6.0, DIODE_MOST, 0.005, 2, ((1.0, ""),), choice=False),
    AMPS: Scale("A", 0.06, METER_FUSE, 0.015, 3, ((1e-3, "m"), (1.0, ""))),
    OHMS: Scale("Ω", 600.0, 60e6, 0.009, 2, ((1.0, ""), (1e3, "k"), (1e6, "M"))),
}
SCALES[CONTINUITY] = replace(SCALES[OHMS], choice=False)
"""What each mode can show. Ranges are chosen on volts, ohms and amps; continuity and diode test have one range only."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What the meter shows. ``value`` and ``tolerance`` in V, A or Ω; ``value`` None unless ``status`` is ok.

    ``resolution`` is the last digit in the unit; ``beeps`` only on continuity; ``range`` is the full scale of the range
    that was chosen, in the unit, or :data:`AUTO`. ``true`` is what was measured before it was rounded, NaN where that
    is no number: nobody sees it, and it is no part of what two readings have in common.
    """

    value: float | None
    unit: str
    display: str
    status: str
    tolerance: float
    resolution: float
    beeps: bool | None = None
    range: float = AUTO
    true: float = field(default=math.nan, compare=False, repr=False)

    def as_json(self) -> dict[str, object]:
        """The reading as the command line's JSON gives it."""
        found: dict[str, object] = {
            "value": self.value,
            "unit": self.unit,
            "display": self.display,
            "status": self.status,
            "tolerance": self.tolerance,
        }
        if self.beeps is not None:
            found["beeps"] = self.beeps
        return found


@lru_cache(maxsize=4096)
def show(mode: str, true: float, chosen: float = AUTO) -> Reading:
    """Return what the meter shows for a true value in V, A or Ω: on its range, rounded to a digit, or OL.

    ``chosen`` is the full scale of the mode's range that was chosen; on auto the first that holds the value is taken.
    """
    scale = SCALES[mode]
    if abs(true) > (chosen or scale.last):
        return replace(_nothing(mode, OVERLOAD, "OL", chosen), true=true)
    top = scale.top(chosen) if chosen else scale.top_for(true)
    digit = last_digit(top)
    value = rounded(true, digit)
    tolerance = scale.tolerance(value, digit)
    return Reading(value, scale.unit, scale.display(value, top), OK, tolerance, digit, range=chosen, true=true)


_DISPLAYS = {OVERLOAD: "OL", FLOATING: "0.00 {unit}, floating"}


def words_of(mode: str, status: str, value: float, chosen: float = AUTO) -> str:
    """Return a reading in words: the number as its range displays it, OL, or what else the display means."""
    if status == OK:
        return show(mode, value, chosen).display
    return _DISPLAYS.get(status, status).format(unit=SCALES[mode].unit)


def _nothing(mode: str, status: str, display: str, chosen: float = AUTO) -> Reading:
    scale = SCALES[mode]
    digit = last_digit(60.0 if mode == VOLTS and not chosen else scale.top(chosen))
    return Reading(None, scale.unit, display, status, round(scale.digits * digit, 9), digit, range=chosen)


def _floating(mode: str, chosen: float) -> Reading:
    """Return the zero that is shown where no closed path runs through the meter."""
    display = show(mode, 0.0, chosen).display if chosen else f"0.00 {SCALES[mode].unit}"
    return _nothing(mode, FLOATING, display, chosen)


@dataclass(frozen=True, slots=True)
class Probe:
    """A measurement: ``mode`` and where the red and black lead are.

    For amps in series ``red`` is the place that is opened and ``black`` is empty. ``alone`` is a part that is measured
    in the hand. ``leads`` are the Ω of the leads that remain in ohms and continuity: none where they have been zeroed.
    ``range`` is the full scale of the range that is chosen, in the unit, or :data:`AUTO`.
    """

    mode: str
    red: str
    black: str = ""
    alone: str = ""
    leads: float = 0.0
    range: float = AUTO


@lru_cache(maxsize=4096)
def check_probe(probe: Probe, circuit: Circuit) -> None:
    """Raise Refused, with the nearest names, for a measurement that cannot be made on this circuit."""
    mistakes: list[str] = []
    if probe.mode not in MODES:
        mistakes.append(unknown("meter mode", probe.mode, MODES))
    elif probe.range != AUTO and (wrong := SCALES[probe.mode].wrong_range(probe.range, probe.mode)):
        mistakes.append(wrong)
    if not 0 <= probe.leads <= MOST_LEADS:
        mistakes.append(f"leads have from 0 Ω to {MOST_LEADS:g} Ω")
    if probe.alone and probe.alone not in circuit.parts:
        mistakes.append(unknown("part", probe.alone, list(circuit.parts)))
    if probe.alone and probe.mode == AMPS:
        mistakes.append("a part in the hand carries no current; measure amps where it is fitted")
    mistakes += _misplaced_leads(probe, circuit)
    if mistakes:
        raise Refused([Mistake(message, "meter") for message in dict.fromkeys(mistakes)])


def _misplaced_leads(probe: Probe, circuit: Circuit) -> list[str]:
    """Say what is wrong with where the leads are."""
    if probe.mode == AMPS and not probe.black:
        places = [*circuit.wires, *(name for name, part in circuit.parts.items() if terminals(part))]
        return [] if probe.red in places else [unknown("wire or part", probe.red, places)]
    if not probe.black:
        return [f"{probe.mode} needs two terminals, red and black"]
    own = (*terminals(circuit.parts[probe.alone]), FRAME) if probe.alone in circuit.parts else ()
    found = []
    for terminal in (probe.red, probe.black):
        message = terminal_mistake(terminal, circuit.parts)
        if not message and own and terminal not in own:
            message = unknown(f"terminal of {probe.alone}", terminal, own)
        if message:
            found.append(message)
    return found


def read(machine: Standing, probe: Probe) -> Reading:
    """Return what the meter shows on a machine as it stands; measuring leaves the machine as it was.

    Raises Refused for an unknown terminal or mode.
    """
    check_probe(probe, machine.circuit)
    if probe.mode == AMPS and not probe.black:
        return _amps_in_series(machine, probe)
    solver = machine.solver_with(alone=probe.alone) if probe.alone else machine.solver
    network = solver.network
    red, black = network.node[probe.red], network.node[probe.black]
    match probe.mode:
        case "volts":
            return _volts(machine, solver, red, black, probe.range)
        case "amps":
            return _amps_across(machine, solver, red, black, probe.range)
        case "diode":
            return _diode_test(machine, solver, probe, red, black)
    return _ohms(machine, solver, probe, red, black)


def _settle(machine: Standing, solver: Solver, meter: Meter) -> Settled:
    return solver.settle(machine.positions(), machine.relays, machine.blown, meter)


def _across(settled: Settled, meter: Meter) -> float:
    return float(settled.voltages[meter.red] - settled.voltages[meter.black])


def _volts(machine: Standing, solver: Solver, red: int, black: int, chosen: float) -> Reading:
    meter = Meter(red, black, 1 / INPUT_RESISTANCE, protects=True)
    settled = _settle(machine, solver, meter)
    if settled.buzzing:
        return _nothing(VOLTS, UNSTEADY, "----", chosen)
    if settled.between == 0:
        return _floating(VOLTS, chosen)
    return show(VOLTS, _across(settled, meter), chosen)


def _amps_across(machine: Standing, solver: Solver, red: int, black: int, chosen: float) -> Reading:
    meter = Meter(red, black, 1 / SHUNT, protects=True)
    settled = _settle(machine, solver, meter)
    if settled.buzzing:
        return _nothing(AMPS, UNSTEADY, "----", chosen)
    if settled.between == 0:
        return _floating(AMPS, chosen)
    return _amps(_across(settled, meter) / SHUNT, chosen)


def _amps(current: float, chosen: float) -> Reading:
    if abs(current) > METER_FUSE:
        return replace(_nothing(AMPS, BLOWN, "----", chosen), true=current)
    return show(AMPS, current, chosen)


def _amps_in_series(machine: Standing, probe: Probe) -> Reading:
    """Open a wire, or a part's first terminal, and put the meter in; current into the part is positive."""
    part = machine.circuit.parts.get(probe.red)
    place = terminals(part)[0] if part else probe.red
    solver = machine.solver_with(ammeter=(place, SHUNT))
    network = solver.network
    settled = solver.settle(machine.positions(), machine.relays, machine.blown)
    if settled.buzzing:
        return _nothing(AMPS, UNSTEADY, "----", probe.range)
    # Nothing of that name: the part is off, and the meter hangs on its harness alone.
    index = next((i for i, branch in enumerate(network.branches) if branch.name == place), None)
    if index is None or not _in_closed_path(network, settled, index):
        return _floating(AMPS, probe.range)
    return _amps(float(settled.currents()[index]), probe.range)


def _in_closed_path(network: Network, settled: Settled, index: int) -> bool:
    conductances = list(settled.conductances)
    if not conductances[index]:
        return False
    conductances[index] = 0.0
    return network.joined(conductances, *network.ends[index])


def _live(machine: Standing, solver: Solver, probe: Probe, red: int, black: int) -> Settled | Reading:
    """Settle with the meter's own source off; a circuit that still puts a voltage across it is live."""
    meter = Meter(red, black, 1 / INPUT_RESISTANCE, passive=True, protects=True)
    settled = _settle(machine, solver, meter)
    live = settled.buzzing or abs(_across(settled, meter)) > LIVE_FROM
    return _nothing(probe.mode, LIVE, "----", probe.range) if live else settled


def _ohms(machine: Standing, solver: Solver, probe: Probe, red: int, black: int) -> Reading:
    found = _live(machine, solver, probe, red, black)
    if isinstance(found, Reading):
        return found
    true = probe.leads
    if red != black:
        true += 1 / float(found.between) if found.between else float("inf")
    reading = show(probe.mode, true, probe.range)
    return replace(reading, beeps=true < BEEPS_BELOW) if probe.mode == CONTINUITY else reading


def _diode_test(machine: Standing, solver: Solver, probe: Probe, red: int, black: int) -> Reading:
    found = _live(machine, solver, probe, red, black)
    if isinstance(found, Reading):
        return found
    if red == black:
        return show(DIODE, 0.0)
    emf = DIODE_CURRENT * _DIODE_SOURCE
    meter = Meter(red, black, 1 / _DIODE_SOURCE, emf, passive=True, protects=True)
    return show(DIODE, _across(_settle(machine, solver, meter), meter))


def agree(shown: Reading, predicted: Reading) -> bool:
    """Say whether a shown reading agrees with a predicted one: the same status, values within tolerance.

    The tolerance is the meter's and half a digit (:func:`allowed`). A zero that somebody typed agrees with a prediction
    of floating, which displays as zero.
    """
    if shown.status == OK and predicted.status == FLOATING:
        return shown.value == 0
    if shown.status != predicted.status or shown.unit != predicted.unit:
        return False
    if shown.value is None or predicted.value is None:
        return True
    return abs(shown.value - predicted.value) <= allowed(shown)


def allowed(shown: Reading) -> float:
    """Return how far from a shown value a predicted one may lie, in the unit: the tolerance and half a digit.

    On auto, where the tolerance reaches into the next range, what is predicted is rounded to that range's digit. A
    range that was chosen stays, and so does its digit.
    """
    auto = shown.value is not None and shown.range == AUTO
    reaches = auto and abs(shown.value or 0.0) + shown.tolerance >= shown.resolution * COUNTS
    return (shown.tolerance + (10 * shown.resolution if reaches else shown.resolution) / 2) * (1 + ROUNDING)
