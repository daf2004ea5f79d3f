"""What a watched meter did along a move, in the trade's words, told from the readings alone.

Two readings are the same where they agree as readings of one meter. A sound contact goes over once; one that sticks
goes over late; one that is dirty or worn flickers first. Nothing here knows which fault there is.
"""

from __future__ import annotations

from collections.abc import Sequence

from .meter import UNSTEADY, Reading, agree

STEADY, CLEAN, LATE, FLICKERS, FLICKERS_BACK, IN_STEPS, UNSETTLED = (
    *("steady", "clean", "late", "flickers", "flickers back", "in steps", "unsettled"),
)

WORDS = {
    STEADY: "does not change",
    CLEAN: "goes over once, cleanly",
    LATE: "goes over late, only at the end of the move",
    FLICKERS: "flickers before it settles",
    FLICKERS_BACK: "flickers, and ends as it began",
    IN_STEPS: "goes over in steps",
    UNSETTLED: "does not settle",
}


def course_of(readings: Sequence[Reading]) -> str:
    """Return which of :data:`WORDS` readings along one move show: the first before the move, the last settled."""
    if readings[-1].status == UNSTEADY:
        return UNSETTLED
    levels = _levels(readings)
    changes = [place for place in range(1, len(levels)) if levels[place] != levels[place - 1]]
    if not changes:
        return STEADY
    if len(changes) == 1:
        return LATE if changes[0] == len(levels) - 1 else CLEAN
    if levels[-1] == levels[0]:
        return FLICKERS_BACK
    # Each level is met once only where the readings go on from one to the next.
    return IN_STEPS if len(changes) == len(set(levels)) - 1 else FLICKERS


def watch_words(readings: Sequence[Reading]) -> str:
    """Return what readings along one move show, in words."""
    return WORDS[course_of(readings)]


def _levels(readings: Sequence[Reading]) -> list[int]:
    """Return for each reading the number of the first one that shows the same."""
    return [
        next(place for place, earlier in enumerate(readings) if agree(earlier, one) or agree(one, earlier))
        for one in readings
    ]
