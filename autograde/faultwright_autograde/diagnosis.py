"""Diagnosis, evidence and citing: what complaint and findings leave, against what is claimed.

A claim is *justified* when nothing is left outside it. A claim that is narrower than its evidence counts as if all
that is left had been claimed, so that guessing never earns more than saying what one knows.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from faultwright.meter import Reading
from faultwright.record import Action, Measured

from .answer import Answer
from .case import Case
from .evidence import MOST_ACTIONS, MOST_WEIGHED, Left, left_after, share_of_evidence, weighed
from .texts import text
from .trace import Moment, Trace
from .words import count_words, examples, finding_words

WIDEST_CLAIM = 3
"""Groups that a claim may hold although the findings leave fewer: caution is no guess."""

MOST_CITED = 12
"""Findings that may be cited and still count as singling out the deciding ones."""


@dataclass(frozen=True)
class Weighed:
    """What is left by the complaint, by all findings that count, and by the cited ones of them."""

    case: Case
    done: Trace
    before: int
    left: Left
    groups: list[list[str]]
    cited_groups: list[list[str]]
    counting: frozenset[int]
    cited: tuple[int, ...]
    dropped: tuple[int, ...]
    decided: Mapping[int, int]
    many: bool


def weigh(case: Case, answer: Answer, done: Trace) -> Weighed:
    """Weigh the findings made before the fault was taken away; those that this machine cannot show do not count."""
    end = min(done.cure, MOST_ACTIONS)
    true = {moment.index for moment in done.moments[:end] if moment.true}
    made = [moment.index for moment in done.moments[:end] if moment.true and not moment.again]
    counting = frozenset(made[:MOST_WEIGHED])
    left, decided = _left(case, done, counting)
    cited = tuple(sorted(index for index in answer.cited if index in true))
    if set(counting) <= set(cited):
        cited_left = left
    else:
        cited_left, _ = _left(case, done, cited)
    return Weighed(
        case=case,
        done=done,
        before=len(case.groups_of(case.suspects)),
        left=left,
        groups=case.groups_of(left),
        cited_groups=case.groups_of(cited_left),
        counting=counting,
        cited=cited,
        dropped=tuple(sorted(set(answer.cited) - set(cited))),
        decided=decided,
        many=len(made) > MOST_WEIGHED or done.cure > MOST_ACTIONS,
    )


def _left(case: Case, done: Trace, counting: Collection[int]) -> tuple[Left, Mapping[int, int]]:
    """Return what is left, and how many suspects each finding cleared, by its number in the record."""
    if not counting:
        return case.suspects, {}
    fuses = [part.name for part in case.circuit.parts.values() if part.kind == "fuse"]
    actions, numbers = weighed(case.complaint, [_as_shown(moment) for moment in done.moments], counting, fuses)
    left = left_after(case.circuit, actions, case.suspects.faults.values())
    return left, Counter(numbers[index] for index in left.cleared.values() if numbers[index] >= 0)


def _as_shown(moment: Moment) -> Action:
    """Return a finding as this machine shows it: a reading shaded to one side of its tolerance clears no more."""
    action, would = moment.action, moment.would
    if isinstance(action, Measured) and isinstance(would, Reading) and would.status == action.reading.status:
        as_shown = would == action.reading and not action.source
        return action if as_shown else replace(action, reading=would, source="")
    return action


def claimed_groups(case: Case, claim: Collection[str], groups: list[list[str]]) -> set[object]:
    """Return what is claimed as groups: those that are left where a name is in one, else the circuit's own."""
    where = {name: index for index, names in enumerate(groups) for name in names}
    numbers = case.groups
    by_number = {numbers[name]: index for name, index in where.items() if name in numbers}
    found: set[object] = set()
    for name in claim:
        number = numbers.get(name)
        if number is None:
            found.add(("other", name))  # one that comes and goes: in no group of permanent faults
        else:
            found.add(("left", where.get(name, by_number.get(number, -1 - number))))
    return found


def own_group(case: Case, groups: list[list[str]]) -> object:
    """Return the group of the fault that was there, as :func:`claimed_groups` names it."""
    return next(iter(claimed_groups(case, [case.fault.name], groups)))


