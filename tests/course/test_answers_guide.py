"""The guide to answers works as written: its whole answer is sound, valid by the schema, and earns what it shows."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from jsonschema import Draft202012Validator

from faultwright.record import ACTION_KINDS, ANSWER_ENTRIES, CONFIDENCES, MOST_ACTIONS
from faultwright_autograde.answer import LARGEST
from faultwright_autograde.answer_schema import answer_schema
from faultwright_course.catalogue import HOME
from tests.course.guide import GUIDES, Follower, blocks

if TYPE_CHECKING:
    import pytest


def test_the_guide_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every command prints what the guide shows, and the answer typed by hand passes."""
    for folder in ("papers", "circuits"):
        shutil.copytree(HOME / folder, tmp_path / "course" / "faultwright_course" / folder)
    monkeypatch.chdir(tmp_path)
    follower = Follower(capsys)
    for language, body in blocks("answers"):
        follower.follow(language, body)
    assert follower.commands == 3
    answer = json.loads(Path("my-answer.json").read_text(encoding="utf-8"))
    Draft202012Validator(answer_schema()).validate(answer)
    assert Path("answer-schema.json").read_bytes() == (GUIDES / "answer-schema.json").read_bytes()


def test_its_tables_are_complete() -> None:
    """Every entry of an answer and every kind of action has its row, and the limits are those of the reader."""
    text = (GUIDES / "answers.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([^`]+)` \|", text, re.MULTILINE)
    assert rows[: len(ANSWER_ENTRIES)] == list(ANSWER_ENTRIES)
    assert [next(iter(json.loads(row.replace("{…}", "{}")))) for row in rows[len(ANSWER_ENTRIES) :]] == [
        "move", "read", "see", "inspect", "ask",
    ]  # fmt: skip
    assert len(rows) == len(ANSWER_ENTRIES) + len(ACTION_KINDS)
    assert f"{LARGEST:,} bytes" in text
    assert f"{MOST_ACTIONS:,} actions" in text
    assert all(f"`{word}`" in text for word in CONFIDENCES)
