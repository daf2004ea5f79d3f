"""Ambiguity groups and testability figures: by hand, as laws, and by brute force."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultwright import testability as figures
from faultwright.behaviour import Seen
from faultwright.candidates import Candidate, every_test
from faultwright.circuit import Circuit
from faultwright.families import Hypothesis
from faultwright.faults import Fault, parse_fault, universe
from faultwright.machine import Machine
from faultwright.meter import OHMS, VOLTS, Probe, Reading, agree, read
from faultwright.moves import Move
from faultwright.outcomes import OutcomeTable, outcome_table
from tests.core import depot

LOCKER = """
circuit: tool-locker
title: Lamp in the tool locker
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 0.1 Ω}
  F1: {kind: fuse, rating: 10 A}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  P1: {kind: lamp, power: 14.4 W, voltage: 12 V}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:1}
  W3: {from: S1:2, to: P1:1}
  W4: {from: P1:2, to: G1:-}
  W5: {from: G1:-, to: FRAME}
behaviour:
  lamp: {lamp: P1}
"""
"""Battery, fuse, switch and lamp in a loop; W5 bonds it to the frame and carries no current."""

EIGHT = (
    "F1 open", "W2 open", "S1 stuck open", "S1 stuck closed", "P1 open", "P1:1 open", "W5 open", "W5 resistance",
)  # fmt: skip


def all_tests(circuit: Circuit, names: Sequence[str]) -> OutcomeTable:
    """Return the table of every test on a circuit, with the sound machine and these faults."""
    hypotheses: list[Hypothesis] = [(), *((parse_fault(name, circuit),) for name in names)]
    return outcome_table(circuit, hypotheses, every_test(circuit))


def every_fault(circuit: Circuit) -> OutcomeTable:
    """Return the table of every test on a circuit, with the sound machine and its whole universe of faults."""
    return all_tests(circuit, list(universe(circuit)))


# By hand


def test_the_figures_of_a_lamp_by_hand() -> None:
    """Eight faults, every figure derived here.

    Weights (``frequency``): fuse, wire at a switch, switch stuck 27 each, so F1, W2 and both of S1 108; joint at a lamp
    and wires elsewhere 9 each, so P1:1 and both of W5 27; lamp 3. In all 138.

    Looking: with the key off and on the sound lamp is off, lit. S1 stuck closed: lit, lit. The five breaks in the loop:
    off, off. W5 carries no current: not seen. So 6 of 8 are detected, in groups of 1 and 5; of the weights 120, where
    S1 stuck closed alone has 27, and the five 93.

    Volts to FRAME find where the feed ends: F1, W2 and S1 part. With P1 or its joint broken the supply stands across
    P1's two joints either way: a group of 2, weights 12. W5 open leaves all of the circuit floating; 12 Ω in W5 are
    nothing to a meter of 10 MΩ. 7 detected (129), 5 alone (117).

    Ohms across W5 show its 12 Ω. 8 detected (138), 6 alone (126). Across P1's joints OL for P1 as for its joint.

    In the hand P1 is OL, or sound when the joint is at fault: 8 alone.
    """
    circuit = depot.circuit(LOCKER)
    looks, volts, ohms, hand = figures.levels(all_tests(circuit, EIGHT))
    five = ("F1 open", "W2 open", "S1 stuck open", "P1 open", "P1:1 open")
    two = ("P1 open", "P1:1 open")

    assert (looks.name, looks.groups) == ("look", (five, ("S1 stuck closed",)))
    assert looks.undetected == ("W5 open", "W5 resistance")
    assert looks.plain == figures.Fractions(6 / 8, (1 / 6, 1 / 6, 1 / 6), (1 + 5 * 5) / 6)
    assert looks.weighted.detection == pytest.approx(120 / 138)
    assert looks.weighted.isolation == pytest.approx((27 / 120,) * 3)
    assert looks.weighted.group_size == pytest.approx((27 + 93 * 5) / 120)

    assert (volts.name, volts.undetected) == ("volts", ("W5 resistance",))
    assert [group for group in volts.groups if len(group) > 1] == [two]
    assert volts.plain == figures.Fractions(7 / 8, (5 / 7, 1.0, 1.0), (5 + 2 * 2) / 7)
    assert volts.weighted.detection == pytest.approx(129 / 138)
    assert volts.weighted.isolation == pytest.approx((117 / 129, 1, 1))
    assert volts.weighted.group_size == pytest.approx((117 + 12 * 2) / 129)

    assert (ohms.name, ohms.undetected) == ("ohms", ())
    assert [group for group in ohms.groups if len(group) > 1] == [two]
    assert ohms.plain == figures.Fractions(1.0, (6 / 8, 1.0, 1.0), (6 + 2 * 2) / 8)
    assert ohms.weighted.isolation == pytest.approx((126 / 138, 1, 1))
    assert ohms.weighted.group_size == pytest.approx((126 + 12 * 2) / 138)

    assert (hand.name, hand.undetected) == ("hand", ())
    assert hand.groups == tuple((name,) for name in EIGHT)
    assert hand.plain == hand.weighted == figures.Fractions(1.0, (1.0, 1.0, 1.0), 1.0)


def test_how_many_tests_each_level_has() -> None:
    """By hand on the locker: two states; 8 points, 5 wires, 4 parts; FRAME is W5's end, so its ohms are one pair more.

    Volts: 8 to FRAME, 4 wires between points, 4 parts. Ohms: 5 wires and 4 parts. In the hand F1 and S1 twice, P1 once.
    """
    levels = figures.levels(all_tests(depot.circuit(LOCKER), EIGHT))
    looks, volts, ohms = 2, 2 * (8 + 4 + 4), 2 * (5 + 4)
    assert [level.tests for level in levels] == [
        looks,
        looks + volts,
        looks + volts + ohms,
        looks + volts + ohms + 2 + 2 + 1,
    ]


REACH = dict.fromkeys(("G1:+", "G1:-", "F1:1", "S1:2", "P1:1", "P1:2"), "")

BEHIND = ("W2 open", "F1:2 open", "S1:1 open")


def test_a_point_out_of_reach_by_hand() -> None:
    """Fuse and switch are good in the hand and nothing is fed: wire or joints? Only a point between them tells.

    At F1:2 nothing means that its own joint is broken, at S1:1 supply means that its own joint is: each tells one of
    three from the other two. Of 4 faults one was alone before, two are with the point; both joints weigh alike.
    """
    circuit = replace(depot.circuit(LOCKER), reach=REACH)
    weights = {"W2 open": 27, "F1:2 open": 9, "S1:1 open": 27, "F1 open": 27}
    table = all_tests(circuit, list(weights))
    found = figures.figures(circuit, table)
    assert found.levels[-1].groups == (BEHIND, ("F1 open",))
    assert [(point.terminal, point.splits) for point in found.points] == [
        ("S1:1", ((("W2 open", "F1:2 open"), ("S1:1 open",)),)),
        ("F1:2", ((("W2 open", "S1:1 open"), ("F1:2 open",)),)),
    ]
    best, other = found.points
    assert best.after.plain == other.after.plain == figures.Fractions(1.0, (2 / 4, 1.0, 1.0), (2 + 2 * 2) / 4)
    assert best.after.weighted.isolation == pytest.approx(((27 + 27) / 90, 1, 1))
    assert other.after.weighted.isolation == pytest.approx(((27 + 9) / 90, 1, 1))


IN_WORDS = """
4 faults and the sound machine; in brackets each fault counts by how often it is met in the trade

