"""A search reviewed against the best: what a student did, finding by finding, beside the test tree of the same case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import takewhile

from .circuit import Circuit
from .faults import universe
from .next_test import outcomes_from_here
from .record import Measured, Record
from .sequence_review import Review, review, search_cost
from .suspects import find_suspects
from .test_tree import best_tree


def reviewed_search(
    circuit: Circuit, record: Record, tell: Callable[[int, int], None] = lambda _done, _of: None
) -> Review:
    """Return the review of a record among all faults and the sound machine, with what the best search costs on average.

    The case is what is left at the first reading; what was done before it is the complaint, which either search costs.
    ``tell`` is told how many of how many tests of the best search have been tried.
    """
    complaint = Record(
        record.circuit, tuple(takewhile(lambda action: not isinstance(action, Measured), record.actions))
    )
    found = review(circuit, record, list(universe(circuit).values()), healthy=True)
    left = find_suspects(circuit, complaint)
    hypotheses = [(fault,) for fault in left.faults.values()] + ([()] if left.healthy else [])
    if len(hypotheses) < 2:  # noqa: PLR2004 - one suspect need not be searched for
        return found
    tree = best_tree(outcomes_from_here(circuit, complaint, hypotheses, tell))
    return replace(found, tree_cost=search_cost(complaint) + tree.expected_cost)
