"""Evidence: which suspects a complaint and findings leave, and how many ambiguity groups that is."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from faultwright.circuit import Circuit
from faultwright.faults import Fault, universe
from faultwright.moves import REST, Move
from faultwright.record import Action, Observed
from faultwright.situations import Situations, situations_of
from faultwright.weighing import weigh

MOST_WEIGHED = 300
"""Different findings that are weighed; a class's records have a tenth of that."""

MOST_ACTIONS = 600
"""Actions among which they are looked for: marking must come to an end whatever is handed in."""


@dataclass(frozen=True)
class Left:
    """What is left, free values set to one that explains everything.

    ``cleared`` maps each fault that is not left to the number of the action that cleared it.
    """

    faults: Mapping[str, Fault]
    healthy: bool
    cleared: Mapping[str, int] = field(default_factory=dict)

    def groups(self, numbers: Mapping[str, int]) -> list[list[str]]:
        """Return the names that are left, by ambiguity group; a sound machine is a group of its own."""
        found: dict[int, list[str]] = {}
        for name in self.faults:
            found.setdefault(numbers[name], []).append(name)
        return [*found.values(), *([["sound machine"]] if self.healthy else [])]


def left_after(circuit: Circuit, actions: Sequence[Action], faults: Iterable[Fault]) -> Left:
    """Return what is left of ``faults`` after ``actions`` from rest; action numbers count from 0.

    ``faults`` are some of the circuit's universe; their values are sought, whatever they are set to.
    """
    found = weigh(_situations(circuit), actions)
    left: dict[str, Fault] = {}
    cleared: dict[str, int] = {}
    for fault in faults:
        name = fault.name
        if (name,) in found.cleared:
            cleared[name] = found.cleared[name,]
        else:
            left[name] = fault if fault.value is None else replace(fault, value=found.value_of((name,)))
    return Left(left, () not in found.cleared, cleared)


@lru_cache(maxsize=16)
def _situations(circuit: Circuit) -> Situations:
    """Return the machines with every fault of a circuit, kept for the other records of those who share it."""
    return situations_of(circuit, universe(circuit).values())


def share_of_evidence(before: int, after: int) -> float:
    """Return 1 − ln g / ln g₀: 1 where one group is left, 0 where no finding narrowed anything down."""
    if before <= 1:
        return 1.0
    return min(1.0, max(0.0, 1 - math.log(max(after, 1)) / math.log(before)))


def weighed(
    complaint: Sequence[Action], actions: Sequence[Action], numbers: Collection[int], fuses: Collection[str]
) -> tuple[list[Action], list[int]]:
    """Return the actions that evidence rests on, and for each the number in the candidate's record (−1: complaint).

    The complaint, a fresh start, then the moves up to the last of the findings in ``numbers``, with those. Repairs
    are left out: evidence is what was found, not what was changed; a new fuse is kept, for what follows depends on it.
    """
    found: list[tuple[Action, int]] = []
    for index, action in enumerate(actions[: max(numbers, default=-1) + 1]):
        if isinstance(action, Move):
            if action.verb != "repair" or action.target in fuses:
                found.append((action, index))
        elif index in numbers:
            found.append((action, index))
    if not _begins_with(complaint, [action for action, _ in found]):
        before = [*complaint, Move(REST)] if complaint else []
        found = [*((action, -1) for action in before), *found]
    return [action for action, _ in found], [number for _, number in found]


def _begins_with(complaint: Sequence[Action], actions: Sequence[Action]) -> bool:
    """Say whether actions begin by repeating the complaint, so that it need not be put before them once more."""
    return len(actions) >= len(complaint) and all(
        other.seen.items() >= one.seen.items()
        if isinstance(one, Observed) and isinstance(other, Observed)
        else one == other
        for one, other in zip(complaint, actions, strict=False)
    )
