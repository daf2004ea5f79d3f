"""Marked records: what each way of answering earns, and the finding or number that its verdict quotes."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable

import pytest

from faultwright import __version__
from faultwright.bench import Bench
from faultwright.meter import Probe
from faultwright.record import parse_record
from faultwright.suspects import find_suspects
from faultwright_autograde.blueprint import Blueprint
from faultwright_autograde.case import Case
from faultwright_autograde.draws import Draws
from faultwright_autograde.mark import Mark
from faultwright_autograde.pages import feedback_page
from faultwright_autograde.paper import fixed_case
from faultwright_autograde.simulated.habits import play
from tests.autograde.gate import DECIDING, HALF, PROOF, REPAIR, Answer, mark_json, worked

Marker = Callable[[Answer], Mark]


def test_right_and_proved_earns_everything(marked: Marker, right: Answer) -> None:
    """The methodical answer earns full marks, and each verdict quotes what decided."""
    mark = marked(right)
    assert (mark.mark, mark.maximum, mark.passed, mark.for_a_person) == (100, 100, True, False)
    told = {criterion.name: criterion.verdict for criterion in mark.criteria}
    assert told["diagnosis"] == (
        "W4 resistance 9 Ω is named, and complaint and findings leave nothing else. What cleared most: "
        "finding 5: volts B1:1 to FRAME shows 12.27 V (key=on, gate=open) (13 suspects)."
    )
    assert told["evidence"] == (
        "17 suspects after the complaint, 1 left by the findings (what no test tells apart counts as one; "
        "1 − ln 1 / ln 17 = 1.00)."
    )
    assert told["calculation"] == "1.75 A agrees with 1.75 A (as the meter shows it) within 5 %."
    assert told["continuity"] == "feed: 'key=on and gate=open' holds in all 4 control states."
    assert told["remedy"] == "W4 mend the wire cures W4 resistance 9 Ω."
    assert told["proof"] == (
        "After the repair, 8 of 8 permissions and refusals were seen. "
        "Not counted: 1 with something bridged, loaded, unplugged or substituted."
    )
    assert told["safety"] == "Nothing unsafe in the record."


def test_a_blank_answer_earns_nothing(marked: Marker, case: Case) -> None:
    """Where nothing was done nothing was done safely either; each part says what is missing."""
    blank = {
        "version": 1, "circuit": "gate-lamp", "paper": "gate", "record": {"circuit": "gate-lamp", "actions": []},
        "claim": [], "cited": [], "calculation": "", "continuity": {}, "remedy": "", "confidence": "",
    }  # fmt: skip
    mark = marked(blank)
    assert {criterion.name: criterion.mark for criterion in mark.criteria if criterion.mark} == {}
    assert not mark.passed
    assert len(mark.hurdles) == 3
    assert case.candidate == mark.candidate


def test_a_lucky_guess_does_not_pass(marked: Marker, case: Case) -> None:
    """A right name without proof counts as one of all that is left, and nothing gets it over the hurdles."""
    mark = marked(play(case, "lucky-guesser", Draws(b"luck", "x"), {}))
    assert mark.by_name["diagnosis"].mark == 1.5  # 25 / 17 to the nearest half mark
    assert mark.by_name["evidence"].mark == 0
    assert mark.by_name["remedy"].mark == 10
    assert not mark.passed
    assert "A right name without proof counts as one of 17." in mark.by_name["diagnosis"].verdict


def test_a_lucky_guess_with_the_rest_right_does_not_pass_either(marked: Marker, case: Case, right: Answer) -> None:
    """All that a guesser can look up or show afterwards is no evidence: the hurdle of the diagnosis stays."""
    record = worked(case, [], (*REPAIR, *PROOF))
    mark = marked(right | {"record": record, "cited": [1]})
    assert mark.by_name["proof"].mark == 10
    assert mark.hurdles[-1] == "The fault is not named with proof that leaves nothing else."
    assert not mark.passed


def test_a_wrong_claim_earns_no_diagnosis_but_keeps_its_evidence(marked: Marker, right: Answer) -> None:
    """Good measurements with a wrong conclusion: evidence counts, diagnosis does not."""
    mark = marked(right | {"claim": ["W3 open"]})
    assert mark.by_name["diagnosis"].mark == 0
    assert mark.by_name["evidence"].mark == 25
    assert mark.by_name["diagnosis"].verdict.endswith("does not hold the fault that was there: W4 resistance 9 Ω.")
    assert not mark.passed


def test_a_true_claim_that_is_too_wide_earns_in_proportion(marked: Marker, right: Answer) -> None:
    """Of four groups claimed, one is right: a quarter, to the nearest half mark."""
    mark = marked(right | {"claim": ["W4 resistance", "W3 open", "W2 open", "P1 open"]})
    assert mark.by_name["diagnosis"].mark == 6.5


def test_claiming_all_that_is_left_is_justified(marked: Marker, case: Case, right: Answer) -> None:
    """Who says honestly what the findings leave is justified, and earns in proportion."""
    record = worked(case, HALF)
    one = marked(right | {"record": record, "cited": [4], "claim": ["W4 resistance"]})
    left = find_suspects(case.circuit, parse_record(record, case.circuit)).names
    many = marked(right | {"record": record, "cited": [4], "claim": left})
    assert "The fault is not named with proof that leaves nothing else." in one.hurdles
    assert "The fault is not named with proof that leaves nothing else." not in many.hurdles
    assert one.by_name["diagnosis"].mark == many.by_name["diagnosis"].mark == 3.5  # 25 / 7


def test_a_member_of_the_same_group_is_right(blueprint: Blueprint) -> None:
    """Faults that no test tells apart count as one: naming either is full marks."""
    case = fixed_case(blueprint, "B1:1 open", "bench-3")
    answer = play(case, "methodical", Draws(b"luck", "x"), {})
    assert {"B1:1 open", "B1:2 open"} <= set(answer["claim"])
    for name in ("B1:1 open", "B1:2 open"):
        mark = mark_json(answer | {"claim": [name]}, case)
        assert mark.by_name["diagnosis"].mark == 25
        assert mark.passed


def test_a_tampered_reading_is_named_and_does_not_count(marked: Marker, right: Answer) -> None:
    """A reading that this machine could not have shown is named with what it would have shown, and fails the paper."""
    right["record"]["actions"][6]["read"]["value"] = 9.88
    mark = marked(right)
    assert mark.remarks[0] == (
        "finding 7: volts P1:1 to FRAME shows 9.88 V (key=on, gate=open); this machine would have shown 5.285 V. "
        "Neither it nor what rests on it counts."
    )
    assert mark.by_name["evidence"].mark < 25
    assert not mark.passed
    assert mark.for_a_person


def test_claiming_a_real_meter_does_not_widen_the_tolerance(marked: Marker, right: Answer) -> None:
    """A neighbour's reading within ten per cent is forged here, whatever its source is said to be."""
    right["record"]["actions"][6]["read"] |= {"value": 5.6, "source": "bench"}
    mark = marked(right)
    assert mark.for_a_person
    assert not mark.passed


