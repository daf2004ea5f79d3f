"""A known-good part in the place of one: what it takes away, what it leaves, and what that says of the suspects."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.circuit_file import read_circuit
from faultwright.double_suspects import find_double_suspects
from faultwright.faults import parse_fault, remedies_at, universe
from faultwright.in_step import Machines
from faultwright.machine import Machine
from faultwright.meter import OHMS, OVERLOAD, VOLTS, Probe, read
from faultwright.moves import HARNESS, REPLACE, Move, parse_move
from faultwright.record import Record
from faultwright.sequence_review import search_cost
from faultwright.suspects import find_suspects
from tests.core import depot
from tests.core.records import truthful_actions
from tests.core.strategies import circuits, control_move, exchanges, faults, moves

SPRAYER = read_circuit(
    Path(__file__).resolve().parents[2] / "autograde" / "faultwright_autograde" / "demo_class" / "orchard-sprayer.yaml"
)
"""The relay K1 takes the pump and a lamp beside it; its coil is fed over the key switch and the tank float."""

RUNS, STANDS = {"pump": True, "lamp": "lit"}, {"pump": False, "lamp": "off"}

BLOWS = "bridge=N1:1,FRAME", "unbridge=N1:1,FRAME"
"""A jumper blows F1 of the test bench and is taken off again."""


def sprayer(*made: str, fault: str = "") -> Machine:
    """Return the sprayer with a fault after some moves."""
    machine = Machine(SPRAYER, [parse_fault(fault, SPRAYER)] if fault else [])
    for move in made:
        machine.move(move)
    return machine


# By hand


def test_a_relay_whose_contact_is_stuck_open() -> None:
    """It takes the pump while another relay stands in, and fails again when its own is back."""
    machine = sprayer("float=full", "key=on", fault="K1 30-87 stuck open")
    assert machine.seen() == STANDS
    assert machine.move("substitute=K1").seen == RUNS
    assert machine.move("key=off").seen == STANDS
    assert machine.move("key=on").seen == RUNS
    assert machine.move("restore=K1").seen == STANDS


@pytest.mark.parametrize("fault", ["K1:86 open", "K1:30 resistance 10 kΩ", "W9 open", "B1 stuck open", "X1:1 open"])
def test_what_lies_at_a_joint_or_elsewhere_stays(fault: str) -> None:
    """A break between joint and part is the harness's, so another relay stands still as its own does."""
    machine = sprayer("float=full", "key=on", fault=fault)
    assert machine.seen()["pump"] is False
    assert machine.move("substitute=K1").seen["pump"] is False


def test_a_diode_fitted_the_wrong_way_round_stays_so() -> None:
    """A new one goes in as the old one came out: replacing cures a diode that is open, none that is reversed.

    By hand: 11.4 V stand over L1 behind a sound diode, which drops 0.6 V of 12 V, and nothing behind a reversed one.
    """
    for fault, works in (("R1 open", True), ("R1 reversed", False)):
        machine = depot.machine(depot.BENCH, faults=[fault])
        assert float(machine.settled.voltage("L1:1")) == pytest.approx(0, abs=1e-9)
        machine.move("substitute=R1")
        assert float(machine.settled.voltage("L1:1")) == pytest.approx(11.3 if works else 0, abs=0.2), fault


def test_an_intermittent_fault_lies_aside_too() -> None:
    """Touched while another relay stands in, the place is quiet; it is not once the machine's own is back."""
    machine = sprayer("float=full", "key=on", "substitute=K1", "disturb=K1", fault="K1 coil open when disturbed")
    assert machine.seen() == RUNS
    assert machine.move("restore=K1").seen == STANDS
    assert machine.move("disturb=nothing").seen == RUNS


def test_a_contactor_that_holds_itself_in_lets_go_while_it_is_exchanged() -> None:
    """The part comes off first, so the gate stands afterwards, until it is started again."""
    machine = depot.machine(depot.GATE, "start=pressed", "start=released")
    assert machine.seen() == {"moves": True}
    step = machine.move("substitute=Q1")
    assert (step.seen, step.clicks) == ({"moves": False}, ("Q1 drops out",))
    machine.move("start=pressed")
    assert machine.move("start=released").seen == {"moves": True}
    assert machine.move("restore=Q1").seen == {"moves": False}


