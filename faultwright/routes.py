"""Routes: how a load is fed and returned, traced on the diagram as a person does, without solving anything.

A *route* is a way from place to place that visits none twice, in the direction of the current: through wires, fuses,
contacts, diodes (one way only), connectors, splices, grounds and small resistors. A load is fed from a source's ``+``
and returned to its ``-``; a route leads neither through other loads, unless that is asked for, nor past the load's own
other end, for that would short it. Which contacts are needed, and where their controls and relays must be, follows.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from .circuit import FRAME, Circuit
from .circuit_file import terminal_mistake
from .conditions import Is
from .errors import Mistake, Refused, unknown
from .parts import KINDS, Role, branches, sources
from .route_graph import Leg, Passage, node, passages, ways
from .route_sets import BETWEEN, FEED, MORE, RETURN, STOP, TRIED, Route, RouteSet

MOST_ROUTES = 50
"""Routes that are listed for one purpose; a person follows far fewer."""
MOST_TRIED = 20_000
"""Ways that are tried for one purpose, those included whose contacts can never be closed together."""


def loads(circuit: Circuit) -> tuple[str, ...]:
    """Return the parts that use current: lamps, motors, coils, solenoids, inputs, magnetos, larger resistors."""
    return tuple(dict.fromkeys(passage.load for passage in passages(circuit) if passage.load))


def load_routes(
    circuit: Circuit, load: str, *, through: Collection[str] = (), limit: int = MOST_ROUTES
) -> tuple[RouteSet, ...]:
    """Return how a load is fed and how it is returned; for a magneto, how it is stopped by ground.

    A load that is fed at either end (a motor that is reversed) has a pair of sets for each. Besides its own feed and
    return, an input has the routes that return (or, with its pull down, feed) its ``in``. ``through`` names loads
    that routes may pass, such as a ballast. Raises Refused, with the nearest names, for what is no load.
    """
    known = loads(circuit)
    wrong = [unknown("load", name, known) for name in (load, *through) if name not in known]
    if wrong:
        raise Refused([Mistake(message, circuit.name) for message in dict.fromkeys(wrong)])
    tracer = _Tracer(circuit, load, through, limit)
    part = circuit.parts[load]
    if part.kind == "magneto":
        return (tracer.between(f"{load}:stop", f"{load}:-", STOP),)
    used = next(branch for branch in branches(part) if branch.role is not Role.CONTACT)
    if part.kind != "input":
        return tracer.fed_and_returned(used.a, used.b)
    supply = tracer.fed_and_returned(f"{load}:+", f"{load}:-")
    return (*supply, tracer.signal(f"{load}:in", used.a))


def routes_between(
    circuit: Circuit, first: str, second: str, *, through: Collection[str] = (), limit: int = MOST_ROUTES
) -> RouteSet:
    """Return the routes that join two terminals as a continuity test sees them: no source, no diode passed.

    Raises Refused, with the nearest names, for unknown terminals and loads.
    """
    wrong = [message for terminal in (first, second) if (message := terminal_mistake(terminal, circuit.parts))]
    known = loads(circuit)
    wrong += [unknown("load", name, known) for name in through if name not in known]
    if wrong:
        raise Refused([Mistake(message, circuit.name) for message in dict.fromkeys(wrong)])
    return _Tracer(circuit, "", through, limit).between(first, second, BETWEEN)


@dataclass(frozen=True, slots=True)
class _Traced:
    """Routes from one terminal to another, and why not all, if so."""

    routes: tuple[Route, ...]
    unfinished: str = ""


class _Tracer:
    """Traces the routes of one load, or between two terminals."""

    def __init__(self, circuit: Circuit, load: str, through: Collection[str], limit: int) -> None:
        self.circuit, self.load, self.limit = circuit, load, limit
        self.usable = [one for one in passages(circuit) if not one.load or (one.load in through and one.load != load)]
        self.sources = list(sources(circuit))

    def fed_and_returned(self, first: str, second: str) -> tuple[RouteSet, ...]:
        """Return feed and return for each way round in which a source closes the circuit.

        Where none does, for the way round in which more is found.
        """
        closing: list[RouteSet] = []
        others: list[tuple[RouteSet, RouteSet]] = []
        for fed, returned in ((first, second), (second, first)):
            feeds = [self._toward(source, fed, returned) for source in self.sources]
            returns = [self._back(source, returned, fed) for source in self.sources]
            both = [pair for pair in zip(feeds, returns, strict=True) if pair[0].routes and pair[1].routes]
            if both:
                closing.append(self._set(FEED, fed, [feed for feed, _ in both]))
                closing.append(self._set(RETURN, returned, [back for _, back in both]))
            others.append((self._set(FEED, fed, feeds), self._set(RETURN, returned, returns)))
        return tuple(closing) or max(others, key=lambda pair: sum(len(one.routes) for one in pair))

    def signal(self, inside: str, rail: str) -> RouteSet:
        """Return the routes that work an input against its pull: to ``-`` where it pulls to ``+``, or the reverse."""
        if rail.endswith(":+"):
            return self._set(RETURN, inside, [self._back(source, inside, rail) for source in self.sources])
        return self._set(FEED, inside, [self._toward(source, inside, rail) for source in self.sources])

    def between(self, first: str, second: str, purpose: str) -> RouteSet:
        """Return the routes that join two terminals for a meter: in either direction, no source and no diode passed."""
        passive = [one for one in self.usable if one.role not in (Role.SOURCE, Role.DIODE)]
        return self._set(purpose, first, [self._trace(passive, first, second)], second)

    def _toward(self, source: str, at: str, past: str) -> _Traced:
        """Trace from a source's ``+`` to ``at``, neither over ``past`` nor over the source's own ``-``."""
        return self._trace(self.usable, f"{source}:+", at, {past, f"{source}:-"})

    def _back(self, source: str, at: str, past: str) -> _Traced:
        return self._trace(self.usable, at, f"{source}:-", {past, f"{source}:+"})

    def _set(self, purpose: str, at: str, traced: Sequence[_Traced], other: str = "") -> RouteSet:
        found = [route for one in traced for route in one.routes]
        reasons = [one.unfinished for one in traced if one.unfinished]
        if len(found) > self.limit:
            reasons.insert(0, MORE)
        routes = tuple(sorted(found, key=lambda route: len(route.places))[: self.limit])
        return RouteSet(self.circuit, purpose, self.load, at, other, routes, reasons[0] if reasons else "")

    def _trace(self, usable: Iterable[Passage], start: str, end: str, past: Collection[str] = ()) -> _Traced:
        """Trace every way whose contacts can be closed together, up to the limits."""
        found: list[Route] = []
        nodes = {node(self.circuit, terminal) for terminal in past}
        for tried, legs in enumerate(ways(usable, node(self.circuit, start), node(self.circuit, end), nodes)):
            if tried == MOST_TRIED:
                return _Traced(tuple(found), TRIED)
            route = self._route(start, end, legs)
            if route is not None:
                if len(found) == self.limit:
                    return _Traced(tuple(found), MORE)
                found.append(route)
        return _Traced(tuple(found))

    def _route(self, start: str, end: str, legs: Sequence[Leg]) -> Route | None:
        """Return the route along these legs, or None where no state closes all its contacts."""
        contacts = tuple((passage.place, passage.need) for passage, _ in legs if passage.need is not None)
        needs = _together(need for _, need in contacts)
        if not all(need.positions for need in needs):
            return None
        places: list[str] = []
        for number, (passage, behind) in enumerate(legs, start=1):
            places.append(passage.place)
            if number < len(legs) and (behind == FRAME or self._is_splice(behind)):
                places.append(behind)
        return Route(start, end, tuple(places), contacts, needs)

    def _is_splice(self, name: str) -> bool:
        return name in self.circuit.parts and KINDS[self.circuit.parts[name].kind].joined


def _together(needs: Iterable[Is]) -> tuple[Is, ...]:
    """Return what several contacts need at once, each control and relay once; no position where they exclude others."""
    found: dict[str, Is] = {}
    for need in needs:
        before = found.get(need.control, need)
        shared = tuple(position for position in before.positions if position in need.positions)
        found[need.control] = Is(need.control, shared)
    return tuple(found.values())
