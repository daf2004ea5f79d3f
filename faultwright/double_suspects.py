"""Two faults at once: pairs that together explain a record of which neither explains all.

Every pair goes through the record in lanes. Where both faults of a pair have a free
value, the one is tried at a value a decade (:data:`TRIED`), and the other's is looked for; a pair of which a reading
depends on both to the last digit can be missed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from .circuit import Circuit
from .faults import Fault, part_of, universe
from .record import Record
from .suspects import Suspects, Tell
from .trials import Trial, try_out

TRIED = tuple(10.0**decade for decade in range(-1, 6))
"""Ω at which the first of two free values is tried; what lies beyond acts as a sound joint or an open one."""

ROUNDS = 3
"""Times that a value is sought, each closer: half a decade, a sixteenth of that, a sixteenth of that."""

AT_ONCE = 20_000
"""Values that are tried together: some tens of megabytes."""

Pair = tuple[str, str]


def find_double_suspects(
    circuit: Circuit,
    record: Record,
    single: Suspects,
    faults: Iterable[Fault] | None = None,
    tell: Tell = lambda _done, _of: None,
) -> list[Pair]:
    """Return the pairs among ``faults`` (by default the universe) that explain a record, by name, in their order.

    ``single`` are the suspects of the same record: a pair with one of those says no more than that one, and where a
    sound machine explains everything no pair is needed. ``tell`` is told how many of how many pairs have been tried.
    """
    if single.healthy:
        return []
    record, _ = record.one_by_one()
    every = list(faults if faults is not None else universe(circuit).values())
    others = [fault for fault in every if fault.name not in single.faults]
    pairs = [(one, other) for one, other in combinations(others, 2) if part_of(one.place) != part_of(other.place)]
    found: set[frozenset[str]] = set()
    done = 0
    for some in _batches(pairs):
        tell(done, len(pairs))
        found |= {frozenset(trial.names) for trial in _explaining(circuit, record, some)}
        done += len({trial.names for trial in some})
    return [(one.name, other.name) for one, other in pairs if frozenset((one.name, other.name)) in found]


def _explaining(circuit: Circuit, record: Record, trials: Sequence[Trial]) -> Iterator[Trial]:
    """Yield the trials that explain all findings, at a value tried or, where there is room, at one between."""
    every = range(sum(1 for _ in record.findings()))
    for _ in range(ROUNDS):
        outcome = try_out(circuit, record, trials)
        closer: list[Trial] = []
        for number, trial in enumerate(trials):
            if outcome.agreeing(number, every):
                yield trial
            elif trial.free is not None:
                closer += (replace(trial, within=stretch) for stretch in outcome.stretches(number))
                closer += outcome.closer(number)
        if not closer:
            return
        trials = closer


def _trials(pair: tuple[Fault, Fault]) -> list[Trial]:
    """Return the trials of a pair: one free value is looked for, another set to each of the values tried."""
    one, other = pair
    if other.value is None:
        return [Trial((other,), one)] if one.value is not None else [Trial(pair)]
    if one.value is None:
        return [Trial((one,), other)]
    return [Trial((replace(one, value=value),), other) for value in TRIED]


def _batches(pairs: Sequence[tuple[Fault, Fault]]) -> Iterator[list[Trial]]:
    """Yield the trials of all pairs, so many together as are tried at once."""
    batch: list[Trial] = []
    values = 0
    for pair in pairs:
        for trial in _trials(pair):
            batch.append(trial)
            values += len(trial.values())
        if values >= AT_ONCE:
            yield batch
            batch, values = [], 0
    if batch:
        yield batch
