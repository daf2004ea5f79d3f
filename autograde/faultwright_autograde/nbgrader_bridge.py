"""Marking a lesson that nbgrader handed out, without running anything that a student wrote.

Of a submission two things are taken: the answer's JSON, and the text of the cells that a person marks by hand. Both
are put on the skeleton that was handed out; the marks go into nbgrader's gradebook, where hand marking, feedback and
export go on as its users know them.

A grade cell called ``pump`` takes its answer from ``pump-answer.json`` beside the notebook, or, without that file, from
the notebook's metadata (``faultwright``, ``answers``, ``pump``). It gets the share of the whole mark; a cell
called ``pump-proof`` gets the share of that criterion.
"""

from __future__ import annotations

import json
import math
import re
import shutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from faultwright.errors import Mistake, Refused, unknown
from faultwright.files import read_json, read_text, write_whole

from .answer import LARGEST
from .case import Case
from .handed_in import mark_handed_in
from .mark import Mark
from .nbgrader_course import open_course, scripts_on_path
from .pages import feedback_page
from .rubric import CRITERIA
from .setting import Progress, silent
from .texts import text
from .words import mark_words

CaseOf = Callable[[str], Case]
"""Returns the case of a student, given the student's id."""

LARGEST_NOTEBOOK = 20_000_000


@dataclass
class Graded:
    """What marking one student's notebook came to: marks by exercise, scores by grade cell, and remarks.

    ``by_hand`` says in which cells that a person marks something was written.
    """

    student: str
    notebook: str
    marks: dict[str, Mark] = field(default_factory=dict)
    scores: dict[str, float] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
    by_hand: Mapping[str, bool] = field(default_factory=dict)


def grade(root: Path, assignment: str, exercises: Mapping[str, CaseOf], progress: Progress = silent) -> list[Graded]:
    """Mark every submission of an assignment into nbgrader's gradebook; return what was given.

    ``exercises`` maps the name of an exercise to its cases. Every grade cell that is code gets a finite float. Raises
    Refused, before anything is marked, where a grade cell belongs to no exercise or nothing was handed out.
    """
    with scripts_on_path():
        course = open_course(root)
        marking = Marking(course.coursedir, assignment, exercises)
        students = sorted(course.get_submitted_students(assignment))
        found: list[Graded] = []
        with course.gradebook as gradebook:
            for number, student in enumerate(students):
                progress(number, len(students), student)
                for name in marking.skeletons:
                    one, rebuilt = marking.one(student, name)
                    marking.write(one, rebuilt)
                    marking.enter(gradebook, one)
                    found.append(one)
        progress(len(students), len(students), "")
    return found


