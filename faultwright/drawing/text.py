"""Words on the sheet: their estimated size, wrapping, and what stands beside a symbol or a wire."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass

from faultwright.circuit import Circuit, Contact, Part, Wire
from faultwright.parts import RELEASED
from faultwright.quantities import show_quantity

from .elements import Element

SMALL = 11
NAME = 13
TITLE = 16

_EM = 0.6
_EM_BOLD = 0.68
_EM_WIDE = 1.05
_LONGEST = 60
_FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the sheet, in pixels; y grows downward."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether the two rectangles overlap; touching edges do not."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; ``x`` is its left end, middle or right end as ``anchor`` says, ``y`` its baseline."""

    words: str
    x: float
    y: float
    size: float = SMALL
    bold: bool = False
    anchor: str = "start"

    @property
    def box(self) -> Box:
        """The estimated rectangle of the text."""
        wide = width(self.words, self.size, bold=self.bold)
        left = self.x - {"start": 0.0, "middle": wide / 2, "end": wide}[self.anchor]
        return Box(left, self.y - 0.78 * self.size, left + wide, self.y + 0.22 * self.size)


def clean(words: str) -> str:
    """Return ``words`` on one line, with what XML 1.0 cannot hold replaced by U+FFFD."""
    return " ".join(_FORBIDDEN.sub("\ufffd", words).split())


def width(words: str, size: float = SMALL, *, bold: bool = False) -> float:
    """Return the estimated width of a line in pixels: 0.6 em a letter, more for bold and for wide scripts."""
    letter = _EM_BOLD if bold else _EM
    return size * sum(_EM_WIDE if unicodedata.east_asian_width(sign) in ("W", "F") else letter for sign in words)


def wrap(words: str, letters: int, lines: int = 2) -> tuple[str, ...]:
    """Return ``words`` in at most ``lines`` lines of about ``letters`` letters; what does not fit ends in ``…``."""
    found = [""]
    for word in (piece for part in clean(words).split(" ") for piece in _pieces(part, letters)):
        longer = f"{found[-1]} {word}".strip()
        if len(longer) <= letters or not found[-1]:
            found[-1] = longer
        else:
            found.append(word)
    if len(found) > lines:
        found = [*found[: lines - 1], found[lines - 1][: letters - 1] + "…"]
    return tuple(line for line in found if line)


def _pieces(word: str, letters: int) -> list[str]:
    return [word[start : start + letters] for start in range(0, len(word), letters)] if len(word) > letters else [word]


def wire_label(wire: Wire) -> str:
    """Return a wire's name, colour and size: ``W3 RD 2.5 mm²``."""
    if wire.gauge is not None:
        size = f"{wire.gauge:g} AWG"
    elif wire.given_resistance is None and wire.area is not None:
        size = f"{wire.area:g} mm²"
    else:
        size = ""
    colour = wrap(wire.colour, 16, 1)
    return " ".join(word for word in (wire.name, *colour, size) if word)


def position_of(circuit: Circuit, part: Part | None, positions: Mapping[str, str] | None) -> str:
    """Return the position in which a part is drawn: as commanded if its control has that position, else at rest."""
    possible = positions_of(circuit, part)
    asked = (positions or {}).get(part.control or "") if part else None
    return asked if asked in possible else possible[0]


def is_closed(contact: Contact, position: str) -> bool:
    """Whether a sound contact is closed in ``position``."""
    return position in contact.closed_in


def positions_of(circuit: Circuit, part: Part | None) -> tuple[str, ...]:
    """Return every position in which a part can be drawn, the one at rest first."""
    control = circuit.controls.get(part.control or "") if part else None
    return (RELEASED,) if control is None else control.positions


def beside(circuit: Circuit, element: Element, position: str, partners: str) -> tuple[str, ...]:
    """Return the small lines under a symbol's name: control and position, or rating, or the paths of its partners."""
    part = circuit.parts.get(element.part)
    if part is None:
        return ()
    control = circuit.controls.get(part.control or "")
    if control is not None and element.symbol == "contact":
        words = f"{clean(control.label)}: {clean(position)}"
        return wrap(words, max(14, min(_LONGEST // 2, len(words) // 2 + 3)))
    rating = _rating(part) if element.symbol != "contact" else ""
    return tuple(line for line in (rating, partners) if line)


def _rating(part: Part) -> str:
    """Return the figure that a fitter looks for on this kind of part."""
    shown = {
        "battery": (("emf", "V"),),
        "supply": (("voltage", "V"),),
        "fuse": (("rating", "A"),),
        "relay": (("coil", "Ω"),),
        "contactor": (("coil", "Ω"),),
        "resistor": (("resistance", "Ω"),),
        "lamp": (("voltage", "V"), ("power", "W")),
        "motor": (("resistance", "Ω"),),
        "solenoid": (("resistance", "Ω"),),
    }.get(part.kind, ())
    words = " ".join(show_quantity(part.number(key), unit) for key, unit in shown)
    return f"active {part.values['active']}" if part.kind == "input" else words


def told(element: Element, circuit: Circuit, position: str) -> str:
    """Return a symbol in words, for the text alternative: ``S1 1-2 open``."""
    part = circuit.parts.get(element.part)
    if part is None:
        return "FRAME"
    states = [f"{contact.name} {'closed' if is_closed(contact, position) else 'open'}" for contact in element.contacts]
    names = {"connector": f"pin {element.contact}", "coil": "coil"}
    return " ".join((element.part, ", ".join(states) or names.get(element.symbol, part.kind)))
