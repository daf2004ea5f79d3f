"""The blind sheet of a second marker: what was asked, done and handed in, and what is in that machine."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from faultwright.errors import Refused
from faultwright.files import read_json
from faultwright.moves import Move
from faultwright.pages import page_templates
from faultwright.record import Action, Asked, Inspected, Observed, Record
from faultwright_autograde.answer import LARGEST, Answer, parse_answer
from faultwright_autograde.calculation import targets
from faultwright_autograde.case import Case
from faultwright_autograde.class_folder import key_of
from faultwright_autograde.texts import text as marking_text
from faultwright_autograde.trace import Moment, trace
from faultwright_autograde.words import finding_words, move_words, seen_words, would_words

from .sample import FORM
from .texts import TEXTS, text


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
        "complaint": _complaint(case),
    }
    if isinstance(answer, Refused):
        values["unreadable"] = text(
            "sheet.unreadable", why="; ".join(mistake.message for mistake in answer.mistakes[:8])
        )
    else:
        values |= {"answer": answer, "done": _done(case, answer), "cited": [number + 1 for number in answer.cited]}
    return page_templates("faultwright_autograde", _words).get_template("blind_sheet.html").render(**values)


def _words(key: str, **values: Any) -> str:  # noqa: ANN401 - what a text shows
    """Return a text of moderation, or of marking."""
    return text(key, **values) if key in TEXTS else marking_text(key, **values)


def _right(case: Case) -> list[str]:
    """Return what is right for the questions of the paper."""
    found = [text("sheet.continuity", id=one.id, right=one.right) for one in case.blueprint.continuity]
    if case.blueprint.calculation:
        right = targets(
            case.circuit, case.blueprint.calculation, trace(case.circuit, case.fault, Record(case.circuit.name))
        )
        found += [text("sheet.calculation", right=f"{right[0].value:.4g}")] if right else []
    return found


def _complaint(case: Case) -> list[str]:
    """Return the complaint in words: moves, and what was seen after each."""
    found = []
    for action in case.complaint:
        if isinstance(action, Move):
            found.append(move_words(str(action), case.circuit))
        elif isinstance(action, Observed):
            found.append(seen_words(action.seen))
    return found


def _done(case: Case, answer: Answer) -> list[str]:
    """Return every action in words, with what this machine would have shown where it is something else."""
    found: list[str] = []
    cured = False
    for moment in trace(case.circuit, case.fault, answer.record).moments:
        line = _line(case, moment)
        if moment.cured and not cured:
            line += f" ({text('sheet.repair')})"
        cured = moment.cured
        found.append(line)
    return found


def _line(case: Case, moment: Moment) -> str:
    if moment.would is None:
        return f"{moment.index + 1}: {_told(case, moment.action)}"
    line = finding_words(moment)
    return line if moment.true else f"{line} ({text('sheet.not_shown', would=would_words(moment.would))})"


def _told(of: Case, action: Action) -> str:
    """Return in words an action that is no finding."""
    match action:
        case Move():
            return move_words(str(action), of.circuit)
        case Asked():
            return text("sheet.asked", question=action.question, answer=action.answer)
        case Inspected():
            return text("sheet.inspected", at=action.at, seen=action.seen)
    return ""
