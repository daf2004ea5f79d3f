"""What is tried on every machine in the slow tier, and in an ordinary run on all but the large ones."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import pytest

from faultwright.circuit import Circuit

if TYPE_CHECKING:
    from _pytest.mark import ParameterSet

MOST_PARTS = 30
"""A machine with more parts than this takes a minute where another takes a second."""


def is_large(circuit: Circuit) -> bool:
    """Say whether a machine is left to the slow tier."""
    return len(circuit.parts) > MOST_PARTS


def large_ones_slow(circuits: Iterable[Circuit]) -> list[ParameterSet]:
    """Return the parameters of a test that goes through machines."""
    return [
        pytest.param(
            one,
            marks=pytest.mark.slow if is_large(one) else (),
            id=f"{one.name}-{len(one.parts)}-{len(one.wires)}",
        )
        for one in circuits
    ]
