"""The review of a sequence: what each finding of a record cleared, what it could have cleared, and what it all cost.

A fault with a free value counts as cleared only where no value of it explains the findings up to there, all at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from typing import Any

from .analysis_texts import listed, text
from .behaviour import in_words
from .candidates import BACK_PROBE, DISMANTLE, LOOK, OPERATE, UNPLUG, Candidate
from .circuit import Circuit
from .faults import Fault
from .meter import AMPS, Reading, words_of
from .moves import Move
from .next_test import NextTest, next_test
from .record import (
    Action,
    Asked,
    Finding,
    Inspected,
    Measured,
    Observed,
    Prediction,
    Record,
    action_as_json,
    discrepancy,
    replay,
)
from .suspects import Suspects, find_suspects
from .test_tree import Tree

CLEARED, NARROWED, BY_CHANCE, NOTHING, NOBODY = "cleared", "narrowed", "by_chance", "nothing", "nobody"

NARROWER = 0.9
"""A range (its upper end over its lower) counts as narrowed from this share of what it was; less is rounding."""

_MOVES = {
    "set": OPERATE,
    "rest": OPERATE,
    "disturb": OPERATE,
    "unplug": UNPLUG,
    "mate": 0.0,  # part of the unplugging
    "substitute": DISMANTLE,
    "restore": 0.0,  # part of the substitution
    "bridge": BACK_PROBE,
    "unbridge": 0.0,  # part of the bridging
    "load": BACK_PROBE,
    "unload": 0.0,  # part of the loading
}
"""What the moves of a search cost, by verb: common practice, no source."""


def _cost(action: Action) -> float:
    """Return what an action costs, a look or a question being 1; amps in series need the circuit opened."""
    match action:
        case Move():
            return _MOVES[action.verb]
        case Observed() | Inspected() | Asked():
            return LOOK
    probe = action.probe
    in_series = probe.mode == AMPS and not probe.black
    return BACK_PROBE + DISMANTLE * bool(probe.alone) + UNPLUG * in_series


def search_cost(record: Record) -> float:
    """Return what was done up to the first repair costs, a look at the machine being 1."""
    return sum(_cost(action) for action in record.search().actions)


@dataclass(frozen=True, slots=True)
class Reviewed:
    """A finding, by its number in the record's actions (from 0), and what it did to the suspects.

    ``verdict``: it :data:`CLEARED` some; :data:`NARROWED` the value of some; it could have told some values apart but,
    as it came out, did neither (:data:`BY_CHANCE`); it could tell nobody apart, for all that were left show the same
    (:data:`NOTHING`); or :data:`NOBODY` was left. ``cleared`` and ``narrowed`` are names, a sound machine's among
    them. ``before`` and ``after`` count the suspects; ``groups`` does so with ambiguity groups, where they were given.
    ``best`` is the best test at that point, where it was asked for and there is one.
    """

    action: int
    finding: Finding
    verdict: str
    cleared: tuple[str, ...]
    narrowed: tuple[str, ...]
    before: int
    after: int
    groups: tuple[int, int] | None = None
    best: NextTest | None = None

    def as_json(self) -> dict[str, Any]:
        """The review of the finding as JSON."""
        return {
            "action": self.action,
            "finding": action_as_json(self.finding),
            "verdict": self.verdict,
            "cleared": list(self.cleared),
            "narrowed": list(self.narrowed),
            "before": self.before,
            "after": self.after,
            "groups": list(self.groups) if self.groups else None,
            "best": self.best.as_json() if self.best else None,
        }

    def words(self) -> str:
        """Return the review of the finding as one line."""
        names = {CLEARED: self.cleared, NARROWED: self.narrowed}.get(self.verdict, ())
        values = {
            "finding": finding_in_words(self.finding),
            "verdict": text(f"review.{self.verdict}", names=listed(names)),
            "before": self.before,
            "after": self.after,
        }
        if self.groups is None:
            return text("review.finding", **values)
        return text("review.finding.groups", **values, groups_before=self.groups[0], groups_after=self.groups[1])


@dataclass(frozen=True)
class Review:
    """The review of a record: finding by finding, who is left, and the cost of all up to the first repair.

    A repair ends the search, and what comes after it is proof. ``tree_cost`` is the expected cost of the tree given.
    """

    findings: tuple[Reviewed, ...]
    left: tuple[str, ...]
    cost: float
    tree_cost: float | None
    with_best: bool

    def as_json(self) -> dict[str, Any]:
        """The review as JSON."""
        return {
            "findings": [finding.as_json() for finding in self.findings],
            "left": list(self.left),
            "cost": self.cost,
            "tree_cost": self.tree_cost,
        }

    def words(self) -> list[str]:
        """Return the review in words, a line for each finding, then who is left and what it cost."""
        found = []
        for finding in self.findings:
            found.append(finding.words())
            if finding.best is not None:
                found.append(text("review.best", test=finding.best.candidate.words()))
            elif self.with_best:
                found.append(text("review.no_best"))
        found.append(text("review.left", names=listed(self.left) or text("tree.nobody")))
        if self.tree_cost is None:
            return [*found, text("review.cost", cost=f"{self.cost:g}")]
        return [*found, text("review.costs", cost=f"{self.cost:g}", tree=f"{self.tree_cost:.2f}")]


def review(  # noqa: PLR0913 - the options have defaults and go by name
    circuit: Circuit,
    record: Record,
    faults: Sequence[Fault],
    *,
    healthy: bool = False,
    tree: Tree | None = None,
    groups: Sequence[Iterable[str]] = (),
    best: bool = False,
) -> Review:
    """Go through a record in order and say what each finding did to the suspects.

    ``faults`` are the hypotheses, each once; one with a value stands for all values of it (its own is tried with the
    others). ``healthy`` adds a sound machine. ``groups`` are ambiguity groups by name. ``best`` looks for the best
    test before each finding too, which takes far longer.
    """
    found = find_suspects(circuit, record, faults)
    clears = _clears(circuit, record, found, healthy=healthy)
    left = {fault.name: fault for fault in faults}
    sound = healthy
    reviewed = []
    previous = -1
    for number, finding in record.findings():
        names = _names(left, sound=sound)
        cleared = clears.get(number, ())
        reached = _Reached(circuit, record, number, tuple(left.values()), sound)
        left = {name: fault for name, fault in left.items() if name not in cleared}
        sound = sound and text("tree.sound") not in cleared
        after = _names(left, sound=sound)
        narrowed = () if cleared else reached.narrowed()
        reviewed.append(
            Reviewed(
                action=number,
                finding=finding,
                verdict=_verdict(reached, finding, names, cleared, narrowed),
                cleared=cleared,
                narrowed=narrowed,
                before=len(names),
                after=len(after),
                groups=(_groups_left(groups, names), _groups_left(groups, after)) if groups else None,
                best=reached.best_test(previous + 1) if best else None,
            )
        )
        previous = number
    return Review(
        tuple(reviewed),
        _names(left, sound=sound),
        search_cost(record),
        tree.expected_cost if tree else None,
        with_best=best,
    )


@dataclass(frozen=True)
class _Reached:
    """Where a sequence stands before a finding: the suspects that the findings before it leave."""

    circuit: Circuit
    record: Record
    number: int
    faults: tuple[Fault, ...]
    sound: bool

    @cached_property
    def suspects(self) -> Suspects:
        """The suspects with the values and ranges that explain what was found before."""
        return find_suspects(self.circuit, self._up_to(self.number), self.faults)

    def _up_to(self, count: int) -> Record:
        return Record(self.record.circuit, self.record.actions[:count])

    def narrowed(self) -> tuple[str, ...]:
        """Return whose range of values the finding narrows, where it clears nobody."""
        before = self.suspects.ranges
        after = find_suspects(self.circuit, self._up_to(self.number + 1), self.faults).ranges
        return tuple(name for name in before if name in after and _width(after[name]) < NARROWER * _width(before[name]))

    def tells_apart(self, finding: Finding) -> bool:
        """Say whether the test could have told some of the suspects, or some values of one, apart.

        A reading moves one way as a value grows, so the ends of a range stand for all of it.
        """
        values = [
            replace(self.suspects.faults[name], value=end)
            for name, ends in self.suspects.ranges.items()
            for end in ends
        ]
        hypotheses: list[tuple[Fault, ...]] = [(fault,) for fault in (*self.suspects.faults.values(), *values)]
        hypotheses += [()] if self.sound else []
        record = self._up_to(self.number + 1)
        predictions = [replay(self.circuit, faults, record)[0][-1] for faults in hypotheses]
        different = {repr(prediction): prediction for prediction in predictions}.values()
        return any(discrepancy(_found(finding, one), other) != 0 for one, other in combinations(different, 2))

    def best_test(self, start: int) -> NextTest | None:
        """Return the best test from action ``start`` on, which is where the finding's own moves begin."""
        faults = tuple(self.suspects.faults.values())
        return next_test(self.circuit, self._up_to(start), faults, healthy=self.sound)


