"""The test tree: brute force over every tree, codes with known mean lengths, and trees followed on real machines."""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from functools import cache
from itertools import combinations
from operator import mul

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultwright.behaviour import Seen
from faultwright.bench import Bench
from faultwright.candidates import Candidate, every_test
from faultwright.circuit_file import parse_circuit
from faultwright.faults import Fault, parse_fault
from faultwright.machine import Machine
from faultwright.meter import VOLTS, Probe, Reading, agree, read
from faultwright.moves import Move
from faultwright.outcomes import OutcomeTable, outcome_table
from faultwright.suspects import find_suspects
from faultwright.test_tree import MOST_SUBSETS, Node, Tree, best_tree
from tests.core import depot


def table(shares: Sequence[float], tests: Sequence[tuple[float, Sequence[int]]]) -> OutcomeTable:
    """Return a table of made-up hypotheses and tests, each test by its cost and the part of each hypothesis."""
    return OutcomeTable(
        hypotheses=tuple((Fault(f"H{number}", "open"),) for number in range(len(shares))),
        shares=tuple(share / sum(shares) for share in shares),
        tests=tuple(
            Candidate((Move("set", "test", str(number)),), None, cost) for number, (cost, _) in enumerate(tests)
        ),
        parts=tuple(tuple(parts) for _, parts in tests),
        shown=tuple(tuple(f"part {part}" for part in range(max(parts) + 1)) for _, parts in tests),
    )


def yes_no(count: int, subset: Sequence[int], cost: float = 1.0) -> tuple[float, list[int]]:
    """Return a test that says whether the hypothesis is in a subset."""
    return cost, [int(number in subset) for number in range(count)]


def least_cost(given_table: OutcomeTable) -> float:
    """Return the least expected cost by trying every test at every node of every tree."""

    @cache
    def least(suspects: frozenset[int]) -> float:
        share = sum(given_table.shares[suspect] for suspect in suspects)
        costs = [0.0] if len(suspects) == 1 else []
        for test, parts in zip(given_table.tests, given_table.parts, strict=True):
            split = {frozenset(one for one in suspects if parts[one] == part) for part in parts} - {frozenset()}
            if len(split) > 1:
                costs.append(test.cost * share + sum(map(least, split)))
        return min(costs, default=0.0)

    return least(frozenset(range(len(given_table.hypotheses))))


def groups(given_table: OutcomeTable) -> set[tuple[int, ...]]:
    """Return the hypotheses that no test of a table tells apart, pair by pair."""
    every = range(len(given_table.hypotheses))
    return {
        tuple(other for other in every if all(parts[one] == parts[other] for parts in given_table.parts))
        for one in every
    }


def followed(tree: Tree, given_table: OutcomeTable, hypothesis: int) -> list[Node]:
    """Return the nodes that a hypothesis comes to when each test shows what the table says."""
    way = [tree.nodes[0]]
    while way[-1].test is not None:
        number = given_table.tests.index(way[-1].test)
        shown = given_table.shown[number][given_table.parts[number][hypothesis]]
        way.append(tree.nodes[dict(way[-1].branches)[shown]])
    return way


def checked(given_table: OutcomeTable, most_subsets: int = MOST_SUBSETS) -> Tree:
    """Return the tree of a table after checking that it leads every hypothesis to its group, at the stated figures."""
    tree = best_tree(given_table, most_subsets)
    ways = [followed(tree, given_table, number) for number in range(len(given_table.hypotheses))]
    assert all(number in way[-1].suspects for number, way in enumerate(ways))
    assert {node.suspects for node in tree.nodes if node.test is None} == groups(given_table)
    costs = [sum(node.test.cost for node in way if node.test) for way in ways]
    lengths = [len(way) - 1 for way in ways]
    assert tree.expected_cost == pytest.approx(sum(map(mul, given_table.shares, costs)))
    assert tree.expected_tests == pytest.approx(sum(map(mul, given_table.shares, lengths)))
    assert tree.worst_tests == max(lengths)
    return tree


@st.composite
def tables(draw: st.DrawFn) -> OutcomeTable:
    """Draw a small table: up to six hypotheses, tests with up to four parts, costs as far apart as the trade's."""
    count = draw(st.integers(1, 6))
    shares = draw(st.lists(st.sampled_from([1, 3, 9, 27]), min_size=count, max_size=count))
    tests = []
    for _ in range(draw(st.integers(1, 6))):
        parts = draw(st.lists(st.integers(0, 3), min_size=count, max_size=count))
        numbers = {part: number for number, part in enumerate(dict.fromkeys(parts))}
        tests.append((draw(st.sampled_from([1.0, 2.0, 3.0, 6.0, 14.0])), [numbers[part] for part in parts]))
    return table(shares, tests)


