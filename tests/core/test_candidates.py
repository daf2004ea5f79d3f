"""The tests worth considering: which, in which order, at what cost, and with what unplugged first."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.candidates import (
    BACK_PROBE,
    DISMANTLE,
    LOOK,
    OPERATE,
    UNPLUG,
    Candidate,
    every_test,
    hand_probes,
    reachable,
    resistance_probes,
    return_probes,
    voltage_probes,
    ways_to_states,
)
from faultwright.circuit import Circuit
from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright.meter import LIVE, OHMS, OVERLOAD, VOLTS, Probe, read
from faultwright.moves import Move, control_moves
from tests.core import depot
from tests.core.strategies import circuits

SHED = depot.circuit(depot.SHED)
GATE = depot.circuit(depot.GATE)
BENCH = depot.circuit(depot.BENCH)

ON, OFF_G1 = Move("set", "key", "on"), Move("unplug", "G1")


def in_words(test: Candidate) -> str:
    """Return a test as one line: its moves, then what is measured."""
    probe = test.probe
    what = "look" if probe is None else f"{probe.mode} {probe.red} {probe.black}" + (" in the hand" * bool(probe.alone))
    return " ".join([*map(str, test.moves), what])


def test_every_test_of_a_lamp() -> None:
    """Key off, then on: a look, volts to FRAME and across, ohms with the battery off; in the hand the lamp once.

    The switch is taken in the hand in both positions, the lamp not again.
    """
    to_frame = ["G1:+", "G1:-", "S1:1", "S1:2", "P1:1", "P1:2"]
    wires = ["G1:+ S1:1", "S1:2 P1:1", "P1:2 G1:-"]
    parts = ["G1:- G1:+", "S1:1 S1:2", "P1:1 P1:2"]
    live = ["look", *(f"volts {point} FRAME" for point in to_frame), *(f"volts {pair}" for pair in (*wires, *parts))]
    dead = [f"unplug=G1 ohms {pair}" for pair in (*wires, "G1:- FRAME", *parts)]
    switch, lamp = "unplug=G1 ohms S1:1 S1:2 in the hand", "unplug=G1 ohms P1:1 P1:2 in the hand"
    assert list(map(in_words, every_test(SHED))) == [
        *live,
        *dead,
        switch,
        lamp,
        *(f"key=on {line}" for line in (*live, *dead, switch)),
    ]


def test_costs() -> None:
    """By hand: a look 1, a reading 2, each move of a control 1, each thing unplugged 4, a part taken out 8."""
    assert (LOOK, OPERATE, BACK_PROBE, UNPLUG, DISMANTLE) == (1, 1, 2, 4, 8)
    costs = {in_words(test): test.cost for test in every_test(SHED)}
    assert costs["look"] == 1
    assert costs["key=on look"] == 1 + 1
    assert costs["key=on volts S1:1 S1:2"] == 1 + 2
    assert costs["key=on unplug=G1 ohms S1:1 S1:2"] == 1 + 4 + 2
    assert costs["key=on unplug=G1 ohms S1:1 S1:2 in the hand"] == 1 + 4 + 2 + 8
    reach = replace(SHED, reach={"S1:1": "", "S1:2": "P1", "P1:1": "P1"})
    costs = {in_words(test): test.cost for test in every_test(reach)}
    assert costs["key=on unplug=P1 volts S1:2 FRAME"] == 1 + 4 + 2
    assert costs["unplug=G1 unplug=P1 ohms S1:2 P1:1"] == 4 + 4 + 2


def test_from_where_the_machine_stands() -> None:
    """With the key on and the battery off already: no volts, nothing to isolate, and key=off is the move."""
    found = list(map(in_words, every_test(SHED, {"key": "on"}, ["G1"])))
    dead = [f"ohms {probe.red} {probe.black}" for probe in resistance_probes(SHED)]
    switch = "ohms S1:1 S1:2 in the hand"
    once = [*dead, switch, "ohms P1:1 P1:2 in the hand"]
    assert found == ["look", *once, "key=off look", *(f"key=off {line}" for line in (*dead, switch))]


def test_at_most_so_many_states() -> None:
    """With fewer states than there are the tests stay near rest and near everything in its last position."""
    states = {tuple(move for move in test.moves if move.verb == "set") for test in every_test(BENCH, most=4)}
    assert len(states) == 4
    every = {tuple(move for move in test.moves if move.verb == "set") for test in every_test(BENCH)}
    assert len(every) == BENCH.state_count == 6
    assert states < every


def test_what_is_behind_a_plug_is_measured_unplugged() -> None:
    """Points that ask for a connector apart are measured so, and only with it apart; the halves then differ.

    By hand: with X1 apart and its lead live the feed's half shows the supply, the other half nothing.
    """
    names = {"K1:87a": "", "X1:a1": "X1", "X1:b1": "X1", "Y1:1": ""}
    circuit = replace(BENCH, reach=names)
    tests = [test for test in every_test(circuit) if test.probe is not None and not test.probe.alone]
    behind = {"X1:a1", "X1:b1"}
    for test in tests:
        assert test.probe is not None
        apart = Move("unplug", "X1") in test.moves
        assert apart == bool(behind & {test.probe.red, test.probe.black}), test
    live = {in_words(test) for test in tests if test.probe is not None and test.probe.mode == VOLTS}
    here = {
        "volts K1:87a FRAME",
        "volts Y1:1 FRAME",
        *(f"unplug=X1 volts {pair}" for pair in ("X1:a1 FRAME", "X1:b1 FRAME", "K1:87a X1:a1", "X1:b1 Y1:1")),
        "unplug=X1 volts X1:a1 X1:b1",
    }
    assert {line for line in live if "=on" not in line and "lever" not in line} == here
    machine = Machine(BENCH)
    for move in ("lever=high", "unplug=X1"):
        machine.move(move)
    assert read(machine, Probe(VOLTS, "X1:a1", "FRAME")).value is not None
    assert read(machine, Probe(VOLTS, "X1:b1", "FRAME")).status == "floating"


def test_what_is_unplugged_already_need_not_be_unplugged() -> None:
    """With the connector apart its points are measured without a move for it, at the cost of a reading."""
    circuit = replace(BENCH, reach={"X1:a1": "X1", "K1:87a": ""})
    tests = {in_words(test): test.cost for test in every_test(circuit, None, ["X1"])}
    assert tests["volts X1:a1 FRAME"] == BACK_PROBE
    assert not any("unplug=X1" in line for line in tests)


def test_a_source_is_not_unplugged_for_volts() -> None:
    """A point under the battery's clamp is in reach once the battery is off: for ohms, and at no cost of its own."""
    circuit = replace(SHED, reach={"G1:+": "G1", "S1:1": ""})
    tests = {in_words(test): test.cost for test in every_test(circuit)}
    assert tests["unplug=G1 ohms G1:+ S1:1"] == UNPLUG + BACK_PROBE
    assert [line for line in tests if "volts" in line] == ["volts S1:1 FRAME", "key=on volts S1:1 FRAME"]


