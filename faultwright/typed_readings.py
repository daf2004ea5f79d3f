"""What a person types of a real meter, as a reading: the number on its display, or what stands there in its place."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from .errors import Refused, nearest
from .meter import AMPS, BLOWN, CONTINUITY, DIODE, FLOATING, LIVE, OHMS, OVERLOAD, SCALES, UNSTEADY, Reading, show
from .quantities import NUMBER, parse_quantity
from .scale import AUTO

_DASHES = re.compile(r"[-–—]{2,}")

_WORDS: Mapping[str, str] = {
    "ol": OVERLOAD,
    "o.l": OVERLOAD,
    "o.l.": OVERLOAD,
    "0l": OVERLOAD,
    "0.l": OVERLOAD,
    "overload": OVERLOAD,
    "over limit": OVERLOAD,
    "floating": FLOATING,
    "floating 0": FLOATING,
    "0 floating": FLOATING,
    "unsteady": UNSTEADY,
    "live": LIVE,
    "blown": BLOWN,
}
"""What may be typed for a display that is no number; ``-OL`` besides, for the wrong way round."""

_NOT_IN: Mapping[str, tuple[str, ...]] = {
    LIVE: (OHMS, CONTINUITY, DIODE),
    BLOWN: (AMPS,),
}
"""The modes that some of these belong to; the others belong to all."""


@lru_cache(maxsize=8192)
def typed_number(mode: str, value: float, chosen: float = AUTO) -> Reading:
    """Return the reading of a number that was typed, in the mode's unit, with the tolerance of its range.

    Raises Refused for more than the meter can show there.
    """
    shown = show(mode, value, chosen)
    if shown.status == OVERLOAD:
        scale = SCALES[mode]
        where = f" on its {scale.name(chosen)} range" if chosen else ""
        raise Refused(f"{value} {scale.unit} is more than the meter can show{where}")
    return Reading(value, shown.unit, shown.display, shown.status, shown.tolerance, shown.resolution, range=chosen)


@lru_cache(maxsize=256)
def typed_status(mode: str, status: str, chosen: float = AUTO) -> Reading:
    """Return the reading of a display that is no number."""
    blank = show(mode, 0.0, chosen)
    return Reading(None, blank.unit, "", status, blank.tolerance, blank.resolution, range=chosen)


def parse_display(mode: str, text: str, chosen: float = AUTO) -> Reading:
    """Return the reading that a person types of a real meter on ``mode``: ``12,4 V``, ``12.4``, ``OL``, ``----``.

    A number without a unit is in the mode's own. Dashes are what a meter shows of a live circuit on ohms, continuity
    and diode test, and of a number that does not settle on volts. Raises Refused, with what is allowed.
    """
    written = " ".join(text.split())
    unit = SCALES[mode].unit
    if _DASHES.fullmatch(written):
        if mode == AMPS:
            raise Refused(f"{written!r} on amps can mean two things; write {UNSTEADY!r} or {BLOWN!r}")
        return typed_status(mode, LIVE if mode in _NOT_IN[LIVE] else UNSTEADY, chosen)
    status = _WORDS.get(written.removeprefix("-").casefold())
    if status is not None:
        modes = _NOT_IN.get(status, (mode,))
        if mode not in modes:
            raise Refused(f"{written!r} is not read on {mode}, only on {', '.join(modes)} {_allowed(mode)}")
        return typed_status(mode, status, chosen)
    if re.fullmatch(NUMBER, written):
        return typed_number(mode, parse_quantity(f"{written} {unit}", unit), chosen)
    if not re.match(r"[+-]?[.,]?[0-9]", written):
        guess = nearest(written, _WORDS)
        hint = f"; did you mean {guess!r}?" if guess else ""
        raise Refused(f"{text!r} is no reading{hint} {_allowed(mode)}")
    return typed_number(mode, parse_quantity(written, unit), chosen)


def _allowed(mode: str) -> str:
    """Say what may be typed."""
    own = [status for status, modes in _NOT_IN.items() if mode in modes]
    words = ", ".join(["OL", FLOATING, UNSTEADY, *own])
    return f"(allowed: a number, such as '12.4 {SCALES[mode].unit}' or '12.4', {words})"


def parse_range(mode: str, text: str) -> float:
    """Return the range that ``text`` names (``60 V``, ``auto``) as its full scale in the unit.

    Raises Refused for one that the mode has not, with those that it has.
    """
    if text.strip().casefold() == "auto":
        return AUTO
    scale = SCALES[mode]
    asked = parse_quantity(text, scale.unit)
    # A range such as 600 mV becomes a float on two ways; they differ by rounding at most.
    found = next((full for full in scale.ranges() if abs(full - asked) <= 1e-9 * full), asked)
    wrong = scale.wrong_range(found, mode)
    if wrong:
        raise Refused(wrong)
    return found
