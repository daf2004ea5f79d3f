"""What can hurt on a machine, and what leads to it: what moves or sparks, and the relays and inputs on the way."""

from __future__ import annotations

from .circuit import LATCHED, Behaviour, Circuit
from .routes import load_routes

ACTS = ("motor", "solenoid", "magneto")
"""Kinds of part that move something or spark."""
CAN_HURT = (*ACTS, "contactor", LATCHED)
"""Kinds of behaviour that are functions which can hurt; a magneto's is that it sparks.

Lamps, inputs and relays are indications, but for an input or a relay that a latched behaviour names (it starts that
or keeps it going), and a relay with a contact in a route of something that acts.
"""


def loads_that_hurt(circuit: Circuit) -> tuple[str, ...]:
    """Return what can hurt and what leads to it: what acts, contactors, relays in routes of either, inputs named."""
    parts = circuit.parts.values()
    found = [part.name for part in parts if part.kind in (*ACTS, "contactor")]
    found += [one.part for one in circuit.behaviour.values() if one.part and _named_by_latched(circuit, one)]
    for load in found:  # it grows on the way: a relay in a route has routes of its own
        for routes in load_routes(circuit, load):
            places = [place.split()[0] for route in routes.routes for place, _ in route.contacts]
            found += [name for name in dict.fromkeys(places) if not _by_hand(circuit, name) and name not in found]
    return tuple(dict.fromkeys(found))


def functions_that_hurt(circuit: Circuit, loads: tuple[str, ...]) -> frozenset[str]:
    """Return the behaviours that are functions which can hurt, given what does."""
    behaviours = circuit.behaviour.values()
    return frozenset(one.name for one in behaviours if one.kind in CAN_HURT or one.part in loads)


def _by_hand(circuit: Circuit, part: str) -> bool:
    return circuit.parts[part].control is not None


def _named_by_latched(circuit: Circuit, one: Behaviour) -> bool:
    named = {entry for other in circuit.behaviour.values() for entry in other.starts_when + other.keeps_while}
    return one.kind in ("input", "relay") and one.name in named
