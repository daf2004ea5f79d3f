"""Asking and looking: what is told is what the author wrote and what the trade would see, as the machine stands now."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.errors import Refused
from faultwright.faults import Fault, intermittent, parse_fault, universe
from faultwright.machine import Machine
from faultwright.story import Question, Sign, Story, places, usual_signs
from tests.core import depot
from tests.core.strategies import circuits

BENCH = depot.circuit(depot.BENCH)
PLUG = parse_circuit(
    """
circuit: plug
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse, rating: 5 A}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  X1: {kind: connector, pins: 4}
  P1: {kind: lamp}
  P2: {kind: lamp}
wires:
  W1: {from: G1:+, to: F1:1, colour: RD}
  W2: {from: F1:2, to: S1:1, colour: RD}
  W3: {from: S1:2, to: X1:a1, colour: BN}
  W4: {from: S1:2, to: X1:a2, colour: YE}
  W5: {from: X1:b1, to: P1:1, colour: BN}
  W6: {from: X1:b2, to: P2:1, colour: YE}
  W7: {from: P1:2, to: X1:b3, colour: BK}
  W8: {from: P2:2, to: X1:b4, colour: BK}
  W9: {from: X1:a3, to: FRAME}
  W10: {from: X1:a4, to: FRAME}
  W11: {from: G1:-, to: FRAME}
behaviour:
  first: {lamp: P1}
  second: {lamp: P2}
"""
)
NOTHING = "from outside, nothing unusual to be seen"
MUDDY = Sign("X1", "muddy outside")
DEPOSIT = Sign("X1:2", "a green deposit", ("X1:2 resistance", "X1:2 open"), apart=True)
TOLD = Story((Question("What happened?", "It rained."),), (MUDDY, DEPOSIT))


def fault(name: str, circuit: Circuit = PLUG) -> Fault:
    """Return a fault by name."""
    return parse_fault(name, circuit)


def signs(name: str, circuit: Circuit = PLUG) -> list[str]:
    """Return what the trade would see of a fault, place first."""
    return [str(sign) for sign in usual_signs(circuit, fault(name, circuit))]


# What the author wrote


def test_the_operator_answers_what_can_be_asked() -> None:
    """An answer is the author's; any other question is refused with those that can be asked."""
    assert TOLD.answer("What happened?") == "It rained."
    with pytest.raises(Refused) as refused:
        TOLD.answer("What hapened?")
    assert str(refused.value) == (
        "there is no question 'What hapened?'; did you mean 'What happened?'? (allowed: What happened?)"
    )


def test_what_is_listed_nowhere_is_not_unusual() -> None:
    """Without a story, and at every place that a story does not name, there is nothing to be seen from outside."""
    machine = Machine(PLUG, [fault("X1:2 open")])
    assert Story().look("X1", machine) == NOTHING
    assert TOLD.look("W5", machine) == NOTHING
    with pytest.raises(Refused, match=r"^there is no place 'W55'; did you mean 'W5'\? \(allowed: G1, F1, S1, X1,"):
        TOLD.look("W55", machine)


def test_a_part_is_looked_at_with_its_pins() -> None:
    """At the part each pin's sign stands with the pin; at the pin its own alone."""
    machine = Machine(PLUG, [fault("X1:2 resistance")])
    machine.move("unplug=X1")
    assert TOLD.look("X1", machine) == "muddy outside; X1:2: a green deposit"
    assert TOLD.look("X1:2", machine) == "a green deposit"
    assert TOLD.look("X1:1", machine) == NOTHING


def test_an_oddity_is_there_whatever_is_wrong() -> None:
    """A sign without faults shows on a sound machine and on one with any fault."""
    for faults in ((), (fault("W1 open"),), (fault("X1:2 open"),)):
        assert TOLD.look("X1", Machine(PLUG, faults)) == "muddy outside"


def test_a_sign_inside_shows_only_with_the_part_unplugged() -> None:
    """The deposit lies within the mated plug: it is seen while the plug is apart, and not when it is mated again."""
    machine = Machine(PLUG, [fault("X1:2 resistance")])
    assert TOLD.look("X1:2", machine) == NOTHING
    machine.move("unplug=X1")
    assert TOLD.look("X1:2", machine) == "a green deposit"
    machine.move("mate=X1")
    assert TOLD.look("X1:2", machine) == NOTHING


def test_a_joint_taken_off_shows_what_is_inside() -> None:
    """One terminal taken off shows its own sign, and not what the whole part hides."""
    story = Story(signs=(Sign("S1:1", "burnt", apart=True), Sign("S1", "cracked", apart=True)))
    machine = Machine(PLUG)
    machine.move("unplug=S1:1")
    assert story.look("S1", machine) == "S1:1: burnt"


def test_a_repair_takes_the_sign_with_it() -> None:
    """What was cleaned looks clean: the sign belongs to the fault, not to the day; the mud stays."""
    machine = Machine(PLUG, [fault("X1:2 resistance")])
    machine.move("unplug=X1")
    machine.move("repair=X1:2 clean")
    assert TOLD.look("X1", machine) == "muddy outside"


def test_a_known_good_part_looks_sound() -> None:
    """While another lamp stands in, it is that one which is looked at; the joint at its holder is still the same."""
    story = Story(signs=(Sign("P1", "black inside", ("P1 open",)), Sign("P1", "cracked"), Sign("P1:1", "dull")))
    machine = Machine(PLUG, [fault("P1 open")])
    assert story.look("P1", machine) == "black inside; cracked; P1:1: dull"
    machine.move("substitute=P1")
    assert story.look("P1", machine) == "P1:1: dull"
    machine.move("restore=P1")
    assert story.look("P1", machine) == "black inside; cracked; P1:1: dull"


