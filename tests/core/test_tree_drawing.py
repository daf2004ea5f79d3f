"""The drawing of a test tree: nothing over anything else, whole, and readable without seeing it."""

from __future__ import annotations

from itertools import combinations, pairwise
from xml.etree import ElementTree as ET

from hypothesis import given
from hypothesis import strategies as st

from faultwright.drawing.text import Box
from faultwright.drawing.tree import Entry, TreeSheet, draw_tree, lay_out_tree

SVG = "{http://www.w3.org/2000/svg}"

SMALL_TREE = [
    Entry(0, "", "key=on, then volts X1:1 to FRAME", end=False, note="half-split"),
    Entry(1, "12.60 V", "ohms <F1> & W2", end=False),
    Entry(2, "OL", "F1 open", end=True),
    Entry(2, "0.2 Ω", "P1 open or P1:1 open", end=True),
    Entry(1, "0.00 V, floating", "W1 open", end=True),
]


@st.composite
def trees(draw: st.DrawFn) -> list[Entry]:
    """Draw a tree of any shape with words of any length."""
    words = st.text(st.characters(exclude_categories=["Cs"]), max_size=400)
    found = [Entry(0, "", draw(words), end=False, note=draw(st.sampled_from(["", "half-split"])))]
    for _ in range(draw(st.integers(0, 12))):
        level = draw(st.integers(1, found[-1].level + 1))
        found.append(Entry(level, draw(st.text(max_size=40)), draw(words), end=draw(st.booleans())))
    return found


def lines(sheet: TreeSheet) -> list[Box]:
    """Return every straight piece of the lines between frames."""
    return [
        Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))
        for placed in sheet.entries
        for a, b in pairwise(placed.way)
    ]


def check_clear(sheet: TreeSheet) -> None:
    """Check that frames, words and lines keep clear of each other and stand on the sheet."""
    for one, other in combinations(sheet.texts, 2):
        assert not one.box.meets(other.box), (one, other)
    for placed, second in combinations(sheet.entries, 2):
        assert not placed.frame.meets(second.frame), (placed, second)
    for text in sheet.heading:
        assert not any(text.box.meets(placed.frame) for placed in sheet.entries), text
    for line in lines(sheet):
        assert not any(line.meets(text.box) for text in sheet.texts), line
        assert not any(line.meets(placed.frame) for placed in sheet.entries), line
    for box in (*(text.box for text in sheet.texts), *(placed.frame for placed in sheet.entries)):
        assert 0 <= box.left < box.right + 1e-9
        assert box.right <= sheet.width
        assert 0 <= box.top < box.bottom <= sheet.height


@given(trees())
def test_nothing_covers_anything(entries: list[Entry]) -> None:
    """Whatever shape the tree has and however long its words are."""
    check_clear(lay_out_tree("Test tree", ["A remark", "Another " * 60], entries))


def test_each_entry_hangs_on_the_test_before_it() -> None:
    """Its line leaves the frame of that test below and ends at its own frame, further to the right."""
    placed = lay_out_tree("Test tree", [], SMALL_TREE).entries
    for number, parent in [(1, 0), (2, 1), (3, 1), (4, 0)]:
        first, *_, last = placed[number].way
        assert first[1] == placed[parent].frame.bottom
        assert placed[parent].frame.left < first[0] < placed[parent].frame.right
        assert last[0] == placed[number].frame.left > placed[parent].frame.left
        assert placed[number].frame.top < last[1] < placed[number].frame.bottom
    assert placed[0].way == ()


def test_the_words_stand_in_their_frames() -> None:
    """What is shown, then the words, inside the frame; a remark behind it."""
    for placed in lay_out_tree("Test tree", [], SMALL_TREE).entries:
        inside = [text for text in placed.texts if text.words != placed.entry.note]
        assert all(placed.frame.left < text.box.left < text.box.right < placed.frame.right for text in inside)
        assert all(placed.frame.top <= text.box.top < text.box.bottom <= placed.frame.bottom for text in inside)
        for text in placed.texts:
            if text.words == placed.entry.note:
                assert text.box.left > placed.frame.right


def test_the_drawing_is_told_in_words() -> None:
    """Title and description stand in the document under ids of their own, with nothing left out or misread."""
    root = ET.fromstring(draw_tree("Gate <no. 2>", ["The best tree"], SMALL_TREE, scope="gate 2"))  # noqa: S314 - our own
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "gate-2-title gate-2-desc"
    assert root.findtext(f"{SVG}title") == "Gate <no. 2>"
    assert root.findtext(f"{SVG}desc") == (
        "The best tree. 0: key=on, then volts X1:1 to FRAME, half-split. 1: 12.60 V, ohms <F1> & W2. 2: OL, F1 open. "
        "2: 0.2 Ω, P1 open or P1:1 open. 1: 0.00 V, floating, W1 open"
    )


@given(trees(), st.text(max_size=20))
def test_the_drawing_is_well_formed(entries: list[Entry], title: str) -> None:
    """Any words make a document that can be parsed, with a frame for each entry."""
    root = ET.fromstring(draw_tree(title, [title], entries))  # noqa: S314 - our own
    frames = [item for item in root.iter(f"{SVG}rect") if item.get("class") in ("fw-test", "fw-end")]
    assert [item.get("class") == "fw-end" for item in frames] == [entry.end for entry in entries]
