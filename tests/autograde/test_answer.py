"""The answer's reader: strict, capped, and never a traceback."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from faultwright.errors import Refused
from faultwright_autograde.answer import read_answer
from faultwright_autograde.case import Case


def refusal(tmp_path: Path, case: Case, content: bytes) -> str:
    """Return the message with which a file of this content is refused."""
    path = tmp_path / "bench-1.json"
    path.write_bytes(content)
    with pytest.raises(Refused) as refused:
        read_answer(path, case.circuit)
    return str(refused.value)


def test_a_right_answer_is_read(tmp_path: Path, case: Case, right: dict[str, Any]) -> None:
    """Reading gives what the JSON holds, the record included."""
    path = tmp_path / "bench-1.json"
    path.write_text(json.dumps(right), encoding="utf-8")
    answer = read_answer(path, case.circuit)
    assert answer.claim == ("W4 resistance",)
    assert answer.paper == "gate"
    assert len(answer.record.actions) == len(right["record"]["actions"])


def test_a_claim_with_a_value_is_the_fault_by_name(tmp_path: Path, case: Case, right: dict[str, Any]) -> None:
    """Who names the value too claims the same fault."""
    path = tmp_path / "bench-1.json"
    path.write_text(json.dumps(right | {"claim": ["W4 resistance 9 Ω"]}), encoding="utf-8")
    assert read_answer(path, case.circuit).claim == ("W4 resistance",)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "not whole JSON"),
        (b"[]", "an answer is a table"),
        (b'{"version": 1', "not whole JSON"),
        (b'{"version": NaN}', "NaN is not a number"),
        (b'{"version": 1e999}', "not a number that can be used"),
        (b'{"version": 1, "version": 1}', "given twice"),
        (b"[" * 200_000, "nested too deep"),
        (b"\xff\xfe\x00{", "not UTF-8"),
        (b" " * 1_000_001, "larger than 1,000,000 bytes"),
        (b'{"version": 1, "claim": ' + b"9" * 5000 + b"}", "cannot be used"),
    ],
)
def test_what_is_no_answer_is_refused(tmp_path: Path, case: Case, content: bytes, words: str) -> None:
    """Broken, deep, huge and undecodable files each get one clear message."""
    assert words in refusal(tmp_path, case, content)


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ({"version": True}, "'version' must be 1"),
        ({"version": "1"}, "'version' must be 1"),
        ({"circuit": "orchard"}, "for circuit 'orchard', not for 'gate-lamp'"),
        ({"circuit": ["gate-lamp"]}, "for circuit no name"),
        ({"key": "value"}, "no entry 'key'"),
        ({"paper": 7}, "'paper' must be text"),
        ({"remedy": "x" * 2001}, "'remedy' must be text of at most 2000"),
        ({"remedy": "W44 mend the wire"}, "no place 'W44'; did you mean 'W4'?"),
        ({"remedy": "W4 clean"}, "remedy: W4: there is no remedy 'clean'"),
        ({"confidence": "certain"}, "no confidence 'certain'"),
        ({"claim": "W4 open"}, "'claim' must be a list"),
        ({"claim": [["W4 open"]]}, "'claim' must be a list"),
        ({"claim": ["W4 opened"]}, "W4 cannot have the fault 'opened'; did you mean 'W4 open'?"),
        ({"claim": ["W4 open"] * 2001}, "'claim' must be a list of at most 2000"),
        ({"cited": [True]}, "'cited' must be a list"),
        ({"cited": [1.0]}, "'cited' must be a list"),
        ({"cited": [-1]}, "names -1, which is no finding"),
        ({"cited": [99999]}, "names 99999, which is no finding"),
        ({"cited": [0]}, "names 0, which is no finding"),
        ({"continuity": ["always"]}, "'continuity' must be a table"),
        ({"continuity": {"feed": 1}}, "'continuity' must be a table"),
        ({"record": None}, "a record is a table"),
        ({"record": {"circuit": "orchard", "actions": []}}, "the record is of circuit 'orchard'"),
        ({"record": {"circuit": "gate-lamp", "actions": [{"move": "key=up"}]}}, "no position 'up'"),
        ({"record": {"circuit": "gate-lamp", "actions": [{"move": "rest"}] * 2001}}, "more than 2000 actions"),
        ({"record": {"circuit": "gate-lamp", "actions": [{"eval": "1"}]}}, "an action is a table with one of"),
    ],
)
def test_each_wrong_entry_is_named(
    tmp_path: Path, case: Case, right: dict[str, Any], entries: dict[str, Any], words: str
) -> None:
    """A wrong type, name, number or size is refused with what is wrong and what is allowed."""
    assert words in refusal(tmp_path, case, json.dumps(right | entries).encode())


def test_all_mistakes_come_at_once(tmp_path: Path, case: Case, right: dict[str, Any]) -> None:
    """Whoever typed an answer by hand sees every slip in one go."""
    wrong = right | {"claim": ["W4 opened"], "cited": [-1], "confidence": "certain"}
    assert len(refusal(tmp_path, case, json.dumps(wrong).encode()).splitlines()) == 3


def test_a_link_is_refused(tmp_path: Path, case: Case, right: dict[str, Any]) -> None:
    """An answer that points elsewhere is not followed."""
    target = tmp_path / "other.json"
    target.write_text(json.dumps(right), encoding="utf-8")
    link = tmp_path / "bench-1.json"
    link.symlink_to(target)
    with pytest.raises(Refused, match="this is a link"):
        read_answer(link, case.circuit)


def test_blank_parts_may_be_missing(tmp_path: Path, case: Case, right: dict[str, Any]) -> None:
    """Typed by hand, an answer may leave out what it leaves blank."""
    few = {key: right[key] for key in ("version", "circuit", "paper", "record")}
    path = tmp_path / "bench-1.json"
    path.write_text(json.dumps(few), encoding="utf-8")
    answer = read_answer(path, case.circuit)
    assert (answer.claim, answer.cited, answer.calculation, answer.remedy) == ((), (), "", "")
