"""The fault dictionary: lanes give what single points give, whatever the circuit, and memory stays bounded."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings

from faultwright.assembly import build
from faultwright.behaviour import latched, plain
from faultwright.dictionary import LANES, dictionary
from faultwright.electrics import Settled
from faultwright.faults import Fault, universe
from faultwright.lane_seen import UNCLEAR, code
from faultwright.solve import Solver
from tests.core import depot
from tests.core.strategies import circuits

if TYPE_CHECKING:
    from collections.abc import Mapping

    from faultwright.circuit import Circuit
    from faultwright.dictionary import Block

RIDE_ON = """
circuit: ride-on
nominal: 12 V
controls:
  key:  {label: Key switch, positions: [stop, run]}
  seat: {label: Seat, positions: [empty, taken]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse, rating: 5 A}
  S1: {kind: switch, control: key, contacts: {1-2: [run], 3-4: [stop]}}
  B1: {kind: switch, control: seat, contacts: {1-2: [taken], 3-4: [empty]}}
  K1: {kind: relay}
  V1: {kind: diode}
  A1: {kind: input}
  T1: {kind: magneto}
  M1: {kind: motor, running: 2 A}
  P1: {kind: lamp, power: 5 W}
  X1: {kind: connector, pins: 2}
  X2: {kind: splice, ways: 3}
  E1: {kind: ground}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: X2:1}
  W3: {from: X2:2, to: S1:1}
  W4: {from: X2:3, to: K1:30}
  W5: {from: S1:2, to: B1:1}
  W6: {from: B1:2, to: V1:A}
  W7: {from: V1:K, to: K1:86}
  W8: {from: K1:85, to: E1:1}
  W9: {from: K1:87, to: X1:a1}
  W10: {from: X1:b1, to: M1:1}
  W11: {from: M1:2, to: X1:b2}
  W12: {from: X1:a2, to: E1:1}
  W13: {from: K1:87, to: P1:1}
  W14: {from: P1:2, to: E1:1}
  W15: {from: G1:-, to: FRAME}
  W16: {from: T1:stop, to: S1:3}
  W17: {from: S1:4, to: FRAME}
  W18: {from: T1:-, to: FRAME}
  W19: {from: A1:+, to: S1:2}
  W20: {from: A1:in, to: B1:3}
  W21: {from: B1:4, to: FRAME}
  W22: {from: A1:-, to: FRAME}
behaviour:
  deck: {motor: M1}
  lamp: {lamp: P1}
  empty_seat: {input: A1}
  spark: {magneto: T1}
  pulled: {relay: K1}
  runs: {starts_when: [deck, lamp], keeps_while: [spark, key=run]}
"""


def single(circuit: Circuit, faults: tuple[Fault, ...], state: Mapping[str, str]) -> tuple[Solver, Settled]:
    """Settle one point as the dictionary describes it: brought from rest to the state in one move."""
    solver = Solver(build(circuit, faults))
    rest, sticking = circuit.rest(), solver.network.sticking
    positions = {
        part.name: (rest if part.name in sticking else state)[part.control]
        for part in circuit.parts.values()
        if part.control is not None
    }
    return solver, solver.settle(positions, {})


def check(circuit: Circuit, block: Block, fault: int, state: int) -> None:
    """Compare one point of a block with the point settled by itself."""
    solver, settled = single(circuit, block.faults[fault], block.states[state])
    assert bool(block.buzzing[fault, state]) == bool(settled.buzzing)
    seen = plain(solver, settled, circuit.behaviour)
    now = {**seen, **latched(circuit.behaviour, seen, {}, block.states[state])}
    assert {name: int(codes[fault, state]) for name, codes in block.seen.items()} == {
        name: code(value) for name, value in now.items()
    }
    network = solver.network
    for place, terminal in enumerate(block.terminals):
        node = network.node[terminal]
        # What nothing joins to FRAME has no voltage against it, so there is nothing to compare.
        if not settled.buzzing and network.joined(settled.conductances, 0, node):
            assert block.voltages[fault, state, place] == pytest.approx(float(settled.voltages[node]), abs=1e-9)


def test_every_fault_in_every_state() -> None:
    """All kinds of fault of a machine with all kinds of part, sound machine included, point by point."""
    circuit = depot.circuit(RIDE_ON)
    faults = [(), *((fault,) for fault in universe(circuit).values())]
    blocks = list(dictionary(circuit, faults))
    assert [one for block in blocks for one in block.faults] == faults
    for block in blocks:
        for fault in range(len(block.faults)):
            for state in range(len(block.states)):
                check(circuit, block, fault, state)


@settings(max_examples=25)
@given(circuit=circuits())
def test_lanes_are_points(circuit: Circuit) -> None:
    """On random circuits of all kinds of part a sample of the dictionary agrees with points settled alone."""
    chosen = list(universe(circuit).values())[::5]
    states = list(circuit.states())[:4]
    for block in dictionary(circuit, [(), *((fault,) for fault in chosen)], states):
        for fault in range(0, len(block.faults), 2):
            check(circuit, block, fault, fault % len(states))


def test_two_faults_at_once() -> None:
    """Pairs of faults are settled like single ones."""
    circuit = depot.circuit(RIDE_ON)
    known = list(universe(circuit).values())
    pairs = [(one, other) for one, other in zip(known[::9], known[4::9], strict=False)]
    (block,) = dictionary(circuit, pairs)
    assert block.voltages.shape == (len(pairs), 4, len(block.terminals))
    for fault in range(len(pairs)):
        check(circuit, block, fault, fault % 4)


def test_it_comes_in_blocks() -> None:
    """However many faults are asked for, a block holds no more points than agreed, and every fault comes once."""
    circuit = depot.circuit(RIDE_ON)
    fault = next(iter(universe(circuit).values()))
    many = LANES // 4 + 7
    sizes = [len(block.faults) for block in dictionary(circuit, [fault] * many)]
    assert sizes == [LANES // 4, 7]


def test_what_buzzes_is_unclear() -> None:
    """A relay that cuts its own coil buzzes: the point says so and the relay is neither in nor out."""
    circuit = depot.circuit(
        """
circuit: buzzer
nominal: 12 V
parts:
  G1: {kind: battery}
  K1: {kind: relay}
wires:
  W1: {from: G1:+, to: K1:30}
  W2: {from: K1:87a, to: K1:86}
  W3: {from: K1:85, to: G1:-}
behaviour:
  pulled: {relay: K1}
"""
    )
    (block,) = dictionary(circuit, [()])
    assert block.buzzing.all()
    assert (block.seen["pulled"] == UNCLEAR).all()
    assert np.isfinite(block.voltages).all()


def test_a_shorted_motor_stands_alone() -> None:
    """Where every lane's motor is shorted, and nothing turns, the dictionary says that it does not run."""
    circuit = depot.circuit(depot.GATE)
    (block,) = dictionary(circuit, [universe(circuit)["M1 shorted"]])
    assert not block.seen["moves"].any()
