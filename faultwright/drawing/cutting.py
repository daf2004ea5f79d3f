"""Cutting a diagram into sheets of paper: which way round, how large, and between which paths.

Sizes are those of ISO 216. Lettering is 2.5 mm high or more, measured on capitals, down to 1.8 mm only where the sheet
is not tall enough (nominal sizes of ISO 3098-1:2015, from memory). The border keeps 20 mm at the left for binding
and 10 mm elsewhere (ISO 5457:1999, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from faultwright.circuit import Circuit

from .layout import CircuitSheet, sheet_of
from .placing import MARGIN, Breaks, Placing
from .spacing import CUT
from .text import SMALL, width, wrap
from .windows import MARK_LETTERS, Window, top_of, windows

SIZES = {"A4": (210, 297), "A3": (297, 420)}
"""Paper → its shorter and its longer side in mm."""
BINDING, BORDER, TITLE_BLOCK, INSIDE = 20, 10, 15, 2
CAPITAL = 0.716
"""Height of a capital in shares of the font's size, as in the sans-serif fonts of most machines."""
LEAST_LETTERS, SMALLEST_LETTERS, LARGEST_LETTERS = 2.5, 1.8, 3.5
NEARLY = 0.05
"""How much smaller in mm still counts as that height."""
NUMBERS = 20
"""Pixels above the diagram for the path numbers."""
DOWNWARD = 34
"""Pixels above or below a cut for the marks of lines that go on."""
_LEADER = 20
_EARLIEST = 0.65
"""A cut between paths is looked for in what lies beyond this share of the sheet's width."""


@dataclass(frozen=True)
class Sheets:
    """A diagram cut into sheets. ``wide`` and ``tall`` are the paper's sides and ``scale`` is mm for a pixel.

    ``beside`` and ``across`` are the pixels kept for marks on the sides and above and below.
    """

    sheet: CircuitSheet
    paper: str
    wide: float
    tall: float
    scale: float
    beside: float
    across: float
    windows: tuple[Window, ...]

    @property
    def lettering(self) -> float:
        """The height of the smallest capitals in mm."""
        return self.scale * SMALL * CAPITAL

    @property
    def is_small(self) -> bool:
        """Whether lettering is lower than 2.5 mm."""
        return not _at_least(self, LEAST_LETTERS)


def room(wide: float, tall: float) -> tuple[float, float]:
    """Return width and height in mm that a sheet of paper has for the diagram."""
    return wide - BINDING - BORDER - 2 * INSIDE, tall - 2 * BORDER - TITLE_BLOCK - 2 * INSIDE


def cut(circuit: Circuit, paper: str) -> Sheets:
    """Return a diagram on sheets of ``paper``: one if it is large enough for that, else as few as can be."""
    short, long = SIZES[paper]
    found = [
        _Cutter(circuit, paper, wide, tall).sheets(height)
        for wide, tall in ((long, short), (short, long))
        for height in (LEAST_LETTERS, SMALLEST_LETTERS)
    ]
    return min(found, key=_rank)


def _rank(sheets: Sheets) -> tuple[bool, bool, bool, int, float]:
    """Sort key: lettering that can be read, no path cut across, then large lettering, few sheets, larger lettering."""
    across = bool(sheets.sheet.at.breaks.levels)
    small = not across and not _at_least(sheets, LEAST_LETTERS)
    return not _at_least(sheets, SMALLEST_LETTERS), across, small, len(sheets.windows), -sheets.lettering


def _at_least(sheets: Sheets, height: float) -> bool:
    return sheets.lettering >= height - NEARLY


