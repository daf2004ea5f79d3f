"""The fault dictionary: node voltages and behaviour for all faults × control states.

Each point is the machine brought from rest to a control state in one move. Points of one topology are settled
together as lanes; the dictionary comes in blocks, so memory stays bounded however many faults are asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product

import numpy as np
from numpy.typing import NDArray

from .assembly import build
from .behaviour import LAMP_DIM_FROM, LAMP_LIT_FROM, Seen, latched, plain
from .circuit import FRAME, LATCHED, Behaviour, Circuit, Part
from .faults import Fault
from .lanes import Floats, LaneSolver, LaneWork, Numbers, Settlement, between
from .network import Network
from .parts import Role, lamp_resistance, terminals
from .solve import Solver

LANES = 32768
"""Points in a block: some tens of megabytes."""

UNCLEAR = -1
"""Code of a behaviour that changes without end."""

Codes = NDArray[np.int8]


@dataclass(frozen=True)
class Block:
    """A stretch of the dictionary: faults × states, all states of a fault together.

    ``voltages`` has the shape (faults, states, terminals), in V against FRAME; ``seen`` maps a behaviour to codes of
    the shape (faults, states): 0 false or off, 1 true or dim, 2 lit, −1 unclear. ``buzzing`` marks points at which a
    relay buzzes.
    """

    faults: tuple[tuple[Fault, ...], ...]
    states: Sequence[Mapping[str, str]]
    terminals: tuple[str, ...]
    voltages: Floats
    seen: Mapping[str, Codes]
    buzzing: NDArray[np.bool_]


def dictionary(
    circuit: Circuit,
    faults: Iterable[Fault | tuple[Fault, ...]],
    states: Sequence[Mapping[str, str]] | None = None,
) -> Iterator[Block]:
    """Yield the dictionary of ``faults`` (or tuples of faults that are there together), block by block.

    An empty tuple stands for the sound machine. ``states`` are control states, all of them by default.
    """
    chosen = list(circuit.states()) if states is None else list(states)
    waiting = iter((fault,) if isinstance(fault, Fault) else fault for fault in faults)
    a_block = max(1, LANES // max(1, len(chosen)))
    while stretch := tuple(islice(waiting, a_block)):
        yield _Filling(circuit, stretch, chosen).block


class _Filling:
    """One block while it is being filled."""

    def __init__(
        self, circuit: Circuit, faults: tuple[tuple[Fault, ...], ...], states: Sequence[Mapping[str, str]]
    ) -> None:
        self.circuit, self.faults, self.states = circuit, faults, states
        self.single: dict[int, Solver] = {}
        names = (FRAME, *(terminal for part in circuit.parts.values() for terminal in terminals(part)))
        shape = (len(faults), len(states))
        self.voltages = np.zeros((*shape, len(names)))
        self.seen = {name: np.zeros(shape, dtype=np.int8) for name in circuit.behaviour}
        self.buzzing = np.zeros(shape, dtype=bool)
        self.names = names
        warming = any(part.values.get("filament") == "on" for part in circuit.parts.values())
        for group in _by_topology(circuit, faults):
            members, networks = [index for index, _ in group], [network for _, network in group]
            if not warming:
                self._lanes(members, LaneSolver(networks))
                continue
            for fault, state in product(members, range(len(states))):
                self._point(fault, state)
        self.block = Block(faults, states, names, self.voltages, self.seen, self.buzzing)

    def _positions(self, network: Network, state: Mapping[str, str]) -> dict[str, str]:
        """Return the switches' positions; one that sticks is still where it was at rest."""
        now, rest = self.circuit.switch_positions(state), self.circuit.switch_positions(self.circuit.rest())
        return {name: rest[name] if name in network.sticking else position for name, position in now.items()}

    def _lanes(self, members: list[int], solver: LaneSolver) -> None:
        positions = [self.circuit.switch_positions(state) for state in self.states]
        local = np.repeat(np.arange(len(members)), len(self.states))
        state = np.tile(np.arange(len(self.states)), len(members))
        number = np.array(members)[local] * len(self.states) + state
        nodes = [solver.network.node[name] for name in self.names]
        voltages = self.voltages.reshape(-1, len(nodes))
        seen = {name: codes.reshape(-1) for name, codes in self.seen.items()}
        work = LaneWork(solver, positions, local, state)
        for settlement in work.settle():
            where = number[settlement.points]
            voltages[where] = np.array([settlement.voltage(node) for node in nodes]).T
            for name, codes in _seen(solver, settlement, self.states).items():
                seen[name][where] = codes
        for point in work.unsettled:
            self._point(*divmod(int(number[point]), len(self.states)))

    def _point(self, fault: int, state: int) -> None:
        """Settle one point by itself."""
        if fault not in self.single:
            self.single[fault] = Solver(build(self.circuit, _present(self.faults[fault])))
        solver = self.single[fault]
        network = solver.network
        settled = solver.settle(self._positions(network, self.states[state]), {})
        for row, name in enumerate(self.names):
            self.voltages[fault, state, row] = float(settled.voltages[network.node[name]])
        seen = plain(solver, settled, self.circuit.behaviour)
        now: dict[str, Seen] = {**seen, **latched(self.circuit.behaviour, seen, {}, self.states[state])}
        for name, value in now.items():
            self.seen[name][fault, state] = code(value)
        self.buzzing[fault, state] = bool(settled.buzzing)


