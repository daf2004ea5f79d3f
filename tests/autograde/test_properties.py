"""Laws of marking, over answers and records that nobody chose."""

from __future__ import annotations

import copy
import random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultwright.bench import Bench
from faultwright.candidates import voltage_probes
from faultwright.faults import universe
from faultwright.meter import Probe
from faultwright_autograde.case import Case
from tests.autograde.gate import Answer, mark_json, right_answer

FEW = settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])

MOVES = ("key=on", "key=off", "gate=open", "gate=shut", "unplug=P1", "mate=P1", "unplug=G1", "rest", "load=P1:1,FRAME")


def record_of(case: Case, steps: list[str | int], faults: bool = True) -> Answer:  # noqa: FBT001, FBT002
    """Return a truthful record: text is a move, a number a reading, one below 0 a look."""
    bench = Bench(case.circuit, [case.fault] if faults else [])
    probes: list[Probe] = list(voltage_probes(case.circuit))
    for step in steps:
        if isinstance(step, str):
            bench.move(step)
        elif step < 0:
            bench.observe()
        else:
            bench.read(probes[step % len(probes)])
    return bench.as_json()


STEPS = st.lists(st.sampled_from(MOVES) | st.integers(-1, 40), max_size=9)


@FEW
@given(steps=STEPS, data=st.data())
def test_no_mark_is_above_its_maximum(case: Case, steps: list[str | int], data: st.DataObject) -> None:
    """Whatever is claimed, cited, computed and named, each criterion stays between nothing and its weight."""
    record = record_of(case, steps, data.draw(st.booleans()))
    findings = [number for number, action in enumerate(record["actions"]) if "move" not in action]
    names = list(universe(case.circuit))
    answer = right_answer(case) | {
        "record": record,
        "claim": data.draw(st.lists(st.sampled_from(names), max_size=6)),
        "cited": data.draw(st.lists(st.sampled_from(findings), max_size=6)) if findings else [],
        "calculation": data.draw(st.sampled_from(["1.75 A", "1.75 mA", "", "-1.7 A", "0 A", "7 V"])),
        "remedy": data.draw(st.sampled_from(["", "W4 mend the wire", "F1 replace"])),
    }
    mark = mark_json(answer, case)
    assert 0 <= mark.mark <= mark.maximum == 100
    assert all(0 <= criterion.mark <= criterion.maximum for criterion in mark.criteria)


@settings(FEW, max_examples=3)
@given(seed=st.integers(0, 10**6))
def test_the_order_of_citing_does_not_matter(case: Case, seed: int) -> None:
    """The same findings cited in any order, and twice, earn the same."""
    answer = right_answer(case)
    cited = [1, 3, 4, 5, 6]
    other = [*cited, 4]
    random.Random(seed).shuffle(other)  # noqa: S311 - no secret
    one, two = mark_json(answer | {"cited": cited}, case), mark_json(answer | {"cited": other}, case)
    assert one.as_json() == two.as_json()


@FEW
@given(steps=STEPS, more=st.lists(st.integers(-1, 40), min_size=1, max_size=3))
def test_a_truthful_finding_never_lowers_the_diagnosis(case: Case, steps: list[str | int], more: list[int]) -> None:
    """Who measures more, truthfully, never loses marks for diagnosis or evidence."""
    few = right_answer(case) | {"record": record_of(case, steps), "cited": []}
    many = copy.deepcopy(few) | {"record": record_of(case, [*steps, *more])}
    before, after = mark_json(few, case), mark_json(many, case)
    for criterion in ("diagnosis", "evidence"):
        assert after.by_name[criterion].mark >= before.by_name[criterion].mark
    assert not after.for_a_person


@FEW
@given(steps=STEPS)
def test_the_fault_that_was_there_is_never_cleared(case: Case, steps: list[str | int]) -> None:
    """A truthful record leaves the fault among what is left, so a claim of everything is never wrong."""
    answer = right_answer(case) | {"record": record_of(case, steps), "cited": [], "claim": list(universe(case.circuit))}
    mark = mark_json(answer, case)
    assert mark.by_name["diagnosis"].mark > 0
    assert "does not hold the fault" not in mark.by_name["diagnosis"].verdict
