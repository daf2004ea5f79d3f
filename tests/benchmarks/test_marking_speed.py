"""Marking beside what it stands in for, measured in one run (slow tier: it wants a machine with nothing else to do)."""

from __future__ import annotations

import pytest

from .marking import class_of, notebooks, weighing_and_suspects


# nbgrader's own gradebook code sets SQLAlchemy off; nothing of ours can change that.
@pytest.mark.filterwarnings("ignore:Object of type <Submitted:sqlalchemy.exc.SAWarning")
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
@pytest.mark.slow
def test_a_class_through_nbgrader_is_eight_times_faster_than_its_stock_autograde() -> None:
    """A hundred notebooks of the lesson, marked and entered, against eight that nbgrader runs in kernels."""
    ours, stock = notebooks()
    assert stock >= 8 * ours


@pytest.mark.slow
def test_a_class_dictionary_pays() -> None:
    """Records whose situations are known are weighed a hundred times faster than suspects are found for each alone."""
    kept, alone = weighing_and_suspects(class_of(6, own_values=False))
    assert alone >= 100 * kept
