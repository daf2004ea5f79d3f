"""A lesson through nbgrader's own functions: handed out, taken back, marked without running it, fed back, exported."""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

from faultwright.errors import Refused
from faultwright_autograde.case import Case
from faultwright_autograde.nbgrader_bridge import Graded, grade, score
from faultwright_autograde.nbgrader_course import hand_out, make_feedback, open_course, scripts_on_path
from tests.autograde.gate import Answer, mark_json, right_answer

# nbgrader's own gradebook code sets SQLAlchemy off; nothing of ours can change that.
pytestmark = [
    pytest.mark.filterwarnings("ignore:Object of type <Submitted:sqlalchemy.exc.SAWarning"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
]

SCRIPT = "Because P1:1 is low. <script>alert(1)</script> <img src=x onerror=alert(2)> [here](javascript:alert(3))"
EVIL = "open('ran.txt', 'w').write('student code ran')"


def nbgrader_cell(name: str, *, solution: bool, points: int) -> dict[str, Any]:
    """Return the metadata of a grade cell."""
    return {
        "nbgrader": {
            "grade_id": name, "grade": True, "solution": solution, "locked": not solution, "points": points,
            "schema_version": 3, "task": False,
        }
    }  # fmt: skip


def lesson() -> nbformat.NotebookNode:
    """Return a small lesson: a marked exercise as a whole and by one criterion, and a cell marked by hand."""
    cells = [
        new_markdown_cell("# The dark gate"),
        new_code_cell("bench = 'here'"),
        new_code_cell("'marked outside'", metadata=nbgrader_cell("gate", solution=False, points=50)),
        new_code_cell("'proof'", metadata=nbgrader_cell("gate-proof", solution=False, points=8)),
        new_markdown_cell("Say why.", metadata=nbgrader_cell("why", solution=True, points=4)),
    ]
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    notebook: nbformat.NotebookNode = new_notebook(cells=cells, metadata=kernel)
    return notebook


def spoiled(notebook: dict[str, Any]) -> None:
    """Let a student do everything to a notebook that gained marks elsewhere: retype, delete, double, fake outputs."""
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            cell["source"] = EVIL
            cell["outputs"] = [
                {"output_type": "execute_result", "execution_count": 1, "metadata": {}, "data": {"text/plain": "50"}}
            ]
    notebook["cells"][2]["metadata"]["nbgrader"]["points"] = 5000
    notebook["cells"].append(json.loads(json.dumps(notebook["cells"][2])))
    del notebook["cells"][3]


@pytest.fixture(scope="module")
def course(tmp_path_factory: pytest.TempPathFactory, case: Case) -> Path:
    """Return a course that was handed out, handed in by students of every kind, and marked."""
    root = tmp_path_factory.mktemp("course")
    source = root / "source" / "gates"
    source.mkdir(parents=True)
    nbformat.write(lesson(), source / "lesson.ipynb")
    (source / "gate-answer.json").write_text(json.dumps(right_answer(case)), encoding="utf-8")
    released = hand_out(root, "gates")
    assert [path.name for path in released.iterdir()] == ["lesson.ipynb"]
    for student in ("right", "mirrored", "blank", "spoiler", "broken", "no-notebook", "version-3"):
        shutil.copytree(released, root / "submitted" / student / "gates")
    hand_in(root, "right", right_answer(case))
    hand_in(root, "broken", '{"version": NaN}')
    hand_in(root, "spoiler", right_answer(case) | {"claim": ["W3 open"]})
    edit(root, "spoiler", spoiled)
    edit(root, "mirrored", lambda notebook: mirror(notebook, right_answer(case)))
    edit(root, "right", lambda notebook: notebook["cells"][4].update(source=SCRIPT))
    (root / "submitted" / "no-notebook" / "gates" / "lesson.ipynb").unlink()
    old = root / "submitted" / "version-3" / "gates" / "lesson.ipynb"
    old.write_text('{"nbformat": 3, "worksheets": [{"cells": []}], "metadata": {}}', encoding="utf-8")
    return root


def hand_in(root: Path, student: str, answer: Answer | str) -> None:
    """Put an answer beside a student's notebook."""
    path = root / "submitted" / student / "gates" / "gate-answer.json"
    path.write_text(answer if isinstance(answer, str) else json.dumps(answer), encoding="utf-8")


def edit(root: Path, student: str, change: Any) -> None:  # noqa: ANN401 - a function of the notebook
    """Change a student's notebook."""
    path = root / "submitted" / student / "gates" / "lesson.ipynb"
    notebook = json.loads(path.read_text(encoding="utf-8"))
    change(notebook)
    path.write_text(json.dumps(notebook), encoding="utf-8")


def mirror(notebook: dict[str, Any], answer: Answer) -> None:
    """Keep an answer in the notebook's metadata, as the bench does."""
    notebook["metadata"]["faultwright"] = {"answers": {"gate": answer}}


@pytest.fixture(scope="module")
def graded(course: Path, case: Case) -> dict[str, Graded]:
    """Return what marking the course gave, by student."""
    return {one.student: one for one in grade(course, "gates", {"gate": lambda _student: case})}


@pytest.fixture
def gradebook(course: Path, graded: dict[str, Graded]) -> Iterator[Any]:
    """Yield nbgrader's gradebook after marking."""
    assert graded
    with scripts_on_path(), open_course(course).gradebook as book:
        yield book


def test_the_answer_decides(graded: dict[str, Graded]) -> None:
    """Beside the notebook or mirrored in it a right answer earns all; a broken or missing one nothing."""
    assert graded["right"].scores == {"gate": 50.0, "gate-proof": 8.0}
    assert graded["mirrored"].scores == {"gate": 50.0, "gate-proof": 8.0}
    for student, words in (("blank", "no answer was handed in"), ("broken", "NaN is not a number")):
        assert graded[student].scores == {"gate": 0.0, "gate-proof": 0.0}
        assert words in graded[student].marks["gate"].hurdles[0]


def test_nothing_in_a_notebook_gains_a_mark(graded: dict[str, Graded], case: Case, course: Path) -> None:
    """Retyped, doubled and deleted cells, faked outputs and points change nothing, and none of it is run."""
    fair = mark_json(right_answer(case) | {"claim": ["W3 open"]}, case)
    assert graded["spoiler"].scores == {"gate": round(fair.mark / 2, 2), "gate-proof": 8.0}
    assert not list(course.rglob("ran.txt"))
    rebuilt = (course / "autograded" / "spoiler" / "gates" / "lesson.ipynb").read_text(encoding="utf-8")
    assert EVIL not in rebuilt


def test_missing_and_old_notebooks_are_told(graded: dict[str, Graded]) -> None:
    """No notebook, or one of format 3: nothing is taken from it, the batch goes on, and it is said."""
    assert "no such file" in graded["no-notebook"].remarks[0]
    assert "holds no list of cells" in graded["version-3"].remarks[0]
    assert graded["version-3"].scores == {"gate": 0.0, "gate-proof": 0.0}


def test_every_code_grade_cell_has_a_finite_float(gradebook: Any, graded: dict[str, Graded]) -> None:  # noqa: ANN401
    """Nbgrader gives full marks where a score is no plain number, so each must be one."""
    for student in graded:
        notebook = gradebook.find_submission_notebook("lesson", "gates", student)
        scores = {entry.name: entry.auto_score for entry in notebook.grades if entry.cell.cell_type == "code"}
        assert set(scores) == {"gate", "gate-proof"}
        assert all(type(value) is float and math.isfinite(value) for value in scores.values())


def test_what_is_marked_by_hand_waits_for_a_person(gradebook: Any) -> None:  # noqa: ANN401 - nbgrader has no types
    """Text that a student wrote waits; a cell left as it was earns nothing and does not."""
    written = gradebook.find_grade("why", "lesson", "gates", "right")
    blank = gradebook.find_grade("why", "lesson", "gates", "blank")
    assert (written.auto_score, written.needs_manual_grade) == (None, True)
    assert (blank.auto_score, blank.needs_manual_grade) == (0.0, False)


def test_a_mark_by_hand_outlives_marking_again(course: Path, graded: dict[str, Graded], case: Case) -> None:
    """What a person gave stays the score, and is shown for another look."""
    assert graded
    with scripts_on_path(), open_course(course).gradebook as book:
        book.find_grade("gate-proof", "lesson", "gates", "mirrored").manual_score = 3.0
        book.db.commit()
    grade(course, "gates", {"gate": lambda _student: case})
    with scripts_on_path(), open_course(course).gradebook as book:
        entry = book.find_grade("gate-proof", "lesson", "gates", "mirrored")
        assert (entry.score, entry.needs_manual_grade) == (3.0, True)
        entry.manual_score = None
        book.db.commit()


def test_feedback_and_export_are_nbgraders_own(course: Path, graded: dict[str, Graded], tmp_path: Path) -> None:
    """The feedback page shows score and verdicts; the export holds the totals."""
    from nbgrader.plugins import CsvExportPlugin  # noqa: PLC0415 - slow to import

    make_feedback(course, "gates")
    page = (course / "feedback" / "right" / "gates" / "lesson.html").read_text(encoding="utf-8")
    assert "W4 mend the wire cures W4 resistance 9" in page
    assert "58.0 / 62.0" in page
    assert "Because P1:1 is low." in page
    for live in ("<script>alert(1)", "<img src=x", "javascript:alert(3)"):
        assert live not in page
    with scripts_on_path():
        api = open_course(course)
        with api.gradebook as book:
            plugin = CsvExportPlugin(parent=api)
            plugin.to = str(tmp_path / "grades.csv")
            plugin.export(book)
    rows = (tmp_path / "grades.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 1 + len(graded)
    assert any("right" in row and "58.0" in row for row in rows)


def test_a_grade_cell_without_an_exercise_is_refused(course: Path, case: Case) -> None:
    """The instructor is told before anything is marked."""
    with pytest.raises(Refused, match=r"lesson\.ipynb: grade cell: there is no exercise 'gate-proof'"):
        grade(course, "gates", {"other": lambda _student: case})
    with pytest.raises(Refused, match="nothing was handed out"):
        grade(course, "fences", {"gate": lambda _student: case})


def test_a_lesson_that_nbgrader_refuses_is_refused(tmp_path: Path) -> None:
    """What nbgrader says comes as a refusal, not as a traceback."""
    (tmp_path / "source").mkdir()
    with pytest.raises(Refused, match="nbgrader stopped: "):
        hand_out(tmp_path, "nothing")


def test_a_score_is_always_a_number_within_its_points(case: Case) -> None:
    """Infinite points, an unknown criterion and a blank mark give nothing, never NaN."""
    mark = mark_json(right_answer(case), case)
    assert score(mark, "", 50) == 50.0
    assert score(mark, "luck", 50) == 0.0
    assert score(mark, "", math.inf) == 0.0
    assert score(mark, "", math.nan) == 0.0
    assert type(score(mark, "proof", 7)) is float
