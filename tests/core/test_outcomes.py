"""The outcome table and the next test, against machines and meters one by one."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from hypothesis import assume, currently_in_test_context, event, given, settings
from hypothesis import strategies as st

from faultwright.behaviour import in_words
from faultwright.candidates import Candidate, every_test
from faultwright.circuit import Circuit
from faultwright.families import Hypothesis
from faultwright.faults import parse_fault, universe
from faultwright.frequency import priors
from faultwright.meter import FLOATING, OK, OVERLOAD, Probe, Reading, agree, read
from faultwright.moves import Move, parse_move
from faultwright.next_test import MOST_STATES, information, next_test
from faultwright.outcomes import outcome_table, shares_of
from faultwright.record import Record
from tests.core import depot
from tests.core.records import on_an_edge
from tests.core.strategies import circuits, control_move, moves, probes
from tests.core.test_in_step import gone, hypotheses

SHED = depot.circuit(depot.SHED)

Shown = Reading | dict[str, object]


def made(circuit: Circuit, hypothesis: Hypothesis, before: Sequence[Move], test: Candidate) -> Shown:
    """Return what a test shows on a machine by itself; of random ones leave out those that rounding decides."""
    machine = gone(circuit, hypothesis, [*before, *test.moves])
    if test.probe is not None and currently_in_test_context():
        assume(not on_an_edge(machine, test.probe))
    return dict(machine.seen()) if test.probe is None else read(machine, test.probe)


def parted(shown: Sequence[Shown]) -> list[int]:
    """Return the number of each outcome's part: the same look, the same status, or numbers that agree in a row."""
    numbers = [(one.value, place) for place, one in enumerate(shown) if isinstance(one, Reading) and one.status == OK]
    keys: dict[int, object] = {
        place: one.status if isinstance(one, Reading) else repr(one) for place, one in enumerate(shown)
    }
    chain = 0
    rising = [place for _, place in sorted(numbers, key=lambda pair: pair[0] or 0.0)]
    for number, place in enumerate(rising):
        one, last = shown[place], shown[rising[number - 1]]
        assert isinstance(one, Reading)
        assert isinstance(last, Reading)
        chain += number > 0 and not agree(last, one)
        keys[place] = chain
    order = {key: number for number, key in enumerate(dict.fromkeys(keys[place] for place in range(len(shown))))}
    return [order[keys[place]] for place in range(len(shown))]


def words(shown: Shown) -> str:
    """Return an outcome as a person reads it."""
    if not isinstance(shown, Reading):
        return in_words(shown)  # type: ignore[arg-type]
    if shown.status in (OK, OVERLOAD):
        return shown.display
    return f"{shown.display}, floating" if shown.status == FLOATING else shown.status


def entropy(shares: Sequence[float], parts: Sequence[int]) -> float:
    """Return the entropy in bits of a split."""
    each = [sum(share for share, part in zip(shares, parts, strict=True) if part == number) for number in {*parts}]
    return -sum(share * math.log2(share) for share in each if share > 0)


@st.composite
def drawn_tests(draw: st.DrawFn, circuit: Circuit) -> list[Candidate]:
    """Return tests of every kind: looks and readings after moves of controls, then after others."""
    found = []
    for _ in range(draw(st.integers(1, 6))):
        way = draw(st.lists(control_move(circuit), max_size=2))
        rest = draw(st.one_of(st.just([]), st.lists(moves(circuit), max_size=2)))
        probe = draw(st.one_of(st.none(), probes(circuit)))
        found.append(Candidate(tuple(parse_move(text, circuit) for text in (*way, *rest)), probe, 1.0))
    return found


