"""The test tree as a plot: laid out as on the drawn sheet, what follows a test under it and further to the right.

A tree that is too large for a plot is drawn as far as it can be read, and says what is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from matplotlib.patches import Rectangle

from faultwright.analysis import analyse
from faultwright.analysis_sections import ComplaintTree
from faultwright.circuit import Circuit
from faultwright.drawing.text import Text
from faultwright.drawing.tree import Entry, Placed, lay_out_tree
from faultwright.errors import Refused
from faultwright.test_tree import Tree

from .plot_style import PALE, finished
from .plot_texts import text
from .show import Plot, Told

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_ENDS = 32
"""Ends of a tree that fit a plot: as many as five half-splits tell apart."""
_PIXELS_AN_INCH = 96.0
_WAY = "#555555"
_POINTS_A_PIXEL = 0.75 * 0.92
"""A sheet's texts are measured for the widest of common fonts; so much smaller, this one's fill what was measured."""


def plot_test_tree(circuit: Circuit, symptom: int | None = None) -> Plot:
    """Return the test tree for a complaint, by its number; its label is the tree in words.

    Without a number the commonest complaint that leaves several suspects is taken. The sheet of ``faultwright analyse``
    lists the complaints. Raises Refused for a number that there is not and where nothing is to be told apart.
    """
    found = analyse(circuit, only=["test_tree"], symptom=symptom)
    if found.refused:
        raise Refused(found.refused["test_tree"])
    complaint = found.test_tree
    if complaint is None or complaint.symptom is None:
        raise Refused(text("tree.no_several"))
    if complaint.tree is None:
        raise Refused(text("tree.none", title=complaint.title, name=", ".join(complaint.symptom.names)))
    return _drawn(circuit, complaint, complaint.tree)


def _drawn(circuit: Circuit, complaint: ComplaintTree, tree: Tree) -> Plot:
    entries, levels = _that_fit(tree)
    remarks = tree.remarks()
    if levels is not None:
        remarks.append(text("tree.left_out", levels=levels))
    title = text("tree.title", title=circuit.title or circuit.name)
    sheet = lay_out_tree(title, [complaint.title, *remarks], entries)
    told = Told(f"{title}. {complaint.title}.", _HEADS, tuple(_numbered(entries)), tuple(f"{one}." for one in remarks))
    plot = Plot(told, sheet.width / _PIXELS_AN_INCH, sheet.height / _PIXELS_AN_INCH)
    plot.set_layout_engine("none")
    axes = plot.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, sheet.width)
    axes.set_ylim(sheet.height, 0.0)
    axes.set_axis_off()
    for placed in sheet.entries:
        _draw(axes, placed)
    for words in sheet.texts:
        _write(axes, words)
    return finished(plot)


def _that_fit(tree: Tree) -> tuple[list[Entry], int | None]:
    """Return the entries to be drawn, and after how many tests a branch is cut short (None: the tree is whole).

    Raises Refused where even the first test has too many outcomes.
    """
    entries = tree.entries()
    if _ends(entries) <= MOST_ENDS:
        return entries, None
    cuts = [(_cut(tree, entries, levels), levels) for levels in range(tree.worst_tests - 1, 0, -1)]
    found = next(((some, levels) for some, levels in cuts if _ends(some) <= MOST_ENDS), None)
    if found is None:
        raise Refused(text("tree.wide", count=len(tree.nodes[0].branches), most=MOST_ENDS))
    return found


def _ends(entries: Sequence[Entry]) -> int:
    return sum(entry.end for entry in entries)


def _cut(tree: Tree, entries: Sequence[Entry], levels: int) -> list[Entry]:
    """Return the entries as far as some tests deep; a test that comes then is an end with all its suspects."""
    return [
        entry
        if entry.end or entry.level < levels
        else replace(entry, words=text("tree.cut", count=len(node.suspects)), end=True, note="")
        for entry, node in zip(entries, tree.nodes, strict=True)
        if entry.level <= levels
    ]


_HEADS = (text("tree.number"), text("tree.shown"), text("tree.then"))


def _numbered(entries: Sequence[Entry]) -> Iterator[tuple[str, str, str]]:
    """Yield the entries as rows; ``1.2.1`` is the first outcome of the test that is the second outcome of test 1."""
    numbers: list[int] = []
    for entry in entries:
        numbers = [*numbers[: entry.level], (numbers[entry.level] if len(numbers) > entry.level else 0) + 1]
        words = text("tree.noted", words=entry.words, note=entry.note) if entry.note else entry.words
        if entry.end:
            words = text("tree.left", words=words)
        yield ".".join(map(str, numbers)), entry.shown, words


def _draw(axes: Axes, placed: Placed) -> None:
    """Draw a frame, that of an end filled and with a thick edge, and the way to it from the test before."""
    frame, end = placed.frame, placed.entry.end
    if placed.way:
        axes.plot(*zip(*placed.way, strict=True), color=_WAY, linewidth=1.1)
    axes.add_patch(
        Rectangle(
            (frame.left, frame.top),
            frame.right - frame.left,
            frame.bottom - frame.top,
            facecolor=PALE if end else "white",
            edgecolor="none" if end else "black",
            linewidth=1.1,
        )
    )
    if end:
        axes.plot((frame.left, frame.left), (frame.top, frame.bottom), color="black", linewidth=3)
    if placed.rule is not None:
        axes.plot((placed.rule, placed.rule), (frame.top, frame.bottom), color=_WAY, linewidth=0.8)


def _write(axes: Axes, words: Text) -> None:
    weight = "bold" if words.bold else "normal"
    axes.text(words.x, words.y, words.words, fontsize=words.size * _POINTS_A_PIXEL, fontweight=weight, va="baseline")
