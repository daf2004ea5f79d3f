"""How often faults are met: the trade's order, and the priors that follow from it."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.faults import intermittent, parse_fault, universe
from faultwright.frequency import SOUND, Frequency, priors, relative_frequency
from tests.core import depot
from tests.core.strategies import circuits

BENCH = depot.circuit(depot.BENCH)

ORDER = {
    "common": (
        "S1 stuck open", "S1 stuck closed", "S1 resistance", "S2 3-4 stuck open", "S2 sticking", "S1:1 resistance",
        "X1:1 open", "X1:1 resistance", "E1 open", "E1 resistance", "E1:1 resistance", "G1 discharged",
        "G1:+ resistance", "F1 open", "W4 open", "W4 resistance",
    ),
    "occasional": (
        "W1 open", "W12 resistance", "W4 shorted to ground", "K1 30-87 stuck closed", "K1 30-87 resistance",
        "Q1 13-14 stuck open", "F1:1 resistance", "K1:86 open", "M1:1 open", "G1 resistance",
    ),
    "seldom": (
        "K1 coil open", "K1 coil shorted", "Q1 coil open", "P1 open", "M1 open", "Y1 open", "L1 open", "R1 open",
        "R1 shorted", "N1:1 open", "N1:2 resistance", "W12 shorted to ground",
    ),
    "rare": (
        "W4 shorted to supply", "W12 shorted to supply", "X1:1 swapped with X1:2", "R1 reversed", "R1 leaky", "A1 open",
        "P1 shorted", "M1 shorted",
    ),
}  # fmt: skip
"""Level → faults. W4 leads to a switch, W12 from a relay to a motor. The order is common practice, with no published
source: joints, grounds and wires at moving places, flat battery, blown fuse, dirty or maladjusted switches; then the
contacts of relays; then coils and lamps; last shorts to supply, swapped pins, reversed diodes and inputs of modules."""


@pytest.mark.parametrize(("level", "name"), [(level, name) for level, names in ORDER.items() for name in names])
def test_the_order_of_the_trade(level: str, name: str) -> None:
    """Each sort of fault has the level at which the trade looks for it."""
    assert relative_frequency(universe(BENCH)[name], BENCH).word == level


def test_each_level_is_three_times_as_frequent_as_the_next() -> None:
    """The levels are geometric, so that only their order and one ratio have to be believed."""
    weights = sorted(Frequency, reverse=True)
    assert [level.word for level in weights] == list(ORDER)
    assert [one / other for one, other in pairwise(weights)] == [3, 3, 3]


def test_never_the_module_first() -> None:
    """No fault of any kind of part is less frequent than that of a module's own input."""
    module = relative_frequency(universe(BENCH)["A1 open"], BENCH)
    assert all(module <= relative_frequency(fault, BENCH) for fault in universe(BENCH).values())


def test_what_moves_comes_before_what_lies_still() -> None:
    """A joint at a switch's lever, and a wire that leads there, before the same thing at a splice or a relay."""
    for mode in ("open", "resistance"):
        at_switch, at_relay, at_splice = (
            relative_frequency(parse_fault(f"{place} {mode}", BENCH), BENCH) for place in ("S1:1", "K1:86", "N1:1")
        )
        assert at_switch > at_relay > at_splice
    for mode in ("open", "resistance", "shorted to ground"):
        assert relative_frequency(parse_fault(f"W4 {mode}", BENCH), BENCH) > relative_frequency(
            parse_fault(f"W12 {mode}", BENCH), BENCH
        )


@settings(max_examples=40)
@given(circuits(), st.data())
def test_priors_share_one_whole_by_weight(circuit: Circuit, data: st.DataObject) -> None:
    """Whatever the circuit, every fault has a level, the same whether it stays or comes and goes.

    Shares add up to 1 and keep the ratios of the levels, the sound machine among them.
    """
    faults = list(universe(circuit).values())
    assert all(
        relative_frequency(fault, circuit) == relative_frequency(intermittent(fault), circuit) for fault in faults
    )
    chosen = [*data.draw(st.lists(st.sampled_from(faults), max_size=6)), None]
    shares = priors(chosen, circuit)
    assert sum(shares) == pytest.approx(1)
    for fault, share in zip(chosen, shares, strict=True):
        weight = SOUND if fault is None else relative_frequency(fault, circuit)
        assert share * SOUND == pytest.approx(shares[-1] * weight)


def test_priors_by_hand() -> None:
    """27 : 9 : 3 : 1 and the sound machine's 9, of 49 in all; without hypotheses there is nothing to share."""
    names = ("S1 stuck open", "W1 open", "K1 coil open", "A1 open")
    assert priors([*(universe(BENCH)[name] for name in names), None], BENCH) == pytest.approx(
        [27 / 49, 9 / 49, 3 / 49, 1 / 49, 9 / 49]
    )
    assert priors([], BENCH) == []
