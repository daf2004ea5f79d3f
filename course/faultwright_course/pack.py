"""The instructor's pack: per lesson notes, answers, bench cards, worksheets, and the drawing for a projector.

Everything but the notes is worked out when the pack is written, so it cannot go stale.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from faultwright.drawing.sheet_files import sheet_files
from faultwright.errors import Refused
from faultwright.files import read_json, write_whole
from faultwright.pages import page_templates
from faultwright.workshop.card import bench_card
from faultwright.workshop.papers import card_page, worksheet_page
from faultwright.workshop.refusals import Permission
from faultwright.workshop.worksheet import worksheet
from faultwright_autograde.answer import parse_answer
from faultwright_autograde.calculation import UNIT, right_values
from faultwright_autograde.case import Case
from faultwright_autograde.draws import Draws
from faultwright_autograde.repair import remedies_of
from faultwright_autograde.reports.account import account_of
from faultwright_autograde.setting import Progress, silent
from faultwright_autograde.simulated.habits import play

from .catalogue import HOME, lesson_names, lesson_path
from .opening import practice_case
from .question_bank import questions_of
from .texts import text

_CASE = re.compile(r'open_case\(\s*"([^"]+)"')


def cases_in(lesson: str) -> list[str]:
    """Return the names of the cases that a lesson opens, in the order of its cells."""
    notebook = read_json(lesson_path(lesson))
    sources = ["".join(cell["source"]) for cell in notebook["cells"] if cell["cell_type"] == "code"]
    return list(dict.fromkeys(name for source in sources for name in _CASE.findall(source)))


@dataclass(frozen=True, slots=True)
class Solved:
    """One case with everything that its marker wants to know, and one way to work it."""

    name: str
    case: Case
    remedies: Sequence[str]
    calculation: str
    unit: str
    continuity: Sequence[tuple[str, str]]
    search: Sequence[str]


def solved(name: str) -> Solved:
    """Return a practice case solved: by calculation, by the questions' truth, and by a search of few tests."""
    case = practice_case(name)
    asked = case.blueprint.calculation
    right = right_values(case.circuit, asked) if asked else []
    played = play(case, "methodical", Draws(b"the pack's way through a case", case.paper), {})
    return Solved(
        name,
        case,
        remedies_of(case),
        f"{right[0].value:.4g}" if right else "",
        UNIT[asked.probe.mode] if asked else "",
        [(question.prompt, question.right) for question in case.blueprint.continuity],
        account_of(case, parse_answer(played, case.circuit)).done,
    )


def write_pack(folder: Path, names: Sequence[str] = (), progress: Progress = silent) -> list[Path]:
    """Write the pack of some lessons (all by default) into a folder; return the files.

    Raises Refused for an unknown lesson before anything is written.
    """
    lessons = [lesson_path(name).stem for name in names] or lesson_names()
    found: list[Path] = []
    for number, lesson in enumerate(lessons):
        progress(number, len(lessons), lesson)
        found += _of_lesson(folder / lesson, lesson)
    progress(len(lessons), len(lessons), "")
    return found


def _of_lesson(folder: Path, lesson: str) -> Iterator[Path]:
    number = lesson[:2]
    notes = HOME / "notes" / f"{number}.md"
    yield _written(folder / "notes.md", notes.read_bytes())
    cases = [solved(name) for name in cases_in(lesson)]
    page = page_templates("faultwright_course", text, "faultwright_autograde").get_template("answers.html")
    yield _written(folder / "answers.html", page.render(lesson=lesson, cases=cases, questions=questions_of(number)))
    for circuit in {one.case.circuit.name: one.case.circuit for one in cases}.values():
        sheets, _ = sheet_files(circuit, folder / f"{circuit.name}-drawing.html", "A3")
        for path, content in sheets.items():
            yield _written(path, content)
        permission = Permission(circuit)  # works out the whole machine: once for all of its cases
        for one in cases:
            if one.case.circuit.name == circuit.name:
                yield from _papers(folder, one, permission)


def _papers(folder: Path, one: Solved, permission: Permission) -> Iterator[Path]:
    """Write a case's worksheet, and its bench card or why it may not be put into a real machine."""
    circuit, fault = one.case.circuit, one.case.fault
    yield _written(
        folder / f"{one.name}-worksheet.html", worksheet_page(worksheet(circuit, permission.complaints.of(fault)))
    )
    try:
        yield _written(folder / f"{one.name}-card.html", card_page(bench_card(permission, fault)))
    except Refused as refused:
        yield _written(folder / f"{one.name}-not-on-a-machine.txt", f"{refused}\n")


def _written(path: Path, content: str | bytes) -> Path:
    write_whole(path, content)
    return path
