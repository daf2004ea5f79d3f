"""Columns that are electrically the same: resistance in a chain acts alike wherever in the chain it lies.

A chain is a row of branches in series: between two of them lies a node that nothing else leads to. Its nodes are asked
for nothing (an input's are, and stay); so of the chain only the sum matters, or that it is broken.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from .lane_networks import Floats, LaneSolver, Numbers
from .network import Network
from .parts import KINDS, terminals

DIGITS = 9
"""Places of an ohm to which resistances are compared."""


def same_columns(solver: LaneSolver) -> Numbers:
    """Return a number for each column; those with the same number do the same in every control state.

    The first network of the solver is the sound one.
    """
    with np.errstate(divide="ignore"):
        resistance = np.round(1 / solver.closed, DIGITS)
    for members, strangers in _chains(solver.network).values():
        free = np.isinf(resistance[strangers]).all(axis=0)
        total = np.round(resistance[members].sum(axis=0), DIGITS)
        resistance[members] = np.where(free, 0.0, resistance[members])
        resistance[members[0]] = np.where(free, total, resistance[members[0]])
    roles = [flags for of in solver.with_role.values() for flags in of.values() if not flags.all()]
    rows = [*resistance, *solver.emf.values(), *solver.sticking.values(), *roles]
    answers: Floats = np.ascontiguousarray(np.array(rows, dtype=float).T)
    numbers: dict[bytes, int] = {}
    return np.array([numbers.setdefault(column.tobytes(), len(numbers)) for column in answers], dtype=np.intp)


def _chains(network: Network) -> Mapping[int, tuple[list[int], list[int]]]:
    """Return the branches of each chain, and those, open in the sound network, that would end inside it if closed."""
    at: dict[int, list[int]] = {}
    open_at: dict[int, list[int]] = {}
    for index, branch in enumerate(network.branches):
        for node in (branch.a, branch.b):
            (at if branch.closed else open_at).setdefault(node, []).append(index)
    sensed = {
        network.node_inside(terminal)
        for part in network.circuit.parts.values()
        if KINDS[part.kind].sensed
        for terminal in terminals(part)
    }
    inner = {node: ends for node, ends in at.items() if len(ends) == 2 and node and node not in sensed}  # noqa: PLR2004
    chain = {index: [index] for ends in inner.values() for index in ends}
    strangers: dict[int, list[int]] = {index: [] for index in chain}
    for node, (one, other) in inner.items():
        if chain[one] is not chain[other]:
            chain[one] += chain[other]
            strangers[one] += strangers[other]
            for index in chain[other]:
                chain[index], strangers[index] = chain[one], strangers[one]
        strangers[one] += open_at.get(node, [])
    return {id(members): (members, strangers[members[0]]) for members in chain.values()}
