"""The order of columns from left to right: few crossings and short lines, and no column that another has room for.

Columns that a wide symbol joins stay together as one block. Each block is tried in every place in turn and left in
the best one, again and again until nothing gets better (sifting: R. Rudell, "Dynamic variable ordering for ordered
binary decision diagrams", ICCAD 1993, used for crossings by C. Matuszewski, R. Schönfeld and P. Molitor, "Using
sifting for k-layer straightline crossing minimization", Graph Drawing 1999; both from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from .elements import End
from .filling import Filled, span
from .paths import Arrangement
from .wiring import Bar, Stub

CROSSING, MEETING = 6, 3
"""What it costs when a bar passes over a line; one that ends in the bar's level may not be crossed at all."""
BACKWARD = 2
"""What each line costs that leaves a bar to the left of the terminal that feeds it: one reads to the right."""
LENGTH = 1
"""What a column costs that a bar passes over."""
COLUMN = 4
"""What it may cost to do without a column."""
NEAREST = 4
"""How many columns are tried for what may share one."""
ROUNDS = 2


def reorder(filled: Filled, stubs: Mapping[End, Sequence[Stub]], arrangement: Arrangement) -> dict[int, int]:
    """Return each symbol's first column in the best order that was found."""
    order = _Order(filled, stubs, arrangement)
    order.sift()
    for _ in range(ROUNDS):
        if not order.merge():
            break
        order.sift()
    return {index: order.start[block] + offset for index, (block, offset) in order.place.items()}


@dataclass(eq=False)
class _Block:
    """Columns that stay together. ``walls`` are costs, level → column → cost of a bar that passes there."""

    width: int
    pinned: bool
    taken: list[dict[tuple[str, int], Bar | None]]
    walls: list[list[int]]
    bars: dict[Bar, list[int]] = field(default_factory=dict)
    """Each bar that has stubs here → the columns in which they stand."""

    def with_(self, other: _Block, column: int) -> _Block:
        """Return this block with a narrow one in one of its columns."""
        taken = [dict(one) for one in self.taken]
        taken[column] |= other.taken[0]
        walls = [list(wall) for wall in self.walls]
        for wall, more in zip(walls, other.walls, strict=True):
            wall[column] += more[0]
        bars = {bar: list(columns) for bar, columns in self.bars.items()}
        for bar, columns in other.bars.items():
            bars[bar] = [*bars.get(bar, ()), *(column for _ in columns)]
        return _Block(self.width, self.pinned, taken, walls, bars)