def test_a_fault_that_comes_and_goes_shows_all_the_time() -> None:
    """A pin that loses contact only when it is disturbed looks the same when nobody disturbs it."""
    machine = Machine(PLUG, [intermittent(fault("X1:2 open"))])
    machine.move("unplug=X1")
    assert TOLD.look("X1:2", machine) == "a green deposit"


def test_a_blown_fuse_shows_it_whatever_the_author_wrote() -> None:
    """A fuse that went in this machine's own history is seen to have gone; a new one is whole again."""
    machine = Machine(PLUG, [fault("W3 shorted to ground")])
    assert Story().look("F1", machine) == NOTHING
    machine.move("key=on")
    assert machine.blown == {"F1"}
    assert Story().look("F1", machine) == "the element is broken through"
    machine.move("key=off")
    machine.move("repair=F1 replace")
    assert Story().look("F1", machine) == NOTHING


# One machine's story


def test_a_machines_story_holds_nothing_of_other_faults() -> None:
    """Signs of faults that are not in it are gone, and the names of those that share a sign with one that is."""
    assert TOLD.of(PLUG, [fault("X1:2 open")]).signs == (
        MUDDY,
        Sign("X1:2", "a green deposit", ("X1:2 open",), apart=True),
    )
    assert TOLD.of(PLUG, [fault("X1:1 open")]) == Story(TOLD.questions, (MUDDY,))
    assert TOLD.of(PLUG, []) == Story(TOLD.questions, (MUDDY,))


def test_the_usual_signs_are_off_unless_asked_for() -> None:
    """By default an open fuse looks, from outside, as any other; switched on, its element is seen."""
    tired = [fault("F1 open")]
    machine = Machine(PLUG, tired)
    assert Story().of(PLUG, tired).look("F1", machine) == NOTHING
    assert Story().of(PLUG, tired, usual=True).look("F1", machine) == "the element is broken through"


def test_an_authors_sign_stands_in_for_the_usual_one() -> None:
    """What the author says of the fault at its place replaces what the trade would see there, and so can hide it."""
    told = Story(signs=(Sign("F1", "a glass fuse, black inside", ("F1 open",)), Sign("F1", "dusty")))
    tired = [fault("F1 open")]
    assert told.of(PLUG, tired, usual=True).look("F1", Machine(PLUG, tired)) == "a glass fuse, black inside; dusty"


# What the trade sees: common practice, without a source


@pytest.mark.parametrize(
    ("name", "seen"),
    [
        ("W1 shorted to ground", ["W1: the insulation is chafed through where it lies on metal"]),
        ("W1 shorted to supply", ["W1: the insulation is chafed through where it lies on another wire"]),
        ("X1:1 open", ["X1:1, unplugged: the pin has been pushed back and lies deeper than it should"]),
        ("X1:1 resistance", ["X1:1, unplugged: a green deposit"]),
        ("K1:86 open", ["K1:86, unplugged: the pin has been pushed back and lies deeper than it should"]),
        ("M1:1 resistance", ["M1:1: a green deposit"]),
        ("F1 open", ["F1: the element is broken through"]),
        ("P1 open", ["P1: the filament is broken"]),
        ("S1 sticking", ["S1: moves stiffly and comes back slowly"]),
        ("R1 reversed", ["R1: the ring that marks the cathode is at the other end than the diagram has it"]),
        ("L1 open", ["L1: darkened by heat"]),
        ("E1 open", ["E1: the nut is loose and the ring does not touch the metal"]),
        ("E1 resistance", ["E1: rust under the ring"]),
        # Inside sound insulation, a crimp, a closed part or a module, and in a battery, there is nothing to be seen.
        ("W1 open", []),
        ("W1 resistance", []),
        ("M1:1 open", []),
        ("S1 stuck open", []),
        ("S1 stuck closed", []),
        ("S1 resistance", []),
        ("K1 coil open", []),
        ("K1 coil shorted", []),
        ("K1 30-87 stuck open", []),
        ("K1 30-87 stuck closed", []),
        ("K1 30-87 resistance", []),
        ("R1 open", []),
        ("R1 shorted", []),
        ("R1 leaky", []),
        ("P1 shorted", []),
        ("M1 open", []),
        ("M1 shorted", []),
        ("Y1 open", []),
        ("A1 open", []),
        ("G1 discharged", []),
        ("G1 resistance", []),
    ],
)
def test_what_the_trade_sees_of_each_mode(name: str, seen: list[str]) -> None:
    """Each mode shows what a person would really see without opening the part, or nothing."""
    assert signs(name, BENCH) == seen


def test_exchanged_wires_are_told_by_their_colours() -> None:
    """BN and YE exchanged are seen at either pin, against the diagram; two black wires and uncoloured ones are not."""
    assert signs("X1:1 swapped with X1:2") == [
        "X1:1: on the b half a YE wire, where the diagram has BN",
        "X1:2: on the b half a BN wire, where the diagram has YE",
    ]
    assert signs("X1:3 swapped with X1:4") == []
    assert signs("X1:1 swapped with X1:2", BENCH) == []


@settings(max_examples=40, deadline=None)
@given(circuits(), st.data())
def test_a_usual_sign_is_at_its_own_fault(circuit: Circuit, data: st.DataObject) -> None:
    """On any circuit, for any fault: its signs are at its places, show there, and are gone on a sound machine."""
    found = data.draw(st.sampled_from(list(universe(circuit).values())))
    story = Story().of(circuit, [found], usual=True)
    for sign in story.signs:
        assert sign.at in places(circuit)
        assert sign.at == found.place or found.mode == f"swapped with {sign.at}"
        assert sign.shows(Machine(circuit, [found])) is not sign.apart
        assert not sign.shows(Machine(circuit))
