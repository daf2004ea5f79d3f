"""The bench card, the worksheet and the observation sheet: what stands on them, and what must not."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

import pytest
from markupsafe import escape

from faultwright.behaviour import word_of
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit, read_circuit
from faultwright.faults import Fault, parse_fault, universe
from faultwright.machine import Machine
from faultwright.meter import Probe, Reading, show
from faultwright.meter import read as take
from faultwright.moves import control_moves
from faultwright.proof import proof_of
from faultwright.workshop.bench_readings import MOST_SUSPECTS, bench_readings, shown, told_apart
from faultwright.workshop.card import BenchCard, bench_card
from faultwright.workshop.complaint import Complaints
from faultwright.workshop.isolation import always_live, behind_plugs, guards, isolation_steps
from faultwright.workshop.observation import observation_sheet
from faultwright.workshop.papers import card_page, observation_page, worksheet_page
from faultwright.workshop.refusals import Permission
from faultwright.workshop.worksheet import worksheet
from faultwright_course.catalogue import circuit_path
from tests.core import depot

COMPRESSOR, RUNABOUT = (read_circuit(circuit_path(name)) for name in ("compressor", "runabout"))
GATE = parse_circuit(depot.GATE)


@cache
def card(circuit: Circuit, name: str) -> BenchCard:
    """Return a fault's card."""
    return bench_card(Permission(circuit), parse_fault(name, circuit))


# The complaint


DEAD = (
    "With key switch on and hold-to-run button pressed: compressor no (should be yes), relay no (should be yes), "
    "lamp off (should be lit)."
)


@pytest.mark.parametrize(
    ("circuit", "name", "words"),
    [
        (COMPRESSOR, "W6 open", (DEAD,)),
        (COMPRESSOR, "P1 open", ("With key switch on and hold-to-run button pressed: lamp off (should be lit).",)),
        (COMPRESSOR, "W6 open when disturbed", ("Now and then, when the machine shakes.", DEAD)),
        (GATE, "W5 open", ("With everything at rest, after what was done before: moves not going on by itself.",)),
        (COMPRESSOR, "G1 discharged", ("No complaint: the machine came in for a check.",)),
    ],
)  # fmt: skip
def test_complaint(circuit: Circuit, name: str, words: tuple[str, ...]) -> None:
    """What an operator tells, whole: in use, now and then, after other moves, or nothing at all."""
    assert Complaints(circuit).of(parse_fault(name, circuit)).words == words


@pytest.mark.parametrize("circuit", [COMPRESSOR, GATE], ids=lambda circuit: circuit.name)
def test_the_complaint_is_true(circuit: Circuit) -> None:
    """For every fault that is seen at once, a machine moved to the state of its complaint shows what it says."""
    complaints = Complaints(circuit)
    for fault in universe(circuit).values():
        found = complaints.of(fault)
        if found.state is None or "after what" in found.words[0] or fault.mode == "sticking":
            continue
        seen, sound = (looked(circuit, faults, found.state) for faults in ([fault], []))
        told = dict(re.findall(r"(\w+) (\w+) \(should be \w+\)", found.words[0]))
        assert told == {name: word for name, word in seen.items() if word != sound[name]}, fault


def looked(circuit: Circuit, faults: list[Fault], state: Mapping[str, str]) -> dict[str, str]:
    """Return what is seen of a machine brought to a state, as words."""
    machine = Machine(circuit, faults)
    for move in control_moves(circuit, machine.state, dict(state)):
        machine.move(move)
    return {name: word_of(seen) for name, seen in machine.seen().items()}


# The readings


