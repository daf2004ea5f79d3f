"""The diagram on sheets of paper: readable, whole, told where each line goes on, black and white."""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.drawing import cutting
from faultwright.drawing.cutting import LEAST_LETTERS, NEARLY, SIZES, SMALLEST_LETTERS, Sheets, cut, room
from faultwright.drawing.printed import printed, spread
from faultwright.drawing.sheet_files import sheet_files
from faultwright.drawing.text import Box
from faultwright.drawing.windows import Window
from faultwright.errors import Refused

from .drawing_measures import covered
from .drawn_circuits import drawn_circuits
from .large_circuits import large_circuit, large_circuits
from .test_drawing import SVG, all_terminals

DRAWN = drawn_circuits()
COURSE = ["circuits/compressor", "circuits/runabout", "demo_class/orchard-sprayer", "gate_lamp/gate-lamp"]
each_drawn = pytest.mark.parametrize("circuit", DRAWN.values(), ids=DRAWN)
each_paper = pytest.mark.parametrize("paper", SIZES)


# Paper and lettering


def test_paper_has_the_sizes_of_iso_216() -> None:
    """A4 is 210 mm by 297 mm; A3 is two of them side by side; the sides stand as 1 to √2 (ISO 216:2007)."""
    assert SIZES["A4"] == (210, 297)
    assert SIZES["A3"] == (297, 2 * 210)
    for short, long in SIZES.values():
        assert long == pytest.approx(short * 2**0.5, abs=0.6)


def test_lettering_heights_are_those_of_iso_3098() -> None:
    """They lie in the series of ISO 3098-1:2015 (1.8, 2.5, 3.5, 5 … mm, steps of √2), from memory."""
    series = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
    assert {SMALLEST_LETTERS, LEAST_LETTERS, cutting.LARGEST_LETTERS} <= set(series)


@each_drawn
def test_a_large_sheet_takes_lettering_of_2_5_mm(circuit: Circuit) -> None:
    """On A3 every drawn circuit is readable; the strokes are thick enough for a copier, 0.5 mm or more."""
    sheets = cut(circuit, "A3")
    assert sheets.lettering >= LEAST_LETTERS - NEARLY
    assert 2 * sheets.scale >= 0.5


@each_drawn
def test_a_small_sheet_takes_lettering_of_1_8_mm(circuit: Circuit) -> None:
    """On A4 nothing is smaller than the smallest height of the standard."""
    assert cut(circuit, "A4").lettering >= SMALLEST_LETTERS - NEARLY


@pytest.mark.parametrize("name", COURSE)
def test_lessons_fit_one_sheet(name: str) -> None:
    """A teacher hands out one page of A4."""
    assert len(cut(DRAWN[name], "A4").windows) == 1


@each_drawn
@each_paper
def test_the_diagram_stays_within_the_border(circuit: Circuit, paper: str) -> None:
    """Windows with their marks fit the room inside the border, above the title block."""
    sheets = cut(circuit, paper)
    wide, tall = room(sheets.wide, sheets.tall)
    for window in sheets.windows:
        assert (window.right - window.left + 2 * sheets.beside) * sheets.scale <= wide + 0.01
        assert (window.bottom - window.top + cutting.NUMBERS + 2 * sheets.across) * sheets.scale <= tall + 0.01


# Whole


def check_whole(circuit: Circuit, sheets: Sheets) -> None:
    """Check that every terminal, symbol, path and word stands on one sheet, and no cut goes through any."""
    layout = sheets.sheet.layout(None, frozenset(), with_path=False)
    assert not covered(layout), covered(layout)
    for words in layout.texts:
        if words not in layout.heading:
            assert sum(inside(words.box, window) for window in sheets.windows) == 1, words
    for symbol in layout.symbols:
        assert sum(inside(symbol.body, window) for window in sheets.windows) == 1, symbol.element
    roots = [ET.fromstring(drawing) for drawing in printed(circuit, sheets)]  # noqa: S314 - our own output
    found = Counter(item.get("data-terminal") for root in roots for item in root.iter() if item.get("data-terminal"))
    assert found == Counter(all_terminals(circuit))
    assert {item.get("data-wire") for root in roots for item in root.iter()} >= set(circuit.wires)
    ids = [item.get("id") for root in roots for item in root.iter() if item.get("id")]
    assert len(ids) == len(set(ids))
    paths = Counter(path for window in sheets.windows for path in window.paths)
    bands = 1 + len(sheets.sheet.at.breaks.levels)
    assert paths == dict.fromkeys(sheets.sheet.ground.columns, bands)


