"""The review of a sequence: whom each finding cleared, what it could have cleared, and what it all cost."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from faultwright.ambiguity import ambiguity_groups
from faultwright.bench import Bench
from faultwright.candidates import BACK_PROBE, DISMANTLE, LOOK, OPERATE, UNPLUG, every_test
from faultwright.faults import parse_fault, universe
from faultwright.meter import AMPS, OHMS, VOLTS, Probe
from faultwright.next_test import next_test
from faultwright.outcomes import outcome_table
from faultwright.record import BENCH, Measured, Record
from faultwright.sequence_review import BY_CHANCE, CLEARED, NARROWED, NOBODY, NOTHING, Review, review
from faultwright.suspects import find_suspects
from faultwright.test_tree import best_tree
from tests.core import depot

SHED = depot.circuit(depot.SHED)
OPENS = [fault for fault in universe(SHED).values() if fault.mode == "open" and fault.place in SHED.wires]
"""``W1`` to ``W3 open`` break the lamp's loop in this order; ``W4 open`` loses the frame."""


def shed(fault: str) -> Bench:
    """Return a bench with the shed's lamp and this fault."""
    return Bench(SHED, [parse_fault(fault, SHED)])


def volts(red: str, black: str = "FRAME") -> Probe:
    """Return volts between two points."""
    return Probe(VOLTS, red, black)


def verdicts(found: Review) -> list[str]:
    """Return the verdicts, finding by finding."""
    return [finding.verdict for finding in found.findings]


# What each finding did


def test_what_each_finding_cleared() -> None:
    """By hand: dark clears the frame's wire; 12 V behind the switch the first wire; 0 V at the lamp the return."""
    bench = shed("W2 open")
    bench.move("key=on")  # 0
    bench.observe()  # 1
    bench.read(volts("S1:2"))  # 2
    bench.read(volts("P1:1"))  # 3
    found = review(SHED, bench.record, OPENS, healthy=True)
    assert [(one.action, one.cleared, one.before, one.after) for one in found.findings] == [
        (1, ("W4 open", "a sound machine"), 5, 3),
        (2, ("W1 open",), 3, 2),
        (3, ("W3 open",), 2, 1),
    ]
    assert verdicts(found) == [CLEARED] * 3
    assert found.left == ("W2 open",)


def test_a_finding_that_could_not_clear_anybody() -> None:
    """At rest the lamp is dark whichever wire is broken: every suspect shows the same."""
    bench = shed("W2 open")
    bench.observe()
    found = review(SHED, bench.record, OPENS)
    assert verdicts(found) == [NOTHING]
    assert found.findings[0].words() == (
        "look: lamp: off; cleared nothing: every suspect that was left shows the same here; left 4 → 4"
    )


def test_a_finding_that_was_made_before() -> None:
    """The second time the same reading cannot clear anybody: whom it can clear it has cleared."""
    bench = shed("W2 open")
    bench.move("key=on")
    bench.read(volts("S1:2"))
    bench.read(volts("S1:2"))
    assert verdicts(review(SHED, bench.record, OPENS)) == [CLEARED, NOTHING]


def test_a_finding_that_could_have_cleared_somebody() -> None:
    """The lamp is dark from 56 Ω in its joint on (15 % of 12 V on its 10 Ω, by hand), and nothing less was left.

    Across its joints then stand 11.91 V, with an open joint 12.00 V, which the meter tells apart; but the 11.99 V of
    1 kΩ suit both, so nothing follows.
    """
    bench = shed("P1:1 resistance 1 kΩ")
    bench.move("key=on")
    bench.observe()
    bench.read(volts("P1:1", "P1:2"))
    found = review(SHED, bench.record, [universe(SHED)["P1:1 resistance"]])
    assert verdicts(found) == [NARROWED, BY_CHANCE]
    assert found.findings[1].words() == (
        "volts P1:1 to P1:2: 11.99 V; cleared nobody as it came out, although not every suspect, at every value, "
        "shows the same here; left 1 → 1"
    )