@settings(max_examples=30)
@given(circuits(most=5), st.data())
def test_the_table_is_that_of_machines_one_by_one(circuit: Circuit, data: st.DataObject) -> None:
    """After any moves before: each test parts the hypotheses as single machines do, and says what the first shows.

    Readings on the edge between two displays are left out: rounding decides them (see the readings in lanes).
    """
    chosen = data.draw(hypotheses(circuit))
    tests = data.draw(drawn_tests(circuit))
    before = [parse_move(text, circuit) for text in data.draw(st.lists(moves(circuit), max_size=2))]
    table = outcome_table(circuit, chosen, tests, before)
    assert (table.hypotheses, table.tests) == (tuple(chosen), tuple(tests))
    assert sum(table.shares) == pytest.approx(1.0)
    for number, test in enumerate(tests):
        shown = [made(circuit, hypothesis, before, test) for hypothesis in chosen]
        event(f"{test.probe.mode if test.probe else 'look'} in {len({*table.parts[number]})} parts")
        assert list(table.parts[number]) == parted(shown)
        firsts = [table.parts[number].index(part) for part in range(max(table.parts[number]) + 1)]
        assert list(table.shown[number]) == [words(shown[first]) for first in firsts]


@pytest.mark.parametrize("text", [depot.SHED, depot.GATE])
def test_every_test_worth_making_on_every_fault(text: str) -> None:
    """All faults at once on every test that is considered, after a move before: as machines one by one."""
    circuit = depot.circuit(text)
    before = [Move("set", *(("key", "on") if text == depot.SHED else ("start", "pressed")))]
    chosen: list[Hypothesis] = [(), *((fault,) for fault in universe(circuit).values())]
    tests = list(every_test(circuit, gone(circuit, (), before).state))[::3]
    table = outcome_table(circuit, chosen, tests, before)
    for number, test in enumerate(tests):
        shown = [made(circuit, hypothesis, before, test) for hypothesis in chosen]
        assert list(table.parts[number]) == parted(shown), test
        firsts = [table.parts[number].index(part) for part in range(max(table.parts[number]) + 1)]
        assert list(table.shown[number]) == [words(shown[first]) for first in firsts], test


def test_how_each_outcome_is_put() -> None:
    """A number as displayed, OL, what floats, what is live, and a look in words."""
    names = ("W2 open", "P1 open", "W2 resistance 10 Ω")
    chosen: list[Hypothesis] = [(), *((parse_fault(name, SHED),) for name in names)]
    on, off = Move("set", "key", "on"), Move("unplug", "G1")
    tests = [
        Candidate((on,), None, 1.0),
        Candidate((on,), Probe("volts", "P1:1", "FRAME"), 1.0),
        Candidate((off, on), Probe("ohms", "P1:1", "P1:2"), 1.0),
        Candidate((off, on), Probe("ohms", "S1:2", "P1:2"), 1.0),
        Candidate((on,), Probe("ohms", "S1:1", "FRAME"), 1.0),
        Candidate((off, Move("unplug", "P1")), Probe("volts", "P1:1", "FRAME"), 1.0),
    ]
    table = outcome_table(SHED, chosen, tests)
    assert table.shown == (
        ("lamp: lit", "lamp: off", "lamp: dim"),
        ("11.54 V", "0.0 mV", "12.00 V", "5.912 V"),  # 12 V·10.1/10.5, nothing, no current, 12 V·10.1/20.5
        ("1.0 Ω", "OL"),  # a cold filament is a tenth of the hot one
        ("1.1 Ω", "OL", "11.1 Ω"),
        ("live",),
        ("0.00 V, floating",),
    )
    assert table.parts == ((0, 1, 1, 2), (0, 1, 2, 3), (0, 0, 1, 0), (0, 1, 1, 2), (0, 0, 0, 0), (0, 0, 0, 0))


def test_two_faults_are_as_frequent_as_both_at_once() -> None:
    """The share of two faults together is the product of their shares, among those that are told apart; all are 1."""
    one, other = (parse_fault(name, SHED) for name in ("W2 open", "P1 open"))
    share = dict(zip((one, other, None), priors([one, other, None], SHED), strict=True))
    weights = [share[one], share[other], share[None], share[one] * share[other]]
    found = shares_of([(one,), (other,), (), (one, other)], SHED)
    assert found == pytest.approx([weight / sum(weights) for weight in weights])