class Marking:
    """Marks one assignment of a course folder, student by student, notebook by notebook."""

    def __init__(self, folders: Any, assignment: str, exercises: Mapping[str, CaseOf]) -> None:  # noqa: ANN401 - nbgrader's
        """Take nbgrader's course directory. Raises Refused where nothing was handed out, or a cell has no exercise."""
        self.folders, self.assignment, self.exercises = folders, assignment, exercises
        self.skeletons = _skeletons(_folder(folders, "release", ".", assignment), assignment)
        _check_cells(self.skeletons, exercises)

    def _folder(self, step: str, student: str) -> Path:
        return _folder(self.folders, step, student, self.assignment)

    def one(self, student: str, name: str) -> tuple[Graded, dict[str, Any]]:
        """Rebuild one student's notebook on the skeleton and mark it; return what was given, and the notebook."""
        skeleton = self.skeletons[name]
        given = self._folder("submitted", student)
        found = Graded(student, name)
        submitted = _submitted(given / f"{name}.ipynb", found)
        rebuilt: dict[str, Any] = json.loads(json.dumps(skeleton))
        found.by_hand = _take_over_text(rebuilt, submitted)
        for cell_id, cell in cells_with(rebuilt, "grade").items():
            exercise, criterion = _exercise(cell_id, self.exercises)
            if not exercise or _by_hand(cell):
                continue
            if exercise not in found.marks:
                found.marks[exercise] = _mark(given, submitted, exercise, self.exercises[exercise](student))
            one = found.marks[exercise]
            found.scores[cell_id] = score(one, criterion, float(cell["metadata"]["nbgrader"].get("points", 0)))
            _show(cell, one, criterion)
        return found, rebuilt

    def write(self, found: Graded, rebuilt: Mapping[str, Any]) -> None:
        """Write the rebuilt notebook where nbgrader looks for what was marked, and a page of reasons beside it."""
        folder = self._folder("autograded", found.student)
        write_whole(folder / f"{found.notebook}.ipynb", json.dumps(rebuilt, ensure_ascii=False, indent=1) + "\n")
        stamp = self._folder("submitted", found.student) / "timestamp.txt"
        if stamp.is_file() and not stamp.is_symlink():
            shutil.copyfile(stamp, folder / stamp.name)
        self.write_reasons(found)

    def write_reasons(self, found: Graded) -> None:
        """Write a page of reasons for each exercise."""
        for exercise, one in found.marks.items():
            page = feedback_page(one, self.exercises[exercise](found.student))
            write_whole(self._folder("autograded", found.student) / f"{exercise}-marks.html", page)

    def enter(self, gradebook: Any, found: Graded) -> None:  # noqa: ANN401 - nbgrader has no types
        """Enter the scores; what a person gave by hand stays, and is shown for another look."""
        gradebook.update_or_create_student(found.student)
        gradebook.update_or_create_submission(self.assignment, found.student)
        notebook = gradebook.find_submission_notebook(found.notebook, self.assignment, found.student)
        for entry in notebook.grades:
            if entry.name in found.scores:
                entry.auto_score = found.scores[entry.name]
                entry.needs_manual_grade = entry.manual_score is not None
            else:
                # Nothing written earns nothing; what was written waits for a person.
                written = found.by_hand.get(entry.name, False)
                entry.auto_score = None if written else 0.0
                entry.needs_manual_grade = written or entry.manual_score is not None
        gradebook.db.commit()


def _folder(folders: Any, step: str, student: str, assignment: str) -> Path:  # noqa: ANN401 - nbgrader has no types
    return Path(folders.format_path(getattr(folders, f"{step}_directory"), student, assignment))


def _skeletons(folder: Path, assignment: str) -> dict[str, dict[str, Any]]:
    """Return the notebooks as they were handed out, by name."""
    found = {path.stem: read_json(path, largest=LARGEST_NOTEBOOK) for path in sorted(folder.glob("*.ipynb"))}
    if not found:
        raise Refused(Mistake("nothing was handed out under this name", assignment))
    return found


def cells_with(notebook: Mapping[str, Any], role: str) -> dict[str, dict[str, Any]]:
    """Return the cells with a role (``grade`` or ``solution``) by their nbgrader id; ids given twice are left out."""
    found: dict[str, dict[str, Any]] = {}
    twice: set[str] = set()
    cells = notebook.get("cells")
    for cell in cells if isinstance(cells, list) else []:
        metadata = cell.get("metadata") if isinstance(cell, dict) else None
        ours = metadata.get("nbgrader") if isinstance(metadata, dict) else None
        if isinstance(ours, dict) and ours.get(role) is True and isinstance(ours.get("grade_id"), str):
            name = ours["grade_id"]
            twice |= {name} & found.keys()
            found[name] = cell
    return {name: cell for name, cell in found.items() if name not in twice}


def _exercise(cell_id: str, exercises: Mapping[str, CaseOf]) -> tuple[str, str]:
    """Return the exercise that a grade cell belongs to, and the criterion (empty: the whole mark)."""
    if cell_id in exercises:
        return cell_id, ""
    name, _, criterion = cell_id.rpartition("-")
    return (name, criterion) if name in exercises and criterion in CRITERIA else ("", "")