def test_a_value_is_narrowed_down() -> None:
    """8.00 V on the lamp clears no resistance in the loop but leaves few ohms of it: by Ohm's law 4.4 to 4.6 Ω."""
    bench = shed("W2 resistance 4.5 Ω")
    bench.move("key=on")
    bench.read(volts("P1:1", "P1:2"))
    found = review(SHED, bench.record, [universe(SHED)["W2 resistance"], universe(SHED)["W1 resistance"]])
    assert verdicts(found) == [NARROWED]
    assert found.findings[0].narrowed == ("W2 resistance", "W1 resistance")
    assert found.left == ("W2 resistance", "W1 resistance")


def test_a_free_value_is_cleared_only_when_no_value_is_left() -> None:
    """The lamp's 8 V suits 4.5 Ω in its return, 0.1 V across that needs 0.1 Ω: each suits some value, both none."""
    bench = shed("W2 resistance 4.5 Ω")
    bench.move("key=on")
    bench.read(volts("P1:1", "P1:2"))
    bench.read(volts("P1:2", "G1:-"))
    found = review(SHED, bench.record, [universe(SHED)["W2 resistance"], universe(SHED)["W3 resistance"]])
    assert verdicts(found) == [NARROWED, CLEARED]
    assert found.findings[1].cleared == ("W3 resistance",)


def test_nobody_is_left_to_clear() -> None:
    """After findings that no hypothesis explains, nobody is left, and that is said of what follows."""
    bench = shed("W2 open")
    bench.move("key=on")
    bench.read(volts("S1:2"))
    bench.read(volts("P1:1"))
    found = review(SHED, bench.record, [universe(SHED)["W1 open"]])
    assert verdicts(found) == [CLEARED, NOBODY]
    assert found.left == ()
    assert found.words()[-2] == "left at the end: no suspect"


def test_a_reading_from_a_real_meter_is_judged_as_such() -> None:
    """93 % of 12 V and 12 V are one reading on real hardware, ±(10 % + 0.3 V), and two on the bench."""
    weak = [parse_fault("G1 discharged", SHED), parse_fault("W4 open", SHED)]
    bench = shed("W4 open")
    bench.read(volts("G1:+", "G1:-"))
    (reading,) = [action for action in bench.record.actions if isinstance(action, Measured)]
    real = Record(SHED.name, (replace(reading, source=BENCH),))
    assert verdicts(review(SHED, bench.record, weak)) == [CLEARED]
    assert verdicts(review(SHED, real, weak)) == [NOTHING]


@given(st.lists(st.sampled_from(["key=on", "key=off", "look", "S1:1", "S1:2", "P1:1", "P1:2"]), max_size=6))
def test_the_review_ends_where_the_suspects_do(doings: list[str]) -> None:
    """Whatever is done, who is left after the last finding are the suspects of the whole record, counted down to it."""
    bench = shed("P1 open")
    for doing in doings:
        if doing == "look":
            bench.observe()
        elif "=" in doing:
            bench.move(doing)
        else:
            bench.read(volts(doing))
    faults = [*OPENS, parse_fault("P1 open", SHED), parse_fault("S1 stuck open", SHED)]
    found = review(SHED, bench.record, faults, healthy=True)
    suspects = find_suspects(SHED, bench.record, faults)
    assert found.left == (*suspects.names, *(["a sound machine"] if suspects.healthy else []))
    count = len(faults) + 1
    for one in found.findings:
        assert one.before == count
        assert one.after == count - len(one.cleared)
        assert (one.verdict == CLEARED) == bool(one.cleared)
        count = one.after
    assert count == len(found.left)


# Costs


