"""The register's file: strict, plain JSON, written whole, and by one at a time."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from faultwright.errors import Mistake, Refused, unknown
from faultwright.files import read_json, write_json

from .register import Entry, Register, Signed, is_bench, is_signature
from .texts import text

VERSION = 1
LARGEST = 20_000_000
"""Bytes of a register: some fifty thousand entries."""

WAIT, AGAIN = 10.0, 0.05
"""Seconds for which somebody else's writing is waited for, and between looks; it takes milliseconds."""

_ENTRY = ("number", "bench", "circuit", "fault", "board", "put_in", "taken_out", "proved")
_SIGNED = ("at", "by", "checked")


def read_register(path: Path) -> Register:
    """Return the register in a file. Raises Refused with every mistake in it."""
    return parse_register(read_json(path, largest=LARGEST), path.name)


def change_register(path: Path, change: Callable[[Register], Register]) -> Register:
    """Read, change and write a register while nobody else does; one that is not there yet is begun."""
    with _alone(path):
        register = change(read_register(path) if path.exists() else Register())
        write_json(path, {"version": VERSION, "entries": [entry.as_json() for entry in register.entries]})
    return register


@contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Hold the file's lock: a file beside it, which only one can create.

    One that somebody left behind is for a person to delete: a program that did so could delete a lock that is held.
    """
    lock = path.with_name(f"{path.name}.lock")
    until = time.monotonic() + WAIT
    while True:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            lock.open("x").close()
            break
        except FileExistsError:
            if time.monotonic() > until:
                raise Refused(Mistake(text("register.locked", lock=lock.name), path.name)) from None
            time.sleep(AGAIN)
        except OSError as error:
            raise Refused(Mistake(f"cannot be written: {error.strerror}", path.name)) from None
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


# Reading


def parse_register(data: Any, place: str) -> Register:  # noqa: ANN401 - JSON
    """Return the register in parsed JSON. Raises Refused with every mistake, located by entry."""
    if not isinstance(data, dict) or set(data) != {"version", "entries"} or not isinstance(data["entries"], list):
        raise Refused(Mistake(text("register.file"), place))
    if data["version"] != VERSION:
        raise Refused(Mistake(text("register.version", given=data["version"], version=VERSION), place))
    mistakes: list[Mistake] = []
    entries: list[Entry] = []
    for number, entry in enumerate(data["entries"], start=1):
        wrong = list(_wrong(entry, number))
        mistakes += [Mistake(message, text("register.in_file", file=place, number=number)) for message in wrong]
        if not wrong:
            entries.append(_entry(entry))
    if mistakes:
        raise Refused(mistakes)
    return Register(tuple(entries))


def _wrong(entry: Any, number: int) -> Iterator[str]:  # noqa: ANN401 - JSON
    """Yield what is wrong with an entry."""
    if not isinstance(entry, dict):
        yield text("register.table")
        return
    yield from (unknown(text("register.key"), key, _ENTRY) for key in entry if key not in _ENTRY)
    missing = [key for key in _ENTRY if key not in entry]
    if missing:
        yield text("register.missing", keys=text("join").join(missing))
        return
    if entry["number"] is True or entry["number"] != number:
        yield text("register.number", given=entry["number"], number=number)
    if not isinstance(entry["bench"], str) or not is_bench(entry["bench"]):
        yield text("register.wrong_bench", given=entry["bench"])
    yield from (text("register.words", entry=key) for key in ("circuit", "fault") if not _is_words(entry[key]))
    if not isinstance(entry["board"], bool):
        yield text("register.board")
    for key in ("put_in", "taken_out", "proved"):
        if not (_is_signed(entry[key]) or (entry[key] is None and key != "put_in")):
            yield text("register.signed", entry=key)
    if entry["proved"] is not None and entry["taken_out"] is None:
        yield text("register.order")


def _is_words(value: object) -> bool:
    return isinstance(value, str) and bool(value.strip())


def _is_signed(value: object) -> bool:
    if not isinstance(value, dict) or not {"at", "by"} <= set(value) <= set(_SIGNED):
        return False
    return all(isinstance(one, str) for one in value.values()) and is_signature(Signed(**value))


def _entry(entry: dict[str, Any]) -> Entry:
    signed = {
        key: Signed(**entry[key]) if entry[key] is not None else None for key in ("put_in", "taken_out", "proved")
    }
    return Entry(**{**entry, **signed})
