"""Some of a circuit's control states, told in the fewest words or, where they are too tangled, by their number."""

from __future__ import annotations

from functools import lru_cache

from .analysis_texts import text
from .circuit import Circuit
from .conditions import Terms, factored, in_words
from .errors import Refused
from .minimise import minimised


@lru_cache(maxsize=4096)
def terms_of(circuit: Circuit, states: tuple[int, ...]) -> Terms | None:
    """Return the fewest terms that hold in exactly these states, None where they are too tangled to be told."""
    inside = set(states)
    positions = {name: control.positions for name, control in circuit.controls.items()}
    try:
        return minimised(positions, [number in inside for number in range(circuit.state_count)])
    except Refused:
        return None


def states_in_words(circuit: Circuit, states: tuple[int, ...]) -> str:
    """Return states by number in words: ``when key on``; or in how many of all."""
    terms = terms_of(circuit, states)
    if terms is None:
        return text("single.tangled", count=len(states), of=circuit.state_count)
    return text("single.when", condition=in_words(factored(terms), circuit.controls))