def _verdict(
    reached: _Reached, finding: Finding, names: Sequence[str], cleared: Sequence[str], narrowed: Sequence[str]
) -> str:
    if not names:
        return NOBODY
    if cleared:
        return CLEARED
    if narrowed:
        return NARROWED
    return BY_CHANCE if reached.tells_apart(finding) else NOTHING


def _clears(circuit: Circuit, record: Record, found: Suspects, *, healthy: bool) -> dict[int, tuple[str, ...]]:
    """Return whom each finding clears, by its number."""
    clears: dict[int, tuple[str, ...]] = {}
    for name, number in found.cleared.items():
        clears[number] = (*clears.get(number, ()), name)
    if healthy and not found.healthy:
        pairs = zip(record.findings(), replay(circuit, (), record)[0], strict=True)
        number = next(number for (number, finding), prediction in pairs if discrepancy(finding, prediction) != 0)
        clears[number] = (*clears.get(number, ()), text("tree.sound"))
    return clears


def _names(left: Mapping[str, Fault], *, sound: bool) -> tuple[str, ...]:
    return (*left, text("tree.sound")) if sound else tuple(left)


def _groups_left(groups: Sequence[Iterable[str]], names: Sequence[str]) -> int:
    """Count the groups that still hold a suspect; a sound machine is a group of its own."""
    return sum(not set(names).isdisjoint(group) for group in groups) + (text("tree.sound") in names)


def _found(finding: Finding, prediction: Prediction) -> Finding:
    """Return a finding as it would be if the prediction came true."""
    if isinstance(prediction, Reading):
        assert isinstance(finding, Measured)  # noqa: S101 - replay() pairs them so
        return replace(finding, reading=prediction)
    return Observed(prediction)


def _width(ends: tuple[float, float]) -> float:
    return ends[1] / ends[0]


def finding_in_words(finding: Finding) -> str:
    """Return a finding as one line: what was looked at or measured, and what it showed."""
    if isinstance(finding, Observed):
        return text("review.finding.look", seen=in_words(finding.seen))
    probe, reading = finding.probe, finding.reading
    shown = words_of(probe.mode, reading.status, reading.value or 0.0, probe.range)
    return text("review.finding.read", test=Candidate((), probe, 0.0).words(), shown=shown)
