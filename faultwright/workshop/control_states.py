"""A control state as a person reads it."""

from __future__ import annotations

from collections.abc import Mapping

from faultwright.circuit import Circuit
from faultwright.conditions import Every, Is, in_words

from .texts import text


def state_in_words(circuit: Circuit, state: Mapping[str, str]) -> str:
    """Return a state by the controls that are not at rest: ``key switch on and start button pressed``."""
    rest = circuit.rest()
    moved = tuple(Is(name, (position,)) for name, position in state.items() if position != rest[name])
    return in_words(Every(moved), circuit.controls) if moved else text("state.rest")
