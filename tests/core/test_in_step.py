"""Machines in step: many hypotheses taken through the same moves together are each what one machine would be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.families import Hypothesis
from faultwright.faults import Fault, parse_fault, remedies_at, universe
from faultwright.in_step import FEW, Machines
from faultwright.lane_seen import code
from faultwright.machine import Machine
from faultwright.moves import Move, parse_move
from tests.core import depot
from tests.core.strategies import circuits, control_move, decades, exchanges, faults, moves

# What is compared


def gone(circuit: Circuit, hypothesis: Hypothesis, made: Sequence[Move]) -> Machine:
    """Return one machine that has made some moves."""
    machine = Machine(circuit, hypothesis)
    for move in made:
        machine.move(move)
    return machine


def all_alike(machines: Machines, singles: Sequence[Machine]) -> None:
    """Check that each of the machines in step stands as a machine by itself does."""
    assert len(machines.hypothesis) == len(machines.way) == len(singles)
    for number, single in enumerate(singles):
        hypothesis = machines.hypotheses[machines.hypothesis[number]]
        assert hypothesis == single.faults
        assert {name: int(codes[number]) for name, codes in machines.seen.items()} == {
            name: code(value) for name, value in single.seen().items()
        }, hypothesis
        assert {name: bool(energised[number]) for name, energised in machines.relays.items()} == single.relays
        assert {name for name, blown in machines.blown.items() if blown[number]} == single.blown
        standing = machines.standing(number)
        assert standing.positions() == single.positions()
        assert (standing.relays, standing.blown) == (single.relays, single.blown)


def frozen(machines: Machines) -> tuple[object, ...]:
    """Return how machines stand, written out, so that it can be compared later."""
    flags = (machines.relays, machines.blown, machines.seen)
    alone = [(number, one.seen(), dict(one.relays), one.blown) for number, one in sorted(machines.alone.items())]
    return (
        machines.hypothesis.tolist(),
        machines.way.tolist(),
        [{name: numbers.tolist() for name, numbers in of.items()} for of in flags],
        [dict(state) for state in machines.states],
        machines.wiring,
        machines.disturbed,
        list(machines.hypotheses),
        alone,
    )


# What is drawn


def valued(fault: Fault) -> st.SearchStrategy[Fault]:
    """Return a fault with any free value from 1 mΩ to 10 MΩ."""
    return decades(-3, 7).map(lambda value: replace(fault, value=value)) if fault.value is not None else st.just(fault)


def hypotheses(circuit: Circuit) -> st.SearchStrategy[list[Hypothesis]]:
    """Return the sound machine, single and double faults, one in four of them intermittent."""
    one = faults(circuit).flatmap(valued)
    some = st.lists(one, min_size=1, max_size=2).map(lambda two: tuple({fault.name: fault for fault in two}.values()))
    several = faults(circuit).flatmap(lambda fault: st.lists(valued(fault).map(lambda one: (one,)), max_size=3))
    return st.tuples(st.lists(some, min_size=1, max_size=6), several).map(lambda two: [(), *two[0], *two[1]])


def any_move(circuit: Circuit) -> st.SearchStrategy[Move]:
    """Return moves of every verb; half of them are those of controls."""
    mending = [f"repair={place} {remedy}" for place, remedies in remedies_at(circuit).items() for remedy in remedies]
    kinds = [control_move(circuit), control_move(circuit), moves(circuit), st.sampled_from([*mending, "rest"])]
    kinds.append(exchanges(circuit))
    return st.one_of(kinds).map(lambda text: parse_move(text, circuit))


def ways(circuit: Circuit) -> st.SearchStrategy[list[list[Move]]]:
    """Return ways, some of them no move long."""
    one = st.lists(control_move(circuit).map(lambda text: parse_move(text, circuit)), max_size=3)
    return st.lists(one, min_size=1, max_size=3)


FEWER = st.sampled_from((0, 0, 2, FEW))
"""How many of one topology are left to machines by themselves."""


# The law


@settings(max_examples=40)
@given(circuits(most=6), FEWER, st.data())
def test_machines_in_step_are_machines(circuit: Circuit, few: int, data: st.DataObject) -> None:
    """After every move of any kind each machine in step shows, holds and has blown what one by itself has."""
    chosen = data.draw(hypotheses(circuit))
    machines, singles = Machines(circuit, chosen, few), [Machine(circuit, hypothesis) for hypothesis in chosen]
    all_alike(machines, singles)
    for move in data.draw(st.lists(any_move(circuit), min_size=1, max_size=5)):
        event(move.verb)
        machines.move(move)
        for single in singles:
            single.move(move)
        all_alike(machines, singles)


@settings(max_examples=40)
@given(circuits(most=6), FEWER, st.data())
def test_machines_that_are_spread_have_gone_each_way(circuit: Circuit, few: int, data: st.DataObject) -> None:
    """All machines of the first way come first, then those of the second; all go on together from there."""
    chosen = data.draw(hypotheses(circuit))
    machines = Machines(circuit, chosen, few)
    start = data.draw(st.lists(any_move(circuit), max_size=2))
    for move in start:
        machines.move(move)
    before = frozen(machines)
    each = data.draw(ways(circuit))
    spread = machines.spread(each)
    assert frozen(machines) == before
    assert spread.hypothesis.tolist() == [*range(len(chosen))] * len(each)
    assert spread.way.tolist() == [way for way in range(len(each)) for _ in chosen]
    singles = [gone(circuit, hypothesis, [*start, *way]) for way in each for hypothesis in chosen]
    all_alike(spread, singles)
    for move in data.draw(st.lists(any_move(circuit), max_size=3)):
        spread.move(move)
        for single in singles:
            single.move(move)
        all_alike(spread, singles)
    assert frozen(machines) == before


@settings(max_examples=40)
@given(circuits(most=6), FEWER, st.data())
def test_what_is_kept_is_as_it_was(circuit: Circuit, few: int, data: st.DataObject) -> None:
    """Some go on without the others as if those were there; a copy and a snapshot stay where they were taken."""
    chosen = data.draw(hypotheses(circuit))
    machines, singles = Machines(circuit, chosen, few), [Machine(circuit, hypothesis) for hypothesis in chosen]
    for move in data.draw(st.lists(any_move(circuit), min_size=1, max_size=3)):
        machines.move(move)
        for single in singles:
            single.move(move)
    copied, snapshot, before = machines.copy(), machines.snapshot(), frozen(machines)
    standings = [(dict(single.positions()), dict(single.relays), single.blown) for single in singles]
    some_only = data.draw(st.booleans())
    kept = [number for number in range(len(chosen)) if not some_only or data.draw(st.booleans())]
    if some_only:
        machines.keep(np.array(kept, dtype=np.intp))
    assert machines.hypothesis.tolist() == kept
    mine = [singles[number] for number in kept]
    all_alike(machines, mine)
    for move in data.draw(st.lists(any_move(circuit), max_size=3)):
        machines.move(move)
        for single in mine:
            single.move(move)
        all_alike(machines, mine)
    assert frozen(copied) == before
    assert frozen(snapshot)[:-1] == before[:-1]
    for number, stood in enumerate(standings):
        standing = snapshot.standing_by_itself(number)
        assert (standing.positions(), standing.relays, standing.blown) == stood


# Worked cases: every fault of machines with a history


def every_hypothesis(circuit: Circuit) -> list[Hypothesis]:
    """Return the sound machine and every fault; a free value at its default and up from 1 mΩ."""
    found: list[Hypothesis] = [()]
    for fault in universe(circuit).values():
        values = [None] if fault.value is None else [fault.value, 1e-3, 0.3, 60.0, 1e4]
        found += [(replace(fault, value=value),) for value in values]
    return found


def walked(circuit: Circuit, chosen: Sequence[Hypothesis], *made: str) -> tuple[Machines, list[Machine]]:
    """Return machines in step and by themselves after moves, which were compared after each."""
    machines, singles = Machines(circuit, chosen), [Machine(circuit, hypothesis) for hypothesis in chosen]
    for text in made:
        machines.move(parse_move(text, circuit))
        for single in singles:
            single.move(text)
        all_alike(machines, singles)
    return machines, singles


def test_a_contactor_that_holds_itself_in() -> None:
    """Of all faults of the yard gate some let go with the start button, some hold on, and some never pull in."""
    circuit = depot.circuit(depot.GATE)
    machines, singles = walked(circuit, every_hypothesis(circuit), "start=pressed")
    assert {number for number, single in enumerate(singles) if single.settled.buzzing} == machines.alone.keys()
    machines, _ = walked(circuit, every_hypothesis(circuit), "start=pressed", "start=released")
    assert {bool(energised) for energised in machines.relays["Q1"]} == {False, True}
    assert machines.seen["moves"][0] == 1
    machines, _ = walked(
        circuit, every_hypothesis(circuit), "start=pressed", "start=released", "stop=pressed", "stop=released"
    )
    assert machines.seen["moves"][0] == 0
    assert machines.seen["moves"].any()  # S1 stuck closed, for one


def test_an_engine_that_runs_on() -> None:
    """With every fault of the mower: it cranks, runs on, and stops or not when the seat is left or the brake is off."""
    circuit = depot.circuit(depot.MOWER)
    chosen = every_hypothesis(circuit)
    machines, _ = walked(circuit, chosen, "key=on", "seat=taken", "brake=set", "key=start", "key=on")
    assert not machines.alone
    assert machines.seen["runs"][0] == 1
    for move, runs in (("brake=released", 1), ("seat=empty", 0), ("seat=taken", 0)):
        machines.move(parse_move(move, circuit))
        assert machines.seen["runs"][0] == runs
    walked(circuit, chosen, *("seat=taken", "brake=set", "key=start", "key=on", "seat=empty", "key=off", "key=start"))


def test_every_kind_of_part_with_every_fault() -> None:
    """One of every kind, all faults, operated, taken apart, joined, mended, put back and put to rest."""
    circuit = depot.circuit(depot.BENCH)
    machines, _ = walked(
        circuit,
        every_hypothesis(circuit),
        *("key=on", "lever=low", "bridge=K1:87,FRAME", "lever=high", "unbridge=K1:87,FRAME", "repair=F1 replace"),
        *("disturb=X1:1", "unplug=X1", "load=X1:a1,FRAME", "mate=X1", "lever=idle", "repair=S1 clean", "rest"),
        *("lever=low", "key=on"),
    )
    assert len(machines.alone) <= FEW


def test_a_fuse_that_has_blown_stays_so() -> None:
    """A jumper to the frame opens the fuse; with it off the fuse stays open, mended it lives, at rest it is sound.

    What limits the current keeps the fuse: with 40 Ω at its pin it does not blow.
    """
    circuit = depot.circuit(depot.BENCH)
    chosen = [(), *((parse_fault("F1:1 resistance", circuit),),) * 8, *((parse_fault("W6 open", circuit),),) * 8]
    blown = [True, *[False] * 8, *[True] * 8]
    machines, _ = walked(circuit, chosen, "bridge=N1:1,FRAME")
    assert machines.blown["F1"].tolist() == blown
    assert not machines.alone
    machines, _ = walked(circuit, chosen, "bridge=N1:1,FRAME", "unbridge=N1:1,FRAME", "key=on")
    assert machines.blown["F1"].tolist() == blown
    assert machines.seen["lamp"].tolist() == [0] * len(chosen)
    for mend in ("repair=F1 replace", "rest"):
        moves_made = ("bridge=N1:1,FRAME", "unbridge=N1:1,FRAME", mend, "key=on")
        machines, _ = walked(circuit, chosen, *moves_made)
        assert not machines.blown["F1"].any()
        assert machines.seen["lamp"].tolist() == [2, *[0] * 8, *[0] * 8]


def test_a_switch_that_sticks_is_one_move_late() -> None:
    """The lamp of the shed follows the move before the last, in lanes of sticking and sound switches alike."""
    circuit = depot.circuit(depot.SHED)
    chosen = [*((),) * 8, *((parse_fault("S1 sticking", circuit),),) * 8]
    machines = Machines(circuit, chosen)
    seen = []
    for move in ("key=on", "key=on", "key=off", "key=on"):
        machines.move(parse_move(move, circuit))
        seen.append((machines.seen["lamp"][0], machines.seen["lamp"][-1]))
    assert seen == [(2, 0), (2, 2), (0, 2), (2, 0)]
    assert not machines.alone
    spread = Machines(circuit, chosen).spread([[], [Move("set", "key", "on")], [Move("set", "key", "on")] * 2])
    assert spread.seen["lamp"].reshape(3, 16)[:, [0, -1]].tolist() == [[0, 0], [2, 0], [2, 2]]


def test_an_intermittent_fault_is_there_while_its_place_is_disturbed() -> None:
    """The lamp goes out while the loose joint is touched, and only then; a mended one stays lit."""
    circuit = depot.circuit(depot.SHED)
    chosen = [*((),) * 8, *((parse_fault("P1:1 open when disturbed", circuit),),) * 8]
    lit = []
    machines = Machines(circuit, chosen)
    for move in (
        *("key=on", "disturb=P1:1", "disturb=P1:2", "disturb=P1:1", "disturb=nothing", "disturb=P1:1"),
        "repair=P1:1 re-terminate",
    ):
        machines.move(parse_move(move, circuit))
        lit.append((machines.seen["lamp"][0], machines.seen["lamp"][-1]))
    assert lit == [(2, 2), (2, 0), (2, 2), (2, 0), (2, 2), (2, 0), (2, 2)]
    assert not machines.alone


BUZZER = """
circuit: buzzer
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  K1: {kind: relay}
  P1: {kind: lamp}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: K1:30}
  W3: {from: K1:87a, to: K1:86}
  W4: {from: K1:85, to: G1:-}
  W5: {from: K1:87, to: P1:1}
  W6: {from: P1:2, to: G1:-}
