"""Operating, asking, looking and remarking in a real JupyterLab: what is pictured, what is done, what comes back."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.axe import violations
from tests.browser.jupyterlab import opened_page

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

SET_UP = f"""
import sys
from pathlib import Path
sys.path.insert(0, {str(Path(__file__).parents[2])!r})
from faultwright.story import Question, Sign, Story
from faultwright_widgets.bench_view import BenchView
from faultwright_widgets.exercise import Exercise
from tests.widgets.sprayer import bench

story = Story(
    questions=(Question("Since when?", "Since the wash-down."), Question("Does anything smell burnt?", "No.")),
    signs=(Sign("W6", "a cable tie is missing"),),
)
BenchView(
    bench("K1 coil open"),
    Exercise(complaint="The pump does not run when the tank is full.", story=story),
    answer_file=Path("answer.json"),
)
"""
AGAIN = """async () => {
  await jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart();
  await jupyterapp.commands.execute('notebook:run-all-cells');
}"""
BELOW_SEEN = """(e) => e.getBoundingClientRect().y
  - document.querySelector('[data-role="seen"]').getBoundingClientRect().y"""
WIDE = """() => {
  const edge = document.querySelector('.fwb').getBoundingClientRect().right + 1;
  return [...document.querySelectorAll('.fwb-look *, .fwb-operate *, .fwb-findings *')]
    .filter((e) => e.checkVisibility() && !e.closest('.fwb-scroller') && e.getBoundingClientRect().right > edge)
    .map((e) => e.outerHTML.slice(0, 120));
}"""


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Iterator[tuple[Page, Path]]:
    """Yield a page with a bench, on which the tests of this module go on from each other, and the answer's file."""
    folder, home = tmp_path_factory.mktemp("work"), tmp_path_factory.mktemp("home")
    with opened_page(browser, folder, home, SET_UP) as page:
        page.locator(".fwb-sheet svg").first.wait_for()
        yield page, folder / "answer.json"


def make(page: Page, kind: str, *at: str) -> None:
    """Make one of the other moves by the form."""
    page.locator('[data-field="move-kind"]').select_option(kind)
    page.locator('[data-field="move-first"]').fill(at[0])
    if len(at) > 1:
        page.get_by_label("and", exact=True).fill(at[1])
    page.locator('[data-do="move"]').press("Enter")


def level(page: Page, behaviour: str, expected: str) -> None:
    """Expect a behaviour's picture to show this."""
    picture = page.locator(f'[data-behaviour="{behaviour}"] .fwb-pictogram')
    expect(picture).to_have_attribute("data-level", expected)
    expect(picture).to_have_attribute("aria-hidden", "true")


def test_asking_and_looking(opened: tuple[Page, Path], tmp_path: Path) -> None:
    """By keyboard: the answer is said, the question marked, the place typed in small letters, both among findings."""
    page, _ = opened
    look = page.locator('[data-section="look"]')
    box = look.bounding_box()
    assert box is not None
    assert box["height"] < 64  # one line, so that machine and meter stay in sight
    look.locator('[data-do="ask"]').press("Enter")
    said = look.locator('[data-said="look"]')
    expect(said).to_have_text("“Since when?” – “Since the wash-down.”")
    expect(look.locator("option")).to_have_text(["Since when? (asked)", "Does anything smell burnt?"])
    look.locator('[data-field="inspect"]').fill("w6")
    look.locator('[data-field="inspect"]').press("Enter")
    expect(said).to_have_text("W6: a cable tie is missing.")
    expect(page.locator('[data-finding="0"]')).to_contain_text("Asked: Since when?")
    expect(page.locator('[data-finding="1"]')).to_contain_text("Inspected W6")
    expect(page.locator("[data-finding] input")).to_have_count(0)
    page.screenshot(path=tmp_path / "look.png")


