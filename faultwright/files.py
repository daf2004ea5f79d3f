"""Reading and writing files so that nothing is ever half-written and bad input is refused clearly."""

from __future__ import annotations

import json
import math
import os
import stat
import tempfile
from functools import partial
from pathlib import Path
from typing import Any

from .errors import Mistake, Refused

MOST_DIGITS = 400
"""Digits of a whole number in JSON, beyond every float; Python itself would stop at some thousands in its own words."""

LONGEST_QUOTED = 60
"""Characters of what somebody wrote that a message repeats."""

LARGEST_TEXT = 1_000_000
"""Most bytes that a circuit, a record or an answer may have; a whole class fits many times over."""


def shown_name(path: Path) -> str:
    """Return a file's name for showing: it need not be text on every system."""
    return path.name.encode("utf-8", "replace").decode("utf-8")


def read_text(path: Path, *, largest: int = LARGEST_TEXT) -> str:
    """Return the UTF-8 text of a plain file; refuses what is missing, too large, linked or not UTF-8."""
    place = path.name
    try:
        if path.is_symlink():
            raise Refused(Mistake("this is a link, not a file", place))
        if path.is_dir():
            raise Refused(Mistake("this is a folder, not a file", place))
        if not path.exists():
            raise Refused(Mistake(f"there is no such file{_neighbour(path)}", place))
        if not path.is_file():
            raise Refused(Mistake("this is no plain file", place))
        with open(path, "rb", opener=_without_waiting) as file:
            # Asked of what was opened: a name may have been given to something else since.
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise Refused(Mistake("this is no plain file", place))
            content = file.read(largest + 1)
        if len(content) > largest:
            raise Refused(Mistake(f"the file is larger than {largest:,} bytes", place))
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise Refused(Mistake("the text is not UTF-8", place, line)) from None
    except OSError as error:
        raise Refused(Mistake(f"the file cannot be read: {error.strerror}", place)) from None


def _without_waiting(name: str, flags: int) -> int:
    """Open without following a link, and without waiting for whoever might write into a pipe, where a system can."""
    return os.open(name, flags | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))


def _neighbour(path: Path) -> str:
    from .errors import nearest  # noqa: PLC0415 - only for the message

    try:
        guess = nearest(path.name, [entry.name for entry in path.parent.iterdir()])
    except OSError:
        return ""
    return f"; did you mean {guess!r}?" if guess else ""


def write_whole(path: Path, content: str | bytes) -> None:
    """Write ``content`` beside ``path`` and then put it in place, so that a reader never sees half of it."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    except OSError as error:
        raise Refused(Mistake(f"cannot be written: {error.strerror}", path.name)) from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).chmod(0o644)  # mkstemp gives 0600, which a class mate or a web server could not read
        Path(beside).replace(path)
    except OSError as error:
        Path(beside).unlink(missing_ok=True)
        raise Refused(Mistake(f"cannot be written: {error.strerror}", path.name)) from None
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise


def write_json(path: Path, content: object, *, indent: int | None = 1) -> None:
    """Write ``content`` as JSON, sorted as given, with a line end at the end.

    Without ``indent`` it stands on one line, which is written ten times as fast: for what is saved at every step.
    """
    write_whole(path, json.dumps(content, ensure_ascii=False, indent=indent, allow_nan=False) + "\n")


def read_json(path: Path, *, largest: int = LARGEST_TEXT) -> Any:  # noqa: ANN401 - JSON is any of its types
    """Return what a JSON file holds; refuses NaN, Infinity, doubled keys and nesting that is too deep."""
    return parse_json(read_text(path, largest=largest), path.name)


def parse_json(text: str, place: str) -> Any:  # noqa: ANN401 - JSON is any of its types
    """Return what JSON ``text`` holds, with the refusals of :func:`read_json`; ``place`` names it in messages."""
    try:
        found = json.loads(
            text,
            parse_constant=partial(_no_number, place),
            parse_float=partial(_finite, place),
            parse_int=partial(_whole, place),
            object_pairs_hook=partial(_once, place),
        )
        json.dumps(found, ensure_ascii=False).encode("utf-8")
    except UnicodeEncodeError:
        raise Refused(Mistake("it holds half a character (a lone surrogate), which is no text", place)) from None
    except json.JSONDecodeError as error:
        raise Refused(
            Mistake(f"this is not whole JSON ({error.msg}, column {error.colno})", place, error.lineno)
        ) from None
    except RecursionError:
        raise Refused(Mistake("this JSON is nested too deep", place)) from None
    except ValueError as error:
        raise Refused(Mistake(f"this JSON cannot be used: {error}", place)) from None
    return found


def _no_number(place: str, word: str) -> float:
    raise Refused(Mistake(f"{_quoted(word)} is not a number that can be used", place))


def _finite(place: str, word: str) -> float:
    value = float(word)
    return value if math.isfinite(value) else _no_number(place, word)


def _whole(place: str, word: str) -> int:
    digits = len(word.lstrip("-"))
    if digits > MOST_DIGITS:
        raise Refused(Mistake(f"a number of {digits:,} digits cannot be used", place))
    return int(word)


def _once(place: str, pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise Refused(Mistake(f"{_quoted(name)!r} is given twice in one place", place))
        found[name] = value
    return found


def _quoted(word: str) -> str:
    return word if len(word) <= LONGEST_QUOTED else f"{word[:LONGEST_QUOTED]}…"
