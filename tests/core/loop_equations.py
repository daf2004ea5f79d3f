"""Branch equations in exact fractions: the currents round the loops first, then the voltages along a tree.

It shares no step with the package's elimination, where nodes are eliminated and currents follow from voltages.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Element:
    """Something that conducts from point ``a`` to point ``b``, in Ω (0 allowed) and V (driving from ``a`` to ``b``)."""

    name: str
    a: str
    b: str
    ohms: Fraction
    emf: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Solution:
    """Exact voltages in V by point, currents in A by element, and the root of each point's island.

    The root of an island stands at 0 V: FRAME in its own, elsewhere the first of its points.
    """

    voltages: Mapping[str, Fraction]
    currents: Mapping[str, Fraction]
    roots: Mapping[str, str]


def solve(elements: Sequence[Element], points: Iterable[str]) -> Solution:
    """Return the exact solution: currents round the loops first, then voltages along a tree of elements.

    The branch equations and current balances are then checked as they stand in the textbook: nothing is left over.
    """
    named = {element.name: element for element in elements}
    assert len(named) == len(elements), "two elements have one name"
    tree = _Tree(elements, points)
    loops = [tree.loop(element) for element in elements if element.name not in tree.names]
    rows = []
    for loop in loops:
        shared = [sum(named[name].ohms * sign * other.get(name, 0) for name, sign in loop.items()) for other in loops]
        rows.append([*map(Fraction, shared), sum((named[name].emf * sign for name, sign in loop.items()), Fraction(0))])
    currents = dict.fromkeys(named, Fraction(0))
    for loop, current in zip(loops, _gauss(rows), strict=True):
        for name, sign in loop.items():
            currents[name] += sign * current
    voltages = tree.voltages(currents)
    _certify(elements, voltages, currents)
    return Solution(voltages, currents, tree.roots)


class _Tree:
    """A tree of elements in each island; every other element closes one loop."""

    def __init__(self, elements: Sequence[Element], points: Iterable[str]) -> None:
        beside: dict[str, list[Element]] = {}
        for element in elements:
            beside.setdefault(element.a, []).append(element)
            beside.setdefault(element.b, []).append(element)
        self.roots: dict[str, str] = {}
        self.above: dict[str, tuple[Element, str]] = {}
        for root in points:
            waiting = [] if root in self.roots else [root]
            self.roots.setdefault(root, root)
            for point in waiting:
                for element in beside.get(point, ()):
                    other = element.b if element.a == point else element.a
                    if other not in self.roots:
                        self.roots[other] = root
                        self.above[other] = (element, point)
                        waiting.append(other)
        self.names = {element.name for element, _ in self.above.values()}

    def loop(self, element: Element) -> dict[str, int]:
        """Return the elements of the loop that ``element`` closes, each +1 or -1 as the loop runs through it."""
        found = {element.name: 1}
        for point, way in ((element.b, 1), (element.a, -1)):
            here = point
            while here in self.above:
                upward, there = self.above[here]
                found[upward.name] = found.get(upward.name, 0) + (way if upward.a == here else -way)
                here = there
        return {name: sign for name, sign in found.items() if sign}

    def voltages(self, currents: Mapping[str, Fraction]) -> dict[str, Fraction]:
        """Return the voltages: each point stands above the one before by what the element between them gives."""
        found = dict.fromkeys(self.roots, Fraction(0))
        for point, (element, before) in self.above.items():  # in the order in which they were reached
            rise = element.emf - element.ohms * currents[element.name]
            found[point] = found[before] + (rise if element.b == point else -rise)
        return found


def _gauss(rows: list[list[Fraction]]) -> list[Fraction]:
    """Solve by Gauss and Jordan; the rows end in their right-hand sides, and the diagonal never vanishes."""
    for place, row in enumerate(rows):
        row[place:] = [value / row[place] for value in row[place:]]
        for other in rows:
            if other is not row and other[place]:
                factor = other[place]
                other[place:] = [value - factor * own for value, own in zip(other[place:], row[place:], strict=True)]
    return [row[-1] for row in rows]


def _certify(elements: Iterable[Element], voltages: Mapping[str, Fraction], currents: Mapping[str, Fraction]) -> None:
    """Raise AssertionError unless every branch equation and every balance of currents holds exactly."""
    left_over = dict.fromkeys(voltages, Fraction(0))
    for element in elements:
        current = currents[element.name]
        assert voltages[element.a] + element.emf - voltages[element.b] == element.ohms * current, element
        left_over[element.a] -= current
        left_over[element.b] += current
    assert not any(left_over.values()), "current is left over at a point"
