"""``faultwright lab``: the course is copied, the first lesson opens calmly with its cells run, Ctrl-C ends it."""

from __future__ import annotations

import os
import queue
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ADDRESS_SECONDS = 90
PAGE_MILLISECONDS = 90_000


@contextmanager
def opened(folder: Path, home: Path) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """Run the command as a person does, but with a home of its own; yield the address that it prints."""
    own = {
        name: str(home / name)
        for name in (
            "JUPYTER_CONFIG_DIR",
            "JUPYTER_DATA_DIR",
            "JUPYTER_RUNTIME_DIR",
            "JUPYTERLAB_SETTINGS_DIR",
            "JUPYTERLAB_WORKSPACES_DIR",
            "IPYTHONDIR",
        )
    }
    command = subprocess.Popen(
        [sys.executable, "-m", "faultwright", "lab", str(folder), "--no-browser"],
        env={**os.environ, **own, "HOME": str(home)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        # A group of its own on Windows, so that the break reaches it and not the test run.
        creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
    )
    lines: queue.Queue[str] = queue.Queue()
    reader = threading.Thread(target=_read, args=(command, lines), daemon=True)
    reader.start()
    try:
        yield _address(lines), command
    finally:
        command.terminate()
        command.wait(30)
        reader.join(10)
        assert command.stdout is not None
        command.stdout.close()


def _read(command: subprocess.Popen[str], lines: queue.Queue[str]) -> None:
    assert command.stdout is not None
    for line in command.stdout:
        lines.put(line)


def _address(lines: queue.Queue[str]) -> str:
    said = []
    while True:
        try:
            said.append(lines.get(timeout=ADDRESS_SECONDS))
        except queue.Empty:
            pytest.fail("no address within the time; said: " + "".join(said))
        if found := re.search(r"http://127\.0\.0\.1:\S+", said[-1]):
            return found[0]


def test_the_first_lesson_opens_calmly_with_its_bench(browser: Browser, tmp_path: Path) -> None:
    """One command: a page on this machine only, the lesson from its top, its benches drawn, no errors, no nagging."""
    with opened(tmp_path / "course", tmp_path / "home") as (address, command):
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        complaints: list[str] = []
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(address)
        page.wait_for_selector(".fw-diagram", timeout=PAGE_MILLISECONDS)
        page.wait_for_function(
            "document.querySelector('.jp-WindowedPanel-outer')?.scrollTop === 0", timeout=PAGE_MILLISECONDS
        )
        page.screenshot(path=str(tmp_path / "lesson.png"))
        assert page.locator(".jp-mod-searchable h1").first.is_visible() or page.locator("h1").first.is_visible()
        assert page.locator(".jp-RenderedText[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
        assert page.get_by_text("Nbgrader", exact=True).count() == 0
        assert page.locator(".jp-Notification, .Toastify__toast").count() == 0
        assert complaints == []
        page.close()
        if hasattr(os, "kill") and os.name == "posix":
            command.send_signal(signal.SIGINT)
            assert command.wait(30) == 0


def test_a_lesson_of_yours_is_never_written_over(tmp_path: Path) -> None:
    """A second run leaves every file that is there as it is, and says so."""
    command = [sys.executable, "-m", "faultwright", "lab", str(tmp_path / "course"), "--copy-only"]
    subprocess.run(command, check=True, capture_output=True)
    lesson = next((tmp_path / "course" / "lessons").glob("*.ipynb"))
    lesson.write_text("mine", encoding="utf-8")
    again = subprocess.run(command, check=True, capture_output=True, text=True, encoding="utf-8")
    assert lesson.read_text(encoding="utf-8") == "mine"
    assert "0 files copied" in again.stdout
    assert "left as you have them" in again.stdout