def test_a_neighbours_record_does_not_pass(case: Case, neighbour: Case, right: Answer) -> None:
    """The same place and mode with another value shows in the readings: the record is another machine's."""
    mark = mark_json(right, neighbour)
    assert mark.for_a_person
    assert mark.by_name["diagnosis"].mark < 25
    assert not mark.passed
    assert any("this machine would have shown" in remark for remark in mark.remarks)
    assert case.circuit == neighbour.circuit


def test_an_answer_to_another_paper_earns_nothing(marked: Marker, right: Answer) -> None:
    """The paper's number is the candidate's own."""
    mark = marked(right | {"paper": "gate-12345678"})
    assert mark.mark == 0
    assert mark.hurdles == (
        "The answer cannot be used: the answer is for paper 'gate-12345678'; this candidate's paper is 'gate'",
    )


def test_an_unusable_answer_earns_nothing_and_says_why(marked: Marker, right: Answer) -> None:
    """A broken answer fails closed with its reason."""
    mark = marked(right | {"claim": ["W4 opened"]})
    assert (mark.mark, mark.maximum, mark.passed) == (0, 100, False)
    assert "did you mean 'W4 open'?" in mark.hurdles[0]


@pytest.mark.parametrize("remedy", ["W4 mend the wire", "W4 replace the wire"])
def test_each_remedy_of_the_mode_cures(marked: Marker, right: Answer, remedy: str) -> None:
    """What the trade does about this mode at this place is right."""
    assert marked(right | {"remedy": remedy}).by_name["remedy"].mark == 10


@pytest.mark.parametrize("remedy", ["", "W3 mend the wire", "W4 insulate and reroute the wire"])
def test_another_remedy_does_not(marked: Marker, right: Answer, remedy: str) -> None:
    """Another place, or a remedy for another mode, earns nothing."""
    assert marked(right | {"remedy": remedy}).by_name["remedy"].mark == 0


def test_a_new_fuse_is_no_remedy_while_the_short_remains(blueprint: Blueprint) -> None:
    """The remedy must cure the cause: the fuse blew because a wire is shorted."""
    case = fixed_case(blueprint, "W4 shorted to ground", "bench-4")
    answer = play(case, "methodical", Draws(b"luck", "x"), {})
    good = mark_json(answer, case)
    bad = mark_json(answer | {"remedy": "F1 replace"}, case)
    assert good.passed
    assert bad.by_name["remedy"].mark == 0
    assert "W4 insulate and reroute the wire" in bad.by_name["remedy"].verdict


def test_parts_changed_on_suspicion_cost_half_the_remedy(marked: Marker, case: Case, right: Answer) -> None:
    """Sound places that were repaired too are named, and halve the mark."""
    record = worked(case, DECIDING, ("unplug=G1", "repair=F1 replace", "repair=W4 mend the wire", "rest"))
    mark = marked(right | {"record": record, "cited": [4]})
    assert mark.by_name["remedy"].mark == 5
    assert "Sound places were repaired on suspicion too (F1): half." in mark.by_name["remedy"].verdict


