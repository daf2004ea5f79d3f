"""Decisions on marks: amendment with reason and name, confirmed by a second name, and signing.

What marking made stays as it is, byte for byte; a final mark is that with the confirmed amendments on top. An
amendment rests on the mark it was made of: once that is another, it does not apply any more, and is shown for a look.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from faultwright.errors import Mistake, Refused, unknown
from faultwright.files import read_json
from faultwright_autograde.mark import MARK_VERSION, Mark, mark_from_json
from faultwright_autograde.marking import share_hurdle
from faultwright_autograde.rubric import Rubric

from .history import AMEND, CONFIRM, REJECT, REOPEN, SIGN, Clock, Entry, add, now, read_history
from .texts import text

MARKS = "marks"


@dataclass(frozen=True)
class Amendment:
    """An amendment in the history: what it changes, and who has confirmed or rejected it, if anybody has."""

    entry: Entry
    confirmed: Entry | None = None
    rejected: Entry | None = None

    @property
    def number(self) -> int:
        """Its number in the history."""
        return self.entry.number

    @property
    def candidate(self) -> str:
        """Whose mark it is of."""
        return str(self.entry.details["candidate"])

    @property
    def waits(self) -> bool:
        """Whether nobody has confirmed or rejected it yet."""
        return self.confirmed is None and self.rejected is None


def amendments(history: Sequence[Entry]) -> list[Amendment]:
    """Return the amendments of a history in order."""
    by_number = {entry.number: Amendment(entry) for entry in history if entry.what == AMEND}
    for entry in history:
        if entry.what in (CONFIRM, REJECT):
            number = entry.details["amendment"]
            key = "confirmed" if entry.what == CONFIRM else "rejected"
            by_number[number] = replace(by_number[number], **{key: entry})
    return list(by_number.values())


def signed_by(history: Sequence[Entry]) -> Entry | None:
    """Return by whom and when a class stands signed, or None."""
    last = next((entry for entry in reversed(history) if entry.what in (SIGN, REOPEN)), None)
    return last if last is not None and last.what == SIGN else None


def refuse_signed(folder: Path, secret: bytes) -> None:
    """Raise Refused where a class is signed: nothing of it may change then."""
    entry = signed_by(read_history(folder, secret))
    if entry:
        raise Refused(Mistake(text("signed", by=entry.by, at=entry.at), folder.name))


def mark_of(folder: Path, candidate: str, known: Sequence[str]) -> tuple[Mark, str]:
    """Return what marking made of a candidate's answer, and the hash of its file."""
    if candidate not in known:
        raise Refused(Mistake(unknown("candidate", candidate, known), folder.name))
    path = folder / MARKS / f"{candidate}.json"
    if not path.exists():
        raise Refused(Mistake(text("unmarked"), path.name))
    data = read_json(path)
    if not isinstance(data, dict) or data.get("version") != MARK_VERSION:
        raise Refused(Mistake(text("mark.broken"), path.name))
    return mark_from_json(data), hashlib.sha256(path.read_bytes()).hexdigest()


def amend(  # noqa: PLR0913 - who amends what of whom, and why
    folder: Path,
    secret: bytes,
    known: Sequence[str],
    candidate: str,
    marks: Mapping[str, float],
    *,
    rubric: Rubric,
    by: str,
    reason: str,
    lift: bool = False,
    clock: Clock = now,
) -> Entry:
    """Propose other marks for some criteria of a candidate, or to lift what keeps it from passing; return the entry.

    It counts once somebody else has confirmed it. Raises Refused with every mistake.
    """
    refuse_signed(folder, secret)
    one, digest = mark_of(folder, candidate, known)
    wrong = [] if marks or lift else [text("amend.nothing")]
    for criterion, given in marks.items():
        if criterion not in one.by_name:
            wrong.append(unknown("criterion", criterion, list(one.by_name)))
        elif not is_half_mark(given, one.by_name[criterion].maximum):
            wrong.append(text("amend.half", criterion=criterion, given=given, maximum=one.by_name[criterion].maximum))
        elif given == one.by_name[criterion].mark:
            wrong.append(text("amend.same", criterion=criterion, given=given))
    if lift and not _other_hurdles(one, rubric):
        wrong.append(text("amend.no_hurdle", candidate=candidate))
    if wrong:
        raise Refused([Mistake(message, candidate) for message in wrong])
    details = {
        "candidate": candidate,
        "mark_sha256": digest,
        "from": {name: one.by_name[name].mark for name in marks},
        "to": dict(marks),
        "lift": _other_hurdles(one, rubric) if lift else [],
    }
    return add(folder, secret, AMEND, by, reason, details=details, clock=clock)


def is_half_mark(given: float, maximum: float) -> bool:
    """Say whether a number is a whole number of half marks from 0 to a maximum."""
    return math.isfinite(given) and 0 <= given <= maximum and (2 * given).is_integer()


