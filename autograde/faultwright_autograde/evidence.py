"""Evidence: which suspects a complaint and findings leave, and how many ambiguity groups that is."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from faultwright.circuit import Circuit
from faultwright.faults import Fault
from faultwright.moves import REST, Move
from faultwright.record import Action, Measured, Observed, Record, discrepancy, replay
from faultwright.suspects import find_suspects

MOST_WEIGHED = 300
"""Different findings that are weighed; a class's records have a tenth of that."""

MOST_ACTIONS = 600
"""Actions among which they are looked for: marking must come to an end whatever is handed in."""

_FIRST_LOOK = 8
"""Findings that the first round looks at (a complaint, and the same once more, are some four of them); each further
round looks at three times as many."""


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

    A short beginning of the record already clears most suspects, and what it clears the whole record clears
    too, so the record is looked at in longer and longer beginnings.
    """
    numbers = [index for index, action in enumerate(actions) if isinstance(action, Measured | Observed)]
    ends: list[int] = []
    count = _FIRST_LOOK
    while count < len(numbers):
        ends.append(numbers[count])
        count *= 3
    left = {fault.name: fault for fault in faults}
    cleared: dict[str, int] = {}
    for end in (*ends, len(actions)):
        record = Record(circuit.name, tuple(actions[:end]))
        # Whoever explains all of it as it stands need not be looked into; for the others a value is sought.
        kept = {name: fault for name, fault in left.items() if explains(circuit, (fault,), record)}
        found = find_suspects(circuit, record, [fault for name, fault in left.items() if name not in kept])
        cleared.update(found.cleared)
        kept.update(found.faults)
        left = {name: kept[name] for name in left if name in kept}
    return Left(left, explains(circuit, (), Record(circuit.name, tuple(actions))), cleared)


def explains(circuit: Circuit, faults: tuple[Fault, ...], record: Record) -> bool:
    """Say whether a machine with these faults, at the values that they have, would have shown every finding."""
    predictions, _ = replay(circuit, faults, record)
    findings = (finding for _, finding in record.findings())
    return all(discrepancy(finding, would) == 0 for finding, would in zip(findings, predictions, strict=True))


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