def test_findings_after_the_repair_are_no_evidence(marked: Marker, case: Case, right: Answer) -> None:
    """Repairing on suspicion and measuring afterwards does not make a diagnosis."""
    first = ("unplug=G1", "repair=W4 mend the wire", "rest", "key=on", "gate=open")
    bench = Bench(case.circuit, [case.fault])
    for move in first:
        bench.move(move)
    for mode, red, black in DECIDING:
        bench.read(Probe(mode, red, black))
    mark = marked(right | {"record": bench.as_json(), "cited": [5]})
    assert mark.by_name["evidence"].mark == 0
    assert mark.by_name["citing"].mark == 0
    assert "Findings after the repair of W4 belong to the proof, not to the evidence." in mark.remarks


def test_asking_and_looking_earn_and_cost_nothing(marked: Marker, case: Case, right: Answer) -> None:
    """Questions and inspections all along leave the mark as it is; they are no findings, so none can be cited."""
    told = [
        {"ask": {"question": "Since when?", "answer": "Since the frost."}},
        {"inspect": {"at": "B1", "seen": "a snail"}},
    ]
    plain = marked(right)
    right["record"]["actions"] = [one for action in right["record"]["actions"] for one in (*told, action)]
    right["cited"] = [3 * number + 2 for number in right["cited"]]
    mark = marked(right)
    assert (mark.mark, mark.passed, mark.remarks) == (plain.mark, plain.passed, plain.remarks)
    assert mark.mark == 100
    assert not any(word in feedback_page(mark, case) for word in ("frost", "snail"))
    for told_only in (0, 1):
        refused = marked(right | {"cited": [told_only]})
        assert f"'cited' names {told_only}, which is no finding of the record" in refused.hurdles[0]


def test_citing_what_clears_nothing_earns_nothing(marked: Marker, right: Answer) -> None:
    """To cite the repeated complaint is not to cite what decided; some of what decided earns a part."""
    assert marked(right | {"cited": [1, 3]}).by_name["citing"].mark == 0
    assert 0 < marked(right | {"cited": [4]}).by_name["citing"].mark < 5
    assert marked(right | {"cited": [4, 5, 6, 7]}).by_name["citing"].mark == 5


def test_a_jumper_does_not_prove(marked: Marker, case: Case, right: Answer) -> None:
    """A look at a bridged machine shows nothing about the repair."""
    moves = ("unplug=G1", "repair=W4 mend the wire", "rest", "bridge=S1:1,S1:2", "gate=open")
    mark = marked(right | {"record": worked(case, DECIDING, moves)})
    assert "Not counted: 3 with something bridged" in mark.by_name["proof"].verdict
    assert mark.by_name["proof"].mark < 10


def test_a_jumper_across_the_guard_fails_the_paper(marked: Marker, case: Case, right: Answer) -> None:
    """A defeated guard is critical whatever else is right, and goes to a person."""
    actions = [*right["record"]["actions"], {"move": "bridge=B1:1,B1:2"}]
    mark = marked(right | {"record": right["record"] | {"actions": actions}})
    assert mark.mark == 95
    assert not mark.passed
    assert mark.for_a_person
    assert mark.hurdles == ("A critical act against safety fails the paper; a person must look at it.",)
    assert case.blueprint.safety_switches == ("B1",)


def test_ohms_on_a_live_circuit_lose_the_safetymark_json(marked: Marker, case: Case, right: Answer) -> None:
    """Serious, not critical: the mark is lost, the paper is not."""
    actions = copy.deepcopy(right["record"]["actions"])
    bench = Bench(case.circuit, [case.fault])
    for action in actions[:4]:
        if "move" in action:
            bench.move(action["move"])
    bench.read(Probe("ohms", "P1:1", "P1:2"))
    actions.insert(4, bench.as_json()["actions"][-1])
    cited = [number + 1 for number in right["cited"]]
    mark = marked(right | {"record": right["record"] | {"actions": actions}, "cited": cited})
    assert mark.by_name["safety"].mark == 0
    assert mark.by_name["safety"].verdict == "serious: finding 5: ohms taken while the circuit was energised"
    assert mark.passed


def test_a_mark_says_what_it_was_made_with(marked: Marker, case: Case, right: Answer) -> None:
    """Hashes of circuit and rubric and the versions are in the mark, and the same answer gives the same bytes."""
    one, other = marked(right), marked(copy.deepcopy(right))
    made = one.as_json()["made_with"]
    assert made["circuit_sha256"] == case.circuit_sha256
    assert made["rubric_sha256"] == case.blueprint.rubric.sha256()
    assert made["solver"] == __version__
    assert json.dumps(one.as_json()) == json.dumps(other.as_json())
