"""Diodes as silicon has them: with an exponential junction in ngspice, every node stays within 50 mV.

Here a diode drops the same volts at every current, and its 20 mΩ. A junction (I ∝ exp(V / 25.9 mV) at 27 °C, Shockley)
drops 59.6 mV more for ten times the current. So with its drop right at one current it is right to 50 mV from a seventh
of that current to seven times as much, 1.7 decades; several diodes that conduct share the 50 mV. Which current that is,
an author decides with ``forward_drop``: tried are 10 mA, 0.1 A and 1 A, together 1.5 mA to 6.9 A. Diodes that are off
count as off where they are well below their drop; just below it a junction conducts already, and those states are not
compared.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from pathlib import Path

import pytest

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit, read_circuit
from faultwright.faults import Fault, universe
from faultwright.machine import Machine
from faultwright.moves import control_moves
from faultwright.parts import Role
from faultwright.spice import deck, deck_voltages

from . import ngspice
from .accuracy import machine_after, random_days
from .strategies import days

pytestmark = pytest.mark.usefixtures("ngspice_there")

THERMAL = 1.380649e-23 * 300.15 / 1.602176634e-19
"""V: k·T/q at 27 °C, ngspice's own temperature (constants of the SI, exact by definition)."""
MATCHED_AT = (0.01, 0.1, 1.0)
"""A at which a junction has the diode's ``forward_drop``."""
WITHIN = 0.05
"""V."""
BELOW = 0.25
"""V below its drop a junction passes 1/16,000 of the current at which it has that drop."""

ROOT = Path(__file__).resolve().parents[2]
RUNABOUT = ROOT / "course" / "faultwright_course" / "circuits" / "runabout.yaml"
LOADER = ROOT / "tests" / "benchmarks" / "yard_loader.yaml"


def with_junctions(machine: Machine, matched_at: float) -> str:
    """Return the machine's deck with a junction in the place of every drop, and one for every diode that is off.

    Contacts stay as they have settled. A diode that leads to nothing is left out: no current can flow in it.
    """
    settled = machine.settled
    network = settled.network
    kept = {0, *deck_voltages(machine)}
    lines: list[str] = []
    models: dict[str, str] = {}

    def junction(index: int, anode: object, cathode: object) -> str:
        drop = network.circuit.parts[network.branches[index].part].number("forward_drop")
        name = f"drop{drop * 1000:.0f}"
        models[name] = f".model {name} D(IS={matched_at / math.expm1(drop / THERMAL):.17g} N=1)"
        return f"D{index} {anode} {cathode} {name}"

    drops = {f"V{index}": index for index in settled.conducting}
    for line in deck(machine).splitlines()[:-2]:  # without .op and .end
        name, inner, *_ = f"{line} ".split(" ")
        index = drops.get(name)
        lines.append(line if index is None else junction(index, network.branches[index].a, inner))
    for index in _off(machine):
        branch = network.branches[index]
        if {branch.a, branch.b} <= kept:
            lines += [junction(index, branch.a, f"d{index}"), f"R{index} d{index} {branch.b} {1 / branch.closed:.17g}"]
    # By its own measure ngspice is content with 0.1 %, which of 12 V is a quarter of what is compared to.
    return "\n".join([*lines, *models.values(), ".options reltol=1e-6", ".op", ".end", ""])


def _off(machine: Machine) -> list[int]:
    """Return the diodes that could conduct and do not."""
    settled = machine.settled
    diodes = settled.network.by_role[Role.DIODE]
    return [index for index in diodes if settled.network.branches[index].closed and index not in settled.conducting]


def comparable(machine: Machine, matched_at: float) -> bool:
    """Say whether a diode conducts, all junctions together stray 50 mV at most, and the other diodes are well off."""
    settled = machine.settled
    network = settled.network
    strays = [THERMAL * abs(math.log(settled.current(index) / matched_at)) for index in settled.conducting]
    off = _off(machine)
    for index in off:
        a, b = network.ends[index]
        others = list(settled.conductances)
        for other in off:
            others[other] = network.branches[other].closed if other != index else 0.0
        if not network.joined(others, a, b):
            continue  # nothing leads back, so no current can flow
        drop = network.circuit.parts[network.branches[index].part].number("forward_drop")
        # Between islands there is no voltage to go by.
        if not network.joined(settled.conductances, a, b) or settled.voltages[a] - settled.voltages[b] > drop - BELOW:
            return False
    return bool(strays) and sum(strays) <= WITHIN


