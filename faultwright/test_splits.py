"""The outcome table made ready for trees: who can be told apart at all, what each test splits, what it must cost.

Groups that no test tells apart count as one, a subset of the groups is a whole number with a bit for each, and of
tests that split alike only the cheapest is kept.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from .outcomes import OutcomeTable

HALVES = 2
LEAST_HALF = 1 / 3
"""Share of the smaller of two parts from which they count as nearly equal halves."""
ROUNDING = 1e-9
"""Costs and rates that differ by less are equal."""


class Split(NamedTuple):
    """A test, and the parts into which it splits some suspects: sets of groups, as bits."""

    cost: float
    test: int
    parts: tuple[int, ...]


class Splits:
    """A table made ready: ``groups`` by number hold hypotheses, ``weights`` are their shares."""

    def __init__(self, table: OutcomeTable) -> None:
        """Gather the groups, and the tests that split them."""
        self.table = table
        alike: dict[tuple[int, ...], list[int]] = {}
        for number in range(len(table.hypotheses)):
            alike.setdefault(tuple(parts[number] for parts in table.parts), []).append(number)
        self.groups = list(alike.values())
        self.weights = [math.fsum(table.shares[number] for number in group) for group in self.groups]
        self.everyone = (1 << len(self.groups)) - 1
        self._shares: dict[int, float] = {}
        self._bounds: dict[int, float] = {}
        order = sorted(range(len(table.tests)), key=lambda test: table.tests[test].cost)
        self.tests = [Split(table.tests[test].cost, test, self._parts(alike, test)) for test in order]
        self.tests = self.splits(self.everyone)
        self.tiers = list(self._tiers())
        self.bits_for_cost = max((math.log2(len(split.parts)) / split.cost for split in self.tests), default=0.0)

    @staticmethod
    def _parts(alike: dict[tuple[int, ...], list[int]], test: int) -> tuple[int, ...]:
        masks: dict[int, int] = {}
        for bit, shown in enumerate(alike):
            masks[shown[test]] = masks.get(shown[test], 0) | 1 << bit
        return tuple(masks[part] for part in sorted(masks))

    def splits(self, subset: int) -> list[Split]:
        """Return the tests that split a subset, the cheapest first; of those that split it alike only the first."""
        found: dict[frozenset[int], Split] = {}
        for cost, test, parts in self.tests:
            inside = tuple(part & subset for part in parts if part & subset)
            if len(inside) > 1:
                found.setdefault(frozenset(inside), Split(cost, test, inside))
        return list(found.values())

    def shown(self, test: int, part: int) -> str:
        """Return in words what a test shows with the groups of a part."""
        first = self.groups[bits_of(part)[0]][0]
        return self.table.shown[test][self.table.parts[test][first]]

    def share(self, subset: int) -> float:
        """Return the share of a subset of the groups."""
        if subset not in self._shares:
            self._shares[subset] = math.fsum(self.weights[bit] for bit in bits_of(subset))
        return self._shares[subset]

    def bits(self, parts: Sequence[int]) -> float:
        """Return the entropy of parts among themselves, in bits."""
        shares = [share for part in parts if (share := self.share(part)) > 0]
        return -math.fsum(share / sum(shares) * math.log2(share / sum(shares)) for share in shares)

    def most_informative(self, subset: int) -> Split:
        """Return the test with the most expected information for its cost; the first of equals."""
        best, most = None, -1.0
        for split in self.splits(subset):
            rate = self.bits(split.parts) / split.cost
            if rate > most + ROUNDING:
                best, most = split, rate
        assert best is not None  # noqa: S101 - groups differ in some test
        return best

    def is_half_split(self, subset: int, chosen: Split) -> bool:
        """Say whether a test leaves two parts of a subset, nearly equal, and none that costs as much comes nearer."""
        if len(chosen.parts) > HALVES:
            return False
        others = [split for split in self.splits(subset) if len(split.parts) == HALVES and split.cost == chosen.cost]
        nearest = max(self._smallest(split) for split in others)
        return self._smallest(chosen) >= max(nearest, LEAST_HALF * self.share(subset)) - ROUNDING

    def _smallest(self, split: Split) -> float:
        return min(map(self.share, split.parts))

    def bound(self, subset: int) -> float:
        """Return a cost that no tree for these groups undercuts, weighted by their shares. It is the larger of two.

        *By length.* Order the costs of the tests, c₁ < c₂ < …, and let a cluster of tier l be groups that no test
        cheaper than c_l tells apart. A test at which a cluster of tier l parts costs at least c_l, and the clusters of
        the tiers below, in which it lies, part there too. So with n_l(i) the tests on the way to group i at which its
        cluster of tier l parts, that way costs at least Σ_l n_l(i)·(c_l − c_(l−1)), with c₀ = 0. Within a cluster
        those tests form a tree with as many branches as tests part it into at most, and no such tree has a smaller
        mean length than Huffman's (D. A. Huffman, Proceedings of the IRE 40, 1952).

        *By information.* The entropies of all tests, weighted by the shares that come to them, add up to that of the
        groups, and a test with k parts has at most log₂ k bits for its cost.
        """
        if subset not in self._bounds:
            lengths = sum(
                rise * huffman([self.weights[bit] for bit in bits_of(cluster & subset)], most)
                for rise, clusters in self.tiers
                for cluster, most in clusters
                if not is_single(cluster & subset)
            )
            groups = [1 << bit for bit in bits_of(subset)]
            information = self.share(subset) * self.bits(groups) / self.bits_for_cost if len(groups) > 1 else 0.0
            self._bounds[subset] = max(lengths, information)
        return self._bounds[subset]

    def bound_after(self, subset: int, split: Split) -> float:
        """Return a cost that no tree for these groups undercuts if it begins with this test."""
        return split.cost * self.share(subset) + sum(map(self.bound, split.parts))

    def bound_ahead(self) -> float:
        """Return a cost that no tree undercuts, found by looking one test ahead."""
        ahead = min((self.bound_after(self.everyone, split) for split in self.tests), default=0.0)
        return max(self.bound(self.everyone), ahead)

    def _tiers(self) -> Iterator[tuple[float, list[tuple[int, int]]]]:
        """Yield how much more each tier costs than the one before, and its clusters, each with its most parts."""
        clusters, before = [self.everyone], 0.0
        for cost in sorted({split.cost for split in self.tests}):
            clusters = [cluster for cluster in clusters if not is_single(cluster)]
            most = [max(sum(bool(part & cluster) for part in split.parts) for split in self.tests)
                    for cluster in clusters]  # fmt: skip
            yield cost - before, list(zip(clusters, most, strict=True))
            for split in self.tests:
                if split.cost == cost:
                    clusters = [inside for cluster in clusters for part in split.parts if (inside := cluster & part)]
            before = cost


def is_single(subset: int) -> bool:
    """Say whether a subset is one group at most."""
    return subset & (subset - 1) == 0


def bits_of(subset: int) -> list[int]:
    """Return the groups of a subset by number."""
    found = []
    while subset:
        last = subset & -subset
        found.append(last.bit_length() - 1)
        subset ^= last
    return found


def huffman(weights: Sequence[float], ways: int) -> float:
    """Return the least sum of weight × length of way over all trees with at most so many branches a node."""
    heap = [*weights, *[0.0] * (-(len(weights) - 1) % (ways - 1))]
    heapq.heapify(heap)
    total = 0.0
    while len(heap) > 1:
        joined = sum(heapq.heappop(heap) for _ in range(ways))
        total += joined
        heapq.heappush(heap, joined)
    return total