def test_a_blown_fuse_comes_back_blown() -> None:
    """A known-good fuse feeds the machine; the machine's own, restored, is as it was when it was taken out."""
    machine = depot.machine(depot.BENCH, *BLOWS, "key=on")
    assert machine.blown == {"F1"}
    assert machine.seen()["lamp"] == "off"
    step = machine.move("substitute=F1")
    assert (step.blown, step.seen["lamp"]) == ((), "lit")
    step = machine.move("restore=F1")
    assert (step.blown, step.seen["lamp"]) == (("F1",), "off")


def test_a_known_good_fuse_blows_like_any_other() -> None:
    """Where the overload is still there it goes too; a fresh one goes in, and its loss ends when it is taken out."""
    machine = depot.machine(depot.BENCH, "substitute=F1", "key=on", "bridge=N1:1,FRAME")
    assert machine.blown == {"F1"}
    assert machine.move("substitute=F1").blown == ("F1",)
    machine.move("unbridge=N1:1,FRAME")
    assert machine.seen()["lamp"] == "off"
    assert machine.move("substitute=F1").seen["lamp"] == "lit"
    for move in BLOWS:
        machine.move(move)
    assert machine.blown == {"F1"}
    step = machine.move("restore=F1")
    assert (step.blown, step.seen["lamp"]) == ((), "lit")


def test_replacing_ends_a_substitution() -> None:
    """The new fuse is the machine's own, so nothing is left to restore; another remedy is done to what lies aside."""
    machine = depot.machine(depot.BENCH, *BLOWS, "key=on", "substitute=F1", "repair=F1 replace")
    assert machine.wiring.substituted == frozenset()
    assert machine.move("restore=F1").seen["lamp"] == "lit"
    assert machine.blown == frozenset()
    machine = depot.machine(depot.SHED, "key=on", "substitute=S1", "repair=S1 adjust", faults=["S1 stuck open"])
    assert machine.wiring.substituted == {"S1"}
    assert machine.move("restore=S1").seen == {"lamp": "lit"}


def test_rest_puts_the_machines_own_parts_back() -> None:
    """At rest everything is as found: the fault is back, fuses are sound, nothing stands in."""
    machine = sprayer("substitute=K1", "rest", "float=full", fault="K1 coil open")
    assert machine.move("key=on").seen == STANDS
    machine = depot.machine(depot.BENCH, *BLOWS, "substitute=F1", "rest")
    assert (machine.wiring.substituted, machine.blown) == (frozenset(), frozenset())
    machine.move("restore=F1")
    assert machine.blown == frozenset()


def test_restoring_what_was_not_substituted_does_nothing() -> None:
    """As mating what is mated does: a contactor that holds itself in is not even let go."""
    for move in ("restore=Q1", "mate=Q1"):
        machine = depot.machine(depot.GATE, "start=pressed", "start=released")
        step = machine.move(move)
        assert (step.seen, step.clicks) == ({"moves": True}, ()), move


def test_a_part_that_is_off_stays_off() -> None:
    """Exchanged while it is unplugged, the known-good one is in place when it is mated, and in the hand before."""
    machine = depot.machine(depot.SHED, "key=on", "unplug=P1", "substitute=P1", faults=["P1 open"])
    assert machine.seen() == {"lamp": "off"}
    assert machine.move("mate=P1").seen == {"lamp": "lit"}
    in_hand = Probe(OHMS, "P1:1", "P1:2", alone="P1")
    assert read(machine, in_hand).value == 1.0  # the cold filament, a tenth of 10 Ω
    machine.move("restore=P1")
    assert read(machine, in_hand).status == OVERLOAD


def test_which_parts_can_be_substituted() -> None:
    """Every kind but those of the harness, in none of which anything is cured by a new part: of others most are."""
    found = depot.circuit(depot.BENCH)
    cured = {
        found.parts[fault.place].kind
        for fault in universe(found).values()
        if fault.place in found.parts and REPLACE in fault.remedies
    }
    assert cured.isdisjoint(HARNESS)
    for part in found.parts.values():
        if part.kind not in HARNESS:
            assert parse_move(f"substitute={part.name}", found) == Move("substitute", part.name)
    # A switch, a fuse, a relay … by the trade's remedies; a regulated supply and a magneto have no fault of their own.
    assert {part.kind for part in found.parts.values()} - cured == {*HARNESS, "supply", "magneto"}


# What it says of the suspects

COMPLAINT = "float=full", "key=on", "key=on"
"""The key is tried twice: a switch that sticks goes over in the move after its own, whatever that is."""

CURED = ["K1 coil open", "K1 coil shorted", "K1 30-87 stuck open", "K1 30-87 resistance"]
"""What in the relay keeps pump and lamp from working, by hand: the coil does not pull, or no contact passes it on."""