class _Order:
    """Blocks from left to right, with what each bar costs as they stand."""

    def __init__(self, filled: Filled, stubs: Mapping[End, Sequence[Stub]], arrangement: Arrangement) -> None:
        self.levels = 2 + max(filled.row.values())
        self.blocks, at = self._blocks(filled)
        self.place = {index: at[column] for index, column in filled.first.items()}
        self.holders: dict[Bar, list[_Block]] = {}
        self.feeds: dict[Bar, tuple[_Block, int]] = {}
        """Bars that a terminal above them feeds, with the column of that terminal."""
        for index, (block, offset) in self.place.items():
            for end, slot in filled.slots[index].items():
                own = filled.row[index] + (end not in arrangement.tops[index])
                for stub in stubs.get(end, ()):
                    self._add(stub, block, offset + slot.column, own)
                    if stub is stub.bar.hub and end not in arrangement.tops[index]:
                        self.feeds[stub.bar] = block, offset + slot.column
        self._set_starts()

    def _blocks(self, filled: Filled) -> tuple[list[_Block], list[tuple[_Block, int]]]:
        """Return the blocks, and for each column its block and its place in it."""
        joined = {
            column
            for index, first in filled.first.items()
            for column in range(first + 1, first + span(filled.slots[index]))
        }
        blocks: list[_Block] = []
        at: list[tuple[_Block, int]] = []
        for column in range(filled.count):
            if column not in joined:
                blocks.append(_Block(0, pinned=False, taken=[], walls=[[] for _ in range(self.levels)]))
            block = blocks[-1]
            at.append((block, block.width))
            block.width += 1
            block.pinned |= column in filled.pinned
            block.taken.append({})
            for wall in block.walls:
                wall.append(0)
        for (lane, column, level), bar in filled.taken.items():
            block, offset = at[column]
            block.taken[offset][lane, level] = bar
        return blocks, at

    def _add(self, stub: Stub, block: _Block, column: int, own: int) -> None:
        """Note a stub: its bar has an end there, and bars at the levels that it passes cross it."""
        level = stub.bar.level
        for passed in range(min(own, level), max(own, level) + 1):
            block.walls[passed][column] += MEETING if passed == level else CROSSING
        if stub.bar not in block.bars:
            self.holders.setdefault(stub.bar, []).append(block)
        block.bars.setdefault(stub.bar, []).append(column)

    def _set_starts(self) -> None:
        self.start: dict[_Block, int] = {}
        column = 0
        for block in self.blocks:
            self.start[block] = column
            column += block.width
        self.walls = [[cost for block in self.blocks for cost in block.walls[level]] for level in range(self.levels)]
        self.ends: dict[Bar, tuple[int, int]] = {}
        self.cost = {bar: self._cost(bar) for bar in self.holders}

    def _cost(self, bar: Bar) -> int:
        """Return what a bar costs as the blocks stand, and note where it ends."""
        columns = [self.start[block] + column for block in self.holders[bar] for column in block.bars[bar]]
        left, right = self.ends[bar] = min(columns), max(columns)
        if left == right:
            return 0
        own = len(columns) - columns.count(left) - columns.count(right)
        cost = sum(self.walls[bar.level][left + 1 : right]) - MEETING * own + LENGTH * (right - left)
        feed = self.feeds.get(bar)
        if feed is not None and left < (at := self.start[feed[0]] + feed[1]):
            cost += BACKWARD * sum(column < at for column in columns)
        return cost

    # Sifting

    def sift(self) -> None:
        """Move each block to its best place, until a round brings nothing."""
        for _ in range(ROUNDS):
            before = sum(self.cost.values())
            for block in list(self.blocks):
                if not block.pinned and block.bars:
                    self._sift(block)
            if sum(self.cost.values()) >= before:
                return

    def _sift(self, block: _Block) -> None:
        here = self.blocks.index(block)
        best, least, cost = here, 0, 0
        at = here
        # Not before the first and not after the last of the pinned ones: sources stay left, what is loose right.
        first = 1 if self.blocks[0].pinned else 0
        last = len(self.blocks) - 1
        while last > here and self.blocks[last].pinned:
            last -= 1
        while at > first:
            at -= 1
            cost += self._swap(at)
            if cost < least:
                best, least = at, cost
        while at < last:
            cost += self._swap(at)
            at += 1
            if cost < least or (cost == least and abs(at - here) < abs(best - here)):
                best, least = at, cost
        while at > best:
            at -= 1
            self._swap(at)

    def _swap(self, at: int) -> int:
        """Change places of two neighbours; return what it costs more."""
        left, right = self.blocks[at : at + 2]
        self.blocks[at : at + 2] = right, left
        start = self.start[left]
        end = start + left.width + right.width
        self.start[right], self.start[left] = start, start + right.width
        for level, wall in enumerate(self.walls):
            wall[start:end] = right.walls[level] + left.walls[level]
        more = 0
        for bar in {**left.bars, **right.bars}:
            first, last = self.ends[bar]
            feed = self.feeds.get(bar)
            if first < start and end <= last and (feed is None or feed[0] not in (left, right)):
                continue  # it passes over both, whichever comes first
            cost = self._cost(bar)
            more += cost - self.cost[bar]
            self.cost[bar] = cost
        return more

    # Merging

    def merge(self) -> bool:
        """Put narrow blocks into columns that have room for them, where that costs next to nothing; say if any was."""
        merged = False
        for block in list(self.blocks):
            if block in self.start and block.width == 1 and not block.pinned and block.bars:
                merged |= any(self._merge(block, host, column) for host, column in self._hosts(block)[:NEAREST])
        return merged

    def _hosts(self, block: _Block) -> list[tuple[_Block, int]]:
        """Return the columns that have room for a narrow block, the nearest first."""
        (taken,) = block.taken
        start = self.start[block]
        found = [
            (abs(self.start[host] + column - start), self.start[host], host, column)
            for host in self.blocks
            if host is not block and host.bars
            for column, there in enumerate(host.taken)
            if all(place not in there or (bar is not None and there[place] is bar) for place, bar in taken.items())
        ]
        return [(host, column) for *_, host, column in sorted(found, key=lambda one: one[:2])]

    def _merge(self, block: _Block, host: _Block, column: int) -> bool:
        """Put a narrow block into a column of another; say whether that was good, else leave all as it was."""
        before = self.blocks, self.holders, self.feeds, sum(self.cost.values())
        joined = host.with_(block, column)
        self.blocks = [joined if one is host else one for one in self.blocks if one is not block]
        self.feeds = {
            bar: (joined, at + (column if one is block else 0)) if one is host or one is block else (one, at)
            for bar, (one, at) in self.feeds.items()
        }
        self.holders = {
            bar: list(dict.fromkeys(joined if one is host or one is block else one for one in holders))
            for bar, holders in self.holders.items()
        }
        self._set_starts()
        if sum(self.cost.values()) > before[3] + COLUMN:
            self.blocks, self.holders, self.feeds, _ = before
            self._set_starts()
            return False
        for index, (holder, offset) in self.place.items():
            if holder is host or holder is block:
                self.place[index] = joined, offset + (column if holder is block else 0)
        return True
