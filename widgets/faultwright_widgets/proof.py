"""The proof: which control states have been looked at since the last repair."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from faultwright.circuit import Circuit
from faultwright.record import Action, Observed

from .words import all_seen_words, situations

MOST_STATES = 64
"""Control states that the proof lists as open; of a circuit with more it lists those noted alone."""


def proof(circuit: Circuit, actions: Sequence[Action]) -> dict[str, Any]:
    """Return the control states: those not yet noted since the last repair, then those noted, with what was seen.

    Only observations with nothing unplugged, bridged or disturbed count: the machine must work as it leaves the shop.
    """
    every = list(situations(circuit, actions))
    repairs = every[-1][2].repairs if every else 0
    noted = {
        tuple(situation.state.values()): (number + 1, all_seen_words(action.seen))
        for number, action, situation in every
        if repairs and situation.repairs == repairs and situation.untouched and isinstance(action, Observed)
    }
    count = circuit.state_count
    states = [tuple(state.values()) for state in circuit.states()] if count <= MOST_STATES else []
    still_open = [{"positions": list(state), "number": 0, "seen": ""} for state in states if state not in noted]
    shown = [{"positions": list(state), "number": number, "seen": seen} for state, (number, seen) in noted.items()]
    return {"repaired": repairs > 0, "rows": [*still_open, *shown], "done": len(noted), "all": count}
