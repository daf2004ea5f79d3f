"""The pages of marking in Chromium: nothing in anybody's way, nothing runs off a narrow screen."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from faultwright_autograde.class_folder import open_class
from faultwright_autograde.class_marking import mark_class
from faultwright_autograde.draws import Draws
from faultwright_autograde.moderation.desk import draw_sample, open_desk
from faultwright_autograde.setting import set_papers
from faultwright_autograde.simulated.habits import play
from tests.autograde.gate import FOLDER, SECRET
from tests.browser.axe import violations

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Request

HABITS = ("methodical", "guesser", "unsafe")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Return a candidate's pages, the class's, and a blind sheet."""
    here = tmp_path_factory.mktemp("pages")
    names = [f"bench-{number}" for number in range(1, 4)]
    (here / "roster.csv").write_text("\n".join(names), encoding="utf-8")
    (here / "secret.key").write_bytes(SECRET)
    folder = here / "class"
    set_papers(FOLDER / "paper.yaml", here / "roster.csv", folder, here / "secret.key")
    maker = open_class(folder, SECRET).maker
    for name, habit in zip(names, HABITS, strict=True):
        answer = play(maker.case(name), habit, Draws(SECRET, name), {})
        (folder / "answers" / f"{name}.json").write_text(json.dumps(answer), encoding="utf-8")
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
