"""Circuits as textbooks write them, and printed numbers, for the checks against outside sources."""

from __future__ import annotations

from collections.abc import Sequence

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.machine import Machine

NOTHING = "1 µΩ"
"""Stands for the ideal sources and wires of a textbook; it changes no printed digit."""


def close_to(printed: str, value: float) -> bool:
    """Say whether a value rounds to a printed number, give or take one hundredth of its last digit."""
    decimals = len(printed.partition(".")[2])
    return bool(abs(value - float(printed)) <= 0.505 * 0.1**decimals)


def netlist(*lines: str) -> Circuit:
    """Return a circuit of sources and resistors: ``V1 1 0 9`` (9 V from node 0 to node 1), ``R1 1 2 3k`` (3 kΩ).

    Node 0 is FRAME; each other node is a splice.
    """
    parts: list[str] = []
    wires: list[str] = []
    ways: dict[str, int] = {}
    for line in lines:
        name, first, second, value = line.split()
        if name.startswith("V"):
            pins = "+", "-"
            parts.append(f"  {name}: {{kind: supply, voltage: {value} V, resistance: {NOTHING}}}")
        else:
            pins = "1", "2"
            number, prefix = (value[:-1], value[-1]) if value[-1] in "kM" else (value, "")
            parts.append(f"  {name}: {{kind: resistor, resistance: {number} {prefix}Ω}}")
        for pin, node in zip(pins, (first, second), strict=True):
            ways[node] = ways.get(node, 0) + 1
            end = "FRAME" if node == "0" else f"N{node}:{ways[node]}"
            wires.append(f'  W{len(wires) + 1}: {{from: "{name}:{pin}", to: "{end}", resistance: {NOTHING}}}')
    parts += [f"  N{node}: {{kind: splice, ways: {count}}}" for node, count in ways.items() if node != "0"]
    return parse_circuit("\n".join(["circuit: textbook", "parts:", *parts, "wires:", *wires]))


def drops(machine: Machine, names: str) -> list[float]:
    """Return the voltages in V from pin 1 to pin 2 of the named resistors."""
    return [float(machine.settled.voltage(f"{n}:1") - machine.settled.voltage(f"{n}:2")) for n in names.split()]


def currents(machine: Machine, names: str) -> list[float]:
    """Return the currents in A through the named parts, into pin 1 of a resistor and out of ``+`` of a source."""
    index = {branch.name: number for number, branch in enumerate(machine.solver.network.branches)}
    return [float(machine.settled.current(index[name])) for name in names.split()]


def agree(values: Sequence[float], printed: str) -> bool:
    """Say whether values round to printed numbers, one for one."""
    return all(close_to(number, value) for value, number in zip(values, printed.split(), strict=True))


def wire_ohms(entries: str) -> float:
    """Return the resistance in Ω that a circuit file gives a wire with these entries."""
    text = f"""
circuit: reel
parts: {{G1: {{kind: battery}}}}
wires: {{W1: {{from: "G1:+", to: "G1:-", {entries}}}}}
"""
    return parse_circuit(text).wires["W1"].resistance
