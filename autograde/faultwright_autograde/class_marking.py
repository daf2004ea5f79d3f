"""Marking a class: every answer in a folder, whatever it is, to marks, feedback pages and the class's report.

A broken answer earns nothing and says why; it never stops the others. Everything can be run again.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from faultwright.errors import Mistake, Refused
from faultwright.files import shown_name, write_json, write_whole

from .class_folder import ANSWERS, ClassFolder, open_class, open_guide
from .class_run import go_through
from .draws import read_secret
from .mark import MARKED, UNMARKED, Mark
from .moderation.decisions import final_marks, refuse_signed
from .pages import class_page, guide_page
from .picture import class_picture, picture_words
from .reports.account import Account
from .reports.class_figures import figures_of
from .rubric import CRITERIA
from .setting import Progress, silent
from .texts import text
from .words import examples

MARKS_FILE, PICTURE_FILE, CLASS_PAGE, GUIDE_PAGE = "marks.csv", "class.png", "class.html", "guide.html"


def mark_class(  # noqa: PLR0913 - one option each for how it is gone about
    folder: Path | str,
    secret: Path | str,
    progress: Progress = silent,
    *,
    habits: Mapping[str, str] | None = None,
    processes: int | None = None,
    afresh: bool = False,
) -> list[Mark]:
    """Mark every answer of a class's folder, write marks, feedback and report into it, and return the marks.

    ``habits`` adds a column to ``marks.csv``. ``processes`` mark side by side; ``afresh`` marks again what an earlier
    run has marked (``class_run.py``). Raises Refused where the folder is no class's or the secret is another.
    """
    folder = Path(folder)
    if not folder.is_dir():
        raise Refused(Mistake("there is no such folder", folder.name))
    key = read_secret(Path(secret))
    opened = open_class(folder, key)
    refuse_signed(folder, key)
    if (folder / ANSWERS).is_symlink():
        raise Refused(Mistake("this is a link, not a folder", ANSWERS))
    results = go_through(opened, key, progress, processes=processes, afresh=afresh)
    marks = noted([result.mark for result in results])
    for one, result in zip(marks, results, strict=True):
        write_json(folder / "marks" / f"{one.candidate}.json", one.as_json())
        write_whole(folder / "feedback" / f"{one.candidate}.html", result.page)
    _report(opened, marks, [result.account for result in results], habits, key)
    write_whole(folder / GUIDE_PAGE, guide_page(opened.blueprint.title, open_guide(folder, key)["key"]))
    progress(len(marks), len(marks), "")
    return marks


def noted(marks: Sequence[Mark]) -> list[Mark]:
    """Return marks with what the class tells of each: whose paper an answer is for, and whose answer it is too."""
    owners = {one.paper: one.candidate for one in marks}
    same: dict[str, list[str]] = {}
    for one in marks:
        if one.provenance.answer_sha256:
            same.setdefault(one.provenance.answer_sha256, []).append(one.candidate)
    found = []
    for one in marks:
        owner = owners.get(one.given_paper, "") if one.given_paper != one.paper else ""
        copies = [other for other in same.get(one.provenance.answer_sha256, ()) if other != one.candidate]
        notes = [
            *([text("answer.stranger", paper=one.given_paper, candidate=owner)] if owner else []),
            *([text("answer.copy", others=examples(copies))] if copies else []),
        ]
        found.append(replace(one, notes=(*one.notes, *notes), for_a_person=one.for_a_person or bool(notes)))
    return found


def summary_line(marks: Sequence[Mark]) -> str:
    """Return in one line what else there is to do: ``1 missing, 1 unreadable, 1 for a person``."""
    states = Counter(one.answer for one in marks if one.answer != MARKED)
    told = [f"{states[state]} {state}" for state in UNMARKED if states[state]]
    for_a_person = sum(one.for_a_person for one in marks)
    told += [text("class.for_a_person", count=for_a_person)] if for_a_person else []
    return ", ".join(told) or text("class.all_marked", count=len(marks))


def marks_table(
    marks: Sequence[Mark], habits: Mapping[str, str] | None = None, amended: Collection[str] | None = None
) -> str:
    """Return the marks as CSV: ids only, no names of persons; with ``amended``, who was, in a column more."""
    names = [name for name in CRITERIA if any(name in one.by_name for one in marks)]
    columns: dict[str, Callable[[Mark], str]] = {
        "candidate": lambda one: one.candidate,
        "mark": lambda one: f"{one.mark:g}",
        "maximum": lambda one: f"{one.maximum:g}",
        "passed": lambda one: _yes(one.passed),
    }
    if habits:
        columns["habit"] = lambda one: habits.get(one.candidate, "")
    columns["answer"] = lambda one: one.answer
    for name in names:
        columns[name] = partial(_earned, name)
    columns["for_a_person"] = lambda one: _yes(one.for_a_person)
    if amended is not None:
        columns["amended"] = lambda one: _yes(one.candidate in amended)
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(columns)
    table.writerows([cell(one) for cell in columns.values()] for one in marks)
    return out.getvalue()


def _earned(criterion: str, one: Mark) -> str:
    return f"{one.by_name[criterion].mark:g}" if criterion in one.by_name else ""


def _yes(value: bool) -> str:  # noqa: FBT001 - a cell of a table
    return "yes" if value else "no"


def _report(
    opened: ClassFolder,
    made: Sequence[Mark],
    accounts: Sequence[Account],
    habits: Mapping[str, str] | None,
    secret: bytes,
) -> None:
    folder, blueprint = opened.folder, opened.blueprint
    final = final_marks(folder, secret, made, blueprint.rubric)
    marks = final.marks
    share = blueprint.rubric.pass_share
    titled, untitled = class_picture(blueprint.title, marks, share), class_picture("", marks, share)
    words = picture_words(marks, share)
    write_whole(folder / MARKS_FILE, marks_table(marks, habits, final.amended))
    write_whole(folder / PICTURE_FILE, titled)
    page = class_page(
        blueprint.title,
        marks,
        summary_line(marks),
        picture=untitled,
        alt=words,
        strangers=_strangers(opened),
        figures=figures_of(marks, accounts),
    )
    write_whole(folder / CLASS_PAGE, page)


def _strangers(opened: ClassFolder) -> list[str]:
    """Return the files among the answers that belong to no candidate."""
    known = {f"{candidate}.json" for candidate in opened.candidates}
    try:
        names = [shown_name(entry) for entry in (opened.folder / ANSWERS).iterdir() if entry.name not in known]
    except OSError:
        return []
    return sorted(names)[:200]
