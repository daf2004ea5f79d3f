"""Conflicts: the smallest sets that speak against every hypothesis, and the smallest that explain every conflict.

Both are the same question (Reiter, *A theory of diagnosis from first principles*, 1987, from memory): for each of many
families of sets, hold one of its members whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

Family = Sequence[frozenset[int]]
"""Sets of which one is enough."""


def minimal_sets(families: Iterable[Family]) -> Iterator[tuple[int, ...]]:
    """Yield every set that holds, of each family, one member whole, and of which no part does; the smallest first.

    Among sets of one size the one with the lowest numbers comes first. None where a family is empty.
    """
    distinct = {frozenset(_smallest(family)) for family in families}
    asked = sorted((sorted(family, key=sorted) for family in distinct), key=len)
    numbers = sorted({number for family in asked for one in family for number in one})
    found: list[frozenset[int]] = []
    for size in range(len(numbers) + 1):
        for chosen in combinations(numbers, size):
            held = frozenset(chosen)
            if any(one <= held for one in found):
                continue
            if all(any(one <= held for one in family) for family in asked):
                found.append(held)
                yield chosen


def _smallest(family: Family) -> list[frozenset[int]]:
    """Return the members that hold no other member."""
    return [one for one in family if not any(other < one for other in family)]
