"""Progress by skill, kept in one file of the work folder and nowhere else: what was answered, solved and missed.

The last few results of each skill count. Nothing here is a mark, and nothing is sent anywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeGuard

from faultwright.errors import Mistake, Refused
from faultwright.files import read_json, write_json

from .texts import text

PROGRESS_FILE = "progress.json"
PROGRESS_VERSION = 1
KEPT = 8
"""Results of one skill that are kept: the older ones say less of today."""


@dataclass
class Progress:
    """The results of each skill, the oldest first; the practice case that is open, their number, the marked ones."""

    path: Path
    skills: dict[str, list[bool]] = field(default_factory=dict)
    case: str = ""
    cases: int = 0
    marked: list[str] = field(default_factory=list)

    def note(self, skill: str, right: bool) -> None:  # noqa: FBT001 - a result
        """Note a result and write the file."""
        self.note_all([(skill, right)])

    def note_all(self, results: Iterable[tuple[str, bool]]) -> None:
        """Note results by skill and write the file."""
        for skill, right in results:
            self.skills[skill] = [*self.skills.get(skill, []), right][-KEPT:]
        self.write()

    def share(self, skill: str) -> float:
        """Return the share that was right, counted with one right and one wrong before there was any result."""
        results = self.skills.get(skill, [])
        return (sum(results) + 1) / (len(results) + 2)  # Laplace's rule of succession

    def write(self) -> None:
        """Write the file: beside it first, then in its place."""
        write_json(
            self.path,
            {
                "version": PROGRESS_VERSION,
                "skills": self.skills,
                "case": self.case,
                "cases": self.cases,
                "marked": self.marked,
            },
        )


def read_progress(folder: Path | str = ".") -> Progress:
    """Return the progress kept in a folder; a new one where nothing is kept.

    Raises Refused where the file is not what this wrote: it is never written over then.
    """
    path = Path(folder) / PROGRESS_FILE
    if not path.exists():
        return Progress(path)
    data = read_json(path)
    if not isinstance(data, Mapping) or data.get("version") != PROGRESS_VERSION:
        raise Refused(Mistake(text("progress.other", version=PROGRESS_VERSION), path.name))
    skills, case, cases, marked = (data.get(key) for key in ("skills", "case", "cases", "marked"))
    if not _are_results(skills) or not isinstance(case, str) or not isinstance(cases, int) or cases < 0:
        raise Refused(Mistake(text("progress.broken"), path.name))
    if not isinstance(marked, list) or not all(isinstance(one, str) for one in marked):
        raise Refused(Mistake(text("progress.broken"), path.name))
    return Progress(path, {skill: list(results) for skill, results in skills.items()}, case, int(cases), list(marked))


def _are_results(skills: object) -> TypeGuard[dict[str, list[bool]]]:
    """Say whether something read is a table of results by skill."""
    return isinstance(skills, dict) and all(
        isinstance(results, list) and all(isinstance(one, bool) for one in results) for results in skills.values()
    )
