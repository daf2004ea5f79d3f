"""The record: what a bench writes reads back and replays the same; what cannot be one is refused, located."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.errors import Refused
from faultwright.faults import parse_fault
from faultwright.files import LARGEST_TEXT, parse_json, read_json
from faultwright.meter import AMPS, OHMS, OVERLOAD, VOLTS, Probe, Reading, show
from faultwright.moves import Move
from faultwright.record import (
    BENCH,
    MOST_ACTIONS,
    Asked,
    Inspected,
    Measured,
    Observed,
    Record,
    discrepancy,
    parse_record,
    record_as_json,
    replay,
)
from faultwright.suspects import find_suspects
from tests.core import depot
from tests.core.strategies import circuits, moves, on_any_range, permanent_faults, probes

SHED = depot.circuit(depot.SHED)


def bench(*faults: str) -> Bench:
    """Return a bench with the shed's lamp and these faults."""
    return Bench(SHED, [parse_fault(fault, SHED) for fault in faults])


def record(*actions: Any) -> dict[str, Any]:  # noqa: ANN401 - JSON
    """Return a record of the shed as JSON."""
    return {"circuit": "shed-lamp", "actions": list(actions)}


def refusal(data: Any, circuit: Circuit = SHED) -> list[str]:  # noqa: ANN401 - JSON
    """Return the messages with which a record is refused."""
    with pytest.raises(Refused) as refused:
        parse_record(data, circuit, "work.json")
    return [str(mistake) for mistake in refused.value.mistakes]


# What a bench writes


def test_a_bench_writes_what_was_done_in_order() -> None:
    """Moves, readings and what was expected, observations, inspections, questions: one list in the order of the work."""
    made = bench("W2 open")
    made.move("key=on")
    assert made.observe() == 1
    number, reading = made.read(Probe(VOLTS, "P1:1", "FRAME"), expected=11.5, note="feed")
    assert (number, reading.display) == (2, "0.0 mV")
    made.inspect("W2", "chafed through")
    made.ask("What was done to it?", "It got a new lamp.")
    made.move("rest")
    assert made.as_json() == {
        "circuit": "shed-lamp",
        "version": 1,
        "actions": [
            {"move": "key=on"},
            {"see": {"lamp": "off"}},
            {
                "read": {
                    "meter": "volts",
                    "red": "P1:1",
                    "black": "FRAME",
                    "expected": 11.5,
                    "value": 0.0,
                    "unit": "V",
                    "status": "ok",
                    "note": "feed",
                }
            },
            {"inspect": {"at": "W2", "seen": "chafed through"}},
            {"ask": {"question": "What was done to it?", "answer": "It got a new lamp."}},
            {"move": "rest"},
        ],
    }


def test_a_record_reads_back() -> None:
    """parse(write(r)) == r for every sort of action, over JSON text."""
    made = bench("S1 resistance")
    for move in ("key=on", "load=S1:2,FRAME", "repair=W2 mend the wire", "unplug=G1", "bridge=S1:1,P1:1"):
        made.move(move)
    made.read(Probe(OHMS, "P1:1", "P1:2", alone="P1", leads=0.3))
    made.read(Probe(AMPS, "W2", range=0.6))
    made.observe("lamp")
    made.inspect("S1", "dirt")
    made.ask("Since when?", "Since Monday.")
    text = json.dumps(record_as_json(made.record), ensure_ascii=False)
    again = parse_record(parse_json(text, "work.json"), SHED)
    assert record_as_json(again) == record_as_json(made.record)
    assert [type(action) for action in again.actions] == [type(action) for action in made.record.actions]


