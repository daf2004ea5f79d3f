"""Marking comes to an end: its work grows with the length of a record and no faster, however the record is made.

Work is counted, not timed: moves made on any machine, readings taken, and jumpers looked into.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from itertools import combinations

import pytest

from faultwright import meter
from faultwright.machine import Machine
from faultwright_autograde import safety, trace
from faultwright_autograde.blueprint_file import parse_blueprint
from faultwright_autograde.case import Case
from faultwright_autograde.handed_in import mark_handed_in
from faultwright_autograde.mark import Mark
from faultwright_autograde.paper import fixed_case

RELAYS = 8

BLUEPRINT = """
paper: chain
title: The chain of relays
circuit: chain.yaml
complaint:
  text: The key is on, and the pump stands still.
  moves: [key=on]
faults: {places: [K1], modes: [coil open]}
safety_switches: [B1]
"""

MOST_A_MOVE = 3
"""Machines on which a move of the record is made: the own one, the sound one, and one more for good measure."""


def chain() -> str:
    """Return a circuit in which each relay pulls in the next, and the last one switches a pump."""
    relays = [f"  K{number}: {{kind: relay, coil: 85 Ω}}" for number in range(1, RELAYS + 1)]
    wires = [
        "G1:+ F1:1", "F1:2 S1:1", "S1:2 B1:1", "B1:2 K1:86", "G1:- FRAME", "M1:2 FRAME",
        *(f"F1:2 K{number}:30" for number in range(1, RELAYS + 1)),
        *(f"K{number}:85 FRAME" for number in range(1, RELAYS + 1)),
        *(f"K{number}:87 K{number + 1}:86" for number in range(1, RELAYS)),
        f"K{RELAYS}:87 M1:1",
    ]  # fmt: skip
    ends = [wire.split() for wire in wires]
    return "\n".join([
        "circuit: chain",
        "nominal: 12 V",
        "controls:",
        "  key: {positions: [off, on]}",
        "  door: {positions: [shut, open]}",
        "parts:",
        "  G1: {kind: battery}",
        "  F1: {kind: fuse, rating: 30 A}",
        "  S1: {kind: switch, control: key, contacts: {1-2: [on]}}",
        "  B1: {kind: switch, control: door, contacts: {1-2: [shut]}}",
        "  M1: {kind: motor, resistance: 4 Ω}",
        *relays,
        "wires:",
        *(f"  W{number}: {{from: {start}, to: {end}}}" for number, (start, end) in enumerate(ends, start=1)),
        "behaviour:",
        "  pump: {motor: M1}",
        "",
    ])  # fmt: skip


@pytest.fixture(scope="module")
def relays() -> Case:
    """Return the case of a relay whose coil is open, the first of a chain."""
    blueprint = parse_blueprint(BLUEPRINT, "chain-paper.yaml", lambda _name: chain())
    return fixed_case(blueprint, "K1 coil open", "bench-1")


@pytest.fixture
def work(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """Return the counts of what marking does."""
    counts: Counter[str] = Counter()
    make, read, defeats = Machine.make, meter.read, safety.defeats

    def counted_make(machine: Machine, *moves: object) -> object:
        counts["moves"] += 1
        return make(machine, *moves)  # type: ignore[arg-type]

    def counted_read(*given: object) -> object:
        counts["readings"] += 1
        return read(*given)  # type: ignore[arg-type]

    def counted_defeats(*given: object) -> object:
        counts["jumpers"] += 1
        return defeats(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(Machine, "make", counted_make)
    monkeypatch.setattr(trace, "read", counted_read)
    monkeypatch.setattr(safety, "defeats", counted_defeats)
    return counts


def marked(case: Case, actions: Sequence[object]) -> Mark:
    """Mark an answer whose record is these actions."""
    record = {"circuit": case.circuit.name, "actions": list(actions)}
    answer = {"version": 1, "circuit": case.circuit.name, "paper": case.paper, "record": record}
    return mark_handed_in(case, "bench-1.json", lambda: json.dumps(answer))


def moves(*words: str) -> list[dict[str, str]]:
    """Return moves as a record writes them."""
    return [{"move": word} for word in words]


TO_AND_FRO = moves("key=on", "door=open", "key=off", "door=shut") * 500
JUMPED = moves("bridge=F1:2,M1:1") + moves("key=on", "key=off", "door=open", "door=shut") * 499
READ = moves("key=on") + [
    {"read": {"meter": "volts", "red": f"K{number % RELAYS + 1}:86", "black": "FRAME", "value": number / 1000}}
    for number in range(1990)
]
LOOKS = moves("key=on", "bridge=F1:2,M1:1") + [{"see": {"pump": True}}] * 1990


@pytest.mark.parametrize("actions", [TO_AND_FRO, JUMPED, READ, LOOKS], ids=["to-and-fro", "jumped", "read", "looks"])
def test_each_action_is_done_a_few_times_at_most(relays: Case, work: Counter[str], actions: list[object]) -> None:
    """Two thousand actions on a chain of relays: no move is made, and no reading taken, over and over again."""
    mark = marked(relays, actions)
    assert mark.answer == "marked"
    assert 0 < work["moves"] + work["readings"] <= MOST_A_MOVE * len(actions)


def test_jumpers_that_stay_are_looked_into_once(relays: Case, work: Counter[str]) -> None:
    """A few jumpers left on through two thousand moves are no more work than while they were put on."""
    ends = list(combinations([f"K{number}:85" for number in range(1, 6)], 2))
    put_on = moves(*(f"bridge={first},{second}" for first, second in ends))
    mark = marked(relays, [*put_on, *moves("key=on", "key=off") * 950])
    assert mark.answer == "marked"
    assert 0 < work["jumpers"] <= len(ends) ** 2 + len(ends)


def test_more_actions_than_anybody_needs_are_refused_unseen(relays: Case, work: Counter[str]) -> None:
    """Beyond two thousand actions nothing is replayed at all."""
    mark = marked(relays, moves("key=on") * 2001)
    assert mark.hurdles == ("The answer cannot be used: bench-1.json, record: more than 2000 actions",)
    assert not work
