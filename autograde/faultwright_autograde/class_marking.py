"""Marking a class: every answer in a folder, whatever it is, to marks, feedback pages and the class's report.

A broken answer earns nothing and says why; it never stops the others. Everything can be run again.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from faultwright.errors import Mistake, Refused
from faultwright.files import write_json, write_whole

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
    results = go_through(folder, key, progress, processes=processes, afresh=afresh)
    marks = [noted(result.mark, [other.mark for other in results]) for result in results]
    for one, result in zip(marks, results, strict=True):
        write_json(folder / "marks" / f"{one.candidate}.json", one.as_json())
        write_whole(folder / "feedback" / f"{one.candidate}.html", result.page)
    _report(opened, marks, [result.account for result in results], habits, key)
    write_whole(folder / GUIDE_PAGE, guide_page(opened.blueprint.title, open_guide(folder, key)["key"]))
    progress(len(marks), len(marks), "")
    return marks


def noted(one: Mark, marks: Sequence[Mark]) -> Mark:
    """Return a mark with what the whole class tells of it: whose paper an answer is for, and whose answer it is too."""
    digest = one.provenance.answer_sha256
    owner = next((other.candidate for other in marks if other.paper == one.given_paper != one.paper), "")
    copies = [
        other.candidate for other in marks if other is not one and digest and other.provenance.answer_sha256 == digest
    ]
    notes = [
        *([text("answer.stranger", paper=one.given_paper, candidate=owner)] if owner else []),
        *([text("answer.copy", others=examples(copies))] if copies else []),
    ]
    return replace(one, notes=(*one.notes, *notes), for_a_person=one.for_a_person or bool(notes))


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
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(
        [
            *(
                "candidate",
                "mark",
                "maximum",
                "passed",
                *(["habit"] if habits else []),
                "answer",
                *names,
                "for_a_person",
            ),
            *(["amended"] if amended is not None else []),
        ]
    )
    for one in marks:
        habit = [habits.get(one.candidate, "")] if habits else []
        earned = [f"{one.by_name[name].mark:g}" if name in one.by_name else "" for name in names]
        table.writerow(
            [
                one.candidate,
                f"{one.mark:g}",
                f"{one.maximum:g}",
                _yes(one.passed),
                *habit,
                one.answer,
                *earned,
                _yes(one.for_a_person),
                *([_yes(one.candidate in amended)] if amended is not None else []),
            ]
        )
    return out.getvalue()


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
        names = [entry.name for entry in (opened.folder / ANSWERS).iterdir() if entry.name not in known]
    except OSError:
        return []
    # A name need not be text on every system, and still has to be reported.
    return sorted(name.encode("utf-8", "replace").decode("utf-8") for name in names)[:200]