def test_a_return_that_is_not_frame() -> None:
    """Where nothing joins the source to FRAME, volts are taken against its ``-`` too, each pair once.

    Two wires through a splice, a connector and a ground join it all the same.
    """
    floating = replace(SHED, wires={name: wire for name, wire in SHED.wires.items() if name != "W4"})
    assert [(probe.red, probe.black) for probe in return_probes(floating)] == [
        ("S1:1", "G1:-"),
        ("S1:2", "G1:-"),
        ("P1:1", "G1:-"),
    ]
    pairs = [
        frozenset((test.probe.red, test.probe.black))
        for test in every_test(floating)
        if test.probe is not None and test.probe.mode == VOLTS and not test.moves
    ]
    assert len(pairs) == len(set(pairs))
    assert list(return_probes(SHED)) == []
    assert list(return_probes(GATE)) == []
    assert list(return_probes(replace(floating, reach={"S1:1": "", "G1:-": "P1"}))) == []
    behind = depot.circuit(
        """
circuit: long-return
parts:
  G1: {kind: battery}
  P1: {kind: lamp}
  X1: {kind: connector, pins: 1}
  N1: {kind: splice, ways: 2}
  E1: {kind: ground}
wires:
  W1: {from: G1:+, to: P1:1}
  W2: {from: P1:2, to: FRAME}
  W3: {from: G1:-, to: X1:a1}
  W4: {from: X1:b1, to: N1:1}
  W5: {from: N1:2, to: E1:1}
"""
    )
    assert list(return_probes(behind)) == []
    unmade = replace(behind, wires={name: wire for name, wire in behind.wires.items() if name != "W4"})
    assert Probe(VOLTS, "P1:1", "G1:-") in list(return_probes(unmade))


