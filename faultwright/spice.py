"""A deck that ngspice runs: the network as it has settled, contacts and diodes frozen.

Every node is named in a comment. What nothing connects to FRAME has no voltage against it: a part of the
circuit with a source of its own is tied to FRAME by 1 GΩ, the rest is left out.
"""

from __future__ import annotations

from collections.abc import Iterator

from .electrics import Settled
from .machine import Machine
from .network import Network

TIE = 1e9
"""Ω that ties a floating part of the circuit, with a source in it, to FRAME."""


def deck(machine: Machine) -> str:
    """Return the deck of a machine as it stands, ending in ``.op`` and ``.end``."""
    settled = machine.settled
    network = settled.network
    kept = _kept_nodes(network, settled)
    state = ", ".join(f"{control}={position}" for control, position in machine.state.items())
    lines = [f"* {machine.circuit.name}: {machine.circuit.title}".replace("\n", " "), f"* controls: {state or 'none'}"]
    lines += [f"* node {node} = {' '.join(names)}" for node, names in _names(network).items() if node in kept]
    left_out = [name for node, names in _names(network).items() if node not in kept for name in names]
    if left_out:
        lines.append(f"* left out, no way to FRAME: {' '.join(left_out)}")
    lines += _elements(network, settled, kept)
    return "\n".join([*lines, ".op", ".end"]) + "\n"


def _names(network: Network) -> dict[int, list[str]]:
    """Return node number → the terminals at it, every node once."""
    found: dict[int, list[str]] = {node: [] for node in range(len(network.names))}
    for terminal, node in network.node.items():
        found[node].append(terminal)
    return {node: names or [network.names[node]] for node, names in found.items()}


def _kept_nodes(network: Network, settled: Settled) -> dict[int, int]:
    """Return the nodes that have a voltage, each with the node of its island at 0 V: FRAME, or the tied one."""
    kept = {node: 0 for node in range(len(network.names)) if _joined(network, settled, 0, node)}
    for index, branch in enumerate(network.branches):
        if branch.emf and settled.conductances[index] and branch.a not in kept:
            island = [node for node in range(len(network.names)) if _joined(network, settled, branch.a, node)]
            kept |= dict.fromkeys(island, branch.a)
    return kept


def _joined(network: Network, settled: Settled, start: int, end: int) -> bool:
    return start == end or network.joined(settled.conductances, start, end)


def _elements(network: Network, settled: Settled, kept: dict[int, int]) -> Iterator[str]:
    """Yield a resistor for every conducting branch, with a voltage source in series where it has an emf."""
    for node in sorted(set(kept.values()) - {0}):
        yield f"Rtie{node} {node} 0 {TIE:.17g}"
    for index, branch in enumerate(network.branches):
        conductance, emf = float(settled.conductances[index]), float(settled.emfs[index])
        if not conductance or branch.a not in kept or branch.a == branch.b:
            continue
        yield f"* {branch.name}"
        if emf:
            inner = f"{branch.a}e{index}"
            yield f"V{index} {inner} {branch.a} DC {emf:.17g}"
            yield f"R{index} {inner} {branch.b} {1 / conductance:.17g}"
        else:
            yield f"R{index} {branch.a} {branch.b} {1 / conductance:.17g}"


def deck_voltages(machine: Machine) -> dict[int, float]:
    """Return node number → voltage in V of the nodes in the deck, as this solver finds them, FRAME left out."""
    settled = machine.settled
    volts = settled.voltages
    return {
        node: float(volts[node] - volts[zero]) for node, zero in _kept_nodes(settled.network, settled).items() if node
    }
