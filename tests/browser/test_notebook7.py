"""The bench in Notebook 7: drawn, operated by keyboard and measured, and no shortcut of the notebook fires from it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser.axe import violations
from tests.browser.jupyterlab import jupyterlab, write_notebook

if TYPE_CHECKING:
    import pytest
    from playwright.sync_api import Browser, Error

SET_UP = f"""
import sys
sys.path.insert(0, {str(Path(__file__).parents[2])!r})
from faultwright_widgets.bench_view import BenchView
from tests.widgets.sprayer import bench

BenchView(bench("W6 open"))
"""


def _bytes(frame: str | bytes) -> bytes:
    return frame.encode() if isinstance(frame, str) else frame


def test_the_bench_works_in_notebook_7(
    tmp_path_factory: pytest.TempPathFactory, tmp_path: Path, browser: Browser
) -> None:
    """Cells run, a control is pressed and a reading taken by keyboard; "b" and "d d" on a control change no cell."""
    folder, home = tmp_path_factory.mktemp("work"), tmp_path_factory.mktemp("home")
    write_notebook(folder / "bench.ipynb", SET_UP)
    with jupyterlab(folder, home) as lab:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        failures: list[str] = []

        def note(error: Error) -> None:
            # A widget's code is loaded from a blob; errors of the notebook's own code are none of ours.
            if "blob:" in (error.stack or ""):
                failures.append(str(error))

        page.on("pageerror", note)
        page.set_default_timeout(60_000)
        with page.expect_websocket(lambda socket: "/channels" in socket.url) as kernel:
            page.goto(f"{lab.address}/notebooks/bench.ipynb?token={lab.token}")
        # Only once the kernel has answered does the page send it anything to run.
        kernel.value.wait_for_event("framereceived", lambda frame: b"kernel_info_reply" in _bytes(frame))
        page.locator(".jp-Notebook .jp-CodeCell").first.wait_for()
        page.locator('.jp-Notebook-ExecutionIndicator[data-status="idle"]').wait_for()
        page.locator(".jp-CodeCell .cm-content").first.click()
        page.keyboard.press("Shift+Enter")
        page.locator(".fwb-sheet svg").first.wait_for()
        cells = page.locator(".jp-CodeCell").count()
        page.locator('[data-control="key"] [data-value="off"]').focus()
        page.keyboard.press("ArrowRight")
        expect(page.locator('[data-control="key"] [data-value="on"]')).to_have_attribute("aria-checked", "true")
        for key in ("b", "d", "d"):
            page.keyboard.press(key)
        for lead, terminal in (("red", "S1:2"), ("black", "FRAME")):
            page.locator(f'[data-lead-input="{lead}"]').fill(terminal)
            page.locator(f'[data-lead-input="{lead}"]').press("Tab")
        page.locator('[data-do="read"]').press("Enter")
        expect(page.locator('[data-role="number"]')).to_contain_text("12.")
        assert page.locator(".jp-CodeCell").count() == cells
        expect(page.locator('[data-alert="bench"]')).to_be_hidden()
        assert violations(page) == []
        page.screenshot(path=tmp_path / "notebook.png")
        page.close()
        assert failures == []
