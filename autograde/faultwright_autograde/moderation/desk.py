"""Moderation of a class's folder: what each command does, from files to files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from faultwright.errors import Mistake, Refused
from faultwright.files import write_whole
from faultwright_autograde.class_folder import ANSWERS, ClassFolder, open_class
from faultwright_autograde.class_marking import MARKS_FILE, marks_table, noted
from faultwright_autograde.class_run import mark_file
from faultwright_autograde.draws import read_secret
from faultwright_autograde.mark import Mark
from faultwright_autograde.setting import Progress, silent

from .agreement import Differences, concordance, differences, kappa
from .decisions import Final, final_marks, mark_of
from .sample import Sample, draw, read_form, read_sample, write_sample
from .sheets import blind_sheet


@dataclass(frozen=True)
class Desk:
    """A class that has been marked, opened for moderation."""

    opened: ClassFolder
    secret: bytes

    @property
    def folder(self) -> Path:
        """The class's folder."""
        return self.opened.folder

    @property
    def candidates(self) -> tuple[str, ...]:
        """Who is in the class."""
        return self.opened.candidates

    def marked(self) -> list[Mark]:
        """Return what marking made of every answer."""
        return [mark_of(self.folder, name, self.candidates)[0] for name in self.candidates]

    def final(self) -> Final:
        """Return the class's final marks."""
        return final_marks(self.folder, self.secret, self.marked(), self.opened.blueprint.rubric)

    def write_table(self) -> Final:
        """Write ``marks.csv`` with the final marks, and return them."""
        final = self.final()
        write_whole(self.folder / MARKS_FILE, marks_table(final.marks, amended=final.amended))
        return final


def open_desk(folder: Path, secret: Path) -> Desk:
    """Return a class opened for moderation. Raises Refused where it is none, or has another secret."""
    if not folder.is_dir():
        raise Refused(Mistake("there is no such folder", folder.name))
    key = read_secret(secret)
    return Desk(open_class(folder, key), key)


def draw_sample(desk: Desk, least: int, share: float, progress: Progress = silent) -> Sample:
    """Draw a sample and write its sheets and an empty form."""
    marks = desk.marked()
    sample = draw(marks, desk.opened.blueprint.rubric, desk.secret, least, share)
    maxima = _maxima(marks)
    sheets: dict[str, str] = {}
    for place, (number, candidate) in enumerate(sample.numbers.items()):
        progress(place, len(sample.numbers), number)
        case = desk.opened.maker.case(candidate)
        sheets[number] = blind_sheet(case, desk.folder / ANSWERS / f"{candidate}.json", number, maxima)
    write_sample(desk.folder, sample, sheets, list(maxima), desk.secret)
    progress(len(sheets), len(sheets), "")
    return sample


def _maxima(marks: Sequence[Mark]) -> dict[str, float]:
    return {each.name: each.maximum for each in marks[0].criteria} if marks else {}


@dataclass(frozen=True)
class Agreement:
    """How second marks agree with the first: by criterion and in all; kappa of passing by marks; concordance."""

    by_criterion: Mapping[str, Differences]
    total: Differences
    kappa: float | None
    concordance: float | None
    furthest: Sequence[tuple[str, float, float]]


def agree(desk: Desk) -> Agreement:
    """Return the agreement of the second marks that stand in the form. Raises Refused with every mistake in it."""
    marks = desk.marked()
    first = {one.candidate: one for one in marks}
    sample = read_sample(desk.folder, desk.secret)
    seconds = read_form(desk.folder, sample, _maxima(marks))
    pass_share = desk.opened.blueprint.rubric.pass_share
    pairs = [(first[second.candidate], second) for second in seconds]
    totals = [one.mark for one, _ in pairs], [second.total for _, second in pairs]
    passed = (
        [one.mark >= pass_share * one.maximum for one, _ in pairs],
        [second.total >= pass_share * one.maximum for one, second in pairs],
    )
    by_criterion = {
        name: differences([one.by_name[name].mark for one, _ in pairs], [second.marks[name] for _, second in pairs])
        for name in _maxima(marks)
    }
    apart = sorted(pairs, key=lambda pair: -abs(pair[1].total - pair[0].mark))[:5]
    furthest = [(sample.number_of(one.candidate), one.mark, second.total) for one, second in apart]
    return Agreement(by_criterion, differences(*totals), kappa(*passed), concordance(*totals), furthest)


@dataclass(frozen=True, slots=True)
class Checked:
    """Whether a mark comes out again byte for byte, and if not, what is not the same."""

    candidate: str
    same: bool
    differs: tuple[str, ...]


def mark_again(desk: Desk, progress: Progress = silent) -> list[Checked]:
    """Mark every stored answer again and compare what comes out with the marks as they were written."""
    before = desk.marked()
    again: list[Mark] = []
    for number, candidate in enumerate(desk.candidates):
        progress(number, len(desk.candidates), candidate)
        case = desk.opened.maker.case(candidate)
        again.append(mark_file(desk.folder / ANSWERS / f"{candidate}.json", case))
    again = noted(again)
    progress(len(again), len(again), "")
    return [
        Checked(old.candidate, old == new, _differing(old.as_json(), new.as_json()))
        for old, new in zip(before, again, strict=True)
    ]


def _differing(old: Mapping[str, object], new: Mapping[str, object]) -> tuple[str, ...]:
    """Return the entries of a mark in which two differ, hashes and versions one by one."""
    found: list[str] = []
    for key in old:
        one, other = old[key], new[key]
        if isinstance(one, Mapping) and isinstance(other, Mapping):
            found += [name for name in one if one[name] != other.get(name)]
        elif one != other:
            found.append(key)
    return tuple(found)
