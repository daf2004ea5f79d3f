"""The sheet: the circuit diagram as one standalone SVG document.

It shows what the circuit file says and what was commanded and unplugged, never a fault.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from math import dist
from xml.sax.saxutils import escape, quoteattr

from faultwright.circuit import FRAME, Circuit

from .layout import lay_out
from .sheet import PIN_RADIUS, Ground, Layout, Line, Pin, Point, Symbol
from .shown_path import ShownPath
from .symbols import Frame, Tip, circle, ink, line, number, polygon
from .text import Box, Text, clean
from .texts import text

HIT_RADIUS = 12
"""Radius of the area round a terminal that takes a click: 24 pixels across (WCAG 2.2, target size)."""

SOFT = "#444"
"""What labels and links inside parts are drawn in on a screen; on paper they are black."""
_STYLE = """
.fw-sheet{fill:#fff}
.fw-diagram text{font-family:sans-serif;fill:#000;stroke:none}
.fw-diagram text.fw-grey{fill:SOFT}
.fw-symbol,.fw-wire{fill:none;stroke:#000;stroke-width:2;stroke-linecap:round;stroke-linejoin:round}
.fw-link{fill:none;stroke:SOFT;stroke-width:2;stroke-dasharray:2 3}
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
    scope = as_id(scope) or "diagram"
    size = f"{number(layout.width)} {number(layout.height)}"
    wide, tall = size.split()
    pieces = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="fw-diagram" id="{scope}" width="{wide}" height="{tall}"',
        f' viewBox="0 0 {size}" role="img" aria-labelledby="{scope}-title {scope}-desc">',
        f'<title id="{scope}-title">{escape(clean(circuit.title))}</title>',
        f'<desc id="{scope}-desc">{escape(_description(layout, path))}</desc>',
        f"<style>{style()}{_PATH_STYLE if path else ''}</style>",
        f'<rect class="fw-sheet" width="{wide}" height="{tall}"/>',
        *inked(layout, scope, ShownPath(circuit, layout, path) if path else None),
        "</svg>",
    ]
    return "\n".join(pieces) + "\n"


def style(soft: str = SOFT) -> str:
    """Return the style sheet of a diagram; ``soft`` is the colour of labels and links."""
    return _STYLE.replace("SOFT", soft)


def inked(layout: Layout, scope: str, shown: ShownPath | None = None) -> list[str]:
    """Return everything on a sheet, line by line; ``scope`` goes before the id of each terminal."""
    if shown is None:
        wiring, symbols = [_wiring(layout.ground)], [_symbol(symbol) for symbol in layout.symbols]
    else:
        off, on = ([item for item in layout.lines if (item.wire in shown.places) is side] for side in (False, True))
        wiring = [*map(_line, off), *_frame(layout.ground), *(_line(item, shown) for item in on), *_dots(layout.ground)]
        symbols = [_symbol(symbol, on_path=shown.has(symbol.element)) for symbol in layout.symbols]
    return [*wiring, *symbols, _terminals(layout.ground, scope), *map(written, layout.note)]


def inked_in(layout: Layout, window: Box, scope: str) -> list[str]:
    """Return what lies in a part of a sheet, without title, path numbers and note."""

    def inside(*boxes: Box) -> bool:
        return any(box.meets(window) for box in boxes)

    ground = layout.ground
    return [
        *(
            _line(item)
            for item in ground.lines
            if inside(*_pieces(item.points), *([item.text.box] if item.text else []))
        ),
        *(line(*way, style=' class="fw-frame"') for way in ground.frame if inside(*_pieces(way))),
        *(circle(x, y, 3, ' class="fw-dot"') for x, y in ground.dots if inside(Box(x - 3, y - 3, x + 3, y + 3))),
        *(_symbol(one) for one in layout.symbols if inside(one.box, *(words.box for words in one.texts))),
        *(_terminal(pin, scope) for pin in ground.pins if inside(Box(pin.x - 1, pin.y - 1, pin.x + 1, pin.y + 1))),
    ]


def _pieces(way: Sequence[Point]) -> list[Box]:
    return [Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairwise(way)]


def as_id(words: str) -> str:
    """Return words as an id that a style sheet need not escape."""
    return "".join(sign if sign.isalnum() or sign in "-_." else "-" for sign in clean(words))


def _description(layout: Layout, path: Sequence[str]) -> str:
    note = " ".join(words.words for words in layout.note)
    shown = (text("told.shown", places=", ".join(path)),) if path else ()
    return " ".join((text("told.diagram"), *layout.told.values(), *shown, note))


def written(words: Text, *, grey: bool = False) -> str:
    """Return a line of text."""
    anchor = "" if words.anchor == "start" else f' text-anchor="{words.anchor}"'
    weight = ' font-weight="bold"' if words.bold else ""
    shade = ' class="fw-grey"' if grey else ""
    return (
        f'<text x="{number(words.x)}" y="{number(words.y)}" font-size="{number(words.size)}"{anchor}{weight}{shade}>'
        f"{escape(words.words)}</text>"
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


@lru_cache(maxsize=64)
def _wiring(ground: Ground) -> str:
    return "\n".join([*map(_line, ground.lines), *_frame(ground), *_dots(ground)])


def _frame(ground: Ground) -> list[str]:
    return [line(*way, style=' class="fw-frame"') for way in ground.frame]


def _dots(ground: Ground) -> list[str]:
    return [circle(x, y, 3, ' class="fw-dot"') for x, y in ground.dots]


@lru_cache(maxsize=4096)
def _symbol(symbol: Symbol, *, on_path: bool = False) -> str:
    element = symbol.element
    tips = {end: Tip(pin.x, pin.y, pin.lifted) for end, pin in symbol.pins.items()}
    # Contacts in the order of their throws on the sheet: one that is wired stands before one that is not.
    throws = sorted(element.second, key=lambda end: tips[end].x)
    contacts = [element.second.index(end) for end in throws] if element.contacts else []
    frame = Frame(
        first=tuple(tips[end] for end in element.first),
        second=tuple(tips[end] for end in throws),
        top=symbol.top,
        bottom=symbol.bottom,
        flipped=not symbol.pins[element.first[0]].upward,
        parted=symbol.parted,
        closed=tuple(symbol.closed[contact] for contact in contacts),
        at_rest=tuple(symbol.at_rest[contact] for contact in contacts),
        actuator=symbol.actuator,
    )
    texts = "".join(written(words, grey=not words.bold) for words in symbol.texts)
    keys = f"data-part={quoteattr(element.part or FRAME)} data-contact={quoteattr(element.contact)}"
    classes = "fw-symbol fw-on-path" if on_path else "fw-symbol"
    return f'<g class="{classes}" {keys}><title>{escape(symbol.told)}</title>{ink(element.symbol, frame)}{texts}</g>'


@lru_cache(maxsize=64)
def _terminals(ground: Ground, scope: str) -> str:
    """Return every terminal, and the title and the path numbers."""
    return "\n".join([*(_terminal(pin, scope) for pin in ground.pins), *map(written, ground.heading)])


def _terminal(pin: Pin, scope: str) -> str:
    name = pin.end.terminal
    # An id holds no sign that a style sheet would have to escape; no pin but a source's or an input's is + or -.
    part, _, short = name.partition(":")
    place = "_".join(filter(None, (part, {"+": "plus", "-": "minus"}.get(short, short))))
    hit = circle(pin.x, pin.y, HIT_RADIUS, ' class="fw-hit"')
    dot = circle(pin.x, pin.y, PIN_RADIUS, ' class="fw-pin"')
    words = written(pin.text) if pin.text else ""
    return f'<g class="fw-terminal" id="{scope}-terminal-{place}" data-terminal={quoteattr(name)}>{hit}{dot}{words}</g>'
