"""How items and totals of a class did: facility, discrimination, correlation with the rest, delta, alpha.

Discrimination by the upper and lower 27 % is Kelley's (Journal of Educational Psychology 30, 1939), delta Ferguson's
(British Journal of Psychology, General Section 39, 1949), alpha Cronbach's (Psychometrika 16, 1951). Figures are None
where there are too few candidates, or where all did alike.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from statistics import fmean, pvariance

FEWEST = 10
"""Candidates from which on a figure is given."""

GROUP = 0.27


def facility(shares: Sequence[float]) -> float:
    """Return the mean share of an item's marks."""
    return fmean(shares)


def discrimination(shares: Sequence[float], totals: Sequence[float]) -> float | None:
    """Return the mean share of the upper 27 % by totals less that of the lower."""
    if len(shares) < FEWEST:
        return None
    order = sorted(range(len(totals)), key=lambda place: (totals[place], place))
    count = max(1, round(GROUP * len(order)))
    return fmean(shares[place] for place in order[-count:]) - fmean(shares[place] for place in order[:count])


def correlation(shares: Sequence[float], rest: Sequence[float]) -> float | None:
    """Return the correlation of an item with the rest of the paper: for a yes/no item the point-biserial."""
    if len(shares) < FEWEST or not pvariance(shares) or not pvariance(rest):
        return None
    mean, other = fmean(shares), fmean(rest)
    together = fmean((one - mean) * (two - other) for one, two in zip(shares, rest, strict=True))
    return together / math.sqrt(pvariance(shares) * pvariance(rest))


def ferguson(totals: Sequence[int], items: int) -> float | None:
    """Return delta of totals of ``items`` points that each are had or not: 1 where every total is equally frequent."""
    count = len(totals)
    if count < FEWEST or items < 1:
        return None
    alike = sum(times**2 for times in Counter(totals).values())
    return (items + 1) * (count**2 - alike) / (items * count**2)


def cronbach(table: Sequence[Sequence[float]]) -> float | None:
    """Return alpha of a table with one row a candidate and one column an item."""
    if len(table) < FEWEST or len(table[0]) <= 1:
        return None
    items = len(table[0])
    whole = pvariance([sum(row) for row in table])
    parts = sum(pvariance([row[place] for row in table]) for place in range(items))
    return None if not whole else items / (items - 1) * (1 - parts / whole)
