"""The ratios that are promised, measured in one run (slow tier: it wants a machine with nothing else to do)."""

from __future__ import annotations

import numpy as np
import pytest

from faultwright.dictionary import dictionary

from . import measure


@pytest.mark.slow
def test_a_dictionary_is_faster_than_ngspice_and_than_dense_solves() -> None:
    """All faults in all states: 30 times ngspice in process (50 is aimed at), 8 times stacked dense solves."""
    ours = measure.whole_dictionary()
    points = measure.FAULTS * len(list(measure.loader().states()))
    assert measure.ngspice_points() * points >= 30 * ours
    assert measure.dense_dictionary() >= 8 * ours


@pytest.mark.slow
def test_double_faults_cost_little_more() -> None:
    """A point of two faults takes at most three times one of a single fault."""
    single, double = measure.double_faults()
    assert double <= 3 * single


def test_the_dense_solves_compared_with_give_the_same() -> None:
    """What is measured against is no straw man: it settles the same points to the same voltages."""
    circuit = measure.loader()
    faults = measure.chosen(circuit)[::15]
    ours = list(dictionary(circuit, faults))
    with measure.dense():
        theirs = list(dictionary(circuit, faults))
    for one, other in zip(ours, theirs, strict=True):
        assert all((one.seen[name] == other.seen[name]).all() for name in one.seen)
        # 1 pS to FRAME pulls what floats to FRAME; everything else agrees.
        close = np.isclose(one.voltages, other.voltages, atol=1e-6)
        assert close.mean() > 0.8
