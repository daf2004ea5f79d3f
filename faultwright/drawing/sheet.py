"""What stands on a sheet: symbols with their pins, lines and words, each with its coordinates in pixels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .elements import Element, End
from .text import Box, Text

PIN_RADIUS = 4
"""Radius of the circle that is a terminal."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Pin:
    """A terminal or another end of a symbol. ``upward``: it faces up. ``lifted``: its lead is off."""

    end: End
    x: float
    y: float
    upward: bool
    lifted: bool
    text: Text | None


@dataclass(frozen=True, slots=True, eq=False)
class Symbol:
    """A placed symbol as it is shown; what is shown the same way is the same object.

    ``parted`` is for a connector that is unplugged, ``actuator`` for a switch: it turns, or one pushes it. ``closed``
    and ``at_rest`` tell of each contact whether it is drawn closed and whether it rests closed. ``told`` is the same in
    words.
    """

    element: Element
    pins: Mapping[End, Pin]
    top: float
    bottom: float
    body: Box
    texts: tuple[Text, ...]
    parted: bool
    actuator: str
    closed: tuple[bool, ...]
    at_rest: tuple[bool, ...]
    told: str

    @property
    def box(self) -> Box:
        """The rectangle that the symbol's body, leads and terminals fill."""
        xs = [pin.x for pin in self.pins.values()]
        return Box(min(self.body.left, min(xs) - PIN_RADIUS), self.top - PIN_RADIUS,
                   max(self.body.right, max(xs) + PIN_RADIUS), self.bottom + PIN_RADIUS)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """A wire (with its label) or, without a name, a link inside a part."""

    wire: str
    points: tuple[Point, ...]
    text: Text | None


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What is the same on every sheet of a circuit: lines, dots, terminals, title and path numbers.

    ``columns`` are the x of each path's number.
    """

    lines: tuple[Line, ...]
    frame: tuple[tuple[Point, ...], ...]
    dots: tuple[Point, ...]
    pins: tuple[Pin, ...]
    heading: tuple[Text, ...]
    columns: Mapping[int, float]
    right: float
    bottom: float


@dataclass(frozen=True)
class Layout:
    """The whole sheet. ``told`` says each current path in words, by its number; ``note`` what is shown."""

    width: float
    height: float
    ground: Ground
    symbols: tuple[Symbol, ...]
    note: tuple[Text, ...]
    told: Mapping[int, str]

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every wire and every link."""
        return self.ground.lines

    @property
    def frame(self) -> tuple[tuple[Point, ...], ...]:
        """The machine's metal."""
        return self.ground.frame

    @property
    def dots(self) -> tuple[Point, ...]:
        """Where three lines or more are joined."""
        return self.ground.dots

    @property
    def heading(self) -> tuple[Text, ...]:
        """Title, path numbers and note."""
        return (*self.ground.heading, *self.note)

    @property
    def texts(self) -> tuple[Text, ...]:
        """Every line of text on the sheet."""
        found = [*self.heading]
        for symbol in self.symbols:
            found += [*symbol.texts, *(pin.text for pin in symbol.pins.values() if pin.text)]
        return (*found, *(line.text for line in self.lines if line.text))
