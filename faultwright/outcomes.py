"""The outcome table: what each test would show with each hypothesis, as parts that the test tells apart.

Everything that chooses among tests reads this table: the next test, test trees, ambiguity groups, testability figures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .candidates import Candidate
from .circuit import Circuit
from .faults import Fault
from .frequency import priors
from .machine import Machine
from .meter import OK, Reading, agree, read
from .moves import Move

Hypothesis = tuple[Fault, ...]
"""Faults that are there together; none is the sound machine."""

Outcome = Reading | Mapping[str, Any]
"""What a test shows: a reading, or what the machine is seen to do."""


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


def outcome_table(
    circuit: Circuit,
    hypotheses: Sequence[Hypothesis],
    tests: Iterable[Candidate],
    before: Sequence[Move] = (),
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> OutcomeTable:
    """Return what the tests would show with the hypotheses after the moves ``before``, from rest.

    ``tell`` is told how many of how many ways to bring the machine to a test have been gone.
    """
    listed = tuple(tests)
    by_moves: dict[tuple[Move, ...], list[int]] = {}
    for number, test in enumerate(listed):
        by_moves.setdefault(test.moves, []).append(number)
    outcomes: dict[int, list[Outcome]] = {}
    for done, (moves, numbers) in enumerate(by_moves.items()):
        tell(done, len(by_moves))
        machines = [_machine_after(circuit, faults, (*before, *moves)) for faults in hypotheses]
        for number in numbers:
            probe = listed[number].probe
            outcomes[number] = [machine.seen() if probe is None else read(machine, probe) for machine in machines]
    parts, shown = zip(*(_numbered(outcomes[number]) for number in range(len(listed))), strict=True)
    return OutcomeTable(tuple(hypotheses), shares_of(hypotheses, circuit), listed, tuple(parts), tuple(shown))


def shares_of(hypotheses: Sequence[Hypothesis], circuit: Circuit) -> tuple[float, ...]:
    """Return the priors of hypotheses, 1 in all; of faults that are there together the product."""
    return tuple(priors([faults[0] if faults else None for faults in hypotheses], circuit))


def in_words(outcome: Outcome) -> str:
    """Return an outcome in words: what the meter displays, or what the machine is seen to do."""
    if isinstance(outcome, Reading):
        return outcome.display if outcome.status != "floating" else f"{outcome.display}, floating"
    words = {True: "yes", False: "no", None: "unclear"}
    return ", ".join(f"{name}: {words.get(value, value)}" for name, value in outcome.items())


def _machine_after(circuit: Circuit, faults: Hypothesis, moves: Iterable[Move]) -> Machine:
    machine = Machine(circuit, faults)
    for move in moves:
        machine.move(move)
    return machine


def _numbered(outcomes: Sequence[Outcome]) -> tuple[tuple[int, ...], tuple[str, ...]]:
    parts = sorted(split(outcomes))
    number_of = {index: number for number, part in enumerate(parts) for index in part}
    return tuple(number_of[index] for index in range(len(outcomes))), tuple(
        in_words(outcomes[part[0]]) for part in parts
    )


def split(outcomes: Sequence[Outcome]) -> list[list[int]]:
    """Return the parts into which outcomes fall, by index; readings within tolerance of each other go together."""
    alike: dict[str, list[int]] = {}
    numbers: list[tuple[Reading, int]] = []
    for index, outcome in enumerate(outcomes):
        if isinstance(outcome, Reading) and outcome.status == OK:
            numbers.append((outcome, index))
        else:
            key = outcome.status if isinstance(outcome, Reading) else repr(sorted(outcome.items()))
            alike.setdefault(key, []).append(index)
    parts = list(alike.values())
    numbers.sort(key=lambda number: number[0].value or 0.0)
    last: Reading | None = None
    for reading, index in numbers:
        if last is not None and agree(last, reading):
            parts[-1].append(index)
        else:
            parts.append([index])
        last = reading
    return parts
