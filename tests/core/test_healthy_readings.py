"""Readings of a real bench against those of the same bench while it was healthy: by hand, and on benches that differ."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.errors import Refused
from faultwright.faults import Fault, parse_fault, universe
from faultwright.healthy_readings import against_healthy
from faultwright.machine import Machine
from faultwright.meter import AMPS, FLOATING, OHMS, VOLTS, Probe, Reading, read, show
from faultwright.moves import Move, parse_move
from faultwright.record import (
    BENCH,
    Action,
    Inspected,
    Measured,
    Observed,
    Record,
    agreeing_values,
    discrepancy,
    record_as_json,
    replay,
)
from faultwright.suspects import find_suspects
from faultwright.trials import OTHERWISE, trial_of, try_out
from faultwright.typed_readings import parse_display
from tests.core import depot

POND = """
circuit: pond-pump
title: Pond pump of the depot, relay and tank float
nominal: 12 V
controls:
  key: {positions: [off, on]}
  float: {positions: [low, full]}
parts:
  G1: {kind: battery, emf: 12.6 V}
  F1: {kind: fuse, rating: 15 A}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  B1: {kind: switch, control: float, contacts: {1-2: [full]}}
  K1: {kind: relay, coil: 85 Ω}
  M1: {kind: motor, resistance: 0.9 Ω, running: 5 A}
  P1: {kind: lamp, power: 5 W}
  XE1: {kind: ground}
wires:
  W1: {from: "G1:+", to: "F1:1", area: 4 mm²}
  W2: {from: "F1:2", to: "S1:1"}
  W3: {from: "F1:2", to: "K1:30", area: 4 mm²}
  W4: {from: "S1:2", to: "B1:1", length: 2 m}
  W5: {from: "B1:2", to: "K1:86", length: 2 m}
  W6: {from: "K1:85", to: "XE1:1"}
  W7: {from: "K1:87", to: "M1:1", area: 4 mm², length: 3 m}
  W8: {from: "M1:2", to: "XE1:1", area: 4 mm², length: 3 m}
  W9: {from: "K1:87", to: "P1:1"}
  W10: {from: "P1:2", to: "XE1:1"}
  W11: {from: "G1:-", to: FRAME, area: 16 mm²}
behaviour:
  pump: {motor: M1}
  lamp: {lamp: P1}
"""

PUMP = depot.circuit(POND)

WORK = (
    "key=on",
    "float=full",
    Probe(VOLTS, "F1:2", "FRAME"),
    Probe(VOLTS, "K1:86", "FRAME"),
    Probe(VOLTS, "M1:1", "M1:2"),
    Probe(AMPS, "W9"),
    Probe(VOLTS, "XE1:1", "FRAME"),
    "unplug=G1",
    Probe(OHMS, "K1:86", "K1:85"),
    Probe(OHMS, "F1:2", "K1:86"),
    Probe(OHMS, "M1:1", "M1:2"),
)
"""Volts and amps with the pump running, then ohms with the battery off."""


def real(emf: str = "12.6 V", lamp: str = "5 W", coil: str = "85 Ω") -> Circuit:
    """Return the pump as it stands on a bench: what differs from the file."""
    text = POND.replace("emf: 12.6 V", f"emf: {emf}").replace("power: 5 W", f"power: {lamp}")
    return parse_circuit(text.replace("coil: 85 Ω", f"coil: {coil}"))


def done(
    bench: Circuit, faults: Iterable[Fault] = (), leads: float = 0.0, work: tuple[str | Probe, ...] = WORK
) -> Record:
    """Return the record of some work on a bench; the leads, never zeroed, are in the ohms and nobody notes them."""
    machine = Machine(bench, faults)
    actions: list[Action] = []
    for each in work:
        if isinstance(each, Probe):
            actions.append(Measured(each, read(machine, replace(each, leads=leads)), source=BENCH))
        else:
            actions.append(parse_move(each, bench))
            machine.move(each)
    return Record(bench.name, tuple(actions))


def by_the_meter(record: Record) -> Record:
    """Return a record judged as if its meter were the simulated one."""
    actions = (replace(action, source="") if isinstance(action, Measured) else action for action in record.actions)
    return Record(record.circuit, tuple(actions))


# By hand


def judged(measured: str, healthy: str, sound: float, *, mode: str = VOLTS, supply: float = 1.0) -> tuple[float, float]:
    """Return the least and the most predicted value that agree with a reading at a place where the sound one is known.

    The machine is a lamp on a battery; ``supply`` is what the battery shows over what it should.
    """
    circuit = parse_circuit(f"""
