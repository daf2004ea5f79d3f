"""How far apart the columns stand: as near as what stands side by side allows, band by band.

The sheet is cut into bands across: for each level a strip for words, the tracks and another strip for words, then the
row below. Two columns need room for two words only where both have one in the same band.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from math import ceil

LEVEL_ABOVE, TRACKS, LEVEL_BELOW, ROW = range(4)
HEADING = -1
"""The band of the path numbers."""
GAP = 8
"""Pixels between what stands side by side."""
CUT = 16
"""Pixels between what stands on both sides of a cut."""
PITCH, LANE_PITCH = 26, 12
"""Pixels from column to column at least: room for two terminals; for two lines."""


def band(number: int, place: int) -> int:
    """Return the band of a level's strip or tracks, or of the row with that number."""
    return 4 * number + place


@dataclass(frozen=True, slots=True)
class Item:
    """What stands in a band, from its first column to its last, and how far it reaches left and right of them."""

    first: int
    last: int
    left: float
    right: float


class Bands:
    """Collects items and sets the columns."""

    def __init__(self) -> None:
        """Start with nothing."""
        self._items: dict[int, list[Item]] = defaultdict(list)

    def add(self, bands: int | range, first: int, left: float, right: float, last: int | None = None) -> None:
        """Note what reaches from column ``first`` to ``last`` in a band, or in each of several."""
        item = Item(first, first if last is None else last, left, right)
        for each in (bands,) if isinstance(bands, int) else bands:
            self._items[each].append(item)

    def set_columns(
        self, count: int, lanes: Collection[int], margin: float, breaks: Collection[int] = ()
    ) -> tuple[list[float], list[float]]:
        """Return the x of each column, and of each column how far to the right reaches what stands before it.

        What stands in the columns from a break on keeps clear of everything before, as if cut straight down. The
        second list has one number more than there are columns: the last is how far anything reaches.
        """
        needs: dict[int, dict[int, float]] = defaultdict(dict)
        start = [0.0] * count
        reach: dict[int, float] = defaultdict(float)
        for items in self._items.values():
            for item in items:
                start[item.first] = max(start[item.first], item.left)
                reach[item.last] = max(reach[item.last], item.right)
        for left, right, need in self._needs():
            needs[right][left] = max(needs[right].get(left, 0.0), need)
        found: list[float] = []
        edges = [margin]
        clear = margin
        for column in range(count):
            if column in breaks:
                clear = edges[-1] + CUT
            x = clear + start[column]
            if column:
                beside_lane = column in lanes or column - 1 in lanes
                x = max(x, found[-1] + (LANE_PITCH if beside_lane else PITCH))
            found.append(ceil(max([x, *(found[left] + need for left, need in needs[column].items())])))
            edges.append(max(edges[-1], found[-1] + reach[column]))
        return found, edges

    def _needs(self) -> Iterator[tuple[int, int, float]]:
        """Yield a column, the next one that has something in the same band, and the pixels between them."""
        for items in self._items.values():
            left: dict[int, float] = {}
            right: dict[int, float] = {}
            for item in items:
                left[item.first] = max(left.get(item.first, 0.0), item.left)
                right[item.last] = max(right.get(item.last, 0.0), item.right)
            starts, ends = sorted(left), sorted(right)
            # Items do not overlap: between an item's last column and the next one's first nothing stands.
            for start in starts[1:]:
                place = bisect_left(ends, start)
                if place:
                    yield ends[place - 1], start, right[ends[place - 1]] + GAP + left[start]
