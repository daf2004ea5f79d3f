"""The page of an analysis in a real browser: nothing is in a person's way, in light and dark, and all is on paper."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import pytest

from faultwright.analysis import analyse
from faultwright.analysis_page import analysis_page
from tests.core import depot, interlocks

if TYPE_CHECKING:
    from playwright.sync_api import Browser

NARROW, WIDE = 400, 1280

AXE = """async () => (await axe.run({resultTypes: ['violations']})).violations
  .map((one) => [one.id, one.nodes.map((node) => node.html.slice(0, 200))])"""


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the page of a circuit with sneak paths, a test tree, and lists long enough to be folded."""
    circuit = depot.circuit(interlocks.NEUTRAL_OR_BOTH)
    path = tmp_path_factory.mktemp("pages") / "analysis.html"
    path.write_text(analysis_page(analyse(circuit)), encoding="utf-8")
    return path


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_axe_finds_nothing(
    browser: Browser, file: Path, tmp_path: Path, width: int, scheme: Literal["light", "dark"]
) -> None:
    """Folded and unfolded, wide and narrow, light and dark; the page itself never scrolls sideways."""
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    page.goto(file.as_uri())
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    for _ in range(2):
        assert page.evaluate(AXE) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    page.screenshot(path=tmp_path / f"analysis-{width}-{scheme}.png", full_page=True)
    page.close()


HIDDEN = """() => [...document.querySelectorAll('td, li, svg')]
  .filter((one) => !one.checkVisibility({contentVisibilityAuto: true}))
  .map((one) => one.outerHTML.slice(0, 120))"""


def test_drawings_keep_their_white_ground(browser: Browser, file: Path) -> None:
    """Black lines stay readable where the page itself is dark."""
    page = browser.new_page(color_scheme="dark")
    page.goto(file.as_uri())
    ground = page.locator(".drawing").first.evaluate("(one) => getComputedStyle(one).backgroundColor")
    body = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert (ground, body) == ("rgb(255, 255, 255)", "rgb(22, 25, 29)")
    page.close()


def test_what_is_folded_is_printed(browser: Browser, file: Path) -> None:
    """On the screen long lists are folded; on paper, where nobody can unfold them, everything is there."""
    page = browser.new_page()
    page.goto(file.as_uri())
    assert page.evaluate(HIDDEN) != []
    page.emulate_media(media="print")
    assert page.evaluate(HIDDEN) == []
    page.close()
