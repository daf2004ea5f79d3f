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

from .strategies import control_move, moves, probes


def true_value(machine: Machine, probe: Probe) -> float | None:
    """Return what the meter would show with endless digits, in the unit; None where it comes to no number."""
    found: list[float] = []

    def noted(mode: str, true: float) -> Reading:
        found.append(true)
        return show(mode, true)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("faultwright.meter.show", noted)
        read(machine, probe)
    return found[-1] if found else None


def furthest(mode: str, true: float, way: int) -> Reading:
    """Return the reading above (1) or below (−1) a true value that is as far off as the meter's accuracy allows.

    ± (share of what is displayed + digits), as the meter's maker gives it. An ohmmeter shows nothing below nought.
    """
    scale = SCALES[mode]
    digit = show(mode, true).resolution
    start = true + way * (scale.share * abs(true) + (scale.digits + 3) * digit)
    while True:
        start = max(start, 0.0) if mode in (OHMS, CONTINUITY) else start
        shown = show(mode, start)
        if shown.value is not None:
            accuracy = scale.share * abs(shown.value) + scale.digits * shown.resolution
            if abs(shown.value - true) <= accuracy + 1e-9 * shown.resolution:
                return shown
        start -= way * shown.resolution


def bench_reading(predicted: Reading, way: int) -> Reading:
    """Return a reading from real hardware as far from a predicted one as such readings are judged at."""
    assert predicted.value is not None
    off = BENCH_SHARE * abs(predicted.value) + BENCH_FLOOR[predicted.unit]
    return replace(predicted, value=predicted.value + way * off)


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
            found.append(draw(truthful_reading(machine, draw(probes(circuit)))))
    return tuple(found)


@st.composite
def truthful_reading(draw: st.DrawFn, machine: Machine, probe: Probe) -> Measured:
    """Return a reading that a meter may show on a machine: exact, as far off as it may be, or from real hardware."""
    reading, way = read(machine, probe), draw(st.sampled_from((1, -1)))
    if reading.status == FLOATING and draw(st.booleans()):
        return Measured(probe, show(probe.mode, 0.0))
    true = true_value(machine, probe)
    if reading.value is None or true is None:
        return Measured(probe, reading)
    match draw(st.integers(0, 3)):
        case 0:
            return Measured(probe, reading)
        case 1:
            inward = BENCH_SHARE * abs(reading.value) + BENCH_FLOOR[reading.unit]
            # A tenth of what was shown, which is more than a tenth of the prediction above it and less below it.
            factor = 1 - BENCH_SHARE if reading.value * way > 0 else 1 + BENCH_SHARE
            off = inward / factor * (1 - 1e-9)
            shown = replace(reading, value=reading.value + way * off)
            return Measured(probe, shown, source=BENCH)
    return Measured(probe, furthest(probe.mode, true, way))


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
    mode = finding.probe.mode
    blank = replace(show(mode, 0.0), value=None)
    statuses = [replace(blank, status=status) for status in STATUSES if status != OK]
    near = finding.reading.value or 1.0
    values = [show(mode, abs(near) * factor) for factor in (0.0, 0.5, 0.98, 1.02, 2.0)]
    shown = st.sampled_from([*statuses, *(value for value in values if value.value is not None)])
    return shown.map(lambda reading: replace(finding, reading=reading))


def _other(seen: Seen) -> st.SearchStrategy[Seen]:
    choices: tuple[Seen, ...] = ("off", "dim", "lit", None) if isinstance(seen, str) else (True, False, None)
    return st.sampled_from(choices)


def record_of(circuit: Circuit, actions: tuple[Action, ...]) -> Record:
    """Return the record of some actions, a finding for every single thing seen."""
    return Record(circuit.name, actions).one_by_one()[0]
