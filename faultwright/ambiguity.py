"""Ambiguity groups: faults that no measurement worth making tells apart.

Faults that one measurement separates need not be measured again, so the measurements run through the groups
and only what is still together is measured further.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from .candidates import hand_probes, isolation, resistance_probes, voltage_probes, worth_reaching
from .circuit import Circuit
from .faults import Fault
from .machine import Machine
from .meter import Probe, Reading, agree, read
from .moves import control_moves

Shown = Reading | Mapping[str, Any]
"""What a measurement shows: a reading, or what the machine is seen to do."""

_Groups = list[list[str]]


def ambiguity_groups(circuit: Circuit, faults: Iterable[Fault]) -> _Groups:
    """Return the names of the faults in groups, both in the order of ``faults``.

    Volts and a look in every control state, ohms with the sources isolated, and every part in the hand.
    """
    hypotheses = {fault.name: (fault,) for fault in faults}
    groups: _Groups = [list(hypotheses)] if hypotheses else []
    # The last positions first: there most of a machine is at work, so most faults part there.
    for state in reversed(worth_reaching(circuit, circuit.rest())):
        together = [name for names in groups if len(names) > 1 for name in names]
        if not together:
            break
        standing = {name: _brought_to(circuit, hypotheses[name], state) for name in together}
        groups = _parted(groups, lambda name, standing=standing: standing[name].seen())  # type: ignore[misc]
        groups = _parted_by(groups, standing, voltage_probes(circuit))
        for machine in standing.values():
            for move in isolation(circuit):
                machine.move(move)
        groups = _parted_by(groups, standing, resistance_probes(circuit))
        groups = _parted_by(groups, standing, hand_probes(circuit))
    place = {name: number for number, name in enumerate(hypotheses)}
    return sorted(groups, key=lambda names: place[names[0]])


def signature(circuit: Circuit, faults: tuple[Fault, ...]) -> list[Shown]:
    """Return what every one of these measurements shows with these faults, in one fixed order."""
    found: list[Shown] = []
    for state in worth_reaching(circuit, circuit.rest()):
        machine = _brought_to(circuit, faults, state)
        found.append(machine.seen())
        found += [read(machine, probe) for probe in voltage_probes(circuit)]
        for move in isolation(circuit):
            machine.move(move)
        found += [read(machine, probe) for probe in resistance_probes(circuit)]
        found += [read(machine, probe) for probe in hand_probes(circuit)]
    return found


def same(one: Shown, other: Shown) -> bool:
    """Say whether two readings, or two looks at the machine, show the same."""
    if isinstance(one, Reading) and isinstance(other, Reading):
        return agree(one, other)
    return one == other


def _brought_to(circuit: Circuit, faults: tuple[Fault, ...], state: dict[str, str]) -> Machine:
    machine = Machine(circuit, faults)
    for move in control_moves(circuit, machine.state, state):
        machine.move(move)
    return machine


def _parted_by(groups: _Groups, standing: Mapping[str, Machine], probes: Iterable[Probe]) -> _Groups:
    for probe in probes:
        groups = _parted(groups, lambda name, probe=probe: read(standing[name], probe))  # type: ignore[misc]
    return groups


def _parted(groups: _Groups, shown: Callable[[str], Shown]) -> _Groups:
    """Part each group into those that show the same as their first."""
    found: _Groups = []
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
