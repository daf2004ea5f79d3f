"""The test tree: which test to make first, and which after each outcome, at the least expected cost.

Everything comes from the outcome table. Each test begins where the table begins, so it costs the same wherever it
stands in the tree. A tree's expected cost is each test's cost, weighted by the share of the suspects that come to it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from .analysis_texts import text
from .candidates import Candidate
from .drawing.tree import Entry
from .families import Hypothesis
from .outcomes import OutcomeTable
from .test_splits import ROUNDING, Split, Splits, bits_of, is_single

MOST_SUBSETS = 3_000
"""Subsets of the suspects that are examined for the best tree; where more would be, a greedy tree is built."""
DEEPEST = 100
"""Suspects told apart up to which the best tree is sought: the search goes down at most one call deeper for each."""


@dataclass(frozen=True, slots=True)
class Node:
    """A test, or an end (``test`` None) with suspects that none of the tests tell apart.

    ``suspects`` are hypotheses by number and ``share`` their share of all. ``branches`` hold what the test shows, in
    words, and the number of the node that follows. ``half_split``: the test leaves two nearly equal halves by share,
    and no other that costs as much and leaves two parts comes nearer to half.
    """

    suspects: tuple[int, ...]
    share: float
    test: Candidate | None = None
    branches: tuple[tuple[str, int], ...] = ()
    half_split: bool = False


@dataclass(frozen=True)
class Tree:
    """A test tree: its nodes as they are read, what follows a test behind it.

    ``exact`` says that no tree has a smaller expected cost; where that is not known, none costs less than ``bound``.
    """

    hypotheses: tuple[Hypothesis, ...]
    nodes: tuple[Node, ...]
    exact: bool
    bound: float

    @property
    def expected_cost(self) -> float:
        """What the tests cost on average, a look at the machine being 1."""
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

    def names(self, node: Node) -> list[str]:
        """Return the suspects of a node by name, in the order of the table."""
        return list(dict.fromkeys(_name(self.hypotheses[number]) for number in node.suspects))

    def as_json(self) -> dict[str, Any]:
        """The tree as the command line's JSON gives it; its nodes are a list, so that no tree is too deep to read."""
        return {
            "exact": self.exact,
            "expected_cost": self.expected_cost,
            "bound": self.bound,
            "expected_tests": self.expected_tests,
            "worst_tests": self.worst_tests,
            "nodes": [
                {
                    "left": len(node.suspects),
                    "share": node.share,
                    "test": node.test.as_json() if node.test else None,
                    "half_split": node.half_split,
                    "branches": [{"shown": shown, "node": follows} for shown, follows in node.branches],
                    "suspects": [] if node.test else self.names(node),
                }
                for node in self.nodes
            ],
        }

    def remarks(self) -> list[str]:
        """Return what there is to say of the whole tree, in words."""
        excess = f"{self.expected_cost - self.bound:.2f}"
        figures = {"cost": f"{self.expected_cost:.2f}", "tests": f"{self.expected_tests:.2f}"}
        return [
            text("tree.exact") if self.exact else text("tree.greedy", excess=excess),
            text("tree.figures", **figures, worst=self.worst_tests),
        ]

    def entries(self) -> list[Entry]:
        """Return the tree line by line: tests, and who is left at the ends; for words and for the drawing."""
        shown = {follows: words for node in self.nodes for words, follows in node.branches}
        return [
            Entry(
                level=level,
                shown=shown.get(number, ""),
                words=node.test.words() if node.test else text("tree.or").join(self.names(node)) or text("tree.nobody"),
                end=node.test is None,
                note=text("tree.half_split") if node.half_split else "",
            )
            for number, (node, level) in enumerate(zip(self.nodes, self.levels, strict=True))
        ]

    def words(self) -> list[str]:
        """Return the tree as indented lines."""
        found = self.remarks()
        for entry in self.entries():
            words = text("tree.note", words=entry.words, note=entry.note) if entry.note else entry.words
            line = text("tree.line", shown=entry.shown, words=words) if entry.shown else words
            found.append("  " * entry.level + line)
        return found


def _name(hypothesis: Hypothesis) -> str:
    return text("tree.together").join(fault.name for fault in hypothesis) or text("tree.sound")


def best_tree(table: OutcomeTable, most_subsets: int = MOST_SUBSETS) -> Tree:
    """Return the tree of the least expected cost; where more than ``most_subsets`` would be examined, a greedy one.

    The greedy tree takes at each node the test with the most expected information for its cost, save where the
    search had already found the best for those suspects.
    """
    case = Splits(table)
    search = _Search(case, most_subsets)
    ended = search.ends()
    nodes = _nodes(case, lambda subset: search.chosen.get(subset) or case.most_informative(subset))
    tree = Tree(table.hypotheses, nodes, exact=False, bound=case.bound_ahead())
    if ended or tree.expected_cost <= tree.bound + ROUNDING:
        return replace(tree, exact=True, bound=tree.expected_cost)
    return tree


class _TooManyError(Exception):
    """The best tree would take more subsets than are examined."""


class _Search:
    """The best tree: the best test of each subset that its parts can lead to, by branch and bound."""

    def __init__(self, case: Splits, most: int) -> None:
        self.case, self.most = case, most
        self.costs: dict[int, float] = {}
        self.chosen: dict[int, Split] = {}

    def ends(self) -> bool:
        """Search, and say whether that came to its end."""
        if len(self.case.groups) > DEEPEST:
            return False
        try:
            self._best(self.case.everyone)
        except _TooManyError:
            return False
        return True

    def _best(self, subset: int) -> float:
        """Return the least cost for a subset, weighted by its share. Raises _TooManyError."""
        if is_single(subset):
            return 0.0
        if subset in self.costs:
            return self.costs[subset]
        if len(self.costs) >= self.most:
            raise _TooManyError
        case = self.case
        splits = sorted(((case.bound_after(subset, split), split) for split in case.splits(subset)), key=_by_bound)
        best, chosen = math.inf, splits[0][1]
        for bound, split in splits:
            cost = bound
            for part in split.parts:
                if cost >= best - ROUNDING:
                    break
                cost += self._best(part) - case.bound(part)
            if cost < best - ROUNDING:
                best, chosen = cost, split
        self.costs[subset], self.chosen[subset] = best, chosen
        return best


def _by_bound(found: tuple[float, Split]) -> float:
    """Order tests by what they can cost at the least; equals stay in the order of their own cost."""
    return round(found[0], 9)


def _nodes(case: Splits, choose: Callable[[int], Split]) -> tuple[Node, ...]:
    """Return the nodes of a tree as they are read; the tests come from ``choose``."""
    nodes: list[Node] = []
    branches: list[list[tuple[str, int]]] = []
    waiting = [(case.everyone, "", -1)]
    while waiting:
        subset, shown, before = waiting.pop()
        if before >= 0:
            branches[before].append((shown, len(nodes)))
        suspects = tuple(sorted(number for bit in bits_of(subset) for number in case.groups[bit]))
        node = Node(suspects, case.share(subset))
        if not is_single(subset):
            split = choose(subset)
            node = replace(node, test=case.table.tests[split.test], half_split=case.is_half_split(subset, split))
            waiting += [(part, case.shown(split.test, part), len(nodes)) for part in reversed(split.parts)]
        nodes.append(node)
        branches.append([])
    return tuple(replace(node, branches=tuple(its)) for node, its in zip(nodes, branches, strict=True))