@pytest.mark.parametrize(
    ("mode", "value", "words"),
    [("volts", 12.4, "12.4 V ± 1.5 V"), ("volts", 0.0034, "0.0 V ± 0.3 V"), ("ohms", 85.0, "85 Ω ± 9.5 Ω"),
     ("volts", -0.01, "0.0 V ± 0.3 V")],
)  # fmt: skip
def test_a_reading_with_the_tolerance_of_a_real_bench(mode: str, value: float, words: str) -> None:
    """±(10 % + 0.3 V or 1 Ω), worked out by hand: 1.24 V and 0.3 V; 8.5 Ω and 1 Ω."""
    assert shown(mode, show(mode, value)) == words


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [(12.4, 12.6, False), (12.4, 9.0, True), (0.0, 0.5, False), (0.0, 0.7, True), (12.0, 9.6, False)],
)
def test_told_apart_on_a_real_bench(one: float, other: float, apart: bool) -> None:  # noqa: FBT001
    """Both may be off: 0.0 and 0.7 V do not meet (0.3 and 0.7 − 0.37), 12.0 and 9.6 V do (10.5 and 10.86)."""
    assert told_apart(show("volts", one), show("volts", other)) is apart


@pytest.mark.parametrize(
    ("circuit", "name"),
    [(COMPRESSOR, "W6 open"), (COMPRESSOR, "W2 shorted to ground"), (RUNABOUT, "R1 open"),
     (RUNABOUT, "X1:3 resistance 560 Ω"), (GATE, "W5 open"), (COMPRESSOR, "W6 open when disturbed")],
)  # fmt: skip
def test_readings_are_those_of_the_two_machines(circuit: Circuit, name: str) -> None:
    """Each reading is what the meter shows on the sound machine and with the fault, after the same moves."""
    found = card(circuit, name)
    for one in found.readings.readings:
        for faults, reading in (([found.way.fault], one.faulty), ([], one.healthy)):
            machine = Machine(circuit, faults)
            for move in one.moves:
                machine.move(move)
            assert take(machine, one.probe) == reading
            assert reading.status != "live"


def test_readings_clear_the_suspects() -> None:
    """W6 open: one point clears what lies before it, the next what lies behind and a sound machine; nobody is left."""
    found = card(COMPRESSOR, "W6 open")
    assert [one.probe for one in found.readings.readings] == [
        Probe("volts", "B1:2", "FRAME"),
        Probe("volts", "Q1:86", "FRAME"),
    ]
    assert sum(len(one.clears) for one in found.readings.readings) == MOST_SUSPECTS + 1
    assert (found.readings.alike, found.readings.sound_too) == ((), False)
    assert {"W1 open", "F1 open", "S1 stuck open"} <= set(found.readings.readings[0].clears)
    assert "a sound machine" in found.readings.readings[1].clears


def test_what_no_reading_tells_apart_is_named() -> None:
    """A diode that is open inside and one whose joint is open: no reading at the joints tells, so both are right."""
    assert set(card(RUNABOUT, "R1 open").readings.alike) == {"R1:A open", "R1:K open"}


def test_a_fault_that_no_reading_shows() -> None:
    """Half an ohm in the lamp's wire shows in no reading on a real bench, and the card says so."""
    fault = parse_fault("W12 resistance 1 Ω", COMPRESSOR)
    assert bench_readings(COMPRESSOR, fault, (), {"key": "on", "run": "pressed", "pressure": "low"}).sound_too
    assert "tells this fault from a sound machine" in card_page(card(COMPRESSOR, "W12 resistance 1 Ω"))


# The card


def test_card_page() -> None:
    """Everything an instructor needs is on it: fault, set-up, cautions with signal words, proof, signatures."""
    page = card_page(card(COMPRESSOR, "W6 resistance 40 Ω"))
    for words in (
        "Confidential: for whoever puts the fault in.",
        "Fault: W6 resistance 39 Ω",
        "Asked for was W6 resistance 40 Ω",
        "resistor of 39 Ω, 1 W or more",  # 12.6 V across 85 + 39 Ω make 0.40 W in it, and twice that is under 1 W
        "<strong>WARNING</strong> The tank is under pressure",
        "<strong>WARNING</strong> Isolate G1 before the fault is put in and again before it is taken out",
        "<strong>NOTICE</strong> Hang a tag",
        "Taking it out, and the proof",
        "Put in", "Taken out", "Proved",
    ):  # fmt: skip
        assert str(escape(words)) in page or words in page, words


