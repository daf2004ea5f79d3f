"""Laws of marking over answers that were tampered with at random."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright_autograde.case import Case
from faultwright_autograde.handed_in import mark_handed_in
from faultwright_autograde.mark import Mark
from tests.autograde.gate import Answer, right_answer
from tests.autograde.tampering import places, tampered
from tests.autograde.test_properties import FEW

MANY = settings(FEW, max_examples=300)


def marked(answer: Any, case: Case) -> Mark:  # noqa: ANN401 - JSON
    """Mark an answer as it is handed in, from its text."""
    return mark_handed_in(case, "bench-1.json", lambda: json.dumps(answer, ensure_ascii=False))


@MANY
@given(data=st.data())
def test_marking_never_breaks_and_no_mark_is_above_its_maximum(case: Case, whole: Answer, data: st.DataObject) -> None:
    """Whatever was changed, the answer is marked or refused in words, each criterion within its weight."""
    mark = marked(tampered(whole, data.draw), case)
    told = " ".join([*mark.hurdles, *mark.remarks])
    assert "marking stopped" not in told
    assert 0 <= mark.mark <= mark.maximum == 100
    assert all(0 <= criterion.mark <= criterion.maximum for criterion in mark.criteria)
    assert mark.answer in ("marked", "unreadable", "another's paper")
    assert mark.answer == "marked" or (mark.mark == 0 and mark.hurdles and not mark.passed)


@pytest.fixture(scope="module")
def whole(case: Case) -> Answer:
    """Return an answer with everything in it, which no test changes."""
    return right_answer(case)


def readings(answer: Answer) -> list[int]:
    """Return the numbers of the readings that show a number."""
    actions = answer["record"]["actions"]
    return [number for number, action in enumerate(actions) if isinstance(action.get("read", {}).get("value"), float)]


@MANY
@given(data=st.data())
def test_changing_what_was_found_never_gains(case: Case, whole: Answer, data: st.DataObject) -> None:
    """A value that was changed gains no mark for any criterion; a change beyond its tolerance is reported."""
    answer = copy.deepcopy(whole)
    for number in data.draw(st.lists(st.sampled_from(readings(answer)), min_size=1, unique=True)):
        answer["record"]["actions"][number]["read"]["value"] = data.draw(st.floats(-900, 900))
    mark, honest = marked(answer, case), marked(whole, case)
    for criterion in mark.criteria:
        assert criterion.mark <= honest.by_name[criterion.name].mark
    assert mark.criteria == honest.criteria or mark.for_a_person


@MANY
@given(data=st.data())
def test_taking_findings_out_never_gains(case: Case, whole: Answer, data: st.DataObject) -> None:
    """A record with fewer findings earns no more; moves stay, so what is left is still true."""
    actions = whole["record"]["actions"]
    found = [number for number, action in enumerate(actions) if "move" not in action]
    gone = data.draw(st.sets(st.sampled_from(found), min_size=1))
    kept = [number for number in range(len(actions)) if number not in gone]
    answer = copy.deepcopy(whole)
    answer["record"]["actions"] = [actions[number] for number in kept]
    answer["cited"] = [kept.index(number) for number in whole["cited"] if number in kept]
    mark, honest = marked(answer, case), marked(whole, case)
    for name in ("diagnosis", "evidence", "proof", "safety"):
        assert mark.by_name[name].mark <= honest.by_name[name].mark
    assert not mark.for_a_person


@MANY
@given(data=st.data())
def test_what_is_not_marked_changes_nothing(case: Case, whole: Answer, data: st.DataObject) -> None:
    """Confidence, notes, expectations, remarks, what was asked and what was inspected earn and cost nothing."""
    answer = copy.deepcopy(whole)
    answer["confidence"] = data.draw(st.sampled_from(["", "guess", "fairly", "would sign for it"]))
    answer["notes"] = {data.draw(st.text(max_size=5)): data.draw(st.text(max_size=5))}
    for number in readings(answer):
        answer["record"]["actions"][number]["read"] |= {
            "expected": data.draw(st.none() | st.floats(-1e6, 1e6)),
            "note": data.draw(st.text(max_size=5)),
        }
    more = [
        {"ask": {"question": "Well?", "answer": data.draw(st.text(max_size=5))}},
        {"inspect": {"at": "W4", "seen": ""}},
    ]
    answer["record"]["actions"] += more
    one, other = marked(answer, case), marked(whole, case)
    assert (one.criteria, one.hurdles, one.remarks) == (other.criteria, other.hurdles, other.remarks)


def test_there_is_something_to_tamper_with(whole: Answer) -> None:
    """The answer that the laws are tried on has a hundred places, readings among them."""
    assert len(list(places(whole))) > 100
    assert len(readings(whole)) >= 4
