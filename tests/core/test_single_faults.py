"""The single-fault sheet: what each fault makes a machine refuse or permit, and what shows it."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

import pytest

from faultwright import second_faults
from faultwright.circuit_file import parse_circuit, read_circuit
from faultwright.fault_effects import Change, Level, change
from faultwright.faults import parse_fault, universe
from faultwright.machine import Machine
from faultwright.moves import control_moves
from faultwright.single_faults import Row, Severity, Sheet, single_faults
from faultwright.statements import parse_condition
from tests.core.depot import MOWER, SHED, circuit
from tests.core.interlocks import CHIPPER, NEUTRAL_OR_BOTH

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from faultwright.behaviour import Seen
    from faultwright.circuit import Circuit

DISCLAIMER = "Teaching aid. Not a safety assessment to ISO 12100, ISO 13849 or IEC 62061."

HOPPER = """
circuit: seed-hopper
title: Seed hopper, two gates
nominal: 12 V
controls:
  left:  {label: Left gate, positions: [open, shut]}
  right: {label: Right gate, positions: [open, shut]}
  stir:  {label: Stirrer switch, positions: [off, on]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: stir, contacts: {1-2: [on]}}
  B1: {kind: switch, control: left, contacts: {1-2: [shut], 1-4: [open]}}
  B2: {kind: switch, control: right, contacts: {1-2: [shut], 1-4: [open]}}
  R1: {kind: diode}
  M1: {kind: motor}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: B1:1}
  W3: {from: B1:2, to: B2:2}
  W4: {from: B2:1, to: M1:1}
  W5: {from: M1:2, to: FRAME}
  W6: {from: G1:-, to: FRAME}
  W7: {from: B2:4, to: R1:A}
  W8: {from: R1:K, to: B1:4}
behaviour:
  stirs: {motor: M1}
"""
"""It stirs with both gates shut; a diode alone keeps it from stirring with both open, two moves from any work."""


@cache
def course(name: str) -> Circuit:
    """Return a circuit of the course."""
    return read_circuit(str(files("faultwright_course") / "circuits" / f"{name}.yaml"))


@cache
def sheet(machine: Circuit) -> Sheet:
    """Return the sheet of a circuit; each is worked out once."""
    return single_faults(machine)


def row(machine: Circuit, label: str) -> Row:
    """Return a fault's row."""
    return next(one for one in sheet(machine).rows if one.label == label)


def seen(machine: Circuit, state: Mapping[str, str], *faults: str) -> dict[str, Seen]:
    """Return what a machine with these faults is seen to do when it is operated from rest to a state."""
    operated = Machine(machine, [parse_fault(fault, machine) for fault in faults])
    for move in control_moves(machine, machine.rest(), dict(state)):
        operated.move(move)
    return operated.seen()


def where(machine: Circuit, label: str, behaviour: str, what: Change) -> list[dict[str, str]]:
    """Return the states in which a fault changes a behaviour so."""
    numbers = [
        number
        for effect in row(machine, label).effects
        if (effect.behaviour, effect.change) == (behaviour, what)
        for number in effect.states
    ]
    return [sheet(machine).sound.states[number] for number in numbers]


# What the trade knows


def test_a_broken_stop_wire_permits_and_a_chafed_one_refuses() -> None:
    """Stop by ground: with the wire broken the engine will not stop, with it chafed it will not start.

    Common practice: open is run, closed is stop.
    """
    mower = circuit(MOWER)
    broken = where(mower, "W6 open", "sparks", Change.PERMITTED)
    assert {"key": "off", "seat": "taken", "brake": "released"} in broken
    assert all(state["key"] == "off" for state in broken)
    assert row(mower, "W6 open").severity is Severity.PERMITS_SEEN_IN_ROUTINE_CHECK
    chafed = row(mower, "W6 shorted to ground")
    assert chafed.severity is Severity.REFUSES
    assert {effect.behaviour for effect in chafed.effects} == {"sparks", "runs"}


@pytest.mark.parametrize(
    ("machine", "fault"),
    [
        (circuit(NEUTRAL_OR_BOTH), "S2 stuck closed"),
        (circuit(NEUTRAL_OR_BOTH), "B2 stuck closed"),
        (course("runabout"), "S3 stuck closed"),
        (course("runabout"), "B2 stuck closed"),
        (course("runabout"), "W11 shorted to ground"),
    ],
    ids=lambda value: value if isinstance(value, str) else value.name,
)
def test_a_stuck_enabling_switch_permits_silently(machine: Circuit, fault: str) -> None:
    """Enable by ground: stuck closed, the switch lets the machine crank though it must not; only a check shows it.

    Common practice. On the machine itself nothing that a person sees differs in any state of ordinary use.
    """
    found = row(machine, fault)
    assert found.severity is Severity.PERMITS_SEEN_IN_ROUTINE_CHECK
    assert found.revealed is not None
    assert found.revealed.level is Level.ROUTINE
    cranks = where(machine, fault, "cranks", Change.PERMITTED)
    assert cranks
    for state in cranks:
        assert seen(machine, state, fault)["cranks"] is True
        assert seen(machine, state)["cranks"] is False
    of_use = [sheet(machine).sound.states[number] for number in sheet(machine).sound.levels[Level.ORDINARY]]
    for state in of_use:
        faulty, sound = seen(machine, state, fault), seen(machine, state)
        assert {name for name in sound if faulty[name] != sound[name]} <= {"sparks"}  # a module's input is not seen


