"""Common parts: preferred values of resistors, their power ratings, and fuses."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)
E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
"""Preferred values of a decade (IEC 60063; from memory)."""

NEAR = 0.05
"""Share by which an E12 value may differ; where none comes so near, the nearest of E24 is taken."""

LEAST, MOST = 0.1, 10e6
"""Ω between which resistors are sold everywhere (common practice)."""

POWER_RATINGS = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0, 50.0)
"""W in which resistors are sold everywhere (common practice)."""

POWER_MARGIN = 2.0
"""Multiple of the power that a resistor must bear: one at its full rating burns fingers (common practice)."""

FUSE_RATINGS = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
"""A of blade fuses (ISO 8820-3; from memory)."""

AFTER = 1.6
"""Multiple of a fuse's rating from which a second one in series lets it go first (the ratio of IEC 60269; from memory).
"""


def decades(series: Sequence[int]) -> Iterable[float]:
    """Yield the values of a series in Ω, rising, as far as they are sold everywhere."""
    for exponent in range(math.floor(math.log10(LEAST)) - 1, math.ceil(math.log10(MOST))):
        for value in series:
            ohms = float(f"{value}e{exponent}")
            if LEAST <= ohms <= MOST:
                yield ohms


def nearest_of(series: Sequence[int], ohms: float) -> float:
    """Return the value of a series that comes nearest by ratio."""
    return min(decades(series), key=lambda value: abs(math.log(value / ohms)))


def nearest_resistor(ohms: float) -> float | None:
    """Return the common resistor nearest to a resistance in Ω: of E12 if near enough, else of E24; None if none is."""
    if not LEAST * (1 - NEAR) <= ohms <= MOST * (1 + NEAR):
        return None
    common = nearest_of(E12, ohms)
    return common if abs(common - ohms) <= NEAR * ohms else nearest_of(E24, ohms)


def power_rating(watts: float) -> float | None:
    """Return the least common rating in W that bears a power with its margin, None if none does."""
    return next((rating for rating in POWER_RATINGS if rating >= POWER_MARGIN * watts), None)


def fuse_rating(amps: float) -> float | None:
    """Return the least common fuse in A that carries a current, None if none does."""
    return next((rating for rating in FUSE_RATINGS if rating >= amps), None)
