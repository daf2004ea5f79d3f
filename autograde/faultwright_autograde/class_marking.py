"""Marking a class: every answer in a folder, whatever it is, to marks, feedback pages and the class's report.

A broken answer earns nothing and says why; it never stops the others. Everything can be run again.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from faultwright.errors import Mistake, Refused
from faultwright.files import read_text, write_json, write_whole

from .answer import LARGEST
from .case import Case
from .class_folder import ANSWERS, ClassFolder, open_class, open_guide
from .draws import read_secret
from .handed_in import mark_handed_in
from .mark import Mark
from .pages import class_page, feedback_page, guide_page
from .picture import class_picture, picture_words
from .rubric import CRITERIA
from .setting import Progress, silent
from .texts import text

MARKS_FILE, PICTURE_FILE, CLASS_PAGE, GUIDE_PAGE = "marks.csv", "class.png", "class.html", "guide.html"


def mark_class(
    folder: Path | str,
    secret: Path | str,
    progress: Progress = silent,
    *,
    habits: Mapping[str, str] | None = None,
) -> list[Mark]:
    """Mark every answer of a class's folder, write marks, feedback and report into it, and return the marks.

    ``habits`` adds a column to ``marks.csv``. Raises Refused where the folder is no class's or the secret is another.
    """
    folder = Path(folder)
    if not folder.is_dir():
        raise Refused(Mistake("there is no such folder", folder.name))
    key = read_secret(Path(secret))
    opened = open_class(folder, key)
    if (folder / ANSWERS).is_symlink():
        raise Refused(Mistake("this is a link, not a folder", ANSWERS))
    marks: list[Mark] = []
    for number, candidate in enumerate(opened.candidates):
        progress(number, len(opened.candidates), candidate)
        case = opened.maker.case(candidate)
        one = mark_file(folder / ANSWERS / f"{candidate}.json", case)
        write_json(folder / "marks" / f"{candidate}.json", one.as_json())
        write_whole(folder / "feedback" / f"{candidate}.html", feedback_page(one, case))
        marks.append(one)
    _report(opened, marks, habits)
    write_whole(folder / GUIDE_PAGE, guide_page(opened.blueprint.title, open_guide(folder, key)["key"]))
    progress(len(marks), len(marks), "")
    return marks


def mark_file(path: Path, case: Case) -> Mark:
    """Return the mark of the answer in a file. Nothing that the file holds can raise."""

    def written() -> str:
        if not path.exists() and not path.is_symlink():
            raise Refused(text("answer.missing"))
        return read_text(path, largest=LARGEST)

    return mark_handed_in(case, path.name, written)


def marks_table(marks: Sequence[Mark], habits: Mapping[str, str] | None = None) -> str:
    """Return the marks as CSV: ids only, no names of persons."""
    names = [name for name in CRITERIA if any(name in one.by_name for one in marks)]
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(["candidate", "mark", "maximum", "passed", *(["habit"] if habits else []), *names, "for_a_person"])
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
                *earned,
                _yes(one.for_a_person),
            ]
        )
    return out.getvalue()


def _yes(value: bool) -> str:  # noqa: FBT001 - a cell of a table
    return "yes" if value else "no"


def _report(opened: ClassFolder, marks: Sequence[Mark], habits: Mapping[str, str] | None) -> None:
    folder, blueprint = opened.folder, opened.blueprint
    picture = class_picture(blueprint.title, marks, blueprint.rubric.pass_share)
    words = picture_words(marks, blueprint.rubric.pass_share)
    write_whole(folder / MARKS_FILE, marks_table(marks, habits))
    write_whole(folder / PICTURE_FILE, picture)
    write_whole(folder / CLASS_PAGE, class_page(blueprint.title, marks, picture, words, _strangers(opened)))


def _strangers(opened: ClassFolder) -> list[str]:
    """Return the files among the answers that belong to no candidate."""
    known = {f"{candidate}.json" for candidate in opened.candidates}
    try:
        return sorted(entry.name for entry in (opened.folder / ANSWERS).iterdir() if entry.name not in known)[:200]
    except OSError:
        return []
