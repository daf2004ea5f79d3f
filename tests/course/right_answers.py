"""A right answer to every practice case of the lessons, written down: ``python -m tests.course.right_answers``.

A methodical student works each case at a bench. That takes minutes on the large machine, so the answers are kept in
``right_answers/``; the slow tier works them out again and compares.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from faultwright.files import write_whole
from faultwright_autograde.draws import Draws
from faultwright_autograde.simulated.habits import play
from faultwright_course.catalogue import lesson_names
from faultwright_course.opening import practice_case
from faultwright_course.pack import cases_in

FOLDER = Path(__file__).with_name("right_answers")
CASES = [case for lesson in lesson_names() for case in cases_in(lesson)]
"""The guided case and the case alone of each lesson."""


def worked(name: str, habit: str = "methodical") -> dict[str, Any]:
    """Return what a simulated student of some habit hands in for a practice case; the same every time."""
    return play(practice_case(name), habit, Draws(b"the answers of the course", name), {})


def path_of(name: str) -> Path:
    """Return where the right answer to a case is kept."""
    return FOLDER / f"{name}.json"


def as_text(answer: dict[str, Any]) -> str:
    """Return an answer as it is kept: one action a line, so that a difference can be read."""
    record = answer["record"]
    actions = ",\n".join(json.dumps(action, ensure_ascii=False) for action in record["actions"])
    rest = {key: value for key, value in answer.items() if key != "record"}
    head = json.dumps({key: value for key, value in record.items() if key != "actions"}, ensure_ascii=False)[1:-1]
    return f'{json.dumps(rest, ensure_ascii=False)[:-1]},\n"record": {{{head}, "actions": [\n{actions}\n]}}}}\n'


def main() -> None:
    """Work every case and write the answers."""
    for number, name in enumerate(CASES, start=1):
        sys.stderr.write(f"\r{number} of {len(CASES)}: {name:<24}")
        write_whole(path_of(name), as_text(worked(name)))
    sys.stderr.write("\n")


if __name__ == "__main__":
    main()