@settings(max_examples=60)
@given(circuits(), st.data())
def test_every_record_of_a_bench_reads_back_and_replays(circuit: Circuit, data: st.DataObject) -> None:
    """Random work on random circuits: the record reads back, and replayed with the same fault every finding agrees."""
    fault = data.draw(permanent_faults(circuit))
    made = Bench(circuit, (fault,))
    for _ in range(data.draw(st.integers(1, 6))):
        match data.draw(st.integers(0, 2)):
            case 0:
                made.move(data.draw(moves(circuit)))
            case 1:
                made.read(data.draw(probes(circuit).flatmap(on_any_range)))
            case _:
                made.observe()
    again = parse_record(parse_json(json.dumps(made.as_json()), "work.json"), circuit)
    assert record_as_json(again) == made.as_json()
    predictions, machine = replay(circuit, (fault,), again)
    findings = [finding for _, finding in again.findings()]
    assert [discrepancy(finding, one) for finding, one in zip(findings, predictions, strict=True)] == [0] * len(
        findings
    )
    assert machine.settled.voltages == made.machine.settled.voltages


def test_ohms_on_a_machine_that_delivers_are_noted() -> None:
    """Ohms while a source delivers current are marked in the record, wherever they were taken; in the hand they are not."""
    made = bench()
    made.move("key=on")
    made.read(Probe(OHMS, "G1:-", "FRAME"))
    made.read(Probe(OHMS, "P1:1", "P1:2", alone="P1"))
    made.read(Probe(VOLTS, "P1:1", "P1:2"))
    made.move("key=off")
    made.read(Probe(OHMS, "G1:-", "FRAME"))
    measured = [action for action in made.actions if isinstance(action, Measured)]
    assert [action.energised for action in measured] == [True, False, False, False]


def test_a_live_display_is_not_recorded() -> None:
    """Trying a reading leaves no trace; taking it does."""
    made = bench()
    shown = made.try_reading(Probe(VOLTS, "G1:+", "G1:-"))
    assert made.actions == []
    assert made.read(Probe(VOLTS, "G1:+", "G1:-")) == (0, shown)


def test_work_is_saved_at_once_and_taken_up_again(tmp_path: Path) -> None:
    """After every action the file holds the whole record; a new bench goes on where the old one stopped."""
    file = tmp_path / "work.json"
    made = Bench(SHED, [parse_fault("S1 stuck open", SHED)], file=file)
    made.move("key=on")
    made.move("bridge=S1:1,S1:2")
    made.observe()
    assert read_json(file) == made.as_json()
    again = Bench(SHED, [parse_fault("S1 stuck open", SHED)], file=file)
    assert again.as_json() == made.as_json()
    assert again.machine.seen() == {"lamp": "lit"}
    again.move("unbridge=S1:1,S1:2")
    assert again.machine.seen() == {"lamp": "off"}
    assert read_json(file) == again.as_json()


def test_a_refused_action_is_not_recorded(tmp_path: Path) -> None:
    """A move or a reading that cannot be made leaves record and file as they were."""
    file = tmp_path / "work.json"
    made = Bench(SHED, file=file)
    made.move("key=on")
    before = file.read_bytes()
    with pytest.raises(Refused):
        made.move("key=of")
    with pytest.raises(Refused):
        made.read(Probe(VOLTS, "P1:9", "FRAME"))
    assert made.actions == [Move("set", "key", "on")]
    assert file.read_bytes() == before


def test_another_record_is_not_taken_up(tmp_path: Path) -> None:
    """A file with the record of another circuit is refused and left as it is."""
    file = tmp_path / "work.json"
    file.write_text('{"circuit": "barn", "actions": []}', encoding="utf-8")
    with pytest.raises(Refused, match=r"^work\.json: the record is of circuit 'barn', not of 'shed-lamp'$"):
        Bench(SHED, file=file)
    assert file.read_text(encoding="utf-8") == '{"circuit": "barn", "actions": []}'


