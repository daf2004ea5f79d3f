"""The calculation: a candidate's number against what a sound machine would show, followed through.

Right is what the meter would show, or what stands there without the meter, on this candidate's machine, or the same
with the source at a voltage that the candidate recorded. Slips of a prefix are recognised and named.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from faultwright.circuit import FRAME, Circuit
from faultwright.errors import Refused
from faultwright.machine import Machine
from faultwright.meter import AMPS, OHMS, VOLTS, Reading, read
from faultwright.parts import sources
from faultwright.quantities import parse_quantity, show_quantity
from faultwright.record import Measured

from .blueprint import Calculation
from .texts import text
from .trace import Trace

UNIT = {VOLTS: "V", AMPS: "A", OHMS: "Ω"}

_STIFF = 1e-6
"""Ω of a source taken as ideal: a candidate who computes from the voltage at its terminals has no inner resistance."""

_FLOOR = {VOLTS: 0.01, AMPS: 1e-5, OHMS: 0.05}
"""Within this much (in the unit) of a right value near zero a calculation is right too: the last digits of a meter."""

_SLIPS = (1e3, 1e-3, 1e6, 1e-6)
_PREFIX = {1e3: "k", 1.0: "", 1e-3: "m", 1e-6: "µ", 1e6: "M"}


@dataclass(frozen=True, slots=True)
class Target:
    """A right value in V, A or Ω and in words what it rests on."""

    value: float
    basis: str


@dataclass(frozen=True, slots=True)
class Judged:
    """A share of the marks for the calculation, and why."""

    share: float
    verdict: str


def right_values(circuit: Circuit, calculation: Calculation) -> list[Target]:
    """Return what is right whatever was recorded: what the meter shows, and what stands there without it."""
    return [*_values(circuit, calculation, text("calculation.loaded"), text("calculation.ideal"))]


def targets(circuit: Circuit, calculation: Calculation, done: Trace) -> list[Target]:
    """Return every value that is right, the meter's first."""
    found = right_values(circuit, calculation)
    for source, volts in _recorded(circuit, done):
        basis = text("calculation.follows", volts=show_quantity(volts, "V", 4), source=source)
        for resistance in (None, _STIFF):
            found += _values(_with_source(circuit, source, volts, resistance), calculation, basis, basis)
    return found


@lru_cache(maxsize=1024)
def _values(circuit: Circuit, calculation: Calculation, loaded: str, ideal: str) -> tuple[Target, ...]:
    return tuple(_worked_out(circuit, calculation, loaded, ideal))


def _worked_out(circuit: Circuit, calculation: Calculation, loaded: str, ideal: str) -> Iterator[Target]:
    machine = Machine(circuit)
    for move in calculation.moves:
        machine.move(move)
    probe = calculation.probe
    reading = read(machine, probe)
    if reading.value is not None:
        yield Target(reading.value, loaded)
    if probe.mode == VOLTS:
        yield Target(float(machine.settled.voltage(probe.red) - machine.settled.voltage(probe.black)), ideal)
    if probe.mode == AMPS and not probe.black:
        branches = machine.solver.network.branches
        own = [index for index, branch in enumerate(branches) if probe.red in (branch.name, branch.part)]
        if len(own) == 1:
            yield Target(float(machine.settled.current(own[0])), ideal)


def _recorded(circuit: Circuit, done: Trace) -> Iterator[tuple[str, float]]:
    """Yield the voltages that the candidate measured across a source; what this machine cannot show is no value."""
    for moment in done.moments:
        action = moment.action
        if not isinstance(action, Measured) or not moment.true or not isinstance(moment.would, Reading):
            continue
        volts, probe = action.reading.value, action.probe
        for name in sources(circuit):
            ends = {f"{name}:+", f"{name}:-"}, {f"{name}:+", FRAME}
            if probe.mode == VOLTS and volts and {probe.red, probe.black} in ends and not probe.alone:
                yield name, abs(volts)


@lru_cache(maxsize=1024)
def _with_source(circuit: Circuit, name: str, volts: float, resistance: float | None) -> Circuit:
    part = circuit.parts[name]
    key = "emf" if part.kind == "battery" else "voltage"
    values = {**part.values, key: volts} | ({} if resistance is None else {"resistance": resistance})
    return replace(circuit, parts={**circuit.parts, name: replace(part, values=values)})


def judge(given: str, found: list[Target], mode: str, tolerance: float) -> Judged:
    """Return what a calculation is worth. Half where only the sign is wrong; nothing for a slip of the unit."""
    unit = UNIT[mode]
    if not found:
        return Judged(0.0, text("calculation.unreadable", given=given or "–", why=text("calculation.no_value")))
    if not given:
        return Judged(0.0, text("calculation.blank", right=show_quantity(found[0].value, unit, 4)))
    try:
        value = parse_quantity(given, unit)
    except Refused as error:
        other = next((name for name in UNIT if name != mode and is_quantity(given, UNIT[name])), "")
        if other:
            return Judged(0.0, text("calculation.other_unit", given=given, other=other, asked=mode))
        return Judged(0.0, text("calculation.unreadable", given=given, why=error.mistakes[0].message))
    return _compare(given, value, found, mode, tolerance)


def is_quantity(given: str, unit: str) -> bool:
    """Say whether a number was given in this unit."""
    try:
        parse_quantity(given, unit)
    except Refused:
        return False
    return True


def _compare(given: str, value: float, found: list[Target], mode: str, tolerance: float) -> Judged:
    unit, floor = UNIT[mode], _FLOOR[mode]
    words = {"given": given, "tolerance": tolerance * 100}
    for share, key, signed in ((1.0, "calculation.right", value), (0.5, "calculation.sign", -value)):
        near = _nearest(signed, found, tolerance, floor)
        if near:
            return Judged(share, text(key, **words, **_said(near, unit)))
    for factor in _SLIPS:
        near = _nearest(value / factor, found, tolerance) or _nearest(-value / factor, found, tolerance)
        if near:
            return Judged(0.0, text("calculation.slip", **words, **_said(near, unit), slip=_slip(given, factor, unit)))
    return Judged(0.0, text("calculation.wrong", **words, **_said(found[0], unit)))


def _said(target: Target, unit: str) -> dict[str, str]:
    return {"right": show_quantity(target.value, unit, 4), "basis": target.basis}


def _nearest(value: float, found: list[Target], tolerance: float, floor: float = 0.0) -> Target | None:
    fitting = [target for target in found if abs(value - target.value) <= max(tolerance * abs(target.value), floor)]
    return min(fitting, key=lambda target: abs(value - target.value), default=None)


def _slip(given: str, factor: float, unit: str) -> str:
    """Name a slip by its units: ``A for mA`` where 146 A was written and 146 mA is right."""
    written = given.lstrip("+-0123456789., eE").strip() or unit
    own = {"": 1.0, "k": 1e3, "M": 1e6, "m": 1e-3, "µ": 1e-6, "u": 1e-6}.get(written.removesuffix(unit), 1.0)
    meant = min(_PREFIX, key=lambda size: abs(size - own / factor))
    return text("slip.name", written=written, meant=_PREFIX[meant] + unit)
