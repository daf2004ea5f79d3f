"""The circuit diagram in a real browser: words as wide as reckoned, one sheet to a printed page, nothing grey."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from faultwright.drawing.cutting import SIZES, cut
from faultwright.drawing.printed import printed
from faultwright.drawing.sheet_files import sheet_files
from faultwright.drawing.spacing import GAP
from faultwright.drawing.svg import draw
from faultwright.drawing.text import width
from tests.core.drawn_circuits import drawn_circuits
from tests.core.large_circuits import large_circuit

if TYPE_CHECKING:
    from playwright.sync_api import Browser

CIRCUITS = {**drawn_circuits(), "large": large_circuit(0, 60)}
POINTS = 72 / 25.4
"""Points of a PDF in a millimetre."""

WIDTHS = """() => [...document.querySelectorAll('text')].map((one) => [one.textContent, one.getComputedTextLength(),
  Number(one.getAttribute('font-size')), one.getAttribute('font-weight') === 'bold'])"""
INKS = """() => [...new Set([...document.querySelectorAll('svg *')].flatMap((one) => {
  const style = getComputedStyle(one);
  const drawn = one.getBoundingClientRect().width + one.getBoundingClientRect().height > 0 && one.tagName !== 'g';
  return drawn ? [style.fill, style.stroke].filter((ink) => ink !== 'none') : [];
}))]"""


def test_words_take_no_more_room_than_was_kept(browser: Browser) -> None:
    """In the browser's own font no word is wider than its estimate by more than the gap beside it."""
    page = browser.new_page()
    for circuit in CIRCUITS.values():
        page.set_content(draw(circuit))
        for words, real, size, bold in page.evaluate(WIDTHS):
            assert real - width(words, size, bold=bold) < GAP, words
    page.close()


@pytest.mark.parametrize("paper", SIZES)
def test_each_sheet_is_printed_on_a_page_of_its_size(browser: Browser, tmp_path: Path, paper: str) -> None:
    """The browser's own print-out has as many pages as there are sheets, each as large as the paper."""
    page = browser.new_page()
    for name, circuit in CIRCUITS.items():
        file = tmp_path / f"{name.replace('/', '-')}-{paper}.html"
        sheets = cut(circuit, paper)
        file.write_text(sheet_files(circuit, file, paper)[0][file], encoding="utf-8")
        page.goto(file.as_uri())
        pdf = page.pdf(prefer_css_page_size=True, print_background=True)
        assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == len(sheets.windows), name
        for wide, tall in re.findall(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", pdf):
            assert float(wide) == pytest.approx(sheets.wide * POINTS, abs=1)
            assert float(tall) == pytest.approx(sheets.tall * POINTS, abs=1)
    page.close()


def test_printed_sheets_are_black_and_white(browser: Browser, tmp_path: Path) -> None:
    """As the browser paints them, whatever style applies last: black and white only."""
    page = browser.new_page()
    for drawing in printed(CIRCUITS["scrap-bench"], cut(CIRCUITS["scrap-bench"], "A4")):
        page.set_content(drawing)
        assert set(page.evaluate(INKS)) == {"rgb(0, 0, 0)", "rgb(255, 255, 255)"}
        page.screenshot(path=tmp_path / "sheet.png")
    page.close()
