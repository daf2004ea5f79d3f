"""Suspects: every fault whose replay agrees with all findings of a record at once.

A fault with a free value is a suspect only if one single value explains everything; its range is given.
A sound machine is a hypothesis too. Two faults at once are looked for when asked.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from .circuit import Circuit
from .conflicts import minimal_sets
from .explaining import Explaining, Range
from .faults import Fault, universe
from .record import Record
from .trials import Trial, trial_of, try_out

Tell = Callable[[int, int], None]
"""What long work calls: how many of how many steps are done."""


CLOSER = 3
"""Times that values are tried, each a sixteenth of the distance before, where a relay or a motor changes between."""


@dataclass(frozen=True)
class Suspects:
    """What a record leaves possible.

    ``faults`` by name, values set to one that explains everything; ``ranges`` in Ω; ``cleared`` maps each
    other fault to the number (in the record's actions) of the first finding that it cannot explain;
    ``conflict`` holds the numbers of findings that no single fault and no sound machine explains together.
    """

    faults: Mapping[str, Fault]
    healthy: bool
    ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    cleared: Mapping[str, int] = field(default_factory=dict)
    conflict: tuple[int, ...] = ()

    @property
    def names(self) -> list[str]:
        """The suspects by name, in the order of the universe."""
        return list(self.faults)


def find_suspects(
    circuit: Circuit,
    record: Record,
    faults: Iterable[Fault] | None = None,
    tell: Tell = lambda _done, _of: None,
    *,
    with_conflict: bool = True,
) -> Suspects:
    """Return the suspects among ``faults`` (by default the universe of the circuit) that a record leaves.

    Without ``with_conflict`` it is not looked for which findings contradict each other, which can take long.
    ``tell`` is told how many of how many actions of the record have been gone through.
    """
    record, numbers = record.one_by_one()
    hypotheses = [*(faults if faults is not None else universe(circuit).values()), None]
    trials = [trial_of(fault) for fault in hypotheses]
    explained = _explained(circuit, record, trials, tell)
    kept: dict[str, Fault] = {}
    ranges: dict[str, tuple[float, float]] = {}
    cleared: dict[str, int] = {}
    healthy = False
    for fault, explaining in zip(hypotheses, explained, strict=True):
        found = _range(explaining)
        if fault is None:
            healthy = found is not None
        elif found is None:
            cleared[fault.name] = numbers[max(each.first_against() for each in explaining)]
        elif fault.value is None:
            kept[fault.name] = fault
        else:
            low, high, value = found
            kept[fault.name] = replace(fault, value=value)
            ranges[fault.name] = low, high
    conflict = () if kept or healthy or not with_conflict else _smallest_conflict(circuit, record, trials, numbers)
    return Suspects(kept, healthy, ranges, cleared, conflict)


def _explained(circuit: Circuit, record: Record, trials: Sequence[Trial], tell: Tell) -> list[list[Explaining]]:
    """Return what each trial explains: tried at all its values, and closer where that was rash."""
    found: list[list[Explaining]] = [[] for _ in trials]
    asked = list(enumerate(trials))
    for _ in range(CLOSER):
        outcome = try_out(circuit, record, [trial for _, trial in asked], tell)
        for place, (number, _) in enumerate(asked):
            found[number].append(Explaining(circuit, record, outcome, place))
        asked = [(number, trial) for place, (number, _) in enumerate(asked) for trial in outcome.closer(place)]
        if not asked:
            break
    return found


def _range(explaining: Sequence[Explaining]) -> Range | None:
    """Return the range from the lowest value that explains to the highest; closer looks within it tell no more."""
    found: Range | None = None
    for each in explaining:
        low, high = each.trial.within or (0.0, math.inf)
        if found is not None and found[0] <= low and high <= found[1]:
            continue
        other = each.range()
        if found is None or other is None:
            found = found or other
        else:
            found = min(found[0], other[0]), max(found[1], other[1]), found[2]
    return found


def _smallest_conflict(
    circuit: Circuit, record: Record, trials: Sequence[Trial], numbers: Sequence[int]
) -> tuple[int, ...]:
    """Return the fewest findings that between them speak against every hypothesis, the earliest such."""
    outcome = try_out(circuit, record, trials, let_go=False)
    against = [_against(Explaining(circuit, record, outcome, number)) for number in range(len(trials))]
    by_action = [[frozenset(numbers[index] for index in one) for one in family] for family in against]
    return next(minimal_sets(by_action), ())


def _against(explaining: Explaining) -> list[frozenset[int]]:
    """Return the smallest sets of findings that a hypothesis cannot explain.

    Single findings; and, for a fault with a value, pairs that need different values: the values that explain a finding
    are one stretch, and stretches that meet in pairs meet all at once (Helly).
    """
    count = range(len(explaining.outcome.findings))
    single = [index for index in count if not explaining.can([index])]
    found = [frozenset({index}) for index in single]
    if explaining.trial.free is not None:
        rest = [index for index in count if index not in single]
        found += [frozenset(pair) for pair in combinations(rest, 2) if not explaining.can(pair)]
    return found