def test_a_lamp_that_shares_the_switch_gives_it_away() -> None:
    """The neutral switch of the runabout stuck closed permits too, but the neutral lamp is lit in gear."""
    found = row(course("runabout"), "B1 stuck closed")
    assert found.severity is Severity.PERMITS_SEEN_IN_USE
    assert found.revealed is not None
    assert found.revealed.effect.behaviour == "neutral_lamp"


def test_a_permissive_chain_drops_out_with_any_contact_stuck_open() -> None:
    """A series chain refuses with any one contact open (common practice), and ordinary use shows it."""
    chipper = circuit(CHIPPER)
    for contact in ("S1", "B1", "S2", "S3"):
        found = row(chipper, f"{contact} stuck open")
        assert found.severity is Severity.REFUSES
        assert found.revealed is not None
        assert found.revealed.level is Level.ORDINARY


def test_what_does_not_hold_itself_in_refuses_once_begun() -> None:
    """A burnt hold-in contact shows only after the start button is let go: so on the sheet, and so on the machine."""
    chipper = circuit(CHIPPER)
    found = row(chipper, "Q1 13-14 stuck open")
    assert found.severity is Severity.REFUSES
    assert all(effect.once_begun for effect in found.effects)
    for faults, goes_on in (((), True), (("Q1 13-14 stuck open",), False)):
        operated = Machine(chipper, [parse_fault(fault, chipper) for fault in faults])
        for move in ("guard=shut", "start=pressed", "start=released"):
            operated.move(move)
        assert operated.seen() == {"chips": goes_on}


def test_what_only_two_controls_together_show_is_worst() -> None:
    """A shorted diode lets the stirrer run with both gates open: two moves from any work, so no routine check sees."""
    hopper = circuit(HOPPER)
    found = row(hopper, "R1 shorted")
    assert found.severity is Severity.PERMITS_UNSEEN
    assert where(hopper, "R1 shorted", "stirs", Change.PERMITTED) == [{"left": "open", "right": "open", "stir": "on"}]
    assert sheet(hopper).rows[0].severity is Severity.PERMITS_UNSEEN


# Every fault in every state, operated by hand


def test_every_fault_in_every_state_is_as_the_operated_machine_shows_it() -> None:
    """The sheet of the mower against a machine operated from rest: each fault, each state, each behaviour.

    A sticking switch follows one move late, so it is compared in the states that are one move from rest.
    """
    mower = circuit(MOWER)
    names = sheet(mower).sound.hurting
    assert names == {"cranks", "sparks", "runs"}
    states = list(mower.states())
    sound = [seen(mower, state) for state in states]
    for one in sheet(mower).rows:
        changed = {(effect.behaviour, number, effect.change) for effect in one.effects for number in effect.states}
        found, compared = set(), set()
        for number, state in enumerate(states):
            if one.fault.mode == "sticking" and len(control_moves(mower, mower.rest(), state)) > 1:
                continue
            compared.add(number)
            for name, value in seen(mower, state, str(one.fault)).items():
                if value != sound[number][name]:
                    found.add((name, number, Change.PERMITTED if value else Change.REFUSED))
        assert {entry for entry in changed if entry[1] in compared} == found, one.label
        if len(compared) == len(states):
            assert (one.severity <= Severity.PERMITS_SEEN_IN_USE) == any(
                what is Change.PERMITTED for _, _, what in found
            )
            assert (one.severity is Severity.LATENT) == (not found)


@pytest.mark.parametrize(
    ("sound", "now", "expected"),
    [
        (0, 0, None),
        (1, 0, Change.REFUSED),
        (0, 1, Change.PERMITTED),
        (2, 1, Change.WEAKENED),
        (1, 2, Change.PERMITTED),
        (2, 0, Change.REFUSED),
        (0, -1, Change.PERMITTED),
        (1, -1, Change.REFUSED),
        (-1, 1, None),
    ],
)
def test_changes(sound: int, now: int, expected: Change | None) -> None:
    """A code against the sound machine's: what buzzes neither works nor is refused; where sound buzzes, nothing is."""
    assert change(sound, now) is expected


