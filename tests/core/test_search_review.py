"""A search beside the best one: the complaint counts in both, and a search along the best tree costs no more."""

from __future__ import annotations

from faultwright.bench import Bench
from faultwright.candidates import LOOK, OPERATE, every_test
from faultwright.faults import parse_fault, universe
from faultwright.machine import Machine
from faultwright.meter import VOLTS, Probe
from faultwright.outcomes import outcome_table
from faultwright.record import Record
from faultwright.search_review import reviewed_search
from faultwright.sequence_review import review
from faultwright.suspects import find_suspects
from faultwright.test_tree import best_tree
from tests.core import depot

SHED = depot.circuit(depot.SHED)


def dark_lamp(fault: str) -> Bench:
    """Return a bench with a fault, the lamp switched on and seen to be off."""
    bench = Bench(SHED, [parse_fault(fault, SHED)])
    bench.move("key=on")
    bench.observe()
    return bench


def test_the_best_search_begins_at_the_complaint() -> None:
    """What the best search costs is the complaint (a move and a look) and the tree of what that leaves."""
    bench = dark_lamp("W2 open")
    left = find_suspects(SHED, bench.record)
    hypotheses = [(fault,) for fault in left.faults.values()]
    now = Machine(SHED)
    moves = list(bench.record.moves())
    now.make(moves[0])
    tree = best_tree(outcome_table(SHED, hypotheses, every_test(SHED, now.state), moves))
    bench.read(Probe(VOLTS, "S1:2", "FRAME"))
    found = reviewed_search(SHED, bench.record)
    assert found.tree_cost == OPERATE + LOOK + tree.expected_cost
    alone = review(SHED, bench.record, list(universe(SHED).values()), healthy=True)
    assert (found.findings, found.left, found.cost) == (alone.findings, alone.left, alone.cost)
    assert alone.tree_cost is None


def test_readings_that_tell_nothing_make_a_search_dearer() -> None:
    """A reading taken twice splits nothing and is named so, and the search costs more than the best does on average."""
    bench = dark_lamp("W2 open")
    for red, black in (("G1:+", "G1:-"), ("G1:+", "G1:-"), ("S1:2", "P1:1"), ("G1:-", "FRAME"), ("S1:1", "FRAME")):
        bench.read(Probe(VOLTS, red, black))
    bench.read(Probe(VOLTS, "S1:1", "FRAME"))
    found = reviewed_search(SHED, bench.record)
    assert [one.verdict for one in found.findings][2] == "nothing"
    assert found.tree_cost is not None
    assert found.cost > found.tree_cost


def test_nothing_to_search_for_has_no_best_search() -> None:
    """Where the complaint leaves one suspect, a switch that follows one move late, there is no tree."""
    bench = dark_lamp("S1 sticking")
    bench.move("key=off")
    bench.observe()
    assert find_suspects(SHED, bench.record).names == ["S1 sticking"]
    assert reviewed_search(SHED, bench.record).tree_cost is None
    assert reviewed_search(SHED, Record(SHED.name)).tree_cost is not None  # no complaint: everything is possible