looking only (tests: 2): fault detection 75.0 % (87.5 %); fault isolation, of those detected, to one fault 0.0 %
(0.0 %), to two at most 0.0 % (0.0 %), to three at most 100.0 % (100.0 %); mean size of a detected fault's group
3.00 (3.00)

looking and volts (tests: 24): fault detection 75.0 % (87.5 %); fault isolation, of those detected, to one fault 0.0
% (0.0 %), to two at most 0.0 % (0.0 %), to three at most 100.0 % (100.0 %); mean size of a detected fault's group
3.00 (3.00)

looking, volts, and ohms with the sources isolated (tests: 36): fault detection 100.0 % (100.0 %); fault isolation,
of those detected, to one fault 25.0 % (12.5 %), to two at most 25.0 % (12.5 %), to three at most 100.0 % (100.0 %);
mean size of a detected fault's group 2.50 (2.75)

looking, volts, ohms, and parts in the hand (tests: 41): fault detection 100.0 % (100.0 %); fault isolation, of
those detected, to one fault 25.0 % (12.5 %), to two at most 25.0 % (12.5 %), to three at most 100.0 % (100.0 %);
mean size of a detected fault's group 2.50 (2.75)

Often asked for: 90–98 % fault detection and 90–95 % fault isolation (from memory; the words are those of
MIL-HDBK-2165 and IEEE 1522)