def own_names(case: Case, found: Weighed) -> set[str]:
    """Return the group of the fault that was there: what the evidence, or no test at all, tells apart from it."""
    own = case.groups.get(case.fault.name, -1)
    alike = {case.fault.name, *(name for name, number in case.groups.items() if number == own)}
    return alike.union(*(names for names in found.groups if case.fault.name in names))


def named(case: Case, claim: Collection[str], found: Weighed) -> list[str]:
    """Return the claimed names of the group of the fault that was there: its own first."""
    own = own_group(case, found.groups)
    names = [name for name in claim if claimed_groups(case, [name], found.groups) == {own}]
    return sorted(names, key=lambda name: name != case.fault.name)


def is_justified(case: Case, claim: Collection[str], found: Weighed) -> bool:
    """Say whether a claim holds the fault and everything else that complaint and findings leave, and little more.

    Whoever claims far more than the findings leave, or all that the complaint left, has named suspects, not a fault.
    """
    claimed = claimed_groups(case, claim, found.groups)
    narrow = len(claimed) <= max(len(found.groups), min(WIDEST_CLAIM, found.before - 1))
    return own_group(case, found.groups) in claimed and narrow and not _outside(claimed, found)


def _outside(claimed: set[object], found: Weighed) -> list[list[str]]:
    return [names for index, names in enumerate(found.groups) if ("left", index) not in claimed]


def judge_diagnosis(case: Case, answer: Answer, found: Weighed) -> tuple[float, str]:
    """Return the share of the marks for the diagnosis, and why."""
    if not answer.claim:
        return 0.0, text("diagnosis.none")
    claimed = claimed_groups(case, answer.claim, found.groups)
    if own_group(case, found.groups) not in claimed:
        return 0.0, text("diagnosis.excludes", claim=examples(answer.claim), fault=str(case.fault))
    outside = _outside(claimed, found)
    share = 1 / max(len(claimed), len(found.groups))
    names = named(case, answer.claim, found)
    told = "diagnosis.named" if case.fault.name in names else "diagnosis.member"
    words = {
        "named": text(told, claim=examples(names), fault=str(case.fault)),
        "claimed": count_words("group", len(claimed)),
        "left": count_words("group", len(found.groups)),
        "decided": _decided(found),
    }
    if outside:
        shown = examples(group[0] for group in outside)
        return share, text("diagnosis.unproved", **words, count=len(found.groups), outside=len(outside), examples=shown)
    if len(claimed) > 1:
        return share, text("diagnosis.wide", **words)
    return share, text("diagnosis.justified", **words)


def _decided(found: Weighed) -> str:
    if not found.decided:
        return ""
    index = max(found.decided, key=lambda number: (found.decided[number], -number))
    finding = finding_words(found.done.moments[index])
    return text("diagnosis.decided", finding=finding, cleared=count_words("suspect", found.decided[index]))


def judge_evidence(found: Weighed) -> tuple[float, str]:
    """Return 1 − ln g / ln g₀, and the numbers."""
    before, after = found.before, len(found.groups)
    if before <= 1:
        return 1.0, text("evidence.full_before")
    if not found.counting:
        return 0.0, text("evidence.none")
    share = share_of_evidence(before, after)
    words = {"suspects": count_words("suspect", before), "before": before, "after": after, "share": share}
    return share, text("evidence.share", **words)


def judge_citing(found: Weighed) -> tuple[float, str]:
    """Return how much of what all findings show the cited ones show by themselves."""
    dropped = text("citing.dropped", dropped=_findings(found.dropped)) if found.dropped else ""
    if not found.cited:
        return 0.0, text("citing.none") + dropped
    left, cited_left, before = len(found.groups), len(found.cited_groups), found.before
    gained = math.log(before / left) if left else 0.0
    # Where the complaint alone decides, citing anything true is enough; where no finding decides, none can be cited.
    share = min(1.0, max(0.0, math.log(before / max(cited_left, 1)) / gained)) if gained > 0 else float(before <= 1)
    verdict = text("citing.share", cited=_findings(found.cited), cited_left=count_words("group", cited_left), left=left)
    if len(found.cited) > MOST_CITED:
        share, verdict = share / 2, verdict + text("citing.many", most=MOST_CITED)
    return share, verdict + dropped


def _findings(numbers: Collection[int]) -> str:
    key = "finding.name" if len(numbers) == 1 else "finding.names"
    return text(key, numbers=examples(str(number + 1) for number in numbers))
