"""The circuit diagram: every terminal and wire once, nothing over anything else, and nothing that leaks or lies."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections import Counter
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.circuit import FRAME, Circuit, Contact, Control, Part, Wire
from faultwright.circuit_file import parse_circuit
from faultwright.drawing.layout import lay_out
from faultwright.drawing.sheet import PIN_RADIUS, Layout
from faultwright.drawing.svg import draw
from faultwright.parts import KINDS, finished, terminals

from .drawing_measures import covered, segments
from .drawn_circuits import EXAMPLES, SPREADER, VERGE_MOWER

SVG = "{http://www.w3.org/2000/svg}"

each_example = pytest.mark.parametrize("circuit", EXAMPLES.values(), ids=EXAMPLES)


# Reading a diagram


def parsed(svg: str) -> ET.Element:
    """Return the root of a diagram; raises where it is not well-formed."""
    return ET.fromstring(svg)  # noqa: S314 - our own output


def group(svg: str, attribute: str, value: str) -> str:
    """Return the groups whose attribute has this value, as text."""
    found = [item for item in parsed(svg).iter(f"{SVG}g") if item.get(attribute) == value]
    assert found, f"no group with {attribute}={value}"
    return "".join(ET.tostring(item, encoding="unicode") for item in found)


def strokes(svg: str, part: str) -> list[str]:
    """Return the lines of a part's symbols, without its words."""
    return re.findall(r'(?:points|d)="([^"]*)"', group(svg, "data-part", part))


def all_terminals(circuit: Circuit) -> list[str]:
    """Return every terminal of a circuit, with the frame."""
    return [terminal for part in circuit.parts.values() for terminal in terminals(part)] + [FRAME]


def check_complete(circuit: Circuit, svg: str) -> None:
    """Check that the diagram is well-formed and holds every terminal and wire once, with ids used once."""
    root = parsed(svg)
    assert Counter(all_terminals(circuit)) == Counter(filter(None, (item.get("data-terminal") for item in root.iter())))
    assert Counter(list(circuit.wires)) == Counter(filter(None, (item.get("data-wire") for item in root.iter())))
    ids = [item.get("id") for item in root.iter() if item.get("id")]
    assert len(ids) == len(set(ids))


# Reading a layout


def check_clear(layout: Layout) -> None:
    """Check that nothing on the sheet covers anything else."""
    assert not covered(layout), covered(layout)


def check_wiring(circuit: Circuit, layout: Layout) -> None:
    """Check that every wire runs between its own terminals, straight across and straight down."""
    at = {(pin.x, pin.y): pin.end.terminal for symbol in layout.symbols for pin in symbol.pins.values()}
    for line in layout.lines:
        ends = [at[line.points[0]], at[line.points[-1]]]
        if line.wire:
            assert sorted(ends) == sorted((circuit.wires[line.wire].start, circuit.wires[line.wire].end))
        for piece in segments(line.points):
            assert piece.left == piece.right or piece.top == piece.bottom


# Examples


@each_example
def test_every_terminal_and_wire_stands_once(circuit: Circuit) -> None:
    """A diagram is whole: a front end finds each terminal and wire by its name, and no id twice."""
    check_complete(circuit, draw(circuit))


@each_example
def test_nothing_covers_anything(circuit: Circuit) -> None:
    """Symbols, words and click areas keep clear of each other, and lines keep clear of symbols and words."""
    check_clear(lay_out(circuit))


@each_example
def test_the_diagram_tells_the_true_wiring(circuit: Circuit) -> None:
    """A wire on paper joins what it joins on the machine, and its break would cut nothing else."""
    check_wiring(circuit, lay_out(circuit))


def test_the_largest_example_is_large() -> None:
    """The claims above hold for a machine of some size, not only for small ones."""
    assert len(EXAMPLES["verge-mower"].parts) >= 25


def test_a_lesson_circuit_fits_a_projector() -> None:
    """A relay circuit of ten parts takes no more than a common projector shows."""
    layout = lay_out(EXAMPLES["salt-spreader"])
    assert layout.width <= 1100
    assert layout.height <= 620


def test_supply_stands_above_and_return_below() -> None:
    """In a series circuit every terminal nearer the supply stands higher."""
    layout = lay_out(EXAMPLES["salt-spreader"])
    y = {pin.end.terminal: pin.y for symbol in layout.symbols for pin in symbol.pins.values() if not pin.end.copy}
    way = ["F1:1", "F1:2", "S1:1", "S1:2", "B1:1", "B1:2", "K1:86", "K1:85", "E1:1", "FRAME"]
    assert [y[terminal] for terminal in way] == sorted(y[terminal] for terminal in way)
    assert y["X1:b2"] < y["X1:a2"]  # the return passes the connector from the motor's half


