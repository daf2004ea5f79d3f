"""The page of measured accuracy: written by its command, over circuits that are the same in every run."""

from __future__ import annotations

import re

import pytest

from . import measure_accuracy
from .accuracy import random_days
from .strategies import days


def without_figures(page: str) -> str:
    """Return a page with every figure taken out."""
    return re.sub(r"\d[\d,.]*(e-?\d+)?", "#", page)


@pytest.mark.usefixtures("ngspice_there")
def test_the_page_is_what_the_command_writes() -> None:
    """But for its figures the committed page is what the command writes now, over ever so few circuits."""
    written = measure_accuracy.report(measure_accuracy.measured(40, chunk=20))
    assert without_figures(written) == without_figures(measure_accuracy.REPORT.read_text(encoding="utf-8"))
    assert "\n40 random circuits" in written


def test_the_same_number_draws_the_same_circuits() -> None:
    """What was measured can be measured again; another number draws others, and none is drawn twice."""
    known: set[str] = set()
    first, again = random_days(days(), 20, 7, known), random_days(days(), 20, 7)
    assert first == again
    others = random_days(days(), 20, 8, known)
    assert len({repr(day) for day in (*first, *others)}) == 40
