"""The published schema of the circuit file says what the reader says, and an editor can show it.

Both are asked about the same reading of a file, every scalar as text. The schema is nowhere stricter than the reader;
what only the reader finds is listed in ``ONLY_THE_READER`` and, by example, in ``FOUND_BY_THE_READER_ALONE``: names
that nothing has, names used twice, what joins something to itself, ``drop_out`` not below ``pull_in``, the edges of
ranges, and what is wrong with the text as YAML.
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from faultwright.circuit import Circuit
from faultwright.circuit_file import TOP_ENTRIES, parse_circuit
from faultwright.circuit_schema import circuit_schema
from faultwright.circuit_writer import write_circuit
from faultwright.command_line import main
from faultwright.errors import Refused
from faultwright.located_yaml import Reader
from faultwright.parts import KINDS
from faultwright.quantities import PREFIXES, RANGES, SPELLINGS, UNIT_NAMES, UNITS, parse_quantity
from faultwright.schema_shapes import written
from faultwright.schema_texts import QUANTITIES
from tests.core import depot
from tests.core.strategies import circuits

ROOT = Path(__file__).resolve().parents[2]
PUBLISHED = ROOT / "course" / "guides" / "circuit-schema.json"
SCHEMA = circuit_schema()
VALIDATOR = Draft202012Validator(SCHEMA)

YARD = """
circuit: yard
title: One of everything that a file can hold
nominal: 12 V
safety:
  - {signal: caution, text: Keep clear of the blades.}
controls:
  key:   {label: Key switch, positions: [off, run, start], springs_to: run}
  lever: {positions: [0, 1]}
parts:
  G1: {kind: battery, emf: 12.6 V, resistance: 20 mΩ, charge: 90 %}
  T1: {kind: supply, voltage: 12 V, resistance: 10 mohm}
  F1: {kind: fuse, rating: 15 A}
  S1: {kind: switch, control: key, contacts: {1-2: [run, start], 3-4: off}, resistance: 20 mΩ}
  S2: {kind: switch, control: lever, contacts: {1-2: [1]}}
  K1: {kind: relay, coil: 85 Ω, pull_in: 8 V, drop_out: 1.5 V, contacts: {30-87: energised, 30-87a: [released]}}
  Q1: {kind: contactor, coil: 0.19 kΩ}
  R1: {kind: diode, forward_drop: 600 mV}
  L1: {kind: resistor, resistance: 1e3 Ω}
  P1: {kind: lamp, power: 2 W, voltage: 12 V, filament: on, cold: 8 Ω}
  M1: {kind: motor, resistance: 0.9 Ω, running: 5 A, turns_from: 3 A}
  Y1: {kind: solenoid, resistance: 10 Ω, pulls_from: 0.6 A}
  A1: {kind: input, pull: up, pull_resistance: 4.7 kΩ, active: low, threshold: 6 V}
  U1: {kind: magneto, primary: 1 Ω, grounded_below: 100 Ω}
  N1: {kind: splice, ways: 3}
  E1: {kind: ground, resistance: 5 mΩ}
  X1: {kind: connector, pins: 2, resistance: 5 mΩ}
wires:
  W1: {from: G1:+, to: F1:1, area: 2.5 mm², length: 0.4 m, class: 5, plating: tinned, temperature: -20 °C, colour: RD}
  W2: {from: F1:2, to: S1:1, gauge: 16 AWG, length: 40 cm}
  W3: {from: S1:2, to: K1:86, resistance: "12,5 mΩ"}
  W4: {from: K1:87a, to: X1:a2}
  W5: {from: A1:in, to: U1:stop}
  W6: {from: G1:-, to: FRAME, area: 16 mm2}
behaviour:
  pump:  {motor: M1}
  acts:  {relay: Q1}
  runs:  {starts_when: [pump, key=start], keeps_while: lever=1}
reach:
  K1:86: free
  X1:a1: X1
paths:
  - [G1, W1, F1]
  - K1
