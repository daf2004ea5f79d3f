"""The sheet: the circuit diagram as one standalone SVG document.

It shows what the circuit file says and what was commanded and unplugged, never a fault.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise
from math import dist
from xml.sax.saxutils import escape, quoteattr

from faultwright.circuit import FRAME, Circuit

from .layout import lay_out
from .sheet import PIN_RADIUS, Layout, Line, Pin, Point, Symbol
from .shown_path import ShownPath
from .symbols import Frame, Tip, circle, ink, line, number, polygon
from .text import Text, clean, is_closed, position_of, rest_of, told

HIT_RADIUS = 12
"""Radius of the area round a terminal that takes a click: 24 pixels across (WCAG 2.2, target size)."""

_STYLE = """
.fw-sheet{fill:#fff}
.fw-diagram text{font-family:sans-serif;fill:#000;stroke:none}
.fw-diagram text.fw-grey{fill:#444}
.fw-symbol,.fw-wire{fill:none;stroke:#000;stroke-width:2;stroke-linecap:round;stroke-linejoin:round}
.fw-link{fill:none;stroke:#555;stroke-width:2;stroke-dasharray:2 3}
.fw-symbol .fw-thick,.fw-frame{fill:none;stroke:#000;stroke-width:4}
.fw-symbol .fw-solid,.fw-dot{fill:#000}
.fw-symbol .fw-dashed{stroke-dasharray:3 2.5;stroke-width:1.2}
.fw-pin{fill:#fff;stroke:#000;stroke-width:2}
.fw-hit{fill:#fff;fill-opacity:0}
"""
_PATH_STYLE = """.fw-on-path,.fw-on-path .fw-thick{stroke:#0b4a9c;stroke-width:4.5}
.fw-on-path .fw-solid,.fw-arrow{fill:#0b4a9c;stroke:none}
"""
"""Told by its width and its arrows, so that it is seen without colour too."""


def draw(
    circuit: Circuit,
    *,
    positions: Mapping[str, str] | None = None,
    unplugged: Collection[str] = (),
    path: Sequence[str] = (),
    scope: str = "diagram",
) -> str:
    """Return the circuit diagram as an SVG document.

    Parameters
    ----------
    circuit
        The circuit as its author wrote it.
    positions
        Control → commanded position; switches are then drawn so, with a note. Without it they are at rest.
        Relay contacts are always drawn at rest.
    unplugged
        Connectors, parts and ``PART:PIN`` terminals that are drawn apart.
    path
        Places in the order of a current, named as routes name them (``W7``, ``S1``, ``K1 30-87``, ``X1:2``). They are
        drawn thick, with an arrow on each wire, and told in the description.
    scope
        Goes before every id, so that one page can hold several diagrams.
    """
    layout = lay_out(circuit, positions=positions, unplugged=unplugged, with_path=bool(path))
    shown = ShownPath(circuit, layout, path)
    scope = as_id(scope) or "diagram"
    size = f"{number(layout.width)} {number(layout.height)}"
    wide, tall = size.split()
    title = clean(circuit.title)
    pins = [pin for symbol in layout.symbols for pin in symbol.pins.values() if not pin.end.copy]
    pieces = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="fw-diagram" id="{scope}" width="{wide}" height="{tall}"',
        f' viewBox="0 0 {size}" role="img" aria-labelledby="{scope}-title {scope}-desc">',
        f'<title id="{scope}-title">{escape(title)}</title>',
        f'<desc id="{scope}-desc">{escape(_description(layout, path))}</desc>',
        f"<style>{_STYLE}{_PATH_STYLE if path else ''}</style>",
        f'<rect class="fw-sheet" width="{wide}" height="{tall}"/>',
        *(_line(item) for item in layout.lines if item.wire not in path),
        *(line(*way, style=' class="fw-frame"') for way in layout.frame),
        *(_line(item, shown) for item in layout.lines if item.wire in path),
        *(circle(x, y, 3, ' class="fw-dot"') for x, y in layout.dots),
        *(_symbol(symbol, circuit, positions, on_path=shown.has(symbol.element)) for symbol in layout.symbols),
        *(_terminal(pin, scope) for pin in pins),
        *(written(text) for text in layout.heading),
        "</svg>",
    ]
    return "\n".join(pieces) + "\n"


def as_id(words: str) -> str:
    """Return words as an id that a style sheet need not escape."""
    return "".join(sign if sign.isalnum() or sign in "-_." else "-" for sign in clean(words))


def _description(layout: Layout, path: Sequence[str]) -> str:
    note = layout.heading[-1].words
    told = (f"The path drawn thick, in the order of the current: {', '.join(path)}.",) if path else ()
    return " ".join(("Circuit diagram, supply above, return below.", *layout.told, *told, note))


def written(text: Text, *, grey: bool = False) -> str:
    """Return a line of text."""
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    weight = ' font-weight="bold"' if text.bold else ""
    shade = ' class="fw-grey"' if grey else ""
    return (
        f'<text x="{number(text.x)}" y="{number(text.y)}" font-size="{text.size}"{anchor}{weight}{shade}>'
        f"{escape(text.words)}</text>"
    )


def _line(item: Line, shown: ShownPath | None = None) -> str:
    """Return a wire with its label, or a link inside a part; the frame's links are the frame's own metal."""
    if not item.wire:
        return line(*item.points, style=' class="fw-link"')
    label = written(item.text, grey=True) if item.text else ""
    arrow = _arrow(shown.way(item)) if shown else ""
    classes = "fw-wire fw-on-path" if shown else "fw-wire"
    return f'<g class="{classes}" data-wire={quoteattr(item.wire)}>{line(*item.points)}{arrow}{label}</g>'


def _arrow(way: Sequence[Point]) -> str:
    """Return the head of an arrow in the middle of the longest piece of a way, none for no way."""
    if not way:
        return ""
    (x, y), (to_x, to_y) = max(pairwise(way), key=lambda piece: dist(*piece))
    across, down = ((to > at) - (to < at) for at, to in ((x, to_x), (y, to_y)))
    x, y = (x + to_x) / 2, (y + to_y) / 2
    tip = (x + 6 * across, y + 6 * down)
    barbs = [(x - 5 * across + 6 * side * down, y - 5 * down + 6 * side * across) for side in (1, -1)]
    return polygon(tip, *barbs, style=' class="fw-arrow"')


def _symbol(symbol: Symbol, circuit: Circuit, positions: Mapping[str, str] | None, *, on_path: bool) -> str:
    element = symbol.element
    tips = {end: Tip(pin.x, pin.y, pin.lifted) for end, pin in symbol.pins.items()}
    part = circuit.parts.get(element.part)
    control = circuit.controls.get(part.control or "") if part else None
    shown, rest = (position_of(circuit, part, positions), rest_of(circuit, part)) if part else ("", "")
    # Contacts in the order of their throws on the sheet: one that is wired stands before one that is not.
    throws = sorted(element.second, key=lambda end: tips[end].x)
    contacts = [element.contacts[element.second.index(end)] for end in throws] if element.contacts else []
    frame = Frame(
        first=tuple(tips[end] for end in element.first),
        second=tuple(tips[end] for end in throws),
        top=symbol.top,
        bottom=symbol.bottom,
        flipped=not symbol.pins[element.first[0]].upward,
        parted=symbol.parted,
        closed=tuple(is_closed(contact, shown) for contact in contacts),
        at_rest=tuple(is_closed(contact, rest) for contact in contacts),
        actuator="" if control is None else "push" if control.springs_to else "turn",
    )
    label = f"<title>{escape(told(element, circuit, positions))}</title>"
    texts = "".join(written(text, grey=not text.bold) for text in symbol.texts)
    keys = f"data-part={quoteattr(element.part or FRAME)} data-contact={quoteattr(element.contact)}"
    classes = "fw-symbol fw-on-path" if on_path else "fw-symbol"
    return f'<g class="{classes}" {keys}>{label}{ink(element.symbol, frame)}{texts}</g>'


def _terminal(pin: Pin, scope: str) -> str:
    name = pin.end.terminal
    # An id holds no sign that a style sheet would have to escape; no pin but a source's or an input's is + or -.
    part, _, short = name.partition(":")
    place = "_".join(filter(None, (part, {"+": "plus", "-": "minus"}.get(short, short))))
    hit = circle(pin.x, pin.y, HIT_RADIUS, ' class="fw-hit"')
    dot = circle(pin.x, pin.y, PIN_RADIUS, ' class="fw-pin"')
    text = written(pin.text) if pin.text else ""
    return f'<g class="fw-terminal" id="{scope}-terminal-{place}" data-terminal={quoteattr(name)}>{hit}{dot}{text}</g>'
