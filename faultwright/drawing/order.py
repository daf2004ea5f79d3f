"""From supply to return: how far down each net lies, so that current runs down the sheet.

Every symbol is taken as a closed, plain conductor, and supply and return are held at 0 and 1. What falls
between is the potential of such a network, which orders nets along every current path. Dead ends, which
carry nothing, are ordered by counting symbols. None of this is a reading: it only places ink.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from faultwright.circuit import FRAME

from .elements import Element, End

Key = tuple[int, float, float, int]
"""Sort key of a net: island, potential, share of the way counted in symbols, number."""

_LOADS = ("coil", "lamp", "motor", "solenoid", "resistor", "diode", "magneto")
_DIGITS = 9

# A place is a net, or the middle of an element: its index counted down from -1.
_Place = int


@dataclass(frozen=True)
class Order:
    """The key of each net and of each element's middle."""

    net: Mapping[int, Key]
    middle: Sequence[Key]


def order(elements: Sequence[Element], net: Mapping[End, int]) -> Order:
    """Return the order of nets and elements, islands with a source first."""
    touching: dict[int, list[int]] = defaultdict(list)
    for index, element in enumerate(elements):
        for end in element.ends:
            touching[net[end]].append(index)
    keys: dict[_Place, Key] = {}
    for island, (nets, inside) in enumerate(_islands(elements, net, touching)):
        supply, back = _rails([elements[index] for index in inside], nets, net)
        legs: dict[_Place, dict[_Place, float]] = defaultdict(dict)
        for index in inside:
            _add_legs(legs, index, elements[index], net, supply, back)
        down, up = _distances(supply, legs), _distances(back, legs)
        potential = _potentials(legs, dict.fromkeys(supply, 0.0) | dict.fromkeys(back, 1.0))
        far = 2 * (len(nets) + len(inside))
        for place in (*nets, *(-1 - index for index in inside)):
            gone, left = down.get(place, far), up.get(place, far)
            share = gone / (gone + left) if gone + left else 0.0
            keys[place] = (island, round(potential.get(place, 0.0), _DIGITS), share, abs(place))
    middles = [keys[-1 - index] for index in range(len(elements))]
    return Order({place: key for place, key in keys.items() if place >= 0}, middles)


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
                inside.add(index)
                new = dict.fromkeys(net[end] for end in elements[index].ends if net[end] not in seen)
                seen.update(new)
                nets += new
                waiting += new
        islands.append((sorted(nets), sorted(inside)))
    return sorted(islands, key=lambda island: not any(elements[index].is_source for index in island[1]))


def _rails(members: Sequence[Element], nets: Sequence[int], net: Mapping[End, int]) -> tuple[set[int], set[int]]:
    """Return the supply nets and the return nets of an island, with the best stand-in where it has no source."""
    frame = net[End(FRAME)]
    plus = {net[element.first[0]] for element in members if element.is_source}
    minus = {net[element.second[0]] for element in members if element.is_source}
    supply = plus - minus or plus
    # A magneto makes its own current; it leaves at the stop terminal.
    supply |= {net[element.first[0]] for element in members if element.symbol == "magneto"} - minus - {frame}
    if not supply:
        supply = {next((node for node in nets if node != frame), nets[0])}
    back = minus - supply
    if not back and frame in nets:
        back = {frame} - supply
    return supply, back


def _add_legs(  # noqa: PLR0913, PLR0917 - where the legs go, and what they depend on
    legs: dict[_Place, dict[_Place, float]],
    index: int,
    element: Element,
    net: Mapping[End, int],
    supply: set[int],
    back: set[int],
) -> None:
    """Join an element's middle to its nets."""
    middle = -1 - index
    legs[middle] = {}
    if element.is_source and net[element.first[0]] in supply and net[element.second[0]] in back:
        # A source joins the rails themselves; as a way it would make supply and return neighbours.
        return
    # Real loads drop most of the voltage, and an input takes next to nothing.
    weight = 0.001 if element.symbol == "input" else 0.05 if element.symbol in _LOADS else 1.0
    for end in element.ends:
        for one, other in ((middle, net[end]), (net[end], middle)):
            legs[one][other] = legs[one].get(other, 0.0) + weight


def _distances(start: Iterable[int], legs: Mapping[_Place, Mapping[_Place, float]]) -> dict[_Place, int]:
    """Return how many half symbols lie between ``start`` and each place that can be reached."""
    found = dict.fromkeys(sorted(start), 0)
    waiting = deque(found)
    while waiting:
        place = waiting.popleft()
        for other in legs.get(place, ()):
            if other not in found:
                found[other] = found[place] + 1
                waiting.append(other)
    return found


def _potentials(legs: Mapping[_Place, Mapping[_Place, float]], held: Mapping[_Place, float]) -> dict[_Place, float]:
    """Return the potential of each place, by star-mesh elimination, the places with the fewest neighbours first."""
    mesh = {place: dict(near) for place, near in legs.items()}
    gone: list[tuple[_Place, dict[_Place, float]]] = []
    free = sorted(place for place in mesh if place not in held)
    while free:
        place = min(free, key=lambda place: len(mesh[place]))
        free.remove(place)
        near = mesh.pop(place)
        gone.append((place, near))
        total = sum(near.values())
        for one, weight in near.items():
            del mesh[one][place]
            for other, further in near.items():
                if other != one:
                    mesh[one][other] = mesh[one].get(other, 0.0) + weight * further / total
    found = dict(held)
    for place, near in reversed(gone):
        known = {other: weight for other, weight in near.items() if other in found}
        if known:
            found[place] = sum(weight * found[other] for other, weight in known.items()) / sum(known.values())
    return found
