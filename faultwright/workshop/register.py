"""The fault register: which fault is in which machine, who put it in, who took it out, and how that was proved.

Entries are numbered from 1 and only ever added to: nothing is changed or deleted. Times are local, ISO 8601 with their
offset. People are told by their initials alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from faultwright.errors import Mistake, Refused, unknown

from .texts import text

LONGEST_BENCH, LONGEST_INITIALS, LONGEST_CHECKED = 12, 4, 400


class Standing(StrEnum):
    """Where an entry stands."""

    IN = "in"
    OUT = "out"
    PROVED = "proved"


@dataclass(frozen=True, slots=True)
class Signed:
    """When something was done (ISO 8601 with its offset), by whom (initials), and what was checked."""

    at: str
    by: str
    checked: str = ""

    @property
    def in_words(self) -> str:
        """The signature as a person reads it."""
        at = datetime.fromisoformat(self.at).isoformat(sep=" ", timespec="minutes")
        return text("register.signature", at=at, by=self.by)

    def as_json(self) -> dict[str, str]:
        """The signature as the register's file has it."""
        return {"at": self.at, "by": self.by} | ({"checked": self.checked} if self.checked else {})


@dataclass(frozen=True, slots=True)
class Entry:
    """One fault in one machine. ``board`` says that it was allowed because nothing moves there."""

    number: int
    bench: str
    circuit: str
    fault: str
    board: bool
    put_in: Signed
    taken_out: Signed | None = None
    proved: Signed | None = None

    @property
    def standing(self) -> Standing:
        """Where the entry stands."""
        if self.proved:
            return Standing.PROVED
        return Standing.OUT if self.taken_out else Standing.IN

    def words(self) -> str:
        """Return the entry in one line."""
        line = text(
            f"register.line.{self.standing}",
            number=self.number,
            bench=self.bench,
            circuit=self.circuit,
            fault=self.fault,
            put_in=self.put_in.in_words,
            taken_out=self.taken_out.in_words if self.taken_out else "",
            proved=self.proved.in_words if self.proved else "",
            checked=self.proved.checked if self.proved else "",
        )
        return f"{line} {text('register.on_board')}" if self.board else line

    def as_json(self) -> dict[str, Any]:
        """The entry as the register's file has it."""
        return {
            "number": self.number,
            "bench": self.bench,
            "circuit": self.circuit,
            "fault": self.fault,
            "board": self.board,
            "put_in": self.put_in.as_json(),
            "taken_out": self.taken_out.as_json() if self.taken_out else None,
            "proved": self.proved.as_json() if self.proved else None,
        }


@dataclass(frozen=True)
class Register:
    """All entries in the order of their numbers."""

    entries: tuple[Entry, ...] = ()

    def that_are(self, standing: Standing) -> tuple[Entry, ...]:
        """Return the entries that stand so."""
        return tuple(entry for entry in self.entries if entry.standing is standing)

    def words(self) -> list[str]:
        """Return the register in lines: what is still in first, then what is not proved, then what is struck out."""
        lines: list[str] = []
        for standing in Standing:
            entries = self.that_are(standing)
            if entries or standing is Standing.IN:
                lines.append(text(f"register.section.{standing}", count=len(entries)))
            if standing is Standing.IN:
                lines.append("  " + text("register.in.some" if entries else "register.in.none"))
            lines += [f"  {entry.words()}" for entry in entries]
        return lines

    def put_in(  # noqa: PLR0913 - what a line of the register has
        self, bench: str, circuit: str, fault: str, signed: Signed, *, board: bool = False, beside: bool = False
    ) -> Register:
        """Return the register with a fault put in. Raises Refused where the bench is not free, unless ``beside``."""
        bench = checked_bench(bench)
        for entry in self.entries:
            if not beside and _same(entry.bench, bench) and entry.standing is not Standing.PROVED:
                raise Refused(Mistake(_not_free(entry), text("register.bench", bench=bench)))
        entry = Entry(len(self.entries) + 1, bench, circuit, fault, board, signed)
        return Register((*self.entries, entry))

    def taken_out(self, number: int, signed: Signed) -> Register:
        """Return the register with a fault taken out. Raises Refused where there is no such entry, or it is out."""
        entry = self.find(number)
        if entry.taken_out:
            _refuse(entry, "register.already_out", entry.taken_out)
        return self._with(replace(entry, taken_out=signed))

    def proved(self, number: int, signed: Signed) -> Register:
        """Return the register with a removal proved. Raises Refused if it is not out, or proved already."""
        entry = self.find(number)
        if entry.proved:
            _refuse(entry, "register.already_proved", entry.proved)
        if not entry.taken_out:
            _refuse(entry, "register.not_out", entry.put_in)
        if not signed.checked.strip():
            raise Refused(Mistake(text("register.nothing_checked"), text("register.entry", number=number)))
        return self._with(replace(entry, proved=signed))

    def find(self, number: int) -> Entry:
        """Return the entry of a number. Raises Refused with those that are not proved yet where there is none."""
        if not 1 <= number <= len(self.entries):
            open_ones = [str(entry.number) for entry in self.entries if entry.standing is not Standing.PROVED]
            raise Refused(Mistake(unknown(text("register.open_entry"), str(number), open_ones)))
        return self.entries[number - 1]

    def _with(self, entry: Entry) -> Register:
        return Register(tuple(entry if one.number == entry.number else one for one in self.entries))


def sign(by: str, at: datetime, checked: str = "") -> Signed:
    """Return a signature. Raises Refused where initials are none."""
    initials = by.strip()
    if not _are_initials(initials):
        raise Refused(Mistake(text("register.initials", given=by, most=LONGEST_INITIALS)))
    words = " ".join(checked.split())
    if len(words) > LONGEST_CHECKED:
        raise Refused(Mistake(text("register.long", most=LONGEST_CHECKED)))
    return Signed(at.isoformat(timespec="seconds"), initials, words)


def local_time() -> datetime:
    """Return the time now, local and with its offset."""
    return datetime.now(UTC).astimezone()


def checked_bench(bench: str) -> str:
    """Return a bench's number or short name. Raises Refused where it is none."""
    found = bench.strip()
    if not is_bench(found):
        raise Refused(Mistake(text("register.no_bench", given=bench, most=LONGEST_BENCH)))
    return found


def is_bench(bench: str) -> bool:
    """Say whether something is a bench's number or short name."""
    return 0 < len(bench) <= LONGEST_BENCH and bench.replace("-", "").isalnum()


def _are_initials(by: str) -> bool:
    return 0 < len(by) <= LONGEST_INITIALS and by.isalpha()


def is_signature(signed: Signed) -> bool:
    """Say whether a signature has initials and a time with its offset."""
    try:
        at = datetime.fromisoformat(signed.at)
    except ValueError:
        return False
    return at.tzinfo is not None and _are_initials(signed.by) and len(signed.checked) <= LONGEST_CHECKED


def _same(one: str, other: str) -> bool:
    """Say whether two names are one bench: 3 and 03 are."""
    return one.casefold().lstrip("0") == other.casefold().lstrip("0")


def _not_free(entry: Entry) -> str:
    key = "register.still_in" if entry.standing is Standing.IN else "register.not_proved"
    signed = entry.taken_out or entry.put_in
    return text(key, number=entry.number, fault=entry.fault, signed=signed.in_words)


def _refuse(entry: Entry, key: str, signed: Signed) -> None:
    place = text("register.entry", number=entry.number)
    raise Refused(Mistake(text(key, number=entry.number, fault=entry.fault, signed=signed.in_words), place))
