"""The proof: which control states have been looked at since the last repair."""

from __future__ import annotations

from typing import Any

from .finding_log import FindingLog

MOST_STATES = 64
"""Control states that the proof lists as open; of a circuit with more it lists those noted alone."""


def proven(log: FindingLog) -> bool:
    """Say whether anything has been noted since the last repair."""
    return bool(log.noted)


def proof(log: FindingLog) -> dict[str, Any]:
    """Return the control states: those not yet noted since the last repair, then those noted, with what was seen."""
    count = log.circuit.state_count
    states = [tuple(state.values()) for state in log.circuit.states()] if count <= MOST_STATES else []
    still_open = [{"positions": list(state), "number": 0, "seen": ""} for state in states if state not in log.noted]
    noted = [{"positions": list(state), "number": number, "seen": seen} for state, (number, seen) in log.noted.items()]
    return {
        "repaired": log.last_repair is not None,
        "rows": [*still_open, *noted],
        "done": len(log.noted),
        "all": count,
    }
