"""Practice without end: cases follow from their names, come by what was missed, and are marked and noted once."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import pytest

from faultwright.errors import Refused
from faultwright_autograde.draws import Draws
from faultwright_autograde.pool import is_safe, is_shown
from faultwright_autograde.simulated.habits import play
from faultwright_course.endless import Practice, next_case
from faultwright_course.endless_cases import FAMILIES, case_of, circuits, family_of
from faultwright_course.progress import Progress, read_progress

ONLY = ("compressor",)


def test_a_case_follows_from_its_name() -> None:
    """The same name gives the same fault and complaint; the complaint shows it and it could be set up safely."""
    for number in range(6):
        case = case_of(f"practice-compressor-{number}")
        assert str(case_of(f"practice-compressor-{number}").fault) == str(case.fault)
        assert is_shown(case.circuit, case.fault, case.blueprint.complaint)
        assert is_safe(case.circuit, case.fault)
        assert not re.search(rf"\b{re.escape(case.fault.place)}\b", case.blueprint.complaint.text)


def test_every_circuit_gives_cases() -> None:
    """Whatever comes next can be opened, where a contactor holds itself in as well: the complaint shows the fault."""
    for name in circuits():
        for number in range(12):
            case = case_of(f"practice-{name}-{number}")
            assert is_shown(case.circuit, case.fault, case.blueprint.complaint), case.paper


def test_an_unknown_case_is_refused() -> None:
    """A name of another form, or of a circuit that is not there, says what is allowed."""
    with pytest.raises(Refused, match="they are called practice-CIRCUIT-NUMBER"):
        case_of("compressor-3")
    with pytest.raises(Refused, match="did you mean 'compressor'"):
        case_of("practice-compresor-3")


def test_every_circuit_of_a_handy_size_is_practised() -> None:
    """Circuits with too many control states for a complaint by the whole table are left to their lesson."""
    assert {"compressor", "runabout"} <= set(circuits())


def families(progress: Progress, count: int = 60) -> Counter[str]:
    """Return how often each kind of fault comes in the next cases."""
    found: Counter[str] = Counter()
    for _ in range(count):
        found[family_of(next_case(progress, ONLY))] += 1
        progress.cases += 1
    return found


def test_kinds_are_mixed_and_what_was_missed_comes_more_often(tmp_path: Path) -> None:
    """With nothing known all kinds come; one that is always missed comes most, and none stays away."""
    fresh = families(Progress(tmp_path / "progress.json"))
    assert set(fresh) == set(FAMILIES)
    known = Progress(tmp_path / "progress.json", {family: [True] * 8 for family in FAMILIES})
    known.skills["a short"] = [False] * 8
    missed = families(known)
    assert missed.most_common(1)[0][0] == "a short"
    assert missed["a short"] > fresh["a short"]
    assert set(missed) == set(FAMILIES)


def test_a_case_is_opened_marked_and_noted_once(tmp_path: Path) -> None:
    """Next case, the work of somebody methodical, mark: the mark and its reasons show, the progress has it once."""
    practice = Practice(tmp_path, ONLY)
    assert practice.opened is None
    practice.go_on()
    progress = read_progress(tmp_path)
    case = case_of(progress.case)
    assert progress.cases == 1
    practice.mark()
    assert "no answer yet" in practice.view.children[3].value
    answer = play(case, "methodical", Draws(b"only for this test", "1"), {})
    practice.answer_file(progress.case).write_text(json.dumps(answer), encoding="utf-8")
    practice.mark()
    assert "diagnosis" in practice.view.children[3].value.lower()
    noted = read_progress(tmp_path)
    assert noted.skills[family_of(case.paper)] == [True]
    assert noted.skills["diagnosis"] == [True]
    practice.mark()
    assert read_progress(tmp_path).skills == noted.skills
    assert "diagnosis" in practice.view.children[4].value


def test_an_answer_that_cannot_be_used_is_not_noted(tmp_path: Path) -> None:
    """A broken file, NaN, another case's answer: told, not noted, and the case can still be marked."""
    practice = Practice(tmp_path, ONLY)
    practice.go_on()
    case = case_of(read_progress(tmp_path).case)
    right = play(case, "methodical", Draws(b"only for this test", "1"), {})
    for content in ("{", '{"version": NaN}', json.dumps(right | {"paper": "practice-compressor-9"})):
        practice.answer_file(case.paper).write_text(content, encoding="utf-8")
        practice.mark()
        assert "could not be used" in practice.view.children[3].value, content
        assert read_progress(tmp_path).skills == {}
    practice.answer_file(case.paper).write_text(json.dumps(right), encoding="utf-8")
    practice.mark()
    assert "is in your progress" in practice.view.children[3].value


def test_practice_is_taken_up_again(tmp_path: Path) -> None:
    """After a restart the case that was open is open again."""
    first = Practice(tmp_path, ONLY)
    first.go_on()
    again = Practice(tmp_path, ONLY)
    assert again.opened is not None
    assert first.opened is not None
    assert again.opened.bench.record == first.opened.bench.record
    assert read_progress(tmp_path).cases == 1