# Refusals


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ([], "work.json: a record is a table with 'circuit' and 'actions'"),
        (None, "work.json: a record is a table with 'circuit' and 'actions'"),
        ({"circuit": "barn", "actions": []}, "work.json: the record is of circuit 'barn', not of 'shed-lamp'"),
        ({"actions": []}, "work.json: the record is of circuit None, not of 'shed-lamp'"),
        ({"circuit": "shed-lamp"}, "work.json: 'actions' must be a list"),
        ({"circuit": "shed-lamp", "actions": {"move": "rest"}}, "work.json: 'actions' must be a list"),
        ({"circuit": "shed-lamp", "actions": [], "mark": 10}, "work.json: there is no entry 'mark' (allowed: circuit, actions, version)"),
        ({"circuit": "shed-lamp", "actions": [{"move": "rest"}] * (MOST_ACTIONS + 1)}, "work.json: more than 2000 actions"),
    ],
)  # fmt: skip
def test_what_is_no_record(data: object, message: str) -> None:
    """Another shape, another circuit, an entry that does not belong, far too much."""
    assert refusal(data) == [message]


READ = {"meter": "volts", "red": "P1:1", "black": "FRAME", "value": 11.4, "unit": "V", "status": "ok"}


@pytest.mark.parametrize(
    ("action", "message"),
    [
        ("rest", "an action is a table with one of: move, read, see, inspect, ask"),
        ({}, "an action is a table with one of: move, read, see, inspect, ask"),
        ({"move": "rest", "see": {}}, "an action is a table with one of: move, read, see, inspect, ask"),
        ({"mark": 10}, "an action is a table with one of: move, read, see, inspect, ask"),
        ({"move": 5}, "a move is text"),
        ({"move": "key=onn"}, "move 'key=onn': control key: there is no position 'onn'; did you mean 'on'? (allowed: off, on)"),
        ({"see": "lit"}, "'see' must be a table"),
        ({"see": {"lamb": "lit"}}, "there is no behaviour 'lamb'; did you mean 'lamp'? (allowed: lamp)"),
        ({"see": {"lamp": True}}, "lamp is True; it must be off, dim or lit"),
        ({"see": {"lamp": "bright"}}, "lamp is 'bright'; it must be off, dim or lit"),
        ({"inspect": {"at": "S1"}}, "an inspection has 'at' and 'seen', both text"),
        ({"inspect": {"at": "S1", "seen": 5}}, "an inspection has 'at' and 'seen', both text"),
        ({"inspect": {"at": "S9", "seen": "dirt"}}, "there is no place 'S9' (allowed: G1, S1, P1, W1, W2, W3, W4)"),
        ({"ask": "Since when?"}, "'ask' must be a table"),
        ({"ask": {"question": "Since when?"}}, "what was asked has 'question' and 'answer', both text"),
        ({"ask": {"question": "Since when?", "answer": None}}, "what was asked has 'question' and 'answer', both text"),
        ({"read": []}, "'read' must be a table"),
        ({"read": READ | {"metre": 1}}, "there is no entry 'metre'; did you mean 'meter'? (allowed: meter, red, black, expected, value, unit, status, source, alone, leads, range, energised, note)"),
        ({"read": READ | {"red": 5}}, "'red' must be text"),
        ({"read": READ | {"value": "11.4"}}, "'value' must be a number or null"),
        ({"read": READ | {"value": True}}, "'value' must be a number or null"),
        ({"read": READ | {"expected": "12"}}, "'expected' must be a number or null"),
        ({"read": READ | {"energised": 1}}, "'energised' must be true or false"),
        ({"read": READ | {"meter": "volt"}}, "meter: there is no meter mode 'volt'; did you mean 'volts'? (allowed: volts, amps, ohms, continuity, diode)"),
        ({"read": READ | {"red": "P1:3"}}, "meter: P1 has no terminal 3 (it has 1 2)"),
        ({"read": READ | {"unit": "Ω"}}, "volts is read in V, not in 'Ω'"),
        ({"read": READ | {"status": "fine"}}, "there is no status 'fine' (allowed: ok, overload, unsteady, blown, floating, live)"),
        ({"read": READ | {"status": "overload"}}, "status 'overload' goes without a value"),
        ({"read": READ | {"value": None}}, "status 'ok' goes with a value"),
        ({"read": READ | {"value": 1e6}}, "1000000.0 V is more than the meter can show"),
        ({"read": READ | {"source": "home"}}, "there is no source 'home' (allowed: bench)"),
    ],
)  # fmt: skip
def test_an_action_that_cannot_be(action: object, message: str) -> None:
    """Each action is refused whole, with its number, what is wrong and what is allowed."""
    assert refusal(record({"move": "rest"}, action)) == [f"work.json, action 2: {message}"]


