"""What is seen of the machine in lanes: as ``behaviour.py`` says, one numpy element an operating point, in codes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from .behaviour import LAMP_DIM_FROM, LAMP_LIT_FROM, Seen
from .circuit import LATCHED, Behaviour, Circuit, Part
from .lane_networks import LaneSolver, Numbers, Truths, between
from .lanes import Settlement
from .network import Network
from .parts import Role, lamp_resistance

UNCLEAR = -1
"""Code of a behaviour that changes without end."""

Codes = NDArray[np.int8]


def code(value: Seen) -> int:
    """Return the code of something seen, as in :class:`faultwright.dictionary.Block`."""
    return {None: UNCLEAR, "off": 0, "dim": 1, "lit": 2}.get(value, int(value is True))  # type: ignore[arg-type]


def seen_of(number: int, behaviour: Behaviour) -> Seen:
    """Return what a code stands for."""
    if number == UNCLEAR:
        return None
    return ("off", "dim", "lit")[number] if behaviour.kind == "lamp" else number == 1


def seen_in_lanes(
    solver: LaneSolver,
    settlement: Settlement,
    states: Sequence[Mapping[str, str]],
    before: Mapping[str, Truths] | None = None,
) -> dict[str, Codes]:
    """Return the codes of every behaviour in the settled lanes of a settlement.

    ``states`` are control states, numbered as the settlement's are; ``before`` the latched behaviours before the move,
    one element a settled lane: none of them at rest.
    """
    found: dict[str, Codes] = {}
    for behaviour in solver.network.circuit.behaviour.values():
        if behaviour.kind == LATCHED:
            begun = (before or {}).get(behaviour.name, np.zeros(len(settlement.lanes), dtype=bool))
            found[behaviour.name] = _latched(solver.network.circuit, behaviour, found, states, settlement.states, begun)
        else:
            found[behaviour.name] = _part_seen(solver, settlement, solver.network.circuit.parts[behaviour.part])
    return found


def _latched(  # noqa: PLR0913, PLR0917 - what a latch follows from
    circuit: Circuit,
    behaviour: Behaviour,
    seen: Mapping[str, Codes],
    states: Sequence[Mapping[str, str]],
    state: Numbers,
    before: Truths,
) -> Codes:
    """A latched behaviour keeps while it may, and begins where all its entries hold."""

    def hold(entries: Sequence[str]) -> Truths:
        now = np.ones(len(state), dtype=bool)
        for entry in entries:
            control, equals, position = entry.partition("=")
            if equals:
                now &= np.array([one[control] == position for one in states])[state]
            else:
                now &= seen[entry] == (2 if circuit.behaviour[entry].kind == "lamp" else 1)
        return now

    return (hold(behaviour.keeps_while) & (before | hold(behaviour.starts_when))).astype(np.int8)


def _part_seen(solver: LaneSolver, settlement: Settlement, part: Part) -> Codes:
    network = solver.network
    match part.kind:
        case "relay" | "contactor":
            return settlement.relays[part.name][settlement.lanes].astype(np.int8)
        case "input":
            return _input(network, settlement, part)
        case "magneto":
            return _magneto(solver, settlement, part)
    index = network.first_of[part.name]
    current = np.abs(settlement.current(network, index))
    sound = solver.has_role(index, Role(part.kind))[settlement.columns]
    if part.kind == "lamp":
        share = current * lamp_resistance(part) / part.number("voltage")
        return (sound * ((share >= LAMP_DIM_FROM).astype(np.int8) + (share >= LAMP_LIT_FROM))).astype(np.int8)
    least = part.number("turns_from" if part.kind == "motor" else "pulls_from")
    acts = current >= least
    if index in settlement.turning:  # not where every lane's motor is shorted
        acts |= settlement.turning[index][settlement.lanes]
    return (acts & sound).astype(np.int8)


def _input(network: Network, settlement: Settlement, part: Part) -> Codes:
    """A fed input acts when the voltage at its ``in``, against its own ``-``, is on the active side."""
    nodes = [network.node_inside(f"{part.name}:{pin}") for pin in ("+", "in", "-")]
    plus, inside, minus = (settlement.voltage(node) for node in nodes)
    fed = (plus - minus >= network.circuit.nominal / 2) & (
        between(network, settlement.conductances[:, settlement.lanes], nodes[0], nodes[2]) > 0
    )
    below = inside - minus < part.number("threshold")
    return (fed & (below if part.values["active"] == "low" else ~below)).astype(np.int8)


def _magneto(solver: LaneSolver, settlement: Settlement, part: Part) -> Codes:
    """A magneto sparks unless the circuit outside it, taken alone, grounds its primary."""
    network = solver.network
    outside = settlement.conductances[:, settlement.lanes]
    for role, of in solver.with_role.items():
        for index, has_role in of.items():
            if role is Role.DIODE or (role is Role.PRIMARY and network.branches[index].part == part.name):
                outside[index] *= ~has_role[settlement.columns]
    nodes = [network.node_inside(f"{part.name}:{pin}") for pin in ("stop", "-")]
    grounded = between(network, outside, *nodes) * part.number("grounded_below") > 1
    return (~grounded).astype(np.int8)
