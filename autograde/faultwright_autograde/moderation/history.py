"""The history: every decision of a person as one line, each sealed with all that came before it.

A line is JSON with the time in UTC. Its seal is an HMAC-SHA256 under the class's secret over the seal before and the
line itself, so a line that was changed, moved, taken out or put in shows. Lines cut off the end do not show by
themselves: the last seal, which signing prints, tells.
"""

from __future__ import annotations

import hashlib
import hmac
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from faultwright.errors import Mistake, Refused
from faultwright.files import read_text, write_whole
from faultwright_autograde.draws import derived

from .texts import text

HISTORY_FILE = "history.jsonl"
LARGEST_HISTORY = 20_000_000

Clock = Callable[[], datetime]

AMEND, CONFIRM, REJECT, SIGN, REOPEN = "amend", "confirm", "reject", "sign", "reopen"

LEAST_REASON, MOST_REASON, MOST_NAME = 10, 2000, 80


def now() -> datetime:
    """Return the time in UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Entry:
    """One decision: its number from 1, when, who, what, why, and what else belongs to it."""

    number: int
    at: str
    by: str
    what: str
    reason: str
    details: Mapping[str, Any]
    seal: str

    def as_json(self) -> dict[str, Any]:
        """Return the entry as its line has it."""
        return {
            "number": self.number,
            "at": self.at,
            "by": self.by,
            "what": self.what,
            "reason": self.reason,
            "details": dict(self.details),
        }


def read_history(folder: Path, secret: bytes) -> list[Entry]:
    """Return a class's decisions in order; none where there is no history.

    Raises Refused with the first line that is not as it was written.
    """
    path = folder / HISTORY_FILE
    if not path.exists() and not path.is_symlink():
        return []
    found: list[Entry] = []
    seal = ""
    for number, line in enumerate(read_text(path, largest=LARGEST_HISTORY).splitlines(), start=1):
        try:
            data = json.loads(line)
            given = data.pop("seal")
            entry = Entry(**data, seal=given)
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            raise Refused(Mistake(text("history.not_json"), path.name, number)) from None
        seal = _seal(secret, seal, data)
        whole = line == _line(entry) and isinstance(given, str)
        if not whole or not hmac.compare_digest(seal.encode(), given.encode()) or entry.number != number:
            raise Refused(Mistake(text("history.changed"), path.name, number))
        found.append(entry)
    return found


def _seal(secret: bytes, before: str, data: Mapping[str, Any]) -> str:
    content = json.dumps(data, ensure_ascii=False, sort_keys=True)
    return hmac.new(derived(secret, "history"), f"{before}\n{content}".encode(), hashlib.sha256).hexdigest()


def _line(entry: Entry) -> str:
    return json.dumps({**entry.as_json(), "seal": entry.seal}, ensure_ascii=False, allow_nan=False)


def add(  # noqa: PLR0913 - who, what, why, when
    folder: Path, secret: bytes, what: str, by: str, reason: str, *, details: Mapping[str, Any], clock: Clock = now
) -> Entry:
    """Add a decision to a class's history, read it back whole, and return it.

    Raises Refused without a name or a reason, and where the history was changed.
    """
    known = read_history(folder, secret)
    by, reason = " ".join(by.split()), " ".join(reason.split())
    _check(by, reason)
    unsealed = Entry(
        len(known) + 1, clock().astimezone(UTC).isoformat(timespec="seconds"), by, what, reason, details, ""
    )
    seal = _seal(secret, known[-1].seal if known else "", unsealed.as_json())
    entry = Entry(**unsealed.as_json(), seal=seal)
    lines = [*map(_line, known), _line(entry)]
    write_whole(folder / HISTORY_FILE, "".join(f"{line}\n" for line in lines))
    return entry


def _check(by: str, reason: str) -> None:
    wrong = []
    if not by:
        wrong.append(text("name.missing"))
    if len(by) > MOST_NAME:
        wrong.append(text("name.long", most=MOST_NAME))
    if len(reason) < LEAST_REASON:
        wrong.append(text("reason.missing", least=LEAST_REASON))
    if len(reason) > MOST_REASON:
        wrong.append(text("reason.long", most=MOST_REASON))
    if wrong:
        raise Refused([Mistake(message, "decision") for message in wrong])
