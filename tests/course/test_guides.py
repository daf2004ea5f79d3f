"""The guides claim only what exists."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from faultwright.circuit_file import read_circuit
from faultwright.command_line.program import program
from faultwright.faults import parse_fault
from faultwright.record import Record
from faultwright_course.catalogue import circuit_names, lesson_names, paper_names
from faultwright_course.opening import open_case, practice_case
from faultwright_course.pack import cases_in

COURSE = Path(__file__).resolve().parents[2] / "course"
GUIDES = sorted((COURSE / "guides").glob("*.md"))


def test_there_are_guides() -> None:
    """Authors, instructors and examiners have one each."""
    assert {"authoring.md", "instructor.md", "examiner.md"} <= {path.name for path in GUIDES}


@pytest.mark.parametrize("path", GUIDES, ids=lambda path: path.stem)
def test_commands_and_files_that_a_guide_names_exist(path: Path) -> None:
    """Each ``faultwright`` command in a guide is a command, and each file of the repository that it names is there."""
    text = path.read_text(encoding="utf-8")
    assert set(re.findall(r"\bfaultwright ([a-z][a-z-]*[a-z])", text)) <= set(program.commands)
    for named in re.findall(r"`([\w/.-]+/[\w.-]+\.\w+)`", text):
        places = (COURSE.parent / named, COURSE / "faultwright_course" / named)
        assert any(place.is_file() for place in places), named


def test_instructors_table_is_complete() -> None:
    """The instructor's notes list every circuit, lesson and paper for a class."""
    text = (COURSE / "guides" / "instructor.md").read_text(encoding="utf-8")
    practice = {case for lesson in lesson_names() for case in cases_in(lesson)}
    for name in (*circuit_names(), *lesson_names(), *(set(paper_names()) - practice)):
        assert f"`{name}`" in text


def test_an_authors_own_case_opens(tmp_path: Path) -> None:
    """A circuit and a blueprint outside of the course become a bench, as the authoring guide says."""
    circuit = (COURSE / "faultwright_course" / "circuits" / "compressor.yaml").read_text(encoding="utf-8")
    (tmp_path / "my-machine.yaml").write_text(
        circuit.replace("circuit: compressor", "circuit: my-machine"), encoding="utf-8"
    )
    (tmp_path / "my-case.yaml").write_text(
        "paper: my-case\ncircuit: my-machine.yaml\npractice: yes\n"
        "complaint: {text: It does not run., moves: [key=on, run=pressed]}\nfaults: {names: [W7 open]}\n",
        encoding="utf-8",
    )
    work = open_case(tmp_path / "my-case.yaml")
    assert work.bench.record == Record("my-machine")
    own = read_circuit(tmp_path / "my-machine.yaml")
    assert practice_case(tmp_path / "my-case.yaml").fault == parse_fault("W7 open", own)
