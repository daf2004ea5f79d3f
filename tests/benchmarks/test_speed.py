"""The ratios that are promised, measured in one run (slow tier: it wants a machine with nothing else to do)."""

from __future__ import annotations

import statistics

import numpy as np
import pytest

from faultwright.dictionary import dictionary

from . import measure
from .compared import dense, ngspice_points
from .reasoning import ratios
from .timing import FAULTS, chosen, loader


@pytest.mark.slow
def test_a_dictionary_is_faster_than_ngspice_and_than_dense_solves() -> None:
    """All faults in all states: 50 times ngspice in process, 8 times stacked dense solves."""
    circuit = loader()
    ours = measure.whole_dictionary()
    points = FAULTS * len(list(circuit.states()))
    assert ngspice_points(circuit, measure.SAMPLE) * points >= 50 * ours
    assert measure.dense_dictionary() >= 8 * ours


@pytest.mark.slow
def test_double_faults_cost_little_more() -> None:
    """A point of two faults takes at most three times one of a single fault."""
    single, double = measure.double_faults()
    assert double <= 3 * single


@pytest.mark.slow
def test_all_double_faults_stay_within_memory() -> None:
    """All 1.4 million points of all pairs pass through in blocks, within 150 MB, equal answers found on the way."""
    points, classes, _, most = measure.all_double_faults()
    assert points == 11_175 * 128
    assert 1 < classes < 11_175
    assert most <= 150


@pytest.mark.slow
def test_readings_follow_at_once() -> None:
    """A toggle to a state seen before takes at most two dense solves of that order; a new pair of points 10 ms."""
    seen_before, _, solved = measure.toggle()
    assert seen_before <= 2 * solved
    assert measure.moving_a_probe() <= 0.01


@pytest.mark.slow
def test_the_cost_of_a_point_grows_no_faster_than_the_circuit() -> None:
    """From 20 to 160 nodes a point in lanes costs no more than in proportion to the nodes, a fifth more allowed."""
    assert measure.growth([(nodes, lanes) for nodes, lanes, _ in measure.cost_per_point()]) <= 1.2


@pytest.mark.slow
def test_reasoning_takes_a_few_dictionaries() -> None:
    """After ten findings: the suspects in three dictionaries at most, the next test in two (medians).

    One dictionary is aimed at for the suspects; looking into what changes between two values takes as long again.
    """
    _, found = ratios()
    assert statistics.median(one.suspects for one in found) <= 3
    assert statistics.median(one.next_test for one in found if one.left > 1) <= 2


def test_the_dense_solves_compared_with_give_the_same() -> None:
    """What is measured against is no straw man: it settles the same points to the same voltages."""
    circuit = loader()
    faults = chosen(circuit)[::15]
    ours = list(dictionary(circuit, faults))
    with dense():
        theirs = list(dictionary(circuit, faults))
    for one, other in zip(ours, theirs, strict=True):
        assert all((one.seen[name] == other.seen[name]).all() for name in one.seen)
        # 1 pS to FRAME pulls what floats to FRAME; everything else agrees.
        close = np.isclose(one.voltages, other.voltages, atol=1e-6)
        assert close.mean() > 0.8
