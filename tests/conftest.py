"""What all tests share: the hypothesis profiles, and the browser with its rule about a machine that has none."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NoReturn

import pytest
from hypothesis import settings
from playwright.sync_api import Browser, Error, sync_playwright

IN_CI = os.environ.get("CI", "").lower() in {"1", "true"}

# "ci" tries the same examples every time, so that a red run is red again when it is looked into; "dev" tries new ones
# every time. Neither has a deadline: a slow machine is no finding.
settings.register_profile("ci", derandomize=True, deadline=None, print_blob=True)
settings.register_profile("dev", deadline=None)
settings.load_profile("ci" if IN_CI else "dev")

CHROMIUM_VARIABLE = "FAULTWRIGHT_CHROMIUM"
CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
DEBIAN_CHROMIUM = Path("/usr/bin/chromium")
INSTALL_SECONDS = 600

# Without its sandbox, because Chromium refuses to run sandboxed as root and in most containers; it only ever opens
# pages that the tests serve on 127.0.0.1. The others keep it from calling out.
CHROMIUM_ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)

WHY_NO_BROWSER = pytest.StashKey[str]()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what asks for Chromium, so that ``-m browser`` and ``-m "not browser"`` never miss a test."""
    for item in items:
        if isinstance(item, pytest.Function) and {"browser", "chromium"} & set(item.fixturenames):
            item.add_marker(pytest.mark.browser)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Hand over to the process that writes the summary why the browser tests did not run in this one."""
    workers_words = getattr(session.config, "workeroutput", None)
    if workers_words is not None:
        workers_words["why_no_browser"] = session.config.stash.get(WHY_NO_BROWSER, "")


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:  # noqa: ANN401 - pytest-xdist gives its classes no types
    """Take over from a process that has ended why the browser tests did not run there."""
    reason = getattr(node, "workeroutput", {}).get("why_no_browser", "")
    if reason:
        node.config.stash[WHY_NO_BROWSER] = reason


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Say at the end, where nobody misses it, that the browser tests did not run."""
    reason = config.stash.get(WHY_NO_BROWSER, "")
    if reason:
        terminalreporter.write_sep("=", "BROWSER TESTS DID NOT RUN", red=True, bold=True)
        terminalreporter.write_line(reason, red=True)


@pytest.fixture(scope="session")
def chromium(pytestconfig: pytest.Config) -> Path:
    """Return the Chromium that the tests drive: found, or installed where that is possible.

    ``FAULTWRIGHT_CHROMIUM`` decides if it is set, and nothing else is taken in its stead. Otherwise a Chromium of the
    system is taken, or Playwright's own, which outside CI is downloaded if need be.
    """
    named = os.environ.get(CHROMIUM_VARIABLE)
    if named:
        if not Path(named).is_file():
            _without_browser(pytestconfig, f"{CHROMIUM_VARIABLE} is {named}, and there is no such file")
        return Path(named)
    found = _system_chromium() or _playwright_chromium()
    if found is None and not IN_CI:
        _install_playwright_chromium()
        found = _playwright_chromium()
    if found is None:
        _without_browser(pytestconfig, "there is no Chromium and it could not be installed")
    return found


# One browser a module and not a session: while Playwright is started its event loop runs in the main thread, and
# nothing else in there could run one of its own, as executing a notebook does.
@pytest.fixture(scope="module")
def browser(chromium: Path, pytestconfig: pytest.Config) -> Iterator[Browser]:
    """Yield a headless Chromium with a fresh profile."""
    with sync_playwright() as playwright:
        try:
            started = playwright.chromium.launch(executable_path=chromium, args=list(CHROMIUM_ARGUMENTS))
        except Error as error:
            _without_browser(pytestconfig, f"{chromium} does not start: {error.message}")
        yield started
        started.close()


def _system_chromium() -> Path | None:
    for name in CHROMIUM_NAMES:
        on_path = shutil.which(name)
        if on_path:
            return Path(on_path)
    return DEBIAN_CHROMIUM if DEBIAN_CHROMIUM.is_file() else None


def _playwright_chromium() -> Path | None:
    with sync_playwright() as playwright:
        own = Path(playwright.chromium.executable_path)
    return own if own.is_file() else None


def _install_playwright_chromium() -> None:
    """Try; whether it worked shows in whether the browser is there."""
    command = [sys.executable, "-m", "playwright", "install", "chromium"]
    try:
        subprocess.run(command, check=False, capture_output=True, stdin=subprocess.DEVNULL, timeout=INSTALL_SECONDS)
    except (OSError, subprocess.TimeoutExpired):
        return


def _without_browser(config: pytest.Config, reason: str) -> NoReturn:
    """Fail in CI, where a skipped journey would pass for a good one; elsewhere skip, and say so at the end."""
    remedy = f"Install Chromium, or set {CHROMIUM_VARIABLE} to one."
    if IN_CI:
        pytest.fail(f"{reason}. {remedy}", pytrace=False)
    config.stash[WHY_NO_BROWSER] = f"{reason}. {remedy}"
    pytest.skip(reason)
