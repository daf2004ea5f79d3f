"""Suspects, ambiguity groups and the best next test: worked cases with known answers, and brute force."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import pytest

from faultwright.ambiguity import ambiguity_groups
from faultwright.behaviour import Seen
from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.faults import Fault, parse_fault, universe
from faultwright.machine import Machine
from faultwright.meter import AMPS, OHMS, VOLTS, Probe, Reading, agree, read, show
from faultwright.moves import Move, parse_move
from faultwright.next_test import next_test
from faultwright.record import Measured, Observed, Record, discrepancy, replay
from faultwright.suspects import find_suspects
from tests.core import depot

SHED = depot.circuit(depot.SHED)


def shed(*faults: str) -> Bench:
    """Return a bench with the shed's lamp and these faults."""
    return Bench(SHED, [parse_fault(fault, SHED) for fault in faults])


# Worked cases


def test_without_findings_everything_is_possible() -> None:
    """An empty record clears nobody: the whole universe, and a sound machine."""
    found = find_suspects(SHED, Record(SHED.name))
    assert found.names == list(universe(SHED))
    assert found.healthy
    assert (found.cleared, found.conflict) == ({}, ())


def test_a_complaint_and_one_reading() -> None:
    """The lamp stays off. 12 V at its joint: the break lies behind (by hand: the lamp, its joints, its return)."""
    bench = shed("P1 open")
    bench.move("key=on")
    bench.observe()
    bench.read(Probe(VOLTS, "P1:1", "P1:2"))
    found = find_suspects(SHED, bench.record)
    assert not found.healthy
    # Across the lamp's joints 12 V: the feed and the return are good, so the break is between the joints.
    # A joint of 60 Ω in front of the lamp looks like an open one.
    assert set(found.names) == {"P1 open", "P1:1 open", "P1:2 open", "P1:1 resistance", "P1:2 resistance"}
    for name in ("P1:1 resistance", "P1:2 resistance"):
        low, high = found.ranges[name]
        # 12 − 12·0.5/(R + 10.5) V must read 12.00 V, ± 0.08 V and half a digit.
        assert low == pytest.approx(6 / 0.085 - 10.5, rel=0.001)
        assert high == 1e7


def test_the_first_finding_that_clears() -> None:
    """Who is cleared is cleared by the first finding that the hypothesis cannot explain, by its number."""
    bench = shed("W2 open")
    bench.move("key=on")  # 0
    bench.observe()  # 1: off
    bench.read(Probe(VOLTS, "S1:2", "FRAME"))  # 2: 12 V
    bench.read(Probe(VOLTS, "P1:1", "FRAME"))  # 3: 0 V
    found = find_suspects(SHED, bench.record)
    assert {name for name in found.names if name.endswith("open")} == {"W2 open"}
    assert found.cleared["W4 open"] == 1  # the lamp would be lit
    assert found.cleared["W1 open"] == 2
    assert found.cleared["P1 open"] == 3
    assert set(found.cleared) | set(found.names) == set(universe(SHED))


def test_a_sound_machine_is_a_hypothesis() -> None:
    """Lit with the key on and off with it off: nothing may be wrong, and what breaks this is cleared."""
    bench = shed()
    bench.observe()
    bench.move("key=on")
    bench.observe()
    found = find_suspects(SHED, bench.record)
    assert found.healthy
    assert "W2 open" not in found.names
    assert "S1 stuck closed" not in found.names
    assert "W4 open" in found.names  # no current flows in it, so nothing of this shows it


def test_the_range_of_a_free_value() -> None:
    """8.00 V on the lamp, ±0.065 V: by Ohm's law 120/(10.5 + R) lies there for R from 4.38 to 4.62 Ω."""
    bench = shed("W2 resistance 4.5 Ω")
    bench.move("key=on")
    bench.read(Probe(VOLTS, "P1:1", "P1:2"))
    low, high = find_suspects(SHED, bench.record).ranges["W2 resistance"]
    # Half a digit of the predicted display, 0.005 V, is 0.009 Ω here.
    assert low == pytest.approx(120 / 8.065 - 10.5, abs=0.012)
    assert high == pytest.approx(120 / 7.935 - 10.5, abs=0.012)
    assert low < 4.5 < high


