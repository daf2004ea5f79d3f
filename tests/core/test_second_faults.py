"""Pairs of faults judged together: what is left out changes nothing, what is taken for the same is the same.

Against the dictionary of every pair, whose networks are built one by one and settled in every state.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest

from faultwright.assembly import build
from faultwright.circuit import Circuit
from faultwright.dictionary import dictionary
from faultwright.fault_columns import FaultColumns
from faultwright.faults import Fault, universe
from faultwright.live_edits import live_edits
from faultwright.same_columns import same_columns
from tests.core.depot import BENCH, MOWER, circuit
from tests.core.interlocks import CHIPPER, NEUTRAL_OR_BOTH

EACH = 5
"""Every so many faults of a circuit are taken: enough for every kind of part and mode to meet others."""


@cache
def some_faults(machine: Circuit) -> tuple[Fault, ...]:
    """Return every fifth fault of a circuit, and all faults of what senses: there no current need flow."""
    known = list(universe(machine).values())
    sensing = {part.name for part in machine.parts.values() if part.kind in {"input", "magneto"}}
    return tuple(fault for number, fault in enumerate(known)
                 if number % EACH == 0 or fault.place.partition(":")[0] in sensing)  # fmt: skip


def seen(machine: Circuit, together: list[tuple[Fault, ...]]) -> np.ndarray:
    """Return the codes of every behaviour, of the shape (faults, behaviours, states)."""
    blocks = [np.array(list(block.seen.values())) for block in dictionary(machine, together)]
    return np.concatenate(blocks, axis=1).transpose(1, 0, 2)


MACHINES = pytest.mark.parametrize(
    "machine", [circuit(text) for text in (BENCH, MOWER, CHIPPER, NEUTRAL_OR_BOTH)], ids=lambda one: one.name
)


@MACHINES
def test_where_a_second_fault_is_not_live_it_changes_nothing(machine: Circuit) -> None:
    """Beside each fault, in each state in which another is not live, the two together show what the one shows alone."""
    faults = some_faults(machine)
    columns, every = FaultColumns(machine, faults), np.arange(len(faults))
    live = live_edits(columns, every, every, list(machine.states()))
    alone = seen(machine, [(fault,) for fault in faults])
    pairs = [pair for pair in combinations(every.tolist(), 2) if columns.can_pair(*map(np.array, pair))]
    both = seen(machine, [(faults[one], faults[other]) for one, other in pairs])
    quiet = changed = 0
    for (one, other), together in zip(pairs, both, strict=True):
        for mine, its in ((one, other), (other, one)):
            still = ~live[mine, its]
            assert (together[:, still] == alone[mine][:, still]).all(), (str(faults[mine]), str(faults[its]))
            quiet += int(still.sum())
            changed += int((together != alone[mine]).any())
    assert quiet
    assert changed


@MACHINES
def test_pairs_are_put_together_as_they_are_built(machine: Circuit) -> None:
    """The columns of all pairs settle to what the networks of the pairs do; those taken for the same do the same."""
    faults = some_faults(machine)
    columns = FaultColumns(machine, faults)
    first, second = np.array(list(combinations(range(len(faults)), 2))).T
    fit = columns.can_pair(first, second)
    assert fit.any()
    solver = columns.pairs(first[fit], second[fit])
    for place, (one, other) in enumerate(zip(first[fit].tolist(), second[fit].tolist(), strict=True)):
        network = build(machine, [faults[one], faults[other]], apart=True, shorts=True)
        assert network.ends == solver.network.ends
        assert [branch.closed for branch in network.branches] == solver.closed[:, place].tolist()
        assert all(solver.has_role(index, branch.role)[place] for index, branch in enumerate(network.branches))
    same = same_columns(solver)
    both = seen(machine, [(faults[one], faults[other]) for one, other in zip(first[fit], second[fit], strict=True)])
    assert len(set(same.tolist())) < len(same)
    shown: dict[int, np.ndarray] = {}
    for number, codes in zip(same.tolist(), both, strict=True):
        assert (shown.setdefault(number, codes) == codes).all()
