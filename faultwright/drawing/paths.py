"""What stands above what: nets, their levels from supply to return, and the row of each symbol.

A net is what wires join. Every symbol gets a side up and a side down by how near its nets are to supply
and return, counted in symbols; the levels are then longest paths. Whole numbers only, so that the same
circuit is drawn alike on every machine.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from faultwright.circuit import FRAME, Circuit

from .elements import Drawn, Element, End

_AT_RETURN = ("coil", "lamp", "motor", "solenoid", "magneto", "ground")
"""Loads and grounds stand as low as they can, as the trade draws them."""

_Key = tuple[int, float, int]


@dataclass(frozen=True)
class Arrangement:
    """Sides, rows and levels. Level ``n`` runs above row ``n``; ``row`` is None where nothing is wired."""

    net: Mapping[End, int]
    level: Mapping[int, int]
    tops: tuple[tuple[End, ...], ...]
    bottoms: tuple[tuple[End, ...], ...]
    row: tuple[int | None, ...]
    order: Mapping[int, _Key]
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
    order, centre = _order(drawn.elements, net)
    sides = [_sides(element, net, order, centre[index]) for index, element in enumerate(drawn.elements)]
    above = _above(sides, net, order, shared)
    level = _levels(shared, above, order)
    rows = tuple(
        _row(element, top, bottom, net, level) for element, (top, bottom) in zip(drawn.elements, sides, strict=True)
    )
    depth: dict[int, int] = {}
    for node in sorted(shared, key=lambda node: order[node], reverse=True):
        depth[node] = max((depth[lower] + 1 for lower in above[node]), default=0)
    tops, bottoms = (tuple(pair[side] for pair in sides) for side in (0, 1))
    return Arrangement(net, level, tops, bottoms, rows, order, depth)


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


# Order: from supply to return


def _order(elements: Sequence[Element], net: Mapping[End, int]) -> tuple[dict[int, _Key], list[_Key]]:
    """Return the order key of every net and, for its middle, of every element: island, share of the way down, number."""
    touching: dict[int, list[int]] = defaultdict(list)
    for index, element in enumerate(elements):
        for end in element.ends:
            touching[net[end]].append(index)
    keys: dict[int, _Key] = {}
    centre: dict[int, _Key] = {}
    frame = net[End(FRAME)]
    for island, (nets, inside) in enumerate(_islands(elements, net, touching)):
        members = [elements[index] for index in inside]
        supply, back = _rails(members, nets, net, frame)
        # A source joins the rails themselves; counted as a way it would make supply and return neighbours.
        skipped = {
            index
            for index in inside
            if elements[index].is_source and net[elements[index].first[0]] in supply and net[elements[index].second[0]] in back
        }
        far = 2 * (len(nets) + len(inside))
        down = _distances(supply, elements, net, touching, skipped)
        up = _distances(back, elements, net, touching, skipped)

        def share(node: tuple[str, int], down: Mapping[tuple[str, int], int], up: Mapping[tuple[str, int], int], far: int) -> float:
            gone, left = down.get(node, far), up.get(node, far)
            return gone / (gone + left) if gone + left else 0.0

        keys |= {node: (island, share(("net", node), down, up, far), node) for node in nets}
        centre |= {index: (island, share(("element", index), down, up, far), index) for index in inside}
    return keys, [centre[index] for index in range(len(elements))]


def _islands(
    elements: Sequence[Element], net: Mapping[End, int], touching: Mapping[int, Sequence[int]]
) -> list[tuple[list[int], list[int]]]:
    """Return nets and elements of each part of the circuit that hangs together, islands with a source first."""
    seen: set[int] = set()
    islands: list[tuple[list[int], list[int]]] = []
    for first in touching:
        if first in seen:
            continue
        seen.add(first)
        nets, inside, waiting = [first], set[int](), deque([first])
        while waiting:
            for index in touching[waiting.popleft()]:
                if index in inside:
                    continue
                inside.add(index)
                for node in dict.fromkeys(net[end] for end in elements[index].ends):
                    if node not in seen:
                        seen.add(node)
                        nets.append(node)
                        waiting.append(node)
        islands.append((sorted(nets), sorted(inside)))
    return sorted(islands, key=lambda island: not any(elements[index].is_source for index in island[1]))


def _rails(
    members: Sequence[Element], nets: Sequence[int], net: Mapping[End, int], frame: int
) -> tuple[set[int], set[int]]:
    """Return the supply nets and the return nets of an island, with the best stand-in where it has no source."""
    plus = {net[element.first[0]] for element in members if element.is_source}
    minus = {net[element.second[0]] for element in members if element.is_source}
    supply = plus - minus or plus
    if not supply:
        supply = {net[element.first[0]] for element in members if element.symbol == "magneto"} - {frame}
    if not supply:
        supply = {next((node for node in nets if node != frame), nets[0])}
    back = minus - supply
    if not back and frame in nets:
        back = {frame} - supply
    return supply, back


def _distances(
    start: Iterable[int],
    elements: Sequence[Element],
    net: Mapping[End, int],
    touching: Mapping[int, Sequence[int]],
    skipped: set[int],
) -> dict[tuple[str, int], int]:
    """Return how many half symbols lie between ``start`` and each net and each element's middle."""
    found: dict[tuple[str, int], int] = {("net", node): 0 for node in start}
    waiting = deque(found)
    while waiting:
        kind, number = place = waiting.popleft()
        if kind == "net":
            near = [("element", index) for index in touching[number] if index not in skipped]
        else:
            near = [("net", net[end]) for end in elements[number].ends]
        for other in near:
            if other not in found:
                found[other] = found[place] + 1
                waiting.append(other)
    return found