not told from the sound machine by any of these tests: none

ambiguity group: W2 open, F1:2 open, S1:1 open

a test point at S1:1 would tell W2 open, F1:2 open from S1:1 open; fault detection 100.0 % → 100.0 %, fault
isolation to one fault 25.0 % → 50.0 %

a test point at F1:2 would tell W2 open, S1:1 open from F1:2 open; fault detection 100.0 % → 100.0 %, fault
isolation to one fault 25.0 % → 50.0 %
"""
"""What is said of four faults, a line in each paragraph."""


def test_in_words() -> None:
    """The whole text of a small case: each level, what is often asked for, what stays together, the points."""
    circuit = replace(depot.circuit(LOCKER), reach=REACH)
    found = figures.figures(circuit, all_tests(circuit, [*BEHIND, "W5 resistance"]))
    assert found.words() == [" ".join(line.split()) for line in IN_WORDS.split("\n\n")]


def test_as_json() -> None:
    """The same as JSON, nothing left out: the last level and the best point."""
    circuit = replace(depot.circuit(LOCKER), reach=REACH)
    found = figures.figures(circuit, all_tests(circuit, [*BEHIND, "W5 resistance"])).as_json()
    assert [level["up_to"] for level in found["levels"]] == ["look", "volts", "ohms", "hand"]
    assert found["levels"][-1] == {
        "up_to": "hand",
        "tests": 41,
        "plain": {"detection": 1.0, "isolation": {"1": 0.25, "2": 0.25, "3": 1.0}, "group_size": 2.5},
        "weighted": {"detection": 1.0, "isolation": {"1": 0.125, "2": 0.125, "3": 1.0}, "group_size": 2.75},
        "undetected": [],
        "groups": [list(BEHIND), ["W5 resistance"]],
    }
    assert found["test_points"][0] == {
        "terminal": "S1:1",
        "splits": [[["W2 open", "F1:2 open"], ["S1:1 open"]]],
        "plain": {"detection": 1.0, "isolation": {"1": 0.5, "2": 1.0, "3": 1.0}, "group_size": 1.5},
        "weighted": {"detection": 1.0, "isolation": {"1": 0.5, "2": 1.0, "3": 1.0}, "group_size": 1.5},
    }


def test_where_nothing_is_detected_there_is_nothing_to_isolate() -> None:
    """A fault that nothing shows: no detection, and of isolation and group size no number at all."""
    circuit = depot.circuit(LOCKER)
    (only,) = {level.plain for level in figures.levels(all_tests(circuit, ["W1 shorted to supply"]))}
    assert only == figures.Fractions(0.0, (None, None, None), None)
    last = figures.levels(all_tests(circuit, ["W1 shorted to supply"]))[-1]
    assert last.undetected == ("W1 shorted to supply",)
    assert "fault detection 0.0 % (0.0 %); fault isolation, of those detected, to one fault – (–)" in last.words()


# Test points


def test_with_everything_in_reach_no_point_is_proposed() -> None:
    """Every joint with a wire can be probed already."""
    circuit = depot.circuit(LOCKER)
    assert figures.extra_points(circuit, every_fault(circuit)) == ()


def test_a_point_that_would_split_nothing_is_not_proposed() -> None:
    """With one fault in the table, told from the sound machine, no point is worth adding."""
    circuit = replace(depot.circuit(LOCKER), reach=REACH)
    assert figures.extra_points(circuit, all_tests(circuit, ["F1 open"])) == ()


@pytest.mark.parametrize("text", [LOCKER, depot.SHED, depot.GATE])
def test_a_point_splits_what_it_is_said_to(text: str) -> None:
    """With the reach extended by the point, the groups of all tests are those before, split as said; never more."""
    whole = depot.circuit(text)
    circuit = replace(whole, reach=dict.fromkeys([*whole.wired][::3], ""))
    table = every_fault(circuit)
    before = parts_of(figures.levels(table)[-1])
    points = figures.extra_points(circuit, table)
    assert 1 <= len(points) <= figures.MOST_POINTS
    for point in points:
        sound = {"the sound machine"}
        split = [[frozenset(part) - sound for part in parts] for parts in point.splits]
        whole_groups = {frozenset[str]().union(*parts) for parts in split}
        assert whole_groups <= before
        extended = replace(circuit, reach={**circuit.reach, point.terminal: ""})
        after = figures.levels(every_fault(extended))[-1]
        assert parts_of(after) == (before - whole_groups) | {part for parts in split for part in parts if part}
        assert (after.plain, after.weighted) == (point.after.plain, point.after.weighted)


def test_a_point_behind_a_plug_is_worth_having_with_the_plug_in() -> None:
    """With the lamp unplugged no current flows, so 12 Ω before S1:2 or behind it look alike; mated, the reading tells.

    By hand, before S1:2 it is 12 V × 10/22 with the 10 Ω of the lamp, behind it nearly the whole 12 V.
    """
    circuit = replace(depot.circuit(LOCKER), reach={"G1:+": "", "G1:-": "", "S1:2": "P1"})
    both = "W2 resistance", "W3 resistance"
    table = all_tests(circuit, both)
    assert (
        Candidate((Move("set", "key", "on"), Move("unplug", "P1")), Probe(VOLTS, "S1:2", "FRAME"), 7.0) in table.tests
    )
    assert figures.levels(table)[-1].groups == (both,)
    assert ("S1:2", ((both[:1], both[1:]),)) in [
        (point.terminal, point.splits) for point in figures.extra_points(circuit, table)
    ]
    weak, good = (
        read(depot.machine(LOCKER, "key=on", faults=[name]), Probe(VOLTS, "S1:2", "FRAME")).value for name in both
    )
    assert weak == pytest.approx(12 * 10 / 22, rel=0.02)
    assert good == pytest.approx(12, rel=0.02)


def parts_of(level: figures.Level) -> set[frozenset[str]]:
    """Return the groups of a level, the undetected faults as one of them."""
    return {frozenset(group) for group in (*level.groups, level.undetected) if group}


# Laws, on random tables

KINDS = (
    Candidate((), None, 1.0),
    Candidate((), Probe(VOLTS, "P1:1", "FRAME"), 2.0),
    Candidate((), Probe(OHMS, "P1:1", "P1:2"), 6.0),
    Candidate((), Probe(OHMS, "P1:1", "P1:2", alone="P1"), 14.0),
)


@st.composite
def tables(draw: st.DrawFn) -> OutcomeTable:
    """Return a table of made-up outcomes: up to eight hypotheses, up to six tests of any kind."""
    count = draw(st.integers(1, 7))
    faults = [(Fault(f"W{number}", "open"),) for number in range(count)]
    hypotheses: list[Hypothesis] = [*faults]
    hypotheses.insert(draw(st.integers(0, count)), ())
    weights = draw(st.lists(st.sampled_from((27, 9, 3, 1)), min_size=count + 1, max_size=count + 1))
    tests = draw(st.lists(st.sampled_from(KINDS), max_size=6))
    falls = st.lists(st.integers(0, 2), min_size=count + 1, max_size=count + 1).map(tuple)
    return OutcomeTable(
        tuple(hypotheses),
        tuple(weight / sum(weights) for weight in weights),
        tuple(tests),
        tuple(draw(falls) for _ in tests),
        tuple(("one", "two", "three") for _ in tests),
    )


@given(tables())
def test_fractions_keep_their_order(table: OutcomeTable) -> None:
    """At every level, plain and weighted: isolation to one ≤ to two ≤ to three ≤ 1, detection ≤ 1, mean group ≥ 1."""
    for level in figures.levels(table):
        for found in (level.plain, level.weighted):
            assert found.detection is not None
            assert 0 <= found.detection <= 1
            if found.detection == 0:
                assert (found.isolation, found.group_size) == ((None, None, None), None)
                continue
            one, two, three = (share for share in found.isolation if share is not None)
            assert 0 <= one <= two <= three <= 1
            assert found.group_size is not None
            assert found.group_size >= 1


@given(tables())
def test_groups_hold_every_fault_once(table: OutcomeTable) -> None:
    """At every level each fault is in one group, or undetected, and groups stand in the table's order."""
    names = [faults[0].name for faults in table.hypotheses if faults]
    for level in figures.levels(table):
        listed = [name for group in (*level.groups, level.undetected) for name in group]
        assert sorted(listed) == sorted(names)
        assert [group[0] for group in level.groups] == sorted((group[0] for group in level.groups), key=names.index)
        assert all(list(group) == sorted(group, key=names.index) for group in level.groups)