"""

Place = tuple[str | int, ...]


def tree(text: str) -> Any:  # noqa: ANN401 - tables, lists and texts within each other
    """Return a YAML text with every scalar as text, as the reader takes it."""
    return _texts(Reader("tree").compose(text))


def _texts(node: Node) -> Any:  # noqa: ANN401
    if isinstance(node, MappingNode):
        return {str(key.value): _texts(value) for key, value in node.value}
    if isinstance(node, SequenceNode):
        return [_texts(item) for item in node.value]
    assert isinstance(node, ScalarNode)
    return str(node.value)


def reader_says(read: Any) -> list[str]:  # noqa: ANN401
    """Return the reader's mistakes; JSON in quotation marks is YAML whose every scalar is that text."""
    try:
        parse_circuit(json.dumps(read, ensure_ascii=False), "yard.yaml")
    except Refused as refused:
        return [mistake.message for mistake in refused.mistakes]
    return []


def circuit_texts() -> list[Any]:
    """Return every sound circuit file of the project: the course's, the demo's, the tests', the guide's own."""
    files = [
        *(ROOT / "course" / "faultwright_course" / "circuits").glob("*.yaml"),
        ROOT / "autograde" / "faultwright_autograde" / "demo_class" / "orchard-sprayer.yaml",
        ROOT / "tests" / "autograde" / "gate_lamp" / "gate-lamp.yaml",
        ROOT / "tests" / "benchmarks" / "yard_loader.yaml",
    ]
    guide = (ROOT / "course" / "guides" / "authoring.md").read_text(encoding="utf-8")
    in_guide = re.findall(r"^```yaml\n(# [\w-]+\.yaml\ncircuit: .*?)^```$", guide, re.MULTILINE | re.DOTALL)
    own = {"yard": YARD, "bench": depot.BENCH, "shed": depot.SHED, "mower": depot.MOWER}
    assert len(files) >= 5
    assert in_guide
    return [
        *(pytest.param(path.read_text(encoding="utf-8"), id=path.stem) for path in files),
        *(pytest.param(text, id=f"guide-{number}") for number, text in enumerate(in_guide)),
        *(pytest.param(text, id=name) for name, text in own.items()),
    ]


# The schema itself


def test_the_schema_is_one() -> None:
    """It is valid against the metaschema of draft 2020-12, which it names."""
    assert SCHEMA["$schema"] == Draft202012Validator.META_SCHEMA["$id"]
    Draft202012Validator.check_schema(SCHEMA)


def test_the_published_file_is_the_schema() -> None:
    """What stands in the guides' folder is what the code gives; ``faultwright schema --out`` writes it anew."""
    assert PUBLISHED.read_text(encoding="utf-8") == written(circuit_schema())


def described(node: Any) -> Iterator[Any]:  # noqa: ANN401
    """Yield the node and every node below that stands for a value, a name or a reason."""
    yield node
    for keyword in ("properties", "$defs"):
        for child in node.get(keyword, {}).values():
            yield from described(child)
    for keyword in ("items", "additionalProperties", "propertyNames", "not"):
        if isinstance(node.get(keyword), dict):
            yield from described(node[keyword])
    for keyword in ("anyOf", "oneOf"):
        for child in node.get(keyword, ()):
            yield from described(child)
    for child in node.get("allOf", ()):
        if "not" in child:
            yield from described(child["not"])


def test_every_node_has_a_description() -> None:
    """An author's editor has something to show at every entry, name and refusal."""
    nodes = list(described(SCHEMA))
    assert len(nodes) > 150
    assert [node for node in nodes if not node.get("description")] == []


def test_the_schema_covers_every_entry() -> None:
    """Every section of the file, every kind of part and every property of a kind has its node."""
    assert set(SCHEMA["properties"]) == set(TOP_ENTRIES)
    assert SCHEMA["$defs"]["part"]["properties"]["kind"]["enum"] == list(KINDS)
    for kind in KINDS.values():
        assert {prop.name for prop in kind.properties} < set(SCHEMA["$defs"][f"part-{kind.name}"]["properties"])


