"""The sample for second marking: drawn from the secret, numbered without names, with a blind sheet for each.

It holds everything that is for a person, everything near the pass mark, and a random share of the rest.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from faultwright.errors import Mistake, Refused, unknown
from faultwright.files import parse_json, read_text, write_whole
from faultwright_autograde.draws import Draws
from faultwright_autograde.mark import Mark
from faultwright_autograde.rubric import Rubric
from faultwright_autograde.sealing import seal, unseal

from .decisions import is_half_mark
from .texts import text

FOLDER, SEALED, FORM, SHEETS = "moderation", "sample.sealed", "second-marks.csv", "sheets"

NEAR = 0.05
"""Share of the maximum on either side of the pass mark within which every paper is marked again."""

LEAST, SHARE = 5, 0.1
"""At least so many of the rest, and at least this share of them."""


@dataclass(frozen=True)
class Sample:
    """Candidates by sample number, in the order of the numbers."""

    numbers: Mapping[str, str]

    def number_of(self, candidate: str) -> str:
        """Return the number of a candidate's sheet."""
        return next(number for number, name in self.numbers.items() if name == candidate)


def draw(marks: Sequence[Mark], rubric: Rubric, secret: bytes, least: int = LEAST, share: float = SHARE) -> Sample:
    """Draw a sample; the same secret and marks give the same again."""
    passing = rubric.pass_share

    def is_near(one: Mark) -> bool:
        return one.maximum > 0 and abs(one.mark / one.maximum - passing) <= NEAR

    must = [one.candidate for one in marks if one.for_a_person or is_near(one)]
    rest = [one.candidate for one in marks if one.candidate not in must]
    rest.sort(key=lambda name: Draws(secret, "second marking", name).share())
    chosen = must + rest[: max(least, math.ceil(share * len(rest)))]
    chosen.sort(key=lambda name: Draws(secret, "sample number", name).share())
    return Sample({f"S-{place:02d}": name for place, name in enumerate(chosen, start=1)})


def write_sample(
    folder: Path, sample: Sample, sheets: Mapping[str, str], criteria: Sequence[str], secret: bytes
) -> None:
    """Write the sheets, an empty form, and, sealed, who is who. Raises Refused over a form that is filled in."""
    form = folder / FOLDER / FORM
    empty = form_text(sample, criteria)
    if form.exists() and any(any(row[1:]) for row in _rows(form)[1:]):
        raise Refused(Mistake(text("form.filled"), form.name))
    for number, page in sheets.items():
        write_whole(folder / FOLDER / SHEETS / f"{number}.html", page)
    content = json.dumps(dict(sample.numbers)).encode("utf-8")
    write_whole(folder / FOLDER / SEALED, seal(content, secret))
    write_whole(form, empty)


def form_text(sample: Sample, criteria: Sequence[str]) -> str:
    """Return the form with one empty line a sheet."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(["sheet", "marker", *criteria])
    table.writerows([number, *[""] * (len(criteria) + 1)] for number in sample.numbers)
    return out.getvalue()


def read_sample(folder: Path, secret: bytes) -> Sample:
    """Return the sample that was drawn."""
    path = folder / FOLDER / SEALED
    if path.is_symlink() or not path.is_file():
        raise Refused(Mistake("no sample has been drawn; `faultwright moderate sample` draws one", path.name))
    return Sample(parse_json(unseal(path.read_bytes(), secret, path.name).decode("utf-8"), path.name))


@dataclass(frozen=True)
class SecondMark:
    """What a second marker gave: the marks by criterion."""

    candidate: str
    marker: str
    marks: Mapping[str, float]

    @property
    def total(self) -> float:
        """The marks in all."""
        return sum(self.marks.values())


def read_form(folder: Path, sample: Sample, maxima: Mapping[str, float]) -> list[SecondMark]:
    """Return the second marks of a form; lines without any entry are left out. Raises Refused with every mistake."""
    path = folder / FOLDER / FORM
    rows = _rows(path)
    heads = ["sheet", "marker", *maxima]
    if not rows or [cell.strip() for cell in rows[0]] != heads:
        raise Refused(Mistake(text("form.heads", heads=",".join(heads)), path.name, 1))
    wrong: list[Mistake] = []
    found: dict[str, SecondMark] = {}
    for line, row in enumerate(rows[1:], start=2):
        number, marker, *cells = [cell.strip() for cell in [*row, *[""] * len(heads)][: len(heads)]]
        if not marker and not any(cells):
            continue
        messages = [] if number in sample.numbers else [unknown("sheet", number, list(sample.numbers))]
        messages += [text("form.twice", number=number)] if number in found else []
        messages += [] if marker else [text("form.marker", number=number)]
        marks: dict[str, float] = {}
        for criterion, given in zip(maxima, cells, strict=True):
            value = _number(given)
            marks[criterion] = value
            if not is_half_mark(value, maxima[criterion]):
                words = {"criterion": criterion, "given": given, "maximum": maxima[criterion]}
                messages.append(text("form.mark", number=number, **words))
        wrong += [Mistake(message, path.name, line) for message in messages]
        if not messages:
            found[number] = SecondMark(sample.numbers[number], marker, marks)
    if not found and not wrong:
        wrong.append(Mistake(text("form.empty"), path.name))
    if wrong:
        raise Refused(wrong)
    return list(found.values())


def _number(given: str) -> float:
    try:
        return float(given.replace(",", "."))
    except ValueError:
        return math.nan


def _rows(path: Path) -> list[list[str]]:
    try:
        return list(csv.reader(io.StringIO(read_text(path), newline=None)))
    except csv.Error as error:
        raise Refused(Mistake(f"this is no table: {error}", path.name)) from None
