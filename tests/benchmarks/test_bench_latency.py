"""The bench answers a click about as fast as the least that a notebook can do (slow tier: it wants an idle machine)."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from .bench_latency import MANY_FINDINGS, latency

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.mark.slow
@pytest.mark.parametrize("findings", [0, MANY_FINDINGS])
def test_a_click_takes_little_longer_than_on_a_bare_pair(browser: Browser, tmp_path: Path, findings: int) -> None:
    """Click to new reading: at most 1.5 times a bare pair's, with 45 parts, and a fifth of it at most in the kernel.

    As ``faultwright lab`` serves it; any other server holds back now the one and now the other for 40 ms.
    """
    found = latency(browser, tmp_path, prompt=True, findings=findings)
    assert found.ratio <= 1.5
    assert found.kernel_share <= 0.2
