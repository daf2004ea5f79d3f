"""The electrical network of a circuit: nodes and branches, ready for the solver."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from .circuit import FRAME, Circuit
from .parts import Role

OPEN = 0.0
"""Conductance in S of an open branch: exactly nothing."""


@dataclass(slots=True)
class Branch:
    """A branch of the network between nodes ``a`` and ``b``; a network never changes one.

    ``resistance`` is the element's own in Ω (None: interrupted for good), ``series`` what faults and joints
    put in series with it; ``emf`` in V drives from ``a`` to ``b``. A contact names its driver: the
    switch or relay in ``part`` and the positions in ``closed_in``. ``pin`` marks what lies between a joint and
    the node behind it. ``closed`` is the conductance in S with the element as it is, a contact closed.
    """

    name: str
    a: int
    b: int
    role: Role
    resistance: float | None
    part: str = ""
    series: float = 0.0
    emf: float = 0.0
    closed_in: tuple[str, ...] = ()
    pin: bool = False
    closed: float = field(init=False)

    def __post_init__(self) -> None:
        """Work out the conductance once: most branches are shared by many networks."""
        self.closed = OPEN if self.resistance is None else self.conductance(self.resistance)

    def conductance(self, resistance: float) -> float:
        """Return the conductance in S with the element at ``resistance`` Ω; infinite for a pin of 0 Ω."""
        if self.resistance is None:
            return OPEN
        total = resistance + self.series
        return 1.0 / total if total else math.inf


@dataclass(frozen=True, slots=True)
class Wiring:
    """What moves have done to the wiring.

    Parts, connectors or terminals taken off; jumpers and test lamps put on; parts for which a known-good one stands in.
    """

    unplugged: frozenset[str] = frozenset()
    bridges: tuple[tuple[str, str], ...] = ()
    loads: tuple[tuple[str, str], ...] = ()
    substituted: frozenset[str] = frozenset()


@dataclass
class Network:
    """Nodes and branches. Node 0 is FRAME. ``node`` maps every terminal to its node (the harness side)."""

    circuit: Circuit
    branches: list[Branch] = field(default_factory=list)
    names: list[str] = field(default_factory=lambda: [FRAME])
    node: dict[str, int] = field(default_factory=lambda: {FRAME: 0})
    inside: dict[str, int] = field(default_factory=dict)
    sticking: frozenset[str] = frozenset()

    def node_inside(self, terminal: str) -> int:
        """Return the node that a part sees at its own pin, behind the joint."""
        return self.inside.get(terminal, self.node[terminal])

    def add_node(self, name: str) -> int:
        """Add a node and return its number."""
        self.names.append(name)
        return len(self.names) - 1

    @cached_property
    def ends(self) -> tuple[tuple[int, int], ...]:
        """The two nodes of each branch: the topology that a solver program is compiled for."""
        return tuple((branch.a, branch.b) for branch in self.branches)

    @cached_property
    def with_emf(self) -> frozenset[int]:
        """Numbers of the branches that can have an emf: sources, and diodes while they conduct."""
        return frozenset((*self.by_role[Role.SOURCE], *self.by_role[Role.DIODE]))

    @cached_property
    def by_role(self) -> Mapping[Role, list[int]]:
        """Role → the numbers of the branches that have it, in order."""
        found: dict[Role, list[int]] = {role: [] for role in Role}
        for index, branch in enumerate(self.branches):
            found[branch.role].append(index)
        return found

    @cached_property
    def first_of(self) -> Mapping[str, int]:
        """Part → the number of its first branch."""
        found: dict[str, int] = {}
        for index, branch in enumerate(self.branches):
            found.setdefault(branch.part, index)
        return found

    @cached_property
    def pins(self) -> frozenset[int]:
        """Numbers of the branches between a joint and the node behind it; with all pins apart a sound one has 0 Ω."""
        return frozenset(index for index, branch in enumerate(self.branches) if branch.pin)

    def with_series(self, branches: Collection[int], value: float) -> Network:
        """Return the same network with ``value`` Ω more in series in some branches."""
        found = Network.__new__(Network)
        _ = self.ends, self.by_role, self.with_emf, self.first_of  # worked out once for all of them
        found.__dict__ = self.__dict__ | {"branches": list(self.branches)}
        for index in branches:
            found.branches[index] = replace(self.branches[index], series=self.branches[index].series + value)
        return found

    def joined(self, conductances: Iterable[float], start: int, end: int) -> bool:
        """Say whether conducting branches join two nodes."""
        neighbours: dict[int, list[int]] = {}
        for (a, b), conductance in zip(self.ends, conductances, strict=False):
            if conductance:
                neighbours.setdefault(a, []).append(b)
                neighbours.setdefault(b, []).append(a)
        seen, waiting = {start}, [start]
        while waiting:
            for other in neighbours.get(waiting.pop(), ()):
                if other not in seen:
                    seen.add(other)
                    waiting.append(other)
        return end in seen