@given(tables())
def test_another_test_never_merges(table: OutcomeTable) -> None:
    """Adding tests one by one: no group grows, detection never falls, nor the share of all faults that is isolated.

    So do the levels, each of which adds tests to the one before.
    """
    steps = [
        figures.levels(replace(table, tests=table.tests[:count], parts=table.parts[:count], shown=table.shown[:count]))
        for count in range(len(table.tests) + 1)
    ]
    for before, after in (
        *itertools.pairwise(figures.levels(table)),
        *itertools.pairwise([levels[-1] for levels in steps]),
    ):
        assert all(any(group <= old for old in parts_of(before)) for group in parts_of(after))
        for old, new in ((before.plain, after.plain), (before.weighted, after.weighted)):
            assert of_all(new)[0] >= of_all(old)[0] - 1e-12
            assert all(now >= then - 1e-12 for then, now in zip(of_all(old), of_all(new), strict=True))


def of_all(found: figures.Fractions) -> tuple[float, ...]:
    """Return the share of all faults that is detected, then those detected and isolated to each size of group."""
    detection = found.detection or 0.0
    return detection, *(detection * (share or 0.0) for share in found.isolation)


def test_detecting_more_can_lower_isolation() -> None:
    """Why isolation is read with detection: of the detected ones all are alone; then two more are found, together.

    By hand: 1 of 1, then 1 of 3.
    """
    hypotheses: list[Hypothesis] = [(), *((Fault(name, "open"),) for name in ("W1", "W2", "W3"))]
    parts = ((0, 1, 0, 0), (0, 0, 1, 1))
    table = OutcomeTable(tuple(hypotheses), (0.25,) * 4, (KINDS[0], KINDS[1]), parts, (("off", "lit"), ("0 V", "12 V")))
    looks, volts, *_ = figures.levels(table)
    assert (looks.plain.detection, looks.plain.isolation[0]) == (1 / 3, 1.0)
    assert (volts.plain.detection, volts.plain.isolation[0]) == (1.0, 1 / 3)


