"""The author view in Chromium: a fault chosen and put in by keyboard, what follows from it, axe-core, and a bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser.axe import violations
from tests.browser.jupyterlab import opened_page

if TYPE_CHECKING:
    import pytest
    from playwright.sync_api import Browser

SET_UP = f"""
import sys
sys.path.insert(0, {str(Path(__file__).parents[2])!r})
from faultwright_widgets.author_view import AuthorView
from tests.widgets.sprayer import CIRCUIT

AuthorView(CIRCUIT)
"""


def test_a_fault_is_put_in_by_keyboard(
    tmp_path_factory: pytest.TempPathFactory, tmp_path: Path, browser: Browser
) -> None:
    """Place and fault are chosen with keys alone; table, suspects and best test appear; axe-core finds nothing."""
    folder, home = tmp_path_factory.mktemp("work"), tmp_path_factory.mktemp("home")
    with opened_page(browser, folder, home, SET_UP) as page:
        place = page.locator('[data-field="author-place"]')
        place.focus()
        page.keyboard.type("W6")
        page.keyboard.press("Tab")
        page.keyboard.type("open")
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(page.locator('[data-role="author-said"]')).to_have_text("In the machine: W6 open.")
        expect(page.locator('[data-differs="true"]')).to_have_count(1)
        expect(page.locator('[data-role="author-best"]')).to_contain_text("Best first test")
        assert violations(page) == []
        page.screenshot(path=tmp_path / "author.png")
