"""Clicks: what is heard of relays and contactors as they move.

An armature is heard whatever its contacts do; a coil that is open or shorted moves none.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from .electrics import Settled

PULLS_IN, DROPS_OUT = "pulls in", "drops out"


def clicks(settled: Iterable[Settled]) -> tuple[str, ...]:
    """Return what is heard while a machine settles once or several times, in order: ``K1 pulls in``.

    A relay that buzzes is not counted out in clicks.
    """
    return tuple(
        f"{relay} {PULLS_IN if after[relay] else DROPS_OUT}"
        for one in settled
        for before, after in pairwise(one.course)
        for relay in after
        if after[relay] != before[relay] and relay not in one.buzzing
    )
