"""What the meter shows in lanes is what it shows on each machine by itself, and goes together as single readings do."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import event, example, given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.families import Hypothesis
from faultwright.faults import parse_fault, universe
from faultwright.in_step import FEW, Machines
from faultwright.lane_meter import Shown, from_readings, parts_of_readings, show_each
from faultwright.lane_readings import read_each, readings
from faultwright.machine import Machine
from faultwright.meter import (
    AMPS,
    CONTINUITY,
    DIODE,
    FLOATING,
    LIVE,
    MODES,
    OHMS,
    OK,
    OVERLOAD,
    SCALES,
    STATUSES,
    VOLTS,
    Probe,
    Reading,
    agree,
    read,
    show,
)
from faultwright.moves import parse_move
from tests.core import depot
from tests.core.strategies import all_terminals, circuits, moves, probes
from tests.core.test_in_step import FEWER, every_hypothesis, hypotheses

# What is compared


def at(shown: Shown, place: int) -> tuple[str, float, float, float]:
    """Return status, value, tolerance and resolution of one of the readings side by side."""
    return (
        STATUSES[shown.status[place]],
        float(shown.value[place]),
        float(shown.tolerance[place]),
        float(shown.resolution[place]),
    )


def alike(shown: Shown, place: int, single: Reading, true: float | None = None) -> None:
    """Check one of the readings side by side against a single one.

    A value may be one digit off only where the true value, which rounding may move by a billionth of itself, lies on
    the edge between two digits: shown one way on one side of it and the other way on the other.
    """
    status, value, tolerance, resolution = at(shown, place)
    assert (shown.unit, status) == (single.unit, single.status)
    if single.value is None:
        assert math.isnan(value)
        assert math.isnan(tolerance)
        assert math.isnan(resolution)
        return
    if value == pytest.approx(single.value, rel=1e-12, abs=0):
        assert tolerance == pytest.approx(single.tolerance, rel=1e-12)
        assert resolution == pytest.approx(single.resolution, rel=1e-12)
        return
    assert true is not None, (value, single)
    assert on_an_edge(true, single), (value, single, true)
    assert abs(value - single.value) <= max(resolution, single.resolution) * (1 + 1e-9)


def on_an_edge(true: float, single: Reading) -> bool:
    """Say whether a true value lies within rounding of where the display goes from one digit to the next."""
    digits = abs(true) / single.resolution
    return abs(digits % 1 - 0.5) <= 1e-6 + 1e-9 * digits


# A scale


def decades_of(mode: str) -> st.SearchStrategy[float]:
    """Return true values of a mode, of either sign, over all its ranges and beyond both ends, evenly by decades."""
    exponents = st.floats(-9, math.log10(SCALES[mode].last) + 0.5)
    return st.tuples(exponents, st.sampled_from((1, -1))).map(lambda two: two[1] * 10.0 ** two[0])


def ties_of(mode: str) -> st.SearchStrategy[float]:
    """Return values that lie on a digit or halfway between two, and those at a range's end, and one float beside."""
    scale = SCALES[mode]
    tops = [scale.first * 10**step for step in range(round(math.log10(scale.last / scale.first)) + 2)]
    halves = st.tuples(st.sampled_from(tops), st.one_of(st.integers(0, 12001), st.integers(11990, 12001)))
    exact = halves.map(lambda two: two[1] * (two[0] / 12000))
    beside = st.sampled_from((0.0, math.inf, -math.inf))
    return st.tuples(exact, beside, st.sampled_from((1, -1))).map(
        lambda three: three[2] * (three[0] if three[1] == 0 else math.nextafter(three[0], three[1]))
    )


@pytest.mark.parametrize("mode", MODES)
@settings(max_examples=100)
@given(st.data())
def test_many_values_are_shown_as_one_is(mode: str, data: st.DataObject) -> None:
    """On every range, at ties, at the ends of ranges and over the limit the display is that of a single reading."""
    values = data.draw(st.lists(st.one_of(decades_of(mode), ties_of(mode)), min_size=1, max_size=30))
    shown = show_each(mode, np.array(values))
    for place, true in enumerate(values):
        alike(shown, place, show(mode, true), true)