def test_every_mistake_of_a_record_at_once() -> None:
    """Not the first only."""
    messages = refusal(record({"move": "key=on"}, {"move": "kee=on"}, {"see": {}}, {"move": 5}))
    assert [message.partition(":")[0] for message in messages] == ["work.json, action 2", "work.json, action 4"]


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
@pytest.mark.parametrize("key", ["value", "expected", "leads", "range"])
def test_no_number_that_is_none(key: str, value: float) -> None:
    """NaN and infinity are refused where a Python object brings them past the JSON reader."""
    (message,) = refusal(record({"read": READ | {key: value}}))
    assert message.startswith("work.json, action 1: ")


def test_the_range_of_a_reading() -> None:
    """A number in the reading's unit; it decides on the tolerance and on what a replay shows. On auto there is none."""
    entry = READ | {"value": 0.3}
    chosen, auto = parse_record(
        record({"read": entry | {"range": 600}}, {"read": entry | {"range": None}}), SHED
    ).actions
    assert isinstance(chosen, Measured)
    assert isinstance(auto, Measured)
    assert (chosen.probe.range, auto.probe.range) == (600.0, 0.0)
    assert (chosen.reading, auto.reading) == (show(VOLTS, 0.3, 600.0), show(VOLTS, 0.3))
    written = [action["read"] for action in record_as_json(Record(SHED.name, (chosen, auto)))["actions"]]
    assert [one.get("range") for one in written] == [600.0, None]
    assert discrepancy(chosen, show(VOLTS, 0.5, 600.0)) == 0
    assert discrepancy(auto, show(VOLTS, 0.5)) == 1
    made = bench()
    made.move("key=on")
    probe = Probe(VOLTS, "S1:1", "S1:2", range=600.0)
    made.read(probe)
    made.read(replace(probe, range=0.06 * 10))
    assert [one.display for one in replay(SHED, (), made.record)[0] if isinstance(one, Reading)] == [
        "0.1 V",
        "114.3 mV",
    ]


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"range": 50}, "meter: there is no range of 50 V on volts; did you mean 60 V? (allowed: 600 mV, 6 V, 60 V, 600 V, 1000 V)"),
        ({"range": 0}, "'range' must be a range of the meter; leave it out where it chooses its range itself"),
        ({"range": -60}, "meter: a range is more than zero (allowed: 600 mV, 6 V, 60 V, 600 V, 1000 V)"),
        ({"range": "60 V"}, "'range' must be a number or null"),
        ({"range": True}, "'range' must be a number or null"),
        ({"range": 6}, "11.4 V is more than the meter can show on its 6 V range"),
    ],
)  # fmt: skip
def test_a_range_that_cannot_be(entry: dict[str, object], message: str) -> None:
    """One that the meter has not, text, nought, and a value that stands above it."""
    assert refusal(record({"read": READ | entry})) == [f"work.json, action 1: {message}"]


