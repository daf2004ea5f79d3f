"""Which track of its level each horizontal line takes: its own where they meet, in an order that crosses little."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

LINE_GAP = 12
"""Pixels between the ends of two lines on one track."""


@dataclass(eq=False)
class Run:
    """A horizontal line in one level; ``up`` and ``down`` are the x of the lines that leave it upward and downward."""

    left: float
    right: float
    up: tuple[float, ...]
    down: tuple[float, ...]
    track: int = 0

    def meets(self, other: Run) -> bool:
        """Whether both cannot lie on one track."""
        return self.left <= other.right + LINE_GAP and other.left <= self.right + LINE_GAP

    def over(self, xs: Sequence[float]) -> int:
        """How many lines at ``xs`` cross this one."""
        return sum(self.left < x < self.right for x in xs)


def crossings(upper: Run, lower: Run) -> int:
    """Return how often two lines and what leaves them cross, one drawn above the other."""
    return upper.over(lower.up) + lower.over(upper.down)


def set_tracks(runs: Sequence[Run]) -> int:
    """Set the track of each line of a level, 0 on top, and return how many tracks they take."""
    order = _ordered(sorted(runs, key=lambda run: (run.left, run.right)))
    for place, run in enumerate(order):
        above = [other for other in order[:place] if other.meets(run)]
        taken = {other.track for other in above}
        # Where it makes no difference which is above, the first free track will do.
        least = max((other.track + 1 for other in above if crossings(other, run) < crossings(run, other)), default=0)
        run.track = next(track for track in range(least, len(order) + 1) if track not in taken)
    return 1 + max((run.track for run in runs), default=-1)


def _ordered(runs: list[Run]) -> list[Run]:
    """Return lines from top to bottom; each is moved to its best place until nothing gets better."""
    more = {
        (one, other): crossings(one, other) - crossings(other, one)
        for one in runs
        for other in runs
        if one.meets(other)
    }
    better = True
    while better:
        better = False
        for run in runs:
            here = runs.index(run)
            others = runs[:here] + runs[here + 1 :]
            # What it costs to stand at each place, against standing on top.
            costs = [0]
            for other in others:
                costs.append(costs[-1] + more.get((other, run), 0))
            best = min(range(len(costs)), key=lambda place: (costs[place], abs(place - here)))
            if costs[best] < costs[here]:
                runs = [*others[:best], run, *others[best:]]
                better = True
    return runs
