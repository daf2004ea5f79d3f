"""What the meter shows in lanes: ranged and rounded as ``meter.py`` does, one numpy element a reading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .lane_networks import Floats, Numbers, Truths
from .lane_seen import Codes
from .meter import FLOATING, OK, OVERLOAD, ROUNDING, SCALES, STATUSES, Reading
from .scale import AUTO, COUNTS, last_digit, rounded

_NEAR_HALF = 1e-9
"""Share of a number of digits within which floats do not tell on which side of a half it lies."""


@dataclass(frozen=True)
class Shown:
    """Readings side by side: ``status`` numbers in ``STATUSES``; ``value``, ``tolerance``, ``resolution`` in the unit.

    These three are NaN where the meter shows no number. ``range`` is the full scale of the range that was chosen, and
    ``true`` what was measured before it was rounded: NaN where that is no number, and not where it is over-limit.
    """

    unit: str
    status: Codes
    value: Floats
    tolerance: Floats
    resolution: Floats
    range: Floats
    true: Floats

    def allowed(self) -> Floats:
        """Return how far from each value another may lie that agrees with it, as ``meter.allowed`` says."""
        with np.errstate(invalid="ignore"):
            reaches = (self.range == AUTO) & (np.abs(self.value) + self.tolerance >= self.resolution * COUNTS)
        found: Floats = self.tolerance + np.where(reaches, 10 * self.resolution, self.resolution) / 2
        return found * (1 + ROUNDING)

    def put(self, where: Numbers | Truths, other: Shown) -> None:
        """Put other readings in some places."""
        self.status[where], self.value[where] = other.status, other.value
        self.tolerance[where], self.resolution[where] = other.tolerance, other.resolution
        self.range[where], self.true[where] = other.range, other.true

    def taken(self, where: Numbers) -> Shown:
        """Return the readings in some places."""
        numbers = (self.value, self.tolerance, self.resolution, self.range, self.true)
        return Shown(self.unit, self.status[where], *(each[where] for each in numbers))


def nothing_shown(mode: str, count: int) -> Shown:
    """Return so many readings that show nothing yet."""
    empty = np.full(count, np.nan)
    auto = np.full(count, AUTO)
    return Shown(
        SCALES[mode].unit, np.zeros(count, dtype=np.int8), empty, empty.copy(), empty.copy(), auto, empty.copy()
    )


def show_each(mode: str, true: Floats, chosen: Floats | float = AUTO) -> Shown:
    """Return what the meter shows for true values in the mode's unit; over-limit for what is infinite.

    ``chosen`` is the full scale of the range that was chosen for each of them, or for all.
    """
    scale = SCALES[mode]
    tops = scale.tops()
    decimals = [round(-float(np.log10(last_digit(top)))) for top in tops]
    found = nothing_shown(mode, len(true))
    found.range[:] = chosen
    auto = found.range == AUTO
    over = np.abs(true) > np.where(auto, scale.last, found.range)
    found.status[:] = np.where(over, STATUSES.index(OVERLOAD), STATUSES.index(OK))
    sizes = np.where(over, 0.0, np.abs(true))
    open_ones = np.ones(len(true), dtype=bool)
    for top, places in zip(tops, decimals, strict=True):
        value = _rounded(sizes, places)
        here = np.where(auto, open_ones & ((value < top) | (top == tops[-1])), found.range == min(top, scale.last))
        found.value[here] = np.copysign(value, true)[here] + 0.0
        digit = last_digit(top)
        found.tolerance[here] = _rounded(scale.share * value + scale.digits * digit, places)[here]
        found.resolution[here] = digit
        open_ones &= ~here
    found.true[:] = true
    found.value[over] = np.nan
    found.tolerance[over] = found.resolution[over] = np.nan
    return found


def _rounded(sizes: Floats, places: int) -> Floats:
    """Round sizes to so many decimal places, halves up, as decimal numbers are rounded."""
    digit = float(f"1e{-places}")
    digits = sizes * 10.0**places if places >= 0 else sizes / digit
    whole = np.floor(digits + 0.5)
    found: Floats = whole / 10.0**places if places >= 0 else whole * digit
    near = np.flatnonzero(np.abs(digits % 1 - 0.5) <= _NEAR_HALF * (1 + digits))
    if len(near):
        halves, which = np.unique(sizes[near], return_inverse=True)
        found[near] = np.array([rounded(half, digit) for half in halves.tolist()])[which]
    return found


def from_readings(mode: str, readings: Sequence[Reading]) -> Shown:
    """Return readings that were taken one by one, side by side."""
    found = nothing_shown(mode, len(readings))
    for place, reading in enumerate(readings):
        found.status[place], found.range[place] = STATUSES.index(reading.status), reading.range
        found.true[place] = reading.true
        if reading.value is not None:
            found.value[place], found.tolerance[place] = reading.value, reading.tolerance
            found.resolution[place] = reading.resolution
    return found


def parts_of_readings(shown: Shown, count: int) -> Numbers:
    """Return which of ``count`` readings, in each run of so many, show the same: a label each, of no meaning beyond.

    Readings within tolerance of each other go together, from one to the next.
    """
    shape = (-1, count)
    value, status = shown.value.reshape(shape), shown.status.reshape(shape)
    order = np.argsort(value, axis=1, kind="stable")  # what shows no number comes last
    in_order = np.take_along_axis(value, order, axis=1)
    near = np.take_along_axis(shown.allowed().reshape(shape), order, axis=1)
    with np.errstate(invalid="ignore"):
        new = np.abs(np.diff(in_order, axis=1)) > near[:, :-1]
    step = np.concatenate([np.zeros((len(value), 1), dtype=np.intp), np.cumsum(new, axis=1)], axis=1)
    labels = np.empty_like(step)
    np.put_along_axis(labels, order, step, axis=1)
    found: Numbers = np.where(np.isnan(value), -1 - status, labels)
    return found


def agreeing(shown: Shown, first: Numbers, others: Numbers) -> Truths:
    """Say which of other readings agree with a first, as ``meter.agree`` says; both by place, shaped to each other."""
    status, value = shown.status, shown.value
    with np.errstate(invalid="ignore"):
        near = np.abs(value[first] - value[others]) <= shown.allowed()[first]
    same = (status[first] == status[others]) & (near | np.isnan(value[others]))
    found: Truths = same | ((value[first] == 0) & (status[others] == STATUSES.index(FLOATING)))
    return found