def confirm(  # noqa: PLR0913 - who confirms what of whom, and why
    folder: Path, secret: bytes, known: Sequence[str], number: int, *, by: str, reason: str, clock: Clock = now
) -> Entry:
    """Confirm an amendment by a second name. Raises Refused for one's own, and for one that applies no more."""
    refuse_signed(folder, secret)
    one = _amendment(folder, secret, number)
    if not one.waits:
        raise Refused(Mistake(text("confirm.done", number=number), "amendment"))
    if " ".join(by.split()).casefold() == one.entry.by.casefold():
        raise Refused(Mistake(text("confirm.same", by=one.entry.by), "amendment"))
    if mark_of(folder, one.candidate, known)[1] != one.entry.details["mark_sha256"]:
        raise Refused(Mistake(text("confirm.old", number=number), "amendment"))
    return add(folder, secret, CONFIRM, by, reason, details={"amendment": number}, clock=clock)


def reject(  # noqa: PLR0913 - as confirm()
    folder: Path, secret: bytes, number: int, *, by: str, reason: str, clock: Clock = now
) -> Entry:
    """Reject an amendment that waits; whoever made it may do so as well."""
    refuse_signed(folder, secret)
    waiting = [one.number for one in amendments(read_history(folder, secret)) if one.waits]
    if number not in waiting:
        raise Refused(Mistake(text("reject.none", number=number, known=_listed(waiting)), "amendment"))
    return add(folder, secret, REJECT, by, reason, details={"amendment": number}, clock=clock)


def _amendment(folder: Path, secret: bytes, number: int) -> Amendment:
    found = {one.number: one for one in amendments(read_history(folder, secret))}
    if number not in found:
        raise Refused(Mistake(text("confirm.none", number=number, known=_listed(found)), "amendment"))
    return found[number]


def _listed(numbers: Mapping[int, object] | Sequence[int]) -> str:
    return ", ".join(map(str, numbers)) or "–"


def sign(  # noqa: PLR0913 - as confirm()
    folder: Path, secret: bytes, known: Sequence[str], *, by: str, reason: str, clock: Clock = now
) -> Entry:
    """Sign a class's marks: from then on neither marking nor amending changes anything."""
    refuse_signed(folder, secret)
    waiting = [one.number for one in amendments(read_history(folder, secret)) if one.waits]
    if waiting:
        raise Refused(Mistake(text("sign.waiting", numbers=_listed(waiting)), folder.name))
    hashes = {candidate: mark_of(folder, candidate, known)[1] for candidate in known}
    return add(folder, secret, SIGN, by, reason, details={"marks_sha256": hashes}, clock=clock)


def reopen(folder: Path, secret: bytes, *, by: str, reason: str, clock: Clock = now) -> Entry:
    """Open a signed class again."""
    if signed_by(read_history(folder, secret)) is None:
        raise Refused(Mistake(text("not_signed"), folder.name))
    return add(folder, secret, REOPEN, by, reason, details={}, clock=clock)


@dataclass(frozen=True)
class Final:
    """A class's final marks in the order given, what needs a look, and who was amended: None without any decision."""

    marks: Sequence[Mark]
    amended: frozenset[str] | None
    looks: Sequence[str]


def final_marks(folder: Path, secret: bytes, marks: Sequence[Mark], rubric: Rubric) -> Final:
    """Return the marks that marking has written into a class's folder with the confirmed amendments on top."""
    names = [one.candidate for one in marks]
    history = read_history(folder, secret)
    found = {one.candidate: one for one in marks}
    amended: set[str] = set()
    looks: list[str] = []
    for one in amendments(history):
        if one.confirmed is None or one.candidate not in found:
            continue
        if mark_of(folder, one.candidate, names)[1] != one.entry.details["mark_sha256"]:
            looks.append(text("old", number=one.number, candidate=one.candidate))
            continue
        found[one.candidate] = _amended(found[one.candidate], one, rubric)
        amended.add(one.candidate)
    by_hand = frozenset(amended) if history else None
    return Final([found[one.candidate] for one in marks], by_hand, looks)


def _amended(mark: Mark, one: Amendment, rubric: Rubric) -> Mark:
    """Return a mark with an amendment on top; what keeps it from passing goes by the new marks."""
    to, lifted = one.entry.details["to"], one.entry.details["lift"]
    second = one.confirmed.by if one.confirmed else ""
    words = {"by": one.entry.by, "second": second, "reason": one.entry.reason}
    criteria = tuple(replace(each, mark=float(to.get(each.name, each.mark))) for each in mark.criteria)
    remarks = [text("amended", **words)] if to else []
    remarks += [text("lifted", **words, hurdles=" ".join(lifted))] if lifted else []
    earned, maximum = sum(each.mark for each in criteria), sum(each.maximum for each in criteria)
    hurdles = [hurdle for hurdle in _other_hurdles(mark, rubric) if hurdle not in lifted]
    if not earned >= rubric.pass_share * maximum:
        hurdles.append(share_hurdle(rubric))
    return replace(mark, criteria=criteria, hurdles=tuple(hurdles), remarks=(*mark.remarks, *remarks))


def _other_hurdles(mark: Mark, rubric: Rubric) -> list[str]:
    """Return what keeps a mark from passing besides too few marks."""
    return [hurdle for hurdle in mark.hurdles if hurdle != share_hurdle(rubric)]
