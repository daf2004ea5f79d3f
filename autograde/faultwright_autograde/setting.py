"""Setting papers: from a blueprint and a roster to a folder that can be handed out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from faultwright.errors import Refused
from faultwright.files import write_json, write_whole

from .blueprint_file import read_blueprint
from .case import Case
from .class_folder import (
    ANSWERS,
    PAPERS,
    check_free,
    check_nothing_lost,
    read_roster,
    write_class_file,
    write_guide,
)
from .draws import secret_for
from .pages import sheet_page
from .paper import PaperMaker, paper_as_json

Progress = Callable[[int, int, str], None]
"""Told how many of how many are done, and what comes next."""


def silent(_done: int, _of: int, _what: str) -> None:
    """Tell nobody."""


@dataclass(frozen=True, slots=True)
class Handed:
    """One paper that was set: for whom, its number, where it lies."""

    candidate: str
    paper: str
    folder: Path


def set_papers(
    blueprint: Path | str, roster: Path | str, out: Path | str, secret: Path | str, progress: Progress = silent
) -> list[Handed]:
    """Set a paper for every candidate of a roster; return what was set, in the order of the roster.

    Everything follows from the secret, so a second run writes the same. Raises Refused, before anything is written,
    for a wrong blueprint or roster, a secret inside ``out``, or an ``out`` that holds something else.
    """
    out, secret = Path(out), Path(secret)
    read = read_blueprint(blueprint)
    candidates = read_roster(Path(roster))
    check_free(out, read)
    key = secret_for(secret, out)
    check_nothing_lost(out, candidates, key)
    maker = PaperMaker(read, key)
    cases: list[Case] = []
    for number, candidate in enumerate(candidates):
        progress(number, len(candidates), candidate)
        cases.append(maker.case(candidate))
    write_class_file(out, read, candidates)
    handed = [_hand_out(out, case) for case in cases]
    _make(out / ANSWERS)
    write_guide(out, cases, key)
    progress(len(candidates), len(candidates), "")
    return handed


def _hand_out(out: Path, case: Case) -> Handed:
    folder = out / PAPERS / case.candidate
    paper = paper_as_json(case)
    write_json(folder / "paper.json", paper)
    write_whole(folder / "circuit.yaml", case.circuit_text)
    write_whole(folder / "sheet.html", sheet_page(case, paper))
    return Handed(case.candidate, case.paper, folder)


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refused(f"{folder.name} cannot be made: {error.strerror}") from None
