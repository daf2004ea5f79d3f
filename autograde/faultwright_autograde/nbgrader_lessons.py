"""Lessons as nbgrader's assignments: made ready to be handed out, taken back from any folder, marked, exported."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

from faultwright.errors import Mistake, Refused
from faultwright.files import read_json, shown_name, write_json, write_whole

from .answer import LARGEST
from .blueprint_file import read_blueprint
from .case import Case
from .class_folder import CANDIDATE
from .nbgrader_bridge import LARGEST_NOTEBOOK, CaseOf, Graded, cells_with, grade
from .nbgrader_course import hand_out, make_feedback, open_course, scripts_on_path, write_configuration
from .nbgrader_texts import text
from .practice import practice_case
from .setting import Progress, silent

WORDS_POINTS = 10


def exercises_in(papers: Path) -> Mapping[str, CaseOf]:
    """Return the exercises of a folder of practice blueprints, by name: for each the case, the same for everybody."""
    found = {path.stem: path for path in sorted(papers.glob("*.yaml"))}
    practice = {name: path for name, path in found.items() if _is_practice(path)}
    return {name: partial(_case_for, path) for name, path in practice.items()}


@lru_cache(maxsize=64)
def _is_practice(path: Path) -> bool:
    blueprint = read_blueprint(path)
    return blueprint.practice and bool(blueprint.selection.names)


def _case_for(path: Path, _student: str) -> Case:
    return _case(path)


@lru_cache(maxsize=64)
def _case(path: Path) -> Case:
    return practice_case(path)


def set_lesson(root: Path, notebook: Path, papers: Path, imports: str, expression: str) -> Path:
    """Hand out a lesson: put it into a course folder with its grade cells, let nbgrader release it; return where to.

    ``imports`` and ``expression`` say ``papers`` in Python, for :func:`write_configuration`. Raises
    Refused where the lesson has no grade cell that is named after an exercise, or nbgrader refuses it.
    """
    name = notebook.stem
    ready = with_words(read_json(notebook, largest=LARGEST_NOTEBOOK), name)
    if not cells_with(ready, "grade").keys() & exercises_in(papers).keys():
        raise Refused(Mistake(text("lesson.no_cell", exercises=", ".join(exercises_in(papers))), notebook.name))
    write_configuration(root, imports, expression)
    write_json(root / "source" / name / notebook.name, ready)
    return hand_out(root, name)


def with_words(notebook: Mapping[str, Any], name: str) -> dict[str, Any]:
    """Return a notebook with a cell that a person marks, at its end, unless it has one."""
    found: dict[str, Any] = json.loads(json.dumps(notebook))
    if cells_with(found, "solution"):
        return found
    ours = {
        "grade_id": f"{name}-in-words", "grade": True, "solution": True, "locked": False, "task": False,
        "points": WORDS_POINTS, "schema_version": 3, "cell_type": "markdown",
    }  # fmt: skip
    cell = {"cell_type": "markdown", "id": "in-words", "metadata": {"nbgrader": ours}, "source": text("lesson.words")}
    found["cells"].append(cell)
    return found


@dataclass(frozen=True)
class TakenIn:
    """What was taken over from a folder of submissions: whose, and what was left there and why."""

    students: Sequence[str]
    left: Sequence[str]


def take_in(root: Path, lesson: str, given: Path, exercises: Sequence[str]) -> TakenIn:
    """Copy submissions from a folder, one folder a student, to where nbgrader looks for them.

    Taken are the lesson's notebook and the answer files of its exercises; links, other names and whatever is no plain
    file are left and told. Raises Refused where there is no such folder.
    """
    if not given.is_dir():
        raise Refused(Mistake(text("take_in.no_folder"), given.name))
    wanted = {f"{lesson}.ipynb": LARGEST_NOTEBOOK, **{f"{name}-answer.json": LARGEST for name in exercises}}
    students: list[str] = []
    left: list[str] = []
    for folder in sorted(given.iterdir(), key=lambda path: path.name):
        shown = shown_name(folder)
        if folder.is_symlink() or not folder.is_dir() or not CANDIDATE.fullmatch(folder.name):
            left.append(text("take_in.no_student", name=shown))
            continue
        if folder.name.casefold() in (name.casefold() for name in students):
            left.append(text("take_in.twice", name=shown))
            continue
        students.append(folder.name)
        target = root / "submitted" / folder.name / lesson
        target.mkdir(parents=True, exist_ok=True)
        for path in sorted(folder.iterdir()):
            most = wanted.get(path.name)
            if most is None or path.is_symlink() or not path.is_file() or path.stat().st_size > most:
                left.append(text("take_in.left", name=f"{shown}/{shown_name(path)}"))
            else:
                shutil.copyfile(path, target / path.name)
    return TakenIn(students, left)


def mark_lesson(root: Path, lesson: str, exercises: Mapping[str, CaseOf], progress: Progress = silent) -> list[Graded]:
    """Mark every submission of a lesson, make nbgrader's feedback pages, and write ``marks-LESSON.csv`` and its export.

    Raises Refused where the lesson was not handed out. Everything can be run again.
    """
    found = grade(root, lesson, exercises, progress)
    make_feedback(root, lesson)
    write_whole(root / f"marks-{lesson}.csv", marks_table(found))
    write_whole(root / "grades.csv", exported(root))
    return found


def marks_table(found: Sequence[Graded]) -> str:
    """Return the marks as CSV, a line for each student and exercise: ids only."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(["candidate", "mark", "maximum", "passed", "exercise", "answer", "score", "remarks"])
    for one in found:
        for exercise, mark in one.marks.items():
            passed = "yes" if mark.passed else "no"
            remarks = " ".join(re.sub(r"\s+", " ", remark) for remark in one.remarks)
            score = one.scores.get(exercise, "")
            table.writerow(
                [one.student, f"{mark.mark:g}", f"{mark.maximum:g}", passed, exercise, mark.answer, score, remarks]
            )
    return out.getvalue()


def exported(root: Path) -> str:
    """Return nbgrader's own export of the gradebook, as CSV."""
    from nbgrader.plugins import CsvExportPlugin  # noqa: PLC0415 - slow to import, and for this only

    with scripts_on_path():
        course = open_course(root)
        beside = root / ".grades.csv"
        with course.gradebook as gradebook:
            plugin = CsvExportPlugin(parent=course)
            plugin.to = str(beside)
            plugin.export(gradebook)
        try:
            return beside.read_text(encoding="utf-8")
        finally:
            beside.unlink(missing_ok=True)