def complained(fault: str) -> Bench:
    """Return a bench on which the complaint was seen: nothing works."""
    bench = Bench(SPRAYER, [parse_fault(fault, SPRAYER)])
    for move in COMPLAINT:
        bench.move(move)
    assert bench.machine.seen() == STANDS
    bench.observe()
    return bench


@pytest.mark.parametrize("fault", [*CURED[:3], "K1 30-87 resistance 10 kΩ"])
def test_what_works_with_a_known_good_part_lies_in_the_part(fault: str) -> None:
    """Of all that the complaint leaves, the suspects are exactly the faults in K1."""
    bench = complained(fault)
    bench.move("substitute=K1")
    bench.observe()
    assert bench.machine.seen() == RUNS
    found = find_suspects(SPRAYER, bench.record)
    assert (found.names, found.healthy) == (CURED, False)


@pytest.mark.parametrize("fault", ["K1:86 open", "W9 shorted to ground", "B1 stuck open", "F1 open", "K1:87 open"])
def test_what_still_fails_lies_elsewhere(fault: str) -> None:
    """Of all that the complaint leaves, the suspects are exactly those outside K1."""
    bench = complained(fault)
    before = find_suspects(SPRAYER, bench.record).names
    assert {*CURED} < {*before}
    bench.move("substitute=K1")
    bench.observe()
    found = find_suspects(SPRAYER, bench.record)
    assert found.names == [name for name in before if name not in CURED]
    assert fault in found.names
    # Restored it says nothing new.
    bench.move("restore=K1")
    bench.observe()
    assert find_suspects(SPRAYER, bench.record).names == found.names


def test_the_value_of_a_fault_that_lies_aside_is_not_narrowed() -> None:
    """A reading while another part stands in says nothing of a resistance in the part, and what comes after does.

    By hand: behind R in the contact the lamp's 72 Ω (12 V, 2 W) alone stand against it, the pump's 0.9 Ω beside it.
    """
    bench = complained("K1 30-87 resistance 10 kΩ")
    wide = find_suspects(SPRAYER, bench.record).ranges["K1 30-87 resistance"]
    bench.move("substitute=K1")
    bench.read(Probe(VOLTS, "K1:87", "FRAME"))
    assert find_suspects(SPRAYER, bench.record).ranges["K1 30-87 resistance"] == pytest.approx(wide, rel=2e-3)
    bench.move("restore=K1")
    bench.read(Probe(VOLTS, "K1:87", "FRAME"))
    low, high = find_suspects(SPRAYER, bench.record).ranges["K1 30-87 resistance"]
    assert wide[0] < low <= 10e3 <= high < wide[1]


def test_two_faults_at_once_of_which_one_lies_aside() -> None:
    """The relay passes nothing and its joint is open: another relay does not help, the joint mended it does."""
    pair = [parse_fault(name, SPRAYER) for name in ("K1 30-87 stuck open", "W9 open")]
    bench = Bench(SPRAYER, pair)
    for move in (*COMPLAINT, "substitute=K1"):
        bench.move(move)
    bench.observe()  # the lamp is lit, the pump stands: W9
    assert bench.machine.seen() == {"pump": False, "lamp": "lit"}
    bench.move("restore=K1")
    bench.observe()
    single = find_suspects(SPRAYER, bench.record)
    assert (single.names, single.healthy) == ([], False)
    asked = [*pair, parse_fault("B1 stuck open", SPRAYER), parse_fault("S1 stuck open", SPRAYER)]
    pairs = find_double_suspects(SPRAYER, bench.record, single, asked)
    assert pairs == [("K1 30-87 stuck open", "W9 open")]


def test_what_a_substitution_costs() -> None:
    """A part is taken out, 8, whatever else is done; putting the machine's own back is part of it."""
    made = [parse_move(text, SPRAYER) for text in ("substitute=K1", "restore=K1")]
    assert search_cost(Record(SPRAYER.name, tuple(made))) == 8


# Laws


