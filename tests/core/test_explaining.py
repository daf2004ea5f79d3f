"""Which values of a fault explain a record: against replaying it at values side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.explaining import Explaining
from faultwright.faults import Fault, parse_fault, universe
from faultwright.machine import Machine
from faultwright.meter import AMPS, OHMS, VOLTS, Probe, show
from faultwright.moves import Move
from faultwright.record import Measured, Observed, Record, discrepancy, replay
from faultwright.suspects import find_suspects
from faultwright.trials import LEAST, MOST, Trial, trial_of, try_out
from tests.core import depot
from tests.core.records import any_actions, record_of
from tests.core.strategies import circuits, faults

SHED = depot.circuit(depot.SHED)


def explaining(circuit: Circuit, record: Record, trial: Trial, *, let_go: bool = True) -> Explaining:
    """Return what a trial explains of a record."""
    single = record.one_by_one()[0]
    return Explaining(circuit, single, try_out(circuit, single, [trial], let_go=let_go), 0)


def explains(circuit: Circuit, record: Record, trial: Trial, value: float) -> bool:
    """Say whether a record agrees with a trial at a value, by replaying it."""
    predictions = replay(circuit, trial.at(value), record)[0]
    findings = [finding for _, finding in record.findings()]
    return all(discrepancy(*pair) == 0 for pair in zip(findings, predictions, strict=True))


def grid(per_decade: int) -> list[float]:
    """Return values from 1 mΩ to 10 MΩ, so many a decade."""
    steps = round(math.log10(MOST / LEAST)) * per_decade
    return [LEAST * 10 ** (step / per_decade) for step in range(steps + 1)]


def check_against(circuit: Circuit, record: Record, trial: Trial, values: Sequence[float]) -> None:
    """Check a range against values replayed one by one, and its ends against what lies 0.1 % beyond them."""
    agreeing = [value for value in values if explains(circuit, record, trial, value)]
    found = explaining(circuit, record, trial).range()
    if found is None:
        assert agreeing == []
        return
    low, high, value = found
    assert LEAST <= low <= value <= high <= MOST
    for inside in found:
        assert explains(circuit, record, trial, inside)
    for outside in (low / 1.001, high * 1.001):
        assert not (LEAST <= outside <= MOST and explains(circuit, record, trial, outside))
    if agreeing:
        assert low <= agreeing[0] * (1 + 1e-12)
        assert agreeing[-1] <= high * (1 + 1e-12)


# Brute force


def record_with(circuit: Circuit, true: str, *done: str | Probe) -> Record:
    """Return the record of moves, looks ("see") and readings on a machine with a fault."""
    bench = Bench(circuit, [parse_fault(true, circuit)] if true else ())
    for one in done:
        if isinstance(one, Probe):
            bench.read(one)
        elif one == "see":
            bench.observe()
        else:
            bench.move(one)
    return bench.record


RECORDS: dict[str, tuple[str, str, tuple[str | Probe, ...]]] = {
    "a bad crimp": (
        depot.SHED,
        "W2 resistance 4.5 Ω",
        ("key=on", "see", Probe(VOLTS, "P1:1", "P1:2"), Probe(VOLTS, "G1:+", "FRAME")),
    ),
    "ohms": (depot.SHED, "P1:2 resistance 0.7 Ω", ("unplug=G1", Probe(OHMS, "P1:1", "G1:-"), "key=on", "see")),
    "a break": (depot.SHED, "W3 open", ("key=on", "see", Probe(VOLTS, "P1:1", "FRAME"))),
    "a flat battery": (depot.SHED, "G1 resistance 2.2 Ω", (Probe(VOLTS, "G1:+", "G1:-"), "key=on", "see")),
    "a contactor that does not pull in": (
        depot.GATE,
        "W3 resistance 300 Ω",
        ("start=pressed", "see", Probe(VOLTS, "Q1:A1", "FRAME"), "start=released", "see"),
    ),
    "a contactor that only just pulls in": (
        depot.GATE,
        "W3 resistance 120 Ω",
        ("start=pressed", "see", "start=released", "see", "stop=pressed", "see"),
    ),
    "a motor fed too little": (
        depot.GATE,
        "Q1 1-2 resistance 20 Ω",
        ("start=pressed", "see", Probe(VOLTS, "Q1:2", "Q1:1")),
    ),
}


@pytest.mark.parametrize("name", RECORDS)
def test_the_range_of_every_fault_is_that_of_brute_force(name: str) -> None:
    """For every fault with a free value: what a fine grid finds lies in the range, which ends within 0.1 % of that."""
    text, true, done = RECORDS[name]
    circuit = depot.circuit(text)
    record = record_with(circuit, true, *done)
    valued = [fault for fault in universe(circuit).values() if fault.value is not None]
    found = 0
    for fault in valued:
        check_against(circuit, record, trial_of(fault), grid(12))
        found += explaining(circuit, record, trial_of(fault)).range() is not None
    assert found > 0
    own = parse_fault(true, circuit)
    if own.value is not None:
        low, high, _ = explaining(circuit, record, trial_of(own)).range() or (math.inf, 0.0, 0.0)
        assert low <= own.value <= high


@settings(max_examples=15)
@given(circuits(most=4), st.data())
def test_ranges_on_random_circuits(circuit: Circuit, data: st.DataObject) -> None:
    """Whatever was found, true or not, a value of a grid that explains it lies in the range; its ends explain it."""
    valued = [fault for fault in universe(circuit).values() if fault.value is not None]
    fault = data.draw(st.sampled_from(valued))
    true = data.draw(st.one_of(faults(circuit), st.floats(-3, 7).map(lambda exponent: _at(fault, 10**exponent))))
    record = record_of(circuit, data.draw(any_actions(Machine(circuit, (true,)))))
    trial = trial_of(fault)
    found = explaining(circuit, record, trial).range()
    event("explained" if found else "not explained")
    for value in (*grid(6), *(found or ())):
        if explains(circuit, record, trial, value):
            assert found is not None, value
            assert found[0] * (1 - 1e-3) <= value <= found[1] * (1 + 1e-3)
        else:
            assert value not in (found or ())


def _at(fault: Fault, value: float) -> Fault:
    return replace(fault, value=value)


# Worked cases


def test_where_a_contactor_pulls_in() -> None:
    """By hand: 24 V over a coil of 300 Ω pulls in from 16 V, so up to 150 Ω in its way; what is seen draws the line."""
    circuit = depot.circuit(depot.GATE.replace("{kind: contactor}", "{kind: contactor, coil: 300 Ω}"))
    trial = trial_of(parse_fault("W6 resistance", circuit))
    start = Move("set", "start", "pressed")
    for moves, low, high in ((True, LEAST, 150.0), (False, 150.0, MOST)):
        record = Record(circuit.name, (start, Observed({"moves": moves})))
        found = explaining(circuit, record, trial).range()
        assert found is not None
        assert found[:2] == pytest.approx((low, high), rel=2e-3)
        check_against(circuit, record, trial, grid(6))
    # It holds on down to 3 V: 24·300/(300 + R) > 3, R < 2,100 Ω, but it must have pulled in before.
    record = Record(circuit.name, (start, Move("set", "start", "released"), Observed({"moves": True})))
    found = explaining(circuit, record, trial).range()
    assert found is not None
    assert found[:2] == pytest.approx((LEAST, 150.0), rel=2e-3)


def test_a_narrow_stretch_between_two_values_tried() -> None:
    """Two readings of ohms that only some values between two tried explain: 1 % of 2.0 kΩ, by hand.

    In the hand 2.000 kΩ ± 0.020 kΩ and half a digit; and one reading whose tolerance starts just above that middle.
    """
    circuit = SHED
    trial = trial_of(parse_fault("S1 resistance", circuit))
    out = (Move("unplug", "G1"), Move("set", "key", "on"))
    probe = Probe(OHMS, "S1:1", "S1:2")
    readings = [Measured(probe, show(OHMS, ohms)) for ohms in (2000.0, 2038.0)]
    found = explaining(circuit, Record(circuit.name, (*out, *readings)), trial).range()
    assert found is not None
    # 2,000 ± (18 + 2) Ω and 2,038 ± (18 + 2) Ω, each ± half of 1 Ω, and the display rounds: 2,018 to 2,020 Ω shown.
    assert found[:2] == pytest.approx((2017.4, 2020.4), abs=0.7)
    check_against(circuit, Record(circuit.name, (*out, *readings)), trial, [2018.0, 2019.0, 2020.0])
    apart = [Measured(probe, show(OHMS, ohms)) for ohms in (2000.0, 2045.0)]
    assert explaining(circuit, Record(circuit.name, (*out, *apart)), trial).range() is None


def test_what_clears_first() -> None:
    """Two findings that need different values clear at the second; a third would have alone, but came later."""
    trial = trial_of(parse_fault("W2 resistance", SHED))
    actions = (
        Move("set", "key", "on"),
        Measured(Probe(VOLTS, "P1:1", "P1:2"), show(VOLTS, 8.0)),
        Measured(Probe(VOLTS, "P1:2", "G1:-"), show(VOLTS, 0.1)),
        Measured(Probe(VOLTS, "P1:1", "P1:2"), show(VOLTS, 48.0)),
    )
    assert explaining(SHED, Record(SHED.name, actions), trial).first_against() == 1
    found = explaining(SHED, Record(SHED.name, actions), trial, let_go=False)
    assert found.range() is None
    assert found.first_against() == 1
    assert found.can([0])
    assert found.can([1])
    assert not found.can([0, 1])
    assert not found.can([2])
    assert explaining(SHED, Record(SHED.name, (actions[0], actions[3])), trial).first_against() == 0


def test_a_fault_without_a_value() -> None:
    """It explains or does not; there is no range to tell."""
    record = record_with(SHED, "W2 open", "key=on", "see")
    assert explaining(SHED, record, trial_of(parse_fault("W2 open", SHED))).range() == (0.0, 0.0, 0.0)
    assert explaining(SHED, record, trial_of(parse_fault("W4 open", SHED))).range() is None
    assert explaining(SHED, record, trial_of(None)).range() is None


TWO_RELAYS = """
circuit: two-stages
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 10 mΩ}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  K1: {kind: relay, coil: 100 Ω, pull_in: 6 V, drop_out: 2 V}
  K2: {kind: relay, coil: 100 Ω, pull_in: 7 V, drop_out: 2 V}
  P1: {kind: lamp, power: 12 W}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: K1:86}
  W3: {from: K1:86, to: K2:86}
  W4: {from: K1:85, to: FRAME}
  W5: {from: K2:85, to: FRAME}
  W6: {from: G1:+, to: K1:30}
  W7: {from: K1:87, to: K2:30}
  W8: {from: K2:87a, to: P1:1}
  W9: {from: P1:2, to: FRAME}
  W10: {from: G1:-, to: FRAME}
