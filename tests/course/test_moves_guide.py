"""The guide to moves works as written, and leaves out no move and no word of a watched meter."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from faultwright.part_entries import MOVE_WORDS
from faultwright.watch_words import WORDS
from faultwright_course.catalogue import HOME
from tests.course.guide import GUIDES, Follower, blocks

if TYPE_CHECKING:
    import pytest


def test_moves_guide_followed(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Every command prints what the guide shows."""
    monkeypatch.chdir(Path(HOME).parents[1])
    follower = Follower(capsys)
    for language, body in blocks("moves"):
        follower.follow(language, body)
    assert follower.commands == 2


def test_every_move_and_every_word_is_in_the_guide() -> None:
    """The tables name each move word, and say what each course of a watched meter often is."""
    text = (GUIDES / "moves.md").read_text(encoding="utf-8")
    assert [word for word in MOVE_WORDS if not re.search(rf"^\| .*`{word}\b", text, re.MULTILINE)] == []
    assert re.findall(r"^\| ([a-z ,]+) \|", text, re.MULTILINE)[2:] == [*WORDS.values()]
