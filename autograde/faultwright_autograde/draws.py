"""Drawing from a secret: the same words always give the same numbers, and nobody else can tell them.

Numbers come from HMAC-SHA256 in counter mode, so they do not depend on any library's generator.
"""

from __future__ import annotations

import hashlib
import hmac
import math
import os
import secrets
from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

from faultwright.errors import Mistake, Refused

T = TypeVar("T")

FEWEST_BYTES, MOST_BYTES = 16, 4096
NEW_BYTES = 32


class Draws:
    """An endless row of numbers for one candidate and one paper."""

    def __init__(self, secret: bytes, *words: str) -> None:
        """Start the row that belongs to these words."""
        self.key = derived(secret, *words)
        self.count = 0

    def share(self) -> float:
        """Return a number from 0 to less than 1."""
        block = hmac.digest(self.key, self.count.to_bytes(8, "big"), hashlib.sha256)
        self.count += 1
        return (int.from_bytes(block[:8], "big") >> 11) / 2**53  # the 53 bits that a float keeps

    def between(self, least: float, most: float) -> float:
        """Return a number between two, all alike."""
        return least + (most - least) * self.share()

    def by_ratio(self, least: float, most: float) -> float:
        """Return a number between two positive ones, each doubling alike."""
        return math.exp(self.between(math.log(least), math.log(most)))

    def one_of(self, choices: Sequence[T]) -> T:
        """Return one of the choices."""
        return choices[int(self.share() * len(choices))]

    def name(self) -> str:
        """Return eight hexadecimal digits that name this row without telling anything of it."""
        return hmac.digest(self.key, b"name", hashlib.sha256).hex()[:8]


def derived(secret: bytes, *words: str) -> bytes:
    """Return a key for one purpose; words are joined by a byte that no word holds."""
    return hmac.digest(secret, b"\x00".join(word.encode("utf-8") for word in words), hashlib.sha256)


def read_secret(path: Path) -> bytes:
    """Return the secret in a plain file. Raises Refused where there is none, or one too short to keep anything."""
    try:
        if path.is_symlink() or not path.is_file():
            raise Refused(Mistake("there is no such secret file; `faultwright set` makes one", path.name))
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise Refused(Mistake(f"the secret cannot be read: {error.strerror}", path.name)) from None
    if not FEWEST_BYTES <= len(content) <= MOST_BYTES:
        raise Refused(Mistake(f"a secret has {FEWEST_BYTES} to {MOST_BYTES} bytes; this has {len(content)}", path.name))
    return content


def secret_for(path: Path, folder: Path) -> bytes:
    """Return the secret in ``path``, made if missing; it must not lie in ``folder``, which may be handed round."""
    inside, outside = path.resolve(), folder.resolve()
    if inside == outside or outside in inside.parents:
        raise Refused(Mistake(f"the secret must lie outside {folder.name}, which others may see", path.name))
    if path.exists() or path.is_symlink():
        return read_secret(path)
    content = secrets.token_bytes(NEW_BYTES)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # Only its owner may read it; where a system has no such modes its own rules hold.
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
    except OSError as error:
        raise Refused(Mistake(f"the secret cannot be written: {error.strerror}", path.name)) from None
    return content
