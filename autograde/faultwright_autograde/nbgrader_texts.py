"""Every text that a person reads about lessons beside nbgrader."""

from __future__ import annotations

from collections.abc import Mapping

from faultwright.catalogue import reader

TEXTS: Mapping[str, str] = {
    "lesson.no_cell": "this lesson has no grade cell that is named after an exercise (exercises: {exercises})",
    "lesson.words": "**In your own words.** Which finding decided, and what would it have been if you had been wrong? "
    "(Double-click here to write; a person reads it.)",
    "take_in.no_folder": "there is no such folder of submissions",
    "take_in.no_student": "{name}: no folder of a student (letters, digits, '-' and '_', 40 at most); left where it is",
    "take_in.twice": "{name}: the same id but for capitals; left where it is",
    "take_in.left": "{name}: not asked for, a link, or too large; left where it is",
}

text = reader(TEXTS)