circuit: hand
nominal: 12 V
parts:
  G1: {{kind: battery, emf: 12 V, resistance: 1 nΩ}}
  L1: {{kind: resistor, resistance: {sound if mode == OHMS else 1000.0} Ω}}
  L2: {{kind: resistor, resistance: {1000.0 * sound / (12.0 - sound) if mode == VOLTS else 1.0} Ω}}
wires:
  W1: {{from: "G1:+", to: "L1:1", resistance: 1 nΩ}}
  W2: {{from: "L1:2", to: "L2:1", resistance: 1 nΩ}}
  W3: {{from: "L2:2", to: "G1:-", resistance: 1 nΩ}}
""")
    probe = Probe(VOLTS, "L2:1", "L2:2") if mode == VOLTS else Probe(OHMS, "L1:1", "L1:2")
    moves = () if mode == VOLTS else (Move("unplug", "G1"),)
    battery = Measured(Probe(VOLTS, "G1:+", "G1:-"), show(VOLTS, 12.0 * supply), source=BENCH)
    there = Measured(probe, parse_display(mode, healthy), source=BENCH)
    found = Measured(probe, parse_display(mode, measured), source=BENCH)
    record = against_healthy(circuit, Record("hand", (*moves, found)), Record("hand", (battery, *moves, there)))
    (corrected,) = (action for action in record.actions if isinstance(action, Measured))
    return agreeing_values(corrected)


def test_a_bench_that_shows_what_the_file_says() -> None:
    """By hand, 3.000 V: the meter's 0.017 V and half a digit, and 2 % + 0.05 V that do not repeat: ± 0.1275 V."""
    assert judged("3", "3", 3.0) == pytest.approx((3 - 0.1275, 3 + 0.1275), abs=1e-6)


def test_a_deviation_counts_between_not_at_all_and_in_full() -> None:
    """By hand: healthy 3.2 V for 3.0 V. 3.2 V again can be a prediction of 3.0 V (in full) or of 3.2 V (not at all).

    ± 0.018 V of the meter, half a digit, 2 % and 0.05 V are 0.1325 V; at 2.8 V they are 0.1225 V.
    """
    assert judged("3.2", "3.2", 3.0) == pytest.approx((3.0 - 0.1325, 3.2 + 0.1325), abs=1e-6)
    assert judged("2.8", "2.8", 3.0) == pytest.approx((2.8 - 0.1225, 3.0 + 0.1225), abs=1e-6)


def test_a_dead_point_does_not_stand_higher_for_a_fuller_battery() -> None:
    """0 V is predicted with 0 V in spite of a healthy 3.2 V for 3.0 V: a shift alone would ask for 0.2 V there."""
    least, most = judged("0", "3.2", 3.0)
    assert least < 0.0 < most
    assert most == pytest.approx(0.05 + 0.0002 + 0.00005, abs=1e-6)


def test_volts_are_first_divided_by_the_supply() -> None:
    """By hand: the bench's battery has 12.60 V for 12 V, so 6.30 V are 6.00 V of the file, as they were in health.

    An open joint shows the whole supply: 12.60 V for 12 V, far above the 0.1 V that the joint dropped in health.
    """
    least, most = judged("6.3", "6.3", 6.0, supply=1.05)
    off = (0.05 + 0.005 + 0.02 * 6.3 + 0.05) / 1.05
    assert (least, most) == pytest.approx((6.0 - off, 6.0 + off), abs=1e-6)
    least, most = judged("12.6", "0.105", 0.1, supply=1.05)
    assert least < 12.0 < most
    assert most - least < 1.0


def test_ohms_have_no_supply_and_their_own_floor() -> None:
    """By hand, leads of 0.5 Ω: 85.5 Ω for 85 Ω; ± 1 Ω of the meter, half a digit, 2 % and 0.2 Ω."""
    least, most = judged("85.5", "85.5", 85.0, mode=OHMS, supply=1.05)
    off = 1.0 + 0.05 + 0.02 * 85.5 + 0.2
    assert (least, most) == pytest.approx((85.0 - off, 85.5 + off), abs=0.02)


