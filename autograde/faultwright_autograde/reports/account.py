"""The account of one candidate's work: asked, done, proved, missed; plain data that can be kept and sent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from faultwright.proof import Fact
from faultwright.record import Measured, Observed
from faultwright_autograde.answer import Answer
from faultwright_autograde.case import Case
from faultwright_autograde.diagnosis import weigh
from faultwright_autograde.repair import fact_words
from faultwright_autograde.trace import Moment, trace
from faultwright_autograde.words import complaint_words, done_words

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
        done=done_words(case.circuit, done.moments, lambda moment: _remarks(moment, decided)),
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
    found = [case.blueprint.complaint.text, *complaint_words(case)]
    if case.blueprint.calculation:
        found.append(case.blueprint.calculation.prompt)
    return found + [question.prompt for question in case.blueprint.continuity]


def _shown(case: Case, moments: Sequence[Moment]) -> frozenset[Fact]:
    found: frozenset[Fact] = frozenset()
    for moment in moments:
        if moment.cured and moment.clean and moment.true and isinstance(moment.action, Observed):
            found |= case.proof.shows(moment.state, moment.action.seen)
    return found


def _remarks(moment: Moment, decided: Mapping[int, int]) -> list[str]:
    """Return what else there is to say of a moment: what was expected there, and how many suspects it cleared."""
    found = []
    if isinstance(moment.action, Measured) and moment.action.expected is not None:
        found.append(text("page.expected", expected=moment.action.expected, unit=moment.action.reading.unit))
    if decided.get(moment.index):
        found.append(text("page.cleared", count=decided[moment.index]))
    return found


def _measured(moments: Sequence[Moment]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for moment in moments:
        if isinstance(moment.action, Measured) and not moment.action.probe.alone:
            for terminal in filter(None, (moment.action.probe.red, moment.action.probe.black)):
                if moment.index + 1 not in found.setdefault(terminal, []):
                    found[terminal].append(moment.index + 1)
    return found
