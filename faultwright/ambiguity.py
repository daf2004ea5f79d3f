"""Ambiguity groups: faults that no measurement worth making tells apart.

Faults that one measurement separates need not be measured again, so the measurements run through the groups
and only what is still together is measured further.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from .candidates import hand_probes, isolation, resistance_probes, voltage_probes, worth_reaching
from .circuit import Circuit
from .faults import Fault
from .in_step import Machines
from .lane_meter import Shown, agreeing
from .lane_readings import readings
from .machine import Machine
from .meter import Probe, Reading, agree, read
from .moves import control_moves

Shows = Reading | Mapping[str, Any]
"""What a measurement shows: a reading, or what the machine is seen to do."""


def ambiguity_groups(circuit: Circuit, faults: Iterable[Fault]) -> list[list[str]]:
    """Return the names of the faults in groups, both in the order of ``faults``.

    Volts and a look in every control state, ohms with the sources isolated, and every part in the hand.
    """
    hypotheses = {fault.name: (fault,) for fault in faults}
    names = list(hypotheses)
    groups = [list(range(len(names)))] if names else []
    machines = Machines(circuit, list(hypotheses.values()), few=0)
    # The last positions first: there most of a machine is at work, so most faults part there.
    for state in reversed(worth_reaching(circuit, circuit.rest())):
        together = _together(groups)
        if not together:
            break
        machines.keep(np.flatnonzero(np.isin(machines.hypothesis, together)))
        standing = machines.spread([control_moves(circuit, circuit.rest(), state)])
        groups = _parted_by_a_look(groups, standing)
        groups = _parted_by(groups, standing, voltage_probes(circuit))
        for move in isolation(circuit):
            standing.move(move)
        groups = _parted_by(groups, standing, resistance_probes(circuit))
        groups = _parted_by(groups, standing, hand_probes(circuit))
    return [[names[number] for number in group] for group in sorted(groups)]


def cannot_be_told_apart(circuit: Circuit, one: tuple[Fault, ...], other: tuple[Fault, ...]) -> bool:
    """Say whether each of these measurements shows the same with some faults as with others."""
    return all(map(same, _shown(circuit, one), _shown(circuit, other)))


def _shown(circuit: Circuit, faults: tuple[Fault, ...]) -> Iterator[Shows]:
    """Yield what every one of these measurements shows with these faults, in one fixed order."""
    for state in worth_reaching(circuit, circuit.rest()):
        machine = _brought_to(circuit, faults, state)
        yield machine.seen()
        yield from (read(machine, probe) for probe in voltage_probes(circuit))
        for move in isolation(circuit):
            machine.move(move)
        yield from (read(machine, probe) for probe in (*resistance_probes(circuit), *hand_probes(circuit)))


def same(one: Shows, other: Shows) -> bool:
    """Say whether two readings, or two looks at the machine, show the same."""
    if isinstance(one, Reading) and isinstance(other, Reading):
        return agree(one, other)
    return one == other


def _brought_to(circuit: Circuit, faults: tuple[Fault, ...], state: dict[str, str]) -> Machine:
    machine = Machine(circuit, faults)
    for move in control_moves(circuit, machine.state, state):
        machine.move(move)
    return machine


def _together(groups: Iterable[Sequence[int]]) -> list[int]:
    """Return the hypotheses that are not alone in their group, rising."""
    return sorted(number for group in groups if len(group) > 1 for number in group)


def _parted_by_a_look(groups: list[list[int]], standing: Machines) -> list[list[int]]:
    """Part each group into those of which the same is seen."""
    row = {number: place for place, number in enumerate(standing.hypothesis.tolist())}
    found: list[list[int]] = []
    for group in groups:
        parts: dict[tuple[int, ...], list[int]] = {}
        for number in group:
            looks = tuple(int(codes[row[number]]) for codes in standing.seen.values()) if len(group) > 1 else ()
            parts.setdefault(looks, []).append(number)
        found += parts.values()
    return found


def _parted_by(groups: list[list[int]], standing: Machines, probes: Iterable[Probe]) -> list[list[int]]:
    """Part each group into those that show the same as their first, probe by probe."""
    listed, together = list(probes), _together(groups)
    if not listed or not together:
        return groups
    row = {number: place for place, number in enumerate(together)}
    machine = np.flatnonzero(np.isin(standing.hypothesis, together))
    which = np.repeat(np.arange(len(listed)), len(together))
    shown = readings(standing, np.tile(machine, len(listed)), listed, which)
    found: list[list[int]] = [group for group in groups if len(group) == 1]
    waiting = [(group, 0) for group in groups if len(group) > 1]
    while waiting:
        group, probe = waiting.pop()
        after = np.arange(probe, len(listed))[:, None] * len(together)
        first, others = after + row[group[0]], after + np.array([row[number] for number in group])
        apart = np.flatnonzero(~agreeing(shown, first, others).all(axis=1))
        if not len(apart):
            found.append(group)
            continue
        probe += int(apart[0])
        start = probe * len(together)
        for part in _alike(shown, group, [start + row[number] for number in group]):
            if len(part) > 1:
                waiting.append((part, probe + 1))
            else:
                found.append(part)
    return found


def _alike(shown: Shown, group: Sequence[int], places: Sequence[int]) -> list[list[int]]:
    """Part a group into those whose reading agrees with that of their part's first."""
    parts: list[tuple[int, list[int]]] = []
    for number, place in zip(group, places, strict=True):
        for first, part in parts:
            if agreeing(shown, np.array(first), np.array(place)):
                part.append(number)
                break
        else:
            parts.append((place, [number]))
    return [part for _, part in parts]
