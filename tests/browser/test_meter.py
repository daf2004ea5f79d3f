"""The meter on the bench in Chromium: a watched control, a range, hold, a caution and a real meter's reading."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.axe import violations
from tests.browser.jupyterlab import opened_page

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ROOT = Path(__file__).parents[2]
SET_UP = f"""
import sys
sys.path.insert(0, {str(ROOT)!r})
from faultwright_widgets.bench_view import BenchView
from tests.widgets.sprayer import bench

BenchView(bench("B1 sticking"))
"""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Iterator[Page]:
    """Yield a page with a bench whose float switch sticks."""
    folder, home = tmp_path_factory.mktemp("work"), tmp_path_factory.mktemp("home")
    with opened_page(browser, folder, home, SET_UP) as page:
        page.locator(".fwb-sheet svg").first.wait_for()
        yield page


def put_leads(page: Page, red: str, black: str) -> None:
    """Put both leads by the from-to table."""
    for lead, terminal in (("red", red), ("black", black)):
        page.locator(f'[data-lead-input="{lead}"]').fill(terminal)
        page.locator(f'[data-lead-input="{lead}"]').press("Tab")


def test_a_late_contact_is_seen_while_the_control_moves(page: Page) -> None:
    """The float switch sticks: watched, the reading goes over late; the five readings and the words both say so."""
    page.locator('[data-control="key"] [data-value="on"]').click()
    put_leads(page, "B1:2", "FRAME")
    expect(page.locator('[data-role="number"]')).not_to_have_text("nothing yet")
    page.locator('[data-toggle="watch"]').click()
    expect(page.locator('[data-toggle="watch"]')).to_have_attribute("aria-pressed", "true")
    page.locator('[data-control="float"] [data-value="full"]').click()
    expect(page.locator('[data-role="along"] li')).to_have_count(5)
    page.locator('[data-control="float"] [data-value="low"]').click()
    expect(page.locator('[data-role="course"]')).to_contain_text("late")
    page.locator('[data-toggle="watch"]').click()


def test_ranges_hold_and_cautions(page: Page) -> None:
    """A range is chosen by name, a held number stays while the key moves, and ohms with the battery on is warned of."""
    page.locator(".fwb-more > summary").click()
    page.locator('[data-field="range"]').select_option("600 V")
    put_leads(page, "G1:+", "G1:-")
    number = page.locator('[data-role="number"]')
    expect(number).to_have_text("12.5 V")
    page.locator('[data-toggle="hold"]').click()
    expect(page.locator(".fwb-said").first).to_contain_text("held")
    put_leads(page, "B1:2", "FRAME")
    expect(number).to_have_text("12.5 V")
    page.locator('[data-toggle="hold"]').click()
    page.locator('[data-group="mode"] [data-value="ohms"]').click()
    expect(page.locator('[data-role="cautions"]')).to_contain_text("Serious")


def test_a_real_meters_reading_is_noted_as_such(page: Page, tmp_path: Path) -> None:
    """What a real meter showed is typed, noted as taken on real hardware, and axe-core finds nothing on the bench."""
    page.locator('[data-group="mode"] [data-value="volts"]').click()
    page.locator('[data-field="real"]').fill("12,4 V")
    page.locator('[data-do="real"]').click()
    expect(page.locator('[data-role="findings"] tr').last).to_contain_text("real hardware")
    remark = page.locator("[data-note]").last
    remark.fill("read at the panel")
    remark.press("Tab")
    expect(remark).to_have_value("read at the panel")
    assert violations(page) == []
    page.locator('[data-section="measure"]').scroll_into_view_if_needed()
    page.screenshot(path=tmp_path / "meter.png")