def test_one_value_must_explain_everything() -> None:
    """Two readings, each explained by another value of the same fault, leave no value: intersected, not joined."""
    actions = (
        Move("set", "key", "on"),
        Measured(Probe(VOLTS, "P1:1", "P1:2"), show(VOLTS, 8.0)),  # R = 4.5 Ω
        Measured(Probe(VOLTS, "P1:2", "G1:-"), show(VOLTS, 0.1)),  # 1 A: R = 1.5 Ω
    )
    one = [universe(SHED)["W2 resistance"]]
    assert find_suspects(SHED, Record(SHED.name, actions[:2]), one).names == ["W2 resistance"]
    assert find_suspects(SHED, Record(SHED.name, (actions[0], actions[2])), one).names == ["W2 resistance"]
    assert find_suspects(SHED, Record(SHED.name, actions), one).names == []


@pytest.mark.parametrize("value", ["20 mΩ", "0.3 Ω", "2.2 Ω", "17 Ω", "330 Ω", "4.7 kΩ", "1 MΩ", "8.2 MΩ"])
def test_the_true_value_is_in_the_range(value: str) -> None:
    """From a bad crimp to a break that is none: the true value lies in the range, and its ends explain everything."""
    true = parse_fault(f"S1 resistance {value}", SHED)
    bench = Bench(SHED, (true,))
    bench.move("key=on")
    bench.observe()
    for red, black in (("P1:1", "P1:2"), ("S1:1", "S1:2"), ("G1:+", "FRAME")):
        bench.read(Probe(VOLTS, red, black))
    found = find_suspects(SHED, bench.record)
    low, high = found.ranges["S1 resistance"]
    assert true.value is not None
    assert low <= true.value <= high
    for end in (low, high, found.faults["S1 resistance"].value):
        predictions = replay(SHED, (replace(true, value=end),), bench.record)[0]
        findings = [finding for _, finding in bench.record.findings()]
        assert [discrepancy(*pair) for pair in zip(findings, predictions, strict=True)] == [0] * len(findings)


def test_findings_that_contradict_each_other() -> None:
    """Lit and off in one state: no single fault explains both, and the two findings are named."""
    actions = (Move("set", "key", "on"), Observed({"lamp": "lit"}), Observed({"lamp": "off"}))
    found = find_suspects(SHED, Record(SHED.name, actions))
    assert (found.names, found.healthy, found.conflict) == ([], False, (1, 2))


def test_a_finding_that_nothing_explains_is_the_conflict_alone() -> None:
    """48 V on a 12 V machine."""
    actions = (
        Move("set", "key", "on"),
        Observed({"lamp": "lit"}),
        Measured(Probe(VOLTS, "G1:+", "G1:-"), show(VOLTS, 48.0)),
    )
    found = find_suspects(SHED, Record(SHED.name, actions))
    assert (found.names, found.healthy, found.conflict) == ([], False, (2,))


def test_two_faults_are_no_single_fault() -> None:
    """Two breaks at once: the findings that need both are a conflict, which says that more than one thing is wrong."""
    bench = shed("W2 resistance 10 Ω", "W3 resistance 10 Ω")
    bench.move("key=on")
    bench.read(Probe(VOLTS, "S1:2", "P1:1"))
    bench.read(Probe(VOLTS, "P1:2", "G1:-"))
    found = find_suspects(SHED, bench.record)
    assert (found.names, found.healthy) == ([], False)
    assert found.conflict == (1, 2)


def test_two_shorts_that_look_identical_from_the_supply() -> None:
    """Two equal loads in series: with either shorted the supply gives the same current (derived).

    The published case of this kind stands in ``test_check_circuits.py``.
    """
    circuit = depot.circuit(
        """
circuit: string
nominal: 12 V
parts:
  G1: {kind: battery, emf: 12 V, resistance: 0.1 Ω}
  L1: {kind: resistor, resistance: 10 Ω}
  L2: {kind: resistor, resistance: 10 Ω}
  L3: {kind: resistor, resistance: 20 Ω}
wires:
  W1: {from: G1:+, to: L1:1, resistance: 1 mΩ}
  W2: {from: L1:2, to: L2:1, resistance: 1 mΩ}
  W3: {from: L2:2, to: L3:1, resistance: 1 mΩ}
  W4: {from: L3:2, to: G1:-, resistance: 1 mΩ}
"""
    )
    bench = Bench(circuit, [parse_fault("L1 shorted", circuit)])
    bench.read(Probe(AMPS, "W1"))  # 12 V over 30.1 Ω instead of 40.1 Ω
    bench.read(Probe(VOLTS, "G1:+", "G1:-"))
    shorts = [fault for fault in universe(circuit).values() if fault.mode == "shorted"]
    assert find_suspects(circuit, bench.record, shorts).names == ["L1 shorted", "L2 shorted"]
    # One reading between the two tells them apart, and the best next test is of that kind.
    best = next_test(circuit, bench.record, shorts[:2])
    assert best is not None
    assert best.parts == (1, 1)
    bench.read(Probe(VOLTS, "L1:1", "L1:2"))
    assert find_suspects(circuit, bench.record, shorts).names == ["L1 shorted"]


