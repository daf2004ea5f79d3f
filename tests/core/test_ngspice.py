"""The exported deck, run by ngspice as it stands: an outside program finds the same node voltages."""

from __future__ import annotations

import os
import shutil
import struct
import subprocess
from pathlib import Path
from typing import NoReturn

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from faultwright.circuit_file import parse_circuit
from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright.solve import Settled
from faultwright.spice import deck, deck_voltages
from tests.core.strategies import Day, days

IN_CI = os.environ.get("CI", "").lower() in {"1", "true"}

RELATIVE, ABSOLUTE = 1e-6, 1e-9
"""How well node voltages in V must agree. Measured over 31,218 nodes of 2,000 random circuits with up to two faults:
at worst 0.7 % of what is allowed."""


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


@pytest.fixture(scope="session")
def ngspice() -> str:
    """Return the ngspice to run: missing in CI it is a failure, elsewhere the tests are skipped and say so."""
    found = shutil.which("ngspice")
    if found is None:
        _without_ngspice()
    return found


def _without_ngspice() -> NoReturn:
    reason = "NGSPICE TESTS DID NOT RUN: there is no ngspice on the path. Install Debian's ngspice, or conda-forge's."
    if IN_CI:
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)


def run(ngspice: str, text: str, folder: Path) -> dict[int, float]:
    """Run a deck in batch mode and return node number → voltage, every digit, from the raw file."""
    source, raw = folder / "deck.cir", folder / "deck.raw"
    source.write_text(text, encoding="utf-8")
    raw.unlink(missing_ok=True)
    done = subprocess.run(
        [ngspice, "-b", "-r", str(raw), str(source)], check=False, capture_output=True, timeout=60, text=True
    )
    assert raw.exists(), f"ngspice wrote no result:\n{done.stdout}\n{done.stderr}\n{text}"
    head, _, data = raw.read_bytes().partition(b"Binary:\n")
    lines = head.decode("utf-8", "replace").splitlines()
    listed = [line.split() for line in lines[lines.index("Variables:") + 1 :] if line.startswith("\t")]
    values = struct.unpack(f"={len(listed)}d", data[: 8 * len(listed)])
    names = [fields[1] for fields in listed]
    return {
        int(name.removeprefix("v(").removesuffix(")")): value
        for name, value in zip(names, values, strict=True)
        if name.startswith("v(") and name[2:-1].isdigit()
    }


def machine_of(day: Day) -> Machine:
    """Return the machine of a day after its moves."""
    machine = Machine(day.circuit, day.faults)
    for move in day.moves:
        machine.move(move)
    return machine


def island(settled: Settled, start: int) -> set[int]:
    """Return the nodes that conducting branches join to ``start``."""
    return {
        node
        for node in range(len(settled.network.names))
        if node == start or settled.network.joined(settled.conductances, start, node)
    }


def tied_nodes(text: str) -> list[int]:
    """Return the nodes that a deck ties to FRAME, one for each island of the circuit."""
    return [int(line.split()[1]) for line in text.splitlines() if line.startswith("Rtie")]


def compare(ngspice: str, machine: Machine, folder: Path) -> None:
    """Compare every node of the deck.

    An island is compared against its tied node: what ngspice finds for that node itself is rounding (1 GΩ times
    what its matrix leaves over of amperes, up to 0.3 mV).
    """
    text = deck(machine)
    ours = deck_voltages(machine)
    if not ours:
        return
    theirs = run(ngspice, text, folder)
    assert set(theirs) == set(ours), "the deck does not hold the nodes that it says it keeps"
    settled = machine.settled
    for tied in [0, *tied_nodes(text)]:
        assert ours.get(tied, 0.0) == 0.0, "the deck has 0 V where it ties an island"
        for node in set(ours) & island(settled, tied):
            found = theirs[node] - (theirs[tied] if tied else 0.0)
            expected = ours[node] - (ours[tied] if tied else 0.0)
            assert found == pytest.approx(expected, rel=RELATIVE, abs=ABSOLUTE), (
                f"{settled.network.names[node]} in\n{text}"
            )


@settings(max_examples=40, phases=[Phase.generate], suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(day=days(most_faults=2))
def test_ngspice_agrees_on_random_circuits(ngspice: str, tmp_path: Path, day: Day) -> None:
    """On random circuits with faults, after random moves, every kept node agrees to 1e-6 of itself or 1 nV."""
    compare(ngspice, machine_of(day), tmp_path)


@pytest.mark.slow
@settings(max_examples=300, phases=[Phase.generate], suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(day=days(most_parts=14, most_faults=2, most_moves=8))
def test_ngspice_agrees_on_many_larger_circuits(ngspice: str, tmp_path: Path, day: Day) -> None:
    """The same on 300 larger circuits."""
    compare(ngspice, machine_of(day), tmp_path)


def test_a_deck_by_hand(ngspice: str, tmp_path: Path) -> None:
    """12 V, 1 Ω inside, a 5 Ω lamp and 2.1 mΩ of contact and wires: the lamp's feed by Ohm's law, here and there."""
    circuit = parse_circuit(LAMP)
    machine = Machine(circuit)
    machine.move("key=on")
    found = run(ngspice, deck(machine), tmp_path)
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


@pytest.mark.parametrize(("text", "faults"), [(LAMP, ["W3 open"]), (LOOSE, [])])
def test_an_island_stands_at_zero_where_the_deck_ties_it(
    ngspice: str, tmp_path: Path, text: str, faults: list[str]
) -> None:
    """Of a circuit that stands nowhere against FRAME, deck and solver agree which node is at 0 V."""
    circuit = parse_circuit(text)
    machine = Machine(circuit, [parse_fault(fault, circuit) for fault in faults])
    written = deck(machine)
    ours, theirs = deck_voltages(machine), run(ngspice, written, tmp_path)
    assert set(ours) == set(theirs)
    (tied,) = tied_nodes(written)
    assert ours[tied] == 0
    for node, voltage in ours.items():
        assert theirs[node] == pytest.approx(voltage, abs=0.05)  # ngspice's rounding, as in compare()


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
