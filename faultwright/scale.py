"""A scale of the meter: its unit and ranges, its digits, and how a number stands on it.

A range is named by its full scale in the unit; :data:`AUTO` is none, for a meter that chooses its range itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

COUNTS = 6000

AUTO = 0.0
"""The range of a meter that chooses its range itself."""


@dataclass(frozen=True, slots=True)
class Scale:
    """What one mode of the meter can show.

    ``first`` is the first range and ``last`` the most that is shown, in the unit; ``share`` of the reading and
    ``digits`` are its accuracy. ``choice`` says whether a range can be chosen.
    """

    unit: str
    first: float
    last: float
    share: float
    digits: int
    prefixes: tuple[tuple[float, str], ...]
    choice: bool = True

    def tops(self) -> tuple[float, ...]:
        """Return where the counts of each range end, in the unit: each ten times the one before."""
        found = [self.first]
        while found[-1] < self.last:
            found.append(found[-1] * 10)
        return tuple(found)

    def ranges(self) -> tuple[float, ...]:
        """Return the full scale of each range that can be chosen, in the unit."""
        return tuple(min(top, self.last) for top in self.tops()) if self.choice else ()

    def top(self, chosen: float) -> float:
        """Return where the counts of a chosen range end: those of 1000 V at 6000 V. On auto, those of the first."""
        return self.tops()[self.ranges().index(chosen)] if chosen else self.first

    def top_for(self, true: float) -> float:
        """Return where the counts end of the first range that holds a value."""
        top = self.first
        while abs(rounded(true, last_digit(top))) >= top and top < self.last:
            top *= 10
        return top

    def tolerance(self, value: float, digit: float) -> float:
        """Return how far off a displayed value may be, in whole digits."""
        return rounded(self.share * abs(value) + self.digits * digit, digit)

    def display(self, value: float, top: float) -> str:
        """Return a value as it is displayed on the range whose counts end at ``top``."""
        factor, prefix = self._prefix(top)
        step = Decimal(repr(last_digit(top))) / Decimal(repr(factor))
        exponent = step.normalize().as_tuple().exponent
        decimals = max(0, -exponent) if isinstance(exponent, int) else 0
        return f"{Decimal(repr(value)) / Decimal(repr(factor)):.{decimals}f} {prefix}{self.unit}"

    def name(self, chosen: float) -> str:
        """Return a range's name: its full scale as it stands on a meter (``600 mV``)."""
        factor, prefix = self._prefix(chosen)
        return f"{chosen / factor:g} {prefix}{self.unit}"

    def wrong_range(self, chosen: float, mode: str) -> str | None:
        """Return what is wrong with a range that is chosen on ``mode``: which there are, and the nearest; else None."""
        ranges = self.ranges()
        if chosen in ranges:
            return None
        if not ranges:
            return f"{mode} has one range only; leave the range on auto"
        allowed = f"(allowed: {', '.join(self.name(one) for one in ranges)})"
        if not 0 < chosen < math.inf:
            return f"a range is more than zero {allowed}"
        near = min(ranges, key=lambda one: abs(math.log(one / chosen)))
        return f"there is no range of {chosen:g} {self.unit} on {mode}; did you mean {self.name(near)}? {allowed}"

    def _prefix(self, top: float) -> tuple[float, str]:
        return max((entry for entry in self.prefixes if entry[0] <= top), default=self.prefixes[0])


def last_digit(top: float) -> float:
    """Return the last digit of the range up to ``top``, in the unit."""
    return float(Decimal(repr(top)) / COUNTS)


def rounded(value: float, digit: float) -> float:
    """Round to a whole number of digits, as decimal numbers are rounded, and return the decimal's float."""
    step = Decimal(repr(digit))
    return float((Decimal(repr(float(value))) / step).quantize(Decimal(1), ROUND_HALF_UP) * step) + 0.0