def inside(box: Box, window: Window) -> bool:
    """Whether a rectangle lies wholly in a window."""
    return (
        window.left <= box.left and box.right <= window.right and window.top <= box.top and box.bottom <= window.bottom
    )


def check_marks(sheets: Sheets) -> None:
    """Check that each line that leaves a sheet is taken up again, where its mark says."""
    bands = 1 + len(sheets.sheet.at.breaks.levels)
    for number, window in enumerate(sheets.windows, start=1):
        for mark in window.marks:
            there = sheets.windows[mark.sheet - 1]
            assert mark.sheet != number
            if mark.path:
                assert mark.path in there.paths
                step = bands if mark.side == "right" else -bands
                beside = sheets.windows[number - 1 + step]
                opposite = {"right": "left", "left": "right"}[mark.side]
                assert (mark.at, mark.terminal) in [
                    (one.at, one.terminal) for one in beside.marks if one.side == opposite
                ]
            else:
                opposite = {"top": "bottom", "bottom": "top"}[mark.side]
                assert mark.at in [one.at for one in there.marks if one.side == opposite]
                assert there.paths == window.paths


@each_drawn
@each_paper
def test_nothing_is_lost_or_cut(circuit: Circuit, paper: str) -> None:
    """Every circuit that is drawn anywhere, on both sizes."""
    sheets = cut(circuit, paper)
    check_whole(circuit, sheets)
    check_marks(sheets)


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(circuit=large_circuits(least=10), paper=st.sampled_from(sorted(SIZES)))
def test_no_large_machine_is_lost_or_cut(circuit: Circuit, paper: str) -> None:
    """Machines that take many sheets, some of them cut across their paths too."""
    sheets = cut(circuit, paper)
    check_whole(circuit, sheets)
    check_marks(sheets)


@pytest.mark.slow
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(circuit=large_circuits(least=5), paper=st.sampled_from(sorted(SIZES)))
def test_no_machine_is_lost_or_cut_at_length(circuit: Circuit, paper: str) -> None:
    """The same for many more."""
    sheets = cut(circuit, paper)
    check_whole(circuit, sheets)
    check_marks(sheets)


def test_a_tall_machine_is_cut_across_too() -> None:
    """Where even small lettering does not fit the height, a path goes on at the next sheet, and its arrow says so."""
    circuit = large_circuit(0, 60)
    sheets = cut(circuit, "A4")
    assert sheets.sheet.at.breaks.levels
    first, second = (" ".join(texts(drawing)) for drawing in printed(circuit, sheets)[:2])
    assert "2: goes on in the same path at sheet 2" in first
    assert "1: goes on in the same path at sheet 1" in second


def test_a_line_that_is_cut_says_where_it_goes_on() -> None:
    """The battery's rail of the yard loader, read from the sheets: its terminal, then sheet and path."""
    circuit = DRAWN["benchmarks/yard_loader"]
    sheets = cut(circuit, "A4")
    drawings = printed(circuit, sheets)
    assert len(drawings) == 3
    path = next(number for number, x in sheets.sheet.ground.columns.items() if x == terminal_x(sheets, "F2:1"))
    assert f">G1:+ 3/{path}</text>" in drawings[0]
    assert f">G1:+ 3/{path}</text>" in drawings[1]
    assert ">G1:+ 1/" in drawings[1]
    assert "goes on at sheet" in drawings[0]


def terminal_x(sheets: Sheets, terminal: str) -> float:
    """Return where a terminal stands."""
    return next(pin.x for pin in sheets.sheet.ground.pins if pin.end.terminal == terminal)


places = st.lists(st.floats(0, 1000), max_size=20).map(sorted)


@given(places=places)
def test_marks_keep_clear_of_each_other(places: list[float]) -> None:
    """Words at the edge are moved apart, in their order, none below the end of the sheet; single ones stay."""
    found = spread(places, 13, 1000)
    assert len(found) == len(places)
    assert all(later - one >= 13 - 1e-6 for one, later in pairwise(found))
    assert all(place <= 1000 + 1e-6 for place in found)
    if all(later - one >= 13 for one, later in pairwise(places)):
        assert found == pytest.approx(places)


