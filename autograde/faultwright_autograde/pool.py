"""The pool: which faults of a circuit a blueprint's complaint shows, and which can be set up safely."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from faultwright.circuit import Circuit
from faultwright.errors import Mistake, Refused
from faultwright.faults import Fault, universe
from faultwright.machine import Machine
from faultwright.moves import control_moves
from faultwright.record import Action, Observed
from faultwright.workshop.dangers import SetUpRule

from .blueprint import Blueprint, Complaint


def complaint_actions(circuit: Circuit, faults: Iterable[Fault], complaint: Complaint) -> list[Action]:
    """Return the complaint as a record's actions: each move, and what these faults then show."""
    machine = Machine(circuit, faults)
    found: list[Action] = [] if complaint.moves else [_look(machine, complaint)]
    for move in complaint.moves:
        machine.move(move)
        found += [move, _look(machine, complaint)]
    return found


def _look(machine: Machine, complaint: Complaint) -> Observed:
    seen = machine.seen()
    return Observed({name: seen[name] for name in complaint.see})


def is_shown(circuit: Circuit, fault: Fault, complaint: Complaint) -> bool:
    """Say whether the complaint tells a machine with this fault from a sound one."""
    return complaint_actions(circuit, [fault], complaint) != complaint_actions(circuit, [], complaint)


def is_safe(circuit: Circuit, fault: Fault) -> bool:
    """Say whether a fault could be set up on a real machine: no guard defeated, no current that no fuse ends."""
    return not SetUpRule(circuit).dangers(fault)


def everywhere(circuit: Circuit, faults: Sequence[Fault]) -> Iterator[Machine]:
    """Yield the machine in every control state, each reached from rest."""
    for state in circuit.states():
        machine = Machine(circuit, faults)
        for move in control_moves(circuit, machine.state, state):
            machine.move(move)
        yield machine


def middle_value(blueprint: Blueprint, fault: Fault) -> Fault:
    """Return the fault at the middle of the values that it may take."""
    if fault.value is None:
        return fault
    least, most = blueprint.value_range(fault)
    return replace(fault, value=math.sqrt(least * most))


def pool(blueprint: Blueprint) -> list[Fault]:
    """Return the faults that papers are made of, in the order of the circuit's file.

    Raises Refused where a fault that is listed by name does not fit, or where none fits.
    """
    circuit, selection = blueprint.circuit, blueprint.selection
    rule = SetUpRule(circuit)
    found: list[Fault] = []
    mistakes: list[Mistake] = []
    for fault in universe(circuit).values():
        if not selection.selects(fault):
            continue
        middle = middle_value(blueprint, fault)
        shown = is_shown(circuit, middle, blueprint.complaint)
        if shown and not rule.dangers(middle):
            found.append(fault)
        elif fault.name in selection.names:
            why = "it could not be set up safely" if shown else "the complaint does not show it"
            mistakes.append(Mistake(f"faults, names: {fault.name} cannot be in the pool, for {why}", blueprint.place))
    if not found and not mistakes:
        mistakes.append(Mistake("no selected fault is shown by the complaint and safe to set up", blueprint.place))
    if mistakes:
        raise Refused(mistakes)
    return found
