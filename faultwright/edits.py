"""Edits: what columns change against one of them, and where such a change does nothing, judged without making it.

A change that opens a branch, or puts resistance into it, does nothing as long as no current flows in that branch, at
any moment until the machine has settled; one that joins two points does nothing as long as no voltage lies between
them. The voltages that solve the network without the change solve the network with it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np

from .lane_networks import Floats, LaneSolver, Numbers, Truths
from .lanes import LaneWork


class Edits:
    """What each column of a solver changes against its column ``model``; all but ``beyond`` are (branches × columns).

    ``changed`` is every branch that is another; ``hinders`` those in which a current is hindered, ``joins`` those that
    join two points. ``beyond`` are columns that change an emf or what sticks: of those nothing can be said.
    """

    def __init__(self, solver: LaneSolver, model: int) -> None:
        """Compare all columns with one."""
        closed, its = solver.closed, solver.closed[:, [model]]
        other_role, other_emf = np.zeros(closed.shape, dtype=bool), np.zeros(closed.shape, dtype=bool)
        for of in solver.with_role.values():
            for index, flags in of.items():
                other_role[index] |= flags != flags[model]
        for index, emf in solver.emf.items():
            other_emf[index] = emf != emf[model]
        self.changed = (closed != its) | (solver.cold != solver.cold[:, [model]]) | other_role | other_emf
        self.joins = self.changed & (closed > 0) & (other_role | (its == 0))
        self.hinders = self.changed & ~self.joins
        self.beyond: Truths = np.logical_or.reduce(other_emf)
        for flags in solver.sticking.values():
            self.beyond |= flags != flags[model]


class Flow:
    """What flows in each branch at some points and what lies across it, noted pass by pass (branches × points).

    ``asked`` are nodes at which something else drives a current too: a meter, or what a part senses by.
    """

    def __init__(self, solver: LaneSolver, points: int, asked: Collection[int]) -> None:
        """Begin with nothing."""
        self.solver, self.network = solver, solver.network
        self.start, self.end = np.array(self.network.ends).T
        shape = (len(self.network.ends), points)
        self.flows, self.across = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
        self.asked = frozenset(asked)

    def watch(self, work: LaneWork, voltages: Sequence[Floats]) -> None:
        """Note what is in all lanes of some work."""
        self.note(work.point, voltages, work.conductance, work.emf)

    def note(
        self, points: Numbers, voltages: Sequence[Floats], conductances: Floats, emfs: Mapping[int, Floats]
    ) -> None:
        """Note what is at some points; of the conductances those of meters, behind the others, are left out."""
        volts = np.array([np.broadcast_to(one, len(points)) for one in voltages])
        driving = volts[self.start] - volts[self.end]
        self.across[:, points] |= np.abs(driving) > self.solver.rounding
        for index in self.solver.emf:
            driving[index] += emfs[index]
        own = conductances[: len(driving)]
        self.flows[:, points] |= (np.abs(driving) > self.solver.rounding) & (own > 0)

    def note_all(self, points: Numbers | Sequence[int]) -> None:
        """Note everything at points of which nothing is known."""
        self.flows[:, points] = self.across[:, points] = True

    def live(self, edits: Edits, column: int) -> Truths:
        """Say at which points what a column changes could do anything; it may be said where it does nothing after all.

        A pin of 0 Ω, across which nothing ever lies, is judged by what else flows at a node of it.
        """
        if edits.beyond[column]:
            return np.ones(self.flows.shape[1], dtype=bool)
        found: Truths = np.zeros(self.flows.shape[1], dtype=bool)
        for index in np.flatnonzero(edits.hinders[:, column]).tolist():
            found |= self._flows_in(index)
        for index in np.flatnonzero(edits.joins[:, column]).tolist():
            found |= self.across[index]
        return found

    def _flows_in(self, index: int) -> Truths:
        found: Truths = self.flows[index]
        if index in self.network.pins:
            found = np.ones(len(found), dtype=bool)
            for node in self.network.ends[index]:
                others = [other for other, ends in enumerate(self.network.ends) if node in ends and other != index]
                if node not in {0, *self.asked} and not self.network.pins.intersection(others):
                    found &= np.logical_or.reduce(self.flows[others])
        return found
