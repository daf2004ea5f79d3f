"""Agreement of a second marker with the marks that were given: differences, kappa, concordance.

Kappa is Cohen's (Educational and Psychological Measurement 20, 1960), concordance Lin's (Biometrics 45, 1989, with the
variances over n). Where a figure would mean nothing it is None.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

FEWEST = 5
"""Pairs from which on a kappa or a concordance is given."""


@dataclass(frozen=True, slots=True)
class Differences:
    """How second marks differ from first ones, in marks: second minus first. ``same`` is a share from 0 to 1."""

    pairs: int
    same: float
    mean_size: float
    largest: float
    bias: float


def differences(first: Sequence[float], second: Sequence[float]) -> Differences:
    """Return how second marks differ from first ones, pair by pair; there must be at least one pair."""
    gaps = [two - one for one, two in zip(first, second, strict=True)]
    return Differences(
        len(gaps),
        fmean(gap == 0 for gap in gaps),
        fmean(map(abs, gaps)),
        max(gaps, key=abs),
        fmean(gaps),
    )


def kappa(first: Sequence[bool], second: Sequence[bool]) -> float | None:
    """Return Cohen's kappa of two yes/no judgements; None with few pairs, or where chance alone would agree."""
    if len(first) < FEWEST:
        return None
    observed = fmean(one == two for one, two in zip(first, second, strict=True))
    yes, also_yes = fmean(first), fmean(second)
    chance = yes * also_yes + (1 - yes) * (1 - also_yes)
    return None if chance == 1 else (observed - chance) / (1 - chance)


def concordance(first: Sequence[float], second: Sequence[float]) -> float | None:
    """Return Lin's concordance correlation; None with few pairs, or where all marks are alike."""
    if len(first) < FEWEST:
        return None
    mean, other = fmean(first), fmean(second)
    together = fmean((one - mean) * (two - other) for one, two in zip(first, second, strict=True))
    spread = fmean((one - mean) ** 2 for one in first) + fmean((two - other) ** 2 for two in second)
    apart = spread + (mean - other) ** 2
    return None if apart == 0 else 2 * together / apart
