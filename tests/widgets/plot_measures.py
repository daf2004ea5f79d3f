"""What a plot's tests measure with the renderer: where every text stands, and whether marks differ without colour."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.lines import Line2D
from matplotlib.text import Text

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.transforms import Bbox

_TOUCHING = 0.5
"""Pixels by which two texts may touch."""


def placed_texts(figure: Figure) -> list[tuple[str, Bbox]]:
    """Return every text that is drawn, with the rectangle that it fills, in pixels."""
    canvas = FigureCanvasAgg(figure)
    canvas.draw()  # type: ignore[no-untyped-call]
    renderer = canvas.get_renderer()  # type: ignore[no-untyped-call]
    hidden = {label for axes in figure.axes for label in _hidden_labels(axes)}
    return [
        (words.get_text(), Text.get_window_extent(words, renderer))
        for words in figure.findobj(Text)
        if words.get_visible() and words.get_text().strip() and words not in hidden
    ]


def _hidden_labels(axes: Axes) -> list[Artist]:
    """Return the labels of ticks that are not drawn: those out of view, and all where the axes are off."""
    found: list[Artist] = []
    for axis in (axes.xaxis, axes.yaxis):
        low, high = sorted(axis.get_view_interval())
        for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
            if not axes.axison or not low <= tick.get_loc() <= high:
                found += [tick.label1, tick.label2]
    return found


def clipped(figure: Figure) -> list[str]:
    """Return the texts that do not lie inside the figure."""
    whole = figure.bbox
    return [
        words
        for words, box in placed_texts(figure)
        if box.x0 < whole.x0 or box.y0 < whole.y0 or box.x1 > whole.x1 or box.y1 > whole.y1
    ]


def overlapping(figure: Figure) -> list[tuple[str, str]]:
    """Return the pairs of texts that lie over each other."""
    return [
        (words, other)
        for (words, box), (other, its) in combinations(placed_texts(figure), 2)
        if min(box.x1, its.x1) - max(box.x0, its.x0) > _TOUCHING
        and min(box.y1, its.y1) - max(box.y0, its.y0) > _TOUCHING
    ]


def shapes(figure: Figure) -> dict[str, tuple[object, ...]]:
    """Return what tells each named kind of mark from the others in greyscale: marker, filling and line."""
    found: dict[str, tuple[object, ...]] = {}
    for axes in figure.axes:
        for mark, label in zip(*axes.get_legend_handles_labels(), strict=True):
            if isinstance(mark, Line2D):
                filled = str(mark.get_markerfacecolor()) not in {"none", "white"}
                found[str(label)] = (mark.get_marker(), filled, mark.get_linestyle())
            else:
                found[str(label)] = ("area",)
    return found


def contrast(colour: str) -> float:
    """Return the contrast of a colour with white, by WCAG 2.2 (its relative luminance, from memory)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in to_rgb(colour)]
    luminance = sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
    return 1.05 / (luminance + 0.05)
