"""Sound habits pass and unsound ones do not: a few machines here, some thousand records in the slow tier."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultwright_autograde.simulated.habits import HABITS, MUST_NOT_PASS
from tests.autograde.consistency import at_most, blueprints, played, wrong

MEASURED = blueprints()
FEW = ("methodical", "cites-none", "skips-the-proof", "unsafe", "lucky-with-proof", "copier")


@pytest.mark.parametrize("path", MEASURED, ids=lambda path: path.stem)
def test_habits_are_told_apart(path: Path) -> None:
    """On a machine of each kind of paper, habits of both kinds: none is taken for what it is not."""
    rows = played(path, [7], FEW)
    assert rows
    assert wrong(rows) == []
    assert all(0 <= row.share <= 1 for row in rows)


@pytest.mark.slow
@pytest.mark.parametrize("path", MEASURED, ids=lambda path: path.stem)
def test_every_habit_on_many_machines(path: Path) -> None:
    """Every habit on three machines of each blueprint, other ones than the guide's table was made from."""
    rows = played(path, range(100, 103))
    assert len(rows) >= 2 * len(HABITS)
    assert wrong(rows) == []


def test_bounds_of_a_rate() -> None:
    """The rule of three: none in 300 is at most 1 % (1 − 0.05^(1/300) = 0.9936 %); all in ten tells nothing."""
    assert at_most(0, 300) == pytest.approx(1 - 0.05 ** (1 / 300))
    assert at_most(10, 10) == 1.0
    # Tabulated: 1 of 10 has the one-sided upper bound 0.394 (binomial tables, from memory).
    assert at_most(1, 10) == pytest.approx(0.394, abs=0.001)


def test_there_are_habits_of_copying_and_of_luck() -> None:
    """A copier, a claim that is copied, and two kinds of luck: a fair examiner passes none."""
    for habit in ("copier", "copies-the-claim", "lucky-guesser", "lucky-with-proof", "unsafe"):
        assert HABITS[habit] == MUST_NOT_PASS