def patterns(node: Any) -> Iterator[str]:  # noqa: ANN401
    """Yield every pattern in the schema."""
    if isinstance(node, dict):
        if isinstance(node.get("pattern"), str):
            yield node["pattern"]
        for child in node.values():
            yield from patterns(child)
    elif isinstance(node, list):
        for child in node:
            yield from patterns(child)


def test_patterns_are_understood_everywhere() -> None:
    """No look-around, no back-reference, no class whose meaning differs by language; whole texts are matched."""
    found = list(patterns(SCHEMA))
    assert len(found) > 30
    for pattern in found:
        assert not re.search(r"\(\?[^:]|\\[1-9dDwWbB]", pattern), pattern
        assert pattern.startswith("^"), pattern


# What is valid


@given(circuits())
def test_what_the_writer_writes_is_valid(circuit: Circuit) -> None:
    """Every circuit of every kind of part, written by the writer and read as text, is valid."""
    VALIDATOR.validate(tree(write_circuit(circuit)))


@pytest.mark.parametrize("text", circuit_texts())
def test_sound_files_are_valid(text: str) -> None:
    """Each sound circuit file is valid, with its scalars as text and as an editor takes them by YAML 1.2."""
    parse_circuit(text)
    VALIDATOR.validate(tree(text))
    VALIDATOR.validate(YAML(typ="safe", pure=True).load(text))


def test_the_example_has_everything() -> None:
    """The file that is mutated below holds every section and every kind, so that no rule goes untried."""
    read = tree(YARD)
    assert set(read) == set(TOP_ENTRIES)
    assert {part["kind"] for part in read["parts"].values()} == set(KINDS)


def test_numbers_where_the_reader_takes_plain_ones() -> None:
    """What an editor takes for a number or a truth value passes where the reader takes its text; a quantity is none."""
    read = tree(YARD)
    read["title"], read["parts"]["X1"]["pins"], read["wires"]["W1"]["class"] = 1984, 2, 5
    read["controls"]["lever"] = {"label": True, "positions": [0, 1], "springs_to": 0}
    read["parts"]["S2"]["contacts"] = {"1-2": [1]}
    VALIDATOR.validate(read)
    for number in (0, 201, 2.5):
        read["parts"]["X1"]["pins"] = number
        assert not VALIDATOR.is_valid(read)
    read["parts"]["X1"] = {"kind": "connector", "resistance": 20}
    assert not VALIDATOR.is_valid(read)


# What is refused: one mistake in a sound file


class Gone:
    """Stands for an entry that is taken out."""

    def __repr__(self) -> str:
        return "gone"


GONE = Gone()


def put(read: Any, place: Place, value: object) -> Any:  # noqa: ANN401
    """Return a copy of a file with ``value`` at a place, or with what stands there taken out."""
    changed = copy.deepcopy(read)
    inside = changed
    for step in place[:-1]:
        inside = inside[step]
    if value is GONE:
        del inside[place[-1]]
    else:
        inside[place[-1]] = value
    return changed