def _check_cells(skeletons: Mapping[str, Mapping[str, Any]], exercises: Mapping[str, CaseOf]) -> None:
    mistakes = [
        Mistake(f"grade cell: {unknown('exercise', cell_id, list(exercises))}", f"{name}.ipynb")
        for name, skeleton in skeletons.items()
        for cell_id, cell in cells_with(skeleton, "grade").items()
        if cell["cell_type"] == "code" and not _by_hand(cell) and not _exercise(cell_id, exercises)[0]
    ]
    if mistakes:
        raise Refused(mistakes)


def _by_hand(cell: Mapping[str, Any]) -> bool:
    return bool(cell["metadata"]["nbgrader"].get("solution"))


def score(one: Mark, criterion: str, points: float) -> float:
    """Return the points for a cell: always a finite Python float between 0 and ``points``."""
    if criterion:
        part = one.by_name.get(criterion)
        share = part.mark / part.maximum if part and part.maximum > 0 else 0.0
    else:
        share = one.mark / one.maximum if one.maximum > 0 else 0.0
    if not math.isfinite(share) or not math.isfinite(points):
        return 0.0
    return float(round(min(1.0, max(0.0, share)) * points, 2))


def _submitted(path: Path, found: Graded) -> Mapping[str, Any]:
    """Return a submitted notebook as data, or an empty one with a remark."""
    try:
        data = read_json(path, largest=LARGEST_NOTEBOOK)
    except Refused as refused:
        found.remarks.append(str(refused))
        return {}
    if isinstance(data, dict) and isinstance(data.get("cells"), list):
        return data
    found.remarks.append(text("nbgrader.no_cells", notebook=path.name))
    return {}


def _take_over_text(rebuilt: Mapping[str, Any], submitted: Mapping[str, Any]) -> dict[str, bool]:
    """Put the text of solution cells on the skeleton; return which hand-marked cells have one."""
    theirs = cells_with(submitted, "solution")
    found: dict[str, bool] = {}
    for name, cell in cells_with(rebuilt, "solution").items():
        source = theirs.get(name, {}).get("source")
        lines = source if isinstance(source, list) else [source]
        written = "".join(line for line in lines if isinstance(line, str))[:LARGEST]
        asked = "".join(cell["source"])
        found[name] = bool(written.strip()) and written.strip() != asked.strip()
        if found[name]:
            cell["source"] = harmless(written)
    return found


_DOES = re.compile(r"(javascript|vbscript|data)\s*:", re.IGNORECASE)


def harmless(written: str) -> str:
    """Return a student's text so that nothing in it does anything on a page that an instructor opens.

    nbgrader's pages show Markdown, and with it HTML, as it stands.
    """
    return _DOES.sub(r"\1 :", written.replace("<", "&lt;"))


def _mark(given: Path, submitted: Mapping[str, Any], exercise: str, case: Case) -> Mark:
    path = given / f"{exercise}-answer.json"

    def written() -> str:
        if path.exists() or path.is_symlink():
            return read_text(path, largest=LARGEST)
        return json.dumps(_mirrored(submitted, exercise), ensure_ascii=False)

    return mark_handed_in(case, path.name, written)


def _mirrored(submitted: Mapping[str, Any], exercise: str) -> Any:  # noqa: ANN401 - JSON
    """Return the answer that the bench mirrored in the notebook's metadata."""
    data: Any = submitted
    for key in ("metadata", "faultwright", "answers", exercise):
        data = data.get(key) if isinstance(data, dict) else None
    if data is None:
        raise Refused(text("answer.missing"))
    return data


def _show(cell: dict[str, Any], one: Mark, criterion: str) -> None:
    """Let the feedback page show the verdicts where the cell's output would stand."""
    if cell["cell_type"] == "code":
        cell["execution_count"] = None
        cell["outputs"] = [{"output_type": "stream", "name": "stdout", "text": mark_words(one, criterion)}]