def compare(machines: Iterable[Machine], matched_at: float, folder: Path) -> int:
    """Compare every node that is joined to FRAME; return how many circuits were compared."""
    chosen = [machine for machine in machines if comparable(machine, matched_at)]
    texts = [with_junctions(machine, matched_at) for machine in chosen]
    for machine, text, theirs in zip(chosen, texts, ngspice.run(texts, folder), strict=True):
        settled = machine.settled
        for node, volts in deck_voltages(machine).items():
            if settled.network.joined(settled.conductances, 0, node):
                assert theirs[node] == pytest.approx(volts, abs=WITHIN), f"{settled.network.names[node]} in\n{text}"
    return len(chosen)


def in_every_state(circuit: Circuit, faults: Sequence[Fault] = ()) -> list[Machine]:
    """Return a machine for every control state, moved there from rest."""
    machines = []
    for state in circuit.states():
        machine = Machine(circuit, faults)
        for move in control_moves(circuit, machine.state, state):
            machine.move(move)
        machines.append(machine)
    return machines


@pytest.mark.parametrize(
    ("path", "matched_at", "least"), [(RUNABOUT, 0.01, 20), (RUNABOUT, 0.1, 20), (LOADER, 0.1, 1000)]
)
def test_the_examples_with_junctions(tmp_path: Path, path: Path, matched_at: float, least: int) -> None:
    """The course's circuit and the yard loader, sound and with every eighth fault, in every state.

    The runabout's diode carries 2.5 mA for an input and 0.14 A for a relay: one forward drop cannot be right for both.
    """
    circuit = read_circuit(path)
    chosen = [(), *((fault,) for fault in list(universe(circuit).values())[::8])]
    machines = [machine for faults in chosen for machine in in_every_state(circuit, faults)]
    assert compare(machines, matched_at, tmp_path) >= least


def test_random_circuits_with_junctions(tmp_path: Path) -> None:
    """Random circuits of diodes and what they feed."""
    kinds = ("diode", "diode", "diode", "relay", "solenoid", "lamp", "resistor")
    drawn = random_days(days(kinds=kinds, most_parts=12, most_moves=2), 400, 1)
    machines = [machine_after(day) for day in drawn]
    assert sum(compare(machines, matched_at, tmp_path) for matched_at in MATCHED_AT) >= 20


LOADED = """
circuit: loaded-diode
nominal: 12 V
parts:
  T1: {kind: supply, voltage: 12 V, resistance: 1 µΩ}
  R1: {kind: diode, forward_drop: 0.6 V}
  R2: {kind: resistor, resistance: RESISTANCE}
wires:
  W1: {from: T1:+, to: R1:A, resistance: 1 µΩ}
  W2: {from: R1:K, to: R2:1, resistance: 1 µΩ}
  W3: {from: R2:2, to: FRAME, resistance: 1 µΩ}
  W4: {from: T1:-, to: FRAME, resistance: 1 µΩ}
"""


@pytest.mark.parametrize(("resistance", "decades"), [("114 Ω", 0), ("1.14 kΩ", 1), ("114 kΩ", 3)])
def test_how_far_a_junction_strays(tmp_path: Path, resistance: str, decades: int) -> None:
    """Matched at 0.1 A, a junction drops 59.6 mV less for every tenth of the current (ln 10 · k·T/q, derived).

    So one decade off 50 mV does not hold, three decades off it is 0.18 V.
    """
    machine = Machine(parse_circuit(LOADED.replace("RESISTANCE", resistance)))
    (theirs,) = ngspice.run([with_junctions(machine, 0.1)], tmp_path)
    node = machine.settled.network.node["R2:1"]
    strays = theirs[node] - machine.settled.voltages[node]
    assert strays == pytest.approx(decades * THERMAL * math.log(10), abs=0.001)
    assert (strays <= WITHIN) == (decades == 0)
