"""Claims about paths: conditions of the controls, right when they say in every state whether the path is there.

What a condition is, and where a path is, the core knows; marking only asks whether a claim is true.
"""

from __future__ import annotations

from collections.abc import Sequence

from faultwright.conditions import Condition, first_wrong
from faultwright.permission import path_states
from faultwright.statements import parse_condition

__all__ = ["first_wrong", "is_true", "parse_condition", "path_states"]


def is_true(condition: Condition, states: Sequence[tuple[dict[str, str], bool]]) -> bool:
    """Say whether a condition tells, in every state, whether the path is there."""
    return first_wrong(condition, states) is None