# Ambiguity groups


def test_series_wires_without_reach_between_are_one_group() -> None:
    """Nothing between switch and lamp can be probed: a break in either wire or in the splice's joints looks alike."""
    circuit = depot.circuit(
        """
circuit: conduit
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  N1: {kind: splice, ways: 2}
  P1: {kind: lamp}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: N1:1}
  W3: {from: N1:2, to: P1:1}
  W4: {from: P1:2, to: FRAME}
  W5: {from: G1:-, to: FRAME}
behaviour:
  lamp: {lamp: P1}
reach:
  G1:+: free
  S1:1: free
  S1:2: free
  P1:1: free
  P1:2: free
"""
    )
    names = ("W2 open", "N1:1 open", "W3 open", "N1:2 open", "W1 open", "W4 open", "P1 open")
    faults = [parse_fault(name, circuit) for name in names]
    groups = ambiguity_groups(circuit, faults)
    assert groups == [["W2 open", "N1:1 open", "W3 open", "N1:2 open"], ["W1 open"], ["W4 open"], ["P1 open"]]
    # With the splice in reach its two sides are told apart.
    open_splice = replace(circuit, reach={**circuit.reach, "N1:1": "", "N1:2": ""})
    assert ["W2 open"] in ambiguity_groups(open_splice, faults)
    assert next_test(circuit, Record(circuit.name), faults[:4]) is None
    assert next_test(open_splice, Record(circuit.name), faults[:4]) is not None


def test_groups_hold_every_fault_once() -> None:
    """Groups part the suspects: none is lost, none stands in two, their order is kept."""
    faults = list(universe(SHED).values())
    groups = ambiguity_groups(SHED, faults)
    listed = [name for group in groups for name in group]
    assert sorted(listed) == sorted(fault.name for fault in faults)
    positions = [list(universe(SHED)).index(group[0]) for group in groups]
    assert positions == sorted(positions)


def test_what_is_in_a_group_cannot_be_told_apart_by_any_reading() -> None:
    """Brute force: for any two of a group every volts reading agrees, in every state, at every pair of terminals."""
    faults = universe(SHED)
    terminals = ["FRAME", *SHED.wired]
    for group in ambiguity_groups(SHED, faults.values()):
        for one, other in itertools.pairwise(group):
            for moves in ((), ("key=on",)):
                left, right = (Machine(SHED, (faults[name],)) for name in (one, other))
                for move in moves:
                    left.move(move)
                    right.move(move)
                for terminal in terminals:
                    probe = Probe(VOLTS, terminal, "G1:-")
                    assert agree(read(left, probe), read(right, probe)), (one, other, terminal)


# Brute force over every fault of a small circuit

VALUES = [10 ** (step / 20) for step in range(-60, 141)]
"""A fine grid of values in Ω, for free-valued faults: 20 a decade."""


def explains(circuit: Circuit, record: Record, fault: Fault) -> bool:
    """Say whether a fault explains a record, by replaying it at every value of the grid."""
    findings = [finding for _, finding in record.findings()]
    values: Sequence[float | None] = [None] if fault.value is None else [*VALUES, fault.value]
    return any(
        all(
            discrepancy(finding, prediction) == 0
            for finding, prediction in zip(
                findings, replay(circuit, (replace(fault, value=value),), record)[0], strict=True
            )
        )
        for value in values
    )


@pytest.mark.parametrize(
    "true", ["W2 open", "S1 resistance", "G1 discharged", "W1 shorted to ground", "P1:2 resistance", "S1 sticking"]
)
def test_suspects_are_those_of_brute_force(true: str) -> None:
    """Every fault that some value of a fine grid explains is a suspect, and every suspect does explain the record."""
    bench = shed(true)
    bench.observe()
    bench.move("key=on")
    bench.observe()
    bench.read(Probe(VOLTS, "P1:1", "FRAME"))
    bench.move("key=off")
    bench.read(Probe(VOLTS, "G1:+", "FRAME"))
    found = find_suspects(SHED, bench.record)
    findings = [finding for _, finding in bench.record.findings()]
    for name, fault in universe(SHED).items():
        if explains(SHED, bench.record, fault):
            assert name in found.names
    for fault in found.faults.values():
        predictions = replay(SHED, (fault,), bench.record)[0]
        assert all(discrepancy(*pair) == 0 for pair in zip(findings, predictions, strict=True)), fault
    assert true in found.names