@pytest.mark.parametrize("circuit", [COMPRESSOR, RUNABOUT], ids=lambda circuit: circuit.name)
def test_the_proof_shows_every_permission_and_refusal(circuit: Circuit) -> None:
    """The states on the card show all that a full table shows, and what the sound machine does in each."""
    found = card(circuit, "W6 open")
    proof = proof_of(circuit)
    shown_facts = frozenset().union(*(proof.shown_in[tuple(row.state.items())] for row in found.proof))
    assert shown_facts == proof.facts
    assert all(row.words == looked(circuit, [], row.state) for row in found.proof)
    assert found.complaint.state in [row.state for row in found.proof]


def test_signal_words_come_gravest_first() -> None:
    """ISO 3864-2: danger, warning, caution, notice; a guard that is defeated on a board begins with danger."""
    fault = parse_fault("B2 stuck closed", RUNABOUT)
    signals = [note.signal for note in bench_card(Permission(RUNABOUT, board=True), fault).cautions]
    assert signals == sorted(signals, key=["danger", "warning", "caution", "notice"].index)
    assert signals[0] == "danger"


# The worksheet


@pytest.mark.parametrize("circuit", [COMPRESSOR, GATE], ids=lambda circuit: circuit.name)
def test_faults_with_the_same_complaint_have_the_same_worksheet(circuit: Circuit) -> None:
    """To the letter; and faults with different complaints have different ones. So a worksheet cannot tell the fault."""
    complaints = Complaints(circuit)
    pages: dict[object, set[str]] = {}
    for fault in universe(circuit).values():
        complaint = complaints.of(fault)
        if fault.mode in ("open", "stuck open", "coil open", "shorted to ground"):
            key = complaints.table(fault) if complaint.state and "after" not in complaint.words[0] else complaint.words
            pages.setdefault(key, set()).add(worksheet_page(worksheet(circuit, complaint)))
    assert all(len(alike) == 1 for alike in pages.values())
    assert max(len(complaints.suspects(fault)) for fault in universe(circuit).values()) > 5
    assert len({page for alike in pages.values() for page in alike}) > 2


@pytest.mark.parametrize("name", ["W6 open", "B1 stuck open", "Q1 coil open", "W6 open when disturbed"])
def test_a_worksheet_does_not_name_the_fault(name: str) -> None:
    """Neither fault nor remedy nor suspect is named, though the drawing has all its places."""
    fault = parse_fault(name, COMPRESSOR)
    page = worksheet_page(worksheet(COMPRESSOR, Complaints(COMPRESSOR).of(fault)))
    written = re.sub(r"<svg.*?</svg>|<style>.*?</style>", "", page, flags=re.DOTALL)
    for words in (str(fault), fault.name, fault.cause, *fault.remedies, *(f" {place} " for place in ("W6", "B1"))):
        assert str(escape(words)) not in written


def test_symptom_table_of_a_large_machine_is_short() -> None:
    """Of 32 states those stand on paper that show everything, and rest; of 8 all do."""
    complaint = Complaints(RUNABOUT).of(parse_fault("R1 open", RUNABOUT))
    rows = worksheet(RUNABOUT, complaint).rows
    assert len(rows) < 10
    assert RUNABOUT.rest() in [row.state for row in rows]
    assert len(worksheet(COMPRESSOR, Complaints(COMPRESSOR).of(parse_fault("W6 open", COMPRESSOR))).rows) == 8


# Isolation and the observation sheet


def test_points_that_are_always_live() -> None:
    """Before the first fuse and contact: battery, fuse and, on the runabout, the starter's relay, which has no fuse."""
    assert always_live(COMPRESSOR) == ("G1:+", "F1:1")
    assert always_live(RUNABOUT) == ("G1:+", "F1:1", "Q1:30")


def test_guards() -> None:
    """The switches in the routes of what can hurt: on the compressor all three, and no relay."""
    assert set(guards(COMPRESSOR)) == {"S1", "S2", "B1"}
    assert set(guards(RUNABOUT)) == {"S1", "S2", "S3", "B1", "B2"}


