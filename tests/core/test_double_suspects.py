"""Two faults at once: the pairs that explain a record together, by brute force and with free values."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from faultwright.bench import Bench
from faultwright.double_suspects import find_double_suspects
from faultwright.faults import Fault, parse_fault, part_of, universe
from faultwright.meter import OHMS, VOLTS, Probe
from faultwright.record import Record, discrepancy, replay
from faultwright.suspects import find_suspects
from tests.core import depot

LAMPS = depot.circuit(depot.TWO_LAMPS)


def both_on(*faults: str) -> Bench:
    """Return a bench with these faults, both lamps switched on and looked at, the battery measured under that load."""
    bench = Bench(LAMPS, [parse_fault(fault, LAMPS) for fault in faults])
    bench.move("left=on")
    bench.move("right=on")
    bench.observe()
    bench.read(Probe(VOLTS, "G1:+", "G1:-"))
    return bench


def explains(record: Record, faults: tuple[Fault, ...]) -> bool:
    """Say whether a replay with these faults agrees with every finding."""
    predictions = replay(LAMPS, faults, record)[0]
    pairs = zip(record.findings(), predictions, strict=True)
    return all(discrepancy(finding, prediction) == 0 for (_, finding), prediction in pairs)


@pytest.mark.parametrize(
    "faults", [("W3 open", "W6 open"), ("S1 stuck open", "P2 shorted"), ("W3 open", "W4 shorted to supply")]
)
def test_pairs_without_values_are_those_of_brute_force(faults: tuple[str, str]) -> None:
    """Every pair of faults without a value is replayed by itself; what agrees, and has no suspect in it, is found."""
    record = both_on(*faults).record
    single = find_suspects(LAMPS, record)
    found = find_double_suspects(LAMPS, record, single)
    plain = [one for one in universe(LAMPS).values() if one.value is None and one.name not in single.faults]
    pairs = [pair for pair in combinations(plain, 2) if part_of(pair[0].place) != part_of(pair[1].place)]
    expected = [(one.name, other.name) for one, other in pairs if explains(record, (one, other))]
    names = {fault.name for fault in plain}
    assert [pair for pair in found if {*pair} <= names] == expected
    assert bool(expected) == (not single.names)


def test_two_dark_lamps_take_two_faults() -> None:
    """With the battery good under load no single fault darkens both: one fault in each loop, and nothing else, does."""
    record = both_on("W3 open", "W6 open").record
    single = find_suspects(LAMPS, record)
    assert (single.names, single.healthy) == ([], False)
    found = find_double_suspects(LAMPS, record, single)
    left, right = {"S1", "P1", "W1", "W3", "W5"}, {"S2", "P2", "W2", "W4", "W6"}
    assert ("W3 open", "W6 open") in found
    for one, other in found:
        places = {part_of(one.split()[0]), part_of(other.split()[0])}
        assert len(places & left) == len(places & right) == 1, (one, other)


def test_a_pair_with_a_suspect_in_it_is_no_news() -> None:
    """One dark lamp has single suspects; a pair that holds one of them is not listed."""
    record = both_on("W3 open").record
    single = find_suspects(LAMPS, record)
    assert "W3 open" in single.names
    found = find_double_suspects(LAMPS, record, single)
    assert not [pair for pair in found if {*pair} & {*single.names}]


def test_where_nothing_is_wrong_no_pair_is_needed() -> None:
    """A record that a sound machine explains asks for no pair."""
    record = both_on().record
    assert find_double_suspects(LAMPS, record, find_suspects(LAMPS, record)) == []


def test_values_of_both_are_found() -> None:
    """Both lamps dim, each behind a resistance of its own: the pair is found, though neither value is on any grid.

    The first is tried at a value a decade only, and only what it does to its lamp is seen; the second is measured with
    ohms, and met to 1 %.
    """
    record = both_on("W3 resistance 20 Ω", "W6 resistance 7 Ω").record
    bench = both_on("W3 resistance 20 Ω", "W6 resistance 7 Ω")
    bench.read(Probe(VOLTS, "P2:2", "FRAME"))
    bench.move("left=off")  # else the first resistance lies across the second
    bench.move("unplug=G1")
    bench.read(Probe(OHMS, "P2:2", "G1:-"))
    single = find_suspects(LAMPS, bench.record)
    assert single.names == []
    found = find_double_suspects(LAMPS, bench.record, single)
    assert ("W3 resistance", "W6 resistance") in found
    assert ("W3 open", "W6 resistance") not in found
    assert len(found) < len(find_double_suspects(LAMPS, record, find_suspects(LAMPS, record)))


def test_progress_is_told() -> None:
    """What is told rises from nothing and never passes the number of pairs."""
    record = both_on("W3 open", "W6 open").record
    told: list[tuple[int, int]] = []
    some = [replace(fault) for fault in universe(LAMPS).values()][:40]
    find_double_suspects(LAMPS, record, find_suspects(LAMPS, record), some, tell=lambda *step: told.append(step))
    assert told
    assert told[0][0] == 0
    assert all(done <= of for done, of in told)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