def test_what_a_sequence_costs() -> None:
    """Each action at the trade's cost up to the first repair; what follows a repair is proof."""
    bench = shed("W2 open")
    bench.move("key=on")
    bench.observe()
    bench.read(volts("S1:2"))
    bench.move("unplug=G1")
    bench.read(Probe(OHMS, "P1:1", "P1:2", alone="P1"))
    bench.move("mate=G1")
    bench.read(Probe(AMPS, "W1"))
    bench.inspect("W2", "chafed")
    bench.ask("Since when?", "Since Monday.")
    search = OPERATE + LOOK + BACK_PROBE + UNPLUG + (BACK_PROBE + DISMANTLE) + (BACK_PROBE + UNPLUG) + LOOK + LOOK
    assert review(SHED, bench.record, OPENS).cost == search
    bench.move("repair=W2 mend the wire")
    bench.observe()
    assert review(SHED, bench.record, OPENS).cost == search


def test_the_cost_beside_the_tree() -> None:
    """Wire by wire from one end costs more than the best tree does on average; both are told."""
    bench = shed("W3 open")
    bench.move("key=on")
    for point in ("S1:1", "S1:2", "P1:1", "P1:2"):
        bench.read(volts(point))
    tree = best_tree(outcome_table(SHED, [(fault,) for fault in OPENS], every_test(SHED)))
    found = review(SHED, bench.record, OPENS, tree=tree)
    assert found.tree_cost == tree.expected_cost < found.cost == OPERATE + 4 * BACK_PROBE
    assert found.words()[-1] == (
        "what was done up to the first repair costs 9, a look at the machine being 1; with the test tree it costs "
        f"{tree.expected_cost:.2f} on average"
    )


# What was asked for


def sound_machines(found: Review) -> int:
    """Return 1 where a sound machine is left, else 0."""
    return int("a sound machine" in found.left)


def test_groups_are_counted_where_they_are_given() -> None:
    """A group counts while any of it is left, and a sound machine is one of its own."""
    bench = shed("W2 open")
    bench.move("key=on")
    bench.read(volts("S1:2"))
    faults = list(universe(SHED).values())
    groups = ambiguity_groups(SHED, faults)
    found = review(SHED, bench.record, faults, healthy=True, groups=groups)
    left = sum(not set(found.left).isdisjoint(group) for group in groups) + sound_machines(found)
    assert found.findings[0].groups == (len(groups) + 1, left)
    assert found.words()[0].endswith(f"groups {len(groups) + 1} → {left}")


def test_the_best_test_at_each_point() -> None:
    """It is the next test after what was found before, whatever was done then; none where one suspect is left."""
    bench = shed("W2 open")
    bench.observe()
    bench.move("key=on")
    bench.read(volts("S1:2"))
    bench.read(volts("P1:1"))
    bench.read(volts("P1:2"))
    found = review(SHED, bench.record, OPENS, best=True)
    beginning = Record(SHED.name, bench.record.actions[:1])
    assert found.findings[1].best == next_test(SHED, beginning, OPENS)
    assert found.findings[-1].best is None
    words = found.words()
    assert words[0] == "look: lamp: off; cleared nothing: every suspect that was left shows the same here; left 4 → 4"
    assert found.findings[0].best is not None
    assert words[1] == f"   the best test here: {found.findings[0].best.candidate.words()}"
    assert words[-3] == "   here no test would have told the suspects that were left apart"


def test_words_and_json() -> None:
    """The review as people read it, and as programs do."""
    bench = shed("W2 open")
    bench.move("key=on")
    bench.read(volts("S1:2"))
    found = review(SHED, bench.record, OPENS[:2])
    assert found.words() == [
        "volts S1:2 to FRAME: 12.00 V; cleared W1 open; left 2 → 1",
        "left at the end: W2 open",
        "what was done up to the first repair costs 3, a look at the machine being 1",
    ]
    assert found.as_json() == {
        "findings": [
            {
                "action": 1,
                "finding": {
                    "read": {
                        "meter": "volts", "red": "S1:2", "black": "FRAME", "expected": None, "value": 12.0, "unit": "V",
                        "status": "ok",
                    }
                },
                "verdict": "cleared",
                "cleared": ["W1 open"],
                "narrowed": [],
                "before": 2,
                "after": 1,
                "groups": None,
                "best": None,
            }
        ],
        "left": ["W2 open"],
        "cost": 3.0,
        "tree_cost": None,
    }  # fmt: skip