def test_leads_and_range_are_replayed_in_lanes_as_one_by_one() -> None:
    """Ohms with leads of 0.3 Ω, and on a coarse range: the suspects are those whose replay shows the same."""
    made = bench("W3 resistance 4.5 Ω")
    made.move("unplug=G1")
    made.read(Probe(OHMS, "P1:2", "FRAME", leads=0.3))
    made.read(Probe(OHMS, "P1:2", "FRAME", leads=0.3, range=6e3))
    assert [one.display for one in replay(SHED, made.machine.faults, made.record)[0] if isinstance(one, Reading)] == [
        "5.0 Ω",
        "0.005 kΩ",
    ]
    found = find_suspects(SHED, made.record)
    assert "W3 resistance" in found.names
    low, high = found.ranges["W3 resistance"]
    assert low < 4.5 < high
    assert high - low < 0.7  # 5.0 Ω ± (0.9 % + 2 digits of 0.1 Ω), and half a digit
    zeroed = Record(
        SHED.name,
        tuple(
            replace(one, probe=replace(one.probe, leads=0.0)) if isinstance(one, Measured) else one
            for one in made.record.actions
        ),
    )
    assert find_suspects(SHED, zeroed).ranges["W3 resistance"][0] == pytest.approx(low + 0.3, rel=1e-2)


@pytest.mark.parametrize("leads", [-1.0, 1e300])
def test_leads_that_cannot_be(leads: float) -> None:
    """The resistance of leads is no way to bend a reading."""
    (message,) = refusal(record({"read": READ | {"leads": leads}}))
    assert message.startswith("work.json, action 1: ")


def test_a_very_large_whole_number_is_refused() -> None:
    """A whole number too large for a float is a refusal too, and no error of arithmetic."""
    (message,) = refusal(record({"read": READ | {"value": 10**400}}))
    assert message.startswith("work.json, action 1: ")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('{"circuit": "shed-lamp", "actions": [{"move": "re', "work.json:1: this is not whole JSON (Unterminated string starting at, column 47)"),
        ('{"circuit": "shed-lamp",\n "actions": [', "work.json:2: this is not whole JSON (Expecting value, column 14)"),
        ("", "work.json:1: this is not whole JSON (Expecting value, column 1)"),
        ('{"value": NaN}', "work.json: NaN is not a number that can be used"),
        ('{"value": -Infinity}', "work.json: -Infinity is not a number that can be used"),
        ('{"value": 1e400}', "work.json: 1e400 is not a number that can be used"),
        ('{"a": 1, "a": 2}', "work.json: 'a' is given twice in one place"),
        ("[" * 100_000, "work.json: this JSON is nested too deep"),
    ],
)  # fmt: skip
def test_what_is_no_json(text: str, message: str) -> None:
    """Half a file, nothing, NaN, a name twice, nesting without end: one message with its place."""
    with pytest.raises(Refused) as refused:
        parse_json(text, "work.json")
    assert str(refused.value) == message


def test_a_file_that_is_too_large(tmp_path: Path) -> None:
    """A record of a megabyte is none."""
    file = tmp_path / "work.json"
    file.write_bytes(b" " * (LARGEST_TEXT + 1))
    with pytest.raises(Refused, match=r"^work\.json: the file is larger than 1,000,000 bytes$"):
        read_json(file)


# Replaying and comparing


def test_replay_gives_what_each_finding_would_have_been() -> None:
    """The same moves with another fault: other readings, at the same findings."""
    made = bench("W2 open")
    made.move("key=on")
    made.read(Probe(VOLTS, "P1:1", "FRAME"))
    made.observe()
    predictions, machine = replay(SHED, [parse_fault("P1 open", SHED)], made.record)
    assert predictions == [show(VOLTS, 12.0), {"lamp": "off"}]
    assert machine.state == {"key": "on"}


