"""The exported deck, run by ngspice as it stands: an outside program finds the same node voltages."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from faultwright.circuit_file import parse_circuit
from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright.spice import deck, deck_voltages

from . import ngspice
from .accuracy import (
    NGSPICE_ROUNDING,
    check,
    machine_after,
    random_days,
    voltages_by_fractions,
    voltages_by_ngspice,
)
from .conducting import exact_solution
from .measure_accuracy import CIRCUITS, measured
from .strategies import days

NEEDS_NGSPICE = pytest.mark.usefixtures("ngspice_there")

LAMP = """
circuit: shed-lamp
title: Lamp in the tool shed
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 1 Ω}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}, resistance: 1 mΩ}
  P1: {kind: lamp, power: 28.8 W, voltage: 12 V}
wires:
  W1: {from: G1:+, to: S1:1, resistance: 0.5 mΩ}
  W2: {from: S1:2, to: P1:1, resistance: 0.5 mΩ}
  W3: {from: G1:-, to: FRAME, resistance: 0.1 mΩ}
  W4: {from: P1:2, to: G1:-, resistance: 0.1 mΩ}
"""


@NEEDS_NGSPICE
def test_ngspice_agrees_on_random_circuits(tmp_path: Path) -> None:
    """On 300 random circuits with faults, after random moves, every kept node agrees to 1e-6 of itself or 1 nV.

    A node may be further off, by ngspice's rounding, only where the exact fractions agree with this package; at most
    one in 200 is.
    """
    drawn = random_days(days(least_faults=1, most_faults=2), 300, 1)
    machines = [machine_after(day) for day in drawn]
    compared = beyond = 0
    for day, machine, found in zip(drawn, machines, voltages_by_ngspice(machines, tmp_path), strict=True):
        compared += len(found)
        if further := sum(one.error > one.allowed for one in found):
            beyond += further
            check(voltages_by_fractions(machine, exact_solution(machine)), day)
        check([replace(one, allowed=max(one.allowed, NGSPICE_ROUNDING)) for one in found], day)
    assert beyond * 200 <= compared
    assert compared > 10 * len(drawn), "hardly any node was compared"


@NEEDS_NGSPICE
@pytest.mark.slow
def test_ngspice_and_exact_fractions_agree_on_many_larger_circuits() -> None:
    """On 10,000 larger circuits voltages and currents agree with exact fractions, and voltages with ngspice.

    At fewer than one node in 1,000 ngspice's own rounding is more than it is allowed.
    """
    result = measured(CIRCUITS)
    assert result.circuits == CIRCUITS
    assert result.by_ngspice.beyond * 1000 < result.by_ngspice.compared


@NEEDS_NGSPICE
def test_a_deck_by_hand(tmp_path: Path) -> None:
    """12 V, 1 Ω inside, a 5 Ω lamp and 2.1 mΩ of contact and wires: the lamp's feed by Ohm's law, here and there."""
    circuit = parse_circuit(LAMP)
    machine = Machine(circuit)
    machine.move("key=on")
    (found,) = ngspice.run([deck(machine)], tmp_path)
    node = machine.settled.network.node["P1:1"]
    by_hand = 12 * (5 + 0.0001) / (1 + 5 + 0.0021)  # what stands over lamp and W4; no current flows in W3
    assert found[node] == pytest.approx(by_hand, abs=1e-9)
    assert deck_voltages(machine)[node] == pytest.approx(by_hand, abs=1e-12)


LOOSE = """
circuit: loose
nominal: 24 V
parts:
  T1: {kind: supply, voltage: 24 V}
  T2: {kind: supply, voltage: 24 V}
  M1: {kind: motor, resistance: 1 Ω}
  X1: {kind: connector, pins: 1}
wires:
  W1: {from: T2:+, to: FRAME}
  W2: {from: M1:1, to: T1:+}
  W3: {from: X1:a1, to: T1:+}
"""
"""T1 feeds two loose ends and stands nowhere against FRAME."""


@NEEDS_NGSPICE
@pytest.mark.parametrize(("text", "faults"), [(LAMP, ["W3 open"]), (LOOSE, [])])
def test_an_island_stands_at_zero_where_the_deck_ties_it(tmp_path: Path, text: str, faults: list[str]) -> None:
    """Of a circuit that stands nowhere against FRAME, deck and solver agree which node is at 0 V."""
    circuit = parse_circuit(text)
    machine = Machine(circuit, [parse_fault(fault, circuit) for fault in faults])
    written = deck(machine)
    ours, (theirs,) = deck_voltages(machine), ngspice.run([written], tmp_path)
    assert set(ours) == set(theirs)
    (tied,) = ngspice.tied_nodes(written)
    assert ours[tied] == 0
    for node, voltage in ours.items():
        assert theirs[node] == pytest.approx(voltage, abs=0.05)  # ngspice's rounding: see accuracy.py


def test_the_deck_names_its_nodes_and_what_it_leaves_out() -> None:
    """Every terminal stands in a comment, once: at its node, or among those without a way to FRAME."""
    circuit = parse_circuit(LAMP)
    machine = Machine(circuit)
    lines = deck(machine).splitlines()
    assert lines[:2] == ["* shed-lamp: Lamp in the tool shed", "* controls: key=off"]
    named = [word for line in lines if line.startswith("* node") for word in line.split(" = ")[1].split()]
    left_out = [word for line in lines if line.startswith("* left out") for word in line.split(": ")[1].split()]
    assert sorted(named + left_out) == sorted(machine.settled.network.node)
    assert left_out == []
    machine.move("unplug=S1")
    machine.move("unplug=P1")
    left_out = [line for line in deck(machine).splitlines() if line.startswith("* left out")]
    assert left_out == ["* left out, no way to FRAME: S1:2 P1:1"]
    assert lines[-2:] == [".op", ".end"]
