"""The account of one candidate's work: asked, done, proved, missed; plain data that can be kept and sent."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from faultwright.moves import Move
from faultwright.proof import Fact
from faultwright.record import Asked, Inspected, Measured, Observed
from faultwright_autograde.answer import Answer
from faultwright_autograde.case import Case
from faultwright_autograde.diagnosis import weigh
from faultwright_autograde.repair import fact_words
from faultwright_autograde.trace import Moment, trace
from faultwright_autograde.words import finding_words, move_words, seen_words, would_words

from .misconceptions import Work, recognised
from .texts import text


@dataclass(frozen=True)
class Account:
    """What a report says of one candidate besides the mark.

    ``measured`` are terminals with the numbers of the findings there; ``readings`` number, meter, unit and value (None:
    no number) of each reading; ``recognised`` what the record shows, by name.
    """

    fault: str
    asked: Sequence[str]
    done: Sequence[str]
    proved: Sequence[str]
    missed: Sequence[str]
    recognised: Mapping[str, str]
    measured: Mapping[str, Sequence[int]]
    readings: Sequence[tuple[int, str, str, float | None]]

    def as_json(self) -> dict[str, Any]:
        """Return the account as JSON."""
        return asdict(self)


def account_from_json(data: Mapping[str, Any]) -> Account:
    """Return the account that :meth:`Account.as_json` wrote."""
    readings = [(number, meter, unit, value) for number, meter, unit, value in data["readings"]]
    return Account(**{**data, "readings": readings})


def account_of(case: Case, answer: Answer | None) -> Account:
    """Return the account of an answer; of one that could not be used, what was asked alone."""
    asked = _asked(case)
    if answer is None:
        return Account(case.fault.name, asked, (), (), (), {}, {}, ())
    done = trace(case.circuit, case.fault, answer.record)
    decided = weigh(case, answer, done).decided
    shown = _shown(case, done.moments)
    missing = sorted(case.proof.facts - shown, key=lambda fact: (fact.behaviour, fact.control, fact.on))
    return Account(
        fault=case.fault.name,
        asked=asked,
        done=_done(case, done.moments, decided),
        proved=[fact_words(case, fact) for fact in sorted(shown, key=lambda one: (one.behaviour, one.control, one.on))],
        missed=[fact_words(case, fact) for fact in missing],
        recognised=recognised(Work(case, answer, done)),
        measured=_measured(done.moments),
        readings=[
            (moment.index + 1, moment.action.probe.mode, moment.action.reading.unit, moment.action.reading.value)
            for moment in done.moments
            if isinstance(moment.action, Measured)
        ],
    )


def _asked(case: Case) -> list[str]:
    found = [case.blueprint.complaint.text]
    for action in case.complaint:
        if isinstance(action, Move):
            found.append(move_words(str(action), case.circuit))
        elif isinstance(action, Observed):
            found.append(seen_words(action.seen))
    if case.blueprint.calculation:
        found.append(case.blueprint.calculation.prompt)
    return found + [question.prompt for question in case.blueprint.continuity]


def _shown(case: Case, moments: Sequence[Moment]) -> frozenset[Fact]:
    found: frozenset[Fact] = frozenset()
    for moment in moments:
        if moment.cured and moment.clean and moment.true and isinstance(moment.action, Observed):
            found |= case.proof.shows(moment.state, moment.action.seen)
    return found


def _done(case: Case, moments: Sequence[Moment], decided: Mapping[int, int]) -> list[str]:
    found: list[str] = []
    cured = False
    for moment in moments:
        remarks = []
        action = moment.action
        if isinstance(action, Measured) and action.expected is not None:
            remarks.append(text("page.expected", expected=action.expected, unit=action.reading.unit))
        if moment.would is not None and not moment.true:
            remarks.append(text("page.shown", would=would_words(moment.would)))
        if decided.get(moment.index):
            remarks.append(text("page.cleared", count=decided[moment.index]))
        if moment.cured and not cured:
            remarks.append(text("page.gone"))
        cured = moment.cured
        line = finding_words(moment) if moment.would is not None else f"{moment.index + 1}: {_told(case, moment)}"
        found.append(line + (f" ({'; '.join(remarks)})" if remarks else ""))
    return found


def _told(case: Case, moment: Moment) -> str:
    match moment.action:
        case Move() as move:
            return move_words(str(move), case.circuit)
        case Asked(question, answer):
            return text("page.asked_operator", question=question, answer=answer)
        case Inspected(at, seen):
            return text("page.inspected", at=at, seen=seen)
    return ""


def _measured(moments: Sequence[Moment]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    times: Counter[str] = Counter()
    for moment in moments:
        if isinstance(moment.action, Measured) and not moment.action.probe.alone:
            for terminal in filter(None, (moment.action.probe.red, moment.action.probe.black)):
                times[terminal] += 1
                if moment.index + 1 not in found.setdefault(terminal, []):
                    found[terminal].append(moment.index + 1)
    return found
