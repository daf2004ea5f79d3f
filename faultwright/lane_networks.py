"""Networks of one topology side by side: what each branch is in each of many columns.

A column is one operating circuit: one of the networks and, where its faults have free values, those values. Networks
are built once; a value only adds to the series resistance of some branches.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from .circuit import Circuit, Part
from .electrics import rounding
from .elimination import Program, compiled
from .network import OPEN, Branch, Network
from .parts import Role
from .solve import relays_of

Floats = NDArray[np.float64]
Truths = NDArray[np.bool_]
Numbers = NDArray[np.intp]

Pair = tuple[int, int]
"""The nodes of a meter's red and black lead."""

Added = Mapping[tuple[int, int], float]
"""(branch, column) → Ω that free values add in series there; networks of such columns are built with 0 Ω."""


class LaneSolver:
    """Networks that share one topology, one a column, and what is worked out once for all their points."""

    def __init__(self, networks: Sequence[Network], columns: Numbers | None = None, added: Added | None = None) -> None:
        """Take networks with the same branches between the same nodes; ``columns`` numbers each column's network."""
        self.network = first = networks[0]
        self.relays = relays_of(first.circuit)
        self.closed_in = {index: first.branches[index].closed_in for index in first.by_role[Role.CONTACT]}
        which = np.arange(len(networks)) if columns is None else columns
        closed = np.repeat([[branch.closed] for branch in first.branches], len(networks), axis=1)
        emf = np.repeat([[branch.emf] for branch in first.branches], len(networks), axis=1)
        with_role = {
            role: {index: np.ones(len(networks), dtype=bool) for index in first.by_role[role]} for role in Role
        }
        for number, index, branch in _others(networks):
            closed[index, number], emf[index, number] = branch.closed, branch.emf
            with_role[first.branches[index].role][index][number] = False
            with_role[branch.role].setdefault(index, np.zeros(len(networks), dtype=bool))[number] = True
            if branch.role is Role.CONTACT:
                self.closed_in[index] = branch.closed_in
        cold = self._cold(networks, closed)
        sticking = {name for network in networks for name in network.sticking}
        self.sticking = {name: np.array([name in one.sticking for one in networks])[which] for name in sticking}
        self.closed, self.cold = closed[:, which], cold[:, which]
        self.with_role = {role: {index: flags[which] for index, flags in of.items()} for role, of in with_role.items()}
        with_emf = sorted({**self.with_role[Role.SOURCE], **self.with_role[Role.DIODE]})
        self.emf = {index: emf[index, which] for index in with_emf}
        if added is not None:
            self._add(networks, which, added)
        self.rounding = rounding(float(np.abs(emf).sum(axis=0).max()))

    def _cold(self, networks: Sequence[Network], closed: Floats) -> Floats:
        """Return the conductances with lamps cold, as a meter's own small source sees them."""
        found = closed.copy()
        for index in self.network.by_role[Role.LAMP]:
            for number, network in enumerate(networks):
                branch = network.branches[index]
                resistance = self._cold_resistance(branch)
                found[index, number] = OPEN if resistance is None else branch.conductance(resistance)
        return found

    def _add(self, networks: Sequence[Network], which: Numbers, added: Added) -> None:
        """Sum the series resistance of the branches that free values add to anew."""
        for (index, column), value in added.items():
            branch = networks[which[column]].branches[index]
            for conductances, own in ((self.closed, branch.resistance), (self.cold, self._cold_resistance(branch))):
                if own is not None:
                    conductances[index, column] = 1 / (own + (branch.series + value))

    def _cold_resistance(self, branch: Branch) -> float | None:
        if branch.role is Role.LAMP and branch.resistance is not None:
            return self.network.circuit.parts[branch.part].number("cold")
        return branch.resistance

    def only(self, columns: Numbers) -> LaneSolver:
        """Return the same for some of the columns."""
        found = object.__new__(LaneSolver)
        found.network, found.relays, found.closed_in = self.network, self.relays, self.closed_in
        found.sticking = {name: flags[columns] for name, flags in self.sticking.items()}
        found.closed, found.cold = self.closed[:, columns], self.cold[:, columns]
        found.emf = {index: emf[columns] for index, emf in self.emf.items()}
        found.with_role = {
            role: {index: flags[columns] for index, flags in of.items()} for role, of in self.with_role.items()
        }
        found.rounding = self.rounding
        return found

    def paired(self, first: Numbers, second: Numbers, changed: Truths) -> LaneSolver:
        """Return a column for each two: the branches ``changed`` in the first column, all others as in the second.

        ``changed`` has the shape (branches, columns). Where the two change other branches, both faults are there.
        """
        found = object.__new__(LaneSolver)
        found.network, found.relays, found.closed_in = self.network, self.relays, self.closed_in
        column = np.where(changed[:, first], first, second)
        found.sticking = {name: flags[first] | flags[second] for name, flags in self.sticking.items()}
        found.closed, found.cold = (np.take_along_axis(one, column, axis=1) for one in (self.closed, self.cold))
        found.emf = {index: emf[column[index]] for index, emf in self.emf.items()}
        found.with_role = {
            role: {index: flags[column[index]] for index, flags in of.items()} for role, of in self.with_role.items()
        }
        found.rounding = self.rounding
        return found

    def program(self, leads: tuple[Pair, ...] = (), *, driven: bool = False) -> Program:
        """Return the program; behind the branches stands one more for each pair of leads.

        ``driven`` lets the leads have an emf.
        """
        network = self.network
        with_emf = {*self.emf, *(range(len(network.ends), len(network.ends) + len(leads)) if driven else ())}
        ends = (*network.ends, *leads)
        return compiled(len(network.names), ends, frozenset(with_emf), lanes=True, ideal=network.pins)

    def has_role(self, index: int, role: Role) -> Truths:
        """Return for each column whether a branch has a role in it."""
        return self.with_role[role].get(index, np.zeros(self.closed.shape[1], dtype=bool))

    def sticks(self, part: str) -> Truths:
        """Return for each column whether a switch sticks in it."""
        return self.sticking.get(part, np.zeros(self.closed.shape[1], dtype=bool))

    def part(self, index: int) -> Part:
        """Return the part that a branch belongs to."""
        return self.network.circuit.parts[self.network.branches[index].part]


def _others(networks: Sequence[Network]) -> Iterator[tuple[int, int, Branch]]:
    """Yield the branches that are not the first network's own: most are shared by all networks."""
    own = networks[0].branches
    for number, network in enumerate(networks):
        for index, branch in enumerate(network.branches):
            if branch is not own[index]:
                yield number, index, branch


def warms(circuit: Circuit) -> bool:
    """Say whether a circuit has filaments that warm, which lanes do not do."""
    return any(part.values.get("filament") == "on" for part in circuit.parts.values())


def between(network: Network, conductances: Floats, start: int, end: int) -> Floats:
    """Return the conductance in S between two nodes in every lane, exactly 0 where nothing joins them."""
    if start == end:
        return np.full(conductances.shape[1], np.inf)
    ends = (*network.ends, (start, end))
    probes = (start, end)
    program = compiled(len(network.names), ends, network.with_emf, probes, lanes=True, ideal=network.pins)
    with np.errstate(invalid="ignore"):
        *_, found = program([*conductances[: len(network.ends)], 0.0], [0.0] * len(ends))
    return np.broadcast_to(np.asarray(found, dtype=float), conductances.shape[1:])