# Brute force


@pytest.mark.parametrize("text", [LOCKER, depot.SHED])
def test_groups_are_those_of_brute_force(text: str) -> None:
    """Every fault on a machine of its own, every test made on it: in a group all show the same, and no two groups do.

    Readings that agree in a chain count as the same, as they do in the table.
    """
    circuit = depot.circuit(text)
    hypotheses: dict[str, Hypothesis] = {"sound": ()} | {name: (fault,) for name, fault in universe(circuit).items()}
    shows: dict[str, list[int]] = {name: [] for name in hypotheses}
    for test in every_test(circuit):
        outcomes = {name: outcome_of(circuit, faults, test) for name, faults in hypotheses.items()}
        for name, number in chained(outcomes).items():
            shows[name].append(number)
    expected: dict[tuple[int, ...], set[str]] = {}
    for name, numbers in shows.items():
        expected.setdefault(tuple(numbers), set()).add(name)
    expected[tuple(shows["sound"])] -= {"sound"}
    last = figures.levels(every_fault(circuit))[-1]
    assert parts_of(last) == {frozenset(group) for group in expected.values() if group}
    assert set(last.undetected) == expected[tuple(shows["sound"])]


Shows = Reading | dict[str, Seen]
"""What a test shows on one machine."""


def outcome_of(circuit: Circuit, faults: Hypothesis, test: Candidate) -> Shows:
    """Return what a test shows on a machine with these faults."""
    machine = Machine(circuit, faults)
    for move in test.moves:
        machine.move(str(move))
    return machine.seen() if test.probe is None else read(machine, test.probe)


def chained(outcomes: dict[str, Shows]) -> dict[str, int]:
    """Number what is shown, the same for outcomes that agree, or that others between them join."""
    number: dict[str, int] = {}
    for count, start in enumerate(outcomes):
        waiting = [start] if start not in number else []
        while waiting:
            name = waiting.pop()
            number[name] = count
            waiting += [other for other in outcomes if other not in number and alike(outcomes[name], outcomes[other])]
    return number


def alike(one: Shows, other: Shows) -> bool:
    """Say whether two outcomes show the same."""
    if isinstance(one, Reading) and isinstance(other, Reading):
        return one.status == other.status and (agree(one, other) or agree(other, one))
    return one == other
