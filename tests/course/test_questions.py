"""The question bank and progress: every file reads, mistakes are located, and questions come back in their turn."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from faultwright.errors import Refused
from faultwright_course.asking import ask, look_back
from faultwright_course.catalogue import lesson_names
from faultwright_course.progress import KEPT, Progress, read_progress
from faultwright_course.question_bank import looking_back, numbers, questions_of, read_questions

SKILLS = {
    "safe isolation", "complete path", "symptom table", "volts", "ohms and continuity", "relays", "routes", "search",
    "voltage drop", "stop by ground", "diodes and sneak paths", "mechanical causes", "repair and proof",
    "whole machine",
}  # fmt: skip

FILE = """\
- name: across-a-break
  skill: volts
  shows:
    v: {circuit: compressor, fault: W7 open, moves: [key=on, run=pressed], meter: volts, red: "Q1:85", black: FRAME}
  ask: The meter shows {v} from Q1:85 to ground.
  choices: [W7 is open., {says: The coil is open., model: one wire is enough}]
  why: Full voltage without current.
"""


def test_every_lesson_has_questions() -> None:
    """Four at least for each lesson, three with reasons; names are unique, skills are known."""
    assert numbers() == [name[:2] for name in lesson_names()]
    names: list[str] = []
    for number in numbers():
        questions = questions_of(number)
        assert len(questions) >= 4, number
        assert sum(bool(question.reasons) for question in questions) >= 3, number
        assert {question.skill for question in questions} <= SKILLS
        names += [question.name for question in questions]
    assert len(set(names)) == len(names)


def test_the_usual_wrong_models_are_met() -> None:
    """The four of Engelhardt and Beichner (American Journal of Physics 72, 2004; from memory) are there."""
    models = {
        choice.model for number in numbers() for one in questions_of(number) for choice in (*one.choices, *one.reasons)
    }
    for model in ("constant current", "used up", "one wire is enough", "local and sequential"):
        assert any(model in said for said in models), model


def test_questions_come_back_from_one_three_and_six_lessons_back() -> None:
    """Lesson 7 opens with two questions of lesson 6, one of 4 and one of 1; lesson 1 with two of lesson 0."""
    owner = {question.name: number for number in numbers() for question in questions_of(number)}
    for lesson, wanted in {"07": ["06", "06", "04", "01"], "01": ["00", "00"]}.items():
        assert [owner[question.name] for question in looking_back(lesson)] == wanted
    assert looking_back("00") == ()


def test_a_number_in_a_question_is_measured(tmp_path: Path) -> None:
    """The meter's display stands in the text: the whole battery voltage across a coil that has lost its return."""
    path = tmp_path / "01.yaml"
    path.write_text(FILE, encoding="utf-8")
    (question,) = read_questions(path)
    assert question.ask == "The meter shows 12.60 V from Q1:85 to ground."
    assert [choice.model for choice in question.choices] == ["", "one wire is enough"]


def test_mistakes_in_a_file_are_told_all_at_once(tmp_path: Path) -> None:
    """Each with its line, what is allowed and the nearest name."""
    path = tmp_path / "01.yaml"
    path.write_text(
        FILE.replace("compressor", "compresor")
        .replace("  skill: volts\n", "")
        .replace(", {says: The coil is open., model: one wire is enough}", ""),
        encoding="utf-8",
    )
    with pytest.raises(Refused) as refused:
        read_questions(path)
    told = str(refused.value)
    assert "01.yaml:1: a question: 'skill' is missing" in told
    assert "did you mean 'compressor'" in told
    assert "01.yaml:5: choices: two at least, the right one first" in told


def test_what_is_missing_in_a_reading_is_told(tmp_path: Path) -> None:
    """No lead, a meter that is none, a name in braces that is no reading: refused with the line, never a traceback."""
    path = tmp_path / "01.yaml"
    for old, new, told in (
        ('red: "Q1:85", ', "", "'red' is missing"),
        ("meter: volts", "meter: volt", "meter must be one of"),
        ("shows {v} from", "shows {v.x} from", "a name in braces is no reading"),
    ):
        path.write_text(FILE.replace(old, new), encoding="utf-8")
        with pytest.raises(Refused) as refused:
            read_questions(path)
        assert told in str(refused.value), told


def test_the_first_answer_is_kept_by_skill(tmp_path: Path) -> None:
    """What is answered in a lesson stands in the folder's progress, with no name of anybody."""
    view = ask("06", tmp_path)
    question = view.session.questions[0]
    view.session.handle({"question": 0, "choice": question.shown(question.choices).index(0), "reason": 0})
    kept = json.loads((tmp_path / "progress.json").read_text(encoding="utf-8"))
    assert list(kept["skills"]) == [question.skill]
    assert look_back("07", tmp_path).session.questions == looking_back("07")


def test_progress_keeps_the_last_results(tmp_path: Path) -> None:
    """Old results go; a skill without results counts as half known."""
    progress = Progress(tmp_path / "progress.json")
    assert progress.share("volts") == 0.5
    for number in range(20):
        progress.note("volts", right=number >= 12)
    again = read_progress(tmp_path)
    assert again.skills == {"volts": [True] * KEPT}
    assert again.share("volts") == 0.9


@pytest.mark.parametrize(
    "content",
    ["[]", '{"version": 2}', '{"version": 1, "skills": {"volts": [1]}, "case": "", "cases": 0, "marked": []}', "{"],
)
def test_a_file_that_is_something_else_is_never_written_over(tmp_path: Path, content: str) -> None:
    """Refused with what to do, and left as it is."""
    path = tmp_path / "progress.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(Refused):
        read_progress(tmp_path)
    assert path.read_text(encoding="utf-8") == content
