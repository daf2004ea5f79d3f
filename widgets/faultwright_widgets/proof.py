"""The proof: which control states have been looked at since the last repair."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from faultwright.circuit import Circuit
from faultwright.record import Action, Observed

from .words import situations

MOST_STATES = 64
"""Control states that the proof lists; of a circuit with more it gives the count alone."""


def proof(circuit: Circuit, actions: Sequence[Action]) -> dict[str, Any]:
    """Return the control states, each with the number of the observation noted in it since the last repair, or 0.

    Only observations with nothing unplugged, bridged or disturbed count: the machine must work as it leaves the shop.
    """
    every = list(situations(circuit, actions))
    repairs = every[-1][2].repairs if every else 0
    noted = {
        tuple(situation.state.values()): number + 1
        for number, action, situation in every
        if repairs and situation.repairs == repairs and situation.untouched and isinstance(action, Observed)
    }
    count = math.prod(len(control.positions) for control in circuit.controls.values())
    states = [tuple(state.values()) for state in circuit.states()] if count <= MOST_STATES else []
    return {
        "repaired": repairs > 0,
        "rows": [{"positions": list(state), "number": noted.get(state, 0)} for state in states],
        "done": len(noted),
        "all": count,
    }