@settings(max_examples=80)
@given(circuits(), st.data())
def test_a_known_good_part_is_a_new_part(circuit: Circuit, data: st.DataObject) -> None:
    """Substituting is taking off, replacing and putting back, electrically: seen, blown, relays and every voltage.

    Where no relay buzzes: at which moment of that one looks depends on how often the machine has settled.
    """
    chosen = data.draw(st.lists(faults(circuit), max_size=2))
    one, other = Machine(circuit, chosen), Machine(circuit, chosen)
    for move in data.draw(st.lists(moves(circuit), max_size=3)):
        one.move(move)
        other.move(move)
    part = data.draw(exchanges(circuit)).partition("=")[2]
    off = part in one.wiring.unplugged
    assume(not one.settled.buzzing)
    one.move(f"substitute={part}")
    other.move(f"unplug={part}")
    assume(not one.settled.buzzing and not other.settled.buzzing)
    other.make(Move("repair", part, REPLACE))
    if not off:
        other.move(f"mate={part}")
    following = ["disturb=nothing", *data.draw(st.lists(control_move(circuit), max_size=3))]
    for move in following:
        step, same = one.move(move), other.move(move)
        assert (step.seen, step.blown, step.buzzes, step.clicks) == (same.seen, same.blown, same.buzzes, same.clicks)
        assert one.settled.voltages == other.settled.voltages


@settings(max_examples=60)
@given(circuits(), st.data())
def test_restoring_brings_everything_back(circuit: Circuit, data: st.DataObject) -> None:
    """Faults, wiring and what the machine's own fuse was; at rest nothing tells that another part was there."""
    machine = Machine(circuit, data.draw(st.lists(faults(circuit), max_size=2)))
    for move in data.draw(st.lists(moves(circuit), max_size=3)):
        machine.move(move)
    part = data.draw(exchanges(circuit)).partition("=")[2]
    assume(part not in machine.wiring.substituted)
    present, wiring, blown = machine.present(), machine.wiring, machine.blown & {part}
    machine.move(f"substitute={part}")
    assert machine.wiring == replace(wiring, substituted=wiring.substituted | {part})
    for move in data.draw(st.lists(control_move(circuit), max_size=2)):
        machine.move(move)
    machine.move(f"restore={part}")
    assert (machine.present(), machine.wiring) == (present, wiring)
    assert blown <= machine.blown
    machine.move("rest")
    untouched = Machine(circuit, machine.faults)
    assert (machine.seen(), machine.settled.voltages) == (untouched.seen(), untouched.settled.voltages)


@settings(max_examples=60)
@given(circuits(most=6), st.data())
def test_the_true_fault_is_left_whatever_is_exchanged(circuit: Circuit, data: st.DataObject) -> None:
    """Parts are exchanged and put back between truthful readings; the fault in the machine is always a suspect."""
    fault = data.draw(faults(circuit))
    machine, made = Machine(circuit, [fault]), []
    for _ in range(data.draw(st.integers(1, 3))):
        move = parse_move(data.draw(exchanges(circuit)), circuit)
        machine.make(move)
        made += [move, *data.draw(truthful_actions(machine, most=3))]
    assert find_suspects(circuit, Record(circuit.name, tuple(made)), [fault]).names == [fault.name]


def test_every_part_exchanged_with_every_fault_in_step() -> None:
    """One of every kind, all faults: in lanes as alone, each part out and back, jumpers and blown fuses between."""
    found = depot.circuit(depot.BENCH)
    hypotheses = [(), *((fault,) for fault in universe(found).values())]
    parts = [part.name for part in found.parts.values() if part.kind not in HARNESS]
    made = ["key=on", "lever=low", *(f"{verb}={part}" for part in parts for verb in ("substitute", "restore"))]
    made += [*BLOWS, "substitute=F1", "substitute=S1", "restore=F1", "repair=F1 replace", "restore=S1", "rest"]
    machines, singles = Machines(found, hypotheses), [Machine(found, hypothesis) for hypothesis in hypotheses]
    for text in made:
        move = parse_move(text, found)
        machines.move(move)
        for number, single in enumerate(singles):
            single.make(move)
            standing = machines.standing(number)
            assert (standing.positions(), standing.relays) == (single.positions(), single.relays), (text, single.faults)
            assert standing.blown == single.blown, (text, single.faults)
            assert standing.faults == single.present() or machines.alone.get(number), (text, single.faults)


def test_which_remedies_a_substitution_tries_out() -> None:
    """By the list of remedies: of every fault in a part that a new one would cure nothing is left, of others all is."""
    for text in (depot.BENCH, depot.MOWER, depot.GATE):
        found = depot.circuit(text)
        for fault in universe(found).values():
            if fault.place not in found.parts or found.parts[fault.place].kind in HARNESS:
                continue
            machine = Machine(found, [fault])
            machine.move(f"substitute={fault.place}")
            assert machine.present() == (() if REPLACE in fault.remedies else (fault,))
            assert REPLACE in remedies_at(found)[fault.place]
