"""Conflicts: the smallest sets that speak against every hypothesis, and the smallest that explain every conflict.

Both are the same question (Reiter, *A theory of diagnosis from first principles*, 1987, from memory): for each of many
families of sets, hold one of its members whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from heapq import heappop, heappush

Family = Sequence[frozenset[int]]
"""Sets of which one is enough."""


def minimal_sets(families: Iterable[Family]) -> Iterator[tuple[int, ...]]:
    """Yield every set that holds, of each family, one member whole, and of which no part does; the smallest first.

    Among sets of one size the one with the lowest numbers comes first. None where a family is empty.
    """
    distinct = {frozenset(_smallest(family)) for family in families}
    asked = sorted((sorted(family, key=sorted) for family in distinct), key=len)
    found: list[frozenset[int]] = []
    # A set grows by a member of the first family that it does not hold one of. What it grows to is larger, so the
    # smallest of those that wait has had all its own parts before it.
    waiting: list[tuple[int, tuple[int, ...]]] = [(0, ())]
    seen: set[tuple[int, ...]] = set()
    while waiting:
        _, chosen = heappop(waiting)
        held = frozenset(chosen)
        if any(one <= held for one in found):
            continue
        missing = next((family for family in asked if not any(one <= held for one in family)), None)
        if missing is None:
            found.append(held)
            yield chosen
            continue
        for one in missing:
            grown = tuple(sorted(held | one))
            if grown not in seen:
                seen.add(grown)
                heappush(waiting, (len(grown), grown))


def _smallest(family: Family) -> list[frozenset[int]]:
    """Return the members that hold no other member."""
    return [one for one in family if not any(other < one for other in family)]
