"""The lesson handed out through nbgrader and marked: right, wrong, and not handed in."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from faultwright_autograde.nbgrader_bridge import grade
from faultwright_autograde.nbgrader_course import hand_out, open_course
from faultwright_course.catalogue import lesson_path
from faultwright_course.opening import practice_case
from tests.course.student import works_badly, works_well

ASSIGNMENT, NOTEBOOK, EXERCISE = "routes", "06-routes-to-ground", "routes-clutch"


# nbgrader's own gradebook code sets SQLAlchemy off; nothing of ours can change that.
@pytest.mark.filterwarnings("ignore:Object of type <Submitted:sqlalchemy.exc.SAWarning")
def test_lesson_handed_out_and_marked(tmp_path: Path) -> None:
    """Nbgrader takes the lesson as it is; its gradebook then holds a mark for each student, whatever was handed in."""
    source = tmp_path / "source" / ASSIGNMENT
    source.mkdir(parents=True)
    shutil.copy(lesson_path(NOTEBOOK), source)
    for tried in ("routes-neutral", EXERCISE):  # tried out by the instructor: must not be handed out
        (source / f"{tried}-answer.json").write_text("{}", encoding="utf-8")
    released = hand_out(tmp_path, ASSIGNMENT)
    assert [path.name for path in released.iterdir()] == [f"{NOTEBOOK}.ipynb"]
    handed = json.loads((released / f"{NOTEBOOK}.ipynb").read_text(encoding="utf-8"))
    assert handed["metadata"]["faultwright"] == {"run_on_opening": True}
    for student, work in (("bench-1", works_well), ("bench-2", works_badly), ("bench-3", None)):
        folder = tmp_path / "submitted" / student / ASSIGNMENT
        shutil.copytree(released, folder)
        if work is not None:
            work(folder)
    case = practice_case(EXERCISE)
    graded = {one.student: one for one in grade(tmp_path, ASSIGNMENT, {EXERCISE: lambda _student: case})}
    assert graded["bench-1"].scores == {EXERCISE: 100.0}
    assert 0 < graded["bench-2"].scores[EXERCISE] < 40
    assert graded["bench-3"].scores == {EXERCISE: 0.0}
    with open_course(tmp_path).gradebook as gradebook:
        held = {student: gradebook.find_submission_notebook(NOTEBOOK, ASSIGNMENT, student).score for student in graded}
    assert held == {student: one.scores[EXERCISE] for student, one in graded.items()}
