"""Remedies cure a mode and its cause: proved on the machine, in every control state, with nothing put back by rest.

What only mends the consequence leaves a machine that is not sound, and a jumper or a test lamp mends nothing at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import chain, combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.behaviour import Seen
from faultwright.circuit import Circuit
from faultwright.faults import eases, intermittent, parse_fault, remedies_at, universe
from faultwright.machine import Machine
from faultwright.moves import control_moves
from tests.core import depot
from tests.core.strategies import circuits, moves, permanent_faults

HOIST = """
circuit: hay-hoist
title: Hay hoist, run by a relay
nominal: 12 V
controls:
  key: {positions: [off, on]}
  run: {positions: [released, pressed]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 20 mΩ}
  F1: {kind: fuse, rating: 10 A, resistance: 5 mΩ}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}, resistance: 5 mΩ}
  S2: {kind: switch, control: run, contacts: {3-4: [pressed]}, resistance: 5 mΩ}
  K1: {kind: relay, coil: 85 Ω, contacts: {30-87: energised}}
  M1: {kind: motor, resistance: 2 Ω, running: 3 A, turns_from: 2 A}
  P1: {kind: lamp, power: 5 W, voltage: 12 V}
  Y1: {kind: solenoid, resistance: 12 Ω, pulls_from: 0.5 A}
  E1: {kind: ground}
wires:
  W1:  {from: "G1:+", to: "F1:1"}
  W2:  {from: "F1:2", to: "S1:1"}
  W3:  {from: "F1:2", to: "K1:30"}
  W4:  {from: "S1:2", to: "S2:3"}
  W5:  {from: "S2:4", to: "K1:86"}
  W6:  {from: "K1:85", to: "E1:1"}
  W7:  {from: "K1:87", to: "M1:1"}
  W8:  {from: "M1:2", to: "E1:1"}
  W9:  {from: "S1:2", to: "P1:1"}
  W10: {from: "P1:2", to: "E1:1"}
  W11: {from: "S2:4", to: "Y1:1"}
  W12: {from: "Y1:2", to: "E1:1"}
  W13: {from: "G1:-", to: FRAME}
behaviour:
  lifts: {motor: M1}
  lamp:  {lamp: P1}
  brake: {solenoid: Y1}
"""
"""Sound it takes 8 A at most: motor, brake and relay coil, all over one fuse."""

MODES_THAT_BLOW = {
    "W2 shorted to ground": "W2 insulate and reroute the wire",
    "W4 shorted to ground": "W4 insulate and reroute the wire",
    "W7 shorted to ground": "W7 replace the wire",
    "W11 shorted to ground": "W11 insulate and reroute the wire",
    "P1 shorted": "P1 replace",
    "M1 shorted": "M1 replace",
    "Y1 shorted": "Y1 replace",
    "K1 coil shorted": "K1 replace",
}
"""A fault that blows F1 in some state of the controls → a remedy of it."""


Shown = tuple[Mapping[str, Seen], frozenset[str]]


def operated(made: Machine) -> list[Shown]:
    """Go through every control state and back to rest; return what is seen, and which fuses have gone, in each."""
    circuit = made.circuit
    found: list[Shown] = []
    for state in (*circuit.states(), circuit.rest()):
        for move in control_moves(circuit, made.state, state):
            made.move(move)
        found.append((made.seen(), made.blown))
    return found


SOUND = operated(depot.machine(HOIST))


def is_sound(made: Machine) -> bool:
    """Say whether a machine does in every control state, one after the other, what a sound one does."""
    return operated(made) == SOUND


def test_the_sound_hoist() -> None:
    """The yardstick: the motor lifts with key and button only, and no fuse goes."""
    lifting = [state for state, (seen, _) in zip(depot.circuit(HOIST).states(), SOUND, strict=False) if seen["lifts"]]
    assert lifting == [{"key": "on", "run": "pressed"}]
    assert all(not blown for _, blown in SOUND)


@pytest.mark.parametrize("fault", MODES_THAT_BLOW)
def test_a_new_fuse_alone_blows_again(fault: str) -> None:
    """A new fuse mends the consequence: with what blew it still there it goes again, as often as it is replaced."""
    made = depot.machine(HOIST, faults=[fault])
    assert not is_sound(made)
    for _ in range(2):
        assert made.blown == {"F1"}
        made.move("repair=F1 replace")
        assert not is_sound(made)
    assert [other.name for other in made.faults] == [fault]


@pytest.mark.parametrize(("fault", "remedy"), MODES_THAT_BLOW.items())
def test_the_remedy_of_the_short_and_a_new_fuse_make_it_sound(fault: str, remedy: str) -> None:
    """The short's own remedy takes the cause away, the new fuse its consequence; it needs both, the fuse last."""
    made = depot.machine(HOIST, faults=[fault])
    operated(made)
    made.move(f"repair={remedy}")
    assert made.faults == ()
    assert not is_sound(made)
    made.move("repair=F1 replace")
    assert is_sound(made)
    early = depot.machine(HOIST, faults=[fault])
    operated(early)
    early.move("repair=F1 replace")
    operated(early)
    early.move(f"repair={remedy}")
    assert not is_sound(early)