class _Cutter:
    """Cuts one diagram for one size of paper, one way round."""

    def __init__(self, circuit: Circuit, paper: str, wide: float, tall: float) -> None:
        self.circuit, self.paper, self.wide, self.tall = circuit, paper, wide, tall
        self.room_wide, self.room_tall = room(wide, tall)
        names = [wrap(bar.hub.end.terminal, MARK_LETTERS, 1)[0] for bar in sheet_of(circuit).at.bars]
        # Before it is known where lines go on, the longest mark that can be.
        self.beside = _LEADER + max((width(f"{name} 00/00") for name in names), default=0.0)

    def sheets(self, height: float) -> Sheets:
        """Return one sheet if its lettering can be 2.5 mm high, else several with lettering of ``height`` at most."""
        sheet = sheet_of(self.circuit)
        wide, tall = sheet.at.edges[-1] - MARGIN, sheet.at.bottom_edge - top_of(sheet.at) + NUMBERS
        least, smallest, largest, most = (
            letters / (SMALL * CAPITAL)
            for letters in (LEAST_LETTERS - NEARLY, SMALLEST_LETTERS - NEARLY, LARGEST_LETTERS, height)
        )
        fits = min(largest, self.room_wide / wide, self.room_tall / tall)
        if fits >= least:
            return self._cut(sheet, fits)
        scale = min(most, self.room_tall / tall)
        levels: tuple[int, ...] = ()
        if scale < smallest:
            scale = most
            levels = self._levels(sheet.at, self.room_tall / scale - NUMBERS - 2 * DOWNWARD)
        sheet = sheet_of(self.circuit, Breaks((), levels))
        if wide > self.room_wide / scale:
            columns = self._columns(levels, self.room_wide / scale - 2 * self.beside)
            sheet = sheet_of(self.circuit, Breaks(columns, levels))
        return self._cut(sheet, scale)

    @staticmethod
    def _levels(at: Placing, tall: float) -> tuple[int, ...]:
        """Return the levels before whose tracks the diagram is cut, so that no piece is taller than ``tall``."""
        found: list[int] = []
        top = top_of(at)
        ends = [*at.track_y, at.bottom_edge]
        for level in range(1, at.levels):
            if ends[level + 1] + CUT - top > tall:
                found.append(level)
                top = ends[level]
        return tuple(found)

    def _columns(self, levels: tuple[int, ...], wide: float) -> tuple[int, ...]:
        """Return the columns before which the diagram is cut: as few as can be, where few lines go on."""
        breaks: tuple[int, ...] = ()
        while True:
            at = sheet_of(self.circuit, Breaks(breaks, levels)).at
            start = breaks[-1] if breaks else 0
            left = at.edges[start] + CUT * bool(breaks)
            if at.edges[-1] - left <= wide:
                return breaks
            possible = [column for column in _between_symbols(at) if column > start]
            if not possible:
                return breaks
            fitting = [column for column in possible if at.edges[column] - left <= wide] or possible[:1]
            late = [column for column in fitting if at.edges[column] - left >= _EARLIEST * wide] or fitting[-1:]
            breaks = (*breaks, min(late, key=lambda column: (_over(at, column), -column)))

    def _cut(self, sheet: CircuitSheet, scale: float) -> Sheets:
        found = windows(sheet)
        beside = max((_LEADER + width(mark.words) for one in found for mark in one.marks if mark.path), default=0.0)
        across = float(DOWNWARD) if sheet.at.breaks.levels else 0.0
        # A block of paths that cannot be cut may be wider than the paper at this size.
        widest = max(window.right - window.left for window in found) + 2 * beside
        scale = min(scale, self.room_wide / widest)
        return Sheets(sheet, self.paper, self.wide, self.tall, scale, beside, across, tuple(found))


def _between_symbols(at: Placing) -> list[int]:
    """Return the columns before which no symbol is cut."""
    inside = {
        first + further for index, first in at.columns.first.items() for further in range(1, at.columns.span(index))
    }
    # A lane stays with the symbol before it.
    inside |= set(at.columns.lanes.values())
    return [column for column in range(1, at.columns.count) if column not in inside]


def _over(at: Placing, column: int) -> int:
    """Return how many lines pass over the left edge of a column."""
    before, after = at.column_x[column - 1], at.column_x[column]
    return sum(run.left <= before and after <= run.right for run in (*at.runs.values(), *at.jogs.values()))
