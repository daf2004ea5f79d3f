"""The circuit file: every mistake located, all at once, each message as a whole; and what is read from a good one."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

from pathlib import Path

import pytest

from faultwright.circuit import FRAME, Circuit
from faultwright.circuit_file import parse_circuit, read_circuit
from faultwright.errors import Refused
from faultwright.files import LARGEST_TEXT
from faultwright.parts import KINDS, terminals

HERE = Path(__file__).parent

SHED = """
circuit: shed
parts:
  G1: {kind: battery, emf: 12 V}
wires:
  W1: {from: G1:+, to: FRAME}
"""
"""The smallest file that holds everything a circuit needs; mistakes are put behind it, from line 7 on."""


def refusal(text: str) -> list[str]:
    """Return the messages with which a text is refused."""
    with pytest.raises(Refused) as refused:
        parse_circuit(text, "shed.yaml")
    return [str(mistake) for mistake in refused.value.mistakes]


def with_wire(entries: str) -> Circuit:
    """Return the circuit with these entries in its wire W1."""
    return parse_circuit(SHED.replace("to: FRAME", f"to: FRAME, {entries}"), "shed.yaml")


def wire_refusal(entries: str) -> list[str]:
    """Return the messages for these entries in wire W1, which stands in line 6."""
    return refusal(SHED.replace("to: FRAME", f"to: FRAME, {entries}"))


# All mistakes at once


def test_a_file_full_of_mistakes_gives_every_message_whole() -> None:
    """Each mistake of a deliberately wrong file has its message, in the order of the file, with the nearest name."""
    with pytest.raises(Refused) as refused:
        read_circuit(HERE / "wrong.yaml")
    expected = (HERE / "wrong.txt").read_text(encoding="utf-8").splitlines()
    assert [str(mistake) for mistake in refused.value.mistakes] == expected


def test_the_message_of_the_guide() -> None:
    """The example that the description of the file format gives for a mistake comes out word for word."""
    text = SHED.replace("wires:", "  K1: {kind: relay}\nwires:\n  W7: {from: G1:-, to: K1:41}")
    assert refusal(text) == ["shed.yaml:7: wire W7 ends at K1:41, but K1 has no terminal 41 (it has 85 86 30 87 87a)"]


def test_what_hangs_on_a_wrong_part_is_no_second_mistake() -> None:
    """Wires and behaviour that refer to a part whose own entry is wrong are not reported besides."""
    text = SHED.replace("wires:", "  P1: {kind: lampe}\nwires:\n  W2: {from: P1:1, to: G1:-}")
    assert refusal(text + "behaviour:\n  shines: {lamp: P1}\n") == [
        (
            "shed.yaml:5: part P1: there is no kind 'lampe'; did you mean 'lamp'? (allowed: battery, supply, fuse, switch, "
            "relay, contactor, diode, resistor, lamp, motor, solenoid, input, magneto, splice, ground, connector)"
        )
    ]


# Not a circuit file at all


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "shed.yaml: the file is empty"),
        ("# nothing but a remark\n", "shed.yaml: the file is empty"),
        ("hello\n", "shed.yaml:1: the circuit file must be a table of names and values"),
        ("- one\n- two\n", "shed.yaml:1: the circuit file must be a table of names and values"),
        ("circuit: shed\n\tparts: {}\n", "shed.yaml:2: this is not YAML: found character '\\t' that cannot start any token"),
        ("circuit: [shed\n", "shed.yaml:2: this is not YAML: expected ',' or ']', but got '<stream end>'"),
        ("circuit: shed\n---\ncircuit: barn\n", "shed.yaml:2: this is not YAML: but found another document"),
        ("circuit: sh\x07ed\n", "shed.yaml: this is not YAML: unacceptable character #x0007: special characters are not allowed"),
        ("parts: &all {}\nwires: *all\n", "shed.yaml:1: anchors and aliases are not used here; write the value out"),
        ("circuit: shed\nparts: &all {}\n", "shed.yaml:2: anchors and aliases are not used here; write the value out"),
        ("wires: *all\n", "shed.yaml:1: this is not YAML: found undefined alias 'all'"),
        ("[" * 20 + "]" * 20, "shed.yaml:1: this YAML is nested too deep"),
        ("[" * 2000 + "]" * 2000, "shed.yaml: this YAML is nested too deep"),
    ],
)  # fmt: skip
def test_what_is_no_circuit_file(text: str, message: str) -> None:
    """Empty, a tab, broken or nested YAML, several documents, anchors: one message with the line where there is one."""
    assert refusal(text) == [message]


def test_sections_that_are_missing() -> None:
    """A file without its three sections says so, once each."""
    assert refusal("title: Nothing\n") == [
        "shed.yaml:1: the circuit file: 'circuit' is missing",
        "shed.yaml:1: the circuit file: 'parts' is missing",
        "shed.yaml:1: the circuit file: 'wires' is missing",
    ]


def test_sections_of_the_wrong_shape() -> None:
    """A list where a table belongs and the other way round: each section says what it must be."""
    text = SHED + "safety: {signal: caution}\nreach: [G1]\nbehaviour: none\ncontrols: key\npaths: G1\ntitle: [a]\n"
    assert refusal(text) == [
        "shed.yaml:7: safety must be a list",
        "shed.yaml:8: reach must be a table of names and values",
        "shed.yaml:9: behaviour must be a table of names and values",
        "shed.yaml:10: controls must be a table of names and values",
        "shed.yaml:11: paths must be a list",
        "shed.yaml:12: title must be a single word or text, not a list or a table",
    ]


def test_a_missing_file_names_the_nearest(tmp_path: Path) -> None:
    """A slip in the file's name is answered with the file that is there."""
    (tmp_path / "mower.yaml").write_text(SHED, encoding="utf-8")
    with pytest.raises(Refused, match=r"^mover\.yaml: there is no such file; did you mean 'mower\.yaml'\?$"):
        read_circuit(tmp_path / "mover.yaml")


