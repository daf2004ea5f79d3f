"""Marking what was handed in, whatever it is: nothing that an answer holds stops the marking of others."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from faultwright.errors import Refused
from faultwright.files import parse_json

from .answer import Answer, parse_answer
from .case import Case
from .mark import Mark
from .marking import mark, sha256
from .texts import text


def mark_handed_in(case: Case, place: str, written: Callable[[], str]) -> Mark:
    """Return the mark of the answer whose text ``written`` returns (or refuses); ``place`` names it in messages."""
    rubric = case.blueprint.rubric
    answer: Answer | Refused
    digest = ""
    try:
        content = written()
        digest = sha256(content.encode("utf-8", "surrogatepass"))
        answer = parse_answer(parse_json(content, place), case.circuit, place)
    except Refused as refused:
        answer = refused
    except Exception as error:  # noqa: BLE001 - as below: what no reader foresaw must not stop the others
        return _for_a_person(case, error, digest)
    try:
        return mark(answer, case, rubric, answer_sha256=digest)
    except Exception as error:  # noqa: BLE001 - one answer that shows a bug must not stop the others
        return _for_a_person(case, error, digest)


def _for_a_person(case: Case, error: Exception, digest: str) -> Mark:
    """Return the mark of an answer that shows a bug: nothing, until a person has looked."""
    refused = Refused(text("answer.bug", error=type(error).__name__))
    return replace(mark(refused, case, case.blueprint.rubric, answer_sha256=digest), for_a_person=True)