def test_leads_are_taken_off_ohms() -> None:
    """0.5 Ω where health has none are the leads': a coil of 70 Ω for 85 Ω, shorted, shows them and no more."""
    bench = real(coil="70 Ω")
    short = "K1 coil shorted"
    work = (*WORK[:2], "unplug=G1", Probe(OHMS, "F1:2", "K1:86"), Probe(OHMS, "K1:86", "K1:85"))
    healthy = done(bench, leads=0.5, work=work)
    (_, (least, most)) = ends(against_healthy(PUMP, done(bench, [parse_fault(short, PUMP)], 0.5, work), healthy))
    assert least < 0.5 < most
    assert most == pytest.approx(0.5 + 15.0 + 0.2 + 0.05 + 0.02 + 0.2, abs=0.15)


def test_several_healthy_readings_count_by_their_mean() -> None:
    """12.5 V and 12.7 V at one place are 12.6 V."""
    work = ("key=on", Probe(VOLTS, "F1:2", "FRAME"), Probe(VOLTS, "F1:2", "FRAME"))
    healthy = done(PUMP, work=work)
    values = iter((show(VOLTS, 12.5), show(VOLTS, 12.7)))
    spread = Record(
        PUMP.name,
        tuple(replace(one, reading=next(values)) if isinstance(one, Measured) else one for one in healthy.actions),
    )
    once = done(PUMP, work=work[:2])
    assert ends(against_healthy(PUMP, once, spread)) == [
        pytest.approx(one, abs=0.03) for one in ends(against_healthy(PUMP, once, healthy))
    ]


def ends(record: Record) -> list[tuple[float, float]]:
    """Return the values that agree with each reading."""
    return [agreeing_values(action) for action in record.actions if isinstance(action, Measured)]


# Which readings


def test_a_reading_is_judged_where_the_machine_stands_the_same() -> None:
    """The same probe in the same controls and wiring, however it came about; another range or state is judged as before."""
    feed = Probe(VOLTS, "K1:86", "FRAME")
    healthy = done(PUMP, work=("key=on", "float=full", feed))
    work = (
        "float=full",
        feed,
        "key=on",
        feed,
        replace(feed, range=60.0),
        "unplug=P1",
        feed,
        "mate=P1",
        "float=low",
        feed,
    )
    found = against_healthy(PUMP, done(PUMP, work=(*work, "float=full", feed)), healthy)
    measured = [action for action in found.actions if isinstance(action, Measured)]
    assert [action.off is not None for action in measured] == [False, True, False, False, False, True]


def test_what_is_held_in_belongs_to_how_a_machine_stands() -> None:
    """With both buttons let go a hold-in contactor is in or out, by what was done before: two standings, not one."""
    gate = depot.circuit(depot.GATE)
    feed = Probe(VOLTS, "M1:1", "FRAME")
    held = done(gate, work=("start=pressed", "start=released", feed))
    again = done(gate, work=("start=pressed", "start=released", feed, "stop=pressed", "stop=released", feed))
    found = [action for action in against_healthy(gate, again, held).actions if isinstance(action, Measured)]
    assert [action.off is not None for action in found] == [True, False]


def test_simulated_readings_and_all_else_stay_as_they_are() -> None:
    """Only readings of a real meter that show a number are judged so; nothing of it is written."""
    healthy = done(PUMP)
    record = done(PUMP, [parse_fault("K1 coil open", PUMP)])
    rest = (Observed({"pump": False}), Inspected("M1", "dry"))
    mixed = Record(PUMP.name, (*by_the_meter(record).actions, *rest, Move("rest"), *record.actions))
    found = against_healthy(PUMP, mixed, healthy)
    untouched = len(record.actions) + len(rest) + 1
    assert found.actions[:untouched] == mixed.actions[:untouched]
    assert found.actions[untouched:] != mixed.actions[untouched:]
    pairs = [(one, other) for one, other in zip(found.actions[untouched:], record.actions, strict=True)]
    assert [one.reading.display for one, other in pairs if isinstance(one, Measured) and one == other] == ["OL"]
    assert record_as_json(found) == record_as_json(mixed)


@pytest.mark.parametrize(
    ("actions", "messages"),
    [
        ((Observed({"lamp": "off"}),), ['the healthy record holds no reading of a real meter ("source": "bench")']),
        (
            (
                parse_move("key=on", PUMP),
                parse_move("float=full", PUMP),
                Observed({"pump": False, "lamp": "lit"}),
                Measured(Probe(VOLTS, "F1:2", "FRAME"), parse_display(VOLTS, "OL"), source=BENCH),
                Measured(Probe(VOLTS, "K1:86", "FRAME"), parse_display(VOLTS, "12.9"), source=BENCH),
            ),
            [
                "healthy record, action 3: pump: no; a sound machine: yes; the bench or the circuit file is not what it should be",
                "healthy record, action 4: the meter shows OL where a sound machine shows 12.42 V; the bench or the circuit file is not what it should be",
            ],
        ),
    ],
)
def test_a_record_that_is_not_healthy(actions: tuple[Action, ...], messages: list[str]) -> None:
    """No reading of a real meter; a machine seen to refuse; OL where a number stands: all of it at once."""
    with pytest.raises(Refused) as refused:
        against_healthy(PUMP, Record(PUMP.name, ()), Record(PUMP.name, actions))
    assert [str(mistake) for mistake in refused.value.mistakes] == messages


