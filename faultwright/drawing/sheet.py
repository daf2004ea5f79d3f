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


@dataclass(frozen=True, slots=True)
class Symbol:
    """A placed symbol. ``parted`` is for a connector that is unplugged."""

    element: Element
    pins: Mapping[End, Pin]
    top: float
    bottom: float
    body: Box
    texts: tuple[Text, ...]
    parted: bool

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


@dataclass(frozen=True)
class Layout:
    """The whole sheet. ``told`` says each current path in words."""

    width: float
    height: float
    symbols: tuple[Symbol, ...]
    lines: tuple[Line, ...]
    frame: tuple[tuple[Point, ...], ...]
    dots: tuple[Point, ...]
    heading: tuple[Text, ...]
    told: tuple[str, ...]

    @property
    def texts(self) -> tuple[Text, ...]:
        """Every line of text on the sheet."""
        found = [*self.heading]
        for symbol in self.symbols:
            found += [*symbol.texts, *(pin.text for pin in symbol.pins.values() if pin.text)]
        return (*found, *(line.text for line in self.lines if line.text))