def _subsets(remedies: Iterable[str]) -> list[tuple[str, ...]]:
    listed = list(remedies)
    return list(chain.from_iterable(combinations(listed, size) for size in range(len(listed) + 1)))


WELDED = ("K1 replace", "M1 replace", "F1 replace")


@pytest.mark.parametrize("repairs", _subsets(WELDED))
def test_a_welded_contact_whose_load_is_shorted(repairs: tuple[str, ...]) -> None:
    """The shorted motor welded the contact and blew the fuse: of relay, motor and fuse none may be left out.

    A new relay alone would feed the short, a new motor alone would run without the button, a new fuse alone blows.
    """
    made = depot.machine(HOIST, faults=["K1 30-87 stuck closed", "M1 shorted"])
    operated(made)
    for repair in repairs:
        made.move(f"repair={repair}")
    assert is_sound(made) == (repairs == WELDED)


@pytest.mark.parametrize("name", universe(depot.circuit(HOIST)))
def test_every_remedy_cures_in_every_state(name: str) -> None:
    """After any one remedy of any fault (and a new fuse where one had gone) the machine stays sound for good."""
    circuit = depot.circuit(HOIST)
    fault = universe(circuit)[name]
    for remedy in fault.remedies:
        made = Machine(circuit, [fault])
        operated(made)
        made.move(f"repair={fault.place} {remedy}")
        for fuse in made.blown:
            made.move(f"repair={fuse} replace")
        for move in control_moves(circuit, made.state, circuit.rest()):
            made.move(move)
        assert is_sound(made)
        assert is_sound(made)


# Causes and palliatives

CAUSES = {
    "W1 open": "fatigue where it bends, or pulled apart",
    "W1 shorted to ground": "insulation chafed through on metal",
    "X1:1 resistance": "corrosion, or a joint worked loose",
    "S1 stuck closed": "dirt, wear or wrong adjustment of what works it",
    "K1 30-87 stuck closed": "contacts welded by too much current",
    "F1 open": "element tired, or blown by an overload that has passed",
}


def test_every_mode_names_its_cause() -> None:
    """For one of every kind of part the usual cause is named, whether the fault stays or comes and goes."""
    faults = universe(depot.circuit(depot.BENCH))
    assert {name: faults[name].cause for name in CAUSES} == CAUSES
    for fault in faults.values():
        assert fault.cause
        assert intermittent(fault).cause == fault.cause


def test_palliatives_are_no_remedies() -> None:
    """Cleaning a switch that sticks and charging a worn battery help for a while at most, and cure nothing."""
    circuit = depot.circuit(depot.BENCH)
    found = {fault.name: fault.palliatives for fault in universe(circuit).values() if fault.palliatives}
    assert found == {
        "G1 resistance": ("charge",),
        "S1 sticking": ("clean",),
        "S2 sticking": ("clean",),
    }
    for name, palliatives in found.items():
        fault = parse_fault(name, circuit)
        for palliative in palliatives:
            assert palliative not in fault.remedies
            assert palliative in remedies_at(circuit)[fault.place]
            assert eases(fault.place, palliative, fault)
            assert not eases("F1", palliative, fault)
            made, untouched = Machine(circuit, [fault]), Machine(circuit, [fault])
            made.move(f"repair={fault.place} {palliative}")
            assert made.faults == (fault,)
            assert operated(made) == operated(untouched)


# A jumper never counts


@settings(max_examples=60)
@given(circuits(), st.data())
def test_no_move_but_a_repair_takes_a_fault_away(circuit: Circuit, data: st.DataObject) -> None:
    """Law: jumpers, test lamps, unplugging, disturbing and operating leave every fault where it is.

    Once they are taken away again, the machine is as faulty as one that was never touched.
    """
    faults = tuple(data.draw(st.lists(permanent_faults(circuit), min_size=1, max_size=2)))
    made = Machine(circuit, faults)
    for move in data.draw(st.lists(moves(circuit), min_size=1, max_size=5)):
        made.move(move)
        assert made.faults == faults
    made.move("rest")
    fresh = Machine(circuit, faults)
    assert (made.seen(), made.blown, made.settled.voltages) == (fresh.seen(), fresh.blown, fresh.settled.voltages)


@settings(max_examples=60)
@given(circuits(), st.data())
def test_a_jumper_or_a_test_lamp_anywhere_is_no_repair(circuit: Circuit, data: st.DataObject) -> None:
    """Law: between any two terminals, put on or taken off, a jumper or test lamp changes no fault of the machine."""
    faults = tuple(data.draw(st.lists(permanent_faults(circuit), min_size=1, max_size=2)))
    made = Machine(circuit, faults)
    ends = ",".join(data.draw(st.lists(st.sampled_from(sorted(circuit.wired)), min_size=2, max_size=2, unique=True)))
    for verb in ("bridge", "load", "unload", "unbridge"):
        made.move(f"{verb}={ends}")
        assert made.faults == faults
