"""Going through a class: every answer marked once, by several processes, and each result kept as soon as it is there.

What is kept is sealed with the class's secret, so nobody can slip a mark in. It is taken again only for the very same
answer, class and versions; so a run that was stopped, however hard, goes on where it ended, and a second run marks
what has changed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from pathlib import Path

from faultwright import __version__
from faultwright.errors import Mistake, Refused
from faultwright.files import parse_json, read_text, write_whole

from .answer import LARGEST, Answer, parse_answer
from .case import Case
from .class_folder import ANSWERS, CLASS_FILE, ClassFolder, open_class
from .handed_in import mark_handed_in
from .mark import MARK_VERSION, MARKED, MISSING, Mark, mark_from_json
from .marking import MARKING_VERSION
from .pages import candidate_page, feedback_page
from .reports.account import Account, account_from_json, account_of
from .rubric import RUBRIC_VERSION
from .sealing import seal, unseal
from .setting import Progress
from .side_by_side import processors, side_by_side
from .texts import text

KEPT = "kept"
"""The folder of what is kept, one sealed file a candidate."""

FEW = 12
"""Answers for which no further process is worth starting."""


@dataclass(frozen=True, slots=True)
class Result:
    """What marking one answer gave: the mark, the account of the work, and the candidate's page."""

    mark: Mark
    account: Account
    page: str

    def as_bytes(self, key: str) -> bytes:
        """Return the result for keeping, with what it was made from."""
        account = self.account.as_json()
        found = {"key": key, "mark": self.mark.as_json(), "account": account, "page": self.page}
        return json.dumps(found, ensure_ascii=False).encode("utf-8")


@dataclass(frozen=True)
class _Desk:
    """Where one process marks: the class as it was set, the secret, and what stands for the class in keys."""

    opened: ClassFolder
    secret: bytes
    class_sha256: str

    def key(self, candidate: str) -> str:
        """Return what a candidate's result follows from: class, answer, versions."""
        path = self.opened.folder / ANSWERS / f"{candidate}.json"
        try:
            answer = hashlib.sha256(read_text(path, largest=LARGEST).encode("utf-8")).hexdigest()
        except Refused as refused:
            answer = str(refused)
        versions = (MARK_VERSION, MARKING_VERSION, RUBRIC_VERSION, __version__)
        return hashlib.sha256(json.dumps([self.class_sha256, candidate, answer, versions]).encode("utf-8")).hexdigest()

    def _kept_in(self, candidate: str) -> Path:
        return self.opened.folder / KEPT / f"{candidate}.sealed"

    def kept(self, candidate: str) -> Result | None:
        """Return what is kept of a candidate, if it is of the very same answer, class and versions."""
        path = self._kept_in(candidate)
        if path.is_symlink() or not path.is_file():
            return None
        try:
            found = parse_json(unseal(path.read_bytes(), self.secret, path.name).decode("utf-8"), path.name)
        except Refused:
            return None  # of another secret, or changed: it is marked again
        if found["key"] != self.key(candidate):
            return None
        return Result(mark_from_json(found["mark"]), account_from_json(found["account"]), found["page"])

    def mark(self, candidate: str) -> Result:
        """Mark a candidate's answer and keep the result."""
        key = self.key(candidate)
        case = self.opened.maker.case(candidate)
        path = self.opened.folder / ANSWERS / f"{candidate}.json"
        one = mark_file(path, case)
        found = _reported(path, case, one)
        write_whole(self._kept_in(candidate), seal(found.as_bytes(key), self.secret))
        return found


def mark_file(path: Path, case: Case) -> Mark:
    """Return the mark of the answer in a file. Nothing that the file holds can raise."""
    missing = not path.exists() and not path.is_symlink()

    def written() -> str:
        if missing:
            raise Refused(text("answer.missing"))
        return read_text(path, largest=LARGEST)

    found = mark_handed_in(case, path.name, written)
    return replace(found, answer=MISSING) if missing else found


def _reported(path: Path, case: Case, one: Mark) -> Result:
    """Return a mark with its account and page; an answer that the report stumbles over has the short page."""
    nothing = account_of(case, None)
    if one.answer != MARKED:
        return Result(one, nothing, candidate_page(one, case, nothing))
    try:
        account = account_of(case, _answer(path, case))
        return Result(one, account, candidate_page(one, case, account))
    except Exception:  # noqa: BLE001 - one answer that shows a bug must not stop the others, and its mark stands
        return Result(replace(one, for_a_person=True), nothing, feedback_page(one, case))


def _answer(path: Path, case: Case) -> Answer:
    """Return an answer that has been marked already, so that it can be read."""
    return parse_answer(parse_json(read_text(path, largest=LARGEST), path.name), case.circuit, path.name)


def go_through(
    opened: ClassFolder, secret: bytes, progress: Progress, *, processes: int | None = None, afresh: bool = False
) -> list[Result]:
    """Return the results of a class in the order of its candidates; those that are kept are not marked again.

    ``processes`` mark side by side, as many as the machine has by default; what comes out does not depend on that.
    ``afresh`` marks every answer again.
    """
    desk = _desk(opened, secret)
    candidates = opened.candidates
    results = {} if afresh else {name: found for name in candidates if (found := desk.kept(name)) is not None}
    left = [name for name in candidates if name not in results]
    if left:
        progress(len(results), len(candidates), left[0])
    for name, found in _marked(desk, left, processes):
        results[name] = found
        progress(len(results), len(candidates), name)
    return [results[name] for name in candidates]


def _marked(desk: _Desk, left: Sequence[str], processes: int | None) -> Iterator[tuple[str, Result]]:
    """Yield candidates and their results as they come."""
    count = min(processes or processors(), -(-len(left) // FEW))
    if count <= 1:
        yield from ((name, desk.mark(name)) for name in left)
        return
    try:
        yield from side_by_side(_mark, left, count, first=(_sit_down, desk.opened.folder, desk.secret))
    except BrokenProcessPool:
        raise Refused(Mistake(text("class.process_ended"), desk.opened.folder.name)) from None


def _desk(opened: ClassFolder, secret: bytes) -> _Desk:
    return _Desk(opened, secret, hashlib.sha256((opened.folder / CLASS_FILE).read_bytes()).hexdigest())


_DESKS: list[_Desk] = []
"""The desk of a process that marks side by side with others."""


def _sit_down(folder: Path, secret: bytes) -> None:
    _DESKS[:] = [_desk(open_class(folder, secret), secret)]


def _mark(candidate: str) -> Result:
    return _DESKS[0].mark(candidate)
