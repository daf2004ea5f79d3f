"""Branch currents where a milliohm carries microamperes: shares of currents, not differences of volts."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings

from faultwright.electrics import Settled
from faultwright.elimination import compiled
from faultwright.machine import Machine
from faultwright.meter import AMPS, Probe, read
from tests.core import depot
from tests.core.strategies import Day, days


def settled_after(day: Day) -> Settled:
    """Return the electrics at the end of a day."""
    machine = Machine(day.circuit, day.faults)
    for move in day.moves:
        machine.move(move)
    return machine.settled


def exact_currents(settled: Settled) -> list[Fraction]:
    """Return the branch currents by Ohm's law from the node voltages, in fractions: no digit is lost."""
    network = settled.network
    conductances = [Fraction(value) for value in settled.conductances]
    emfs = [Fraction(value) for value in settled.emfs]
    *voltages, _ = compiled(len(network.names), network.ends, network.with_emf)(conductances, emfs)
    return [
        Fraction(conductance * (voltages[a] + emf - voltages[b]))
        for conductance, emf, (a, b) in zip(conductances, emfs, network.ends, strict=True)
    ]


@settings(max_examples=60)
@given(days(most_parts=6, most_faults=2))
def test_shares_of_current_are_ohms_law_in_fractions(day: Day) -> None:
    """In exact arithmetic the shares are what Ohm's law gives for every branch, with nothing left over."""
    settled = settled_after(day)
    network = settled.network
    program = compiled(len(network.names), network.ends, network.with_emf, currents=True)
    found = program([Fraction(value) for value in settled.conductances], [Fraction(value) for value in settled.emfs])
    assert list(found) == exact_currents(settled)


@settings(max_examples=150)
@given(days(most_faults=2))
def test_currents_are_right_relative_to_those_around_them(day: Day) -> None:
    """No current is off by more than 1e-9 of the largest at its own nodes, or by 1 pA.

    Over 1,500 random days the worst was 1.7e-11 of the largest at its nodes; from differences of voltages, 2.7e-8.
    """
    settled = settled_after(day)
    exact, ends = exact_currents(settled), settled.network.ends
    at_node = [Fraction(0)] * len(settled.network.names)
    for current, (a, b) in zip(exact, ends, strict=True):
        at_node[a], at_node[b] = max(at_node[a], abs(current)), max(at_node[b], abs(current))
    for found, current, (a, b) in zip(settled.currents(), exact, ends, strict=True):
        error = abs(Fraction(found) - current)
        assert error <= max(max(at_node[a], at_node[b]) / 10**9, Fraction("1e-12"))


SHED = """
circuit: shed
nominal: 12 V
parts:
  G1: {kind: battery, emf: 12 V, resistance: 20 mΩ}
  R1: {kind: resistor, resistance: 1000 MΩ}
wires:
  W1: {from: "G1:+", to: "R1:1", resistance: 1 µΩ}
  W2: {from: "R1:2", to: "G1:-", resistance: 1 µΩ}
"""


def test_nanoamperes_through_a_microohm() -> None:
    """12 nA through a wire of 1 µΩ: the wire drops 12 fV, less than a digit of 12 V, and the current is right."""
    machine = Machine(depot.circuit(SHED))
    names = [branch.name for branch in machine.settled.network.branches]
    currents = dict(zip(names, machine.settled.currents(), strict=True))
    expected = 12 / (1e9 + 0.020002)
    for name in ("W1", "W2"):
        assert abs(currents[name] / expected - 1) < 1e-15
    assert read(machine, Probe(AMPS, "W1")).display == "0.00 mA"