FOUND_BY_BOTH: list[tuple[Place, object]] = [
    (("circuit",), GONE),
    (("parts",), GONE),
    (("wires",), GONE),
    (("circuit",), "7 sheds"),
    (("circuit",), "y" * 41),
    (("titel",), "Yard"),
    (("title",), ["Yard"]),
    (("nominal",), "12 A"),
    (("nominal",), "12"),
    (("safety",), {"signal": "caution", "text": "Keep clear."}),
    (("safety", 0, "signal"), "beware"),
    (("safety", 0, "text"), GONE),
    (("safety", 0, "text"), {"a": "b"}),
    (("safety", 0, "place"), "blades"),
    (("controls",), "key"),
    (("controls", "repair"), {"positions": ["off", "on"]}),
    (("controls", "2nd"), {"positions": ["off", "on"]}),
    (("controls", "key", "positions"), GONE),
    (("controls", "key", "positions"), "off"),
    (("controls", "lever", "positions"), ["1"]),
    (("controls", "key", "positions", 0), "start"),
    (("controls", "key", "positions", 0), "a=b"),
    (("controls", "key", "positions", 0), ""),
    (("controls", "key", "springs_to"), ["run"]),
    (("controls", "key", "sprigs_to"), "run"),
    (("parts", "FRAME"), {"kind": "ground"}),
    (("parts", "M 2"), {"kind": "motor"}),
    (("parts", "M2"), "motor"),
    (("parts", "F1", "kind"), GONE),
    (("parts", "F1", "kind"), "fuze"),
    (("parts", "F1", "kind"), ["fuse"]),
    (("parts", "F1", "kind"), "lamp"),
    (("parts", "F1", "coil"), "85 Ω"),
    (("parts", "F1", "control"), "key"),
    (("parts", "F1", "contacts"), {"1-2": ["on"]}),
    (("parts", "F1", "ratin"), "15 A"),
    (("parts", "F1", "rating"), "15 V"),
    (("parts", "F1", "rating"), "15"),
    (("parts", "F1", "rating"), "fifteen A"),
    (("parts", "F1", "rating"), "15 amperes each"),
    (("parts", "F1", "rating"), "15 KA"),
    (("parts", "F1", "rating"), "1,500 A"),
    (("parts", "F1", "rating"), ["15 A"]),
    (("parts", "G1", "resistance"), "-1 Ω"),
    (("parts", "G1", "resistance"), "0 Ω"),
    (("parts", "G1", "resistance"), "0.00 mΩ"),
    (("parts", "G1", "resistance"), "2000000000000 Ω"),
    (("parts", "G1", "emf"), "-12 V"),
    (("parts", "G1", "emf"), "100001 V"),
    (("parts", "G1", "emf"), "0.0001 V"),
    (("parts", "G1", "charge"), "150 %"),
    (("parts", "G1", "charge"), "0.5 %"),
    (("parts", "G1", "charge"), "5 dimensionless"),
    (("parts", "S1", "control"), GONE),
    (("parts", "S1", "control"), ["key"]),
    (("parts", "S1", "contacts"), GONE),
    (("parts", "S1", "contacts"), {}),
    (("parts", "S1", "contacts"), ["1-2"]),
    (("parts", "S2", "contacts", "3"), ["1"]),
    (("parts", "S2", "contacts", "5-6-7"), ["1"]),
    (("parts", "S2", "contacts", "5-+"), ["1"]),
    (("parts", "S2", "contacts", "1-2"), {"1": "2"}),
    (("parts", "S2", "contacts", "1-2", 0), "key=1"),
    (("parts", "K1", "contacts", "30-87"), "pulled"),
    (("parts", "K1", "contacts", "30-87a", 0), "on"),
    (("parts", "K1", "contacts"), {}),
    (("parts", "P1", "filament"), "warm"),
    (("parts", "A1", "pull"), "sideways"),
    (("parts", "A1", "active"), ["low"]),
    (("parts", "X1", "pins"), "0"),
    (("parts", "X1", "pins"), "201"),
    (("parts", "X1", "pins"), "2.5"),
    (("parts", "N1", "ways"), "three"),
    (("wires",), ["W1"]),
    (("wires", "FRAME"), {"from": "G1:+", "to": "FRAME"}),
    (("wires", "W 7"), {"from": "G1:+", "to": "FRAME"}),
    (("wires", "W1", "from"), GONE),
    (("wires", "W1", "to"), GONE),
    (("wires", "W1", "to"), "F1"),
    (("wires", "W1", "to"), "F1:"),
    (("wires", "W1", "to"), "F1 1"),
    (("wires", "W1", "to"), "F1:1:2"),
    (("wires", "W1", "to"), "frame"),
    (("wires", "W1", "to"), ["F1:1"]),
    (("wires", "W1", "gauge"), "16 AWG"),
    (("wires", "W1", "area"), "2.5 mm"),
    (("wires", "W1", "area"), "2000 mm²"),
    (("wires", "W1", "length"), "2 kg"),
    (("wires", "W1", "temperature"), "400 °C"),
    (("wires", "W1", "temperature"), "-61 °C"),
    (("wires", "W1", "class"), "3"),
    (("wires", "W1", "plating"), "gold"),
    (("wires", "W1", "color"), "RD"),
    (("wires", "W1", "colour"), ["RD"]),
    (("wires", "W2", "gauge"), "41 AWG"),
    (("wires", "W2", "gauge"), "16"),
    (("behaviour",), "none"),
    (("behaviour", "my pump"), {"motor": "M1"}),
    (("behaviour", "pump"), {}),
    (("behaviour", "pump", "lamp"), "P1"),
    (("behaviour", "pump", "starts_when"), ["key=run"]),
    (("behaviour", "pump", "fuse"), "F1"),
    (("behaviour", "pump", "motor"), ["M1"]),
    (("behaviour", "runs", "starts_when", 0), "key="),
    (("behaviour", "runs", "keeps_while"), {"key": "run"}),
    (("reach",), ["K1:86"]),
    (("reach", "K1"), "free"),
    (("reach", "K1:86"), "X1:a1"),
    (("reach", "K1:86"), ["free"]),
    (("paths",), "G1"),
    (("paths", 0), {"G1": "W1"}),
    (("paths", 0, 0), ["G1"]),
    (("paths", 0, 0), "G1:+"),
]


