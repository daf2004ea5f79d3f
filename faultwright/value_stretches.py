"""Which values of a fault agree with a finding: stretches of Ω, from what machines show at the values that were tried.

In a settled state a reading is a linear-fractional function of a resistance: ``(a + b x) / (1 + c x)``. Three values
that were tried give the whole of it, a fourth confirms it, and the ends of what agrees follow without trying more.
Where a relay, a fuse, a latch or a motor changes from one value to the next, or the fourth speaks against it, nothing
is said of what lies between but that it may agree.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, reduce

import numpy as np

from .behaviour import Seen
from .lane_meter import Shown
from .lane_networks import Floats, Numbers, Truths
from .lane_seen import Codes, code
from .meter import OK, OVERLOAD, SCALES, Reading
from .record import Measured, agreeing_values
from .scale import AUTO, last_digit
from .trials import readings_agreeing

FINE = 1.0003
"""Ratio of two values between which nothing is sought any more."""

_CONFIRMED = 1e-7
"""How far a fourth value may lie from what three say: a share of the largest of them. Rounding is far below that."""

_NOWHERE_LOW, _NOWHERE_HIGH = math.inf, -math.inf


@dataclass(frozen=True)
class Columns:
    """Hypotheses side by side, at every value tried: ``value`` in Ω by column, rising within a hypothesis.

    ``start`` holds the first column of each hypothesis and, last, the number of columns. ``joined`` says from which
    columns to the next a stretch of values of one fault lies; the last column has none.
    """

    value: Floats
    start: Numbers

    @cached_property
    def joined(self) -> Truths:
        """Whether a column and the next are values of one fault."""
        found = np.ones(len(self.value), dtype=bool)
        found[self.start[1:] - 1] = False
        return found

    @cached_property
    def following(self) -> Floats:
        """The value of the next column; of the last its own."""
        return np.append(self.value[1:], self.value[-1:])

    @cached_property
    def narrow(self) -> Truths:
        """Whether a stretch is so short that nothing is sought in it."""
        return self.joined & (self.following <= FINE * self.value)

    def any_of(self, columns: Truths) -> Truths:
        """Say of which hypotheses at least one column is among these."""
        found: Truths = np.logical_or.reduceat(columns, self.start[:-1])
        return found


@dataclass(frozen=True)
class Agreeing:
    """What agrees with a finding: which columns, and between which Ω of the stretch behind each column.

    ``low`` to ``high`` agrees for sure; nothing outside ``lowest`` to ``highest`` does. None where low is above high.
    """

    columns: Truths
    low: Floats
    high: Floats
    lowest: Floats
    highest: Floats

    @property
    def doubtful(self) -> Truths:
        """Where more may agree than does for sure."""
        found: Truths = (self.lowest <= self.highest) & ((self.low != self.lowest) | (self.high != self.highest))
        return found


def agreeing_codes(columns: Columns, codes: Codes, alike: Truths, seen: Seen) -> Agreeing:
    """Return what agrees with something seen; ``alike`` says where the machine stands alike at both ends."""
    agrees = codes == code(seen)
    here, there = agrees, np.append(agrees[1:], agrees[-1:])
    stretch = columns.joined & ~columns.narrow
    sure = stretch & here & there & alike
    may = stretch & (here | there | ~alike | (codes != np.append(codes[1:], codes[-1:])))
    return _agreeing(columns, agrees, sure, may)


def _agreeing(columns: Columns, agrees: Truths, sure: Truths, may: Truths) -> Agreeing:
    lowest = np.where(may, columns.value, _NOWHERE_LOW)
    highest = np.where(may, columns.following, _NOWHERE_HIGH)
    if (sure == may).all():
        return Agreeing(agrees, lowest, highest, lowest, highest)
    low = np.where(sure, columns.value, _NOWHERE_LOW)
    high = np.where(sure, columns.following, _NOWHERE_HIGH)
    return Agreeing(agrees, low, high, lowest, highest)


def all_agreeing(columns: Columns, each: Sequence[Agreeing]) -> Agreeing:
    """Return what agrees with several findings at once; everything with none."""
    everything = _agreeing(columns, np.ones(len(columns.value), dtype=bool), columns.joined, columns.joined)
    return reduce(_both, each, everything)


def _both(one: Agreeing, other: Agreeing) -> Agreeing:
    return Agreeing(
        one.columns & other.columns,
        np.maximum(one.low, other.low),
        np.minimum(one.high, other.high),
        np.maximum(one.lowest, other.lowest),
        np.minimum(one.highest, other.highest),
    )


class Readings:
    """What a meter shows on every column in one situation, and the curves through it."""

    def __init__(self, columns: Columns, shown: Shown, alike: Truths, *, diodes: bool) -> None:
        """Take what is shown; ``alike`` as above, ``diodes`` where the circuit has some, which may change unseen."""
        self.columns, self.shown, self.alike, self.diodes = columns, shown, alike, diodes

    @cached_property
    def _curves(self) -> tuple[Floats, Floats, Floats, Truths]:
        """a, b and c of every stretch, and for which of them they are confirmed."""
        x, r = self.columns.value, self.shown.true
        alike = self.alike & self.columns.joined
        before, after = np.roll(alike, 1), np.roll(alike, -1)
        before[0] = after[-1] = False
        number = np.arange(len(x))
        one, two = number, np.minimum(number + 1, len(x) - 1)
        behind, ahead = np.maximum(number - 1, 0), np.minimum(number + 2, len(x) - 1)
        third = np.where(after, ahead, behind)
        with np.errstate(all="ignore"):
            a, b, c = _through((x[one], r[one]), (x[two], r[two]), (x[third], r[third]))
            told = (a + b * x[behind]) / (1 + c * x[behind])
            size = np.maximum(np.abs(r[one]), np.maximum(np.abs(r[two]), np.abs(r[behind])))
            right = np.abs(told - r[behind]) <= _CONFIRMED * size
            pole = (1 + c * x[one]) * (1 + c * x[two]) <= 0
        confirmed = alike & (before | after) & ~pole & np.isfinite(a + b + c)
        confirmed &= np.where(before & after, right, not self.diodes)
        return a, b, c, confirmed

    def agreeing(self, finding: Measured) -> Agreeing:
        """Return what agrees with a reading."""
        columns, agrees = self.columns, readings_agreeing(finding, self.shown)
        stretch = columns.joined & ~columns.narrow
        if finding.reading.status not in (OK, OVERLOAD):
            here, there = agrees, np.append(agrees[1:], False)
            return _agreeing(
                columns, agrees, stretch & here & there & self.alike, stretch & (here | there | ~self.alike)
            )
        side = self._side(finding, agrees)
        next_side = np.append(side[1:], side[-1:])
        known = np.abs(side) <= 1
        known &= np.append(known[1:], known[-1:])
        a, b, c, confirmed = self._curves
        none = (side == next_side) & (side != 0) & self.alike
        whole = (side == 0) & (next_side == 0)
        sure = stretch & self.alike & known & ~none & (whole | confirmed)
        may = stretch & ~none
        found = _agreeing(columns, agrees, sure, may)
        part = np.flatnonzero(sure & ~whole)
        if len(part):
            least, most = _bounds(finding)
            with np.errstate(all="ignore"):
                ends = [
                    np.where(np.isinf(level), columns.following[part], (level - a[part]) / (b[part] - c[part] * level))
                    for level in (least, most)
                ]
            low = np.where(side[part] == 0, columns.value[part], _end(side[part], ends))
            high = np.where(next_side[part] == 0, columns.following[part], _end(next_side[part], ends))
            low, high = (np.clip(end, columns.value[part], columns.following[part]) for end in (low, high))
            for lows, highs in ((found.low, found.high), (found.lowest, found.highest)):
                lows[part], highs[part] = low, high
        return found

    def _side(self, finding: Measured, agrees: Truths) -> Codes:
        """Return on which side of what agrees each column lies: −1, 0, 1; where there is no number 2 and more."""
        true, (least, _) = self.shown.true, _bounds(finding)
        with np.errstate(invalid="ignore"):
            side = np.where(agrees, 0, np.where(np.isnan(true), 2 + self.shown.status, np.where(true < least, -1, 1)))
        return side.astype(np.int8)


def _end(side: Codes, ends: list[Floats]) -> Floats:
    """Return where what agrees ends towards a column that lies below it, or above."""
    found: Floats = np.where(side < 0, ends[0], ends[1])
    return found


def _through(
    one: tuple[Floats, Floats], two: tuple[Floats, Floats], three: tuple[Floats, Floats]
) -> tuple[Floats, Floats, Floats]:
    """Return a, b, c of the curves ``(a + b x) / (1 + c x)`` through three points: arrays of x and of readings."""
    (x0, r0), (x1, r1), (x2, r2) = one, two, three
    rise_1, across_1 = (r1 - r0) / (x1 - x0), (x1 * r1 - x0 * r0) / (x1 - x0)
    rise_2, across_2 = (r2 - r0) / (x2 - x0), (x2 * r2 - x0 * r0) / (x2 - x0)
    # r_k − r_0 = b (x_k − x_0) − c (x_k r_k − x_0 r_0) for k = 1, 2.
    c = -(rise_1 - rise_2) / (across_1 - across_2)
    c = np.where(across_1 == across_2, 0.0, c)
    b = rise_1 + c * across_1
    return r0 + (c * r0 - b) * x0, b, c


def _bounds(finding: Measured) -> tuple[float, float]:
    """Return the least and the most that may stand at the meter, before it is rounded, for a reading to agree."""
    reading = finding.reading
    if reading.status == OVERLOAD:
        return reading.range or SCALES[finding.probe.mode].last, math.inf
    least, most = agreeing_values(finding)
    return _rounded_to(least, finding.probe.mode, reading, up=True), _rounded_to(most, finding.probe.mode, reading)


def _rounded_to(end: float, mode: str, reading: Reading, *, up: bool = False) -> float:
    """Return what is just still rounded to a value within an end of what agrees."""
    digit = reading.resolution
    if reading.range == AUTO:
        scale = SCALES[mode]
        digit = last_digit(scale.top_for(end)) if abs(end) < scale.last else digit
    return (math.ceil(end / digit - 1e-9) - 0.5) * digit if up else (math.floor(end / digit + 1e-9) + 0.5) * digit