# What stands on a sheet


def texts(svg: str) -> list[str]:
    """Return every text of a sheet."""
    return [item.text or "" for item in ET.fromstring(svg).iter(f"{SVG}text")]  # noqa: S314 - our own output


def test_the_title_block_says_what_is_drawn_how_and_which_sheet() -> None:
    """Title, circuit, state of the contacts, number of the sheet and its paths."""
    circuit = DRAWN["benchmarks/yard_loader"]
    sheets = cut(circuit, "A4")
    for number, drawing in enumerate(printed(circuit, sheets), start=1):
        words = texts(drawing)
        assert f"{circuit.title} (circuit {circuit.name})" in words
        assert f"Sheet {number} of 3" in words
        paths = sheets.windows[number - 1].paths
        assert f"paths {paths[0]} to {paths[-1]}" in words
        assert any(line.startswith("Contacts drawn at rest, nothing unplugged") for line in words)
        assert f"sheet {number} of 3" in (ET.fromstring(drawing).findtext(f"{SVG}title") or "")  # noqa: S314


def test_a_commanded_state_is_told_as_such() -> None:
    """With positions and something apart the sheet says that it was commanded, not measured, and what is unplugged."""
    circuit = DRAWN["circuits/compressor"]
    (drawing,) = printed(circuit, cut(circuit, "A4"), positions=circuit.rest(), unplugged={"X1", "K1:86"})
    joined = " ".join(texts(drawing))
    assert "Switches drawn as commanded, not measured; relay contacts at rest; unplugged: K1:86, X1" in joined
    assert "Contacts drawn at rest" not in joined


@each_paper
def test_paper_is_black_and_white(paper: str) -> None:
    """Nothing that a copier could lose: no grey, no colour, no stroke under 0.35 mm."""
    for drawing in printed(DRAWN["verge-mower"], cut(DRAWN["verge-mower"], paper)):
        assert set(re.findall(r"#[0-9a-fA-F]{3,8}\b", drawing)) == {"#000", "#fff"}
        assert "opacity:0}" in drawing  # only the areas that take a click, which are not seen
        assert min(map(float, re.findall(r"stroke-width:([\d.]+)", drawing))) >= 0.35


def test_a_sheet_has_the_size_of_the_paper() -> None:
    """In mm, so that it prints at its size."""
    (drawing,) = printed(DRAWN["circuits/compressor"], cut(DRAWN["circuits/compressor"], "A4"))
    root = ET.fromstring(drawing)  # noqa: S314 - our own output
    assert (root.get("width"), root.get("height")) == ("210mm", "297mm")
    assert root.get("role") == "img"


# The files


def test_several_sheets_are_numbered_files(tmp_path: Path) -> None:
    """One SVG for each sheet, numbered before the suffix; a single sheet keeps the name."""
    files, remark = sheet_files(DRAWN["benchmarks/yard_loader"], tmp_path / "loader.svg", "A4")
    assert [file.name for file in files] == ["loader-1.svg", "loader-2.svg", "loader-3.svg"]
    assert remark == ""
    files, remark = sheet_files(DRAWN["circuits/runabout"], tmp_path / "runabout.svg", "A4")
    assert [file.name for file in files] == ["runabout.svg"]
    assert remark == "lettering is 1.8 mm high on A4, under 2.5 mm; larger paper: A3"


def test_a_page_holds_every_sheet(tmp_path: Path) -> None:
    """One HTML file with a rule for the printer: the size of the paper, a page for each sheet, nothing from outside."""
    file = tmp_path / "loader.html"
    files, _ = sheet_files(DRAWN["benchmarks/yard_loader"], file, "A4")
    page = files[file]
    assert "@page { size: 210mm 297mm; margin: 0 }" in page
    assert page.count("<section>") == 3
    assert not re.findall(r"(?:src|href)=", page)


def test_another_suffix_is_refused(tmp_path: Path) -> None:
    """The message says what is allowed."""
    with pytest.raises(Refused) as refused:
        sheet_files(DRAWN["circuits/compressor"], tmp_path / "pump.pdf", "A4")
    assert str(refused.value) == (
        "pump.pdf: name an .svg file (one for each sheet) or an .html file (one page for each sheet)"
    )
