"""Every case of every lesson: who works it methodically gets it right, who guesses does not pass."""

from __future__ import annotations

import json

import pytest

from faultwright.files import read_json
from faultwright_autograde.handed_in import mark_handed_in
from faultwright_autograde.mark import Mark
from faultwright_course.opening import practice_case
from tests.course.right_answers import CASES, FOLDER, as_text, path_of, worked


def marked(name: str, content: str) -> Mark:
    """Mark an answer to a practice case as one that was handed in."""
    return mark_handed_in(practice_case(name), "answer", lambda: content)


@pytest.mark.parametrize("name", CASES)
def test_marked_right(name: str) -> None:
    """The fault can be found, justified, cured and proved with the bench alone, and each part has its marks.

    Who has measured much cites too much, and what no test tells apart is counted: a part of those two may be lost.
    """
    one = marked(name, path_of(name).read_text(encoding="utf-8"))
    assert one.passed, one.hurdles
    for criterion in one.criteria:
        least = {"evidence": 0.8, "citing": 0.5}.get(criterion.name, 1.0)
        assert criterion.mark >= least * criterion.maximum, criterion.verdict


@pytest.mark.parametrize("name", CASES)
def test_marked_wrong(name: str) -> None:
    """Who repeats the complaint and then guesses does not pass."""
    one = marked(name, json.dumps(worked(name, "guesser")))
    assert not one.passed
    assert one.hurdles


def test_no_answer_is_left_over() -> None:
    """There is one kept answer for each case and no other."""
    assert sorted(path.stem for path in FOLDER.iterdir()) == sorted(CASES)
    assert all(read_json(path_of(name))["paper"] == name for name in CASES)


@pytest.mark.slow
@pytest.mark.parametrize("name", CASES)
def test_kept_answers_are_what_a_methodical_student_does(name: str) -> None:
    """Worked again, each answer is the one that is kept."""
    assert as_text(worked(name)) == path_of(name).read_text(encoding="utf-8")