# Brute force


@given(tables())
def test_no_tree_costs_less(given_table: OutcomeTable) -> None:
    """The tree that is called exact costs what the cheapest of all trees costs, and its bound is that cost."""
    tree = checked(given_table)
    assert tree.exact
    assert tree.expected_cost == pytest.approx(least_cost(given_table))
    assert tree.bound == pytest.approx(tree.expected_cost)


@given(tables())
def test_the_best_lies_between_bound_and_greedy_tree(given_table: OutcomeTable) -> None:
    """Without a search the tree is greedy: the cheapest of all costs no more, and no less than its bound."""
    tree = checked(given_table, most_subsets=0)
    least = least_cost(given_table)
    assert tree.bound <= least + 1e-9
    assert least <= tree.expected_cost + 1e-9
    if tree.exact:
        assert tree.expected_cost == pytest.approx(least)


@given(tables(), st.integers(1, 6))
def test_a_search_that_is_cut_short_stays_within_its_bound(given_table: OutcomeTable, most: int) -> None:
    """Where the search ends early, what it had found goes into a tree that is sound and called no more than it is."""
    tree = checked(given_table, most)
    least = least_cost(given_table)
    assert tree.bound <= least + 1e-9
    assert least <= tree.expected_cost + 1e-9
    if tree.exact:
        assert tree.expected_cost == pytest.approx(least)


def test_a_greedy_tree_is_not_called_the_best() -> None:
    """Three suspects: one test of three parts has more bits for its cost, but two of two parts cost less (by hand)."""
    case = table([1, 1, 1], [(1.7, [0, 1, 2]), yes_no(3, [0]), yes_no(3, [2])])
    greedy, best = checked(case, most_subsets=0), checked(case)
    assert not greedy.exact
    assert greedy.expected_cost == pytest.approx(1.7)
    assert best.exact
    assert best.expected_cost == pytest.approx(1 + 2 / 3)


# Codes


def huffman(shares: Sequence[float]) -> float:
    """Return the mean length of Huffman's code (D. A. Huffman, Proceedings of the IRE 40, 1952; derived)."""
    heap = list(shares)
    heapq.heapify(heap)
    mean = 0.0
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        mean += joined
        heapq.heappush(heap, joined)
    return mean


@given(st.lists(st.integers(1, 50), min_size=2, max_size=7))
def test_ideal_tests_reach_the_length_of_huffmans_code(weights: list[int]) -> None:
    """With a yes/no test for every subset the mean number of tests is Huffman's, between H and H + 1 (derived)."""
    count = len(weights)
    subsets = [its for size in range(1, count) for its in combinations(range(count), size) if 0 in its]
    tree = checked(table(weights, [yes_no(count, subset) for subset in subsets]))
    shares = [weight / sum(weights) for weight in weights]
    entropy = -sum(share * math.log2(share) for share in shares)
    assert tree.exact
    assert tree.expected_tests == pytest.approx(huffman(shares))
    assert entropy - 1e-9 <= tree.expected_tests < entropy + 1


def test_sixteen_alike_take_four_ideal_tests() -> None:
    """16 equally likely suspects, every half of them a yes/no test: 4 tests for each, log₂ 16 (derived)."""
    halves = [its for its in combinations(range(16), 8) if 0 in its]
    tree = checked(table([1] * 16, [yes_no(16, half) for half in halves]))
    assert tree.exact
    assert tree.expected_tests == pytest.approx(4)
    assert tree.worst_tests == 4
    assert all(node.half_split for node in tree.nodes if node.test)


@pytest.mark.parametrize(("count", "mean", "exact"), [(8, 4.375, True), (16, 8.4375, False)])
def test_one_suspect_at_a_time(count: int, mean: float, exact: bool) -> None:  # noqa: FBT001 - pytest passes it by name
    """Tests that ask for one suspect each, as probing from one end does: (n − 1)(n + 2)/2n on average (derived).

    They come to no better in any order; for 16 the search is not taken that far.
    """
    tree = checked(table([1] * count, [yes_no(count, [number]) for number in range(count)]))
    assert mean == (count - 1) * (count + 2) / (2 * count)
    assert tree.expected_tests == pytest.approx(mean)
    assert tree.worst_tests == count - 1
    assert tree.exact is exact


