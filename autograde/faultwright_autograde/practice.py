"""Practice: marking one's own answer to an exercise that is the same for everybody.

Only blueprints that say ``practice: yes`` are marked so: an examination's key stays with whoever holds the secret.
"""

from __future__ import annotations

from pathlib import Path

from faultwright.errors import Mistake, Refused
from faultwright.faults import parse_fault
from faultwright.files import parse_json, read_json, read_text

from .answer import LARGEST, LONGEST_LINE, parse_answer
from .blueprint_file import read_blueprint
from .case import Case
from .mark import Mark
from .marking import mark, sha256
from .paper import fixed_case
from .pool import middle_value
from .texts import text


def practice_case(blueprint: Path) -> Case:
    """Return the case of a practice blueprint, the same for everybody: its first named fault.

    A free value lies in the middle of its range. Raises Refused for a wrong blueprint, and for one that is no practice.
    """
    found = read_blueprint(blueprint)
    if not found.practice or not found.selection.names:
        raise Refused(Mistake(text("practice.none"), blueprint.name))
    fault = middle_value(found, parse_fault(found.selection.names[0], found.circuit))
    return fixed_case(found, str(fault))


def paper_of(answer_file: Path) -> str:
    """Return the paper that an answer is for. Raises Refused where the file cannot be read or names none."""
    data = read_json(answer_file, largest=LARGEST)
    paper = data.get("paper") if isinstance(data, dict) else None
    if not isinstance(paper, str) or not 0 < len(paper.strip()) <= LONGEST_LINE:
        raise Refused(Mistake(text("practice.no_paper"), answer_file.name))
    return paper.strip()


def mark_practice(answer_file: Path, blueprint: Path) -> Mark:
    """Return the mark of an answer to a practice blueprint; ``feedback_page(mark, practice_case(blueprint))`` shows it.

    Raises Refused for a blueprint that is no practice, for an answer that cannot be used, and for one to another paper:
    at home there is somebody who can put it right.
    """
    case = practice_case(blueprint)
    given = paper_of(answer_file)
    if given != case.paper:
        raise Refused(Mistake(text("practice.other", given=given, own=case.paper), answer_file.name))
    content = read_text(answer_file, largest=LARGEST)
    answer = parse_answer(parse_json(content, answer_file.name), case.circuit, answer_file.name)
    return mark(answer, case, case.blueprint.rubric, answer_sha256=sha256(content.encode("utf-8")))
