"""The parts of a diagram that its sheets show, and the marks where a line goes on at another sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from .layout import CircuitSheet
from .placing import MARGIN, Placing
from .spacing import CUT
from .text import wrap

MARK_LETTERS = 12
"""Letters of a terminal's name at a mark."""


@dataclass(frozen=True, slots=True)
class Mark:
    """Where a line goes on: its place at the edge, whose terminal's line it is, and the sheet and path it goes to.

    A line that goes on above or below stays in its path, so neither terminal nor path is written.
    """

    side: str
    at: float
    sheet: int
    terminal: str = ""
    path: int = 0

    @property
    def place(self) -> str:
        """The sheet, and the path in which the line is met there: ``2/14``."""
        return f"{self.sheet}/{self.path}" if self.path else str(self.sheet)

    @property
    def words(self) -> str:
        """What is written at the mark."""
        return f"{self.terminal} {self.place}".strip()


@dataclass(frozen=True, slots=True)
class Window:
    """The part of the diagram that one sheet shows, in its pixels, with its paths and its marks."""

    left: float
    top: float
    right: float
    bottom: float
    paths: tuple[int, ...]
    marks: tuple[Mark, ...] = ()


def top_of(at: Placing) -> float:
    """Return where the diagram begins, below the path numbers."""
    return at.path_y + 6


def windows(sheet: CircuitSheet) -> list[Window]:
    """Return the windows of a sheet with breaks, those of the same paths one after the other, from the top."""
    at = sheet.at
    xs = [float(MARGIN), *(at.edges[column] + CUT / 2 for column in at.breaks.columns), at.edges[-1]]
    ys = [top_of(at), *(at.track_y[level] - CUT / 2 for level in at.breaks.levels), at.bottom_edge]
    bare = [
        [
            Window(left, top, right, bottom, tuple(n for n, x in sheet.ground.columns.items() if left <= x < right))
            for top, bottom in pairwise(ys)
        ]
        for left, right in pairwise(xs)
    ]
    return [
        replace(window, marks=(*_beside(sheet, bare, window, band), *_down(sheet, bare, group, band)))
        for group, column in enumerate(bare)
        for band, window in enumerate(column)
    ]


def _beside(sheet: CircuitSheet, bare: Sequence[Sequence[Window]], window: Window, band: int) -> Iterator[Mark]:
    """Yield a mark for each line that goes on to the left or right: what it is wired to, and where it is met next."""
    for terminal, y, xs in _rails(sheet.at):
        if not window.top < y < window.bottom:
            continue
        for side, edge, beyond in (
            ("left", window.left, [x for x in xs if x < window.left]),
            ("right", window.right, [x for x in xs if x > window.right]),
        ):
            if beyond and min(xs) < edge < max(xs):
                met = max(beyond) if side == "left" else min(beyond)
                group = next(group for group, column in enumerate(bare) if met < column[band].right)
                path = min(bare[group][band].paths, key=lambda path: abs(sheet.ground.columns[path] - met))
                yield Mark(side, y, group * len(bare[0]) + band + 1, wrap(terminal, MARK_LETTERS, 1)[0], path)


def _rails(at: Placing) -> Iterator[tuple[str, float, list[float]]]:
    """Yield each horizontal line: the terminal whose line it is, its y, and the x at which other lines leave it."""
    for bar, run in at.runs.items():
        yield bar.hub.end.terminal, at.run_y(bar.level, run), [*run.up, *run.down]
    for stub, run in at.jogs.items():
        yield stub.bar.hub.end.terminal, at.run_y(at.own_level(stub.end), run), [*run.up, *run.down]


def _down(sheet: CircuitSheet, bare: Sequence[Sequence[Window]], group: int, band: int) -> Iterator[Mark]:
    """Yield a mark for each line that goes on above or below."""
    window = bare[group][band]
    here = group * len(bare[0]) + band + 1
    ways = (*(line.points for line in sheet.ground.lines), *sheet.ground.frame)
    for side, y, number in (("top", window.top, here - 1), ("bottom", window.bottom, here + 1)):
        crossing = {
            x for way in ways for (x, start), (_, end) in pairwise(way) if min(start, end) < y < max(start, end)
        }
        yield from (Mark(side, x, number) for x in sorted(crossing) if window.left < x < window.right)
