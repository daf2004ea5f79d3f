"""Remedies in marking: what cures mode and cause, and what never counts: jumper, new fuse too early, palliative."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from faultwright.bench import Bench
from faultwright_autograde.blueprint import Blueprint
from faultwright_autograde.case import Case
from faultwright_autograde.mark import Mark
from faultwright_autograde.paper import fixed_case
from tests.autograde.gate import COMPLAINT, DECIDING, PROOF, Answer, mark_json, worked

Marker = Callable[[Answer], Mark]

MENDED = "W4 insulate and reroute the wire"
NEW_FUSE = "F1 replace"


# A jumper


@pytest.mark.parametrize(
    "remedy",
    ["B1 bridge", "bridge=B1:1,B1:2", "W4 jumper", "Jumper over W4", "W4 bridging wire", "bypass B1", "by-pass B1"],
)
def test_a_jumper_is_no_remedy(marked: Marker, right: Answer, remedy: str) -> None:
    """However it is called, it earns nothing and is told why; the rest of the answer is marked as ever."""
    mark = marked(right | {"remedy": remedy})
    assert mark.by_name["remedy"].mark == 0
    assert mark.by_name["remedy"].verdict == (
        f"{remedy}: a jumper is a test, not a repair; W4 mend the wire / W4 replace the wire cures W4 resistance 9 Ω."
    )
    assert (mark.mark, mark.maximum) == (90, 100)


def test_a_remedy_that_nobody_knows_is_still_refused(marked: Marker, right: Answer) -> None:
    """Only a jumper is let through to be told why; other words are a mistake in the answer."""
    mark = marked(right | {"remedy": "W4 solder"})
    assert mark.mark == 0
    assert "W4: there is no remedy 'solder'" in mark.hurdles[0]


@pytest.mark.parametrize("move", ["bridge=P1:2,E1:1", "bridge=M1:2,E1:1", "bridge=S1:1,S1:2", "load=P1:1,FRAME"])
def test_nothing_is_proved_with_a_jumper_or_test_lamp_on(marked: Marker, case: Case, right: Answer, move: str) -> None:
    """A whole round of every state counts for nothing while one is on, even along a wire, where nothing changes."""
    moves = ("unplug=G1", "repair=W4 mend the wire", "rest", move, *PROOF)
    mark = marked(right | {"record": worked(case, DECIDING, moves)})
    # After "rest" the sound machine was looked at once with everything off and nothing on it: that counts.
    once = marked(right | {"record": worked(case, DECIDING, moves[:3])})
    assert mark.by_name["proof"].mark == once.by_name["proof"].mark
    assert f"Not counted: {len(PROOF) + 2} with something bridged" in mark.by_name["proof"].verdict
    assert not mark.passed


def test_a_machine_that_only_a_jumper_makes_work_is_not_repaired(marked: Marker, case: Case, right: Answer) -> None:
    """Bridging the bad wire lights the lamp and cures nothing: no proof, and no remedy where none was named."""
    moves = ("bridge=B1:2,P1:1", *PROOF)
    mark = marked(right | {"record": worked(case, DECIDING, moves), "remedy": ""})
    assert mark.by_name["remedy"].mark == 0
    assert (mark.by_name["proof"].mark, mark.by_name["proof"].verdict) == (
        0,
        "The record ends with the fault still in the machine: nothing is proved.",
    )


# A new fuse


@pytest.fixture(scope="module")
def short(blueprint: Blueprint) -> Case:
    """Return the case of a chafed wire, which blows F1 with the gate open."""
    return fixed_case(blueprint, "W4 shorted to ground", "bench-4")


def repaired(case: Case, moves: Sequence[str], **entries: object) -> Mark:
    """Mark an answer that has the fuse blow, makes these moves, and then shows every permission and refusal."""
    bench = Bench(case.circuit, [case.fault])
    for move in COMPLAINT:
        bench.move(move)
        bench.observe()
    assert bench.machine.blown == {"F1"}
    for move in moves:
        bench.move(move)
    cited: list[int] = []
    for move in PROOF:
        bench.move(move)
        cited.append(bench.observe())
    answer: Answer = {
        "version": 1,
        "circuit": case.circuit.name,
        "paper": case.paper,
        "record": bench.as_json(),
        "claim": [case.fault.name],
        "cited": cited[:1],
        "calculation": "",
        "continuity": {},
        "remedy": MENDED,
        "confidence": "",
    }
    return mark_json(answer | entries, case)


TOO_EARLY = (
    "F1 replace is no remedy while what blew the fuse is still there, W4 shorted to ground: the new one blows too. W4 "
    "insulate and reroute the wire / W4 replace the wire cures that; then comes the fuse."
)


@pytest.mark.parametrize("claim", [["W4 shorted to ground"], ["F1 open"], ["F1 open", "W4 shorted to ground"]])
def test_a_new_fuse_alone_earns_nothing(short: Case, claim: list[str]) -> None:
    """Whatever is claimed, to replace what blew again is not to have repaired; and the machine proves nothing."""
    mark = repaired(short, [f"repair={NEW_FUSE}"], remedy=NEW_FUSE, claim=claim)
    assert (mark.by_name["remedy"].mark, mark.by_name["remedy"].verdict) == (0, TOO_EARLY)
    assert mark.by_name["proof"].mark == 0


def test_a_new_fuse_as_the_remedy_of_a_short_that_was_mended_on_trial(short: Case) -> None:
    """A claim of both, and a machine that ends sound, do not make the fuse the remedy: it was the consequence."""
    claim = ["F1 open", "W4 shorted to ground"]
    mark = repaired(short, [f"repair={MENDED}", "rest"], remedy=NEW_FUSE, claim=claim)
    assert (mark.by_name["remedy"].mark, mark.by_name["remedy"].verdict) == (0, TOO_EARLY)


@pytest.mark.parametrize(
    "moves",
    [
        ["unplug=G1", f"repair={MENDED}", f"repair={NEW_FUSE}", "mate=G1"],
        [f"repair={NEW_FUSE}", "unplug=G1", f"repair={MENDED}", f"repair={NEW_FUSE}", "mate=G1"],
    ],
)
@pytest.mark.parametrize("remedy", [MENDED, NEW_FUSE])
def test_the_wire_mended_and_then_a_new_fuse_is_one_repair(short: Case, moves: list[str], remedy: str) -> None:
    """In that order it counts in full, whichever step is written down (a bench writes the last): the record tells.

    The fuse that had gone is no sound part changed on suspicion, even where it was replaced too early as well.
    """
    mark = repaired(short, moves, remedy=remedy)
    told = "W4 insulate and reroute the wire cures W4 shorted to ground."
    if remedy == NEW_FUSE:
        told += " The new fuse (F1 replace) belongs to that repair."
    assert (mark.by_name["remedy"].mark, mark.by_name["remedy"].verdict) == (10, told)
    assert mark.by_name["proof"].mark == 10


def test_the_wire_mended_without_a_new_fuse_proves_little(short: Case) -> None:
    """The remedy is right, and the machine is still dead: of what it should do nothing is shown, only the refusals."""
    mark = repaired(short, ["unplug=G1", f"repair={MENDED}", "mate=G1"])
    assert mark.by_name["remedy"].mark == 10
    assert mark.by_name["proof"].mark == 5
    assert mark.by_name["proof"].verdict.startswith("After the repair, 4 of 8 permissions and refusals were seen; ")
    assert not mark.passed


def test_the_wrong_wire_and_then_a_new_fuse_is_no_repair(short: Case) -> None:
    """What counts is what was mended before the fuse, and that was not what blew it."""
    moves = ["unplug=G1", "repair=W3 insulate and reroute the wire", f"repair={NEW_FUSE}", "mate=G1"]
    mark = repaired(short, moves, remedy=NEW_FUSE)
    assert mark.by_name["remedy"].mark == 0
    assert mark.by_name["remedy"].verdict.startswith("W3 insulate and reroute the wire does not cure W4 shorted")


def test_a_new_fuse_is_the_remedy_of_an_open_fuse(blueprint: Blueprint) -> None:
    """Where nothing but the fuse was wrong, it is the cure."""
    case = fixed_case(blueprint, "F1 open", "bench-5")
    record = worked(case, DECIDING, ("unplug=G1", f"repair={NEW_FUSE}", "rest", *PROOF))
    answer: Answer = {"version": 1, "circuit": case.circuit.name, "paper": case.paper, "record": record}
    mark = mark_json(answer | {"claim": ["F1 open"], "remedy": NEW_FUSE}, case)
    assert (mark.by_name["remedy"].mark, mark.by_name["remedy"].verdict) == (10, "F1 replace cures F1 open.")


# A palliative


def test_what_helps_for_a_while_is_no_repair(blueprint: Blueprint) -> None:
    """Cleaning the contacts of a switch that sticks leaves what makes it stick, and the feedback names it."""
    case = fixed_case(blueprint, "B1 sticking", "bench-6")
    record = worked(case, (), ("unplug=G1", "repair=B1 clean", "rest", *PROOF))
    answer: Answer = {"version": 1, "circuit": case.circuit.name, "paper": case.paper, "record": record}
    mark = mark_json(answer | {"claim": ["B1 sticking"], "remedy": "B1 clean"}, case)
    assert mark.by_name["remedy"].mark == 0
    assert mark.by_name["remedy"].verdict == (
        "B1 clean helps for a while at most and is no repair: it leaves the cause of B1 sticking (dried grease or "
        "corrosion in what works it). B1 free and lubricate / B1 replace cures both."
    )
    assert mark.by_name["proof"].mark == 0
    freed = mark_json(answer | {"claim": ["B1 sticking"], "remedy": "B1 free and lubricate"}, case)
    assert freed.by_name["remedy"].mark == 10