def test_a_known_good_part_shows_the_fault(opened: tuple[Page, Path], tmp_path: Path) -> None:
    """With another relay the pump turns and a click is seen and heard; undone it stands still; a test lamp is lit."""
    page, _ = opened
    for control, position in (("key", "on"), ("float", "full")):
        page.locator(f'[data-control="{control}"] [data-value="{position}"]').click()
    level(page, "pump", "off")
    note = page.locator('[data-section="operate"] [data-do="observe"]')
    before = note.evaluate(BELOW_SEEN)
    page.locator(".fwb-operate summary").press("Enter")
    make(page, "substitute", "K1")
    level(page, "pump", "on")
    level(page, "lamp", "on")
    expect(page.locator('[data-role="seen"] .fwb-notices')).to_have_text("A click: K1 pulls in")
    assert note.evaluate(BELOW_SEEN) == before  # what is heard moves nothing that is pressed next
    expect(page.locator('[data-said="operate"]')).to_have_text("Isolate first: this was done with G1 connected.")
    wiring = page.locator('[data-role="wiring"]')
    make(page, "load", "K1:30", "FRAME")
    expect(wiring).to_contain_text("A known-good part stands in for K1")
    expect(wiring.locator(".fwb-pictogram")).to_have_attribute("data-level", "on")
    page.screenshot(path=tmp_path / "substituted.png")
    note.click()
    expect(page.locator("[data-finding]").last).to_contain_text("K1 substituted")
    make(page, "disturb", "W7")
    expect(wiring).to_contain_text("W7 is being disturbed")
    for move in ("Leave it alone", "Take the test lamp off", "Put K1 back"):
        wiring.get_by_role("button", name=move).press("Enter")
    expect(wiring).to_have_text("Everything mated, nothing added.")
    level(page, "pump", "off")


@pytest.mark.parametrize("reduced", [False, True])
def test_pictures_keep_still_for_whoever_wants_them_to(opened: tuple[Page, Path], reduced: bool) -> None:  # noqa: FBT001
    """What turns is animated, but not where less motion is asked for."""
    page, _ = opened
    page.emulate_media(reduced_motion="reduce" if reduced else "no-preference")
    page.locator('[data-helper="pressed"]').click()
    make(page, "bridge", "K1:30", "K1:87")
    level(page, "pump", "on")
    moving = page.locator('[data-behaviour="pump"] .fwb-turns').evaluate("(e) => e.getAnimations().length")
    assert moving == (0 if reduced else 1)
    page.locator('[data-do="rest"]').click()
    level(page, "pump", "off")
    page.emulate_media(reduced_motion="no-preference")


def test_remarks_are_kept_and_the_last_row_is_in_sight(opened: tuple[Page, Path], tmp_path: Path) -> None:
    """A long list shows its last row; a remark typed by keyboard is in the file, and back after a kernel restart."""
    page, file = opened
    findings = page.locator('[data-section="findings"]')
    note = page.locator('[data-section="operate"] [data-do="observe"]')
    count = findings.locator("[data-finding]").count()
    for more in range(1, 16):
        note.press("Enter")
        expect(findings.locator("[data-finding]")).to_have_count(count + more)
    scroller = findings.locator(".fwb-scroller")
    scroller.scroll_into_view_if_needed()
    assert scroller.evaluate("(e) => e.clientHeight < e.scrollHeight && e.clientHeight <= 420")
    last = findings.locator("[data-finding]").last
    expect(last).to_be_in_viewport()
    remark = last.locator("[data-note]")
    index = remark.get_attribute("data-note")
    remark.focus()
    page.keyboard.type("b d d: in the yard")
    page.keyboard.press("Tab")
    expect(last.locator("[data-cite]")).to_be_focused()
    page.keyboard.press(" ")
    expect(page.locator('[data-role="cited"]')).to_have_text(str(int(index or 0) + 1))
    kept = json.loads(file.read_text(encoding="utf-8"))
    assert (kept["notes"], kept["cited"]) == ({index: "b d d: in the yard"}, [int(index or 0)])
    scroller.press("Home")
    expect(findings.locator("[data-finding]").first).to_be_in_viewport()
    page.screenshot(path=tmp_path / "findings.png")

    page.evaluate(AGAIN)
    expect(page.locator(f'[data-note="{index}"]')).to_have_value("b d d: in the yard")
    expect(page.locator(f'[data-cite="{index}"]')).to_be_checked()
    expect(page.locator('[data-section="look"] option').first).to_have_text("Since when? (asked)")
    assert violations(page) == []


@pytest.mark.parametrize("width", [1280, 400])
def test_nothing_hangs_out(opened: tuple[Page, Path], width: int, tmp_path: Path) -> None:
    """On a screen and on a narrow page, in the dark theme, nothing of these sections is cut off, and axe is content."""
    page, _ = opened
    page.set_viewport_size({"width": width, "height": 800})
    page.evaluate("() => jupyterapp.commands.execute('apputils:change-theme', {theme: 'JupyterLab Dark'})")
    page.locator('body[data-jp-theme-name="JupyterLab Dark"]').wait_for(state="attached")
    assert page.evaluate(WIDE) == []
    scroller = page.locator('[data-section="findings"] .fwb-scroller')
    assert scroller.evaluate("(e) => e.scrollWidth <= e.clientWidth")
    assert violations(page) == []
    page.screenshot(path=tmp_path / "dark.png")
    page.locator("[data-note]").last.scroll_into_view_if_needed()
    page.screenshot(path=tmp_path / "dark-findings.png")