# Sides, levels, rows


def _sides(
    element: Element, net: Mapping[End, int], order: Mapping[int, _Key], centre: _Key
) -> tuple[tuple[End, ...], tuple[End, ...]]:
    """Return the ends that face up and those that face down."""
    if element.symbol == "splice":
        # A splice has no sides of its own: ends nearer the supply than its middle go up.
        up = tuple(end for end in element.first if order[net[end]][1] < centre[1])
        return up, tuple(end for end in element.first if end not in up)
    if not element.second:
        return element.first, ()

    def mean(ends: tuple[End, ...]) -> float:
        return sum(order[net[end]][1] for end in ends) / len(ends)

    first, second = mean(element.first), mean(element.second)
    flipped = second < first
    if first == second and len(element.ends) == 2:  # noqa: PLR2004 - a bridge between equals: by number, as levels are
        flipped = order[net[element.second[0]]] < order[net[element.first[0]]]
    return (element.second, element.first) if flipped else (element.first, element.second)


def _above(
    sides: Sequence[tuple[tuple[End, ...], tuple[End, ...]]],
    net: Mapping[End, int],
    order: Mapping[int, _Key],
    shared: set[int],
) -> dict[int, set[int]]:
    """Return which nets must run below each net; only pairs that agree with the order, so there is no ring."""
    above: dict[int, set[int]] = {node: set() for node in shared}
    for top, bottom in sides:
        for upper in {net[end] for end in top} & shared:
            above[upper] |= {net[end] for end in bottom if net[end] in shared and order[net[end]] > order[upper]}
    return above


def _levels(shared: set[int], above: Mapping[int, set[int]], order: Mapping[int, _Key]) -> dict[int, int]:
    """Return the level of each net: its longest path from above, but no higher than what hangs on it asks."""
    level = dict.fromkeys(sorted(shared, key=lambda node: order[node]), 0)
    fed: set[int] = set()
    for node in level:
        for lower in above[node]:
            level[lower] = max(level[lower], level[node] + 1)
            fed.add(lower)
    for node in level:
        if node not in fed and above[node] and order[node][1] > 0:
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