def test_a_file_that_cannot_be_read_as_text(tmp_path: Path) -> None:
    """Not UTF-8 (with the line), too large, a folder: each is refused by its reason."""
    latin = tmp_path / "latin.yaml"
    latin.write_bytes("circuit: shed\ntitle: Gerätehaus\n".encode("latin-1"))
    large = tmp_path / "large.yaml"
    large.write_bytes(b"#" * (LARGEST_TEXT + 1))
    (tmp_path / "folder.yaml").mkdir()
    messages = []
    for name in ("latin.yaml", "large.yaml", "folder.yaml"):
        with pytest.raises(Refused) as refused:
            read_circuit(tmp_path / name)
        messages.append(str(refused.value))
    assert messages == [
        "latin.yaml:2: the text is not UTF-8",
        "large.yaml: the file is larger than 1,000,000 bytes",
        "folder.yaml: this is a folder, not a file",
    ]


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    """A link could lead out of the folder that was handed in."""
    link = tmp_path / "link.yaml"
    try:
        link.symlink_to(HERE / "wrong.yaml")
    except OSError:  # where a person may not make links there is nothing to refuse
        return
    with pytest.raises(Refused, match=r"^link\.yaml: this is a link, not a file$"):
        read_circuit(link)


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path) -> None:
    """A Windows editor puts one in front of UTF-8."""
    path = tmp_path / "shed.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + SHED.encode("utf-8"))
    assert read_circuit(path).name == "shed"


def test_a_tag_is_refused() -> None:
    """A YAML tag could ask for any object; none is needed here."""
    assert refusal(SHED.replace("circuit: shed", "circuit: !!python/object:os.system shed")) == [
        "shed.yaml:2: the tag tag:yaml.org,2002:python/object:os.system is not used here; write the value alone"
    ]


def test_a_decimal_comma_without_quotes() -> None:
    """Inside braces a comma ends the entry; the message says so."""
    assert wire_refusal("area: 1,5 mm²") == [
        (
            "shed.yaml:6: wire W1: there is no entry '5 mm²' (allowed: from, to, area, gauge, length, class, plating, "
            "temperature, resistance, colour) (a comma ends an entry; write 1.5, not 1,5)"
        ),
        "shed.yaml:6: area of W1: '1' has no unit; write a number with a unit, such as '2.5 mm²'",
    ]


# Quantities


