"""Ambiguity groups in marking: naming any member is right, and luck inside the group decides no mark but the proof."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from faultwright.bench import Bench
from faultwright_autograde.blueprint import Blueprint
from faultwright_autograde.case import Case
from faultwright_autograde.draws import Draws
from faultwright_autograde.mark import Mark
from faultwright_autograde.paper import fixed_case
from faultwright_autograde.simulated.habits import play
from tests.autograde.gate import PROOF, Answer, mark_json

ONE, OTHER = "B1:1 re-terminate", "B1:2 re-terminate"


@pytest.fixture(scope="module")
def open_pin(blueprint: Blueprint) -> Case:
    """Return a case whose group is B1:1 open and B1:2 open, which need remedies at different places."""
    return fixed_case(blueprint, "B1:1 open", "bench-3")


@pytest.fixture(scope="module")
def mark_repairs(open_pin: Case) -> Callable[[str, str, Sequence[str]], Mark]:
    """Return a function that marks a good diagnosis with this claim and remedy, after these repairs and the proof."""
    answer: Answer = play(open_pin, "methodical", Draws(b"luck", "x"), {})
    actions = answer["record"]["actions"]
    first = next(number for number, action in enumerate(actions) if action.get("move", "").startswith("repair="))

    def mark_it(claim: str, remedy: str, repairs: Sequence[str]) -> Mark:
        bench = Bench(open_pin.circuit, [open_pin.fault])
        for action in actions[:first]:
            if "move" in action:
                bench.move(action["move"])
        for move in ("rest", "unplug=G1", *(f"repair={repair}" for repair in repairs), "rest"):
            bench.move(move)
        for move in PROOF:
            bench.move(move)
            bench.observe()
        moves = [action for action in bench.as_json()["actions"] if "read" not in action]
        begun = sum("move" in action for action in actions[:first])
        record = answer["record"] | {"actions": [*actions[:first], *moves[begun:]]}
        cited = [number for number in answer["cited"] if number < first]
        return mark_json(
            answer | {"record": record, "claim": [claim], "remedy": remedy, "cited": cited, "calculation": "1.75 A"},
            open_pin,
        )

    return mark_it


Marker = Callable[[str, str, Sequence[str]], Mark]


@pytest.mark.parametrize("claim", ["B1:1 open", "B1:2 open"])
@pytest.mark.parametrize("remedy", [ONE, OTHER])
def test_trial_repairs_that_end_in_proof_count_in_full(mark_repairs: Marker, claim: str, remedy: str) -> None:
    """Whichever member is named and mended first, trial repairs that end in a sound machine are right and pass."""
    mark = mark_repairs(claim, remedy, [OTHER, ONE])
    assert mark.by_name["remedy"].mark == 10
    assert mark.by_name["proof"].mark == 10
    assert mark.passed


def test_the_verdict_quotes_the_claim(mark_repairs: Marker) -> None:
    """Feedback says which claim it was that names the group, and what was there."""
    verdict = mark_repairs("B1:2 open", OTHER, [OTHER, ONE]).by_name["diagnosis"].verdict
    assert verdict.startswith("The claim B1:2 open names the group of the fault that was there, B1:1 open, and")
    own = mark_repairs("B1:1 open", ONE, [ONE]).by_name["diagnosis"].verdict
    assert own.startswith("B1:1 open is named, and complaint and findings leave nothing else.")


def test_who_stops_at_the_other_member_keeps_the_remedy_but_proves_nothing(mark_repairs: Marker) -> None:
    """Mending one pin of two is right for the group; the machine still fails, so there is no proof and no pass."""
    mark = mark_repairs("B1:2 open", OTHER, [OTHER])
    assert mark.by_name["diagnosis"].mark == 25
    assert mark.by_name["remedy"].mark == 10
    assert mark.by_name["remedy"].verdict == (
        "B1:2 re-terminate cures B1:2 open, which no finding tells from the fault that was there, B1:1 open: right for "
        "the group. The complaint stays all the same; repeating it, as the proof asks, would have told."
    )
    assert mark.by_name["proof"].mark == 0
    assert mark.hurdles == ("Less than 75 % of the proof was shown.",)


def test_a_member_that_is_not_claimed_needs_the_cure(mark_repairs: Marker) -> None:
    """With a wrong claim a remedy for another member is luck, unless the record ends in a sound machine."""
    assert mark_repairs("P1 open", OTHER, [OTHER]).by_name["remedy"].mark == 0
    assert mark_repairs("P1 open", OTHER, [OTHER, ONE]).by_name["remedy"].mark == 10


def test_a_sound_place_outside_the_group_still_costs_half(mark_repairs: Marker) -> None:
    """Trial repairs are free within the group only."""
    mark = mark_repairs("B1:2 open", OTHER, ["F1 replace", OTHER, ONE])
    assert mark.by_name["remedy"].mark == 5
    assert "Sound places were repaired on suspicion too (F1): half." in mark.by_name["remedy"].verdict


def test_a_remedy_outside_the_group_is_wrong_even_on_a_sound_machine(mark_repairs: Marker) -> None:
    """What cured in the end does not make another remedy right."""
    assert mark_repairs("B1:1 open", "F1 replace", [ONE]).by_name["remedy"].mark == 0


def test_claiming_a_fault_that_comes_and_goes_is_wrong_and_no_bug(mark_repairs: Marker) -> None:
    """A fault that is there only when disturbed is in no group of permanent faults; the rest is marked as ever."""
    mark = mark_repairs("B1:1 open when disturbed", ONE, [ONE])
    assert mark.by_name["diagnosis"].mark == 0
    assert mark.by_name["evidence"].mark == 25
    assert mark.by_name["remedy"].mark == 10