@pytest.mark.parametrize(("place", "value"), FOUND_BY_BOTH)
def test_one_mistake_is_refused_by_both(place: Place, value: object) -> None:
    """One thing made wrong in a sound file: the reader refuses it, and the schema does, there or one table above."""
    wrong = put(tree(YARD), place, value)
    assert reader_says(wrong) != []
    marked = [tuple(error.absolute_path) for error in VALIDATOR.iter_errors(wrong)]
    assert marked != []
    assert {found == place[: len(found)] and len(found) >= len(place) - 1 for found in marked} == {True}, marked


FOUND_BY_THE_READER_ALONE: list[tuple[Place, object]] = [
    (("wires", "W1", "to"), "F9:1"),
    (("wires", "W1", "to"), "F1:3"),
    (("wires", "W1", "to"), "G1:+"),
    (("wires", "K1"), {"from": "G1:+", "to": "FRAME"}),
    (("parts", "F1"), GONE),
    (("parts", "S1", "control"), "seat"),
    (("parts", "S2", "contacts", "1-2", 0), "2"),
    (("parts", "S2", "contacts", "3-3"), ["1"]),
    (("parts", "K1", "drop_out"), "9 V"),
    (("parts", "G1", "charge"), "100.5 %"),
    (("parts", "G1", "emf"), "1e6 V"),
    (("parts", "G1", "emf"), "1 MV"),
    (("parts", "G1", "emf"), "1e400 V"),
    (("wires", "W1", "temperature"), "-60.5 °C"),
    (("controls",), GONE),
    (("controls", "key", "springs_to"), "stop"),
    (("behaviour", "key"), {"motor": "M1"}),
    (("behaviour", "pump", "motor"), "P1"),
    (("behaviour", "runs", "starts_when", 0), "later"),
    (("behaviour", "runs", "starts_when", 0), "key=stop"),
    (("behaviour", "runs", "starts_when", 0), "seat=taken"),
    (("reach", "K1:88"), "free"),
    (("reach", "K1:86"), "K3"),
    (("paths", 0, 0), "G9"),
]


@pytest.mark.parametrize(("place", "value"), FOUND_BY_THE_READER_ALONE)
def test_what_only_the_reader_finds(place: Place, value: object) -> None:
    """References between entries and the edges of ranges: the reader refuses them, and a schema cannot see them."""
    wrong = put(tree(YARD), place, value)
    assert reader_says(wrong) != []
    assert VALIDATOR.is_valid(wrong)