@pytest.mark.parametrize(
    ("entries", "message"),
    [
        ("resistance: 5", "resistance of W1: '5' has no unit; write a number with a unit, such as '85 Ω'"),
        ("resistance: 5 V", "resistance of W1: '5 V' is not in Ω; write a number with a unit, such as '85 Ω'"),
        ("resistance: 5 Ohmm", "resistance of W1: '5 Ohmm': 'Ohmm' is not a unit; write a number with a unit, such as '85 Ω'"),
        ("resistance: 0 Ω", "resistance of W1 is 0 Ω; it must be from 1e-09 Ω to 1e+12 Ω"),
        ("resistance: -1 Ω", "resistance of W1 is -1 Ω; it must be from 1e-09 Ω to 1e+12 Ω"),
        ("resistance: five Ω", "resistance of W1: 'five Ω' is not a number with a unit, such as '85 Ω'"),
        ("resistance: nan Ω", "resistance of W1: 'nan Ω' is not a number with a unit, such as '85 Ω'"),
        ('resistance: "1,234 Ω"', "resistance of W1: '1,234 Ω' can be read in two ways; write the number without a comma"),
        ("length: 0 m", "length of W1 is 0 m; it must be from 0.001 m to 100000 m"),
        ("length: 1e400 m", "length of W1: '1e400 m' is too large; write a number with a unit, such as '0.4 m'"),
        ("area: 2 mm", "area of W1: '2 mm' is not in mm²; write a number with a unit, such as '2.5 mm²'"),
        ("gauge: 41 AWG", "gauge of W1 is '41 AWG'; write it as '16 AWG', from 0 to 40"),
        ("gauge: 16", "gauge of W1 is '16'; write it as '16 AWG', from 0 to 40"),
        ("class: 4", "class of W1 is '4' (allowed, from IEC 60228: 1, 2, 5, 6)"),
        ("plating: tined", "plating of W1: there is no plating 'tined'; did you mean 'tinned'? (allowed: plain, tinned)"),
        ("temperature: -61 °C", "temperature of W1 is -61 °C; it must be from -60 °C to 250 °C"),
        ("colour: [RD]", "colour of W1 must be a single word or text, not a list or a table"),
        ("area: 1 mm², gauge: 16 AWG", "wire W1 has an area and a gauge; write one of them"),
    ],
)  # fmt: skip
def test_a_wrong_quantity(entries: str, message: str) -> None:
    """Wrong unit, none, zero, negative, no number, a comma that can be read in two ways, out of range."""
    assert wire_refusal(entries) == [f"shed.yaml:6: {message}"]


@pytest.mark.parametrize(
    "entries",
    ["resistance: 1e-310 Ω", "resistance: 1e300 Ω", "area: 1e-300 mm²", "length: 1e308 m"],
)
def test_a_quantity_beyond_all_use_is_refused(entries: str) -> None:
    """A number so large or small that no voltage could be worked out is refused, not turned into NaN."""
    (message,) = wire_refusal(entries)
    assert message.startswith(f"shed.yaml:6: {entries.split(':', maxsplit=1)[0]} of W1")


@pytest.mark.parametrize("nominal", ["1e200 V", "1e-200 V"])
def test_a_nominal_voltage_beyond_all_use_is_refused(nominal: str) -> None:
    """As for a wire: no arithmetic error later."""
    (message,) = refusal(SHED + f"nominal: {nominal}\n")
    assert message.startswith("shed.yaml:7: nominal")


@pytest.mark.parametrize(
    ("written", "ohms"),
    [
        ("85 Ω", 85.0), ("85Ω", 85.0), ("85 \u2126", 85.0), ("85 ohm", 85.0), ("85 Ohms", 85.0), ("20 mΩ", 0.02), ("20 mohm", 0.02),
        ("5 µΩ", 5e-6), ("5 \u03bcΩ", 5e-6), ("5 uΩ", 5e-6), ("5 uohm", 5e-6), ("2.2 kΩ", 2200.0), ("1 MΩ", 1e6), ("1 Mohm", 1e6),
        ('"4,7 kΩ"', 4700.0), ("1e3 Ω", 1000.0), (".5 Ω", 0.5),
    ],
)  # fmt: skip
def test_spellings_of_ohms(written: str, ohms: float) -> None:
    """Ω, the ohm sign and ohm; µ, the Greek letter and u; a decimal comma in quotes: all are the same value."""
    assert with_wire(f"resistance: {written}").wires["W1"].resistance == pytest.approx(ohms, rel=1e-12)


@pytest.mark.parametrize("written", ["2.5 mm²", "2.5 mm2", '"2,5 mm²"', "0.025 cm²"])
def test_spellings_of_an_area(written: str) -> None:
    """mm2 is taken for mm²."""
    assert with_wire(f"area: {written}").wires["W1"].area == pytest.approx(2.5, rel=1e-12)


