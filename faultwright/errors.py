"""What the toolkit says when something a person wrote cannot be used.

Every refusal is a :class:`Refused`: one or more located messages, written for an instructor, never a
traceback. Bugs stay ordinary exceptions.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

MOST_LISTED = 40
"""Most allowed names that a message lists."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong in something a person wrote.

    ``place`` names the file, the move or the entry (``pump.yaml``, ``action 3``); ``line`` counts from 1
    where the text has lines; ``message`` says what is wrong and what is allowed.
    """

    message: str
    place: str = ""
    line: int | None = None

    def __str__(self) -> str:
        place = self.place if self.line is None else f"{self.place}:{self.line}"
        return f"{place}: {self.message}" if place else self.message


class Refused(Exception):  # noqa: N818 - "refused" is the word of the command line: exit 1
    """Input that cannot be used; carries every mistake found, not only the first."""

    def __init__(self, mistakes: str | Mistake | Iterable[Mistake]) -> None:
        """Take one message, one mistake or several."""
        if isinstance(mistakes, str):
            mistakes = Mistake(mistakes)
        self.mistakes: tuple[Mistake, ...] = (mistakes,) if isinstance(mistakes, Mistake) else tuple(mistakes)
        super().__init__("\n".join(str(mistake) for mistake in self.mistakes))

    def _render_traceback_(self) -> list[str]:
        """Show the messages alone in a notebook: IPython asks an exception for this before it draws a traceback."""
        return [str(mistake) for mistake in self.mistakes]


def nearest(word: str, allowed: Iterable[str]) -> str | None:
    """Return the allowed name that looks most like ``word``, or None if nothing comes near."""
    names = list(allowed)
    by_folded = {name.casefold(): name for name in names}
    if word.casefold() in by_folded:
        return by_folded[word.casefold()]
    close = difflib.get_close_matches(word.casefold(), list(by_folded), n=1, cutoff=0.6)
    return by_folded[close[0]] if close else None


def unknown(what: str, word: str, allowed: Sequence[str]) -> str:
    """Say that ``word`` is no ``what``, name the nearest one, and list what is allowed.

    >>> unknown("part", "K11", ["K1", "M1"])
    "there is no part 'K11'; did you mean 'K1'? (allowed: K1, M1)"
    """
    guess = nearest(word, allowed)
    hint = f"; did you mean {guess!r}?" if guess else ""
    shown = ", ".join(allowed[:MOST_LISTED])
    if len(allowed) > MOST_LISTED:
        shown += f", and {len(allowed) - MOST_LISTED} more"
    return f"there is no {what} {word!r}{hint} (allowed: {shown or 'none'})"
