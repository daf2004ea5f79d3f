"""What the plots share: marks whose shapes carry the meaning, rows that are named at their side, axes in words.

Rows run from top to bottom, so that names of any length stand level. Colours are of Okabe and Ito's set and differ in
lightness; nothing is told by colour alone, so every plot can be read in shades of grey.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from matplotlib.font_manager import FontProperties
from matplotlib.text import Text
from matplotlib.textpath import text_to_path
from matplotlib.ticker import FuncFormatter

from faultwright.meter import OVERLOAD, Reading

from .plot_texts import text
from .show import Plot, Told

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

BLUE, VERMILLION, GREY, PALE = "#0072B2", "#D55E00", "#8c8c8c", "#e8e8e8"
HEALTHY: dict[str, Any] = {
    "color": BLUE,
    "marker": "s",
    "markersize": 10,
    "markerfacecolor": "none",
    "markeredgewidth": 1.6,
}
"""What is calculated of a healthy machine: an open square."""
MEASURED: dict[str, Any] = {"color": VERMILLION, "marker": "o", "markersize": 5.5, "markeredgecolor": "black"}
"""What was measured: a full disc, small enough to stand inside the square."""
TIE: dict[str, Any] = {"linestyle": ":", "linewidth": 1.5, "color": "black", "zorder": 1}
"""What ties a disc to the square that it should be in."""

WIDTH = 9.0
"""Inches of a plot: what a notebook shows without making it smaller."""
TITLE, SMALL = 11, 8
"""Points."""
_LETTERS = 88
"""Letters of a title's line."""
_GAP = 9.0
"""Points between two columns."""
_BLANK = {"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none"}
"""Under words that a line may pass."""


def new_plot(told: Told, title: Sequence[str], height: float) -> Plot:
    """Return an empty plot with its title, one line or more for each text."""
    plot = Plot(told, WIDTH, height)
    plot.suptitle("\n".join(line for words in title for line in textwrap.wrap(words, _LETTERS)), fontsize=TITLE)
    return plot


def finished(plot: Plot) -> Plot:
    """Return a plot whose words stand as they are written: a dollar sign is no formula."""
    for words in plot.findobj(Text):
        words.set_parse_math(False)
    return plot


def legend(plot: Plot) -> None:
    """Name every kind of mark once, under the plot."""
    named: dict[str, Artist] = {}
    for axes in plot.axes:
        for mark, label in zip(*axes.get_legend_handles_labels(), strict=True):
            named.setdefault(str(label), mark)
    plot.legend(
        list(named.values()), list(named), loc="outside lower center", ncols=2, frameon=False, fontsize=SMALL + 1
    )


@dataclass(frozen=True, slots=True)
class Column:
    """Words beside the rows under a ``heading``, each with its row and whether it is bold. ``left``: begun in line."""

    heading: str
    cells: tuple[tuple[float, str, bool], ...]
    left: bool = False

    @property
    def width(self) -> float:
        """Points that the widest of it takes."""
        return max(
            [
                *(width(line) for line in self.heading.split("\n")),
                *(width(line, bold=bold) for _, words, bold in self.cells for line in words.split("\n")),
            ]
        )


@lru_cache(maxsize=4096)
def width(words: str, *, bold: bool = False) -> float:
    """Return the width of a line of small text in points."""
    font = FontProperties(size=SMALL, weight="bold" if bold else "normal")
    return float(text_to_path.get_text_width_height_descent(words, font, ismath=False)[0])


def name_rows(axes: Axes, columns: Iterable[Column], *, right: bool = False) -> None:
    """Write columns at the left side of the rows, or at the right."""
    columns = list(columns)
    off = _GAP
    for column in columns if right else reversed(columns):
        begins = off if right else -(off + column.width)
        at, align = (begins, "left") if column.left else (begins + column.width, "right")
        for row, words, bold in column.cells:
            _beside(axes, words, (float(right), row), (at, 0.0), align, bold=bold, on_row=True)
        _beside(axes, column.heading, (float(right), 1.0), (at, 4.0), align, bold=False, on_row=False)
        off += column.width + _GAP


def _beside(  # noqa: PLR0913 - where a text stands
    axes: Axes,
    words: str,
    where: tuple[float, float],
    off: tuple[float, float],
    align: str,
    *,
    bold: bool,
    on_row: bool,
) -> None:
    axes.annotate(
        words,
        where,
        off,
        xycoords=("axes fraction", "data") if on_row else "axes fraction",
        textcoords="offset points",
        ha=align,
        va="center" if on_row else "bottom",
        fontsize=SMALL,
        fontweight="bold" if bold else "normal",
    )


def rows_down(axes: Axes, first: float, last: float) -> None:
    """Let rows run downward, from the first to the last, without ticks; upright lines are faint."""
    axes.set_ylim(last + 0.6, first - 0.6)
    axes.set_yticks([])
    axes.grid(axis="x", linewidth=0.5, color="#cccccc")
    axes.set_axisbelow(True)
    axes.tick_params(axis="x", labelsize=SMALL + 1)


def in_decades(axes: Axes, linear_to: float, named: Callable[[float], str]) -> None:
    """Take an axis that is logarithmic from a value on, with a name for each decade."""
    axes.set_xscale("symlog", linthresh=linear_to, linscale=0.6)
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _place: named(value)))


def over_limit_at(readings: Iterable[Reading]) -> float:
    """Return where OL is drawn: beyond every number."""
    return 1.15 * max([*(reading.value for reading in readings if reading.value is not None), 0.0]) or 1.0


def place_of(reading: Reading, over: float) -> float:
    """Return where a reading is drawn: OL beyond every number, a floating or missing one at zero."""
    if reading.value is not None:
        return reading.value
    return over if reading.status == OVERLOAD else 0.0


def say_what_is_no_number(axes: Axes, rows: Iterable[tuple[float, Reading]], over: float) -> None:
    """Write beside marks what they stand for where that is no number; what two in one place stand for, once."""
    said: dict[tuple[float, float], list[str]] = {}
    for row, reading in rows:
        if reading.value is None:
            said.setdefault((place_of(reading, over), row), []).append(word_of(reading))
    for at, words in said.items():
        once = ", ".join(dict.fromkeys(words))
        axes.annotate(once, at, (9, 0), textcoords="offset points", va="center", fontsize=SMALL, bbox=_BLANK)


def word_of(reading: Reading) -> str:
    """Return what a reading without a number is called."""
    return text(f"plot.{reading.status}")
