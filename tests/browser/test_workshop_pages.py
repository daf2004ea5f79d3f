"""The instructor's papers in a real browser: nothing is in a person's way, and they fit on A4."""

from __future__ import annotations

from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from faultwright.circuit_file import read_circuit
from faultwright.faults import parse_fault
from faultwright.workshop.card import bench_card
from faultwright.workshop.observation import observation_sheet
from faultwright.workshop.papers import card_page, observation_page, register_page, worksheet_page
from faultwright.workshop.refusals import Permission
from faultwright.workshop.register import Register, sign
from faultwright.workshop.worksheet import worksheet
from faultwright_course.catalogue import circuit_path

if TYPE_CHECKING:
    from playwright.sync_api import Browser

NARROW, WIDE = 400, 1280
A4 = round(182 / 25.4 * 96)
"""The width between the margins of a sheet of A4, in pixels of CSS."""

AXE = """async () => (await axe.run({resultTypes: ['violations']})).violations
  .map((one) => [one.id, one.nodes.map((node) => node.html.slice(0, 200))])"""

CUT_OFF = """(width) => [...document.querySelectorAll('th, td, li, p, dt, svg')]
  .filter((one) => one.getBoundingClientRect().right > width + 1 || one.scrollWidth > one.clientWidth + 1)
  .map((one) => one.outerHTML.slice(0, 120))"""

NAMES = ("card", "worksheet", "observation", "register")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a page of each kind, for the circuit with the most columns."""
    circuit = read_circuit(circuit_path("runabout"))
    card = bench_card(Permission(circuit), parse_fault("R1 open", circuit))
    signed = sign("KM", datetime(2026, 3, 2, 8, 15, tzinfo=UTC), "all 32 states, those that refuse too")
    register = Register().put_in("1", "runabout", "R1 open", signed).put_in("2", "runabout", "X1:3 resistance", signed)
    pages = {
        "card": card_page(card),
        "worksheet": worksheet_page(worksheet(circuit, card.complaint)),
        "observation": observation_page(observation_sheet(circuit)),
        "register": register_page(register.taken_out(1, signed).proved(1, signed), "depot.json"),
    }
    path = tmp_path_factory.mktemp("papers")
    for name, page in pages.items():
        (path / f"{name}.html").write_text(page, encoding="utf-8")
    return path


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_axe_finds_nothing(browser: Browser, folder: Path, tmp_path: Path, name: str, width: int) -> None:
    """Wide and narrow; the page itself never scrolls sideways."""
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.goto((folder / f"{name}.html").as_uri())
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    page.screenshot(path=tmp_path / f"{name}-{width}.png", full_page=True)
    assert page.evaluate(AXE) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_cut_off_on_a4(browser: Browser, folder: Path, name: str) -> None:
    """Between the margins of a sheet all has room, and it is black on white in the dark too."""
    page = browser.new_page(viewport={"width": A4, "height": 1123}, color_scheme="dark")
    page.goto((folder / f"{name}.html").as_uri())
    page.emulate_media(media="print")
    assert page.evaluate(CUT_OFF, A4) == []
    colours = page.evaluate("(({color, backgroundColor}) => [color, backgroundColor])(getComputedStyle(document.body))")
    assert colours == ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]
    page.close()


@pytest.mark.parametrize(("name", "most"), [("card", 3), ("worksheet", 4), ("observation", 3), ("register", 1)])
def test_sheets_of_a4(browser: Browser, folder: Path, tmp_path: Path, name: str, most: int) -> None:
    """A paper takes no more sheets than one can hold in a hand."""
    page = browser.new_page()
    page.goto((folder / f"{name}.html").as_uri())
    made = page.pdf(path=tmp_path / f"{name}.pdf", prefer_css_page_size=True)
    assert made.count(b"/Type /Page\n") <= most
    assert made.count(b"/Type /Page\n") >= 1
    page.close()