def test_every_fault_and_its_group_are_left_by_every_reading() -> None:
    """For each fault of the universe a full record of volts and looks leaves it, with all of its ambiguity group."""
    faults = universe(SHED)
    for group in ambiguity_groups(SHED, faults.values()):
        for name in group:
            bench = Bench(SHED, (faults[name],))
            for move in ("key=on", "key=off"):
                bench.move(move)
                bench.observe()
                for terminal in ("G1:+", "S1:1", "S1:2", "P1:1", "P1:2", "FRAME"):
                    bench.read(Probe(VOLTS, terminal, "G1:-"))
            assert find_suspects(SHED, bench.record, [faults[other] for other in group]).names == group


# The best next test


def chain(count: int) -> Circuit:
    """Return a lamp fed over ``count`` wires in a row, with splices that can be probed between them."""
    points = ["G1:+", *(f"N{number}:{way}" for number in range(1, count) for way in (1, 2)), "P1:1"]
    splices = "".join(f"  N{number}: {{kind: splice, ways: 2}}\n" for number in range(1, count))
    wires = "".join(
        f'  W{number}: {{from: "{start}", to: "{end}"}}\n'
        for number, (start, end) in enumerate(zip(points[::2], points[1::2], strict=True), start=1)
    )
    return depot.circuit(
        f"""
circuit: chain
nominal: 12 V
parts:
  G1: {{kind: battery, emf: 12 V}}
  P1: {{kind: lamp}}
{splices}wires:
{wires}  R1: {{from: "P1:2", to: FRAME}}
  R2: {{from: "G1:-", to: FRAME}}
behaviour:
  lamp: {{lamp: P1}}
"""
    )


