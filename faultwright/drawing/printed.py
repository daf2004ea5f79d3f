"""The diagram on paper: sheets with a border, path numbers, marks where lines go on, and a title block.

Everything is black on white, so that a copier loses nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from xml.sax.saxutils import escape

from faultwright.circuit import Circuit

from .cutting import BINDING, BORDER, CAPITAL, INSIDE, NUMBERS, TITLE_BLOCK, Sheets, room
from .sheet import Layout
from .svg import as_id, inked_in, style, written
from .symbols import box, line, number, polygon
from .text import NAME, SMALL, Box, Text, clean, width, wrap
from .texts import text
from .windows import Mark, Window

_STYLE = """
.fw-border{fill:none;stroke:#000;stroke-width:.7}
.fw-rule{fill:none;stroke:#000;stroke-width:.35}
.fw-mark{fill:none;stroke:#000;stroke-width:1.5}
.fw-tip{fill:#000;stroke:none}
"""
_BLOCK_LETTERS = 2.5
"""Height of the title block's capitals in mm."""
_LEADER = 9
_MARK_LINE = 13


def printed(
    circuit: Circuit,
    sheets: Sheets,
    *,
    positions: Mapping[str, str] | None = None,
    unplugged: Collection[str] = (),
) -> list[str]:
    """Return each sheet as an SVG document with the paper's size in mm; the arguments are those of ``draw``."""
    layout = sheets.sheet.layout(positions, frozenset(unplugged), with_path=False)
    state = "at_rest" if positions is None else "commanded"
    apart = [place for place in sorted(unplugged) if place]
    drawn = text(f"paper.drawn.{state}{'_apart' if apart else ''}", places=clean(", ".join(apart)))
    return [_sheet(circuit, sheets, layout, drawn, place) for place in range(len(sheets.windows))]


def _sheet(circuit: Circuit, sheets: Sheets, layout: Layout, drawn: str, place: int) -> str:
    window = sheets.windows[place]
    scope = f"sheet-{place + 1}-{as_id(circuit.name)}"
    count = len(sheets.windows)
    title = text("paper.title", title=clean(circuit.title), number=place + 1, count=count)
    told = text("paper.told", title=clean(circuit.title), number=place + 1, count=count, drawn=drawn)
    told = " ".join((told, *(layout.told[path] for path in window.paths if path in layout.told)))
    wide, tall = f"{sheets.wide:g}", f"{sheets.tall:g}"
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" class="fw-paper fw-diagram" id="{scope}" width="{wide}mm"',
            f' height="{tall}mm" viewBox="0 0 {wide} {tall}" role="img" aria-labelledby="{scope}-title {scope}-desc">',
            f'<title id="{scope}-title">{escape(title)}</title>',
            f'<desc id="{scope}-desc">{escape(told)}</desc>',
            f"<style>{style(soft='#000')}{_STYLE}</style>",
            f'<rect class="fw-sheet" width="{wide}" height="{tall}"/>',
            box(BINDING, BORDER, sheets.wide - BORDER, sheets.tall - BORDER, style=' class="fw-border"'),
            *_diagram(sheets, layout, window, scope),
            *_title_block(circuit, sheets, drawn, place),
            "</svg>\n",
        ]
    )


# The diagram


def _diagram(sheets: Sheets, layout: Layout, window: Window, scope: str) -> Iterator[str]:
    """Yield what a window shows, in pixels, scaled and put in the middle of its room."""
    wide = window.right - window.left + 2 * sheets.beside
    tall = window.bottom - window.top + NUMBERS + 2 * sheets.across
    room_wide, room_tall = room(sheets.wide, sheets.tall)
    left = BINDING + INSIDE + max(0.0, room_wide - wide * sheets.scale) / 2
    yield (
        f'<svg x="{left:.2f}" y="{BORDER + INSIDE}" width="{wide * sheets.scale:.2f}" '
        f'height="{min(tall * sheets.scale, room_tall):.2f}" '
        f'viewBox="{number(window.left - sheets.beside)} {number(window.top - NUMBERS - sheets.across)} '
        f'{number(wide)} {number(tall)}">'
    )
    for path in window.paths:
        x = layout.ground.columns[path]
        yield written(Text(str(path), x, window.top - sheets.across - NUMBERS + NAME, NAME, anchor="middle"))
    yield (
        f'<svg x="{number(window.left)}" y="{number(window.top)}" width="{number(window.right - window.left)}" '
        f'height="{number(window.bottom - window.top)}" viewBox="{number(window.left)} {number(window.top)} '
        f'{number(window.right - window.left)} {number(window.bottom - window.top)}">'
    )
    yield from inked_in(layout, Box(window.left, window.top, window.right, window.bottom), scope)
    yield "</svg>"
    for side in ("left", "right"):
        yield from _beside(window, side)
    for mark in window.marks:
        if mark.side in ("top", "bottom"):
            yield from _down(window, mark)
    yield "</svg>"


def _beside(window: Window, side: str) -> Iterator[str]:
    """Yield the marks on one side: a leader to words that keep clear of each other, and an arrow."""
    out = 1 if side == "right" else -1
    edge = window.right if side == "right" else window.left
    marks = sorted((mark for mark in window.marks if mark.side == side), key=lambda mark: mark.at)
    for mark, y in zip(marks, spread([mark.at for mark in marks], _MARK_LINE, window.bottom), strict=True):
        bend, tip = edge + out * _LEADER, edge + out * (_LEADER + 7)
        yield line((edge, mark.at), (bend, y), style=' class="fw-mark"')
        yield polygon((tip, y), (bend, y - 4), (bend, y + 4), style=' class="fw-tip"')
        yield written(Text(mark.words, tip + 3 * out, y + 4, SMALL, anchor="start" if out > 0 else "end"))


def _down(window: Window, mark: Mark) -> Iterator[str]:
    """Yield a mark above or below: an arrow and the sheet's number."""
    out = 1 if mark.side == "bottom" else -1
    edge = window.bottom if mark.side == "bottom" else window.top
    bend, tip = edge + 6 * out, edge + 13 * out
    yield line((mark.at, edge), (mark.at, bend), style=' class="fw-mark"')
    yield polygon((mark.at, tip), (mark.at - 4, bend), (mark.at + 4, bend), style=' class="fw-tip"')
    yield written(Text(mark.words, mark.at, tip + (11 if out > 0 else -3), SMALL, anchor="middle"))


def spread(places: Sequence[float], gap: float, most: float) -> list[float]:
    """Return rising places moved apart to ``gap``, each as near to its own as can be, none beyond ``most``."""
    groups: list[list[float]] = []
    for place in places:
        groups.append([place])
        # A group stands evenly about the middle of its own places; groups that meet become one.
        while len(groups) > 1 and _start(groups[-2], gap, most) + gap * len(groups[-2]) > _start(groups[-1], gap, most):
            groups[-2:] = [groups[-2] + groups[-1]]
    return [_start(group, gap, most) + gap * number for group in groups for number in range(len(group))]


def _start(group: Sequence[float], gap: float, most: float) -> float:
    high = gap * (len(group) - 1)
    return min(sum(group) / len(group) - high / 2, most - high)


# The title block


def _title_block(circuit: Circuit, sheets: Sheets, drawn: str, place: int) -> Iterator[str]:
    """Yield the strip along the lower border: whose diagram, how it is drawn, which sheet."""
    window = sheets.windows[place]
    left, right = BINDING, sheets.wide - BORDER
    top = sheets.tall - BORDER - TITLE_BLOCK
    size = _BLOCK_LETTERS / CAPITAL
    ends = {"first": window.paths[0], "last": window.paths[-1]} if window.paths else {}
    paths = text("paper.path" if len(window.paths) == 1 else "paper.paths", **ends) if ends else ""
    number_words = (text("paper.sheet", number=place + 1, count=len(sheets.windows)), paths)
    onward = [mark for mark in window.marks if mark.path][:1]
    down = [mark for mark in window.marks if not mark.path][:1]
    refers = [text("paper.refers", place=mark.place, sheet=mark.sheet, path=mark.path) for mark in onward]
    refers += [text("paper.refers.down", sheet=mark.sheet) for mark in down]
    yield line((left, top), (right, top), style=' class="fw-border"')
    last = right - 3 - max(width(words) for words in number_words) / SMALL * size
    yield line((last, top), (last, sheets.tall - BORDER), style=' class="fw-rule"')
    fitting = int((last - left - 4) / (width("n") / SMALL * size))
    own = f"{clean(circuit.title)} ({text('paper.circuit', name=clean(circuit.name))})"
    rows = [(wrap(own, fitting, 1), True), (wrap("; ".join((drawn, *refers)), fitting, 2), False)]
    y = top + 1.2
    for words, bold in ((words, bold) for lines, bold in rows for words in lines):
        y += size + 0.5
        yield written(Text(words, left + 2, y, size, bold=bold))
    for row, words in enumerate(number_words):
        yield written(Text(words, last + 1.5, top + 1.2 + (row + 1) * (size + 0.5), size, bold=not row))
