"""Weighing records by what situations show: against replaying, and against what is found out for one record alone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.faults import Fault, parse_fault, universe
from faultwright.machine import Machine
from faultwright.meter import OHMS, VOLTS, Probe
from faultwright.record import Observed, Record, discrepancy, replay
from faultwright.situations import Situations, situations_of
from faultwright.suspects import find_suspects
from faultwright.weighing import Weighed, weigh
from tests.core import depot
from tests.core.records import any_actions, record_of, truthful_actions
from tests.core.strategies import circuits, faults

SHED = depot.circuit(depot.SHED)
GATE = depot.circuit(depot.GATE)


def all_of(circuit: Circuit) -> Situations:
    """Return the situations of a circuit with every single fault."""
    return situations_of(circuit, universe(circuit).values())


def explains(circuit: Circuit, record: Record, fault: Fault) -> bool:
    """Say whether a machine with a fault at its value would have shown a record, by replaying it."""
    predictions = replay(circuit, (fault,), record)[0]
    findings = [finding for _, finding in record.findings()]
    return all(discrepancy(*pair) == 0 for pair in zip(findings, predictions, strict=True))


def at(fault: Fault, value: float) -> Fault:
    """Return a fault at a value."""
    return replace(fault, value=value)


def names_of(found: Weighed) -> list[str]:
    """Return what is left by name, the sound machine last."""
    return [" + ".join(names) or "sound" for names in found.left]


@settings(max_examples=60)
@given(circuits(most=5), st.data())
def test_who_explains_a_record_is_left(circuit: Circuit, data: st.DataObject) -> None:
    """Whatever was found, true or not: every fault that explains it, at some value of a grid, is left."""
    true = data.draw(faults(circuit))
    record = record_of(circuit, data.draw(any_actions(Machine(circuit, (true,)))))
    left = names_of(weigh(all_of(circuit), record.actions))
    for name, fault in universe(circuit).items():
        values = [10 ** (step / 3) for step in range(-9, 22)] if fault.value is not None else [None]
        if any(explains(circuit, record, fault if value is None else at(fault, value)) for value in values):
            assert name in left
    event(f"{len(left)} left" if len(left) < 3 else "more left")


@settings(max_examples=60)
@given(circuits(most=5), st.data())
def test_the_fault_that_was_there_is_left(circuit: Circuit, data: st.DataObject) -> None:
    """A truthful record, as far off as a meter may be, never clears the fault that was there, whatever its value."""
    fault = data.draw(st.sampled_from(list(universe(circuit).values())))
    if fault.value is not None:
        fault = at(fault, float(f"{10 ** data.draw(st.floats(-2, 6)):.4g}"))
    record = record_of(circuit, data.draw(truthful_actions(Machine(circuit, (fault,)), most=8)))
    assert fault.name in names_of(weigh(all_of(circuit), record.actions))


@settings(max_examples=30)
@given(circuits(most=5), st.data())
def test_the_same_as_for_one_record_alone(circuit: Circuit, data: st.DataObject) -> None:
    """What is left is what ``find_suspects`` leaves; situations that others have asked for change nothing."""
    situations = all_of(circuit)
    for _ in range(2):
        true = data.draw(faults(circuit))
        record = record_of(circuit, data.draw(any_actions(Machine(circuit, (true,)))))
        found = weigh(situations, record.actions)
        alone = find_suspects(circuit, record)
        assert names_of(found) == [*alone.names, *(["sound"] if alone.healthy else [])]
        again = weigh(all_of(circuit), record.actions)
        assert (again.left, again.cleared) == (found.left, found.cleared)
        assert [again.value_of(names) for names in again.left] == [found.value_of(names) for names in found.left]


def shed(fault: str) -> Bench:
    """Return a bench with the shed's lamp and a fault."""
    return Bench(SHED, [parse_fault(fault, SHED)])


def test_each_is_cleared_by_the_first_finding_against_it() -> None:
    """The lamp is off: what leaves it lit is cleared by that; what leaves 0 V before the switch, by the reading."""
    bench = shed("P1 open")
    bench.move("key=on")  # 0
    bench.observe()  # 1
    bench.read(Probe(VOLTS, "S1:1", "FRAME"))  # 2: 12 V
    found = weigh(all_of(SHED), bench.actions)
    assert found.cleared["W4 open",] == 1
    assert found.cleared["W1 open",] == 2
    assert found.cleared[()] == 1
    assert ("P1 open",) in found.left


def test_a_value_between_two_that_were_tried() -> None:
    """A dirty joint of 5 Ω lies between two values tried; ohms across it leave the joint, and a value near its own."""
    bench = shed("W2 resistance 5 Ω")
    bench.move("unplug=G1")
    bench.move("unplug=P1")
    bench.read(Probe(OHMS, "S1:2", "P1:1"))
    found = weigh(all_of(SHED), bench.actions)
    assert ("W2 resistance",) in found.left
    # 0.9 % of 5.0 Ω and two digits of 0.1 Ω, and half a digit: ± 0.3 Ω.
    assert found.value_of(("W2 resistance",)) == pytest.approx(5, abs=0.35)


def test_where_a_relay_changes_between_two_values_tried() -> None:
    """By hand: 24 V over a coil of 300 Ω pulls in from 16 V, so up to 150 Ω in its way. What is seen parts 145 and 156.

    Between the values tried (100 and 316 Ω) the machine changes; 16.18 and 15.79 V at the coil say on which side.
    """
    circuit = depot.circuit(depot.GATE.replace("{kind: contactor}", "{kind: contactor, coil: 300 Ω}"))
    situations = all_of(circuit)
    for value, moves in ((145.0, True), (156.0, False)):
        bench = Bench(circuit, [parse_fault(f"W6 resistance {value} Ω", circuit)])
        bench.move("start=pressed")
        bench.observe()
        bench.read(Probe(VOLTS, "Q1:A1", "Q1:A2"))
        assert bench.machine.seen()["moves"] is moves
        assert ("W6 resistance",) in weigh(situations, bench.actions).left
        told_otherwise = [bench.actions[0], Observed({"moves": not moves}), bench.actions[2]]
        assert ("W6 resistance",) not in weigh(situations, told_otherwise).left


def test_without_findings_everything_is_possible() -> None:
    """Nothing done and nothing found clears nobody."""
    assert names_of(weigh(all_of(SHED), ())) == [*universe(SHED), "sound"]