def code(value: Seen) -> int:
    """Return the code of something seen, as in :class:`Block`."""
    return {None: UNCLEAR, "off": 0, "dim": 1, "lit": 2}.get(value, int(value is True))  # type: ignore[arg-type]


def _present(faults: tuple[Fault, ...]) -> list[Fault]:
    """Return the faults that are there while nothing is disturbed."""
    return [fault for fault in faults if not fault.disturbed]


def _by_topology(circuit: Circuit, faults: Sequence[tuple[Fault, ...]]) -> Iterable[list[tuple[int, Network]]]:
    """Return the networks of the faults in groups that share branches and nodes."""
    groups: dict[object, list[tuple[int, Network]]] = {}
    for index, together in enumerate(faults):
        network = build(circuit, _present(together), apart=True)
        key = (network.ends, len(network.names))
        groups.setdefault(key, []).append((index, network))
    return groups.values()


# What is seen, in lanes


def _seen(solver: LaneSolver, settlement: Settlement, states: Sequence[Mapping[str, str]]) -> dict[str, Codes]:
    """Return the codes of every behaviour in the lanes of a settlement."""
    found: dict[str, Codes] = {}
    for behaviour in solver.network.circuit.behaviour.values():
        if behaviour.kind == LATCHED:
            found[behaviour.name] = _latched(solver.network.circuit, behaviour, found, states, settlement.states)
        else:
            found[behaviour.name] = _part_seen(solver, settlement, solver.network.circuit.parts[behaviour.part])
    return found


def _latched(
    circuit: Circuit,
    behaviour: Behaviour,
    seen: Mapping[str, Codes],
    states: Sequence[Mapping[str, str]],
    state: Numbers,
) -> Codes:
    """A latched behaviour from rest: it begins where all its entries hold."""
    now = np.ones(len(state), dtype=bool)
    for entry in (*behaviour.starts_when, *behaviour.keeps_while):
        control, equals, position = entry.partition("=")
        if equals:
            now &= np.array([one[control] == position for one in states])[state]
        else:
            now &= seen[entry] == (2 if circuit.behaviour[entry].kind == "lamp" else 1)
    return now.astype(np.int8)


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
    sound = solver.has_role(index, Role(part.kind))[settlement.faults]
    if part.kind == "lamp":
        share = current * lamp_resistance(part) / part.number("voltage")
        return (sound * ((share >= LAMP_DIM_FROM).astype(np.int8) + (share >= LAMP_LIT_FROM))).astype(np.int8)
    least = part.number("turns_from" if part.kind == "motor" else "pulls_from")
    acts = current >= least
    if part.kind == "motor":
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
    for index, branch in enumerate(network.branches):
        if branch.role is Role.DIODE or (branch.part == part.name and branch.role is Role.PRIMARY):
            outside[index] = 0.0
    nodes = [network.node_inside(f"{part.name}:{pin}") for pin in ("stop", "-")]
    grounded = between(network, outside, *nodes) * part.number("grounded_below") > 1
    return (~grounded).astype(np.int8)