def test_a_fuse_is_taken_out_in_every_state() -> None:
    """A short behind the switch blows the fuse with the key on only: in the hand it is sound at rest and open then."""
    text = depot.SHED.replace("S1: {kind", "F1: {kind: fuse, rating: 5 A}\n  S1: {kind").replace(
        "W1: {from: G1:+, to: S1:1", "W0: {from: G1:+, to: F1:1}\n  W1: {from: F1:2, to: S1:1"
    )
    circuit = depot.circuit(text)
    fuse = [test for test in every_test(circuit) if test.probe is not None and test.probe.alone == "F1"]
    assert [test.moves for test in fuse] == [(OFF_G1,), (ON, OFF_G1)]
    statuses = []
    for test in fuse:
        machine = Machine(circuit, [parse_fault("W2 shorted to ground", circuit)])
        for move in test.moves:
            machine.move(move)
        assert test.probe is not None
        statuses.append(read(machine, test.probe).status)
    assert statuses == ["ok", OVERLOAD]


@settings(max_examples=40, deadline=None)
@given(circuits(most=5), st.data())
def test_every_test_can_be_made(circuit: Circuit, data: st.DataObject) -> None:
    """On random circuits: no test twice, and a test drawn at random is accepted by the machine and by the meter.

    Its points are in reach once its moves are made, and no ohms are taken on a live circuit; the first test is a look
    where the machine stands.
    """
    start = data.draw(st.sampled_from(list(circuit.states())))
    tests = list(every_test(circuit, start))
    assert tests[0] == Candidate((), None, LOOK)
    assert len(tests) == len({(test.moves, test.probe) for test in tests})
    test = data.draw(st.sampled_from(tests))
    machine = Machine(circuit)
    for move in (*control_moves(circuit, machine.state, start), *test.moves):
        machine.move(str(move))
    if test.probe is not None:
        assert read(machine, test.probe).status != LIVE
        assert not (test.probe.mode == OHMS and machine.delivers())
        if not test.probe.alone:
            points = {"FRAME", *reachable(circuit, machine.wiring.unplugged)}
            assert {test.probe.red, test.probe.black} <= points


@settings(max_examples=40, deadline=None)
@given(circuits(most=5))
def test_what_is_taken_in_the_hand_once_shows_the_same_everywhere(circuit: Circuit) -> None:
    """Sound parts in the hand, in every state: what a test shows there is what one of the tests made shows.

    So leaving out the other states loses nothing: each part shows as many different readings as in all states.
    """
    made: dict[Probe, set[str]] = {}
    for test in every_test(circuit):
        if test.probe is not None and test.probe.alone:
            machine = Machine(circuit)
            for move in test.moves:
                machine.move(move)
            made.setdefault(test.probe, set()).add(read(machine, test.probe).display)
    for way in ways_to_states(circuit, circuit.rest()):
        machine = Machine(circuit)
        for move in way:
            machine.move(move)
        for source in ("battery", "supply"):
            for part in circuit.parts.values():
                if part.kind == source:
                    machine.move(Move("unplug", part.name))
        for probe in hand_probes(circuit):
            assert read(machine, probe).display in made[probe]


def test_probes_with_nothing_unplugged_are_the_plain_ones() -> None:
    """What is measured with everything mated does not depend on what could be unplugged."""
    circuit = replace(BENCH, reach={"K1:86": "", "K1:30": "", "M1:1": "M1", "K1:87": "K1"})
    plain = [Probe(VOLTS, "K1:86", "FRAME"), Probe(VOLTS, "K1:30", "FRAME")]
    assert list(voltage_probes(circuit)) == plain
    assert list(voltage_probes(circuit, ["M1"])) == [*plain, Probe(VOLTS, "M1:1", "FRAME")]
    assert list(voltage_probes(replace(circuit, reach={}))) == list(voltage_probes(BENCH))
