"""What a watched meter did along a move, in words, and a bench on which it is watched."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

from pathlib import Path

import pytest

from faultwright.bench import Bench
from faultwright.errors import Refused
from faultwright.faults import parse_fault
from faultwright.meter import AMPS, FLOATING, OHMS, OK, UNSTEADY, VOLTS, Probe, Reading, read, show
from faultwright.record import Measured, parse_record, record_as_json, replay
from faultwright.suspects import find_suspects
from faultwright.watch import ALONG
from faultwright.watch_words import watch_words
from tests.core import depot

SHED = depot.circuit(depot.SHED)
LAMP = Probe(VOLTS, "P1:1", "P1:2")


def nothing(status: str) -> Reading:
    """Return a reading of volts without a number."""
    return Reading(None, "V", "", status, 0.02, 0.01)


def said(*volts: float | str) -> str:
    """Return the words for readings of so many V, or of a status."""
    return watch_words([nothing(one) if isinstance(one, str) else show(VOLTS, one) for one in volts])


@pytest.mark.parametrize(
    ("volts", "words"),
    [
        ((12, 12, 12, 12, 12), "does not change"),
        ((0, 0, 12, 12, 12), "goes over once, cleanly"),
        ((12, 12, 0, 0, 0), "goes over once, cleanly"),
        ((0, 12, 12, 12, 12), "goes over once, cleanly"),
        ((0, 0, 0, 0, 12), "goes over late, only at the end of the move"),
        ((0, 0, 12, 0, 12), "flickers before it settles"),
        ((0, 12, 0, 0, 12), "flickers before it settles"),
        ((0, 12, 0, 12, 12), "flickers before it settles"),
        ((0, 12, 0, 6, 6), "flickers before it settles"),
        ((0, 0, 12, 0, 0), "flickers, and ends as it began"),
        ((0, 3, 12, 12, 0), "flickers, and ends as it began"),
        ((0, 0, 6, 6, 12), "goes over in steps"),
        ((0, 3, 6, 9, 12), "goes over in steps"),
        ((0, 0, UNSTEADY, UNSTEADY, UNSTEADY), "does not settle"),
        ((0, 0, UNSTEADY, 12, 12), "goes over in steps"),
        ((FLOATING, FLOATING, 12, 12, 12), "goes over once, cleanly"),
        ((FLOATING, 0, FLOATING, 0, 0), "does not change"),
    ],
)
def test_words_for_readings(volts: tuple[float | str, ...], words: str) -> None:
    """Each course by hand; a meter that shows nought and one that floats show the same."""
    assert len(volts) == ALONG
    assert said(*volts) == words


def test_what_the_meter_cannot_tell_apart_is_no_change() -> None:
    """At 12 V it is right to ±(0.5 % + 2 digits) = 0.08 V, and half a digit more may be rounding."""
    assert said(12.0, 12.0, 12.08, 12.08, 12.08) == "does not change"
    assert said(12.0, 12.0, 12.1, 12.1, 12.1) == "goes over once, cleanly"


@pytest.mark.parametrize(
    ("fault", "before", "move", "words"),
    [
        ("", (), "key=on", "goes over once, cleanly"),
        ("", ("key=on",), "key=off", "goes over once, cleanly"),
        ("", (), "disturb=W2", "does not change"),
        ("S1 stuck open", (), "key=on", "does not change"),
        ("S1 sticking", (), "key=on", "does not change"),
        ("S1 sticking", ("key=on",), "disturb=nothing", "goes over late, only at the end of the move"),
        ("S1 resistance 1 Ω", (), "key=on", "flickers before it settles"),
        ("W2 open when disturbed", ("key=on",), "disturb=W2", "goes over once, cleanly"),
    ],
)
def test_words_on_a_machine(fault: str, before: tuple[str, ...], move: str, words: str) -> None:
    """A sound contact, one that sticks and one that is dirty are told apart by the lamp's voltage alone."""
    bench = Bench(SHED, [parse_fault(fault, SHED)] if fault else [])
    for one in before:
        bench.move(one)
    assert bench.watch(move, LAMP).words == words


def test_watching_on_a_bench_is_noted_as_a_move_and_a_reading(tmp_path: Path) -> None:
    """The record has the move, then the settled reading with the words as its note, and replays like any other."""
    file = tmp_path / "record.json"
    bench = Bench(SHED, [parse_fault("S1 resistance 1 Ω", SHED)], file=file)
    watched = bench.watch("key=on", LAMP, expected=11.4)
    assert watched.step is bench.step
    assert watched.step.seen == {"lamp": "lit"}
    assert watched.readings[-1] == read(bench.machine, LAMP)
    assert record_as_json(bench.record)["actions"] == [
        {"move": "key=on"},
        {
            "read": {
                "meter": "volts", "red": "P1:1", "black": "P1:2", "expected": 11.4, "value": 10.43, "unit": "V",
                "status": "ok", "note": "flickers before it settles",
            }
        },
    ]  # fmt: skip
    assert watched.number == 1
    assert Bench(SHED, file=file).record == bench.record == parse_record(bench.as_json(), SHED)
    finding = bench.record.actions[1]
    assert isinstance(finding, Measured)
    assert finding.reading.status == OK
    assert replay(SHED, [parse_fault("S1 resistance 1 Ω", SHED)], bench.record)[0] == [watched.readings[-1]]
    # The flicker is no evidence: a wire with the same resistance is left as well.
    assert {"S1 resistance", "W2 resistance"} <= {*find_suspects(SHED, bench.record).names}


def test_ohms_that_are_watched_on_a_live_machine_are_noted_so() -> None:
    """As for any reading of ohms while a source delivers current, the record says that the machine was energised."""
    bench = Bench(SHED)
    bench.watch("key=on", Probe(OHMS, "S1:1", "S1:2"))
    (finding,) = (action for action in bench.actions if isinstance(action, Measured))
    assert finding.energised


@pytest.mark.parametrize(
    ("move", "probe", "message"),
    [
        ("key=on", Probe(VOLTS, "P1:3", "P1:2"), "meter: P1 has no terminal 3 (it has 1 2)"),
        ("key=on", Probe(AMPS, "W9"), "meter: there is no wire or part 'W9' (allowed: W1, W2, W3, W4, G1, S1, P1)"),
        ("key=onn", LAMP, "move 'key=onn': control key: there is no position 'onn'; did you mean 'on'? (allowed: off, on)"),
    ],
)  # fmt: skip
def test_what_cannot_be_watched_leaves_everything_as_it_was(move: str, probe: Probe, message: str) -> None:
    """A wrong lead is refused before the move is made: neither the machine nor the record has moved."""
    bench = Bench(SHED)
    with pytest.raises(Refused) as refused:
        bench.watch(move, probe)
    assert str(refused.value) == message
    assert (bench.machine.state, bench.actions) == ({"key": "off"}, [])
