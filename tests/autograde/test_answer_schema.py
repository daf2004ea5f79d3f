"""The published schema of the answer says what the reader says, and an editor can show it.

The schema is nowhere stricter than the reader: what the reader takes, the schema takes, so what the schema refuses the
reader refuses. What only the reader finds is listed, by example, in ``ONLY_THE_READER``.
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from faultwright.circuit_file import read_circuit
from faultwright.command_line import main
from faultwright.errors import Refused
from faultwright.faults import universe
from faultwright.meter import SCALES
from faultwright.record import ANSWER_ENTRIES, READ_ENTRIES
from faultwright.schema_shapes import written
from faultwright.story import places
from faultwright_autograde.answer import parse_answer
from faultwright_autograde.answer_schema import answer_schema
from faultwright_autograde.case import Case
from faultwright_course.catalogue import circuit_names, circuit_path
from tests.autograde.gate import Answer, right_answer
from tests.autograde.hostile import wrong_types
from tests.autograde.hostile.trick import Given, Trick, thin_answer
from tests.autograde.tampering import tampered
from tests.autograde.test_properties import FEW, STEPS, record_of

ROOT = Path(__file__).resolve().parents[2]
PUBLISHED = ROOT / "course" / "guides" / "answer-schema.json"
SCHEMA = answer_schema()
VALIDATOR = Draft202012Validator(SCHEMA)


VOLTS = {"meter": "volts", "red": "P1:1", "black": "FRAME", "value": 1.0}


def is_read(answer: Any, case: Case) -> bool:  # noqa: ANN401 - JSON
    """Say whether the reader takes an answer."""
    try:
        parse_answer(answer, case.circuit)
    except Refused:
        return False
    return True


@pytest.fixture(scope="module")
def whole(case: Case) -> Answer:
    """Return an answer with everything in it, which no test changes."""
    return right_answer(case)


# The schema itself


def test_the_schema_is_one() -> None:
    """It is valid against the metaschema of draft 2020-12, which it names, and says which version it is of."""
    assert SCHEMA["$schema"] == Draft202012Validator.META_SCHEMA["$id"]
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["title"] == "Answer with its record, version 1"


def test_the_published_file_is_the_schema() -> None:
    """What stands in the guides' folder is what the code gives; ``schema --answer --out`` writes it anew."""
    assert PUBLISHED.read_text(encoding="utf-8") == written(answer_schema())


