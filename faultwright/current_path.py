"""Following the current: the places that it passes on its way from a source's + through a branch to a source's −."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import networkx as nx

from .circuit import FRAME, Circuit, split_terminal
from .electrics import Settled
from .network import Branch
from .parts import KINDS, Role
from .route_graph import Passage, passages

NO_CURRENT = 1e-9
"""A below which a current is rounding: some 10 V behind 10 GΩ."""

Step = tuple[str, bool]
"""A place that is passed, and whether from its first end to its second (``from`` to ``to``, anode to cathode)."""


@dataclass(frozen=True, slots=True)
class CurrentPath:
    """The way of a current from terminal ``start`` to terminal ``end``.

    ``steps`` are the wires and elements that it passes; ``places`` the same with splices and FRAME between them, named
    as routes name them.
    """

    start: str
    steps: tuple[Step, ...]
    places: tuple[str, ...]
    end: str


class CurrentPaths:
    """Follows currents on the diagram of one circuit."""

    def __init__(self, circuit: Circuit) -> None:
        """List what a current can pass."""
        self.circuit = circuit
        self.passages: dict[str, Passage] = {passage.place: passage for passage in passages(circuit)}

    def place(self, branch: Branch) -> str:
        """Return the place of a branch: a switch's only contact is named by the switch."""
        return branch.name if branch.name in self.passages else branch.part

    def through(self, settled: Settled, index: int) -> CurrentPath | None:
        """Follow the current through a branch, at each joint along the largest share; None where none flows."""
        current = float(settled.current(index))
        if abs(current) < NO_CURRENT:
            return None
        a, b = settled.network.ends[index]
        entry, leaving = (a, b) if current > 0 else (b, a)
        before = self._walk(settled, entry, onward=False)
        after = self._walk(settled, leaving, onward=True)
        if before is None or after is None:
            return None
        legs = [*reversed(before), (index, current > 0), *after]
        first, last = (settled.network.branches[legs[at][0]].part for at in (0, -1))
        return self._told(settled, f"{first}:+", legs[1:-1], f"{last}:-")

    def conducting(self, settled: Settled, start: str, end: str) -> CurrentPath | None:
        """Return the way of the least resistance between two terminals of a part, as an ohmmeter sees it outside."""
        network = settled.network
        own, _ = split_terminal(start)
        graph = nx.Graph()
        graph.add_nodes_from((network.node[start], network.node[end]))
        for index in sorted(range(len(network.branches)), key=lambda index: settled.conductances[index]):
            branch, conductance = network.branches[index], float(settled.conductances[index])
            if conductance and branch.part != own and branch.role is not Role.DIODE:
                graph.add_edge(branch.a, branch.b, index=index, resistance=1 / conductance)  # the best of parallel ones
        try:
            nodes = nx.shortest_path(graph, network.node[start], network.node[end], weight="resistance")
        except nx.NetworkXNoPath:
            return None
        indices = [graph.edges[pair]["index"] for pair in pairwise(nodes)]
        legs = [(index, network.ends[index][0] == at) for index, at in zip(indices, nodes, strict=False)]
        return self._told(settled, start, legs, end)

    def _walk(self, settled: Settled, node: int, *, onward: bool) -> list[tuple[int, bool]] | None:
        """Return the branches from a node to a source that drives the current, each with the way it is passed."""
        network = settled.network
        found: list[tuple[int, bool]] = []
        seen = {node}
        while True:
            index, forwards, current = self._largest(settled, node, onward=onward)
            if current < NO_CURRENT:
                return None
            if network.branches[index].role is Role.SOURCE and forwards:
                return [*found, (index, forwards)]
            found.append((index, forwards))
            a, b = network.ends[index]
            node = b if forwards == onward else a
            if node in seen:
                return None  # a ring of currents that are rounding
            seen.add(node)

    @staticmethod
    def _largest(settled: Settled, node: int, *, onward: bool) -> tuple[int, bool, float]:
        """Return the branch with the largest current that leaves (or comes to) a node, and the way it is passed."""
        best = (-1, True, 0.0)
        for index, (a, b) in enumerate(settled.network.ends):
            if node not in (a, b) or a == b:
                continue
            current = float(settled.current(index))
            forwards = current > 0
            if abs(current) > best[2] and (node == a) == (forwards == onward):
                best = (index, forwards, abs(current))
        return best

    def _told(self, settled: Settled, start: str, legs: Sequence[tuple[int, bool]], end: str) -> CurrentPath:
        """Return what is passed between two terminals in the words of the diagram."""
        network = settled.network
        steps: list[Step] = []
        places: list[str] = []
        for number, (index, forwards) in enumerate(legs, start=1):
            place = self.place(network.branches[index])
            steps.append((place, forwards))
            places.append(place)
            behind = network.names[network.ends[index][1 if forwards else 0]]
            if number < len(legs) and (behind == FRAME or self._is_splice(behind)):
                places.append(behind)
        return CurrentPath(start, tuple(steps), tuple(places), end)

    def _is_splice(self, name: str) -> bool:
        return name in self.circuit.parts and KINDS[self.circuit.parts[name].kind].joined
