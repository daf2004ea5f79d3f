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
from tests.core.strategies import circuits, control_move, decades, faults, moves

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
    alone = {number: (machine.seen(), machine.relays, machine.blown) for number, machine in machines.alone.items()}
    return (
        machines.hypothesis.tolist(),
        machines.way.tolist(),
        [{name: numbers.tolist() for name, numbers in of.items()} for of in flags],
        [dict(state) for state in machines.states],
        machines.wiring,
        machines.disturbed,
        list(machines.hypotheses),
        str(alone),
    )


# What is drawn


def valued(fault: Fault) -> st.SearchStrategy[Fault]:
    """Return a fault with any free value from 1 mΩ to 10 MΩ."""
    return decades(-3, 7).map(lambda value: replace(fault, value=value)) if fault.value is not None else st.just(fault)


def hypotheses(circuit: Circuit) -> st.SearchStrategy[list[Hypothesis]]:
    """Return the sound machine, single and double faults, one in four of them intermittent."""
    one = faults(circuit).flatmap(valued)
    some = st.lists(one, min_size=1, max_size=2, unique_by=lambda fault: fault.name).map(tuple)
    several = faults(circuit).flatmap(lambda fault: st.lists(valued(fault).map(lambda one: (one,)), max_size=3))
    return st.tuples(st.lists(some, min_size=1, max_size=6), several).map(lambda two: [(), *two[0], *two[1]])


def any_move(circuit: Circuit) -> st.SearchStrategy[Move]:
    """Return moves of every verb; half of them are those of controls."""
    mending = [f"repair={place} {remedy}" for place, remedies in remedies_at(circuit).items() for remedy in remedies]
    kinds = [control_move(circuit), control_move(circuit), moves(circuit), st.sampled_from([*mending, "rest"])]
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
    kept = [number for number in range(len(chosen)) if data.draw(st.booleans())]
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