def test_floating_on_a_real_meter() -> None:
    """A real meter is seldom at rest on zero: up to 0.3 V is the zero of floating there; on a simulated one only 0 is."""
    floating = Reading(None, "V", "0.00 V", FLOATING, 0.02, 0.01)
    probe = Probe(VOLTS, "M1:1", "M1:2")
    assert [
        discrepancy(Measured(probe, show(VOLTS, value), source=source), floating)
        for value, source in ((0.0, ""), (0.012, ""), (0.012, BENCH), (0.33, BENCH), (0.35, BENCH))
    ] == [0, None, 0, 0, None]


# Benches that differ from their file


def test_a_fuller_battery_and_leads_that_were_not_zeroed() -> None:
    """12.9 V for 12.6 V and 0.5 Ω of leads: by the meter's own accuracy every fault is wrongly excluded.

    Against healthy readings none is, and fewer others are left than by ±(10 % + 0.3 V or 1 Ω).
    """
    bench = real(emf="12.9 V")
    healthy = done(bench, leads=0.5)
    assert find_suspects(PUMP, by_the_meter(healthy)).healthy is False
    assert find_suspects(PUMP, against_healthy(PUMP, healthy, healthy)).healthy is True
    left, coarse = 0, 0
    for fault in list(universe(PUMP).values())[3::16]:
        record = done(bench, [fault], leads=0.5)
        assert fault.name not in find_suspects(PUMP, by_the_meter(record)).names
        plain, found = (find_suspects(PUMP, one).names for one in (record, against_healthy(PUMP, record, healthy)))
        assert fault.name in found
        left, coarse = left + len(found), coarse + len(plain)
    assert left < coarse


@pytest.mark.parametrize("fault", ["W1 open", "W4 open", "W9 open", "W8 resistance 2 Ω", "F1 open"])
def test_parts_that_are_not_those_of_the_file(fault: str) -> None:
    """A lamp of 21 W for 5 W and a coil of 60 Ω for 85 Ω: ±(10 % + …) excludes what is there, healthy readings do not."""
    bench = real(lamp="21 W", coil="60 Ω")
    there = parse_fault(fault, PUMP)
    record = done(bench, [there])
    plain, found = (find_suspects(PUMP, one).names for one in (record, against_healthy(PUMP, record, done(bench))))
    assert there.name not in plain
    assert there.name in found


def test_a_part_that_a_fault_uncovers() -> None:
    """What healthy readings cannot tell: with the motor open its ohms are the lamp's, which hid beside it in health."""
    there = parse_fault("M1 open", PUMP)
    bench = real(lamp="21 W")
    assert there.name not in find_suspects(PUMP, against_healthy(PUMP, done(bench, [there]), done(bench))).names


@settings(max_examples=8)
@given(
    st.sampled_from([*universe(PUMP).values()]),
    st.floats(12.2, 13.2),
    st.floats(0.0, 0.5),
    st.floats(60.0, 110.0),
)
def test_lanes_judge_as_single_machines_do(fault: Fault, emf: float, leads: float, coil: float) -> None:
    """On which side of each finding every trial lies is the same in lanes and replayed one by one."""
    bench = real(emf=f"{emf} V", coil=f"{coil} Ω")
    record = against_healthy(PUMP, done(bench, [fault], leads), done(bench, leads=leads))
    trials = [trial_of(None), trial_of(fault), *(trial_of(one) for one in list(universe(PUMP).values())[::25])]
    outcome = try_out(PUMP, record, trials, let_go=False)
    for number, trial in enumerate(trials):
        columns = outcome.signs[:, outcome.start[number] : outcome.start[number + 1]].T.tolist()
        for value, signs in zip(trial.values(), columns, strict=True):
            predictions = replay(PUMP, trial.at(value), record)[0]
            pairs = zip(record.findings(), predictions, strict=True)
            sides = [discrepancy(finding, one) for (_, finding), one in pairs]
            assert signs == [OTHERWISE if side is None else side for side in sides]