def test_x_is_the_best_first_probe_of_the_polybox() -> None:
    """From memory: the polybox of de Kleer & Williams (Artificial Intelligence 32, 1987) and its best next probe, X.

    Three multipliers with the outputs X, Y, Z, two adders X + Y and Y + Z; inputs 3 2 2 3 3, seen 10 and 12, so the
    minimal diagnoses are M1, A1, M2 with M3, M2 with A2 (from memory). What each then makes of X, Y and Z is derived:
    10 = X + Y and 12 = Y + Z, with 6 behind every multiplier that is sound. Single faults count p, pairs p².
    """
    diagnoses = [("M1",), ("A1",), ("M2", "M3"), ("M2", "A2")]
    values = {"X": [4, 6, 6, 6], "Y": [6, 6, 4, 4], "Z": [6, 6, 8, 6]}
    often = 0.01
    shares = [often ** len(its) for its in diagnoses]
    case = OutcomeTable(
        hypotheses=tuple(tuple(Fault(name, "wrong") for name in its) for its in diagnoses),
        shares=tuple(share / sum(shares) for share in shares),
        tests=tuple(Candidate((), Probe(VOLTS, point, "FRAME"), 1.0) for point in values),
        parts=tuple(tuple(sorted(set(seen)).index(value) for value in seen) for seen in values.values()),
        shown=tuple(tuple(str(value) for value in sorted(set(seen))) for seen in values.values()),
    )
    first = checked(case).nodes[0]
    assert first.test is not None
    assert first.test.probe == Probe(VOLTS, "X", "FRAME")
    assert first.half_split


# Half-split


def chain(count: int) -> str:
    """Return a lamp that is fed through so many wires in series, with a joint between each two."""
    joints = "\n".join(f"  X{number}: {{kind: splice, ways: 2}}" for number in range(1, count))
    starts = ["G1:+", *(f"X{number}:2" for number in range(1, count))]
    ends = [*(f"X{number}:1" for number in range(1, count)), "P1:1"]
    wires = "\n".join(
        f"  W{number}: {{from: '{start}', to: '{end}'}}"
        for number, (start, end) in enumerate(zip(starts, ends, strict=True), start=1)
    )
    return f"""
circuit: hedge-light
parts:
  G1: {{kind: battery}}
  P1: {{kind: lamp}}
{joints}
wires:
{wires}
  W{count + 1}: {{from: 'P1:2', to: FRAME}}
  W{count + 2}: {{from: 'G1:-', to: FRAME}}
"""


def test_volts_along_a_chain_halve_it() -> None:
    """One of 16 wires in series is open and every joint can be probed: 4 readings, and each halves what is left."""
    circuit = parse_circuit(chain(16))
    hypotheses = [(parse_fault(f"W{number} open", circuit),) for number in range(1, 17)]
    joints = [Candidate((), Probe(VOLTS, f"X{number}:1", "FRAME"), 2.0) for number in range(1, 16)]
    tree = checked(outcome_table(circuit, hypotheses, joints))
    assert tree.exact
    assert tree.expected_tests == pytest.approx(4)
    assert tree.worst_tests == 4
    assert tree.expected_cost == pytest.approx(8)
    first = tree.nodes[0]
    assert first.test is not None
    assert first.test.probe == Probe(VOLTS, "X8:1", "FRAME")
    assert all(node.half_split for node in tree.nodes if node.test)


def test_what_is_no_half_split() -> None:
    """Three parts are no halves; of two parts the smaller holds a third at least, and no other comes nearer."""
    three = checked(table([1, 1, 1], [(1, [0, 1, 2])]))
    assert not three.nodes[0].half_split
    lopsided = checked(table([3, 1], [(1, [0, 1])]))
    assert not lopsided.nodes[0].half_split
    third = checked(table([2, 1], [(1, [0, 1])]))
    assert third.nodes[0].half_split
    # Huffman joins 0.2 and 0.2 first, so the first test takes 0.4 from 0.6, although 0.5 from 0.5 is there.
    nearer = checked(table([4, 2, 2, 1, 1], [yes_no(5, [0]), yes_no(5, [1, 2]), yes_no(5, [1]), yes_no(5, [3]),
                                             yes_no(5, [0, 3])]))  # fmt: skip
    halves = [node for node in nearer.nodes if node.test]
    assert nearer.exact
    assert not halves[0].half_split


# What is kept of the tests


def test_of_tests_that_split_alike_the_cheapest_is_taken() -> None:
    """The dear test comes first and is left out; of two that cost the same the first in the table is taken."""
    tree = checked(table([1, 1], [(8, [0, 1]), (2, [1, 0]), (2, [0, 1]), (1, [0, 0])]))
    assert [node.test for node in tree.nodes if node.test] == [Candidate((Move("set", "test", "1"),), None, 2)]


def test_the_same_table_gives_the_same_tree() -> None:
    """Among equals the choice does not vary from run to run."""
    case = table([1] * 6, [yes_no(6, its) for its in combinations(range(6), 3)])
    assert best_tree(case) == best_tree(case)