@pytest.mark.parametrize(
    ("sound", "wrong", "message"),
    [
        ("lever: {", "key: {positions: [0, 1]}\n  lever: {", "yard.yaml:9: controls: 'key' is given twice"),
        ("title: ", "title: &title ", "yard.yaml:3: anchors and aliases are not used here; write the value out"),
    ],
)
def test_what_only_the_text_shows(sound: str, wrong: str, message: str) -> None:
    """What is gone once the text has become tables and lists only the reader can refuse."""
    with pytest.raises(Refused) as refused:
        parse_circuit(YARD.replace(sound, wrong, 1), "yard.yaml")
    assert str(refused.value) == message


# Schema and reader agree on whatever is changed

ONLY_THE_READER = re.compile(
    r"there is no (?:control|position|part|part or wire|earlier behaviour|motor|lamp|solenoid|input|relay|magneto) '"
    r"|has no terminal"
    r"|joins .* to itself"
    r"|has the name of a (?:part|control)"
    r"|contact '(\w+)-\1' must name two pins"
    r"|drop_out must be less than pull_in"
    r"|it must be from"
    r"|is too large"
)
"""The reader's mistakes that a schema cannot see."""


def disagreement(read: Any) -> str:  # noqa: ANN401
    """Return in what schema and reader disagree about a file, or nothing."""
    said = reader_says(read)
    marked = [f"{error.json_path}: {error.message}" for error in VALIDATOR.iter_errors(read)]
    if marked:
        return "" if said else f"only the schema refuses {marked}"
    unseen = [message for message in said if not ONLY_THE_READER.search(message)]
    return f"only the reader refuses {unseen}" if unseen else ""


WORDS = (
    *("", "0", "1", "2", "16", "007", "200", "201", "-1", "2.0", "on", "off", "free", "FRAME", "energised", "fuse"),
    *("lamp", "key", "key=run", "key=off", "lever=1", "key=", "=run", "a,b", "rest", "Ω", "danger", "low", "plain"),
    *("16 AWG", "40AWG", "5 Ω", "5", "5 V", "5 mA", "0 Ω", "-5 V", "5 mm²", "5 mm2", "5 kmm2", "5 °C", "90 %"),
    *("-20 °C", "1e3 Ω", "1,5 A", "1,500 A", "5 OHMS", "5 kilovolts", "+5uV", "5 V ", "5V2", "5 W m", "G1:+", "G1:-"),
    *("G1", "W1", "K1:86", "K1:87a", "X1:a1", "G1:+:2", "1-2", "30-87", "1-1", "1-2-3", "1_2", "of no use", "RD", "~"),
    *("true", "null"),
)  # fmt: skip
"""Texts that are right in one place and wrong in most."""

ENTRIES = (
    *("kind", "resistance", "coil", "control", "contacts", "pins", "from", "to", "area", "gauge", "positions", "label"),
    *("springs_to", "signal", "text", "motor", "starts_when", "keeps_while", "reach", "title", "colr", "K9", "A-B"),
    *WORDS,
)

VALUES: st.SearchStrategy[Any] = st.one_of(
    st.sampled_from(WORDS),
    st.lists(st.sampled_from(WORDS), max_size=3),
    st.dictionaries(st.sampled_from(ENTRIES), st.sampled_from(WORDS), max_size=2),
    st.sampled_from([node for part in tree(YARD).values() if isinstance(part, dict) for node in part.values()]),
)


def places(read: Any, here: Place = ()) -> Iterator[Place]:  # noqa: ANN401
    """Yield the place of every entry and item."""
    steps = list(read.items()) if isinstance(read, dict) else list(enumerate(read)) if isinstance(read, list) else []
    for step, inside in steps:
        yield (*here, step)
        yield from places(inside, (*here, step))


