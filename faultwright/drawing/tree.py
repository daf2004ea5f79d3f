"""A tree of tests as one standalone SVG document: read from the top, what follows a test stands under it, indented.

Each test or end is a frame of its own: first what the test before it shows here, then what to do or who is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from .svg import as_id, written
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
.fw-rule{fill:none;stroke:#555;stroke-width:1}
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
    """An entry on the sheet: its frame, its texts, and the line to it from the test before (none to the first).

    ``rule`` stands between what is shown and the words, where something is shown.
    """

    entry: Entry
    frame: Box
    rule: float | None
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
    y += _GAP
    placed: list[Placed] = []
    before: dict[int, Placed] = {}
    for entry in entries:
        before[entry.level] = _place(entry, y, before.get(entry.level - 1))
        placed.append(before[entry.level])
        y = placed[-1].frame.bottom + _GAP
    texts = [*heading, *(text for one in placed for text in one.texts)]
    right = max([*(text.box.right for text in texts), *(one.frame.right for one in placed)], default=0.0)
    return TreeSheet(right + MARGIN, y - _GAP + MARGIN, tuple(heading), tuple(placed))


def _place(entry: Entry, top: float, parent: Placed | None) -> Placed:
    """Return an entry on its line; what is shown stands in bold before its words, a remark behind the frame."""
    left = float(MARGIN + INDENT * entry.level)
    baseline = top + _PADDING + 0.8 * NAME
    texts = []
    x = left + _PADDING + 2
    rule = None
    if entry.shown:
        texts.append(Text(clean(entry.shown), x, baseline, NAME, bold=True))
        rule = texts[0].box.right + _PADDING
        x = rule + _PADDING
    lines = wrap(entry.words, _LETTERS, _MOST_LINES) or ("",)
    texts += [Text(words, x, baseline + _LINE * place, NAME) for place, words in enumerate(lines)]
    right = max(text.box.right for text in texts) + _PADDING
    bottom = top + 2 * _PADDING + NAME + _LINE * (len(lines) - 1)
    if entry.note:
        texts.append(Text(clean(entry.note), right + _GAP, baseline, SMALL))
    way: tuple[tuple[float, float], ...] = ()
    if parent is not None:
        stem, middle = parent.frame.left + _STEM, top + _PADDING + NAME / 2
        way = ((stem, parent.frame.bottom), (stem, middle), (left, middle))
    return Placed(entry, Box(left, top, right, bottom), rule, tuple(texts), way)


def draw_tree(title: str, remarks: Sequence[str], entries: Sequence[Entry], scope: str = "tree") -> str:
    """Return a tree as an SVG document; ``scope`` goes before every id, so that one page can hold several."""
    sheet = lay_out_tree(title, remarks, entries)
    scope = as_id(scope) or "tree"
    wide, tall = number(sheet.width), number(sheet.height)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" class="fw-tree" id="{scope}" width="{wide}" height="{tall}"',
            f' viewBox="0 0 {wide} {tall}" role="img" aria-labelledby="{scope}-title {scope}-desc">',
            f'<title id="{scope}-title">{escape(clean(title))}</title>',
            f'<desc id="{scope}-desc">{escape(_description(remarks, entries))}</desc>',
            f"<style>{_STYLE}</style>",
            f'<rect class="fw-sheet" width="{wide}" height="{tall}"/>',
            *(written(text) for text in sheet.heading),
            *(line(*placed.way, style=' class="fw-way"') for placed in sheet.entries if placed.way),
            *(_entry(placed) for placed in sheet.entries),
            "</svg>\n",
        ]
    )


def _entry(placed: Placed) -> str:
    frame = placed.frame
    corners = frame.left, frame.top, frame.right, frame.bottom
    ink = box(*corners, style=f' class="fw-{"end" if placed.entry.end else "test"}"')
    if placed.entry.end:
        ink += line((frame.left, frame.top), (frame.left, frame.bottom), style=' class="fw-edge"')
    if placed.rule is not None:
        ink += line((placed.rule, frame.top), (placed.rule, frame.bottom), style=' class="fw-rule"')
    return f"<g>{ink}{''.join(map(written, placed.texts))}</g>"


def _description(remarks: Sequence[str], entries: Sequence[Entry]) -> str:
    """Return the tree in words; the numbers say how many tests lie before each line."""
    told = (
        f"{entry.level}: " + ", ".join(word for word in (entry.shown, entry.words, entry.note) if word)
        for entry in entries
    )
    return clean(". ".join((*remarks, *told)))