def test_nothing_to_tell_apart() -> None:
    """Without a test that splits anything the tree is one end, free, and the best there is."""
    tree = checked(table([1, 2], [(1, [0, 0])]))
    assert (len(tree.nodes), tree.exact, tree.expected_cost, tree.worst_tests) == (1, True, 0, 0)
    assert tree.words()[-1] == "H0 open or H1 open"


def test_a_deep_tree_is_built_and_told() -> None:
    """300 suspects that can only be asked for one by one: no search, no recursion, and JSON without nesting."""
    tree = best_tree(table([1] * 300, [yes_no(300, [number]) for number in range(299)]))
    assert tree.worst_tests == 299
    assert not tree.exact
    assert tree.bound <= tree.expected_cost
    assert len(tree.words()) == 2 + len(tree.nodes)
    assert len(tree.as_json()["nodes"]) == len(tree.nodes) == 599


# As it is told


def test_words_and_json() -> None:
    """The tree as people read it, and as programs do."""
    tree = best_tree(table([2, 1, 1], [yes_no(3, [0]), (4, [0, 0, 1])]))
    assert tree.words() == [
        "The best tree: no other costs less on average",
        "Cost 3.00 on average, a look at the machine being 1; 1.50 tests on average, 2 at worst",
        "test=0, then look what the machine does (half-split)",
        "  part 0 → test=1, then look what the machine does (half-split)",
        "    part 0 → H1 open",
        "    part 1 → H2 open",
        "  part 1 → H0 open",
    ]
    found = tree.as_json()
    assert {key: value for key, value in found.items() if key != "nodes"} == {
        "exact": True,
        "expected_cost": 3.0,
        "bound": 3.0,
        "expected_tests": 1.5,
        "worst_tests": 2,
    }
    assert found["nodes"][:2] == [
        {
            "left": 3,
            "share": 1.0,
            "test": {"moves": ["test=0"], "see": True, "cost": 1.0},
            "half_split": True,
            "branches": [{"shown": "part 0", "node": 1}, {"shown": "part 1", "node": 4}],
            "suspects": [],
        },
        {
            "left": 2,
            "share": 0.5,
            "test": {"moves": ["test=1"], "see": True, "cost": 4},
            "half_split": True,
            "branches": [{"shown": "part 0", "node": 2}, {"shown": "part 1", "node": 3}],
            "suspects": [],
        },
    ]
    assert found["nodes"][4]["suspects"] == ["H0 open"]


def test_a_greedy_tree_says_how_far_it_can_be_from_the_best() -> None:
    """The first line gives the difference between its cost and the bound."""
    tree = best_tree(table([1] * 16, [yes_no(16, [number]) for number in range(16)]))
    excess = f"{tree.expected_cost - tree.bound:.2f}"
    assert not tree.exact
    assert tree.words()[0] == f"A good tree: it costs {excess} more than the best on average, at most"


# Real machines


def outcome(faults: tuple[Fault, ...], moves: Sequence[Move], test: Candidate) -> Reading | dict[str, Seen]:
    """Make a test on a machine with these faults and return what it shows."""
    machine = Machine(depot.circuit(depot.GATE), faults)
    for move in (*moves, *test.moves):
        machine.move(move)
    return machine.seen() if test.probe is None else read(machine, test.probe)


def alike(one: Reading | dict[str, Seen], other: Reading | dict[str, Seen]) -> bool:
    """Say whether a person would call two outcomes the same; a floating 0.00 V is not a 0.00 V."""
    if isinstance(one, Reading) and isinstance(other, Reading):
        return one.status == other.status and agree(one, other)
    return one == other


def test_tests_made_on_a_machine_lead_to_its_fault() -> None:
    """A gate that does not move: whichever suspect it has, the tests of the tree end where that suspect stands."""
    circuit = depot.circuit(depot.GATE)
    bench = Bench(circuit, [parse_fault("W4 open", circuit)])
    bench.move("start=pressed")
    bench.move("start=released")
    bench.observe()
    left = find_suspects(circuit, bench.record)
    hypotheses = [(fault,) for fault in left.faults.values()]
    before = tuple(bench.record.moves())
    case = outcome_table(circuit, hypotheses, every_test(circuit, bench.machine.state), before)
    tree = checked(case)
    assert len(hypotheses) > 20
    assert len([node for node in tree.nodes if node.test is None]) > 10
    for number, hypothesis in enumerate(hypotheses):
        node = tree.nodes[0]
        while node.test is not None:
            shown = outcome(hypothesis, before, node.test)
            follows = [tree.nodes[branch] for _, branch in node.branches]
            test = node.test
            node = next(
                one
                for one in follows
                if any(alike(outcome(hypotheses[other], before, test), shown) for other in one.suspects)
            )
        assert number in node.suspects
