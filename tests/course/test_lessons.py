"""The lessons: each runs from top to bottom, is kept without outputs, has the agreed parts; an exercise."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from nbclient import NotebookClient

from faultwright.errors import Refused
from faultwright_autograde.answer import read_answer
from faultwright_autograde.mark import Mark
from faultwright_autograde.marking import mark
from faultwright_course.catalogue import HOME, lesson_names
from faultwright_course.opening import open_case, practice_case
from tests.course.student import ANSWER, conclude, do, moves, volts, works_badly, works_well

NOTEBOOKS = sorted(path.stem for path in (HOME / "lessons").glob("*.ipynb"))
"""The lessons and the practice without end."""


def lesson(name: str) -> nbformat.NotebookNode:
    """Return a notebook of the course as it is kept."""
    notebook: nbformat.NotebookNode = nbformat.read(HOME / "lessons" / f"{name}.ipynb", as_version=4)
    return notebook


def outputs(notebook: nbformat.NotebookNode) -> Iterator[tuple[str, Any]]:
    """Yield each output with the id of its cell."""
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            yield cell.id, output


@pytest.fixture(scope="module", params=NOTEBOOKS)
def done(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> nbformat.NotebookNode:
    """Return each notebook, run from top to bottom in a folder of its own."""
    folder = tmp_path_factory.mktemp("lesson")
    notebook = lesson(request.param)
    NotebookClient(
        notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(folder)}}
    ).execute()
    return notebook


def test_lesson_runs_from_top_to_bottom(done: nbformat.NotebookNode) -> None:
    """No cell ends in an error, no callback leaves one, and nothing is written to stderr."""
    kinds = [(cell, output.output_type, output.get("name", "")) for cell, output in outputs(done)]
    assert kinds
    assert [entry for entry in kinds if entry[1] == "error" or entry[2] == "stderr"] == []


WIDGET = "application/vnd.jupyter.widget-view+json"
SHOWN = dict.fromkeys(("set-up", "symptoms", "worked-case"), "text/html") | dict.fromkeys(
    ("back", "guided-bench", "all-states", "draw-suspects-left", "ideas-asked", "alone-bench", "practice"), WIDGET
)
"""What the cell of each name shows."""


def test_lesson_shows_what_it_promises(done: nbformat.NotebookNode) -> None:
    """Drawing, symptom table, worked case and summary; benches, questions and the buttons of the plots."""
    shown = {cell: set(output.get("data", {})) for cell, output in outputs(done)}
    code = {cell.id: cell for cell in done.cells if cell.cell_type == "code"}
    for cell, kind in SHOWN.items():
        assert cell not in code or kind in shown[cell], cell
    for cell in code.values():
        assert "nbgrader" not in cell.metadata or "text/html" in shown[cell.id]


def test_opening_a_lesson_gives_nothing_away(done: nbformat.NotebookNode) -> None:
    """What runs on opening shows no picture of the faulty machine: that is drawn when the student asks for it."""
    for cell, output in outputs(done):
        data = output.get("data", {})
        assert "image/png" not in data, cell
        assert "data:image/png" not in data.get("text/html", ""), cell


def code_cells(name: str) -> Iterator[tuple[str, str]]:
    """Yield id and source of a lesson's code cells."""
    for cell in lesson(name).cells:
        if cell.cell_type == "code":
            yield cell.id, cell.source


