"""The plot of the test tree, and the words that stand for it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from matplotlib.colors import to_rgba

from faultwright.analysis import analyse
from faultwright.circuit_file import parse_circuit, read_circuit
from faultwright.errors import Refused
from faultwright.test_tree import Tree
from faultwright_widgets import tree_plot
from faultwright_widgets.show import Plot
from faultwright_widgets.tree_plot import plot_test_tree
from tests.widgets.plot_measures import clipped, overlapping, placed_texts
from tests.widgets.sprayer import CIRCUIT

CIRCUITS = Path(__file__).parents[2] / "course" / "faultwright_course" / "circuits"
COMPRESSOR = read_circuit(CIRCUITS / "compressor.yaml")


SMALL = 2
"""A complaint about the sprayer whose tree has 15 ends."""


def tree_of(symptom: int) -> Tree:
    """Return the tree that the analysis finds for a complaint about the sprayer."""
    found = analyse(CIRCUIT, only=["test_tree"], symptom=symptom).test_tree
    assert found is not None
    assert found.tree is not None
    return found.tree


def rows(figure: Plot) -> dict[str, list[str]]:
    """Return the rows of the text alternative by their numbers."""
    return {number: cells for number, *cells in figure.told.rows}


def test_every_test_and_every_end_is_drawn() -> None:
    """What the tree says in words stands on the plot and, numbered by its place, in the text alternative."""
    tree = tree_of(SMALL)
    figure = plot_test_tree(CIRCUIT, SMALL)
    drawn = " ".join(words for words, _ in placed_texts(figure))
    entries = tree.entries()
    assert len(figure.axes[0].patches) == len(figure.told.rows) == len(entries)
    for entry, (number, shown, then) in zip(entries, figure.told.rows, strict=True):
        assert all(word in drawn for word in f"{entry.words} {entry.shown}".split())
        assert number.count(".") == entry.level
        noted = f"{entry.words} ({entry.note})" if entry.note else entry.words
        assert (shown, then.removeprefix("left: ")) == (entry.shown, noted)
    assert figure.told.summary.startswith("Test tree for Towed orchard sprayer, pump relay. After symptom ")


def test_the_numbers_lead_through_the_tree() -> None:
    """A row's number begins with that of the test before it, and no number is given twice."""
    figure = plot_test_tree(CIRCUIT, SMALL)
    found = rows(figure)
    assert len(found) == len(figure.told.rows)
    for number in found:
        before = number.rpartition(".")[0]
        assert not before or not found[before][1].startswith("left: ")


@pytest.mark.parametrize("symptom", [None, SMALL])
def test_every_text_has_its_place(symptom: int | None) -> None:
    """No text is clipped and none lies over another; each stands inside its frame or wholly outside."""
    figure = plot_test_tree(COMPRESSOR, symptom)
    assert clipped(figure) == []
    assert overlapping(figure) == []
    frames = [frame.get_window_extent() for frame in figure.axes[0].patches]
    for _, box in placed_texts(figure):
        for frame in frames:
            if frame.x0 <= box.x0 <= frame.x1 and frame.y0 <= (box.y0 + box.y1) / 2 <= frame.y1:
                assert box.x1 <= frame.x1


def test_ends_are_told_from_tests_without_colour() -> None:
    """An end is a filled area without an outline, a test an outline."""
    tree = tree_of(SMALL)
    frames = plot_test_tree(CIRCUIT, SMALL).axes[0].patches
    outlined = [to_rgba(frame.get_edgecolor())[3] > 0 for frame in frames]
    assert outlined == [node.test is not None for node in tree.nodes]


def test_a_large_tree_is_cut_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first tests are drawn as far as fits; each end that was a test says how many suspects wait behind it."""
    monkeypatch.setattr(tree_plot, "MOST_ENDS", 10)
    figure = plot_test_tree(CIRCUIT, SMALL)
    ends = [then.removeprefix("left: ") for _, _, then in figure.told.rows if then.startswith("left: ")]
    assert 1 < len(ends) <= 10
    deepest = max(number.count(".") for number, *_ in figure.told.rows)
    assert figure.told.remarks[-1] == (
        f"Only the first {deepest} tests of each branch are drawn. "
        "The whole tree: faultwright analyse CIRCUIT --html FILE."
    )
    waiting = [int(end.split()[0]) for end in ends if end.endswith("further tests")]
    named = sum(end.count(" or ") + 1 for end in ends if not end.endswith("further tests"))
    assert waiting
    assert sum(waiting) + named == len(tree_of(SMALL).hypotheses)


def test_a_tree_that_is_too_wide_at_once_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where not even the first test's outcomes fit, the whole tree's place is named."""
    monkeypatch.setattr(tree_plot, "MOST_ENDS", 1)
    with pytest.raises(Refused) as refused:
        plot_test_tree(CIRCUIT, SMALL)
    count = len(tree_of(SMALL).nodes[0].branches)
    assert str(refused.value) == (
        f"already the first test of this tree has {count} outcomes, and a plot can show 1 ends at most; "
        "for the whole tree: faultwright analyse CIRCUIT --html FILE"
    )


def test_another_complaint_has_another_tree() -> None:
    """The number is that of the complaint in the analysis; one that there is not is refused."""
    words = [str(plot_test_tree(CIRCUIT, symptom).get_label()).splitlines()[0] for symptom in (3, 4)]
    assert words[0] != words[1]
    with pytest.raises(Refused, match="there is no symptom 99"):
        plot_test_tree(CIRCUIT, 99)


def test_where_nothing_is_to_be_told_apart_there_is_no_plot() -> None:
    """A complaint that leaves one suspect has no tree, and a machine that does nothing has no complaint."""
    with pytest.raises(Refused) as refused:
        plot_test_tree(COMPRESSOR, 9)
    assert re.fullmatch(
        "After symptom 9, .* leaves one suspect, [^,]*: there is nothing to tell apart", str(refused.value)
    )
    still = parse_circuit("circuit: still\nparts:\n  G1: {kind: battery}\nwires: {}\n", "still.yaml")
    with pytest.raises(Refused) as nothing:
        plot_test_tree(still)
    assert str(nothing.value) == (
        "no complaint about this circuit leaves several suspects: there is nothing to tell apart"
    )
