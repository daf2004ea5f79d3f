"""Classes of equal answers: what a comparison of every pair of faults finds, however the blocks fall."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from faultwright.dictionary import Block, dictionary
from faultwright.equal_answers import SAME_WITHIN, equivalence_classes
from faultwright.faults import universe
from tests.core import depot

YARD = """
circuit: yard-lamp
nominal: 12 V
controls:
  key:  {positions: [off, on]}
  gate: {positions: [shut, open]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  S2: {kind: switch, control: gate, contacts: {1-2: [open]}}
  P1: {kind: lamp, power: 5 W}
  P2: {kind: lamp, power: 5 W}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: P1:1}
  W3: {from: P1:2, to: G1:-}
  W4: {from: S1:2, to: S2:1}
  W5: {from: S2:2, to: P2:1}
  W6: {from: P2:2, to: G1:-}
  W7: {from: G1:-, to: FRAME}
behaviour:
  gate_lamp: {lamp: P2}
"""


def same(block: Block, one: int, other: int) -> bool:
    """Compare two faults of a block value by value."""
    seen = all((codes[one] == codes[other]).all() for codes in block.seen.values())
    return seen and bool(np.allclose(block.voltages[one], block.voltages[other], rtol=0, atol=SAME_WITHIN / 100))


def test_classes_are_those_of_comparing_every_pair() -> None:
    """Two faults are in one class exactly where no value differs: a filament and the joint that feeds it, say."""
    circuit = depot.circuit(YARD)
    faults = [(), *((fault,) for fault in universe(circuit).values())]
    (block,) = dictionary(circuit, faults)
    classes = equivalence_classes([block])
    assert sorted(str(fault) for its in classes for fault in its) == sorted(map(str, faults))
    class_of = {faults: number for number, its in enumerate(classes) for faults in its}
    for one, other in combinations(range(len(faults)), 2):
        assert (class_of[faults[one]] == class_of[faults[other]]) == same(block, one, other)
    names = [{fault.name for faults in its for fault in faults} for its in classes]
    assert {"P2 open", "P2:1 open"} in [its & {"P2 open", "P2:1 open"} for its in names]


@pytest.mark.parametrize("edge", [0.25, 0.75])
def test_rounding_does_not_part_what_is_equal(edge: float) -> None:
    """Answers that rounding puts on either side of a step of one grid are one class; 10 µV apart they are two."""
    circuit = depot.circuit(YARD)
    faults = [(fault,) for fault in list(universe(circuit).values())[:3]]
    (block,) = dictionary(circuit, faults)
    for codes in block.seen.values():
        codes[...] = 0
    on_the_step = (12_000_000 - edge) * SAME_WITHIN
    block.voltages[...] = on_the_step
    block.voltages[0], block.voltages[1] = on_the_step - 1e-13, on_the_step + 1e-13
    block.voltages[2] = on_the_step + 1e-5
    assert equivalence_classes([block]) == [faults[:2], faults[2:]]
