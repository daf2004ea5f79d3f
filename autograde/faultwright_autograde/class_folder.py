"""A class's folder: what was handed out, what came back, and the sealed guide.

::

    class.json              the blueprint with everything it names, and the candidates
    guide.sealed            what is in each machine, readable with the secret only
    papers/ID/              handed out: paper.json, circuit.yaml, sheet.html
    answers/ID.json         handed in
    kept/ID.sealed          what has been marked so far, readable with the secret only
    marks.csv, marks/, feedback/, class.html, class.png, guide.html    written by marking
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from faultwright.errors import Mistake, Refused
from faultwright.files import parse_json, read_json, read_text, write_json, write_whole

from .blueprint import Blueprint
from .blueprint_file import parse_blueprint
from .case import Case
from .paper import PaperMaker
from .repair import remedies_of
from .sealing import seal, unseal

CLASS_VERSION = 1
CLASS_FILE, GUIDE_FILE, ANSWERS, PAPERS = "class.json", "guide.sealed", "answers", "papers"
MOST_CANDIDATES = 1000
CANDIDATE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_\-]{0,39}")
_HEADINGS = ("candidate", "id", "bench", "number")
_RESERVED = re.compile(r"con|prn|aux|nul|(com|lpt)[0-9]", re.IGNORECASE)  # names that Windows keeps for devices


@dataclass(frozen=True)
class ClassFolder:
    """A class as set: where it lies, its blueprint, its candidates, and the maker of its cases."""

    folder: Path
    blueprint: Blueprint
    candidates: tuple[str, ...]
    maker: PaperMaker


def _rows(path: Path) -> list[list[str]]:
    """Return the rows of CSV text, whatever its line ends."""
    try:
        return list(csv.reader(io.StringIO(read_text(path), newline=None)))
    except csv.Error as error:
        raise Refused(Mistake(f"this is no list of candidates: {error}", path.name)) from None


def read_roster(path: Path) -> tuple[str, ...]:
    """Return the ids of a roster: the first column of CSV, or one a line; '#' starts a remark.

    Raises Refused with every line that is no id: letters, digits, '-' and '_', 40 at most, each once.
    """
    found: list[str] = []
    mistakes: list[Mistake] = []
    for number, row in enumerate(_rows(path), start=1):
        word = row[0].strip() if row else ""
        if not word or word.startswith("#") or (not found and word.casefold() in _HEADINGS):
            continue
        if not CANDIDATE.fullmatch(word) or _RESERVED.fullmatch(word):
            message = f"{word[:60]!r} is no id; use letters, digits, '-' and '_', 40 at most, and no name of a person"
            mistakes.append(Mistake(message, path.name, number))
        elif word.casefold() in [other.casefold() for other in found]:
            mistakes.append(Mistake(f"{word!r} is there twice", path.name, number))
        else:
            found.append(word)
    if not found and not mistakes:
        mistakes.append(Mistake("there is nobody in the roster", path.name))
    if len(found) > MOST_CANDIDATES:
        mistakes.append(Mistake(f"more than {MOST_CANDIDATES} candidates", path.name))
    if mistakes:
        raise Refused(mistakes)
    return tuple(found)


def class_as_json(blueprint: Blueprint, candidates: Sequence[str]) -> dict[str, Any]:
    """Return what a class folder says of itself."""
    return {
        "version": CLASS_VERSION,
        "paper": blueprint.paper,
        "title": blueprint.title,
        "place": blueprint.place,
        "blueprint": blueprint.text,
        "neighbours": dict(blueprint.neighbours),
        "candidates": list(candidates),
    }


def check_free(folder: Path, blueprint: Blueprint) -> None:
    """Refuse a folder that holds something else than this blueprint's papers: nothing of it may be lost."""
    if not folder.exists():
        return
    if not folder.is_dir():
        raise Refused(Mistake("this is a file; a folder is needed", folder.name))
    if (folder / CLASS_FILE).exists():
        known = read_json(folder / CLASS_FILE)
        same = isinstance(known, dict) and known.get("blueprint") == blueprint.text
        if not same or known.get("neighbours") != dict(blueprint.neighbours):
            raise Refused(Mistake("this folder holds another set of papers; choose another one", folder.name))
    elif any(folder.iterdir()):
        raise Refused(Mistake("this folder is not empty and holds no papers; choose another one", folder.name))


def check_nothing_lost(folder: Path, candidates: Sequence[str], secret: bytes) -> None:
    """Refuse to set again what was set with another secret or for somebody who is not in the roster any more."""
    if not (folder / GUIDE_FILE).exists():
        return
    known = open_guide(folder, secret)["key"]
    lost = [candidate for candidate in known if candidate not in candidates]
    if lost:
        names = ", ".join(lost[:8])
        message = f"this folder holds papers of {names}, who would be left out; keep them in the roster"
        raise Refused(Mistake(message, folder.name))


def write_class_file(folder: Path, blueprint: Blueprint, candidates: Sequence[str]) -> None:
    """Write what the folder says of itself: first of all, so that an interrupted setting can be done again."""
    write_json(folder / CLASS_FILE, class_as_json(blueprint, candidates))


def write_guide(folder: Path, cases: Sequence[Case], secret: bytes) -> None:
    """Write the sealed guide, which vouches for the class file: last of all."""
    path = folder / CLASS_FILE
    guide = {
        "class_sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
        "groups": dict(cases[0].groups) if cases else {},
        "key": {case.candidate: key_of(case) for case in cases},
    }
    write_whole(folder / GUIDE_FILE, seal(json.dumps(guide, ensure_ascii=False).encode("utf-8"), secret))


def key_of(case: Case) -> dict[str, Any]:
    """Return what the guide says of one candidate's machine."""
    return {
        "paper": case.paper,
        "fault": str(case.fault),
        "signs": [str(sign) for sign in case.story.signs],
        "remedies": remedies_of(case),
        "continuity": {question.id: question.right for question in case.blueprint.continuity},
    }


def open_class(folder: Path, secret: bytes) -> ClassFolder:
    """Return a class as it was set. Raises Refused where anything of it was changed since, or the secret is another."""
    path = folder / CLASS_FILE
    data = read_json(path, largest=4_000_000)
    guide = open_guide(folder, secret)
    if guide.get("class_sha256") != hashlib.sha256(path.read_bytes()).hexdigest():
        raise Refused(Mistake("this was changed after the papers were set", path.name))
    neighbours: Mapping[str, str] = data["neighbours"]
    blueprint = parse_blueprint(data["blueprint"], data["place"], lambda name: neighbours[name])
    maker = PaperMaker(blueprint, secret, guide["groups"])
    return ClassFolder(folder, blueprint, tuple(data["candidates"]), maker)


def open_guide(folder: Path, secret: bytes) -> dict[str, Any]:
    """Return the guide: what is in each machine and what cures it."""
    path = folder / GUIDE_FILE
    if path.is_symlink() or not path.is_file():
        raise Refused(Mistake("there is no sealed guide; `faultwright set` makes one", path.name))
    found = parse_json(unseal(path.read_bytes(), secret, path.name).decode("utf-8"), path.name)
    assert isinstance(found, dict)  # noqa: S101 - only what write_guide sealed gets here
    return found
