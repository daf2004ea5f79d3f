"""The fault dictionary: node voltages and behaviour for all faults × control states.

Each point is the machine brought from rest to a control state in one move. Points of one topology are settled
together as lanes; the dictionary comes in blocks, so memory stays bounded however many faults are asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product

import numpy as np

from .assembly import build
from .behaviour import Seen, latched, plain
from .circuit import FRAME, Circuit
from .electrics import Settled
from .faults import Fault
from .lane_networks import Floats, LaneSolver, Truths, warms
from .lane_seen import Codes, code, seen_in_lanes
from .lanes import LaneWork
from .network import Network
from .parts import terminals
from .solve import Solver

LANES = 32768
"""Points in a block: some tens of megabytes."""


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
    buzzing: Truths


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
        for group in _by_topology(circuit, faults):
            members, networks = [index for index, _ in group], [network for _, network in group]
            if not warms(circuit):
                self._lanes(members, LaneSolver(networks))
                continue
            for fault, state in product(members, range(len(states))):
                self._point(fault, state)
        self.block = Block(faults, states, names, self.voltages, self.seen, self.buzzing)

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
            for name, codes in seen_in_lanes(solver, settlement, self.states).items():
                seen[name][where] = codes
        for point in work.unsettled:
            self._point(*divmod(int(number[point]), len(self.states)))

    def _point(self, fault: int, state: int) -> None:
        """Settle one point by itself."""
        if fault not in self.single:
            self.single[fault] = Solver(build(self.circuit, _present(self.faults[fault])))
        solver = self.single[fault]
        settled, seen = settled_alone(solver, self.states[state])
        for row, name in enumerate(self.names):
            self.voltages[fault, state, row] = float(settled.voltages[solver.network.node[name]])
        for name, value in seen.items():
            self.seen[name][fault, state] = code(value)
        self.buzzing[fault, state] = bool(settled.buzzing)


def settled_alone(solver: Solver, state: Mapping[str, str]) -> tuple[Settled, dict[str, Seen]]:
    """Return one point settled by itself, and what is seen there; a switch that sticks is still where it rests."""
    network, circuit = solver.network, solver.network.circuit
    now, rest = circuit.switch_positions(state), circuit.switch_positions(circuit.rest())
    positions = {name: rest[name] if name in network.sticking else position for name, position in now.items()}
    settled = solver.settle(positions, {})
    seen = plain(solver, settled, circuit.behaviour)
    return settled, {**seen, **latched(circuit.behaviour, seen, {}, state)}


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
