"""Checking one's own answer: what is told, and that nothing of the fault can be."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from faultwright.errors import Refused
from faultwright.faults import universe
from faultwright_autograde.blueprint import Blueprint
from faultwright_autograde.case import Case
from faultwright_autograde.paper import fixed_case
from faultwright_autograde.self_check import check_yourself
from tests.autograde.gate import DECIDING, HALF, PROOF, REPAIR, right_answer, worked


def told(case: Case, folder: Path, **entries: Any) -> list[str]:  # noqa: ANN401 - entries of the answer's JSON
    """Return what is told of the right answer with some entries changed."""
    path = folder / "answer.json"
    path.write_text(json.dumps(right_answer(case) | entries), encoding="utf-8")
    return check_yourself(path, case)


def test_a_right_answer_lacks_nothing(case: Case, tmp_path: Path) -> None:
    """It says what is there, and still not whether the number is right."""
    lines = told(case, tmp_path)
    assert lines[1:] == [
        "Claim: it names everything that your findings leave.",
        "Calculation: 1.75 A can be read. Whether it is right is not said here: check its size.",
        "Proof: all 8 permissions and refusals were seen after the last repair.",
    ]
    assert lines[0].endswith("your findings one. That is enough.")


def test_a_blank_answer_is_told_all_that_is_missing(case: Case, tmp_path: Path) -> None:
    """One line for each thing, with what to do next."""
    blank = {
        "record": worked(case, ()), "claim": [], "cited": [], "calculation": "", "continuity": {}, "remedy": "",
    }  # fmt: skip
    words = told(case, tmp_path, **blank)
    for begin in (
        "Evidence: ",
        "Claim: no fault",
        "Citing: no",
        "Calculation: not",
        "Continuity: feed",
        "Remedy: none",
    ):
        assert any(line.startswith(begin) for line in words), begin
    assert words[-1] == "Proof: nothing was repaired, so nothing is proved."


def test_what_is_half_done_is_told(case: Case, tmp_path: Path) -> None:
    """A narrow claim, one that findings speak against, a jumper, half a proof, a live circuit, another unit."""
    half = {"record": worked(case, HALF), "cited": [4]}
    assert any("more groups that you do not name" in line for line in told(case, tmp_path, **half))
    assert "Claim: your own findings speak against W3 open." in told(case, tmp_path, claim=["W3 open"])
    assert any(line.startswith("Remedy: a jumper") for line in told(case, tmp_path, remedy="W4 jumper"))
    assert any("does not cure any fault that you name" in line for line in told(case, tmp_path, remedy="S1 clean"))
    short = {"record": worked(case, DECIDING, (*REPAIR, *PROOF[:2]))}
    assert any(" of 8 permissions and refusals were seen after" in line for line in told(case, tmp_path, **short))
    live = {"record": worked(case, (*DECIDING, ("ohms", "B1:1", "B1:2")), (*REPAIR, *PROOF))}
    assert any("ohms on a circuit that was live" in line for line in told(case, tmp_path, **live))
    assert any("1.75 V" in line for line in told(case, tmp_path, calculation="1.75 V"))


def test_nothing_of_the_fault_is_told(blueprint: Blueprint, tmp_path: Path) -> None:
    """Whatever fault is in the machine: for the same answer the words are the same, letter for letter."""
    cases = []
    for name in universe(blueprint.circuit):
        try:
            cases.append(fixed_case(blueprint, name))
        except Refused:
            continue  # the complaint does not show it
    first = cases[0]
    alike = [one for one in cases if one.complaint == first.complaint]
    assert len({one.fault.name for one in alike}) > 5
    path = tmp_path / "answer.json"
    for record in (worked(first, ()), worked(first, HALF), worked(first, DECIDING, (*REPAIR, *PROOF))):
        path.write_text(json.dumps(right_answer(first) | {"record": record, "cited": []}), encoding="utf-8")
        assert len({tuple(check_yourself(path, one)) for one in alike}) == 1


def test_another_exercises_answer_is_refused(case: Case, tmp_path: Path) -> None:
    """With both names."""
    with pytest.raises(Refused, match="the answer is for paper 'fence'; this exercise is 'gate'"):
        told(case, tmp_path, paper="fence")