def test_isolation_steps() -> None:
    """A battery goes off by its return lead; a supply is switched off. Dead is proved in three parts."""
    assert isolation_steps(COMPRESSOR) == (
        "Bring every control to rest and have people step clear.",
        "Take the return lead of G1 off first (W14 at G1:-), and put it on last.",
        (
            "Prove dead: the tester on a known live point (G1:+ to G1:-, at the source itself), then the circuit (F1:1 "
            "to FRAME and at the place of work), then the known live point again."
        ),
    )
    assert isolation_steps(GATE)[1] == "Switch T1 off and pull its plug; W10 at T1:- stays on."


def test_observation_sheet_of_a_circuit() -> None:
    """Its own sources, live points, plugs, reach and guards are named; levels are those of the trade."""
    circuit = parse_circuit(REACH)
    assert behind_plugs(circuit) == {"X1": ("X1:b1", "M1:1")}
    criteria = [one for _, some in observation_sheet(circuit).sections for one in some]
    told = {one.words: one.level for one in criteria}
    assert told["No jumper and no test lamp round a guard while the machine can move: S1."] == "critical"
    assert told["Unplugged first what hides the points: X1 for X1:b1, M1:1."] == "minor"
    assert told["No amps across a source; no ohms, continuity or diode test on a live circuit."] == "serious"
    assert [one.number for one in criteria] == list(range(1, len(criteria) + 1))


def test_above_extra_low_voltage_isolation_is_critical() -> None:
    """At 12 V the missing isolation is serious, at 110 V critical."""
    levels = []
    for nominal in ("12 V", "110 V"):
        circuit = parse_circuit(REACH.replace("12 V", nominal))
        sections = dict(observation_sheet(circuit).sections)
        levels.append(sections["Isolating"][0].level)
    assert levels == ["serious", "critical"]


def test_observation_sheet_of_any_circuit() -> None:
    """It names no part, has both levels of isolation, and claims nothing about hand skill."""
    page = observation_page(observation_sheet(None))
    assert "emergency stop, guard switches, hold-to-run, interlocks" in page
    assert "no program claims anything about hand skill" in page
    assert "<svg" not in page


REACH = """
circuit: blower
nominal: 12 V
controls: {key: {positions: [off, on]}}
parts:
  G1: {kind: battery}
  F1: {kind: fuse}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  X1: {kind: connector}
  M1: {kind: motor}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:1}
  W3: {from: S1:2, to: X1:a1}
  W4: {from: X1:b1, to: M1:1}
  W5: {from: M1:2, to: G1:-}
reach: {F1:1: free, F1:2: free, X1:b1: X1, M1:1: X1}
behaviour: {blows: {motor: M1}}
"""


@pytest.mark.parametrize("page", ["card", "worksheet", "observation"])
def test_names_are_escaped(page: str) -> None:
    """A title with markup stands as it is written and does nothing."""
    circuit = parse_circuit(REACH.replace("circuit: blower", 'circuit: blower\ntitle: "<b>Blower</b> & co"'))
    permission = Permission(circuit)
    fault = parse_fault("W3 open", circuit)
    made = {
        "card": lambda: card_page(bench_card(permission, fault)),
        "worksheet": lambda: worksheet_page(worksheet(circuit, permission.complaints.of(fault))),
        "observation": lambda: observation_page(observation_sheet(circuit)),
    }[page]()
    assert "<b>Blower" not in made
    assert "&lt;b&gt;Blower&lt;/b&gt; &amp; co" in made


def test_a_floating_point_is_told_in_words() -> None:
    """A point joined to nothing shows about nothing on a real meter."""
    floating = Reading(None, "V", "0.00 V", "floating", 0.0, 0.01)
    assert shown("volts", floating) == "0 V, joined to nothing"
    assert not told_apart(floating, show("volts", 0.1))
    assert told_apart(floating, show("volts", 12.0))