behaviour:
  lamp: {lamp: P1}
"""
"""The lamp is lit where the first relay has pulled in and the second has not."""


def test_a_window_between_two_relays() -> None:
    """By hand: two coils of 100 Ω side by side take 6 V with 50 Ω in their feed and 7 V with 35.7 Ω."""
    circuit = depot.circuit(TWO_RELAYS)
    bench = Bench(circuit, [parse_fault("W2 resistance 42 Ω", circuit)])
    bench.move("key=on")
    bench.observe()
    assert bench.machine.seen() == {"lamp": "lit"}
    found = find_suspects(circuit, bench.record, [universe(circuit)["W2 resistance"]])
    assert found.ranges["W2 resistance"] == pytest.approx((35.7, 50.0), rel=2e-3)


LIMP_RELAY = """
circuit: limp-relay
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 10 mΩ}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  K1: {kind: relay, coil: 100 Ω}
  P1: {kind: lamp, power: 3 W}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: K1:86}
  W3: {from: K1:85, to: FRAME}
  W4: {from: K1:86, to: K1:30}
  W5: {from: K1:87a, to: P1:1}
  W6: {from: P1:2, to: FRAME}
  W7: {from: G1:-, to: FRAME}
behaviour:
  lamp: {lamp: P1}
"""
"""48 Ω of lamp beside 100 Ω of coil: the relay pulls in, and takes the lamp off, up to 16.2 Ω in W2."""


@pytest.mark.parametrize(
    ("text", "true", "done"),
    [
        (LIMP_RELAY, "W2 resistance 20 Ω", ("key=on", Probe(VOLTS, "P1:1", "P1:2"))),
        (LIMP_RELAY, "W2 resistance 16.5 Ω", ("key=on", Probe(VOLTS, "P1:1", "P1:2"))),
        # Up to 12 Ω the motor turns and draws 24 V/(12 Ω + R); beyond it stands and draws 24 V/(4 Ω + R).
        (depot.GATE, "Q1 1-2 resistance 13 Ω", ("start=pressed", "see", Probe(AMPS, "W9"))),
        (depot.GATE, "W8 resistance 10 Ω", ("start=pressed", Probe(AMPS, "W9"))),
    ],
)
def test_beside_a_jump(text: str, true: str, done: tuple[str | Probe, ...]) -> None:
    """A reading that falls as the value grows, jumps where something lets go, and falls again.

    The true value lies in the range, and the value that is given explains everything.
    """
    circuit = depot.circuit(text)
    fault = parse_fault(true, circuit)
    record = record_with(circuit, true, *done)
    found = find_suspects(circuit, record, [universe(circuit)[fault.name]])
    assert found.names == [fault.name]
    low, high = found.ranges[fault.name]
    assert fault.value is not None
    assert low * (1 - 1e-3) <= fault.value <= high * (1 + 1e-3)
    assert explains(circuit, record, trial_of(fault), found.faults[fault.name].value or 0.0)


@pytest.mark.parametrize("value", [10.5, 11.5, 11.9, 12.05])
def test_on_either_side_of_a_jump(value: float) -> None:
    """A current that a turning motor draws on one side of the jump and a standing one on the other: seen, it is one.

    The two values tried beside it, 10 Ω and 31.6 Ω, lie on different sides of the reading.
    """
    circuit = depot.circuit(depot.GATE)
    true = f"Q1 1-2 resistance {value} Ω"
    record = record_with(circuit, true, "start=pressed", "see", Probe(AMPS, "W9"))
    found = find_suspects(circuit, record, [universe(circuit)["Q1 1-2 resistance"]])
    assert found.names == ["Q1 1-2 resistance"]
    low, high = found.ranges["Q1 1-2 resistance"]
    assert low * (1 - 1e-3) <= value <= high * (1 + 1e-3)
