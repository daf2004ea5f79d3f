"""Practice without end in Chromium: the next case by keyboard, its bench, its mark, and the progress; axe-core."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import nbformat
import pytest
from playwright.sync_api import expect

from faultwright_autograde.draws import Draws
from faultwright_autograde.simulated.habits import play
from faultwright_course.catalogue import HOME
from faultwright_course.endless_cases import case_of
from tests.browser.axe import violations
from tests.browser.jupyterlab import jupyterlab

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.mark.parametrize("width", [1280, 400])
def test_a_case_is_opened_worked_and_marked(
    tmp_path_factory: pytest.TempPathFactory, tmp_path: Path, browser: Browser, width: int
) -> None:
    """What is missing is said at the button; a right answer is marked, and its skills stand in the table."""
    folder, home = tmp_path_factory.mktemp("work"), tmp_path_factory.mktemp("home")
    nbformat.write(nbformat.read(HOME / "lessons" / "practice.ipynb", as_version=4), folder / "practice.ipynb")
    with jupyterlab(folder, home) as lab:
        page = browser.new_page(viewport={"width": width, "height": 900})
        failures: list[str] = []
        page.on("pageerror", lambda error: failures.append(str(error)))
        lab.open(page, "practice.ipynb")
        assert lab.run_all(page) == []
        page.set_default_timeout(30_000)
        page.get_by_role("button", name="Next case").focus()
        page.keyboard.press("Enter")
        page.locator(".fwb").first.wait_for()
        page.get_by_role("button", name="Mark this case").focus()
        page.keyboard.press("Enter")
        said = page.get_by_text("There is no answer yet")
        expect(said.first).to_be_visible()
        assert violations(page) == []
        case = json.loads((folder / "progress.json").read_text(encoding="utf-8"))["case"]
        answer = play(case_of(case), "methodical", Draws(b"practice in a browser", case), {})
        (folder / f"{case}-answer.json").write_text(json.dumps(answer), encoding="utf-8")
        page.get_by_role("button", name="Mark this case").focus()
        page.keyboard.press("Enter")
        expect(page.get_by_text("It is in your progress").first).to_be_visible()
        expect(page.get_by_role("row").filter(has_text="diagnosis").first).to_contain_text("1 / 1")
        page.screenshot(path=tmp_path / "practice.png")
        page.close()
        assert failures == []
