"""Hostile answers in a class's folder: none gains a mark, none stops the others, each is reported in words."""

from __future__ import annotations

import copy
import csv
import errno
import html
import json
import os
import re
import shutil
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

import pytest

from faultwright_autograde import class_marking
from faultwright_autograde.class_folder import open_class
from faultwright_autograde.class_marking import mark_class
from faultwright_autograde.class_run import mark_file
from faultwright_autograde.mark import Mark
from faultwright_autograde.setting import set_papers
from tests.autograde.gate import FOLDER, SECRET, mark_json, right_answer
from tests.autograde.hostile import (
    endless,
    forged,
    greedy,
    json_texts,
    jumpers,
    no_plain_file,
    others,
    shown,
    wrong_types,
)
from tests.autograde.hostile.trick import HARMLESS, Given, Trick, thin_answer

TRICKS: list[Trick] = [
    *no_plain_file.TRICKS,
    *json_texts.TRICKS,
    *wrong_types.TRICKS,
    *forged.TRICKS,
    *others.TRICKS,
    *jumpers.TRICKS,
    *greedy.TRICKS,
    *shown.TRICKS,
    *endless.TRICKS,
]

HONEST = {"good": right_answer, "thin": thin_answer}
"""The answers that are spoiled: one that has nothing to gain but can lose, and one that has everything to gain."""

ONE_MACHINE = {
    "[W2, W3, W4, W5, S1, B1, P1]": "[W4]",
    "[open, resistance, stuck open]": "[resistance]",
}
"""What is changed of the blueprint, so that an answer by hand fits all; the fault's value stays everybody's own."""

LARGEST_PAGE = 1_000_000


@dataclass(frozen=True)
class Marked:
    """A class after marking: marks and honest marks by candidate, and the rows of its table."""

    folder: Path
    marks: dict[str, Mark]
    honest: dict[str, Mark]
    given: dict[str, Given]

    def told(self, candidate: str) -> str:
        """Return everything that the mark says in words."""
        mark = self.marks[candidate]
        verdicts = [criterion.verdict for criterion in mark.criteria]
        return "\n".join([*mark.hurdles, *mark.remarks, *mark.notes, *verdicts])


def blueprint_of_one_machine(folder: Path) -> Path:
    """Write the gate lamp's blueprint with one place and mode, and no variation but of the fault's value."""
    shutil.copy(FOLDER / "gate-lamp.yaml", folder)
    text = (FOLDER / "paper.yaml").read_text(encoding="utf-8")
    for usual, here in ONE_MACHINE.items():
        assert usual in text
        text = text.replace(usual, here)
    path = folder / "paper.yaml"
    path.write_text(f"{text}machine:\n  emf: 1 to 1\n  length: 1 to 1\n", encoding="utf-8")
    return path


def candidates() -> Iterator[tuple[str, Trick, str]]:
    """Yield every candidate with the trick and the honest answer that is spoiled."""
    for number, trick in enumerate(TRICKS):
        for kind in trick.kinds:
            yield f"t{number}-{kind}", trick, kind


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> Marked:
    """Return a class in which every trick was tried on either honest answer, with honest neighbours, marked."""
    here = tmp_path_factory.mktemp("hostile")
    honest_names = [f"honest-{kind}" for kind in HONEST]
    names = ["honest-good", *(name for name, _, _ in candidates()), "honest-thin"]
    assert set(honest_names) <= set(names)
    (here / "roster.csv").write_text("\n".join(names), encoding="utf-8")
    (here / "secret.key").write_bytes(SECRET)
    out = here / "class"
    set_papers(blueprint_of_one_machine(here), here / "roster.csv", out, here / "secret.key")
    maker = open_class(out, SECRET).maker
    case_of = {name: maker.case(name) for name in names}
    neighbour = right_answer(case_of["honest-good"])
    honest: dict[str, Mark] = {}
    given: dict[str, Given] = {}
    for kind, name in zip(HONEST, honest_names, strict=True):
        case = case_of[name]
        answer = HONEST[kind](case)
        honest[name] = mark_json(answer, case)
        (out / "answers" / f"{name}.json").write_text(json.dumps(answer), encoding="utf-8")
    for name, trick, kind in candidates():
        case = case_of[name]
        answer = HONEST[kind](case)
        given[name] = Given(case, answer, neighbour)
        if trick.honest:
            trick.honest(answer, given[name])
        honest[name] = mark_json(copy.deepcopy(answer), case)
        trick.hand_in(out / "answers" / f"{name}.json", given[name])
    with pytest.MonkeyPatch.context() as patch:
        # Hundreds of bars take longer than all the rest, and nothing but ids and marks gets into them.
        patch.setattr(class_marking, "class_picture", lambda *_: b"")
        marks = mark_class(out, here / "secret.key", processes=1)
    return Marked(out, {mark.candidate: mark for mark in marks}, honest, given)