def test_plus_to_frame_is_drawn_with_the_frame_above() -> None:
    """The layout follows the supply, not the habit that the frame is below."""
    layout = lay_out(EXAMPLES["gate-lamp"])
    y = {pin.end.terminal: pin.y for symbol in layout.symbols for pin in symbol.pins.values()}
    assert y["FRAME"] < y["G1:-"]
    assert y["Y1:1"] < y["Y1:2"] < y["S1:1"]


def test_path_numbers_stand_on_top_from_the_left() -> None:
    """Current paths are numbered 1, 2, 3 … from left to right, above every symbol."""
    layout = lay_out(EXAMPLES["salt-spreader"])
    numbers = [text for text in layout.heading if text.words.isdigit()]
    assert [text.words for text in numbers] == [str(number) for number in range(1, len(numbers) + 1)]
    assert [text.x for text in numbers] == sorted(text.x for text in numbers)
    assert all(text.y < symbol.top for text in numbers for symbol in layout.symbols)


def test_hints_order_the_paths() -> None:
    """What an author writes under ``paths`` stands in that order, each path from top to bottom."""
    hints = "paths:\n  - [F1, S1, S2, K1]\n  - [K1, W9, X1, M1]\n  - [P1]\n"
    layout = lay_out(parse_circuit(SPREADER + hints))
    x = {symbol.element.ends[0].terminal: symbol.pins[symbol.element.ends[0]].x for symbol in layout.symbols}
    assert x["F1:1"] == x["S1:1"] == x["S2:3"] == x["K1:86"]
    assert x["K1:86"] < x["K1:30"] == x["M1:1"] < x["P1:1"]
    check_clear(layout)


# What is shown of the machine's state


def test_contacts_are_drawn_at_rest_and_the_note_says_so() -> None:
    """Without commanded positions the sheet claims nothing about the machine (IEC 61082-1)."""
    circuit = EXAMPLES["salt-spreader"]
    assert "Contacts: at rest." in draw(circuit)
    assert "commanded" not in draw(circuit)


def test_a_commanded_switch_shows_it_in_its_geometry_with_the_note() -> None:
    """A moved control changes its own switch and no other symbol, and the sheet says that it was not measured."""
    circuit = EXAMPLES["salt-spreader"]
    at_rest, moved = draw(circuit, positions=circuit.rest()), draw(circuit, positions=circuit.rest() | {"lid": "shut"})
    assert [part for part in circuit.parts if strokes(at_rest, part) != strokes(moved, part)] == ["B1"]
    assert "Switches: commanded, not measured" in moved
    assert "Switches: commanded, not measured" in at_rest


def test_relay_contacts_stay_at_rest() -> None:
    """No position makes a relay contact move on paper: whether it does is for the student to find out."""
    circuit = EXAMPLES["verge-mower"]
    at_rest = draw(circuit)
    for state in circuit.states():
        shown = draw(circuit, positions=state)
        assert strokes(shown, "K1") == strokes(at_rest, "K1")
        assert strokes(shown, "K2") == strokes(at_rest, "K2")


def test_a_position_that_does_not_exist_is_drawn_at_rest() -> None:
    """A front end that is ahead of or behind the circuit still gets a diagram."""
    circuit = EXAMPLES["salt-spreader"]
    assert draw(circuit, positions={"key": "sideways", "ghost": "on"}) == draw(circuit, positions=circuit.rest())


@pytest.mark.parametrize(
    ("unplugged", "part", "contact"),
    [("X1", "X1", "1"), ("X1:a2", "X1", "2"), ("M1", "M1", ""), ("K1:86", "K1", "coil"), ("G1", "G1", "")],
)
def test_what_is_unplugged_is_drawn_apart(unplugged: str, part: str, contact: str) -> None:
    """Unplugging changes the strokes of what was unplugged, and of no other part."""
    circuit = EXAMPLES["salt-spreader"]
    mated, apart = parsed(draw(circuit)), parsed(draw(circuit, unplugged=[unplugged]))
    changed = {
        (one.get("data-part"), one.get("data-contact"))
        for one, other in zip(mated.iter(f"{SVG}g"), apart.iter(f"{SVG}g"), strict=True)
        if ET.tostring(one) != ET.tostring(other)
    }
    assert (part, contact) in changed
    assert {name for name, _ in changed} == {part}


