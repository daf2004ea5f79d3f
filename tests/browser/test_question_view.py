"""Questions in Chromium: answered by keyboard, what is missing is said beside them, axe-core finds nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.axe import violations
from tests.browser.jupyterlab import opened_page

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SET_UP = """
from faultwright_course.asking import ask

ask("00")
"""


@pytest.mark.parametrize("width", [1280, 400])
def test_a_question_is_answered_by_keyboard(
    tmp_path_factory: pytest.TempPathFactory, tmp_path: Path, browser: Browser, width: int
) -> None:
    """Tab and arrows choose, Enter checks; a missing reason is asked for in the question; both tiers right is told."""
    folder, home = tmp_path_factory.mktemp("work"), tmp_path_factory.mktemp("home")
    with opened_page(browser, folder, home, SET_UP) as page:
        page.set_viewport_size({"width": width, "height": 900})
        question = page.locator('[data-question="1"]')
        right = question.get_by_role("radio", name="The return lead, at the minus.")
        choices = question.get_by_role("radiogroup").nth(0).get_by_role("radio")
        choices.first.focus()
        while right.get_attribute("aria-checked") != "true":
            page.keyboard.press("ArrowDown")
        question.get_by_role("button").focus()
        page.keyboard.press("Enter")
        expect(question.get_by_role("alert")).to_have_text("choose an answer and a reason first")
        reason = question.get_by_role("radio", name="With it off, a spanner between plus and frame closes no circuit.")
        question.get_by_role("radiogroup").nth(1).get_by_role("radio").first.focus()
        while reason.get_attribute("aria-checked") != "true":
            page.keyboard.press("ArrowDown")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(question.get_by_role("status")).to_contain_text("Right, and for the right reason.")
        expect(question.get_by_role("alert")).to_have_count(0)
        assert violations(page) == []
        page.screenshot(path=tmp_path / "question.png")
        assert (folder / "progress.json").is_file()