@pytest.mark.parametrize("count", [2, 3, 4, 5, 8, 16])
def test_the_first_test_splits_a_chain_in_half(count: int) -> None:
    """With n suspects in a row, all as likely, the first reading stands in the middle: ⌈n/2⌉ against ⌊n/2⌋."""
    circuit = chain(count)
    suspects = [parse_fault(f"W{number} open", circuit) for number in range(1, count + 1)]
    best = next_test(circuit, Record(circuit.name), suspects)
    assert best is not None
    assert best.parts == (math.ceil(count / 2), count // 2)
    share = best.parts[0] / count
    assert best.bits == pytest.approx(-share * math.log2(share) - (1 - share) * math.log2(1 - share))


def test_the_likely_suspect_weighs_more_than_its_number() -> None:
    """A joint at the battery is met three times as often as each of three wires: the first reading sets it apart.

    27 : 9 : 9 : 9 is split 27 against 27, one bit, by the reading at the joint; in the middle 36 against 18 would tell
    0.918 bits (by hand). Two wires weigh the same, and so do one of them and a sound machine; joint and wire 3 : 1.
    """
    circuit = chain(4)
    joint, *wires = (parse_fault(f"{name} open", circuit) for name in ("G1:+", "W1", "W2", "W3"))
    best = next_test(circuit, Record(circuit.name), [joint, *wires])
    assert best is not None
    assert best.candidate.probe == Probe(VOLTS, "G1:+", "FRAME")
    assert best.parts == (3, 1)
    assert best.bits == pytest.approx(1.0)
    for even in (
        next_test(circuit, Record(circuit.name), wires[:2]),
        next_test(circuit, Record(circuit.name), wires[:1], healthy=True),
    ):
        assert even is not None
        assert even.parts == (1, 1)
        assert even.bits == pytest.approx(1.0)
    uneven = next_test(circuit, Record(circuit.name), [joint, wires[0]])
    assert uneven is not None
    assert uneven.bits == pytest.approx(-0.75 * math.log2(0.75) - 0.25 * math.log2(0.25))


@pytest.mark.parametrize("count", [3, 8, 16])
def test_half_split_finds_each_suspect_within_the_bound(count: int) -> None:
    """Following the best next test finds the break in ⌈log₂ n⌉ readings at most, and in no more than H + 1 on average.

    n equally likely suspects, ideal yes/no tests: ⌈log₂ n⌉ at worst, mean between H and H + 1 (Huffman; derived). From
    one end it would take (n − 1)(n + 2)/(2n) on average, 8.4 for 16.
    """
    circuit = chain(count)
    suspects = [parse_fault(f"W{number} open", circuit) for number in range(1, count + 1)]
    needed = []
    for true in suspects:
        bench = Bench(circuit, (true,))
        left, readings = list(suspects), 0
        while len(left) > 1:
            best = next_test(circuit, bench.record, left)
            assert best is not None
            assert best.candidate.probe is not None
            for move in best.candidate.moves:
                bench.move(str(move))
            bench.read(best.candidate.probe)
            left = list(find_suspects(circuit, bench.record, suspects).faults.values())
            readings += 1
        assert [fault.name for fault in left] == [true.name]
        needed.append(readings)
    assert max(needed) <= math.ceil(math.log2(count))
    assert math.log2(count) - 1e-9 <= sum(needed) / count <= math.log2(count) + 1


@pytest.mark.parametrize("text", [depot.SHED, depot.GATE, depot.MOWER])
def test_a_proposed_test_splits_what_is_left(text: str) -> None:
    """What is proposed can be done, and its outcomes are those that it promises, with more than one among them."""
    circuit = depot.circuit(text)
    faults = list(universe(circuit).values())
    for start in range(0, len(faults) - 6, 9):
        suspects = faults[start : start + 6]
        best = next_test(circuit, Record(circuit.name), suspects, healthy=True)
        assert best is not None
        assert len(best.parts) > 1
        assert sum(best.parts) == len(suspects) + 1
        assert best.bits > 0
        outcomes: list[Reading | dict[str, Seen]] = []
        for hypothesis in [*((fault,) for fault in suspects), ()]:
            machine = Machine(circuit, hypothesis)
            for move in best.candidate.moves:
                machine.move(parse_move(str(move), circuit))
            probe = best.candidate.probe
            outcomes.append(machine.seen() if probe is None else read(machine, probe))
        assert sorted(map(len, parted(outcomes)), reverse=True) == list(best.parts)


def parted(outcomes: list[Reading | dict[str, Seen]]) -> list[list[int]]:
    """Return which outcomes show the same, by number: those that agree, and those that others between them join."""
    parts: list[list[int]] = []
    for number, one in enumerate(outcomes):
        joined = [part for part in parts if any(alike(one, outcomes[other]) for other in part)]
        parts = [part for part in parts if part not in joined]
        parts.append([number, *(other for part in joined for other in part)])
    return parts


def alike(one: Reading | dict[str, Seen], other: Reading | dict[str, Seen]) -> bool:
    """Say whether two outcomes show the same; a floating 0.00 V is not a 0.00 V."""
    if isinstance(one, Reading) and isinstance(other, Reading):
        return one.status == other.status and (agree(one, other) or agree(other, one))
    return one == other


def test_nothing_is_proposed_where_nothing_is_left_to_split() -> None:
    """One suspect, none, or several that no test separates."""
    record = Record(SHED.name)
    assert next_test(SHED, record, []) is None
    assert next_test(SHED, record, [parse_fault("W2 open", SHED)]) is None
    assert next_test(SHED, record, [parse_fault("W2 open", SHED)] * 2) is None
    assert next_test(SHED, record, [], healthy=True) is None
    assert next_test(SHED, record, [parse_fault("W2 open", SHED)], healthy=True) is not None


def test_a_look_comes_before_the_meter() -> None:
    """Where operating and looking separate two suspects as well as a reading, it is cheaper and is proposed."""
    suspects = [parse_fault(name, SHED) for name in ("S1 stuck closed", "S1 stuck open")]
    best = next_test(SHED, Record(SHED.name), suspects)
    assert best is not None
    assert (best.candidate.probe, best.candidate.moves) == (None, ())
    assert best.as_json() == {"moves": [], "see": True, "bits": 1.0, "cost": 1.0, "splits": [1, 1]}


def test_ohms_are_proposed_only_on_an_isolated_machine() -> None:
    """Every proposed ohms reading is preceded by unplugging the sources, unless they are out already."""
    suspects = [parse_fault(name, SHED) for name in ("P1 open", "P1:1 open")]
    best = next_test(SHED, Record(SHED.name), suspects)
    assert best is not None
    assert best.candidate.probe is not None
    assert best.candidate.probe.mode == OHMS
    assert [str(move) for move in best.candidate.moves][-1] == "unplug=G1"
    isolated = Record(SHED.name, (Move("unplug", "G1"),))
    again = next_test(SHED, isolated, suspects)
    assert again is not None
    assert again.candidate.moves == ()