def test_a_discrepancy_says_on_which_side_the_prediction_lies() -> None:
    """−1 below the finding, +1 above, 0 where they agree, None where they differ in kind."""
    finding = Measured(Probe(VOLTS, "P1:1", "FRAME"), show(VOLTS, 10.0))
    assert discrepancy(finding, show(VOLTS, 10.01)) == 0
    assert discrepancy(finding, show(VOLTS, 9.0)) == -1
    assert discrepancy(finding, show(VOLTS, 11.0)) == 1
    open_ended = Measured(Probe(OHMS, "P1:1", "P1:2"), show(OHMS, float("inf")))
    assert open_ended.reading.status == OVERLOAD
    assert discrepancy(open_ended, show(OHMS, 5.0)) is None
    seen = Observed({"lamp": "dim"})
    assert [discrepancy(seen, {"lamp": word}) for word in ("off", "dim", "lit")] == [-1, 0, 1]


@pytest.mark.parametrize(
    ("mode", "value", "predicted", "agrees"),
    [
        (VOLTS, 10.0, 11.2, True),  # ±(1 V + 0.3 V)
        (VOLTS, 10.0, 8.8, True),
        (VOLTS, 10.0, 11.4, False),
        (VOLTS, 0.0, 0.29, True),
        (VOLTS, 0.0, 0.31, False),
        (OHMS, 10.0, 11.9, True),  # ±(1 Ω + 1 Ω)
        (OHMS, 10.0, 12.2, False),
        (OHMS, 0.0, 0.9, True),
    ],
)
def test_a_reading_from_real_hardware_has_a_wider_tolerance(
    mode: str,
    value: float,
    predicted: float,
    agrees: bool,  # noqa: FBT001 - a table
) -> None:
    """``"source": "bench"`` is judged at ±(10 % + 0.3 V or 1 Ω); without it the meter's own tolerance counts."""
    units = {VOLTS: "V", OHMS: "Ω"}
    entry = {"meter": mode, "red": "P1:1", "black": "P1:2", "value": value, "unit": units[mode], "status": "ok"}
    real, simulated = parse_record(record({"read": entry | {"source": "bench"}}, {"read": entry}), SHED).actions
    assert isinstance(real, Measured)
    assert isinstance(simulated, Measured)
    assert (discrepancy(real, show(mode, predicted)) == 0) is agrees
    assert discrepancy(simulated, show(mode, predicted)) != 0


def test_an_inspection_and_an_answer_are_no_findings() -> None:
    """What was looked at or told says nothing about the electrics: only readings and observations are compared."""
    told = (Asked("Since when?", "Since Monday."), Inspected("S1", "dirt"))
    made = Record("shed-lamp", (*told, Observed({"lamp": "off"}), Move("rest")))
    assert [number for number, _ in made.findings()] == [2]
    predictions, _ = replay(SHED, [], made)
    assert predictions == [{"lamp": "off"}]
    assert list(made.moves()) == [Move("rest")]


def test_a_record_of_a_circuit_with_unusual_names() -> None:
    """Names with dots and dashes, positions that look like numbers, remedies with blanks: all read back."""
    circuit = parse_circuit(
        """
circuit: odd.names-1
controls:
  k-1: {positions: [0, 1, null]}
parts:
  S-1.a: {kind: switch, control: k-1, contacts: {1-2: [1]}}
wires:
  W.1: {from: "S-1.a:1", to: FRAME}
"""
    )
    made = Bench(circuit)
    for move in ("k-1=null", "repair=S-1.a free and lubricate", "bridge=S-1.a:1,FRAME", "disturb=W.1"):
        made.move(move)
    made.read(Probe(OHMS, "S-1.a:1", "S-1.a:2"))
    assert record_as_json(parse_record(made.as_json(), circuit)) == made.as_json()


def test_on_a_coarse_range_a_real_reading_has_no_less_than_the_meters_own_tolerance() -> None:
    """On the 60 MΩ range a digit is 10 kΩ, beside which ±(10 % + 1 Ω) is nothing."""
    finding = Measured(Probe(OHMS, "P1:1", "P1:2", range=60e6), show(OHMS, 4.7e4, 60e6), source=BENCH)
    assert [discrepancy(finding, show(OHMS, ohms, 60e6)) for ohms in (4.7e4, 7e4, 8e4)] == [0, 0, 1]
