"""Refusals: how they read, in a terminal and in a notebook."""

from __future__ import annotations

import pytest

from faultwright.errors import MOST_LISTED, Mistake, Refused, nearest, unknown


def test_a_mistake_names_its_place() -> None:
    """File and line come first where there are any."""
    assert str(Mistake("no such part", "pump.yaml", 14)) == "pump.yaml:14: no such part"
    assert str(Mistake("no such part", "action 3")) == "action 3: no such part"
    assert str(Mistake("no such part")) == "no such part"


def test_the_nearest_name() -> None:
    """A slip of a letter or of case is recognised; something else altogether is not."""
    assert nearest("k1", ["K1", "M1"]) == "K1"
    assert nearest("Kl:86", ["K1:86", "M1:1"]) == "K1:86"
    assert nearest("pump", ["K1", "M1"]) is None


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("K11", "there is no part 'K11'; did you mean 'K1'? (allowed: K1, M1)"),
        ("pump", "there is no part 'pump' (allowed: K1, M1)"),
    ],
)
def test_what_is_allowed_is_listed(word: str, said: str) -> None:
    """An unknown name is answered with the nearest one, if any, and with all that are allowed."""
    assert unknown("part", word, ["K1", "M1"]) == said


def test_a_long_list_is_cut() -> None:
    """Nobody reads two hundred names."""
    said = unknown("pin", "x", [f"p{number}" for number in range(200)])
    assert said.endswith(f"and {200 - MOST_LISTED} more)")


def test_a_notebook_shows_the_messages_alone() -> None:
    """IPython asks an exception how to draw itself: a refusal is its messages, a line each, and no traceback."""
    refused = Refused([Mistake("one", "a.yaml", 1), Mistake("two", "a.yaml", 2)])
    assert refused._render_traceback_() == ["a.yaml:1: one", "a.yaml:2: two"]
