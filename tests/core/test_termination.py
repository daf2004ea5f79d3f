"""Settling ends: the bounds that ``solve.py`` and ``electrics.py`` state, by counting how often the program runs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import event, given, settings

from faultwright import electrics
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.electrics import MOST_FLIPS_PER_DIODE, MOST_WARMINGS, Settled
from faultwright.elimination import Program
from faultwright.errors import Refused
from faultwright.machine import Machine
from faultwright.solve import Meter, Solver

from .strategies import ALL_KINDS, Day, days


class Counting(Solver):
    """A solver that counts how often the compiled program runs."""

    runs = 0

    def program(self, meter: Meter | None) -> Program:
        """Return the program, counting."""
        program = super().program(meter)

        def counting(conductances: Any, given_emfs: Any) -> tuple[Any, ...]:  # noqa: ANN401 - as Program
            self.runs += 1
            return program(conductances, given_emfs)

        return counting


def counted(machine: Machine) -> tuple[Settled, int]:
    """Settle a machine as it stands from all relays released and fuses sound; return it and the number of runs."""
    solver = Counting(machine.solver.network)
    return solver.settle(machine.positions(), {}), solver.runs


def circuit(parts: Sequence[str], wires: Sequence[str]) -> Circuit:
    """Return a circuit of parts and wires, each as a file writes it."""
    lines = [f"  {line}" for line in parts]
    ends = [f"  W{number}: {{{line}, resistance: 1 mΩ}}" for number, line in enumerate(wires, start=1)]
    return parse_circuit("\n".join(["circuit: yard", "nominal: 12 V", "parts:", *lines, "wires:", *ends, ""]))


# One loop at a time, each at its bound


@pytest.mark.parametrize("count", [1, 2, 5, 20])
def test_fuses_only_open(count: int) -> None:
    """Fuses side by side on a short, each larger than the one before: they open one a round, and then nothing flows."""
    parts = ["G1: {kind: battery}", *(f"F{n}: {{kind: fuse, rating: {n} A}}" for n in range(1, count + 1))]
    wires = [end for n in range(1, count + 1) for end in (f"from: G1:+, to: F{n}:1", f"from: F{n}:2, to: G1:-")]
    settled, runs = counted(Machine(circuit(parts, wires)))
    assert len(settled.blown) == count
    assert runs == count + 1


@pytest.mark.parametrize("count", [1, 2, 5, 20])
def test_motors_only_start(count: int) -> None:
    """Motors in a row, each that turns giving the next enough to turn: one starts a round."""
    parts = ["T1: {kind: supply, voltage: 12 V}"]
    for n in range(1, count + 1):
        # n - 1 motors turn at 1 Ω, the others stand at 2 Ω: what flows then is just enough for the n-th.
        flowing = 12 / (2 * count - (n - 1) + 1)
        parts.append(f"M{n}: {{kind: motor, resistance: 2 Ω, running: 12 A, turns_from: {flowing * 0.99:.9f} A}}")
    ends = ["T1:+", *(f"M{n}:{pin}" for n in range(1, count + 1) for pin in (1, 2)), "R1:1"]
    parts.append("R1: {kind: resistor, resistance: 0.98 Ω}")
    wires = [f"from: {a}, to: {b}" for a, b in zip(ends[::2], ends[1::2], strict=True)] + ["from: R1:2, to: T1:-"]
    settled, runs = counted(Machine(circuit(parts, wires)))
    assert len(settled.turning) == count
    assert runs == count + 1


def test_relay_patterns_repeat() -> None:
    """A relay that interrupts its own coil: both its states are settled once, the third round is known already."""
    parts = ["G1: {kind: battery}", "K1: {kind: relay}"]
    wires = ["from: G1:+, to: K1:30", "from: K1:87a, to: K1:86", "from: K1:85, to: G1:-"]
    settled, runs = counted(Machine(circuit(parts, wires)))
    assert settled.buzzing == {"K1"}
    assert runs == 2


@pytest.mark.parametrize("count", [1, 3, 10])
def test_relays_pull_in_one_by_one(count: int) -> None:
    """A chain of relays, each fed through the one before: one more is in after each round, and a last one settles."""
    parts = ["G1: {kind: battery}", *(f"K{n}: {{kind: relay}}" for n in range(1, count + 1))]
    wires = ["from: G1:+, to: K1:86"]
    for n in range(1, count + 1):
        wires += [f"from: K{n}:85, to: G1:-", f"from: G1:+, to: K{n}:30"]
        if n < count:
            wires.append(f"from: K{n}:87, to: K{n + 1}:86")
    settled, runs = counted(Machine(circuit(parts, wires)))
    assert all(settled.relays.values())
    assert runs == count + 1


def test_filaments_settle_long_before_their_bound() -> None:
    """Each step leaves 0.45 of the way at most, so 1e-13 of a resistance is reached in 38 (0.45**38 = 7e-14)."""
    lamps = [f"P{n}: {{kind: lamp, filament: on, power: {5 * n} W}}" for n in range(1, 4)]
    parts = ["G1: {kind: battery}", "R1: {kind: resistor, resistance: 5 Ω}", *lamps]
    wires = ["from: G1:+, to: R1:1", "from: R1:2, to: P1:1", "from: P1:2, to: P2:1", "from: P1:2, to: P3:1"]
    wires += ["from: P2:2, to: G1:-", "from: P3:2, to: G1:-"]
    _, runs = counted(Machine(circuit(parts, wires)))
    assert 3 < runs <= 45 < MOST_WARMINGS


# Diodes


def bridge(plus: str, minus: str) -> Machine:
    """Return a bridge rectifier between the two poles of a battery."""
    parts = ["G1: {kind: battery}", *(f"R{n}: {{kind: diode}}" for n in range(1, 5)), "P1: {kind: lamp}"]
    wires = [
        f"from: {plus}, to: R1:A",
        f"from: {plus}, to: R2:K",
        f"from: {minus}, to: R3:A",
        f"from: {minus}, to: R4:K",
    ]
    wires += ["from: R1:K, to: P1:1", "from: R3:K, to: P1:1", "from: R2:A, to: P1:2", "from: R4:A, to: P1:2"]
    return Machine(circuit(parts, wires))


DIODES_AND_MORE = (*("diode",) * 5, "resistor", "solenoid", "switch", "splice", "ground")


@settings(max_examples=100)
@given(days(kinds=DIODES_AND_MORE, most_parts=10))
def test_diodes_settle_within_their_flips(day: Day) -> None:
    """Never more than 16 flips a diode, and one run more to let go of idle ones; seldom more than one flip a diode."""
    machine = Machine(day.circuit, day.faults)
    for move in day.moves:
        machine.move(move)
    settled, runs = counted(machine)
    diodes = len(machine.solver.electrics.diodes)
    event(f"{len(settled.conducting)} of {diodes} conduct after {runs} runs")
    assert runs <= 1 + MOST_FLIPS_PER_DIODE * diodes + 1


@settings(max_examples=60)
@given(days(kinds=DIODES_AND_MORE, most_parts=8))
def test_trying_every_pattern_finds_the_same(day: Day) -> None:
    """With no flips to speak of all patterns are tried, 2**diodes at most, and the same diodes conduct in the end."""
    machine = Machine(day.circuit, day.faults)
    for move in day.moves:
        machine.move(move)
    settled, _ = counted(machine)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(electrics, "MOST_FLIPS_PER_DIODE", 0)
        tried, runs = counted(machine)
    assert tried.conducting == settled.conducting
    assert tried.voltages == pytest.approx(settled.voltages, abs=1e-12)
    assert runs <= 2 + 2 ** len(machine.solver.electrics.diodes) + 1


@pytest.mark.parametrize(
    ("plus", "minus", "conducting", "patterns"), [("G1:+", "G1:-", ["R1", "R4"], 10), ("G1:-", "G1:+", ["R2", "R3"], 7)]
)
def test_a_bridge_of_diodes_by_flips_and_by_patterns(
    monkeypatch: pytest.MonkeyPatch, plus: str, minus: str, conducting: list[str], patterns: int
) -> None:
    """Two of four conduct: two flips find them; patterns from 0000 up meet 1001 as the 10th, 0110 as the 7th."""
    machine = bridge(plus, minus)
    settled, runs = counted(machine)
    assert [settled.network.branches[index].part for index in sorted(settled.conducting)] == conducting
    assert runs == 1 + 2
    monkeypatch.setattr(electrics, "MOST_FLIPS_PER_DIODE", 0)
    assert counted(machine)[1] == 2 + patterns


def test_diodes_that_find_no_state_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where neither flips nor patterns are left the circuit is refused, in words that name its diodes."""
    monkeypatch.setattr(electrics, "MOST_FLIPS_PER_DIODE", 0)
    monkeypatch.setattr(electrics, "MOST_DIODES_TRIED", 0)
    with pytest.raises(Refused) as refused:
        counted(bridge("G1:+", "G1:-"))
    assert str(refused.value) == "yard: these diodes find no state in which all agree: R1, R2, R3, R4"


# All loops together


@settings(max_examples=100)
@given(days(kinds=ALL_KINDS, most_faults=2))
def test_the_loops_together_stay_within_the_product_of_their_bounds(day: Day) -> None:
    """Every fuse, for it every relay pattern, for it every motor or warming, for it every flip."""
    machine = Machine(day.circuit, day.faults)
    for move in day.moves:
        machine.move(move)
    _, runs = counted(machine)
    solver = machine.solver
    found = solver.electrics
    flips = 2 + MOST_FLIPS_PER_DIODE * len(found.diodes)
    rounds = len(found.motors) + (MOST_WARMINGS if found.filaments else 1)
    event(f"{runs // 10 * 10} runs and more")
    assert runs <= (len(solver.fuses) + 1) * 2 ** len(solver.relays) * (rounds * flips + 1)