@pytest.mark.parametrize("name", lesson_names())
def test_any_cell_runs_alone(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After a restart of the kernel each cell can be run first: it imports and opens whatever it needs."""
    monkeypatch.chdir(tmp_path)
    assert len(list(code_cells(name))) >= 5
    for cell, source in code_cells(name):
        exec(compile(source, cell, "exec"), {})  # noqa: S102 - the lesson's own cells


def test_opening_again_loses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Running all cells again, as opening does, leaves both files as they are; both benches go on from there."""
    monkeypatch.chdir(tmp_path)
    for case, claim in (("routes-neutral", "R1 open"), ("routes-clutch", "S3 stuck open")):
        opened = open_case(case, answer_file=f"{case}-answer.json")
        moves(opened, "key=on start=pressed")
        do(opened, {"do": "observe"}, {"do": "claim", "fault": claim, "on": True})
    kept = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert sorted(kept) == ["routes-clutch-answer.json", "routes-neutral-answer.json"]
    names: dict[str, Any] = {}
    for cell, source in code_cells("06-routes-to-ground"):
        exec(compile(source, cell, "exec"), names)  # noqa: S102 - the lesson's own cells
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == kept
    for bench, claim in (("guided", "R1 open"), ("alone", "S3 stuck open")):
        assert names[bench].view.session.work.answer.claim == [claim]
        assert names[bench].bench.machine.state["start"] == "pressed"


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_lesson_runs_when_it_is_opened(name: str) -> None:
    """Every lesson asks for its cells to be run on opening, so that nobody meets an empty page."""
    assert lesson(name).metadata["faultwright"] == {"run_on_opening": True}


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_lesson_is_kept_clean(name: str) -> None:
    """A lesson is valid nbformat 4.5, without outputs and execution counts; set-up cells are folded away."""
    notebook = lesson(name)
    nbformat.validate(notebook)
    assert (notebook.nbformat, notebook.nbformat_minor) == (4, 5)
    assert "widgets" not in notebook.metadata
    for cell in notebook.cells:
        if cell.cell_type == "code":
            assert cell.outputs == []
            assert cell.execution_count is None
        if "set-up" in cell.metadata.get("tags", []):
            assert cell.metadata["jupyter"]["source_hidden"] is True


PARTS = (
    "aims", "cautions", "back", "machine", "set-up", "predict", "symptoms", "worked", "worked-case", "guided",
    "guided-bench", "plot", "all-states", "explain", "ideas", "ideas-asked", "alone", "alone-bench", "hand-in",
    "take-along",
)  # fmt: skip


@pytest.mark.parametrize("name", lesson_names())
def test_lesson_has_the_agreed_parts(name: str) -> None:
    """Aims first, cautions second; it looks back, predicts, works, measures, explains, asks; and names its sources."""
    notebook = lesson(name)
    order = [cell.id for cell in notebook.cells]
    wanted = [cell for cell in PARTS if cell != "back" or name[:2] != "00"]
    assert [cell for cell in order if cell in wanted] == wanted
    prose = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    assert "you can" in notebook.cells[0].source
    assert "This is practice" in prose
    assert "**Where the values come from.**" in notebook.cells[-1].source
    assert "not of hand skill or authority to work" in prose


@pytest.mark.parametrize("name", lesson_names())
def test_hypothesis_first_in_the_middle_of_the_course(name: str) -> None:
    """From lesson 5 to 9 both benches ask whom one suspects; before that they do not, and later one may choose it."""
    benches = {cell.id: cell.source for cell in lesson(name).cells if cell.id in ("guided-bench", "alone-bench")}
    asked = {cell for cell, source in benches.items() if "ask_suspect=True" in source}
    assert asked == (set(benches) if "05" <= name[:2] <= "09" else set())
    prose = "".join(cell.source for cell in lesson(name).cells if cell.cell_type == "markdown")
    assert name[:2] < "10" or "`ask_suspect=True`" in prose


@pytest.mark.parametrize("name", lesson_names())
def test_graded_cell_is_one_that_nbgrader_knows(name: str) -> None:
    """The exercise is one locked grade cell, whose points are the maximum of its rubric."""
    graded = [cell for cell in lesson(name).cells if cell.metadata.get("nbgrader", {}).get("grade")]
    (cell,) = graded
    nbgrader = cell.metadata["nbgrader"]
    assert (nbgrader["schema_version"], nbgrader["locked"], nbgrader["solution"], nbgrader["task"]) == (
        3,
        True,
        False,
        False,
    )
    assert nbgrader["points"] == sum(practice_case(nbgrader["grade_id"]).blueprint.rubric.weights.values())


# The exercise, worked as a student would and marked from the file that this leaves.


def marked(folder: Path) -> Mark:
    """Return the mark of the answer file in a folder."""
    case = practice_case("routes-clutch")
    return mark(read_answer(folder / ANSWER, case.circuit), case, case.blueprint.rubric)


def test_exercise_marked_right(tmp_path: Path) -> None:
    """Who operates, narrows the clutch route down to the plug's pin, repairs and proves it gets every mark."""
    assert "Every part" in works_well(tmp_path).summary().html
    result = marked(tmp_path)
    assert result.passed, result.hurdles
    for name, criterion in result.by_name.items():
        assert criterion.mark == criterion.maximum, f"{name}: {criterion.verdict}"


def test_summary_asks_for_the_proof(tmp_path: Path) -> None:
    """Who has filled in the whole form and repaired, but shown nothing since, is told that the proof is still open."""
    opened = open_case("routes-clutch", answer_file=tmp_path / ANSWER)
    found = volts(opened, "X1:a3", "X1:b3", "11 V")
    do(opened, {"do": "repair", "at": "X1:3", "remedy": "re-terminate"})
    filled = {"calculation": "141 mA", "remedy": "X1:3 re-terminate"}
    conclude(opened, "X1:3 resistance", (found,), "clutch=pulled or stand=raised", **filled)
    assert opened.summary().html == ("<p>Findings: 1. Claim: X1:3 resistance. Still empty: proof not shown.</p>")


def test_exercise_marked_wrong(tmp_path: Path) -> None:
    """Who blames the clutch switch, slips a unit, forgets the diode and leaves a jumper for a repair does not pass."""
    works_badly(tmp_path)
    result = marked(tmp_path)
    assert not result.passed
    assert result.mark < 0.4 * result.maximum
    for name in ("diagnosis", "continuity", "remedy", "safety"):
        assert result.by_name[name].mark == 0, f"{name}: {result.by_name[name].verdict}"
    assert result.by_name["calculation"].mark < result.by_name["calculation"].maximum


def test_blank_exercise_earns_nothing(tmp_path: Path) -> None:
    """An answer that was opened and left blank has no marks for diagnosis, evidence, calculation, claim and repair."""
    opened = open_case("routes-clutch", answer_file=tmp_path / ANSWER)
    moves(opened, "key=on")
    result = marked(tmp_path)
    assert not result.passed
    assert sum(criterion.mark for name, criterion in result.by_name.items() if name != "safety") == 0


def test_work_is_taken_up_again(tmp_path: Path) -> None:
    """A lesson that is opened again goes on where it was left: the record and the draft come from the answer file."""
    opened = open_case("routes-clutch", answer_file=tmp_path / ANSWER)
    moves(opened, "key=on gear=engaged")
    do(opened, {"do": "observe"}, {"do": "claim", "fault": "S3 stuck open", "on": True})
    again = open_case("routes-clutch", answer_file=tmp_path / ANSWER)
    assert again.bench.actions == opened.bench.actions
    assert again.view.session.work.answer.claim == ["S3 stuck open"]
    assert again.bench.machine.state["gear"] == "engaged"


def test_a_class_paper_is_not_opened_in_a_lesson() -> None:
    """Only practice puts a fault into a student's kernel: a paper for a class is refused; a slip gets the nearest."""
    with pytest.raises(Refused) as refused:
        open_case("compressor-stands-still")
    assert str(refused.value) == (
        "compressor-stands-still.yaml: this is a paper for a class; practice needs 'practice: yes' and a fault under "
        "'names:', and the answers to a class's paper are marked with the class"
    )
    with pytest.raises(Refused, match="did you mean 'routes-clutch'"):
        open_case("routes-cluth")
