"""A path of the current on the diagram: which symbols and wires lie on it, and which way each wire carries it."""

from __future__ import annotations

from collections.abc import Sequence

from faultwright.circuit import FRAME, Circuit

from .elements import Element
from .sheet import Layout, Line, Point


class ShownPath:
    """Places in the order of the current, named as routes name them: ``W7``, ``S1``, ``K1 30-87``, ``X1:2``, ``FRAME``.

    Places that the circuit does not have show nothing.
    """

    def __init__(self, circuit: Circuit, layout: Layout, places: Sequence[str]) -> None:
        """Find the terminals of each place."""
        self.circuit, self.places = circuit, tuple(places)
        self.elements = [symbol.element for symbol in layout.symbols]
        self.terminal_at: dict[Point, str] = {
            (pin.x, pin.y): end.terminal
            for symbol in layout.symbols
            for end, pin in symbol.pins.items()
            if not end.copy
        }

    def has(self, element: Element) -> bool:
        """Say whether a symbol lies on the path."""
        return not _names(element).isdisjoint(self.places)

    def way(self, line: Line) -> tuple[Point, ...]:
        """Return the points of a wire on the path in the order of the current; none where the places do not tell."""
        number = self.places.index(line.wire)
        wire = self.circuit.wires[line.wire]
        before = self._terminals(self.places[number - 1]) if number else set[str]()
        after = self._terminals(self.places[number + 1]) if number + 1 < len(self.places) else set[str]()
        onward = (wire.start in before) + (wire.end in after)
        back = (wire.end in before) + (wire.start in after)
        if onward == back:
            return ()
        entry = wire.start if onward > back else wire.end
        return line.points if self.terminal_at[line.points[0]] == entry else line.points[::-1]

    def _terminals(self, place: str) -> set[str]:
        wire = self.circuit.wires.get(place)
        if wire is not None:
            return {wire.start, wire.end}
        return {end.terminal for element in self.elements if place in _names(element) for end in element.ends}


def _names(element: Element) -> set[str]:
    """Return every name that a place on a path can have for a symbol."""
    if element.symbol == "frame":
        return {FRAME}
    if element.symbol == "connector":
        return {element.part, f"{element.part}:{element.contact}"}
    contacts = [contact.name for contact in element.contacts] or [element.contact]
    return {element.part, *(f"{element.part} {name}" for name in contacts if name)}
