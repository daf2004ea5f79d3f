"""Practice: marking one's own answer, and only where the blueprint says that it is practice."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from faultwright.errors import Refused
from faultwright_autograde.pages import feedback_page
from faultwright_autograde.practice import mark_practice, paper_of, practice_case
from tests.autograde.gate import FOLDER, right_answer

PAPER = (FOLDER / "paper.yaml").read_text(encoding="utf-8")
PLACES = "  places: [W2, W3, W4, W5, S1, B1, P1]\n  modes: [open, resistance, stuck open]\n"


def _written(folder: Path, text: str) -> Path:
    for name in ("gate-lamp.yaml", "paper.yaml"):
        (folder / name).write_text((FOLDER / name).read_text(encoding="utf-8"), encoding="utf-8")
    path = folder / "practice.yaml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    """Return a practice blueprint with one named fault."""
    assert PLACES in PAPER
    return _written(tmp_path, PAPER.replace(PLACES, "  names: [W4 resistance]\n") + "practice: yes\n")


def test_a_practice_answer_is_marked(practice: Path, tmp_path: Path) -> None:
    """The right answer earns everything, from its file alone, and its feedback page can be written."""
    case = practice_case(practice)
    path = tmp_path / "answer.json"
    path.write_text(json.dumps(right_answer(case)), encoding="utf-8")
    assert paper_of(path) == "gate"
    mark = mark_practice(path, practice)
    assert (mark.mark, mark.passed) == (100, True)
    assert "100 of 100 marks." in feedback_page(mark, case)


@pytest.mark.parametrize(
    "text",
    [
        PAPER,
        PAPER + "practice: yes\n",
        PAPER.replace(PLACES, "  names: [W4 resistance]\n"),
        PAPER.replace(PLACES, "  names: [W4 resistance]\n") + "practice: no\n",
    ],
)
def test_an_examination_is_never_marked_so(tmp_path: Path, text: str) -> None:
    """Without practice, or without a named fault, there is no mark and no case, whatever the answer's file is."""
    blueprint = _written(tmp_path, text)
    with pytest.raises(Refused, match="this is a paper for a class; practice needs"):
        mark_practice(tmp_path / "none.json", blueprint)
    with pytest.raises(Refused, match="this is a paper for a class; practice needs"):
        practice_case(blueprint)


@pytest.mark.parametrize(
    ("content", "why"),
    [
        ('{"paper": "gate-12345678"}', "the answer is for paper 'gate-12345678'; this practice is 'gate'"),
        ('{"version": 1}', "names no paper"),
        ("[]", "names no paper"),
        ('{"paper": "gate"', "answer.json"),
        ('{"paper": "gate", "version": 1, "circuit": "gate-lamp"}', "a record is a table"),
    ],
)
def test_an_answer_that_cannot_be_used_is_refused(practice: Path, tmp_path: Path, content: str, why: str) -> None:
    """At home the message is for the student, who can put it right: no mark of nothing."""
    path = tmp_path / "answer.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(Refused, match=why):
        mark_practice(path, practice)
