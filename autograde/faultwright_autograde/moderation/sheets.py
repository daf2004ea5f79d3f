"""The blind sheet of a second marker: what was asked, done and handed in, and what is in that machine."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from faultwright.catalogue import reader
from faultwright.errors import Refused
from faultwright.files import read_json
from faultwright.pages import page_templates
from faultwright_autograde.answer import LARGEST, Answer, parse_answer
from faultwright_autograde.calculation import right_values
from faultwright_autograde.case import Case
from faultwright_autograde.class_folder import key_of
from faultwright_autograde.texts import TEXTS as MARKING_TEXTS
from faultwright_autograde.texts import text as marking_text
from faultwright_autograde.trace import trace
from faultwright_autograde.words import complaint_words, done_words

from .sample import FORM
from .texts import TEXTS, text

_WORDS = reader({**MARKING_TEXTS, **TEXTS})


def blind_sheet(case: Case, answer_file: Path, number: str, maxima: dict[str, float]) -> str:
    """Return the sheet as HTML. It names neither the candidate nor the paper nor any mark."""
    answer: Answer | Refused
    try:
        answer = parse_answer(read_json(answer_file, largest=LARGEST), case.circuit, text("sheet.answer"))
    except Refused as refused:
        answer = refused
    values: dict[str, Any] = {
        "number": number,
        "form": FORM,
        "case": case,
        "key": key_of(case),
        "criteria": [(marking_text(f"criterion.{name}"), maximum) for name, maximum in maxima.items()],
        "right": _right(case),
        "complaint": complaint_words(case),
    }
    if isinstance(answer, Refused):
        values["unreadable"] = text(
            "sheet.unreadable", why="; ".join(mistake.message for mistake in answer.mistakes[:8])
        )
    else:
        done = done_words(case.circuit, trace(case.circuit, case.fault, answer.record).moments)
        values |= {"answer": answer, "done": done, "cited": [number + 1 for number in answer.cited]}
    return page_templates("faultwright_autograde", _WORDS).get_template("blind_sheet.html").render(**values)


def _right(case: Case) -> list[str]:
    """Return what is right for the questions of the paper."""
    found = [text("sheet.continuity", id=one.id, right=one.right) for one in case.blueprint.continuity]
    if case.blueprint.calculation:
        right = right_values(case.circuit, case.blueprint.calculation)
        found += [text("sheet.calculation", right=f"{right[0].value:.4g}")] if right else []
    return found