def test_levels_of_the_compressor() -> None:
    """By hand: it works with key on, button pressed, tank low; ordinary use is that, rest, and the button let go."""
    sound = sheet(course("compressor")).sound
    states = [tuple(state.values()) for state in sound.states]
    rest, works, let_go = ("off", "released", "low"), ("on", "pressed", "low"), ("on", "released", "low")
    assert {states[number] for number in sound.levels[Level.ORDINARY]} == {rest, works, let_go}
    assert {states[number] for number in sound.levels[Level.ROUTINE]} == {
        works,
        let_go,
        ("off", "pressed", "low"),
        ("on", "pressed", "full"),
    }
    assert len(sound.levels[Level.EVERY]) == 8


def test_functions_that_can_hurt() -> None:
    """A relay that feeds a motor counts with it, an input that keeps an engine running too; a lamp never does."""
    assert sheet(course("compressor")).sound.hurting == {"compressor", "relay"}
    assert sheet(course("runabout")).sound.hurting == {"cranks", "sparks", "runs"}
    assert sheet(circuit(SHED)).sound.hurting == frozenset()
    assert {one.severity for one in sheet(circuit(SHED)).rows} == {Severity.MISLEADS, Severity.LATENT}


def test_a_high_value_stands_where_no_other_fault_does_the_same() -> None:
    """The runabout's shared ground at 100 kΩ: stand and clutch are lost and neutral is not, which no break does."""
    machine = course("runabout")
    high = [one for one in sheet(machine).rows if one.label.endswith("100 kΩ")]
    assert [one.label for one in high] == ["XE1 resistance 100 kΩ", "XE1:1 resistance 100 kΩ"]
    state = {"key": "on", "gear": "neutral", "clutch": "released", "stand": "down", "start": "pressed"}
    assert seen(machine, state, "XE1 resistance 100 kΩ")["cranks"] is True
    assert seen(machine, state, "XE1 open")["sparks"] is False
    raised = {**state, "gear": "engaged", "stand": "raised"}
    assert seen(machine, raised, "XE1 resistance 100 kΩ")["cranks"] is False


# Series contacts


def test_guards_in_series_mask_each_other() -> None:
    """One guard stuck closed shows when it alone is open, and not while another is: ISO/TR 24119 (scope read).

    Both are proved on the operated machine, for each two of the three contacts.
    """
    chipper = circuit(CHIPPER)
    (series,) = sheet(chipper).series
    assert series.loads == ("Q1",)
    assert series.contacts == ("S1", "B1", "S2")
    assert [(one.fault.name, one.hidden_by) for one in series.masked] == [
        ("S1 stuck closed", ("B1", "S2")),
        ("B1 stuck closed", ("S1", "S2")),
        ("S2 stuck closed", ("S1", "B1")),
    ]
    opened = {
        "S1": {"emergency": "pushed"},
        "B1": {"guard": "open"},
        "S2": {"stop": "pressed"},
    }
    works = {"emergency": "out", "guard": "shut", "stop": "released", "start": "pressed"}
    for one in series.masked:
        alone = {**works, **opened[one.fault.place]}
        assert series.sound.states[one.shows] == alone
        assert seen(chipper, alone, one.fault.name) != seen(chipper, alone)
        for other in one.hidden_by:
            both = {**alone, **opened[other]}
            assert seen(chipper, both, one.fault.name) == seen(chipper, both)
    assert "\n".join(series.words()) == (
        "In series, all needed by Q1: S1, B1, S2\n"
        "S1 stuck closed shows with emergency stop pushed and guard shut and start button pressed, where it alone is "
        "open; while B1 or S2 is open too, it is masked\n"
        "B1 stuck closed shows with start button pressed, where it alone is open; while S1 or S2 is open too, it is "
        "masked\n"
        "S2 stuck closed shows with guard shut and stop button pressed and start button pressed, where it alone is "
        "open; while S1 or B1 is open too, it is masked"
    )


def test_a_lamp_on_the_way_keeps_a_contact_from_being_masked() -> None:
    """On the runabout the key switch stuck closed lights the neutral lamp whether the start button is open or not."""
    (series,) = sheet(course("runabout")).series
    assert series.contacts == ("S1", "S2")
    assert [one.fault.name for one in series.masked] == ["S2 stuck closed"]


# Two faults