behaviour:
  pulled: {relay: K1}
  lamp: {lamp: P1}
"""
"""A relay that cuts its own coil."""


def test_a_relay_that_buzzes_goes_on_by_itself() -> None:
    """What buzzes leaves its lane, is unclear to see, and goes on by itself; those whose relay cannot buzz stay."""
    circuit = depot.circuit(BUZZER)
    chosen = [*((),) * 8, *((parse_fault("K1 30-87a stuck closed", circuit),),) * 8]
    machines, _ = walked(circuit, chosen, "key=on")
    assert sorted(machines.alone) == list(range(8))
    assert machines.seen["pulled"].tolist() == [-1] * 8 + [1] * 8
    assert machines.seen["lamp"].tolist() == [-1] * 8 + [2] * 8
    machines, _ = walked(circuit, chosen, "key=on", "key=off", "bridge=K1:30,K1:86", "key=on", "rest", "key=on")
    assert sorted(machines.alone) == list(range(8))


def test_a_filament_that_warms_goes_by_itself() -> None:
    """A lamp whose resistance follows its voltage settles machine by machine, as one by itself does."""
    circuit = depot.circuit(depot.SHED.replace("voltage: 12 V}", "voltage: 12 V, filament: on}"))
    chosen = every_hypothesis(circuit)
    machines, singles = walked(circuit, chosen, "key=on")
    assert sorted(machines.alone) == list(range(len(chosen)))
    assert {code(single.seen()["lamp"]) for single in singles} == {0, 1, 2}


@pytest.mark.parametrize("few", [0, 5, 100])
def test_how_many_stay_together(few: int) -> None:
    """Where no more than ``few`` share a topology each goes by itself; what is seen is the same."""
    circuit = depot.circuit(depot.SHED)
    chosen = [(), *((fault,) for fault in list(universe(circuit).values())[:5])]
    machines = Machines(circuit, chosen, few)
    assert len(machines.alone) == (len(chosen) if few == 100 else 0)
    machines.move(Move("set", "key", "on"))
    all_alike(machines, [gone(circuit, hypothesis, [Move("set", "key", "on")]) for hypothesis in chosen])


def test_a_snapshot_stays_when_its_machines_go_on() -> None:
    """Relays, fuses, what is seen and the controls are those of the moment, whatever is done afterwards."""
    circuit = depot.circuit(depot.BENCH)
    machines = Machines(circuit, [()] * 8)
    machines.move(Move("set", "lever", "low"))
    snapshot, before = machines.snapshot(), frozen(machines)
    for text in ("key=on", "bridge=N1:1,FRAME", "lever=idle"):
        machines.move(parse_move(text, circuit))
    assert frozen(snapshot) == before
    assert frozen(machines)[2] != before[2]
    assert snapshot.standing_by_itself(0).relays == {"K1": True, "Q1": True}
    assert snapshot.standing_by_itself(0).blown == frozenset()
    assert machines.standing_by_itself(0).blown == {"F1"}


def test_of_equal_fuses_in_a_row_the_first_opens() -> None:
    """The same current goes through all, so rounding must not choose: it is the first, alone and in lanes."""
    fuses = "".join(f"  F{number}: {{kind: fuse, rating: 5 A, resistance: {number} mΩ}}\n" for number in range(1, 7))
    wires = "".join(f"  W{n}: {{from: F{n}:2, to: F{n + 1}:1, length: {n} m}}\n" for n in range(1, 6))
    circuit = depot.circuit(
        "circuit: six-fuses\nnominal: 12 V\ncontrols:\n  key: {positions: [off, on]}\nparts:\n"
        f"  G1: {{kind: battery}}\n{fuses}  S1: {{kind: switch, control: key, contacts: {{1-2: [on]}}}}\n"
        f"wires:\n  W6: {{from: G1:+, to: F1:1}}\n{wires}  W7: {{from: F6:2, to: S1:1}}\n"
        "  W8: {from: S1:2, to: FRAME}\n  W9: {from: G1:-, to: FRAME}\n"
    )
    chosen: list[Hypothesis] = [()]
    chosen += [(replace(parse_fault("W7 resistance", circuit), value=ohms / 100),) for ohms in range(1, 100)]
    machines, singles = walked(circuit, chosen, "key=on")
    assert not machines.alone
    assert {single.blown for single in singles} == {frozenset({"F1"})}


def test_two_values_at_one_place_add_up() -> None:
    """By hand: 2 Ω at either joint of the lamp, or half of it twice, and it is lit; 2 Ω at both and it is dim.

    A lamp of 10 Ω in a loop with 0.5 Ω has 75 % of its voltage with 2.83 Ω more.
    """
    circuit = depot.circuit(depot.SHED)
    left, right = (replace(parse_fault(f"P1:{pin} resistance", circuit), value=2.0) for pin in (1, 2))
    half = tuple(replace(fault, value=1.0) for fault in (left, right))
    chosen: list[Hypothesis] = [(left,), (right,), half, (left, right), (right, left)] * 2
    machines, _ = walked(circuit, chosen, "key=on")
    assert machines.seen["lamp"].tolist() == [2, 2, 2, 1, 1] * 2
    assert not machines.alone


def test_a_latch_begins_with_a_lamp_that_is_lit() -> None:
    """A dim lamp starts nothing, and lets go what a lit one had started."""
    text = depot.SHED + "  runs: {starts_when: [lamp], keeps_while: [key=on]}\n"
    text += "  glows: {starts_when: [key=on], keeps_while: [lamp]}\n"
    circuit = depot.circuit(text)
    dim = replace(parse_fault("W2 resistance when disturbed", circuit), value=12.0)
    chosen: list[Hypothesis] = [*((),) * 8, *((dim,),) * 8]
    machines, _ = walked(circuit, chosen, "key=on", "disturb=W2")
    assert machines.seen["lamp"][[0, -1]].tolist() == [2, 1]
    assert machines.seen["runs"][[0, -1]].tolist() == [1, 1]
    assert machines.seen["glows"][[0, -1]].tolist() == [1, 0]
    machines, _ = walked(circuit, chosen, "disturb=W2", "key=on")
    assert machines.seen["runs"][[0, -1]].tolist() == [1, 0]
