"""The outcome table: what each test would show with each hypothesis, as parts that the test tells apart.

Everything that chooses among tests reads this table: the next test, test trees, ambiguity groups, testability figures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import prod
from typing import NamedTuple

import numpy as np

from .behaviour import in_words
from .candidates import Candidate
from .circuit import Circuit
from .families import Hypothesis
from .frequency import priors
from .in_step import Machines
from .lane_meter import Shown, parts_of_readings
from .lane_networks import Numbers, Truths
from .lane_readings import readings
from .lane_seen import seen_of
from .meter import OK, STATUSES, words_of
from .moves import SET, Move

AT_ONCE = 100_000
"""Readings that are taken together."""


@dataclass(frozen=True)
class OutcomeTable:
    """Hypotheses × tests.

    ``shares`` are the hypotheses' priors, 1 in all. ``parts[test][hypothesis]`` is the number of the part, from 0 in
    each test, into which the hypothesis falls; ``shown[test][part]`` is what that part's first shows, in words.
    """

    hypotheses: tuple[Hypothesis, ...]
    shares: tuple[float, ...]
    tests: tuple[Candidate, ...]
    parts: tuple[tuple[int, ...], ...]
    shown: tuple[tuple[str, ...], ...]


class Outcome(NamedTuple):
    """What one test shows: the part of each hypothesis, and what each part's first shows, in words."""

    parts: tuple[int, ...]
    shown: tuple[str, ...]


def outcome_table(
    circuit: Circuit,
    hypotheses: Sequence[Hypothesis],
    tests: Iterable[Candidate],
    before: Sequence[Move] = (),
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> OutcomeTable:
    """Return what the tests would show with the hypotheses after the moves ``before``, from rest.

    Readings within tolerance of each other go together. ``tell`` is told how many of how many tests have been made.
    """
    listed = tuple(tests)
    machines = Machines(circuit, hypotheses, few=0)
    for move in before:
        machines.move(move)
    outcomes: dict[int, Outcome] = {}
    ways: dict[tuple[Move, ...], dict[tuple[Move, ...], list[int]]] = {}
    for number, test in enumerate(listed):
        way, rest = _parted(test.moves)
        ways.setdefault(rest, {}).setdefault(way, []).append(number)
    for rest, by_way in ways.items():
        tell(len(outcomes), len(listed))
        standing = machines.spread(list(by_way))
        for move in rest:
            standing.move(move)
        places = [(number, way) for way, numbers in enumerate(by_way.values()) for number in numbers]
        for number, outcome in _made(standing, len(hypotheses), [(listed[number], way) for number, way in places]):
            outcomes[places[number][0]] = outcome
    made = [outcomes[number] for number in range(len(listed))]
    return OutcomeTable(
        tuple(hypotheses),
        shares_of(hypotheses, circuit),
        listed,
        tuple(outcome.parts for outcome in made),
        tuple(outcome.shown for outcome in made),
    )


def _parted(moves: Sequence[Move]) -> tuple[tuple[Move, ...], tuple[Move, ...]]:
    """Part moves into those of controls, at first, and the rest, from the first that is none."""
    count = next((place for place, move in enumerate(moves) if move.verb != SET), len(moves))
    return tuple(moves[:count]), tuple(moves[count:])


def shares_of(hypotheses: Sequence[Hypothesis], circuit: Circuit) -> tuple[float, ...]:
    """Return the priors of hypotheses, 1 in all; two faults at once are as frequent as the product of their shares."""
    faults = list(dict.fromkeys(fault for together in hypotheses for fault in together or (None,)))
    share = dict(zip(faults, priors(faults, circuit), strict=True))
    found = [prod(share[fault] for fault in together or (None,)) for together in hypotheses]
    return tuple(one / sum(found) for one in found)


def _made(machines: Machines, count: int, tests: Sequence[tuple[Candidate, int]]) -> Iterator[tuple[int, Outcome]]:
    """Yield the outcome of each test, with its number, on machines that have gone each test's way.

    ``count`` machines, one a hypothesis, have gone each way, those of the first way first.
    """
    measured: dict[tuple[str, bool], list[int]] = {}
    for number, (test, way) in enumerate(tests):
        if test.probe is None:
            rows = [
                {name: codes[way * count + place] for name, codes in machines.seen.items()} for place in range(count)
            ]
            yield number, _look(machines.circuit, rows)
        else:
            measured.setdefault((test.probe.mode, bool(test.probe.alone)), []).append(number)
    for (mode, _), numbers in measured.items():
        asked = [probe for number in numbers if (probe := tests[number][0].probe) is not None]
        probes = list(dict.fromkeys(asked))  # the same whatever is read at once, and so the meter's programs are
        number_of = {probe: place for place, probe in enumerate(probes)}
        probe_of = np.array([number_of[probe] for probe in asked])
        for start in range(0, len(numbers), max(1, AT_ONCE // count)):
            some = numbers[start : start + max(1, AT_ONCE // count)]
            ways = np.array([tests[number][1] for number in some])
            points = (ways[:, None] * count + np.arange(count)).ravel()
            which = np.repeat(probe_of[start : start + len(some)], count)
            shown = readings(machines, points, probes, which)
            yield from zip(some, _outcomes(shown, mode, count), strict=True)


def _look(circuit: Circuit, rows: Sequence[Mapping[str, int]]) -> Outcome:
    first = dict.fromkeys(tuple(row.values()) for row in rows)
    number_of = {codes: number for number, codes in enumerate(first)}
    looks = (dict(zip(circuit.behaviour, codes, strict=True)) for codes in first)
    shown = tuple(
        in_words({name: seen_of(code, circuit.behaviour[name]) for name, code in look.items()}) for look in looks
    )
    return Outcome(tuple(number_of[tuple(row.values())] for row in rows), shown)


def _outcomes(shown: Shown, mode: str, count: int) -> Iterator[Outcome]:
    """Yield the outcome of each test from readings on ``count`` hypotheses each."""
    parts, is_first = _numbered(parts_of_readings(shown, count))
    words: list[list[str]] = [[] for _ in parts]
    for row, place in zip(*(places.tolist() for places in np.nonzero(is_first)), strict=True):
        at = row * count + place
        words[row].append(words_of(mode, STATUSES[shown.status[at]], _number(shown, at), float(shown.range[at])))
    yield from map(Outcome, map(tuple, parts.tolist()), map(tuple, words))


def _numbered(labels: Numbers) -> tuple[Numbers, Truths]:
    """Return for rows of labels the labels' numbers, from 0 as they come in each row, and where each comes first."""
    places = np.arange(labels.shape[1])
    order = np.argsort(labels, axis=1, kind="stable")
    in_order = np.take_along_axis(labels, order, axis=1)
    begins = np.zeros(labels.shape, dtype=np.intp)
    begins[:, 1:] = np.where(in_order[:, 1:] != in_order[:, :-1], places[1:], 0)
    first = np.empty_like(order)
    np.put_along_axis(first, order, np.take_along_axis(order, np.maximum.accumulate(begins, axis=1), axis=1), axis=1)
    is_first: Truths = first == places
    number = np.cumsum(is_first, axis=1) - 1
    return np.take_along_axis(number, first, axis=1), is_first


def _number(shown: Shown, place: int) -> float:
    return float(shown.value[place]) if STATUSES[shown.status[place]] == OK else 0.0