def test_a_lifted_lead_does_not_reach_its_terminal() -> None:
    """The gap is in the geometry: no stroke of the symbol comes within the terminal's circle."""
    circuit = EXAMPLES["salt-spreader"]
    layout = lay_out(circuit, unplugged=["M1:1"])
    pin = next(pin for symbol in layout.symbols for pin in symbol.pins.values() if pin.end.terminal == "M1:1")

    def nearest(svg: str) -> float:
        lines = re.findall(r'<(?:ns0:)?polyline points="([^"]*)"', group(svg, "data-part", "M1"))
        points = [tuple(map(float, point.split(","))) for points in lines for point in points.split()]
        return min(abs(x - pin.x) + abs(y - pin.y) for x, y in points)

    assert nearest(draw(circuit)) == 0
    assert nearest(draw(circuit, unplugged=["M1:1"])) > PIN_RADIUS + 2


# A path of the current

AUGER = ("W1", "F1", "W3", "K1 30-87", "W9", "X1:1", "W10", "M1", "W11", "X1:2", "W12", "E1", "FRAME", "W15")
"""The auger motor's current on the salt spreader, from the battery's + to its -."""


def on_path(svg: str) -> dict[str, str]:
    """Return what is drawn thick: wires by name, symbols by part and contact, each with its SVG."""
    found = {}
    for item in parsed(svg).iter(f"{SVG}g"):
        if "fw-on-path" in (item.get("class") or ""):
            name = item.get("data-wire") or f"{item.get('data-part')} {item.get('data-contact')}".strip()
            found[name] = ET.tostring(item, encoding="unicode")
    return found


def test_a_path_is_drawn_thick_and_nothing_else_is() -> None:
    """Wires, symbols, one contact of a relay and not its coil, one pin of a connector: what lies on the path."""
    shown = on_path(draw(EXAMPLES["salt-spreader"], path=("W6", "K1 coil", "W8", "E1")))
    assert set(shown) == {"W6", "K1 coil", "W8", "E1"}
    shown = on_path(draw(EXAMPLES["salt-spreader"], path=("W9", "X1:1", "W10", "M1")))
    assert set(shown) == {"W9", "X1 1", "W10", "M1"}
    contact = next(name for name in on_path(draw(EXAMPLES["salt-spreader"], path=AUGER)) if name.startswith("K1"))
    assert contact == "K1 30-87 30-87a"


def test_each_wire_of_a_path_has_an_arrow_the_way_of_the_current() -> None:
    """Read from the arrow's three points, and against the order in which the author wrote a wire where that differs."""
    layout = lay_out(EXAMPLES["salt-spreader"])
    at = {
        pin.end.terminal: (pin.x, pin.y)
        for symbol in layout.symbols
        for end, pin in symbol.pins.items()
        if not end.copy
    }
    points = {line.wire: line.points for line in layout.lines}
    for path, way in ((AUGER, 1), (AUGER[::-1], -1)):
        shown = on_path(draw(EXAMPLES["salt-spreader"], path=path))
        for wire in EXAMPLES["salt-spreader"].wires.values():
            if wire.name not in path:
                continue
            (head,) = re.findall(r'polygon points="([^"]*)"', shown[wire.name])
            tip, *barbs = [tuple(map(float, point.split(","))) for point in head.split()]
            back = [(barbs[0][axis] + barbs[1][axis]) / 2 for axis in (0, 1)]
            entry, leaving = (wire.end, wire.start) if wire.name == "W15" else (wire.start, wire.end)
            ends = [points[wire.name][0], points[wire.name][-1]]
            run = points[wire.name] if ends == [at[entry], at[leaving]] else points[wire.name][::-1]
            piece = max(pairwise(run), key=lambda two: abs(two[1][0] - two[0][0]) + abs(two[1][1] - two[0][1]))
            along = sum((piece[1][axis] - piece[0][axis]) * (tip[axis] - back[axis]) for axis in (0, 1))
            assert along * way > 0, wire.name


def test_a_path_is_told_to_who_cannot_see_it() -> None:
    """The text alternative names the places in the order of the current, and the sheet's note explains the look."""
    svg = draw(EXAMPLES["salt-spreader"], path=AUGER)
    told = parsed(svg).findtext(f"{SVG}desc") or ""
    assert f"The path drawn thick, in the order of the current: {', '.join(AUGER)}." in told
    assert "Thick, with arrows: the path shown." in svg
    assert "path shown" not in draw(EXAMPLES["salt-spreader"])


