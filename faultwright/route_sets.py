"""Routes as they are told: the places in order, the contacts needed, which of them in series and which in parallel."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from math import prod

from .analysis_texts import text
from .circuit import Circuit
from .conditions import Every, Is, Terms, factored, in_words, of_terms, written
from .minimise import minimised
from .parts import ENERGISED, RELEASED

FEED, RETURN, STOP, BETWEEN = "feed", "return", "stop", "between"
MORE, TRIED = "more", "tried"

MOST_STATES = 4096
"""States of controls and relays over which a set of routes is minimised; over more it stays as it is."""


@dataclass(frozen=True, slots=True)
class Route:
    """One route: its two terminals, the places between them in order, and its contacts with what closes each.

    ``needs`` is what the contacts need together: each control and relay once.
    """

    start: str
    end: str
    places: tuple[str, ...]
    contacts: tuple[tuple[str, Is], ...]
    needs: tuple[Is, ...]

    def holds(self, state: Mapping[str, str], blown: Collection[str] = ()) -> bool:
        """Say whether the route is closed in a state of controls and relays, with these fuses blown."""
        return all(need.holds(state) for need in self.needs) and not set(blown) & set(self.places)

    def as_json(self) -> dict[str, object]:
        """The route as the command line's JSON gives it."""
        contacts = [
            {"place": place, "of": need.control, "closed_in": list(need.positions)} for place, need in self.contacts
        ]
        return {"start": self.start, "end": self.end, "places": list(self.places), "contacts": contacts}

    def words(self, circuit: Circuit) -> str:
        """Return the route as one line in words."""
        needs = in_words(Every(self.needs), circuit.controls)
        if not self.places:
            return text("route.direct", start=self.start, end=self.end, needs=needs)
        return text("route", start=self.start, places=" → ".join(self.places), end=self.end, needs=needs)


@dataclass(frozen=True)
class RouteSet:
    """All routes that serve one purpose: to feed or to return a load at one terminal, to stop it, to join two.

    ``at`` is the load's terminal (or the first of two), ``other`` the second of two. ``unfinished`` says why not all
    routes are listed, if so: :data:`MORE` than the limit, or :data:`TRIED` enough. Then ``series``, ``parallel`` and
    ``terms`` hold for those listed only, and words and JSON leave them out.
    """

    circuit: Circuit
    purpose: str
    load: str
    at: str
    other: str
    routes: tuple[Route, ...]
    unfinished: str = ""

    @property
    def name(self) -> str:
        """What these routes are for, in words."""
        return text(f"routes.name.{self.purpose}", at=self.at, load=self.load, other=self.other)

    def holds(self, state: Mapping[str, str], blown: Collection[str] = ()) -> bool:
        """Say whether a route is closed in a state of controls and relays, with these fuses blown."""
        return any(route.holds(state, blown) for route in self.routes)

    @cached_property
    def series(self) -> tuple[str, ...]:
        """The contacts that lie in every route: all are needed."""
        if not self.routes:
            return ()
        first, *others = self.routes
        return tuple(place for place, _ in first.contacts if all(place in route.places for route in others))

    @cached_property
    def parallel(self) -> tuple[tuple[str, ...], ...]:
        """The contacts that lie in some routes only, route by route: any one such group is enough."""
        groups = [tuple(place for place, _ in route.contacts if place not in self.series) for route in self.routes]
        return tuple(dict.fromkeys(groups)) if any(groups) else ()

    @cached_property
    def terms(self) -> Terms:
        """Where a route is closed, over the controls and relays that the routes need, in the fewest terms."""
        needed = {need.control for route in self.routes for need in route.needs}
        positions = {name: control.positions for name, control in self.circuit.controls.items() if name in needed}
        positions |= dict.fromkeys(sorted(needed - positions.keys()), (RELEASED, ENERGISED))
        if prod(len(every) for every in positions.values()) > MOST_STATES:
            return tuple(dict.fromkeys(route.needs for route in self.routes))
        states = (dict(zip(positions, chosen, strict=True)) for chosen in product(*positions.values()))
        return minimised(positions, [self.holds(state) for state in states])

    def as_json(self) -> dict[str, object]:
        """The routes as the command line's JSON gives them; null what only all routes together could tell."""
        whole = not self.unfinished
        return {
            "purpose": self.purpose,
            "load": self.load or None,
            "at": self.at,
            "other": self.other or None,
            "routes": [route.as_json() for route in self.routes],
            "unfinished": bool(self.unfinished),
            "series": list(self.series) if whole else None,
            "parallel": [list(group) for group in self.parallel] if whole else None,
            "when": written(of_terms(self.terms)) if whole else None,
        }

    def words(self) -> list[str]:
        """Return the routes in words: how many, each of them, which contacts are all needed, which any is enough."""
        listed = [route.words(self.circuit) for route in self.routes]
        heading = text(f"routes.{self.purpose}", at=self.at, load=self.load, other=self.other, count=self._count())
        if self.unfinished:
            return [heading, *listed]
        if self.series:
            listed.append(text("routes.series", contacts=", ".join(self.series)))
        if self.parallel:
            groups = [" and ".join(group) or text("routes.no_contact") for group in self.parallel]
            listed.append(text("routes.parallel", groups=", or ".join(groups)))
        if len(self.routes) > 1:
            when = in_words(factored(self.terms), self.circuit.controls)
            listed.append(text("routes.when", condition=when))
        return [heading, *listed]

    def _count(self) -> str:
        count = len(self.routes)
        if self.unfinished:
            return text(f"routes.{self.unfinished}", count=count)
        return text({0: "routes.none", 1: "routes.one"}.get(count, "routes.many"), count=count)
