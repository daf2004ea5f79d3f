"""The workshop guide works as written: its commands print what it shows."""

from __future__ import annotations

import json
import shutil
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import TYPE_CHECKING

from faultwright.command_line.workshop_commands import register
from faultwright_course.catalogue import HOME
from tests.course.guide import GUIDES, Follower, blocks

if TYPE_CHECKING:
    import pytest

STILL = datetime(2026, 3, 2, 8, 15, tzinfo=timezone(timedelta(hours=1)))


def test_workshop_guide_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """From the list of faults to a fault that is struck out; card, worksheet and observation sheet are there."""
    monkeypatch.setattr("faultwright.workshop.register.local_time", lambda: STILL)
    shutil.copytree(HOME / "circuits", tmp_path / "course" / "faultwright_course" / "circuits")
    monkeypatch.chdir(tmp_path)
    follower = Follower(capsys)
    for language, body in blocks("workshop"):
        follower.follow(language, body)
    assert follower.commands == 9
    assert all((tmp_path / f"{name}.html").is_file() for name in ("card", "worksheet", "observation"))
    entry = json.loads((tmp_path / "register.json").read_text(encoding="utf-8"))["entries"][0]
    guide = (GUIDES / "workshop.md").read_text(encoding="utf-8")
    assert all(f"`{key}`" in guide for key in entry)
    assert all(name in guide for name in register.commands)
