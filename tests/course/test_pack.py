"""The instructor's pack: everything for a lesson is there, answers are right, and it names what may not be set up."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from faultwright.command_line import main
from faultwright.errors import Refused
from faultwright_course.catalogue import HOME, lesson_names
from faultwright_course.opening import practice_case
from faultwright_course.pack import cases_in, solved, write_pack
from faultwright_course.question_bank import questions_of

LESSON = "06-routes-to-ground"


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the pack of one lesson."""
    folder = tmp_path_factory.mktemp("pack")
    write_pack(folder, [LESSON])
    return folder / LESSON


def test_a_lessons_pack_is_whole(pack: Path) -> None:
    """Notes, answers, the drawing for a projector, and for each case a worksheet and a bench card."""
    names = {path.name for path in pack.iterdir()}
    assert names == {
        "notes.md",
        "answers.html",
        "runabout-drawing.html",
        *(f"routes-{case}-{paper}.html" for case in ("neutral", "clutch") for paper in ("card", "worksheet")),
    }


def test_answers_are_those_that_marking_takes(pack: Path) -> None:
    """Fault, remedy, the number and the claim of each case, and the first choice of every question."""
    page = (pack / "answers.html").read_text(encoding="utf-8")
    case = practice_case("routes-clutch")
    assert str(case.fault) in page
    assert "re-terminate" in page
    assert "clutch=pulled or stand=raised" in page
    # By Ohm's law: 12.6 V over the coil's 85 Ω, a little less for wires and battery (derived).
    assert float(solved("routes-clutch").calculation) == pytest.approx(12.6 / 85, rel=0.06)
    for question in questions_of("06"):
        assert question.choices[0].says in page
    assert "Keep it away from students" in page


def test_a_worksheet_tells_no_fault(pack: Path) -> None:
    """What a student gets names neither place nor mode of the case's fault."""
    for name in ("routes-neutral", "routes-clutch"):
        page = (pack / f"{name}-worksheet.html").read_text(encoding="utf-8")
        assert practice_case(name).fault.name not in page


def test_every_lesson_has_cases_and_notes() -> None:
    """Two cases each, a guided one and one alone; the notes have their parts and name no fault of the lesson."""
    for name in lesson_names():
        assert len(cases_in(name)) == 2, name
        notes = (HOME / "notes" / f"{name[:2]}.md").read_text(encoding="utf-8")
        for part in ("Learning outcomes", "Timing", "Where they stumble", "On a real bench", "Without a computer"):
            assert f"## {part}" in notes, f"{name}: {part}"
        for case in cases_in(name):
            assert practice_case(case).fault.name not in notes, case


def test_the_command_says_what_it_wrote(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The command lists files as JSON; an unknown lesson is refused with the nearest, and nothing is written."""
    assert main(["pack", str(tmp_path / "pack"), LESSON, "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["files"]) == 7
    with pytest.raises(Refused, match="did you mean '06-routes-to-ground'"):
        write_pack(tmp_path / "none", ["06-routes-to-grond"])
    assert not (tmp_path / "none").exists()