def at(read: Any, place: Place) -> Any:  # noqa: ANN401
    """Return what stands at a place."""
    for step in place:
        read = read[step]
    return read


@st.composite
def changed_files(draw: st.DrawFn) -> Any:  # noqa: ANN401
    """Return a file, drawn or the example, in which one thing or two are dropped, added, moved or replaced."""
    read = draw(st.one_of(st.just(tree(YARD)), circuits().map(write_circuit).map(tree)))
    for _ in range(draw(st.integers(1, 2))):
        # A section first, so that the short ones are changed as often as the long ones.
        section = draw(st.sampled_from(list(read)))
        everywhere = list(places(read))
        place = draw(st.sampled_from([place for place in everywhere if place[0] == section]))
        inside = at(read, place)
        what = draw(st.sampled_from(("drop", "add", "replace", "move", "wrap", "double")))
        if what == "drop" and len(read) > 1:
            read = put(read, place, GONE)
        elif what == "add" and isinstance(inside, dict):
            read = put(read, (*place, draw(st.sampled_from(ENTRIES))), draw(VALUES))
        elif what == "move":
            read = put(read, place, at(read, draw(st.sampled_from(everywhere))))
        elif what == "wrap":
            read = put(read, place, [inside])
        elif what == "double" and isinstance(inside, list):
            read = put(read, place, inside * 2)
        else:
            read = put(read, place, draw(VALUES))
    return read


@given(changed_files())
def test_schema_and_reader_agree(read: Any) -> None:  # noqa: ANN401
    """What the schema refuses the reader refuses; what it accepts has only mistakes that it cannot see."""
    assert disagreement(read) == ""


def small_file(kind: str) -> Any:  # noqa: ANN401
    """Return a sound file with the example's parts of one kind and nothing wired."""
    read = tree(YARD)
    parts = {name: part for name, part in read["parts"].items() if part["kind"] == kind}
    return {"circuit": "yard", "controls": read["controls"], "parts": parts, "wires": {}}


def file_of_sections() -> Any:  # noqa: ANN401
    """Return a sound file with something in every section, and parts and wires that are only what that needs."""
    read = tree(YARD)
    parts = {name: {"kind": read["parts"][name]["kind"]} for name in ("G1", "F1", "K1", "M1", "X1")}
    wires = {"W1": read["wires"]["W1"], "W2": {"from": "F1:2", "to": "K1:86", "gauge": "16 AWG"}}
    return read | {
        "parts": parts,
        "wires": wires,
        "behaviour": {key: read["behaviour"][key] for key in ("pump", "runs")},
        "paths": [["G1", "W1"], "K1"],
    }


def single_changes(read: Any) -> Iterator[Any]:  # noqa: ANN401
    """Yield the file with each thing in it dropped, emptied, put in a list or replaced, and an entry too many."""
    for place in places(read):
        inside = at(read, place)
        if isinstance(inside, dict):
            yield put(read, (*place, "colr"), "5")
            yield put(read, (*place, "5-6"), [])
        for value in (GONE, "", "on", "5 kg", [], [inside], {}, {"colr": "5"}):
            yield put(read, place, value)


@pytest.mark.parametrize("kind", KINDS)
def test_each_change_of_a_part(kind: str) -> None:
    """Everything in a part of each kind, changed alone in every way: schema and reader agree."""
    sound = small_file(kind)
    assert reader_says(sound) == []
    assert [found for read in single_changes(sound) if (found := disagreement(read))] == []


def test_each_change_of_a_section() -> None:
    """Everything in every section, changed alone in every way: schema and reader agree."""
    sound = file_of_sections()
    assert reader_says(sound) == []
    assert set(sound) == set(TOP_ENTRIES)
    assert [found for read in single_changes(sound) if (found := disagreement(read))] == []


# Quantities

QUANTITY = {
    unit: Draft202012Validator({"$ref": f"#/$defs/{QUANTITIES[unit]}", "$defs": SCHEMA["$defs"]}) for unit in UNITS
}

