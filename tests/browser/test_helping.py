"""Help in steps in a real JupyterLab: asked for by keyboard, read aloud, read on a narrow page, and given up."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from tests.browser.axe import violations
from tests.browser.jupyterlab import opened_page

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

ROOT = Path(__file__).parents[2]
SET_UP = f"""
import sys
sys.path.insert(0, {str(ROOT)!r})
from faultwright_widgets.bench_view import BenchView
from faultwright_widgets.exercise import Exercise
from tests.widgets.sprayer import bench

view = BenchView(bench("W6 open"), Exercise(complaint="The pump does not run when the tank is full.", helps=True))
view
"""

SMALL = """() => [...document.querySelectorAll('.fwb-helping button, .fwb-helping select, .fwb-helping summary')]
  .filter((e) => e.checkVisibility())
  .map((e) => [e.outerHTML.slice(0, 120), e.getBoundingClientRect()])
  .filter(([, box]) => box.width < 24 || box.height < 24)
  .map(([html]) => html)"""
UNGUARDED = """() => [...document.querySelectorAll('.fwb-helping *')]
  .filter((e) => e.tabIndex >= 0 || e.hasAttribute('tabindex'))
  .filter((e) => e.dataset.lmSuppressShortcuts !== 'true')
  .map((e) => e.outerHTML.slice(0, 120))"""
SIDEWAYS = "() => document.querySelector('.fwb').scrollWidth - document.querySelector('.fwb').clientWidth"


@pytest.fixture
def page(browser: Browser, tmp_path: Path) -> Any:  # noqa: ANN401 - a generator of pages
    """Yield a page with a bench that gives help."""
    folder, home = tmp_path / "work", tmp_path / "home"
    folder.mkdir()
    home.mkdir()
    with opened_page(browser, folder, home, SET_UP) as found:
        found.locator(".fwb-sheet svg").first.wait_for()
        yield found


def unfolded(page: Page, name: str) -> Locator:
    """Unfold a step by keyboard and return it."""
    step = page.locator(f'[data-step="{name}"]')
    step.locator("summary").focus()
    page.keyboard.press("Enter")
    return step


def shoot(page: Page, path: Path, width: int) -> None:
    """Take a picture of the section on a page that is tall enough for it."""
    page.set_viewport_size({"width": width, "height": 3200})
    page.locator(".fwb-helping").screenshot(path=path)


def test_every_step_is_asked_for_and_given(page: Page, tmp_path: Path) -> None:
    """From the finding that misleads to the worked search, one sentence a step read aloud; then on a narrow page."""
    aloud = page.locator('[data-said="helping"]')
    for control, position in (("key", "on"), ("float", "full")):
        page.locator(f'[data-control="{control}"] [data-value="{position}"]').click()
    page.locator('[data-section="operate"] [data-do="observe"]').click()
    expect(page.locator('[data-role="findings"] tbody tr')).to_have_count(1)

    why = unfolded(page, "why")
    why.locator("select").select_option("2")
    why.locator('[data-do="why"]').focus()
    page.keyboard.press("Enter")
    expect(why.locator("li")).to_have_count(2)
    expect(aloud).to_contain_text("Finding 3, Seen: pump: no, lamp: off.")
    assert aloud.get_attribute("role") == "status"

    states = unfolded(page, "states")
    states.locator('[data-do="states"]').click()
    expect(states.locator("li").nth(1)).to_contain_text("Pump test button (released or pressed)")

    best = unfolded(page, "best")
    best.locator('[data-do="best"]').click()
    expect(page.locator('[data-alert="helping"]')).to_have_text("commit suspects of your own first")

    compare = unfolded(page, "compare")
    assert compare.locator("table").count() == 0
    for place, mode in (("W6", "open"), ("F1", "open"), ("W4", "open")):
        compare.locator('[data-field="suspect-place"]').select_option(place)
        compare.locator('[data-field="suspect-what"]').select_option(mode)
        compare.locator('[data-do="suspect"]').click()
    compare.get_by_label("Take W4 open out of the suspects").click()
    compare.locator('[data-do="compare"]').click()
    rows = compare.locator("tbody tr")
    expect(rows.first).to_have_text("W6 opennamedstill possible")
    expect(rows.nth(1)).to_have_text("F1 opennamedstill possible")
    expect(aloud).to_contain_text("Of your 2 suspects, still possible: 2; cleared: 0.")

    best.locator('[data-do="best"]').click()
    expect(best).to_contain_text("suspects that are left into")
    page.locator('[data-section="operate"] [data-do="observe"]').click()
    expect(compare.locator('[data-role="stale-compare"]')).to_be_visible()

    replay = unfolded(page, "replay")
    give_up = replay.locator('[data-do="replay"]')
    expect(give_up).to_have_text("I give up: show a worked search")
    give_up.click()
    expect(give_up).to_have_text("Yes, I give up: show what is wrong")
    expect(replay).not_to_contain_text("W6 open")
    give_up.click()
    expect(replay).to_contain_text("What was wrong: W6 open.")
    assert replay.locator("ol").count() == 2

    assert violations(page) == []
    assert page.evaluate(SMALL) == []
    assert page.evaluate(UNGUARDED) == []
    shoot(page, tmp_path / "helping.png", 1280)
    shoot(page, tmp_path / "helping-narrow.png", 480)
    expect(rows.first.locator("td").first).to_have_css("display", "block")
    assert page.evaluate(SIDEWAYS) <= 1