# The next test


def check_next(circuit: Circuit, record: Record, chosen: Sequence[Hypothesis]) -> None:
    """Check by brute force that no test has more bits for its cost than the one proposed, or as many and is earlier."""
    before = list(record.moves())
    now = gone(circuit, (), before)
    faults = [faults[0] for faults in chosen if faults]
    best = next_test(circuit, record, faults, healthy=() in chosen)
    shares = priors([faults[0] if faults else None for faults in chosen], circuit)
    worth = []
    tests = list(every_test(circuit, now.state, now.wiring.unplugged, MOST_STATES))
    for test in tests:
        parts = parted([made(circuit, hypothesis, before, test) for hypothesis in chosen])
        worth.append((entropy(shares, parts) / test.cost, parts))
    most = max(one for one, _ in worth)
    if best is None:
        assert most == pytest.approx(0.0, abs=1e-12)
        return
    assert best.bits / best.candidate.cost == pytest.approx(most, rel=1e-9)
    first = next(place for place, (one, _) in enumerate(worth) if one >= most - 1e-9)
    assert best.candidate == tests[first]
    sizes = [worth[first][1].count(part) for part in {*worth[first][1]}]
    assert list(best.parts) == sorted(sizes, reverse=True)


@pytest.mark.parametrize("text", [depot.SHED, depot.GATE])
@pytest.mark.parametrize("moved", [(), ("unplug",)])
def test_no_test_tells_more_for_its_cost(text: str, moved: tuple[str, ...]) -> None:
    """Brute force over every test, with eight suspects of all sorts and a sound machine, live and with a part off."""
    circuit = depot.circuit(text)
    source = next(iter(circuit.parts))
    record = Record(circuit.name, tuple(Move(verb, source) for verb in moved))
    known = list(universe(circuit).values())
    check_next(circuit, record, [*((fault,) for fault in known[:: len(known) // 8]), ()])


@settings(max_examples=8)
@given(circuits(most=3), st.data())
def test_no_test_tells_more_on_random_circuits(circuit: Circuit, data: st.DataObject) -> None:
    """Brute force on circuits of every kind of part, after moves that the record holds."""
    known = list(universe(circuit).values())
    places = data.draw(st.lists(st.integers(0, len(known) - 1), min_size=2, max_size=5, unique=True))
    chosen = [known[place] for place in places]
    done = data.draw(st.lists(moves(circuit), max_size=2))
    record = Record(circuit.name, tuple(parse_move(text, circuit) for text in done))
    check_next(circuit, record, [*((fault,) for fault in chosen), ()])


def test_information_is_the_entropy_of_the_split() -> None:
    """By hand from shares of 3/8, 3/8, 1/8 and 1/8: −Σ p·log₂ p of each split, and nothing where there is none."""
    names = ("W1 open", "W2 open", "W3 open", "W4 open")
    chosen: list[Hypothesis] = [(parse_fault(name, SHED),) for name in names]
    points = (("S1:2", "G1:-"), ("P1:1", "G1:-"), ("G1:+", "G1:-"), ("P1:2", "P1:2"))
    tests = [Candidate((Move("set", "key", "on"),), Probe("volts", *pair), 1.0) for pair in points]
    table = outcome_table(SHED, chosen, tests)
    assert table.shares == pytest.approx([3 / 8, 3 / 8, 1 / 8, 1 / 8])
    # A break before the point shows 0 V; the frame on the return's far side, W4, shifts it a little.
    assert table.parts == ((0, 1, 1, 2), (0, 0, 1, 2), (0, 0, 0, 1), (0, 0, 0, 0))
    assert information(table) == pytest.approx([1.40564, 1.06128, 0.54356, 0.0], abs=1e-5)
