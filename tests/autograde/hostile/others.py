"""Somebody else's work: a neighbour's answer as it is, under one's own number, or in parts."""

from __future__ import annotations

import json

from faultwright_autograde.mark import ANOTHERS
from tests.autograde.gate import Answer

from .forged import REPORTED
from .trick import FORGED, Given, Trick, changed


def _neighbours(answer: Answer, given: Given) -> None:
    answer.clear()
    answer.update(json.loads(json.dumps(given.neighbour)))


def _under_ones_own_number(answer: Answer, given: Given) -> None:
    _neighbours(answer, given)
    answer["paper"] = given.case.paper


def _told_by_word_of_mouth(answer: Answer, given: Given) -> None:
    """What a class can tell each other in the yard shows in no file: the answers to questions that all have."""
    answer |= {key: given.neighbour[key] for key in ("calculation", "continuity", "remedy")}


def _record_swapped_in(answer: Answer, given: Given) -> None:
    answer["record"] = json.loads(json.dumps(given.neighbour["record"]))
    answer["cited"] = given.neighbour["cited"]


def _findings_spliced_in(answer: Answer, given: Given) -> None:
    answer["record"]["actions"] += [{"move": "rest"}, *given.neighbour["record"]["actions"]]


TRICKS = [
    Trick("neighbours-whole", changed(_neighbours), ANOTHERS, "the answer is for paper"),
    Trick("neighbours-under-own-number", changed(_under_ones_own_number), FORGED, REPORTED, _told_by_word_of_mouth),
    Trick("neighbours-record", changed(_record_swapped_in), FORGED, REPORTED),
    Trick("neighbours-findings", changed(_findings_spliced_in), FORGED, REPORTED),
    Trick(
        "a-paper-of-nobody",
        changed(lambda answer, _given: answer.update(paper="gate-00000000")),
        ANOTHERS,
        "the answer is for paper 'gate-00000000'; this candidate's paper is '{paper}'",
    ),
    Trick("no-paper", changed(lambda answer, _given: answer.pop("paper")), ANOTHERS, "the answer is for paper ''"),
    Trick(
        "look-alike-paper",
        changed(lambda answer, given: answer.update(paper=given.case.paper.replace("a", "\u0430"))),
        ANOTHERS,
        "this candidate's paper is '{paper}'",
    ),
]
