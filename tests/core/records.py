"""Records of what was done on a machine: truthful to the last digit, as far off as a meter may be, and wrong."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import strategies as st

from faultwright.behaviour import Seen
from faultwright.circuit import Circuit
from faultwright.faults import remedies_at
from faultwright.machine import Machine
from faultwright.meter import CONTINUITY, FLOATING, OHMS, OK, SCALES, STATUSES, Probe, Reading, read, show
from faultwright.moves import parse_move
from faultwright.record import BENCH, BENCH_FLOOR, BENCH_SHARE, Action, Measured, Observed, Record
from faultwright.scale import AUTO

from .strategies import control_move, moves, on_any_range, probes


def true_value(machine: Machine, probe: Probe) -> float | None:
    """Return what the meter would show with endless digits, in the unit; None where it comes to no number."""
    found: list[float] = []

    def noted(mode: str, true: float, chosen: float = AUTO) -> Reading:
        found.append(true)
        return show(mode, true, chosen)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("faultwright.meter.show", noted)
        read(machine, probe)
    return found[-1] if found else None


def beside(mode: str, true: float, chosen: float = AUTO) -> tuple[Reading, Reading]:
    """Return what the meter shows where rounding has moved a true value a billionth down, and up."""
    below, above = (show(mode, true * (1 + way * 1e-9) + way * 1e-12, chosen) for way in (-1, 1))
    return below, above


def on_an_edge(machine: Machine, probe: Probe) -> bool:
    """Say whether rounding decides between two displays of a reading on a machine."""
    true = true_value(machine, probe)
    return true is not None and len({*beside(probe.mode, true, probe.range)}) > 1


def furthest(mode: str, true: float, way: int, chosen: float = AUTO) -> Reading:
    """Return the reading above (1) or below (−1) a true value that is as far off as the meter's accuracy allows.

    ± (share of what is displayed + digits), as the meter's maker gives it. An ohmmeter shows nothing below nought.
    """
    scale = SCALES[mode]
    digit = show(mode, true, chosen).resolution
    start = true + way * (scale.share * abs(true) + (scale.digits + 3) * digit)
    most = chosen or scale.last
    least = 0.0 if mode in (OHMS, CONTINUITY) else -most
    while True:
        shown = show(mode, min(max(start, least), most), chosen)
        value = shown.value or 0.0
        if abs(value - true) <= scale.share * abs(value) + scale.digits * shown.resolution:
            return shown
        start -= way * shown.resolution


def furthest_on_a_bench(predicted: Reading, way: int) -> Reading:
    """Return the reading from real hardware above (1) or below (−1) a predicted one that is as far off as is allowed.

    That is 10 % of what was shown and a floor: more than 10 % of the prediction away from nought, less towards it.
    """
    true = predicted.value or 0.0
    off = BENCH_SHARE * abs(true) + BENCH_FLOOR[predicted.unit]
    if off < predicted.tolerance:  # on a coarse range the meter's own digits count for more
        return predicted
    away = way * true >= 0
    value = true + way * off / (1 - BENCH_SHARE if away else 1 + BENCH_SHARE) * (1 - 1e-9)
    if not away and value * true < 0:  # beyond nought it is a tenth of the other sign
        value = true + way * (off - 2 * BENCH_SHARE * abs(true)) / (1 - BENCH_SHARE) * (1 - 1e-9)
    return replace(predicted, value=value)


@st.composite
def truthful_actions(draw: st.DrawFn, machine: Machine, most: int = 5) -> tuple[Action, ...]:
    """Return what was done on a machine, moves of every verb, and truthful readings, as far off as they may be."""
    found: list[Action] = []
    circuit = machine.circuit
    mending = [f"repair={place} {remedy}" for place, remedies in remedies_at(circuit).items() for remedy in remedies]
    change = st.one_of(control_move(circuit), moves(circuit), st.sampled_from(["rest", *mending]))
    for kind in draw(st.lists(st.integers(0, 4), min_size=1, max_size=most)):
        if kind <= 1:
            move = parse_move(draw(change), circuit)
            machine.move(move)
            found.append(move)
        elif kind == 2:
            found.append(Observed(machine.seen()))
        else:
            found.append(draw(truthful_reading(machine, draw(probes(circuit).flatmap(on_any_range)))))
    return tuple(found)


@st.composite
def truthful_reading(draw: st.DrawFn, machine: Machine, probe: Probe) -> Measured:
    """Return a reading that a meter may show on a machine: exact, as far off as it may be, or from real hardware."""
    reading, way = read(machine, probe), draw(st.sampled_from((1, -1)))
    if reading.status == FLOATING and draw(st.booleans()):
        return Measured(probe, show(probe.mode, 0.0, probe.range))
    true = true_value(machine, probe)
    if reading.value is None or true is None:
        return Measured(probe, reading)
    match draw(st.integers(0, 3)):
        case 0:
            return Measured(probe, reading)
        case 1:
            return Measured(probe, furthest_on_a_bench(reading, way), source=BENCH)
    return Measured(probe, furthest(probe.mode, true, way, probe.range))


@st.composite
def any_actions(draw: st.DrawFn, machine: Machine, most: int = 6) -> tuple[Action, ...]:
    """Return what was done on a machine, and findings of which some are not true of it."""
    found: list[Action] = []
    for action in draw(truthful_actions(machine, most)):
        match draw(st.integers(0, 2)), action:
            case 0, Measured():
                found.append(draw(_wrong(action)))
            case 0, Observed():
                found.append(Observed({name: draw(_other(seen)) for name, seen in action.seen.items()}))
            case _:
                found.append(action)
    return tuple(found)


def _wrong(finding: Measured) -> st.SearchStrategy[Measured]:
    mode, chosen = finding.probe.mode, finding.probe.range
    blank = replace(show(mode, 0.0, chosen), value=None)
    statuses = [replace(blank, status=status) for status in STATUSES if status != OK]
    near = finding.reading.value or 1.0
    values = [show(mode, abs(near) * factor, chosen) for factor in (0.0, 0.5, 0.98, 1.02, 2.0)]
    shown = st.sampled_from([*statuses, *(value for value in values if value.value is not None)])
    return shown.map(lambda reading: replace(finding, reading=reading))


def _other(seen: Seen) -> st.SearchStrategy[Seen]:
    choices: tuple[Seen, ...] = ("off", "dim", "lit", None) if isinstance(seen, str) else (True, False, None)
    return st.sampled_from(choices)


def record_of(circuit: Circuit, actions: tuple[Action, ...]) -> Record:
    """Return the record of some actions, a finding for every single thing seen."""
    return Record(circuit.name, actions).one_by_one()[0]
