"""A tree of tests as one standalone SVG document: read from the top, what follows a test stands under it, indented.

Each test or end is a frame of its own: first what the test before it shows here, then what to do or who is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.sax.saxutils import escape

from .symbols import box, line, number
from .text import NAME, SMALL, TITLE, Box, Text, clean, wrap

MARGIN = 16
INDENT = 28
"""How far what follows a test stands to the right of it."""
_GAP = 8
_PADDING = 7
_LINE = 18
_STEM = 12
"""How far from its left edge the line leaves a frame."""
_LETTERS, _MOST_LINES = 72, 12

_STYLE = """
.fw-sheet{fill:#fff}
.fw-tree text{font-family:sans-serif;fill:#000;stroke:none}
.fw-way{fill:none;stroke:#555;stroke-width:1.5;stroke-linejoin:round}
.fw-test{fill:#fff;stroke:#000;stroke-width:1.5}
.fw-end{fill:#e8e8e8;stroke:none}
.fw-edge{fill:none;stroke:#000;stroke-width:4}
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of a tree, in the order of reading: ``level`` tests lie before it.

    ``shown`` is what the test before it shows here, ``note`` what is remarked of it; after an ``end`` nothing follows.
    """

    level: int
    shown: str
    words: str
    end: bool
    note: str = ""


@dataclass(frozen=True, slots=True)
class Placed:
    """An entry on the sheet: its frame, its texts, and the line to it from the test before (none to the first)."""

    entry: Entry
    frame: Box
    texts: tuple[Text, ...]
    way: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class TreeSheet:
    """The whole sheet, in pixels."""

    width: float
    height: float
    heading: tuple[Text, ...]
    entries: tuple[Placed, ...]

    @property
    def texts(self) -> tuple[Text, ...]:
        """Every line of text on the sheet."""
        return (*self.heading, *(text for placed in self.entries for text in placed.texts))


def lay_out_tree(title: str, remarks: Sequence[str], entries: Sequence[Entry]) -> TreeSheet:
    """Return the sheet: title and remarks above, then each entry under the one before it."""
    y = float(MARGIN)
    heading = []
    for size, long in ((TITLE, title), *((SMALL, remark) for remark in remarks)):
        for words in wrap(long, 2 * _LETTERS if size == SMALL else _LETTERS, _MOST_LINES):
            heading.append(Text(words, MARGIN, y + size, size, bold=size == TITLE))
            y += size + _GAP
    placed: list[Placed] = []
    before: dict[int, Placed] = {}
    for entry in entries:
        before[entry.level] = _place(entry, y, before.get(entry.level - 1))
        placed.append(before[entry.level])
        y = placed[-1].frame.bottom + _GAP
    right = max(text.box.right for text in (*heading, *(text for one in placed for text in one.texts)))
    return TreeSheet(right + _PADDING + MARGIN, y - _GAP + MARGIN, tuple(heading), tuple(placed))


def _place(entry: Entry, top: float, parent: Placed | None) -> Placed:
    """Return an entry on its line; what is shown stands in bold before its words, a remark behind the frame."""
    left = float(MARGIN + INDENT * entry.level)
    baseline = top + _PADDING + 0.8 * NAME
    texts = []
    x = left + _PADDING + 2
    if entry.shown:
        texts.append(Text(clean(entry.shown), x, baseline, NAME, bold=True))
        x = texts[0].box.right + 2 * _PADDING
    lines = wrap(entry.words, _LETTERS, _MOST_LINES)
    texts += [Text(words, x, baseline + _LINE * place, NAME) for place, words in enumerate(lines)]
    right = max((text.box.right for text in texts), default=x) + _PADDING
    bottom = top + 2 * _PADDING + NAME + _LINE * (len(lines) - 1)
    if entry.note:
        texts.append(Text(clean(entry.note), right + _GAP, baseline, SMALL))
    way: tuple[tuple[float, float], ...] = ()
    if parent is not None:
        stem, middle = parent.frame.left + _STEM, top + _PADDING + NAME / 2
        way = ((stem, parent.frame.bottom), (stem, middle), (left, middle))
    return Placed(entry, Box(left, top, right, bottom), tuple(texts), way)


def draw_tree(title: str, remarks: Sequence[str], entries: Sequence[Entry], scope: str = "tree") -> str:
    """Return a tree as an SVG document; ``scope`` goes before every id, so that one page can hold several."""
    sheet = lay_out_tree(title, remarks, entries)
    scope = "".join(sign if sign.isalnum() or sign in "-_." else "-" for sign in clean(scope)) or "tree"
    wide, tall = number(sheet.width), number(sheet.height)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" class="fw-tree" id="{scope}" width="{wide}" height="{tall}"',
            f' viewBox="0 0 {wide} {tall}" role="img" aria-labelledby="{scope}-title {scope}-desc">',
            f'<title id="{scope}-title">{escape(clean(title))}</title>',
            f'<desc id="{scope}-desc">{escape(_description(remarks, entries))}</desc>',
            f"<style>{_STYLE}</style>",
            f'<rect class="fw-sheet" width="{wide}" height="{tall}"/>',
            *(line(*placed.way, style=' class="fw-way"') for placed in sheet.entries if placed.way),
            *(_framed(placed) for placed in sheet.entries),
            *(_text(text) for text in sheet.texts),
            "</svg>\n",
        ]
    )