_PREFIXES = ["", *(name for names in PREFIXES for name in names), "\u03bc", "K", "T"]
_NAMES = [
    *(name for names in UNIT_NAMES for name in names),
    *(written for written, _ in SPELLINGS),
    "OHM",
    "oHms",
    "Volt",
]
_ENDS = ["", "", "s", "S", "²", "2", "**2", "s²", "2s", "/A", " m"]
_NUMBERS = st.one_of(
    st.integers(-300, 3000).map(str),
    st.floats(0, 1e6).map(lambda number: f"{number:.4g}"),
    st.from_regex(r"[+-]?[0-9]{0,4}[.,]?[0-9]{0,3}(e[+-]?[0-9]{1,2})?", fullmatch=True),
)


def reads(text: str, unit: str) -> tuple[bool, bool]:
    """Say whether the reader takes a text for a quantity of that unit, and whether its value is in range."""
    try:
        value = parse_quantity(text, unit)
    except Refused as refused:
        return "is too large" in str(refused), False
    least, most = RANGES[unit]
    return True, least <= value <= most


@given(
    st.sampled_from(UNITS),
    _NUMBERS.filter(str.isascii),
    st.sampled_from(("", " ", "  ")),
    st.sampled_from(_PREFIXES),
    st.sampled_from(_NAMES),
    st.sampled_from(_ENDS),
)
def test_a_quantity_is_one_for_both(unit: str, number: str, space: str, prefix: str, name: str, end: str) -> None:  # noqa: PLR0913, PLR0917
    """Every spelling of a unit that the reader takes passes, and no other: the schema only leaves some ranges open."""
    text = f"{number}{space}{prefix}{name}{end}"
    quantity, in_range = reads(text, unit)
    if QUANTITY[unit].is_valid(text):
        assert quantity
    else:
        assert not in_range


@pytest.mark.parametrize("unit", UNITS)
@given(data=st.data())
def test_whole_numbers_are_judged_by_their_range(unit: str, data: st.DataObject) -> None:
    """A whole number in the plain unit passes exactly where the reader takes it, at the very edges too."""
    near = [round(edge) + step for edge in RANGES[unit] for step in (-1, 0, 1)]
    number = data.draw(st.one_of(st.sampled_from(near), st.integers(-1000, 2000), st.integers(-(10**14), 10**14)))
    text = f"{number} {unit}"
    assert QUANTITY[unit].is_valid(text) == reads(text, unit)[1], text


@pytest.mark.parametrize("unit", UNITS)
def test_the_edges_of_a_range_pass(unit: str) -> None:
    """The least and the most, written out as the reader names them, pass; what is well below the least does not."""
    for edge in RANGES[unit]:
        assert QUANTITY[unit].is_valid(f"{edge:f} {unit}" if edge > 1e-6 else f"{edge:.9f} {unit}")
    least = RANGES[unit][0]
    assert not QUANTITY[unit].is_valid(f"{least * 0.8:.10f} {unit}" if least > 0 else f"{least - 1:f} {unit}")


# The command


def test_the_command_prints_the_schema(capsys: pytest.CaptureFixture[str]) -> None:
    """The schema is JSON, so ``--json`` gives the same."""
    for arguments in (["schema"], ["schema", "--json"]):
        assert main(arguments) == 0
        assert capsys.readouterr() == (written(circuit_schema()), "")


def test_the_command_writes_the_schema(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Written to a file it is the same; a place that cannot be written is refused."""
    monkeypatch.chdir(tmp_path)
    assert main(["schema", "--out", "schema.json"]) == 0
    assert capsys.readouterr() == ("wrote schema.json\n", "")
    assert Path("schema.json").read_text(encoding="utf-8") == written(circuit_schema())
    assert main(["schema", "--out", "schema.json", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"file": "schema.json"}
    Path("taken").mkdir()
    assert main(["schema", "--out", "taken"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("taken: cannot be written: ")