def test_a_path_changes_no_place_on_the_sheet() -> None:
    """With and without a path every symbol, line and word stands in the same place; nothing is covered."""
    plain, shown = lay_out(EXAMPLES["verge-mower"]), lay_out(EXAMPLES["verge-mower"], with_path=True)
    assert (plain.symbols, plain.lines, plain.frame, plain.dots) == (
        shown.symbols,
        shown.lines,
        shown.frame,
        shown.dots,
    )
    check_clear(shown)


def test_without_a_path_the_drawing_has_no_trace_of_one() -> None:
    """Drawings that were made before stay as they were, to the byte; so does one whose places do not exist, nearly."""
    circuit = EXAMPLES["salt-spreader"]
    assert draw(circuit, path=()) == draw(circuit)
    assert "fw-on-path" not in draw(circuit)
    assert on_path(draw(circuit, path=("W99", "ghost"))) == {}


# The document


def test_an_authors_text_is_escaped() -> None:
    """A title with markup signs, quotes and a control character comes out as text."""
    circuit = EXAMPLES["verge-mower"]
    root = parsed(draw(circuit))
    assert root.findtext(f"{SVG}title") == circuit.title
    odd = parse_circuit('circuit: a\ntitle: "bell\\a & <b>"\nparts: {F1: {kind: fuse}}\nwires: {}\n')
    assert parsed(draw(odd)).findtext(f"{SVG}title") == "bell\ufffd & <b>"


def test_ids_carry_the_scope() -> None:
    """Two diagrams on one page share no id."""
    circuit = EXAMPLES["salt-spreader"]
    ids = [
        {item.get("id") for item in parsed(draw(circuit, scope=scope)).iter() if item.get("id")}
        for scope in ("bench-1", "bench-2")
    ]
    assert not ids[0] & ids[1]
    assert all(str(name).startswith("bench-1") for name in ids[0])


def test_terminals_can_be_clicked() -> None:
    """Every terminal is a group with a circle to see and an area of 24 pixels to hit (WCAG 2.2, target size)."""
    for item in parsed(draw(EXAMPLES["verge-mower"])).iter(f"{SVG}g"):
        if item.get("class") == "fw-terminal":
            radii = sorted(float(circle.get("r", "0")) for circle in item.iter(f"{SVG}circle"))
            assert radii[0] >= 4
            assert radii[-1] >= 12


def test_symbols_carry_part_and_contact() -> None:
    """A relay's coil and each of its contacts are symbols of their own."""
    root = parsed(draw(EXAMPLES["pond-pump"]))
    found = {item.get("data-contact") for item in root.iter(f"{SVG}g") if item.get("data-part") == "K1"}
    assert found == {"coil", "1-2", "13-14", "21-22"}


def test_no_text_is_smaller_than_eleven_pixels() -> None:
    """The diagram can be read from the back of a classroom and on a small screen."""
    sizes = [float(item.get("font-size", "0")) for item in parsed(draw(EXAMPLES["verge-mower"])).iter(f"{SVG}text")]
    assert min(sizes) >= 11


def test_the_text_alternative_tells_every_path() -> None:
    """Somebody who cannot see the diagram hears every wire with both its ends, and every part, path by path."""
    circuit = EXAMPLES["salt-spreader"]
    root = parsed(draw(circuit))
    told = root.findtext(f"{SVG}desc") or ""
    assert root.get("role") == "img"
    assert "Path 1: G1 battery (+ to -), W15 (FRAME to G1:-)." in told
    for wire in circuit.wires.values():
        assert (
            told.count(f"{wire.name} ({wire.start} to {wire.end})")
            + told.count(f"{wire.name} ({wire.end} to {wire.start})")
            == 1
        )
    assert all(f" {part} " in told for part in circuit.parts)


def test_the_same_circuit_gives_the_same_document_in_every_process() -> None:
    """The order of sets and hashes does not reach the paper."""
    code = (
        "import sys; from faultwright.circuit_file import parse_circuit; from faultwright.drawing.svg import draw; "
        "sys.stdout.buffer.write(draw(parse_circuit(sys.stdin.buffer.read().decode('utf-8'))).encode('utf-8'))"
    )
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", code],
            input=VERGE_MOWER.encode(),
            capture_output=True,
            check=True,
            env=os.environ | {"PYTHONHASHSEED": seed},
        )
        assert done.stdout.decode("utf-8") == draw(EXAMPLES["verge-mower"])