def test_a_second_fault_behind_a_latent_one_permits() -> None:
    """The compressor's motor plug with its two pins exchanged does nothing; then a short by the motor runs it.

    Against machines operated with every second fault that is harmless alone, in every state.
    """
    machine = course("compressor")
    first = "X1:1 swapped with X1:2"
    found = row(machine, first)
    assert found.severity is Severity.LATENT
    assert [(one.fault.name, one.behaviour) for one in found.seconds or ()] == [("W10 shorted to supply", "compressor")]
    expected = set()
    for other in sheet(machine).rows:
        if other.severity < Severity.REFUSES or other.fault.place in {"X1:1", "X1:2"}:
            continue
        for state in machine.states():
            must = seen(machine, state)
            both = seen(machine, state, first, str(other.fault))
            if any(both[name] and not must[name] for name in ("compressor", "relay")):
                expected.add(other.label)
    assert expected == {one.fault.name for one in found.seconds or ()}
    for fault in (first, "W10 shorted to supply"):
        assert not any(seen(machine, state, fault)["compressor"] and not seen(machine, state)["compressor"]
                       for state in machine.states())  # fmt: skip


def test_what_is_not_looked_for_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """With fewer points than one latent fault takes, each latent fault is named as not paired; with room, none is."""
    monkeypatch.setattr(second_faults, "MOST_POINTS", 10)
    cut = single_faults(circuit(CHIPPER))
    latent = [one.label for one in cut.rows if one.severity is Severity.LATENT]
    assert latent
    assert cut.as_json()["second_faults_not_looked_for"] == latent
    assert cut.words()[-5] == (
        "For these latent faults no second fault was looked for, there are too many: " + ", ".join(latent)
    )
    assert sheet(circuit(CHIPPER)).as_json()["second_faults_not_looked_for"] == []


# As it is read


@pytest.mark.parametrize("name", ["compressor", "runabout"])
def test_worst_first_and_then_in_the_order_of_the_file(name: str) -> None:
    """The rows go from class 1 to 6, and in a class as the list of faults does; no fault is left out."""
    listed = list(universe(course(name)))
    rows = sheet(course(name)).rows
    keys = [(one.severity, listed.index(one.fault.name)) for one in rows]
    assert keys == sorted(keys)
    assert {one.label for one in rows} >= set(listed)


def test_disclaimer_first() -> None:
    """The disclaimer stands first in the text and in the JSON, word for word."""
    assert sheet(circuit(SHED)).words()[0] == DISCLAIMER
    found = sheet(circuit(SHED)).as_json()
    assert next(iter(found.items())) == ("disclaimer", DISCLAIMER)


def test_without_behaviours_the_sheet_is_empty() -> None:
    """A circuit file that names no behaviour gives no rows, and the text says why."""
    silent = parse_circuit(SHED[: SHED.index("behaviour:")])
    found = single_faults(silent)
    assert found.rows == ()
    assert found.cells == []
    assert found.words()[-1] == "The circuit file names no behaviour, so no fault is seen to do anything."
    assert found.as_json()["faults"] == []


def test_the_table() -> None:
    """A row has a cell under each heading, in words."""
    found = sheet(course("compressor"))
    assert found.headings == ("Item", "Failure mode", "Failure effect", "Detection", "Severity")
    assert all(len(cells) == len(found.headings) for cells in found.cells)
    assert "\n".join(found.cells[1]) == (
        "S1\n"
        "stuck closed\n"
        "when key switch off and hold-to-run button pressed and tank pressure low: compressor, relay permitted, lamp "
        "wrongly on\n"
        "routine check: with hold-to-run button pressed, compressor permitted\n"
        "2 permits what must be refused, and only a routine check shows it"
    )


def test_the_text_tells_like_faults_together() -> None:
    """Faults with the same effect and detection share a line under the heading of their class."""
    lines = sheet(course("compressor")).words()
    assert "Class 2, permits what must be refused, and only a routine check shows it: 4" in lines
    assert (
        "W12 open, W13 open, P1 open, P1:1 open, P1:2 open: always: lamp missing. Shown by ordinary use: with key "
        "switch on and hold-to-run button pressed, lamp missing"
    ) in lines


def test_conditions_in_json_hold_in_the_states_they_tell() -> None:
    """What the JSON writes as ``when`` reads back as a statement that holds in exactly the effect's states."""
    machine = course("runabout")
    found = json.loads(json.dumps(sheet(machine).as_json()))
    assert len(found["faults"]) == len(sheet(machine).rows)
    for written, one in zip(found["faults"], sheet(machine).rows, strict=True):
        for told, effect in zip(written["effects"], one.effects, strict=True):
            condition = parse_condition(told["when"], machine)
            holds = tuple(number for number, state in enumerate(sheet(machine).sound.states) if condition.holds(state))
            assert holds == effect.states


def test_two_runs_say_the_same(tmp_path: Path) -> None:
    """The sheet is the same text each time, also of a circuit read from a copy of its file."""
    copy = tmp_path / "compressor.yaml"
    copy.write_bytes((files("faultwright_course") / "circuits" / "compressor.yaml").read_bytes())
    assert single_faults(read_circuit(copy)).words() == sheet(course("compressor")).words()
