"""The test tree: which test to make first, and next after each outcome, at the least expected cost.

Everything comes from the outcome table. Each test begins where the table begins, so it costs the same wherever it
stands in the tree. A tree's cost is each test's cost, weighted by the share of the suspects that reach it.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from .analysis_texts import text
from .candidates import Candidate
from .drawing.tree import Entry
from .outcomes import Hypothesis, OutcomeTable

MOST_SUBSETS = 5_000
"""Subsets of suspects examined for the best tree; over more the tree is built greedily."""
MOST_EXACT = 100
"""Suspects (told apart) from which the best tree is not sought: a search recurses once for each at the deepest."""
LEAST_HALF = 1 / 3
"""Share of the smaller part from which two parts are nearly equal halves."""
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Node:
    """A test, or an end (``test`` None) with suspects that these tests do not tell apart.

    ``suspects`` are hypotheses by number, ``share`` what they make up of all. ``branches`` hold what the test shows
    and the number of the node that follows.
    """

    suspects: tuple[int, ...]
    share: float
    test: Candidate | None = None
    branches: tuple[tuple[str, int], ...] = ()
    half_split: bool = False


@dataclass(frozen=True)
class Tree:
    """A test tree: its nodes in the order in which they are read, the first one first.

    ``bound`` is an expected cost that no tree undercuts; ``exact`` says that this tree is the best.
    """

    hypotheses: tuple[Hypothesis, ...]
    nodes: tuple[Node, ...]
    exact: bool
    bound: float

    @property
    def expected_cost(self) -> float:
        """What the tests cost on average, relative to a look at the machine."""
        return sum(node.share * node.test.cost for node in self.nodes if node.test)

    @property
    def expected_tests(self) -> float:
        """How many tests are made on average."""
        return sum(node.share for node in self.nodes if node.test)

    @property
    def worst_tests(self) -> int:
        """How many tests are made at worst."""
        return max(self.levels)

    @cached_property
    def levels(self) -> tuple[int, ...]:
        """How many tests lie before each node."""
        found = [0] * len(self.nodes)
        for number, node in enumerate(self.nodes):
            for _, follows in node.branches:
                found[follows] = found[number] + 1
        return tuple(found)


def best_tree(table: OutcomeTable, most_subsets: int = MOST_SUBSETS) -> Tree:
    """Return the tree of the least expected cost, or a greedy one where more than ``most_subsets`` would be examined.

    The greedy tree takes the test with the most expected information for its cost at each node.
    """
    case = _Case(table)
    search = _Search(case, most_subsets)
    exact = search.finds()
    bound = search.bound()
    choose = search.chosen if exact else case.most_informative
    tree = Tree(table.hypotheses, tuple(_nodes(case, choose)), exact, bound)
    return tree
