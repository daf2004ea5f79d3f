"""Claiming, citing and proposing more than was found out."""

from __future__ import annotations

from faultwright.faults import remedies_at, universe
from tests.autograde.gate import Answer

from .trick import HARMLESS, Given, Trick, changed, with_entries


def _claim_everything(answer: Answer, given: Given) -> None:
    answer["claim"] = list(universe(given.case.circuit))


def _claim_everything_twice(answer: Answer, given: Given) -> None:
    answer["claim"] = [*universe(given.case.circuit)] * 2


def _cite_everything(answer: Answer, _given: Given) -> None:
    actions = answer["record"]["actions"]
    answer["cited"] = [number for number, action in enumerate(actions) if {"read", "see"} & action.keys()] * 20


def _repair_everything(answer: Answer, given: Given) -> None:
    places = remedies_at(given.case.circuit).items()
    moves = [f"repair={place} {remedy}" for place, remedies in places for remedy in remedies]
    answer["record"]["actions"] += [{"move": "rest"}, *({"move": move} for move in moves)]
    answer["claim"] = list(universe(given.case.circuit))


def _answer_everything(answer: Answer, given: Given) -> None:
    answer["continuity"] = {
        question.id: " or ".join(question.choices) for question in given.case.blueprint.continuity
    } | {"feed2": "key=on and gate=open"}


TRICKS = [
    Trick("claim-everything", changed(_claim_everything), HARMLESS),
    Trick("claim-everything-twice", changed(_claim_everything_twice), HARMLESS),
    Trick("cite-everything", changed(_cite_everything), HARMLESS),
    Trick("repair-everything", changed(_repair_everything), HARMLESS),
    Trick("answer-everything", changed(_answer_everything), HARMLESS, "is none of the choices"),
    Trick(
        "jumper-for-a-remedy",
        with_entries(remedy="jumper from G1:+ to P1:1"),
        HARMLESS,
        "a jumper is a test, not a repair",
    ),
    Trick("jumper-at-a-place", with_entries(remedy="W4 jumper"), HARMLESS, "a jumper is a test, not a repair"),
    Trick("two-remedies", with_entries(remedy="W4 mend the wire, F1 replace"), says="remedy: W4: there is no remedy"),
    Trick("two-calculations", with_entries(calculation="1.75 A or 1.75 mA"), HARMLESS, "1.75 A or 1.75 mA"),
    Trick("surer-than-sure", with_entries(confidence="certain"), says="{file}: there is no confidence 'certain'"),
    Trick("own-mark", with_entries(mark=100), says="{file}: there is no entry 'mark' (allowed: version"),
    Trick("passed", with_entries(passed=True), says="{file}: there is no entry 'passed'"),
    Trick(
        "cited-outside", with_entries(cited=[-1]), says="{file}: 'cited' names -1, which is no finding of the record"
    ),
    Trick("cited-far-outside", with_entries(cited=[10**300]), says="which is no finding of the record"),
]
