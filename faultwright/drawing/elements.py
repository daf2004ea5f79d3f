"""What a diagram draws: the parts of a circuit taken apart into symbols.

A relay is drawn as a coil and its contacts, a connector as its pin pairs (detached representation of
IEC 61082-1). Contacts that share a pin, such as a changeover contact, are one symbol.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from faultwright.circuit import FRAME, Circuit, Contact, Part, split_terminal
from faultwright.parts import KINDS, SOURCES, branches, connector_pairs, terminals


@dataclass(frozen=True, slots=True)
class End:
    """Where a symbol ends. ``copy`` 0 is the terminal itself; a higher one is reached inside the part."""

    terminal: str
    copy: int = 0


@dataclass(frozen=True, slots=True)
class Element:
    """One symbol: its ends on two sides. ``first`` is the side that usually faces the supply."""

    part: str
    symbol: str
    contact: str
    first: tuple[End, ...]
    second: tuple[End, ...]
    contacts: tuple[Contact, ...] = ()

    @property
    def ends(self) -> tuple[End, ...]:
        """Every end of the symbol."""
        return (*self.first, *self.second)

    @property
    def is_source(self) -> bool:
        """Whether the symbol is a battery or a supply: ``first`` is then its plus side."""
        return self.symbol in SOURCES


@dataclass(frozen=True, slots=True)
class Drawn:
    """The elements of a circuit, and the links: pairs of ends that are one inside a part or in the frame."""

    elements: tuple[Element, ...]
    links: tuple[tuple[End, End], ...]


def take_apart(circuit: Circuit) -> Drawn:
    """Return the symbols of ``circuit`` in the order of its parts, ``FRAME`` last."""
    maker = _Maker()
    # The frame comes first, so that it owns its terminal and every ground gets a copy.
    maker.add("", "frame", "", (FRAME,), ())
    for part in circuit.parts.values():
        maker.part(part)
    return Drawn((*maker.elements[1:], maker.elements[0]), tuple(maker.links))


class _Maker:
    """Collects elements; the second time that a terminal is needed it gives a linked copy."""

    def __init__(self) -> None:
        self.elements: list[Element] = []
        self.links: list[tuple[End, End]] = []
        self.used: Counter[str] = Counter()

    def end(self, terminal: str) -> End:
        copy = End(terminal, self.used[terminal])
        self.used[terminal] += 1
        if copy.copy:
            self.links.append((End(terminal), copy))
        return copy

    def add(  # noqa: PLR0913, PLR0917 - the fields of an element
        self,
        part: str,
        symbol: str,
        contact: str,
        first: tuple[str, ...],
        second: tuple[str, ...],
        contacts: tuple[Contact, ...] = (),
    ) -> None:
        ends = [tuple(self.end(terminal) for terminal in side) for side in (first, second)]
        self.elements.append(Element(part, symbol, contact, ends[0], ends[1], contacts))

    def part(self, part: Part) -> None:
        name, pins = part.name, [split_terminal(terminal)[1] for terminal in terminals(part)]
        if part.kind == "connector":
            for pin in connector_pairs(part):
                self.add(name, "connector", pin, (f"{name}:a{pin}",), (f"{name}:b{pin}",))
        elif part.kind == "ground":
            self.add(name, "ground", "", (f"{name}:1",), (FRAME,))
        elif part.kind == "input":
            raised = ("in",) if part.values["pull"] == "down" else ()
            first, second = ("+", *raised), tuple(pin for pin in ("in", "-") if pin not in raised)
            self.add(name, "input", "", self._of(name, first), self._of(name, second))
        elif part.contacts:
            if KINDS[part.kind].states:
                coil = branches(part)[0]
                self.add(name, "coil", "coil", (coil.a,), (coil.b,))
            for common, contacts in _stars(part.contacts):
                throws = tuple(next(pin for pin in contact.pins if pin != common) for contact in contacts)
                words = " ".join(contact.name for contact in contacts)
                self.add(name, "contact", words, (f"{name}:{common}",), self._of(name, throws), contacts)
        elif KINDS[part.kind].joined:
            self.add(name, "splice", "", self._of(name, tuple(pins)), ())
        else:
            # Two pins are the two sides; a kind with more is drawn as a block with its pins above and below.
            half = (len(pins) + 1) // 2
            self.add(name, part.kind, "", self._of(name, tuple(pins[:half])), self._of(name, tuple(pins[half:])))

    @staticmethod
    def _of(part: str, pins: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(f"{part}:{pin}" for pin in pins)


def _stars(contacts: tuple[Contact, ...]) -> Iterator[tuple[str, tuple[Contact, ...]]]:
    """Yield contacts grouped by a pin that they share, the most shared pin first, each contact once."""
    left = list(contacts)
    while left:
        shared = Counter(pin for contact in left for pin in contact.pins)
        # Ties go to the pin that the author wrote first.
        common = max(shared, key=lambda pin: shared[pin])
        group = tuple(contact for contact in left if common in contact.pins)
        yield common, group
        left = [contact for contact in left if common not in contact.pins]
