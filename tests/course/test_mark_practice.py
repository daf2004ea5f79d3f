"""``faultwright mark ANSWER.json``: a student at home marks the lesson's exercise and reads why."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from faultwright.command_line import main
from tests.course.student import ANSWER, works_badly, works_well

if TYPE_CHECKING:
    import pytest


def test_a_right_answer_is_marked_with_its_reasons(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The mark on the screen, the reasons on a page beside the answer, and the answer left as it was."""
    works_well(tmp_path)
    answer = tmp_path / ANSWER
    before = answer.read_bytes()
    assert main(["mark", str(answer)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0].split() == ["criterion", "mark", "maximum"]
    assert said[-1].startswith("100 of 100, passed; the reasons are in ")
    page = answer.with_name(f"{answer.stem}-feedback.html").read_text(encoding="utf-8")
    assert "not of hand skill or authority to work" in page
    assert answer.read_bytes() == before


def test_a_wrong_answer_does_not_pass(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same command says so, as JSON where that is asked for."""
    works_badly(tmp_path)
    assert main(["mark", str(tmp_path / ANSWER), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["passed"] is False


def test_an_answer_to_no_exercise_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Another paper's answer, or a class's folder without its secret, is refused, and nothing is written."""
    stray = tmp_path / "stray.json"
    stray.write_text('{"version": 1, "paper": "routes-cluch"}', encoding="utf-8")
    assert main(["mark", str(stray)]) == 1
    assert "did you mean 'routes-clutch'?" in capsys.readouterr().err
    assert main(["mark", str(tmp_path)]) == 2
    assert "marking a class needs --secret" in capsys.readouterr().err
    assert [entry.name for entry in tmp_path.iterdir()] == ["stray.json"]
