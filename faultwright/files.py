"""Reading and writing files so that nothing is ever half-written and bad input is refused clearly."""

from __future__ import annotations

import json
import math
import os
import tempfile
from pathlib import Path
from typing import Any

from .errors import Mistake, Refused

LARGEST_TEXT = 1_000_000
"""Most bytes that a circuit, a record or an answer may have; a whole class fits many times over."""


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
        with path.open("rb") as file:
            content = file.read(largest + 1)
        if len(content) > largest:
            raise Refused(Mistake(f"the file is larger than {largest:,} bytes", place))
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise Refused(Mistake("the text is not UTF-8", place, line)) from None
    except OSError as error:
        raise Refused(Mistake(f"the file cannot be read: {error.strerror}", place)) from None


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

    def no_constant(word: str) -> float:
        raise Refused(Mistake(f"{word} is not a number that can be used", place))

    def number(word: str) -> float:
        value = float(word)
        return value if math.isfinite(value) else no_constant(word)

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) != len(pairs):
            names = [name for name, _ in pairs]
            doubled = next(name for name in names if names.count(name) > 1)
            raise Refused(Mistake(f"{doubled!r} is given twice in one place", place))
        return found

    try:
        found = json.loads(text, parse_constant=no_constant, parse_float=number, object_pairs_hook=once)
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
