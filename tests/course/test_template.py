"""The template for a circuit of one's own: sound from the start, a case that can be worked, nothing written over."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import nbformat

from faultwright.command_line import main
from faultwright_autograde.draws import Draws
from faultwright_autograde.simulated.habits import play
from faultwright_course.opening import practice_case

if TYPE_CHECKING:
    import pytest

FILES = ["my-case.yaml", "my-circuit.yaml", "my-lesson.ipynb"]


def test_template_is_sound_and_its_case_is_marked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Circuit and case pass the check as they are; who works the case by the book gets every mark, a guesser fails."""
    monkeypatch.chdir(tmp_path)
    assert main(["template", "own"]) == 0
    assert sorted(path.name for path in Path("own").iterdir()) == FILES
    monkeypatch.chdir(tmp_path / "own")
    capsys.readouterr()
    assert main(["check", "my-circuit.yaml", "my-case.yaml"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "my-circuit.yaml: sound: 5 parts, 5 wires",
        "my-case.yaml: sound: a case for practice with 1 fault",
    ]
    case = practice_case("my-case.yaml")
    for habit, passed in (("methodical", True), ("guesser", False)):
        answer = play(case, habit, Draws(b"whoever begins", habit), {})
        Path("my-case-answer.json").write_text(json.dumps(answer), encoding="utf-8")
        assert main(["mark", "my-case-answer.json", "--case", "my-case.yaml", "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["passed"] is passed
        assert main(["self-check", "my-case-answer.json", "--case", "my-case.yaml"]) == 0
        capsys.readouterr()


def test_the_lesson_of_the_template_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every cell runs in the template's folder, in any order, and it is kept without outputs."""
    assert main(["template", str(tmp_path)]) == 0
    monkeypatch.chdir(tmp_path)
    notebook = nbformat.read("my-lesson.ipynb", as_version=4)
    nbformat.validate(notebook)
    cells = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert [cell.id for cell in cells] == ["set-up", "symptoms", "bench"]
    for cell in reversed(cells):
        assert cell.outputs == []
        exec(compile(cell.source, cell.id, "exec"), {})  # noqa: S102 - the template's own cells


def test_nothing_is_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where one file is there already, it is named and nothing is written; a file is no folder."""
    mine = tmp_path / "my-circuit.yaml"
    mine.write_text("mine", encoding="utf-8")
    assert main(["template", str(tmp_path)]) == 1
    assert capsys.readouterr().err == "my-circuit.yaml: this file is there already; choose another folder\n"
    assert [path.name for path in tmp_path.iterdir()] == ["my-circuit.yaml"]
    assert main(["template", str(mine)]) == 1
    assert capsys.readouterr().err == "my-circuit.yaml: this is a file; the template needs a folder\n"
    assert mine.read_text(encoding="utf-8") == "mine"


def test_mistakes_of_a_case_are_told_by_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A slip with its line; a fault that the complaint does not show; --case where a class is marked."""
    assert main(["template", str(tmp_path)]) == 0
    case = tmp_path / "my-case.yaml"
    whole = case.read_text(encoding="utf-8")
    for wrong, told in (
        (("gate=open]  ", "gate=opn]  "), "did you mean 'open'?"),
        (("names: [W4 open]", "names: [W5 shorted to ground]"), "the complaint does not show it"),
    ):
        assert wrong[0] in whole
        case.write_text(whole.replace(*wrong), encoding="utf-8")
        capsys.readouterr()
        assert main(["check", str(case)]) == 1
        said = capsys.readouterr().err
        assert said.startswith("my-case.yaml")
        assert told in said
    case.write_text(whole, encoding="utf-8")
    assert main(["mark", str(tmp_path / "my-case-answer.json"), "--case", str(case)]) == 1
    assert capsys.readouterr().err.startswith("my-case-answer.json: ")  # not submitted yet: the file is not there
    assert main(["mark", str(tmp_path), "--case", str(case), "--secret", "none"]) == 2
    assert "--case goes with the answer file" in capsys.readouterr().err