EACH = pytest.mark.parametrize(
    ("candidate", "trick"),
    [pytest.param(name, trick, id=f"{trick.name}-{kind}") for name, trick, kind in candidates()],
)


@EACH
def test_nothing_is_gained(marked: Marked, candidate: str, trick: Trick) -> None:
    """No criterion and no mark in all is above that of the same answer without the trick; no trick helps to pass."""
    mark, honest = marked.marks[candidate], marked.honest[candidate]
    assert mark.mark <= honest.mark
    for criterion in mark.criteria:
        assert criterion.mark <= honest.by_name[criterion.name].mark, criterion
    assert honest.passed or not mark.passed
    assert trick.becomes == HARMLESS or not mark.passed


@EACH
def test_it_is_reported(marked: Marked, candidate: str, trick: Trick) -> None:
    """The mark says what became of it, in words with the place, and a person is asked where one must look."""
    mark = marked.marks[candidate]
    told = marked.told(candidate)
    assert mark.answer == trick.state, told[:500]
    assert mark.for_a_person == trick.looked_at, told[:500]
    assert trick.says.format_map(_Names(marked.given[candidate])) in told, told[:500]
    assert "Traceback" not in told
    assert "marking stopped" not in told
    assert max(map(len, told.splitlines())) < 20_000


class _Names(dict[str, str]):
    """Fills in {file} and {paper}; what else stands in braces stays."""

    def __init__(self, given: Given) -> None:
        super().__init__(file=given.file, paper=given.case.paper)

    def __missing__(self, key: str) -> str:
        return f"{{{key}}}"


# The class as a whole


def test_the_neighbours_get_their_marks(marked: Marked) -> None:
    """The first and the last of the roster handed in honestly, and are marked as if nobody else were there."""
    for name in ("honest-good", "honest-thin"):
        mark, alone = marked.marks[name], marked.honest[name]
        assert mark.criteria == alone.criteria
        assert (mark.hurdles, mark.passed, mark.answer) == (alone.hurdles, alone.passed, "marked")
    assert marked.marks["honest-good"].mark == 100
    assert marked.marks["honest-good"].passed


def test_everybody_has_a_mark(marked: Marked) -> None:
    """One row, one mark and one page a candidate, whatever was handed in."""
    names = {"honest-good", "honest-thin", *(name for name, _, _ in candidates())}
    assert set(marked.marks) == names
    assert {path.stem for path in (marked.folder / "feedback").iterdir()} == names
    assert {row["candidate"] for row in rows(marked)} == names


def rows(marked: Marked) -> list[dict[str, str]]:
    """Return the rows of the table of marks."""
    with (marked.folder / "marks.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_no_cell_of_the_table_is_a_formula(marked: Marked) -> None:
    """A spreadsheet takes a cell that begins with =, +, -, @, a tab or a line end for something to work out.

    (OWASP, CSV Injection, names these signs.) No text of a candidate's gets into the table at all.
    """
    cells = [cell for row in rows(marked) for cell in row.values()]
    assert len(cells) > 1000
    assert [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))] == []
    words = {"yes", "no", "marked", "missing", "unreadable", "another's paper", *marked.marks}
    assert {cell for cell in cells if not cell.replace(".", "").isdigit()} <= words


