"""Ambiguity groups of a whole circuit: which faults no measurement worth making tells apart.

Worked out once a circuit, free values at their usual ones. Faults that a test separates need not be looked at
again, so the measurements run through the groups and only what is still together is measured further.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from typing import Any

from faultwright.candidates import hand_probes, isolation, resistance_probes, voltage_probes
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.faults import Fault, universe
from faultwright.machine import Machine
from faultwright.meter import Probe, Reading, agree, read
from faultwright.moves import control_moves

Groups = list[list[str]]
Shown = Reading | Mapping[str, Any]


@lru_cache(maxsize=16)
def group_numbers(circuit_text: str) -> Mapping[str, int]:
    """Return the number of the ambiguity group of every fault of the circuit written in ``circuit_text``."""
    circuit = parse_circuit(circuit_text)
    groups = _groups(circuit, universe(circuit).values())
    return {name: number for number, names in enumerate(groups) for name in names}


def _groups(circuit: Circuit, faults: Iterable[Fault]) -> Groups:
    machines = {fault.name: (fault,) for fault in faults}
    groups: Groups = [list(machines)]
    # The last positions first: there most of a machine is at work, so most faults part there.
    for state in reversed(list(circuit.states())):
        together = [name for names in groups if len(names) > 1 for name in names]
        if not together:
            break
        standing = {name: _brought_to(circuit, machines[name], state) for name in together}
        groups = _parted(groups, lambda name, standing=standing: standing[name].seen())  # type: ignore[misc]
        groups = _parted_by(groups, standing, voltage_probes(circuit))
        for machine in standing.values():
            for move in isolation(circuit):
                machine.move(move)
        groups = _parted_by(groups, standing, resistance_probes(circuit))
        groups = _parted_by(groups, standing, hand_probes(circuit))
    return groups


def _brought_to(circuit: Circuit, faults: tuple[Fault, ...], state: dict[str, str]) -> Machine:
    machine = Machine(circuit, faults)
    for move in control_moves(circuit, machine.state, state):
        machine.move(move)
    return machine


def _parted_by(groups: Groups, standing: Mapping[str, Machine], probes: Iterable[Probe]) -> Groups:
    for probe in probes:
        groups = _parted(groups, lambda name, probe=probe: read(standing[name], probe))  # type: ignore[misc]
    return groups


def _parted(groups: Groups, shown: Callable[[str], Shown]) -> Groups:
    """Part each group into those that show the same as their first."""
    found: Groups = []
    for names in groups:
        if len(names) == 1:
            found.append(names)
            continue
        parts: list[tuple[Shown, list[str]]] = []
        for name in names:
            one = shown(name)
            for other, part in parts:
                if same(other, one):
                    part.append(name)
                    break
            else:
                parts.append((one, [name]))
        found += [part for _, part in parts]
    return found


def same(one: Shown, other: Shown) -> bool:
    """Say whether two readings, or two looks at the machine, show the same."""
    if isinstance(one, Reading) and isinstance(other, Reading):
        return agree(one, other)
    return one == other
