"""The measurements worth considering on a circuit, and what they cost in the trade.

Each reachable point to FRAME, and across every wire, joint pair and part; not all pairs. Ohms with the
sources isolated, and parts in the hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from .circuit import FRAME, Circuit, split_terminal
from .meter import OHMS, VOLTS, Probe
from .moves import Move
from .parts import branches, terminals

LOOK, OPERATE, BACK_PROBE, UNPLUG, DISMANTLE = 1.0, 1.0, 2.0, 4.0, 8.0
"""Costs relative to a look at the machine: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A test: ``moves`` from where the machine stands, then a measurement (or, without one, a look)."""

    moves: tuple[Move, ...]
    probe: Probe | None
    cost: float


MOST_STATES = 128
"""Control states that are all tried; more are too many to measure in, for a person and for a machine."""


def worth_reaching(circuit: Circuit, state: Mapping[str, str], most: int = MOST_STATES) -> list[dict[str, str]]:
    """Return the control states worth measuring in.

    All; with more than ``most`` of them, those one control away from ``state`` or from the one with every
    control in its last position.
    """
    controls = circuit.controls.values()
    if circuit.state_count <= most:
        return list(circuit.states())
    last = {control.name: control.positions[-1] for control in controls}
    near = [
        {**start, control.name: position}
        for start in (state, last)
        for control in controls
        for position in control.positions
    ]
    return [found for place, found in enumerate(near) if found not in near[:place]][:most]


def reachable(circuit: Circuit) -> tuple[str, ...]:
    """Return the terminals that can be probed with everything mated, FRAME left out."""
    listed = [terminal for part in circuit.parts.values() for terminal in terminals(part)]
    return tuple(
        terminal
        for terminal in listed
        if terminal in circuit.wired and (not circuit.reach or circuit.reach.get(terminal) == "")
    )


def sources(circuit: Circuit) -> tuple[str, ...]:
    """Return the parts that are isolated before ohms are taken."""
    return tuple(part.name for part in circuit.parts.values() if part.kind in ("battery", "supply"))


def isolation(circuit: Circuit) -> tuple[Move, ...]:
    """Return the moves that isolate every source."""
    return tuple(Move("unplug", name) for name in sources(circuit))


def voltage_probes(circuit: Circuit) -> Iterator[Probe]:
    """Yield volts of every reachable point to FRAME, then across every wire and every part's branches."""
    points = set(reachable(circuit))
    yield from (Probe(VOLTS, terminal, FRAME) for terminal in reachable(circuit))
    yield from (Probe(VOLTS, red, black) for red, black in _pairs(circuit) if {red, black} <= points)


def resistance_probes(circuit: Circuit) -> Iterator[Probe]:
    """Yield ohms across every wire and every part's branches, for a machine that is isolated."""
    points = {*reachable(circuit), FRAME}
    yield from (Probe(OHMS, red, black) for red, black in _pairs(circuit) if {red, black} <= points)


def hand_probes(circuit: Circuit) -> Iterator[Probe]:
    """Yield ohms across every branch of a part in the hand; sources and fixed joints are left where they are."""
    for part in circuit.parts.values():
        if part.kind in ("battery", "supply", "ground", "splice", "input"):
            continue
        for branch in branches(part):
            yield Probe(OHMS, branch.a, branch.b, alone=part.name)


def _pairs(circuit: Circuit) -> Iterator[tuple[str, str]]:
    """Both ends of every wire and of every branch inside a part, each pair once."""
    seen: set[frozenset[str]] = set()
    for wire in circuit.wires.values():
        yield from _once(seen, wire.start, wire.end)
    for part in circuit.parts.values():
        for branch in branches(part):
            if split_terminal(branch.b)[1]:
                yield from _once(seen, branch.a, branch.b)


def _once(seen: set[frozenset[str]], red: str, black: str) -> Iterator[tuple[str, str]]:
    if frozenset((red, black)) not in seen:
        seen.add(frozenset((red, black)))
        yield red, black
