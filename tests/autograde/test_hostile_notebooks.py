"""Hostile notebooks beside nbgrader: nothing of them runs, gains a mark or stops the others, and each is reported."""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest

from faultwright_autograde import handed_in as handed_in_module
from faultwright_autograde import marking
from faultwright_autograde.case import Case
from faultwright_autograde.handed_in import mark_handed_in
from faultwright_autograde.mark import UNREADABLE
from faultwright_autograde.nbgrader_bridge import Graded, grade
from faultwright_autograde.nbgrader_course import hand_out, open_course, scripts_on_path
from tests.autograde.gate import mark_json, right_answer
from tests.autograde.hostile import json_texts, no_plain_file, notebooks, shown
from tests.autograde.hostile.notebooks import NotebookTrick, mirrored
from tests.autograde.hostile.trick import Given, Trick, thin_answer
from tests.autograde.test_nbgrader import lesson

# nbgrader's own gradebook code sets SQLAlchemy off; nothing of ours can change that.
pytestmark = [
    pytest.mark.filterwarnings("ignore:Object of type <Submitted:sqlalchemy.exc.SAWarning"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
]

BESIDE: list[Trick] = [*no_plain_file.TRICKS, *json_texts.TRICKS, *shown.TRICKS]
"""Tricks with the answer's file, which lies beside the notebook here."""

POINTS = {"gate": 50.0, "gate-proof": 8.0}


@pytest.fixture(scope="module")
def course(tmp_path_factory: pytest.TempPathFactory, case: Case) -> Path:
    """Return a course that was handed in with every trick, each beside an honest thin answer."""
    root = tmp_path_factory.mktemp("hostile-course")
    (root / "source" / "gates").mkdir(parents=True)
    nbformat.write(lesson(), root / "source" / "gates" / "lesson.ipynb")
    released = hand_out(root, "gates")
    thin = thin_answer(case)
    for trick in notebooks.TRICKS:
        folder = handed_in(root, released, f"notebook-{trick.name}")
        (folder / "gate-answer.json").write_text(json.dumps(thin), encoding="utf-8")
        trick.change(folder / "lesson.ipynb")
    for one in BESIDE:
        folder = handed_in(root, released, f"answer-{one.name}")
        one.hand_in(folder / "gate-answer.json", Given(case, thin, right_answer(case)))
    # A mirrored answer that is right does not stand in for a file that is there and cannot be read.
    folder = handed_in(root, released, "both")
    (folder / "gate-answer.json").write_text('{"version": NaN}', encoding="utf-8")
    notebooks.edited(lambda notebook: mirrored(notebook, right_answer(case)))(folder / "lesson.ipynb")
    for name in ("a-first", "z-last"):
        folder = handed_in(root, released, name)
        (folder / "gate-answer.json").write_text(json.dumps(right_answer(case)), encoding="utf-8")
    return root


def handed_in(root: Path, released: Path, student: str) -> Path:
    """Copy what was handed out to a student's folder of what was handed in, and return that."""
    folder = root / "submitted" / student / "gates"
    shutil.copytree(released, folder)
    return folder


@pytest.fixture(scope="module")
def graded(course: Path, case: Case) -> dict[str, Graded]:
    """Return what marking the course gave, by student."""
    return {one.student: one for one in grade(course, "gates", {"gate": lambda _student: case})}


@pytest.fixture(scope="module")
def fair(case: Case) -> dict[str, float]:
    """Return the scores of the honest thin answer."""
    mark = mark_json(thin_answer(case), case)
    return {"gate": round(mark.mark / 2, 2), "gate-proof": round(0.8 * mark.by_name["proof"].mark, 2)}


@pytest.mark.parametrize("trick", notebooks.TRICKS, ids=lambda trick: trick.name)
def test_a_notebook_changes_no_score(graded: dict[str, Graded], fair: dict[str, float], trick: NotebookTrick) -> None:
    """The answer beside it decides, whatever was done to cells, outputs and metadata; what cannot be read is said."""
    one = graded[f"notebook-{trick.name}"]
    assert one.scores == fair
    assert bool(one.remarks) == bool(trick.says)
    assert trick.says in " ".join(one.remarks)


@pytest.mark.parametrize("trick", BESIDE, ids=lambda trick: trick.name)
def test_an_answer_gains_nothing(graded: dict[str, Graded], fair: dict[str, float], trick: Trick) -> None:
    """Beside a notebook an answer is read as strictly as in a class's folder."""
    one = graded[f"answer-{trick.name}"]
    mark = one.marks["gate"]
    assert all(one.scores[name] <= fair[name] for name in POINTS)
    told = "\n".join([*mark.hurdles, *(criterion.verdict for criterion in mark.criteria)])
    # Beside nbgrader a mark does not tell missing from unreadable.
    expected = UNREADABLE if trick.state == "missing" else trick.state
    assert mark.answer == expected, told[:300]
    assert mark.for_a_person == trick.looked_at
    assert trick.says.replace("{file}", "gate-answer.json").replace("{paper}", "gate") in told


def test_the_neighbours_get_their_marks(graded: dict[str, Graded]) -> None:
    """The first and the last of the list answered rightly and get all."""
    assert graded["a-first"].scores == graded["z-last"].scores == POINTS


def test_a_file_that_cannot_be_read_is_not_replaced(graded: dict[str, Graded]) -> None:
    """The mirror in the notebook stands in for a file that is not there, never for one that is refused."""
    assert graded["both"].scores == {"gate": 0.0, "gate-proof": 0.0}
    assert "NaN is not a number" in graded["both"].marks["gate"].hurdles[0]


def test_nothing_ran(course: Path, graded: dict[str, Graded]) -> None:
    """No cell was executed: no file written, no library changed, no process at the gradebook."""
    assert graded
    assert not list(course.rglob("ran*"))
    assert not Path("ran.txt").exists()
    assert "def mark(" in Path(marking.__file__).read_text(encoding="utf-8")


def test_every_score_in_the_gradebook_is_a_finite_float(course: Path, graded: dict[str, Graded]) -> None:
    """What nbgrader sums up are plain numbers within the points that were handed out."""
    with scripts_on_path(), open_course(course).gradebook as book:
        for student, one in graded.items():
            notebook = book.find_submission_notebook("lesson", "gates", student)
            scores = {entry.name: entry.auto_score for entry in notebook.grades if entry.cell.cell_type == "code"}
            assert scores == one.scores
            assert all(type(value) is float and math.isfinite(value) for value in scores.values())
            assert all(0 <= value <= POINTS[name] for name, value in scores.items())
            assert notebook.max_score == 62.0


def test_no_page_holds_what_a_student_wrote_as_markup(course: Path, graded: dict[str, Graded]) -> None:
    """The page of marks beside a rebuilt notebook shows markup as text."""
    assert graded
    pages = list((course / "autograded").rglob("gate-marks.html"))
    assert len(pages) == len(graded)
    for page in pages:
        text = page.read_text(encoding="utf-8")
        assert "<script" not in text
        assert "<img" not in text


def rebuilt(course: Path) -> Iterator[dict[str, Any]]:
    """Yield every rebuilt notebook."""
    for path in sorted((course / "autograded").rglob("lesson.ipynb")):
        yield json.loads(path.read_text(encoding="utf-8"))


def test_every_rebuilt_notebook_is_the_skeleton(course: Path, graded: dict[str, Graded]) -> None:
    """Cells, their kinds, sources and metadata are those that were handed out, whatever was handed in."""
    skeleton = json.loads((course / "release" / "gates" / "lesson.ipynb").read_text(encoding="utf-8"))
    kinds = [(cell["cell_type"], cell["metadata"]) for cell in skeleton["cells"]]
    found = list(rebuilt(course))
    assert len(found) == len(graded)
    for notebook in found:
        assert [(cell["cell_type"], cell["metadata"]) for cell in notebook["cells"]] == kinds
        assert notebooks.RAN not in json.dumps(notebook)


def test_marking_again_gives_the_same(course: Path, graded: dict[str, Graded], case: Case) -> None:
    """Nothing that was handed in lies in wait for a second run."""
    again = {one.student: one.scores for one in grade(course, "gates", {"gate": lambda _student: case})}
    assert again == {student: one.scores for student, one in graded.items()}


def test_a_bug_in_reading_stops_nobody(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    """If reading breaks on what nobody foresaw, that answer waits for a person and the batch goes on."""

    def broken(*_: object) -> None:
        raise RecursionError

    monkeypatch.setattr(handed_in_module, "parse_answer", broken)
    mark = mark_handed_in(case, "gate-answer.json", lambda: "{}")
    assert mark.for_a_person
    assert mark.mark == 0
    assert mark.hurdles == (
        "The answer cannot be used: marking stopped with RecursionError; a person must look at this answer",
    )