def test_the_command_prints_it(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """``faultwright schema --answer`` prints the schema, or writes it to a file."""
    assert main(["schema", "--answer"]) == 0
    assert capsys.readouterr().out == written(answer_schema())
    assert main(["schema", "--answer", "--out", str(tmp_path / "schema.json")]) == 0
    assert (tmp_path / "schema.json").read_text(encoding="utf-8") == written(answer_schema())


def described(node: Any) -> Iterator[Any]:  # noqa: ANN401
    """Yield the node and every node below that stands for a value or a name."""
    yield node
    for keyword in ("properties", "$defs"):
        for child in node.get(keyword, {}).values():
            yield from described(child)
    for keyword in ("items", "additionalProperties", "propertyNames"):
        if isinstance(node.get(keyword), dict):
            yield from described(node[keyword])


def test_every_node_has_a_description() -> None:
    """An editor has something to show at every entry."""
    nodes = list(described(SCHEMA))
    assert len(nodes) > 40
    assert [node for node in nodes if not node.get("description")] == []


def test_the_schema_covers_every_entry() -> None:
    """Every entry of an answer and of a reading has its node."""
    assert set(SCHEMA["properties"]) == set(ANSWER_ENTRIES)
    assert set(SCHEMA["$defs"]["reading"]["properties"]) == set(READ_ENTRIES)


def test_patterns_are_understood_everywhere() -> None:
    """No look-around, no back-reference, no digit or word class; whole texts are matched from their beginning."""
    patterns = re.findall(r'"pattern": "((?:[^"\\]|\\.)*)"', written(answer_schema()))
    assert len(patterns) >= 6
    for pattern in (json.loads(f'"{found}"') for found in patterns):
        assert not re.search(r"\(\?[^:]|\\[1-9dDwWbB]", pattern), pattern
        assert pattern.startswith("^"), pattern


# What the reader takes, the schema takes


def test_answers_of_the_bench_and_by_hand(case: Case) -> None:
    """A full answer, a thin one, and one with nothing but what it must have."""
    right = right_answer(case)
    few = {key: right[key] for key in ("version", "circuit", "record")}
    for answer in (right, thin_answer(case), few):
        assert is_read(answer, case)
        VALIDATOR.validate(answer)


@FEW
@given(steps=STEPS)
def test_every_record_of_a_bench(case: Case, steps: list[str | int]) -> None:
    """What a bench writes of any work is valid."""
    answer = right_answer(case) | {"record": record_of(case, steps), "cited": []}
    assert is_read(answer, case)
    VALIDATOR.validate(answer)


@settings(FEW, max_examples=400)
@given(data=st.data())
def test_what_the_schema_refuses_the_reader_refuses(case: Case, whole: Answer, data: st.DataObject) -> None:
    """Of answers changed at random none is taken by the reader alone."""
    answer = tampered(whole, data.draw)
    if is_read(answer, case):
        VALIDATOR.validate(answer)


READINGS = st.fixed_dictionaries(
    {"meter": st.sampled_from([*SCALES, "watts"]), "red": st.sampled_from(["P1:1", "W5", "G1:+", "FRAME", "", "9"])},
    optional={
        "black": st.sampled_from(["FRAME", "G1:-", "", "P1"]),
        "expected": st.none() | st.floats(allow_nan=False, allow_infinity=False),
        "value": st.none() | st.floats(-1e13, 1e13) | st.integers(-(10**13), 10**13),
        "unit": st.sampled_from(["V", "A", "Ω", "mV", ""]),
        "status": st.sampled_from(["ok", "overload", "floating", "fine", ""]),
        "source": st.sampled_from(["", "bench", "shop"]),
        "alone": st.sampled_from(["", "P1", "P9", "?"]),
        "leads": st.none() | st.floats(-1, 101),
        "range": st.none() | st.sampled_from([0, -6, 6, 60.0, 7]),
        "energised": st.booleans() | st.none(),
        "note": st.text(max_size=3),
    },
)


@settings(FEW, max_examples=400)
@given(reading=READINGS)
def test_readings_of_every_kind(case: Case, whole: Answer, reading: dict[str, Any]) -> None:
    """Of readings put together from sound and unsound entries none is taken by the reader alone."""
    answer = copy.deepcopy(whole)
    answer["record"]["actions"].append({"read": reading})
    if is_read(answer, case):
        VALIDATOR.validate(answer)


@pytest.mark.parametrize("name", circuit_names())
def test_every_name_of_the_course(name: str) -> None:
    """Every terminal, place and fault of the course's circuits can stand where the schema wants one."""
    circuit = read_circuit(circuit_path(name))
    actions: list[Any] = [{"inspect": {"at": place, "seen": ""}} for place in places(circuit)]
    actions += [{"read": VOLTS | {"red": terminal, "black": terminal}} for terminal in circuit.wired]
    actions += [{"read": {"meter": "amps", "red": wire, "value": 0.012}} for wire in circuit.wires]
    record = {"circuit": circuit.name, "actions": actions}
    assert len(actions) > 2 * len(circuit.wires)
    VALIDATOR.validate({"version": 1, "circuit": circuit.name, "record": record, "claim": list(universe(circuit))})


# What both refuse


@pytest.mark.parametrize("trick", wrong_types.TRICKS, ids=lambda trick: trick.name)
def test_a_wrong_type_is_refused_by_both(case: Case, right: Answer, tmp_path: Path, trick: Trick) -> None:
    """Every wrong type that the reader is tried with is refused by the schema too."""
    path = tmp_path / "bench-1.json"
    trick.hand_in(path, Given(case, right, right))
    answer = json.loads(path.read_text(encoding="utf-8"))
    assert not is_read(answer, case)
    assert not VALIDATOR.is_valid(answer) or trick.name in NO_TYPE_OF_ITS_OWN


NO_TYPE_OF_ITS_OWN = {"type-remedy-text", "type-action-see-truth"}
"""A text that is no remedy of this circuit, a truth seen of what is a lamp here: only the reader knows the circuit."""


def _changed(right: Answer, entries: dict[str, Any]) -> Answer:
    return copy.deepcopy(right) | entries


def _with_action(right: Answer, action: object) -> Answer:
    answer = copy.deepcopy(right)
    answer["record"]["actions"].append(action)
    return answer


REFUSED_BY_BOTH: list[dict[str, Any]] = [
    {"version": 2},
    {"mark": 100},
    {"claim": ["W4"]},
    {"claim": ["W4 resistance"] * 2001},
    {"cited": [-1]},
    {"cited": [2000]},
    {"cited": [1.5]},
    {"calculation": "9" * 2001},
    {"confidence": "certain"},
    {"continuity": {"feed": "x" * 2001}},
    {"circuit": "7 sheds"},
    {"record": {"circuit": "gate-lamp"}},
    {"record": {"circuit": "gate-lamp", "actions": [], "by": "hand"}},
]

ACTIONS_REFUSED_BY_BOTH: list[Any] = [
    {"move": "reset"},
    {"move": "=on"},
    {"jump": "key=on"},
    {"see": {"lamp": "bright"}},
    {"see": {"lamp 1": "lit"}},
    {"inspect": {"at": "W4"}},
    {"ask": {"question": "Well?", "answer": "Well.", "by": "me"}},
    {"read": VOLTS | {"meter": "watts"}},
    {"read": VOLTS | {"red": "P1 1"}},
    {"read": VOLTS | {"unit": "mV"}},
    {"read": VOLTS | {"unit": "A"}},
    {"read": VOLTS | {"value": None}},
    {"read": VOLTS | {"status": "overload"}},
    {"read": VOLTS | {"value": 1e13}},
    {"read": VOLTS | {"expected": "12 V"}},
    {"read": VOLTS | {"leads": -1}},
    {"read": VOLTS | {"leads": 101}},
    {"read": VOLTS | {"range": 0}},
    {"read": VOLTS | {"range": 7}},
    {"read": VOLTS | {"source": "shop"}},
    {"read": VOLTS | {"volts": 12}},
]


@pytest.mark.parametrize("entries", REFUSED_BY_BOTH, ids=str)
def test_both_refuse(case: Case, right: Answer, entries: dict[str, Any]) -> None:
    """One mistake in a sound answer, found by both."""
    answer = _changed(right, entries)
    assert not is_read(answer, case)
    assert not VALIDATOR.is_valid(answer)


@pytest.mark.parametrize("action", ACTIONS_REFUSED_BY_BOTH, ids=str)
def test_both_refuse_an_action(case: Case, right: Answer, action: object) -> None:
    """One mistake in a sound record, found by both."""
    answer = _with_action(right, action)
    assert not is_read(answer, case)
    assert not VALIDATOR.is_valid(answer)


ONLY_THE_READER: list[Any] = [
    {"move": "key=run"},
    {"move": "unplug=X9"},
    {"see": {"horn": True}},
    {"inspect": {"at": "W9", "seen": "worn"}},
    {"read": VOLTS | {"red": "P9:1"}},
    {"read": VOLTS | {"value": 1e6}},
    {"read": {"meter": "volts", "red": "P1:1", "value": 1.0}},
]


@pytest.mark.parametrize("action", ONLY_THE_READER, ids=str)
def test_what_only_the_reader_finds(case: Case, right: Answer, action: object) -> None:
    """Names that this circuit does not have, and what this meter cannot show: the schema knows no circuit."""
    answer = _with_action(right, action)
    assert not is_read(answer, case)
    assert VALIDATOR.is_valid(answer)


def test_an_entry_left_out(case: Case, right: Answer) -> None:
    """Version, circuit and record must be there, and nothing else."""
    for key in ANSWER_ENTRIES:
        answer = {name: value for name, value in right.items() if name != key}
        assert is_read(answer, case) == VALIDATOR.is_valid(answer) == (key not in ("version", "circuit", "record"))
