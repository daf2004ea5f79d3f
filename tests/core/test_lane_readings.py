"""What the meter shows in lanes is what it shows on each machine by itself, and goes together as single readings do."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.families import Hypothesis
from faultwright.faults import parse_fault, universe
from faultwright.in_step import Machines
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
    allowed,
    read,
    show,
)
from faultwright.moves import parse_move
from faultwright.scale import AUTO
from tests.core import depot
from tests.core.records import beside, true_value
from tests.core.strategies import all_terminals, circuits, moves, on_any_range, probes
from tests.core.test_in_step import FEWER, gone, hypotheses, ways

# What is compared


def at(shown: Shown, place: int) -> tuple[str, float, float, float]:
    """Return status, value, tolerance and resolution of one of the readings side by side."""
    return (
        STATUSES[shown.status[place]],
        float(shown.value[place]),
        float(shown.tolerance[place]),
        float(shown.resolution[place]),
    )


def expected_of(single: Reading) -> tuple[str, float, float, float]:
    """Return the same of a single reading."""
    if single.value is None:
        return single.status, math.nan, math.nan, math.nan
    return single.status, single.value, single.tolerance, single.resolution


def same(one: tuple[str, float, float, float], other: tuple[str, float, float, float]) -> bool:
    """Say whether all four are the same, no number being the same as no number."""
    return one[0] == other[0] and np.array_equal(one[1:], other[1:], equal_nan=True)


def alike(shown: Shown, place: int, single: Reading, true: float | None) -> None:
    """Check one of the readings side by side against a single one, whose true value is known.

    It may be another only where the true value lies on the edge between two displays: within rounding, a billionth of
    itself, above or below it the single meter shows what the lanes do.
    """
    found, expected = at(shown, place), expected_of(single)
    assert (shown.unit, float(shown.range[place])) == (single.unit, single.range)
    if same(found, expected):
        return
    assert true is not None, (found, expected)
    event("on an edge")
    mode = next(mode for mode in MODES if SCALES[mode].unit == single.unit)
    assert any(same(found, expected_of(one)) for one in beside(mode, true, single.range)), (found, expected, true)


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


def ranges_of(mode: str) -> st.SearchStrategy[float]:
    """Return auto, or one of the ranges that can be chosen."""
    return st.sampled_from((AUTO, *SCALES[mode].ranges()))


@settings(max_examples=200)
@given(st.sampled_from(MODES), st.data())
def test_many_values_are_shown_as_one_is(mode: str, data: st.DataObject) -> None:
    """On every range, at ties, at the ends of ranges and over the limit the display is that of a single reading."""
    one = st.tuples(st.one_of(decades_of(mode), ties_of(mode)), ranges_of(mode))
    values = data.draw(st.lists(one, min_size=1, max_size=30))
    shown = show_each(mode, *(np.array(column) for column in zip(*values, strict=True)))
    for place, (true, chosen) in enumerate(values):
        single = show(mode, true, chosen)
        assert same(at(shown, place), expected_of(single)), (true, chosen)
        assert shown.range[place] == chosen
        assert single.value is None or shown.allowed()[place] == allowed(single)


@pytest.mark.parametrize(
    ("mode", "true", "expected"),
    [
        (VOLTS, 0.0, (OK, 0.0, 0.0002, 0.0001)),
        (VOLTS, -0.00004, (OK, 0.0, 0.0002, 0.0001)),
        (VOLTS, 0.59994, (OK, 0.5999, 0.0032, 0.0001)),
        (VOLTS, 0.59996, (OK, 0.6, 0.005, 0.001)),
        (VOLTS, -12.344, (OK, -12.34, 0.08, 0.01)),
        (VOLTS, 25.0, (OK, 25.0, 0.15, 0.01)),  # ± 0.145 V: halves go up, although 0.145 as a float lies below it
        (VOLTS, 40.745, (OK, 40.75, 0.22, 0.01)),
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
    status, *numbers = at(show_each(mode, np.array([0.0, true])), 1)
    assert status == expected[0]
    assert numbers == pytest.approx(expected[1:], rel=1e-12, nan_ok=True)


@pytest.mark.parametrize(
    ("mode", "true", "chosen", "expected"),
    [
        (VOLTS, 0.31, 600.0, (OK, 0.3, 0.2, 0.1)),
        (VOLTS, 0.31, 1000.0, (OK, 0.0, 2.0, 1.0)),
        (VOLTS, 12.4, 6.0, (OVERLOAD, math.nan, math.nan, math.nan)),
        (VOLTS, 0.6, 0.6, (OK, 0.6, 0.0032, 0.0001)),
        (OHMS, 85.0, 60e6, (OK, 0.0, 20e3, 10e3)),
        (AMPS, 0.35, 20.0, (OK, 0.35, 0.04, 0.01)),
        (AMPS, -0.35, 0.06, (OVERLOAD, math.nan, math.nan, math.nan)),
    ],
)
def test_ranges_by_hand(mode: str, true: float, chosen: float, expected: tuple[str, float, float, float]) -> None:
    """On a range that was chosen the digit is a 6,000th of its counts' end, and OL stands above full scale.

    Rounded as on auto: ± (0.5 % of 0.3 V + 2 digits of 0.1 V) is 0.2 V.
    """
    status, *numbers = at(show_each(mode, np.array([true]), chosen), 0)
    assert status == expected[0]
    assert numbers == pytest.approx(expected[1:], rel=1e-12, nan_ok=True)


def test_how_far_a_reading_may_lie_off_on_its_range() -> None:
    """By hand: on auto 59.9 V ± 0.32 V reaches into the next range, digit 0.1 V; on the 60 V range it stays 10 mV."""
    auto, chosen = show_each(VOLTS, np.array([59.9, 59.9]), np.array([AUTO, 60.0])).allowed().tolist()
    assert auto == pytest.approx(0.32 + 0.05)
    assert chosen == pytest.approx(0.32 + 0.005)


# The law: lanes against machines one by one


def probes_anywhere(circuit: Circuit) -> st.SearchStrategy[Probe]:
    """Return measurements of every kind on every range, some with leads not zeroed, some with both at one terminal."""
    leads = st.sampled_from((0.0, 0.0, 0.3))
    both = st.tuples(st.sampled_from(MODES), st.sampled_from(all_terminals(circuit)))
    at_one = both.map(lambda two: Probe(two[0], two[1], two[1]))
    volts_or_ohms = probes(circuit, (VOLTS, OHMS, CONTINUITY))
    anywhere = st.one_of(volts_or_ohms, volts_or_ohms, probes(circuit), at_one)
    return st.tuples(anywhere.flatmap(on_any_range), leads).map(lambda two: replace(two[0], leads=two[1]))


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
            reading = read(single, probe)
            event(f"{probe.mode} {reading.status}")
            alike(shown, place, reading, true_value(single, probe))


@settings(max_examples=25)
@given(circuits(most=5), st.data())
def test_many_machines_are_read_as_each_is(circuit: Circuit, data: st.DataObject) -> None:
    """Where most machines do not show their fault at the leads, each still reads what it does by itself.

    As where many are read in many places: the sound machine first.
    """
    listed = list(universe(circuit).values())
    step = max(1, len(listed) // 40)
    chosen: list[Hypothesis] = [(), *((fault,) for fault in listed[data.draw(st.integers(0, step - 1)) :: step])]
    if data.draw(st.booleans()):
        chosen.reverse()
    machines, singles = Machines(circuit, chosen, 0), [Machine(circuit, hypothesis) for hypothesis in chosen]
    isolated = [f"unplug={part.name}" for part in circuit.parts.values() if part.kind in ("battery", "supply")]
    made = data.draw(st.lists(moves(circuit), max_size=2))
    for move in [*made, *(isolated if data.draw(st.booleans()) else ())]:
        machines.move(parse_move(move, circuit))
        for single in singles:
            single.move(move)
    for probe in data.draw(st.lists(probes(circuit, (VOLTS, OHMS, CONTINUITY)), min_size=1, max_size=3)):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("faultwright.lane_readings.MANY", 1)
            shown = read_each(machines, probe)
        for place, single in enumerate(singles):
            alike(shown, place, read(single, probe), true_value(single, probe))


@settings(max_examples=25)
@given(circuits(most=5), st.data())
def test_readings_can_be_taken_anywhere_on_any_machine(circuit: Circuit, data: st.DataObject) -> None:
    """Several probes on machines that went several ways, in any order: each reading is that of its machine there."""
    chosen = data.draw(hypotheses(circuit))
    each = data.draw(ways(circuit))
    machines = Machines(circuit, chosen, 0).spread(each)
    singles = [gone(circuit, hypothesis, way) for way in each for hypothesis in chosen]
    mode = data.draw(st.sampled_from(MODES))
    listed = data.draw(st.lists(probes(circuit, (mode,)).flatmap(on_any_range), min_size=1))
    places = st.tuples(st.integers(0, len(singles) - 1), st.integers(0, len(listed) - 1))
    asked = data.draw(st.lists(places, min_size=1, max_size=12))
    numbers, which = (np.array(some, dtype=np.intp) for some in zip(*asked, strict=True))
    shown = readings(machines, numbers, listed, which)
    assert len(shown.value) == len(asked)
    for place, (number, probe) in enumerate(asked):
        reading = read(singles[number], listed[probe])
        alike(shown, place, reading, true_value(singles[number], listed[probe]))


# Worked cases

FEEDS = (
    ("N1:1", "FRAME"),
    ("P1:1", "P1:2"),
    ("K1:86", "K1:85"),
    ("K1:87", "FRAME"),
    ("R1:K", "R1:A"),
    ("T1:+", "T1:-"),
)


@pytest.mark.parametrize("mode", MODES)
def test_every_fault_of_every_kind_of_part(mode: str) -> None:
    """All faults of a machine with one part of every kind, live and isolated, at leads all over it and in the hand."""
    circuit = depot.circuit(depot.BENCH)
    chosen = [(), *((fault,) for fault in list(universe(circuit).values())[::2])]
    machines, singles = Machines(circuit, chosen), [Machine(circuit, hypothesis) for hypothesis in chosen]
    listed = [Probe(mode, *pair) for pair in (*FEEDS, ("P1:1", "P1:1"))]
    listed += [Probe(OHMS, "K1:86", "K1:85", alone="K1")] if mode == OHMS else []
    listed += [Probe(AMPS, "W4"), Probe(AMPS, "K1")] if mode == AMPS else []
    for made in (("key=on", "lever=high"), ("unplug=G1", "unplug=T1")):
        for move in made:
            machines.move(parse_move(move, circuit))
            for single in singles:
                single.move(move)
        for probe in listed:
            shown = read_each(machines, probe)
            for place, single in enumerate(singles):
                alike(shown, place, read(single, probe), true_value(single, probe))


def statuses(text: str, probe: Probe, *made: str, fault: str = "") -> list[str]:
    """Return what status the meter has on eight sound machines, then on eight with a fault."""
    circuit = depot.circuit(text)
    faulty: list[Hypothesis] = [(parse_fault(fault, circuit),)] * 8 if fault else []
    machines = Machines(circuit, [*((),) * 8, *faulty])
    for move in made:
        machines.move(parse_move(move, circuit))
    found = [STATUSES[number] for number in read_each(machines, probe).status]
    assert len({*found[:8]}) == len({*found[8:], found[-1]}) == 1
    return [found[0], found[-1]]


def test_floating_live_and_over_the_limit() -> None:
    """By hand: behind an open switch nothing closes the way; ohms on a fed lamp are live; a break is over-limit."""
    assert statuses(depot.SHED, Probe(VOLTS, "P1:1", "P1:2"), "unplug=P1", fault="W2 open") == [FLOATING, FLOATING]
    assert statuses(depot.SHED, Probe(VOLTS, "P1:1", "FRAME"), "key=on", fault="W4 open") == [OK, FLOATING]
    assert statuses(depot.SHED, Probe(OHMS, "P1:1", "P1:2"), "key=on", fault="W1 open") == [LIVE, OK]
    assert statuses(depot.SHED, Probe(CONTINUITY, "S1:1", "P1:2"), "unplug=G1", "key=on", fault="W2 open") == [
        OK,
        OVERLOAD,
    ]
    assert statuses(depot.SHED, Probe(OHMS, "P1:1", "P1:2"), fault="P1 open") == [OK, OVERLOAD]
    assert statuses(depot.SHED, Probe(VOLTS, "P1:1", "P1:1"), "key=on", fault="W1 open") == [OK, OK]


def test_several_leads_on_one_splice() -> None:
    """Leads across joints without resistance, several at once: no number comes of nothing times infinity.

    A splice on the frame, and a battery that nothing joins to it: 0 Ω between two ways, and floating against FRAME.
    """
    circuit = depot.circuit(
        """