# What is read


def test_off_and_on_are_words() -> None:
    """YAML 1.2: off, on, yes, no, null and 1 are text here, never truth values or numbers."""
    circuit = parse_circuit(
        SHED
        + """
controls:
  key: {positions: [off, on, yes, no, null, 1, 012]}
""",
    )
    assert circuit.controls["key"].positions == ("off", "on", "yes", "no", "null", "1", "012")
    assert circuit.rest() == {"key": "off"}


def test_what_may_be_absent() -> None:
    """Title, nominal, safety, controls, behaviour, reach and paths may be; the first source then gives the nominal."""
    circuit = parse_circuit(SHED)
    assert circuit.title == "shed"
    assert circuit.nominal == 12
    assert (dict(circuit.controls), dict(circuit.behaviour), circuit.safety) == ({}, {}, ())
    assert (dict(circuit.reach), circuit.paths) == ({}, ())
    assert list(circuit.states()) == [{}]


def test_a_wire_with_ends_only() -> None:
    """It is 1.5 mm², 1 m, 20 °C: 13.3 Ω/km for class 5 (IEC 60228, read) makes 13.3 mΩ."""
    wire = parse_circuit(SHED).wires["W1"]
    assert (wire.area, wire.length, wire.temperature) == (1.5, 1.0, 20.0)
    assert wire.resistance == pytest.approx(0.0133)


def test_every_kind_has_its_terminals() -> None:
    """The terminals of every kind of part, as the trade marks them."""
    parts = "".join(
        f"  P{number}: {{kind: {kind}{', control: key, contacts: {13-14: [on], 21-22: [off]}' if kind == 'switch' else ''}}}\n"
        for number, kind in enumerate(KINDS)
    )
    text = f"circuit: all\ncontrols:\n  key: {{positions: [off, on]}}\nparts:\n{parts}wires: {{}}\n"
    found = {
        part.kind: " ".join(terminal.partition(":")[2] for terminal in terminals(part))
        for part in parse_circuit(text).parts.values()
    }
    assert found == {
        "battery": "+ -",
        "supply": "+ -",
        "fuse": "1 2",
        "switch": "13 14 21 22",
        "relay": "85 86 30 87 87a",
        "contactor": "A1 A2 1 2 13 14 21 22",
        "diode": "A K",
        "resistor": "1 2",
        "lamp": "1 2",
        "motor": "1 2",
        "solenoid": "1 2",
        "input": "+ in -",
        "magneto": "stop -",
        "splice": "1 2 3",
        "ground": "1",
        "connector": "a1 a2 b1 b2",
    }


def test_properties_and_defaults() -> None:
    """Given values are kept in base units, the others are the defaults; relay volts follow the nominal voltage."""
    circuit = parse_circuit(
        """
circuit: values
nominal: 24 V
parts:
  G1: {kind: battery}
  F1: {kind: fuse, rating: 500 mA}
  K1: {kind: relay, coil: 0.3 kΩ}
  K2: {kind: relay, pull_in: 15 V, drop_out: 3 V, contacts: {30-87: energised}}
  P1: {kind: lamp, power: 21 W}
wires: {}
"""
    )
    parts = circuit.parts
    assert parts["G1"].number("emf") == pytest.approx(25.2)
    assert parts["F1"].number("rating") == pytest.approx(0.5)
    assert parts["K1"].number("coil") == pytest.approx(300)
    assert parts["K1"].number("pull_in") == pytest.approx(16)
    assert parts["K1"].number("drop_out") == pytest.approx(3)
    assert [contact.name for contact in parts["K1"].contacts] == ["30-87", "30-87a"]
    assert (parts["K2"].number("pull_in"), parts["K2"].number("drop_out")) == (15, 3)
    assert [contact.name for contact in parts["K2"].contacts] == ["30-87"]
    assert parts["P1"].number("voltage") == 24
    assert parts["P1"].number("cold") == pytest.approx(24**2 / 21 / 10)


def test_frame_is_joined_only_to_what_the_file_joins_to_it() -> None:
    """FRAME is a node like any other: no source is bonded to it by itself."""
    circuit = parse_circuit(SHED.replace("to: FRAME", 'to: "G1:-"'))
    assert FRAME not in circuit.wired
