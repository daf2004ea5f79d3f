"""The pages of marking in Chromium: nothing in anybody's way, nothing runs off a narrow screen."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from faultwright_autograde.class_marking import mark_class
from faultwright_autograde.moderation.desk import draw_sample, open_desk
from tests.autograde.gate import class_handed_in
from tests.browser.axe import violations

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Request

HABITS = ("methodical", "guesser", "unsafe")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Return a candidate's pages, the class's, and a blind sheet."""
    here = tmp_path_factory.mktemp("pages")
    folder = class_handed_in(here, {f"bench-{number}": habit for number, habit in enumerate(HABITS, start=1)})
    mark_class(folder, here / "secret.key")
    draw_sample(open_desk(folder, here / "secret.key"), 1, 0.1)
    return [
        folder / "feedback" / "bench-1.html",
        folder / "feedback" / "bench-2.html",
        folder / "class.html",
        folder / "moderation" / "sheets" / "S-01.html",
    ]


def _note(asked: list[str], request: Request) -> None:
    asked.append(request.url)


@pytest.mark.parametrize("width", [1280, 400])
def test_pages_of_marking_hold_for_everybody(browser: Browser, pages: list[Path], width: int) -> None:
    """Axe finds nothing; nothing is wider than the window; nothing is loaded from outside."""
    for path in pages:
        page = browser.new_page(viewport={"width": width, "height": 900})
        asked: list[str] = []
        page.on("request", partial(_note, asked))
        page.goto(path.as_uri())
        assert violations(page, "html") == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
        page.close()