circuit: splice
nominal: 6 V
parts:
  G1: {kind: battery}
  N4: {kind: splice, ways: 3}
wires:
  W1: {from: "N4:1", to: FRAME}
"""
    )
    machines = Machines(circuit, [(), (parse_fault("W1 open when disturbed", circuit),)], 0)
    ways = [("N4:1", "N4:2"), ("N4:3", "N4:1")]
    for mode, pairs, expected in ((OHMS, ways, OK), (VOLTS, [("FRAME", "G1:+"), *ways], FLOATING)):
        listed = [Probe(mode, *pair) for pair in pairs]
        shown = readings(machines, np.zeros(1, dtype=np.intp), listed, np.zeros(1, dtype=np.intp))
        assert same(at(shown, 0), expected_of(read(Machine(circuit), listed[0])))
        assert STATUSES[shown.status[0]] == expected


# Readings that go together


def parts_by_chain(singles: Sequence[Reading]) -> list[frozenset[int]]:
    """Return which of some readings go together: the same status, numbers where each agrees with the next higher."""
    by_status: dict[str, list[int]] = {}
    for number, reading in enumerate(singles):
        by_status.setdefault(reading.status, []).append(number)
    found = []
    for status, numbers in by_status.items():
        if status != OK:
            found.append(frozenset(numbers))
            continue
        rising = sorted(numbers, key=lambda number: singles[number].value or 0.0)
        chain = [rising[0]]
        for lower, higher in itertools.pairwise(rising):
            if not agree(singles[lower], singles[higher]):
                found.append(frozenset(chain))
                chain = []
            chain.append(higher)
        found.append(frozenset(chain))
    return found


def single_readings(mode: str) -> st.SearchStrategy[Reading]:
    """Return readings, many of them near to each other."""
    top = SCALES[mode].last
    near = st.tuples(st.sampled_from((-0.3, 0.05, 1.0, 12.0)), st.integers(-200, 200)).map(
        lambda two: show(mode, min(two[0] * (1 + two[1] / 5000), top))
    )
    blank = st.sampled_from((*STATUSES[1:],)).map(
        lambda status: replace(show(mode, 0.0), value=None, status=status, display="")
    )
    return st.one_of(near, near, decades_of(mode).map(lambda true: show(mode, true)), blank)


@settings(max_examples=200)
@given(st.sampled_from((VOLTS, AMPS, DIODE)), st.integers(1, 9), st.integers(1, 4), st.data())
def test_readings_go_together_in_chains(mode: str, count: int, rows: int, data: st.DataObject) -> None:
    """Parts are those of brute force in every run by itself: the same status, or agreeing from one to the next."""
    runs = data.draw(
        st.lists(st.lists(single_readings(mode), min_size=count, max_size=count), min_size=rows, max_size=rows)
    )
    labels = parts_of_readings(from_readings(mode, [one for run in runs for one in run]), count)
    assert labels.shape == (rows, count)
    for row, run in zip(labels.tolist(), runs, strict=True):
        parts = [frozenset(place for place in range(count) if row[place] == label) for label in {*row}]
        assert {*parts} == {*parts_by_chain(run)}


def test_the_lower_of_two_readings_decides() -> None:
    """By hand: 12.91 V ± 0.08 V and half a digit does not reach 13.00 V, which is ± 0.09 V; 12.92 V does."""
    for lower, together in ((12.91, False), (12.92, True)):
        labels = parts_of_readings(show_each(VOLTS, np.array([13.0, lower])), 2).tolist()[0]
        assert (labels[0] == labels[1]) == together


def test_what_is_taken_and_put_is_what_was_there() -> None:
    """Readings put in some places and taken from others are the same readings; the others stay as they were."""
    shown = show_each(VOLTS, np.array([1.0, 2.0, 2000.0, 3.0]))
    taken = shown.taken(np.array([2, 0]))
    assert [at(taken, place)[0] for place in range(2)] == [OVERLOAD, OK]
    shown.put(np.array([1, 3]), taken)
    assert [at(shown, place)[0] for place in range(4)] == [OK, OVERLOAD, OVERLOAD, OK]
    assert [float(value) for value in shown.value[[0, 3]]] == [1.0, 1.0]
    assert np.isnan(shown.value[[1, 2]]).all()