def test_a_circuit_without_wires_is_drawn() -> None:
    """A parts list alone gives a sheet with the parts."""
    circuit = parse_circuit("circuit: shelf\nparts: {K1: {kind: relay}, X1: {kind: connector, pins: 9}}\nwires: {}\n")
    check_complete(circuit, draw(circuit))
    check_clear(lay_out(circuit))


def test_every_kind_of_part_has_its_own_look() -> None:
    """No two kinds are drawn with the same strokes, so a symbol can be told without its name."""
    looks = {}
    for kind in KINDS:
        contacts = (Contact(("1", "2"), ("on",)),) if kind == "switch" else ()
        control = "key" if kind == "switch" else None
        part = finished(Part("Q1", kind, {}, contacts, control), 12.0)
        circuit = Circuit("one", "One", 12.0, {"Q1": part}, {}, {"key": Control("key", "Key", ("off", "on"))})
        root = parsed(draw(circuit))
        inked = [
            "".join(
                ET.tostring(stroke, encoding="unicode") for stroke in item if not stroke.tag.endswith(("title", "text"))
            )
            for item in root.iter(f"{SVG}g")
            if item.get("data-part") == "Q1"
        ]
        looks[kind] = re.sub(r"-?\d+(\.\d+)?", lambda found: f"{float(found[0]) % 7:.1f}", inked[0])
    looks.pop("contactor")  # its coil is a relay's coil
    assert len(set(looks.values())) == len(looks)


# Any circuit

pins = st.sampled_from(["1", "2", "3", "4", "11", "12", "14", "C"])
contact_sets = st.lists(
    st.tuples(st.lists(pins, min_size=2, max_size=2, unique=True), st.sets(st.sampled_from(["low", "mid", "high"]))),
    min_size=1,
    max_size=4,
    unique_by=lambda contact: tuple(contact[0]),
)


@st.composite
def circuits(draw_: st.DrawFn) -> Circuit:
    """Return a random valid circuit: any kinds, any contacts, any wires."""
    kinds = draw_(st.lists(st.sampled_from(sorted(KINDS)), max_size=9))
    parts: dict[str, Part] = {}
    for number, kind in enumerate(kinds, start=1):
        values: dict[str, float | str] = {}
        contacts: tuple[Contact, ...] = ()
        if kind == "switch" or (KINDS[kind].states and draw_(st.booleans())):
            words = KINDS[kind].states
            contacts = tuple(
                Contact((found[0], found[1]), words[:1] if words else tuple(sorted(closed)))
                for found, closed in draw_(contact_sets)
            )
        if kind == "connector":
            values["pins"] = float(draw_(st.integers(1, 5)))
        if kind == "splice":
            values["ways"] = float(draw_(st.integers(1, 6)))
        if kind == "input":
            values["pull"] = draw_(st.sampled_from(["up", "down"]))
        parts[f"Q{number}"] = finished(
            Part(f"Q{number}", kind, values, contacts, "lever" if kind == "switch" else None), 12.0
        )
    places = [terminal for part in parts.values() for terminal in terminals(part)] + [FRAME]
    ends = st.lists(st.sampled_from(places), min_size=2, max_size=2, unique=True)
    pairs = draw_(st.lists(ends, max_size=22)) if len(places) > 1 else []
    wires = {
        f"W{number}": Wire(f"W{number}", start, end, colour=draw_(st.sampled_from(["", "RD", "GN-YE"])))
        for number, (start, end) in enumerate(pairs, start=1)
    }
    hints = (
        draw_(st.lists(st.lists(st.sampled_from([*parts, *wires]), max_size=5).map(tuple), max_size=3)) if parts else []
    )
    lever = Control("lever", draw_(st.text(max_size=50)), ("low", "mid", "high"))
    title = draw_(st.text(max_size=120))
    return Circuit("any", title, 12.0, parts, wires, {"lever": lever}, paths=tuple(hints))


@settings(max_examples=150, deadline=None)
@given(circuit=circuits(), data=st.data())
def test_any_valid_circuit_is_drawn_whole_and_clear(circuit: Circuit, data: st.DataObject) -> None:
    """Whatever is wired to whatever: no error, every terminal and wire once, nothing covered, the true wiring."""
    positions = data.draw(st.one_of(st.none(), st.sampled_from(list(circuit.states()))))
    unplugged = data.draw(st.lists(st.sampled_from([*circuit.parts, *all_terminals(circuit)]), max_size=4))
    check_complete(circuit, draw(circuit, positions=positions, unplugged=unplugged))
    layout = lay_out(circuit, positions=positions, unplugged=unplugged)
    check_clear(layout)
    check_wiring(circuit, layout)
