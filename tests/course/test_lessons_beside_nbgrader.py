"""Every lesson of the course through nbgrader: by our command and by its own, with the same marks, nothing run."""

from __future__ import annotations

import csv
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from faultwright.command_line.program import main
from faultwright.errors import Refused
from faultwright_autograde.draws import Draws
from faultwright_autograde.nbgrader_bridge import cells_with
from faultwright_autograde.nbgrader_lessons import exercises_in, mark_lesson, set_lesson, take_in
from faultwright_autograde.simulated.habits import play
from faultwright_course.catalogue import HOME, lesson_names, lesson_path
from faultwright_course.opening import practice_case

# nbgrader's own gradebook code sets SQLAlchemy off; nothing of ours can change that.
pytestmark = [
    pytest.mark.filterwarnings("ignore:Object of type <Submitted:sqlalchemy.exc.SAWarning"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
]

PAPERS = HOME / "papers"
LESSON = "06-routes-to-ground"
EXERCISE = "routes-clutch"
EVIL = "open('ran.txt', 'w').write('student code ran')\n100"


def answer(habit: str) -> dict[str, Any]:
    """Return a simulated student's answer to the lesson's exercise."""
    return play(practice_case(EXERCISE), habit, Draws(b"a secret of the tests, 32 bytes.", habit), {})


@pytest.mark.parametrize("name", lesson_names())
def test_every_lesson_can_be_handed_out(tmp_path: Path, name: str) -> None:
    """Nbgrader releases it, with grade cells named after exercises, one cell that a person marks, and no outputs."""
    assert main(["lesson", "hand-out", str(tmp_path), name]) == 0
    released = tmp_path / "release" / name / f"{name}.ipynb"
    notebook = json.loads(released.read_text(encoding="utf-8"))
    cells = set(cells_with(notebook, "grade"))
    assert cells & exercises_in(PAPERS).keys()
    assert f"{name}-in-words" in cells
    assert not any(cell.get("outputs") for cell in notebook["cells"])


def _spoil(notebook: dict[str, Any], how: str) -> None:
    graded = [cell for cell in notebook["cells"] if cell["metadata"].get("nbgrader", {}).get("grade_id") == EXERCISE]
    match how:
        case "runs":
            for cell in notebook["cells"]:
                if cell["cell_type"] == "code":
                    cell["source"] = EVIL
        case "doubled":
            notebook["cells"] += json.loads(json.dumps(graded))
        case "deleted":
            notebook["cells"] = [cell for cell in notebook["cells"] if cell not in graded]
        case "retyped":
            graded[0] |= {"cell_type": "markdown"}
            for key in ("outputs", "execution_count"):
                graded[0].pop(key)
        case "writes":
            words = [cell for cell in notebook["cells"] if cell["metadata"].get("nbgrader", {}).get("solution")]
            words[0]["source"] = "The 5 V across the pin decided."


HOW = ("plain", "runs", "doubled", "deleted", "retyped", "writes")


@pytest.fixture(scope="module")
def handed_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder of submissions, one folder a student, with good answers in all kinds of notebooks."""
    root = tmp_path_factory.mktemp("lesson")
    released = set_lesson(root / "course", lesson_path(LESSON), PAPERS, "", repr(str(PAPERS)))
    good = json.dumps(answer("methodical"))
    for how in HOW:
        folder = root / "given" / how
        folder.mkdir(parents=True)
        notebook = json.loads((released / f"{LESSON}.ipynb").read_text(encoding="utf-8"))
        _spoil(notebook, how)
        (folder / f"{LESSON}.ipynb").write_text(json.dumps(notebook), encoding="utf-8")
        (folder / f"{EXERCISE}-answer.json").write_text(good, encoding="utf-8")
    (root / "given" / "guesser").mkdir()
    shutil.copy(released / f"{LESSON}.ipynb", root / "given" / "guesser")
    (root / "given" / "guesser" / f"{EXERCISE}-answer.json").write_text(json.dumps(answer("guesser")), encoding="utf-8")
    (root / "given" / "blank").mkdir()
    shutil.copy(released / f"{LESSON}.ipynb", root / "given" / "blank")
    return root


@pytest.fixture(scope="module")
def ours(handed_in: Path) -> Path:
    """Return the course folder marked by our command."""
    course = handed_in / "ours"
    shutil.copytree(handed_in / "course", course)
    assert main(["lesson", "mark", str(course), LESSON, "--from", str(handed_in / "given")]) == 0
    return course


def totals(course: Path) -> dict[str, float]:
    """Return nbgrader's exported scores by student."""
    with (course / "grades.csv").open(encoding="utf-8", newline="") as file:
        return {row["student_id"]: float(row["score"]) for row in csv.DictReader(file)}


def test_one_command_from_submissions_to_feedback_and_tables(ours: Path) -> None:
    """Marks by exercise, the gradebook's export, and a feedback page for each; whatever was done to the notebook."""
    with (ours / f"marks-{LESSON}.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["candidate"]: row for row in csv.DictReader(file)}
    assert set(rows) == {*HOW, "guesser", "blank"}
    assert len({rows[how]["mark"] for how in HOW}) == 1
    assert {rows[how]["passed"] for how in HOW} == {"yes"}
    assert (rows["blank"]["mark"], rows["blank"]["answer"]) == ("0", "unreadable")
    assert float(rows["guesser"]["mark"]) < 40
    for name in rows:
        page = (ours / "feedback" / name / LESSON / f"{LESSON}.html").read_text(encoding="utf-8")
        assert "not of hand skill or authority to work" in " ".join(page.split())
    assert not list(ours.parent.rglob("ran.txt"))


def test_nbgraders_own_commands_give_the_same(handed_in: Path, ours: Path) -> None:
    """``nbgrader autograde``, ``generate_feedback`` and ``export`` with our configuration: every score is the same."""
    course = handed_in / "theirs"
    shutil.copytree(handed_in / "course", course)
    shutil.copytree(ours / "submitted", course / "submitted")
    home = {name: str(handed_in / name) for name in ("HOME", "JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "IPYTHONDIR")}
    environment = os.environ | home | {"PATH": os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])}
    for words in (["autograde", LESSON], ["generate_feedback", LESSON], ["export"]):
        done = subprocess.run(
            [sys.executable, "-m", "nbgrader", *words],
            cwd=course, env=environment, capture_output=True, text=True, encoding="utf-8", check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr[-3000:]
    assert totals(course) == totals(ours)
    assert (course / "feedback" / "plain" / LESSON / f"{LESSON}.html").is_file()
    assert not list(handed_in.rglob("ran.txt"))


def test_marking_again_changes_nothing(ours: Path) -> None:
    """A second run gives the same tables."""
    tables = {name: (ours / name).read_bytes() for name in (f"marks-{LESSON}.csv", "grades.csv")}
    mark_lesson(ours, LESSON, exercises_in(PAPERS))
    assert {name: (ours / name).read_bytes() for name in tables} == tables


def test_what_is_no_submission_is_left_and_told(tmp_path: Path) -> None:
    """Stray files, names that are no ids, links and unknown files are left where they are."""
    given = tmp_path / "given"
    for name in ("BENCH-1", "bench-1", "a b", "..hidden"):
        (given / name).mkdir(parents=True)
    (given / "notes.txt").write_text("x", encoding="utf-8")
    (given / "BENCH-1" / f"{LESSON}.ipynb").write_text("{}", encoding="utf-8")
    (given / "BENCH-1" / "gradebook.db").write_text("x", encoding="utf-8")
    outside = tmp_path / "outside.json"
    outside.write_text("{}", encoding="utf-8")
    (given / "BENCH-1" / f"{EXERCISE}-answer.json").symlink_to(outside)
    found = take_in(tmp_path / "course", LESSON, given, [EXERCISE])
    assert found.students == ["BENCH-1"]
    assert [path.name for path in (tmp_path / "course").rglob("*") if path.is_file()] == [f"{LESSON}.ipynb"]
    left = {line.partition(":")[0]: line for line in found.left}
    assert left["notes.txt"].endswith(
        "no folder of a student (letters, digits, '-' and '_', 40 at most); left where it is"
    )
    for name in ("BENCH-1/gradebook.db", f"BENCH-1/{EXERCISE}-answer.json"):
        assert left[name] == f"{name}: not asked for, a link, or too large; left where it is"
    assert {"a b", "..hidden"} <= left.keys()
    # A system that does not tell capitals apart has one folder only.
    assert left.get("bench-1", "").endswith("but for capitals; left where it is") or len(list(given.iterdir())) == 4


def test_a_lesson_without_an_exercise_is_refused(tmp_path: Path) -> None:
    """With the exercises that there are."""
    notebook = {"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
    path = tmp_path / "empty.ipynb"
    path.write_text(json.dumps(notebook), encoding="utf-8")
    with pytest.raises(Refused, match=r"no grade cell that is named after an exercise \(exercises: .*routes-clutch"):
        set_lesson(tmp_path / "course", path, PAPERS, "", "''")