class _Page(HTMLParser):
    """Gathers what a page could do by itself: elements that run or fetch, what listens, and addresses outside."""

    def __init__(self) -> None:
        super().__init__()
        self.live: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("script", "iframe", "object", "embed", "form", "base", "template"):
            self.live.append(tag)
        for name, value in attrs:
            address = name in ("src", "href", "action", "formaction", "srcset", "xlink:href")
            if name.startswith("on") or (address and not (value or "").startswith(("data:image/", "#"))):
                self.live.append(f"{tag} {name}={value}")


def test_no_page_holds_what_a_candidate_wrote_as_markup(marked: Marked) -> None:
    """Nothing on any page runs or is fetched, and what was written as markup shows as text."""
    pages = [*(marked.folder / "feedback").iterdir(), *marked.folder.glob("*.html")]
    assert len(pages) > len(marked.marks)
    for path in pages:
        page = _Page()
        text = path.read_text(encoding="utf-8")
        page.feed(text)
        assert page.live == [], path.name
        assert shown.SCRIPT not in text, path.name
        assert shown.IMAGE not in text, path.name
    feedback = (marked.folder / "feedback" / f"{candidate_of('script', 'good')}.html").read_text(encoding="utf-8")
    assert html.escape(shown.SCRIPT) in feedback


def candidate_of(name: str, kind: str) -> str:
    """Return the candidate on whose answer a trick was tried."""
    return next(candidate for candidate, trick, other in candidates() if (trick.name, other) == (name, kind))


def test_pages_stay_short_enough_to_read(marked: Marked) -> None:
    """What somebody wrote at length is not repeated at length, and no control character gets through."""
    for path in [*(marked.folder / "feedback").iterdir(), *(marked.folder / "marks").iterdir()]:
        assert path.stat().st_size < LARGEST_PAGE, path.name
        text = path.read_text(encoding="utf-8")
        assert not {letter for letter in text if unicodedata.category(letter) in ("Cc", "Cf")} - set("\n"), path.name


def test_the_list_for_a_person_names_what_was_forged_or_copied(marked: Marked) -> None:
    """The class's report says whom to look at, with the reason, and nobody else."""
    report = (marked.folder / "class.html").read_text(encoding="utf-8")
    listed = re.findall(r"<li>([\w-]+): (.*)</li>", report)
    assert {name for name, _ in listed} == {name for name, mark in marked.marks.items() if mark.for_a_person}
    reasons = dict(listed)
    assert forged.REPORTED in reasons[candidate_of("shaded-beyond-tolerance", "good")]
    assert "belongs to honest-good." in reasons[candidate_of("neighbours-whole", "thin")]


def test_nothing_that_was_handed_in_ran_or_was_changed(marked: Marked) -> None:
    """A program among the answers is read as text; no answer is written over."""
    assert not list(marked.folder.parent.rglob("ran"))
    name = candidate_of("program", "thin")
    assert (marked.folder / "answers" / f"{name}.json").read_bytes() == b"#!/bin/sh\ntouch ran\n"


def test_a_file_that_may_not_be_read_is_reported(marked: Marked, monkeypatch: pytest.MonkeyPatch) -> None:
    """An answer that the system refuses to open earns nothing and says why.

    The refusal is the system's words; it is put in here, because whoever may read everything is refused nothing.
    """

    def refused(path: str, *_: int) -> int:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), path)

    case = marked.given[candidate_of("reformatted", "good")].case
    path = marked.folder / "answers" / f"{case.candidate}.json"
    assert mark_file(path, case).answer == "marked"
    monkeypatch.setattr(os, "open", refused)
    mark = mark_file(path, case)
    assert mark.answer == "unreadable"
    assert mark.hurdles == (
        f"The answer cannot be used: {path.name}: the file cannot be read: {os.strerror(errno.EACCES)}",
    )