@pytest.mark.parametrize(
    ("mode", "true", "expected"),
    [
        (VOLTS, 0.0, (OK, 0.0, 0.0002, 0.0001)),
        (VOLTS, -0.00004, (OK, 0.0, 0.0002, 0.0001)),
        (VOLTS, 0.59994, (OK, 0.5999, 0.0032, 0.0001)),
        (VOLTS, 0.59996, (OK, 0.6, 0.005, 0.001)),
        (VOLTS, -12.344, (OK, -12.34, 0.08, 0.01)),
        (VOLTS, 599.96, (OK, 600.0, 5.0, 1.0)),
        (VOLTS, 1000.0, (OK, 1000.0, 7.0, 1.0)),
        (VOLTS, -1000.1, (OVERLOAD, math.nan, math.nan, math.nan)),
        (OHMS, 599.96, (OK, 600.0, 7.0, 1.0)),
        (OHMS, 60e6, (OK, 60e6, 560e3, 10e3)),
        (OHMS, math.inf, (OVERLOAD, math.nan, math.nan, math.nan)),
        (AMPS, 0.0599949, (OK, 0.05999, 0.00093, 0.00001)),
        (AMPS, 20.0, (OK, 20.0, 0.33, 0.01)),
        (DIODE, 3.0, (OK, 3.0, 0.017, 0.001)),
    ],
)
def test_by_hand(mode: str, true: float, expected: tuple[str, float, float, float]) -> None:
    """6,000 counts; V ±(0.5 % + 2), Ω ±(0.9 % + 2), A ±(1.5 % + 3), rounded to the digit: worked out by hand."""
    assert at(show_each(mode, np.array([true, true])), 1) == pytest.approx(expected, rel=1e-12, nan_ok=True)


# The law: lanes against machines one by one


def taken(machine: Machine, probe: Probe) -> tuple[Reading, float | None]:
    """Return a single reading and, where the leads show the electrics themselves, the true value behind it."""
    reading = read(machine, probe)
    if reading.value is None:
        return reading, None
    return reading, true_value(machine, probe)


def true_value(machine: Machine, probe: Probe) -> float | None:
    """Return what the meter would show with endless digits."""
    found: list[float] = []

    def noted(mode: str, true: float) -> Reading:
        found.append(true)
        return show(mode, true)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("faultwright.meter.show", noted)
        read(machine, probe)
    return found[-1] if found else None


def probes_anywhere(circuit: Circuit) -> st.SearchStrategy[Probe]:
    """Return measurements of every kind; some with leads that are not zeroed, some with both leads at one terminal."""
    leads = st.sampled_from((0.0, 0.0, 0.3))
    both = st.tuples(st.sampled_from(MODES), st.sampled_from(all_terminals(circuit)))
    at_one = both.map(lambda two: Probe(two[0], two[1], two[1]))
    volts_or_ohms = probes(circuit, (VOLTS, OHMS, CONTINUITY))
    return st.tuples(st.one_of(volts_or_ohms, volts_or_ohms, probes(circuit), at_one), leads).map(
        lambda two: replace(two[0], leads=two[1])
    )


@settings(max_examples=40)
@given(circuits(most=6), FEWER, st.data())
def test_readings_in_lanes_are_readings(circuit: Circuit, few: int, data: st.DataObject) -> None:
    """Every mode, anywhere, on single and double faults after any moves: each reads what one machine alone does."""
    chosen = data.draw(hypotheses(circuit))
    machines, singles = Machines(circuit, chosen, few), [Machine(circuit, hypothesis) for hypothesis in chosen]
    isolated = [f"unplug={part.name}" for part in circuit.parts.values() if part.kind in ("battery", "supply")]
    made = data.draw(st.lists(moves(circuit), max_size=3))
    for move in [*made, *(isolated if data.draw(st.booleans()) else ())]:
        machines.move(parse_move(move, circuit))
        for single in singles:
            single.move(move)
    for probe in data.draw(st.lists(probes_anywhere(circuit), min_size=1, max_size=4)):
        shown = read_each(machines, probe)
        for place, single in enumerate(singles):
            reading, true = taken(single, probe)
            event(f"{probe.mode} {reading.status}")
            alike(shown, place, reading, true)
