"""What axe-core finds wrong on a page, in one area of it."""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Page


def violations(page: Page, area: str = ".fwb") -> list[str]:
    """Return what axe-core finds wrong in the first element that the selector names."""
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    found: list[dict[str, Any]] = page.evaluate(
        "async (area) => (await axe.run(document.querySelector(area), {resultTypes: ['violations']})).violations", area
    )
    return [f"{entry['id']}: {entry['nodes'][0]['html'][:200]}" for entry in found]
