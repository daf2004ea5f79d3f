"""What stands above what: nets, their levels from supply to return, and the row of each symbol.

A net is what wires join. Every symbol gets a side up and a side down by the order of its nets from supply
to return; the levels are then longest paths along that order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from faultwright.circuit import Circuit

from .elements import Drawn, Element, End
from .order import Key, order

_AT_RETURN = ("coil", "lamp", "motor", "solenoid", "magneto", "ground")
"""Loads and grounds stand as low as they can, as the trade draws them."""


@dataclass(frozen=True)
class Arrangement:
    """Sides, rows and levels. Level ``n`` runs above row ``n``; ``row`` is None where nothing is wired."""

    net: Mapping[End, int]
    level: Mapping[int, int]
    tops: tuple[tuple[End, ...], ...]
    bottoms: tuple[tuple[End, ...], ...]
    row: tuple[int | None, ...]
    order: Mapping[int, Key]
    depth: Mapping[int, int]

    @property
    def rows(self) -> int:
        """The number of rows."""
        return max((row for row in self.row if row is not None), default=0) + 1

    def wired(self, end: End) -> bool:
        """Whether anything is joined to ``end``."""
        return self.net[end] in self.level


def arrange(circuit: Circuit, drawn: Drawn) -> Arrangement:
    """Return which side of each symbol is up, its row, and the level of each net."""
    joined = [(End(wire.start), End(wire.end)) for wire in circuit.wires.values()]
    ends = [end for element in drawn.elements for end in element.ends]
    net = _classes(ends, [*joined, *drawn.links])
    shared = {net[end] for pair in (*joined, *drawn.links) for end in pair}
    place = order(drawn.elements, net)
    sides = [
        _sides(element, net, place.net, middle) for element, middle in zip(drawn.elements, place.middle, strict=True)
    ]
    above = _above(sides, net, place.net, shared)
    level = _levels(shared, above, place.net)
    rows = tuple(
        _row(element, top, bottom, net, level) for element, (top, bottom) in zip(drawn.elements, sides, strict=True)
    )
    depth: dict[int, int] = {}
    for node in sorted(shared, key=place.net.__getitem__, reverse=True):
        depth[node] = max((depth[lower] + 1 for lower in above[node]), default=0)
    tops, bottoms = (tuple(pair[side] for pair in sides) for side in (0, 1))
    return Arrangement(net, level, tops, bottoms, rows, place.net, depth)


def _classes(items: Sequence[End], pairs: Iterable[tuple[End, End]]) -> dict[End, int]:
    """Return a class number for each item, equal for items that ``pairs`` join, in order of first appearance."""
    leader = {item: item for item in items}

    def find(item: End) -> End:
        while leader[item] != item:
            leader[item] = leader[leader[item]]
            item = leader[item]
        return item

    for one, other in pairs:
        leader[find(other)] = find(one)
    numbers: dict[End, int] = {}
    return {item: numbers.setdefault(find(item), len(numbers)) for item in items}


# Sides, levels, rows


def _sides(
    element: Element, net: Mapping[End, int], order: Mapping[int, Key], middle: Key
) -> tuple[tuple[End, ...], tuple[End, ...]]:
    """Return the ends that face up and those that face down."""
    if element.symbol == "splice":
        # A splice has no sides of its own: ends nearer the supply than its middle go up.
        up = tuple(end for end in element.first if order[net[end]] < middle)
        return up, tuple(end for end in element.first if end not in up)
    if not element.second:
        return element.first, ()

    def mean(ends: tuple[End, ...]) -> tuple[float, float, int]:
        keys = [order[net[end]] for end in ends]
        return (
            sum(key[1] for key in keys) / len(keys),
            sum(key[2] for key in keys) / len(keys),
            min(key[3] for key in keys),
        )

    if mean(element.second) < mean(element.first):
        return element.second, element.first
    return element.first, element.second


def _above(
    sides: Sequence[tuple[tuple[End, ...], tuple[End, ...]]],
    net: Mapping[End, int],
    order: Mapping[int, Key],
    shared: set[int],
) -> dict[int, set[int]]:
    """Return which nets must run below each net; only pairs that agree with the order, so there is no ring."""
    above: dict[int, set[int]] = {node: set() for node in shared}
    for top, bottom in sides:
        for upper in {net[end] for end in top} & shared:
            above[upper] |= {net[end] for end in bottom if net[end] in shared and order[net[end]] > order[upper]}
    return above


def _levels(shared: set[int], above: Mapping[int, set[int]], order: Mapping[int, Key]) -> dict[int, int]:
    """Return the level of each net: its longest path from above, but no higher than what hangs on it asks."""
    level = dict.fromkeys(sorted(shared, key=order.__getitem__), 0)
    fed: set[int] = set()
    for node in level:
        for lower in above[node]:
            level[lower] = max(level[lower], level[node] + 1)
            fed.add(lower)
    for node in level:
        if node not in fed and above[node] and order[node][1:3] > (0, 0):
            level[node] = min(level[lower] for lower in above[node]) - 1
    return level


def _row(
    element: Element,
    top: tuple[End, ...],
    bottom: tuple[End, ...],
    net: Mapping[End, int],
    level: Mapping[int, int],
) -> int | None:
    """Return the row of a symbol between its nets; where they lie the wrong way round, below its upper one."""

    def of(ends: tuple[End, ...], pick: Callable[[Iterable[int]], int]) -> int | None:
        found = [level[net[end]] for end in ends if net[end] in level]
        return pick(found) if found else None

    high, low = of(top, max), of(bottom, min)
    if high is None and low is None:
        return None
    if high is None or low is None:
        return high if high is not None else max(0, (low or 0) - 1)
    low -= 1
    if low < high:
        return high
    if element.is_source:
        return (high + low) // 2
    return low if element.symbol in _AT_RETURN else high
