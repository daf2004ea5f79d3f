"""What a circuit asks of whoever works on it: how it is isolated, what stays live, what must be unplugged or let be."""

from __future__ import annotations

from collections.abc import Iterator

from faultwright.can_hurt import ACTS, loads_that_hurt
from faultwright.circuit import Circuit
from faultwright.parts import KINDS, branches, sources, terminals
from faultwright.routes import load_routes

from .places import wires_at
from .texts import text


def isolation_steps(circuit: Circuit) -> tuple[str, ...]:
    """Return the steps by which this circuit is isolated and proved dead, in order."""
    return (text("isolate.rest"), *(_off(circuit, name) for name in sources(circuit)), *_prove_dead(circuit))


def _off(circuit: Circuit, source: str) -> str:
    """Return how a source is taken off: a battery by its return lead, a supply at its own switch."""
    terminal = f"{source}:-"
    wires = wires_at(circuit, terminal) or terminal
    return text(f"isolate.{circuit.parts[source].kind}", source=source, terminal=terminal, wires=wires)


def _prove_dead(circuit: Circuit) -> Iterator[str]:
    for name in sources(circuit):
        plus, minus = f"{name}:+", f"{name}:-"
        live = [terminal for terminal in always_live(circuit) if not terminal.startswith(f"{name}:")]
        yield text("isolate.prove", known=plus, to=minus, at=live[0] if live else plus)


def always_live(circuit: Circuit) -> tuple[str, ...]:
    """Return the wired terminals that stand at a source's ``+`` with no fuse and no contact between.

    A probe that slips from one of them to the frame makes an unfused short.
    """
    links = [(wire.start, wire.end) for wire in circuit.wires.values()]
    for part in circuit.parts.values():
        if part.kind == "connector":
            links += [(branch.a, branch.b) for branch in branches(part)]
        elif KINDS[part.kind].joined:
            links += [(terminals(part)[0], other) for other in terminals(part)[1:]]
    found = [f"{name}:+" for name in sources(circuit)]
    for here in found:  # it grows on the way
        found += [end for link in links if here in link for end in link if end not in found]
    return tuple(terminal for terminal in found if terminal in circuit.wired)


def guards(circuit: Circuit) -> tuple[str, ...]:
    """Return the switches in the routes of what can hurt: no jumper goes round one."""
    found: dict[str, None] = {}
    for load in loads_that_hurt(circuit):
        for routes in load_routes(circuit, load):
            for route in routes.routes:
                found |= dict.fromkeys(place.split()[0] for place, _ in route.contacts)
    return tuple(name for name in found if circuit.parts[name].control is not None)


def moving(circuit: Circuit) -> tuple[str, ...]:
    """Return the parts that move something or spark."""
    return tuple(part.name for part in circuit.parts.values() if part.kind in ACTS)


def behind_plugs(circuit: Circuit) -> dict[str, tuple[str, ...]]:
    """Return what must be unplugged to reach a terminal, each with the terminals behind it."""
    found: dict[str, tuple[str, ...]] = {}
    for terminal, plug in circuit.reach.items():
        if plug:
            found[plug] = (*found.get(plug, ()), terminal)
    return found
