"""What a diagram is meant to do, judged from the sound machine: the routes by which each load is fed and returned.

A load's *own routes* lead through no other load, through diodes one way, and through contacts and fuses only the way
of their *use*. That is the way in which they carry much of the current that they ever carry on the sound machine; where
that is both ways, the way of the simplest states, those with the fewest controls away from rest; and where these
disagree too, the way in which the author wrote the contact. Wires, pins and splices are joints: they have no such way.

Two exceptions keep what is meant from being taken for a sneak path. A contact that is passed the other way exactly
when a load is (a motor that is reversed) may be passed both ways. A resistor that never has both feed and return of
its own lies in line with something else (a ballast, a slower speed), so routes lead through it.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from .circuit import Circuit, Part
from .conditions import with_relays
from .current_path import NO_CURRENT, CurrentPath, CurrentPaths
from .electrics import Settled
from .parts import Role, sources
from .route_graph import Passage, node

Point = tuple[Mapping[str, str], Settled]
"""A state of the controls, and the machine settled in it."""

MUCH = 0.5
"""Share of the most current that an element ever carries, from which a state tells how it is used.

Less may be what flows round between two joints at nearly the same voltage.
"""

Ways = Mapping[str, Sequence[str]]
"""Node → the nodes that can be come to from it in one step."""


class IntendedUse:
    """The own routes of every load of a circuit."""

    def __init__(self, paths: CurrentPaths, points: Iterable[Point]) -> None:
        """Learn from the sound machine, settled in every state of its controls, how everything is used."""
        self.circuit: Circuit = paths.circuit
        self.passages = list(paths.passages.values())
        steady = [(state, settled) for state, settled in points if not settled.buzzing]
        self._learn_ways(paths, steady)
        self.in_line: frozenset[str] = frozenset()
        resistors = {passage.load for passage in self.passages if passage.load and passage.role is Role.RESISTOR}
        self.in_line = frozenset(resistors - self._ever_closed(steady))
        self.judged = self._ever_closed(steady)

    def _learn_ways(self, paths: CurrentPaths, points: Sequence[Point]) -> None:
        """Set ``way``: the way of use (True: from the first end to the second) of what has one."""
        rest = self.circuit.rest()
        moved = [sum(state[name] != position for name, position in rest.items()) for state, _ in points]
        signs: dict[str, list[int]] = {}
        for index, branch in enumerate(points[0][1].network.branches if points else ()):
            place = paths.place(branch)
            passage = paths.passages.get(place)
            if passage is not None and (passage.load or passage.role in (Role.CONTACT, Role.FUSE)):
                signs[place] = _signs([float(settled.current(index)) for _, settled in points])
        reversed_loads = [own for place, own in signs.items() if paths.passages[place].load and {1, -1} <= set(own)]
        self.way = {passage.place: True for passage in self.passages if passage.one_way}
        for place, own in signs.items():
            if any(own) and not any(_alike(own, load) for load in reversed_loads):
                self.way[place] = _way_of_use(own, moved)

    def _ever_closed(self, points: Iterable[Point]) -> frozenset[str]:
        """Return the loads whose own routes are closed in some state, and the magnetos: they need none."""
        found = {name for name, part in self.circuit.parts.items() if part.kind == "magneto"}
        waiting = {passage.load for passage in self.passages if passage.load}
        for state, settled in points:
            standing = self.standing(state, settled.relays, settled.blown)
            found |= {load for load in waiting - found if standing.feeds(load)}
        return frozenset(found)

    def backwards(self, path: CurrentPath) -> tuple[str, ...]:
        """Return the places that a current passes against the way of their use."""
        return tuple(place for place, forwards in path.steps if self.way.get(place, forwards) != forwards)

    def standing(self, state: Mapping[str, str], relays: Mapping[str, bool], blown: Collection[str]) -> Standing:
        """Return which routes are closed where controls, relays and fuses stand so."""
        full = with_relays(self.circuit, state, relays)
        closed = [
            passage
            for passage in self.passages
            if passage.place not in blown
            and (passage.need is None or passage.need.holds(full))
            and (not passage.load or passage.load in self.in_line)
        ]
        return Standing(self, closed)


def _signs(currents: Sequence[float]) -> list[int]:
    """Return which way each current flows, 0 where it is little."""
    least = max(NO_CURRENT, MUCH * max(map(abs, currents)))
    return [(current > 0) - (current < 0) if abs(current) >= least else 0 for current in currents]


def _way_of_use(signs: Sequence[int], moved: Sequence[int]) -> bool:
    """Return whether an element is used from its first end to its second; ``moved`` counts the controls off rest."""
    fewest = min(count for sign, count in zip(signs, moved, strict=True) if sign)
    return any(sign > 0 and count == fewest for sign, count in zip(signs, moved, strict=True))


def _alike(signs: Sequence[int], others: Sequence[int]) -> bool:
    """Say whether two currents always flow the same way as each other, or always the opposite way."""
    return len({one * other for one, other in zip(signs, others, strict=True) if one} - {0}) == 1


def is_pulled_when_on(part: Part) -> bool:
    """Say whether an input acts when a route works it against its pull, as most do."""
    return (part.values["pull"] == "up") == (part.values["active"] == "low")


@dataclass(frozen=True)
class Standing:
    """The routes that are closed in one position of controls, relays and fuses; ``closed`` holds no load."""

    use: IntendedUse
    closed: Sequence[Passage]

    def serves(self, load: str) -> bool | None:
        """Say whether a load's own routes work it: feed and return, an input's line, what stops a magneto.

        None where that cannot be said: of an input that acts unless it is worked, while it has no supply.
        """
        part = self.use.circuit.parts[load]
        if part.kind == "magneto":
            return self._joins(f"{load}:stop", f"{load}:-", lambda passage: passage.role is not Role.DIODE)
        fed = self.feeds(load)
        if part.kind != "input":
            return fed and not self._bypassed(load)
        if not fed and not is_pulled_when_on(part):
            return None
        inside = node(self.use.circuit, f"{load}:in")
        return fed and any(inside in (back if part.values["pull"] == "up" else feed) for feed, back in self._rails)

    def feeds(self, load: str) -> bool:
        """Say whether one source feeds one end of a load, and has a return from the other."""
        first, second = self._ends(load)
        return any(
            (first in feed and second in back) or (second in feed and first in back) for feed, back in self._rails
        )

    def _ends(self, load: str) -> tuple[str, str]:
        if self.use.circuit.parts[load].kind == "input":
            return node(self.use.circuit, f"{load}:+"), node(self.use.circuit, f"{load}:-")
        passage = next(one for one in self.use.passages if one.load == load)
        return passage.a, passage.b

    def _bypassed(self, load: str) -> bool:
        """Say whether closed routes join a load's ends, as a contact does that takes it out."""
        first, second = self._ends(load)
        return self._joins(first, second, lambda passage: not passage.one_way)

    @cached_property
    def _rails(self) -> list[tuple[set[str], set[str]]]:
        """For each source the nodes that it feeds, and those from which it has a return."""
        onward, back = self._ways()
        found = []
        for name in sources(self.use.circuit):
            plus, minus = (node(self.use.circuit, f"{name}:{pin}") for pin in "+-")
            found.append((_reached(onward, plus, minus), _reached(back, minus, plus)))
        return found

    def _ways(self) -> tuple[Ways, Ways]:
        """Return where the current can go from each node, and where it can come from."""
        onward: dict[str, list[str]] = defaultdict(list)
        back: dict[str, list[str]] = defaultdict(list)
        for passage in self.closed:
            for start, end in _allowed(passage, self.use.way.get(passage.place)):
                onward[start].append(end)
                back[end].append(start)
        return onward, back

    def _joins(self, start: str, end: str, passes: Callable[[Passage], bool]) -> bool:
        """Say whether what is closed, but for loads and sources, joins two nodes whichever way the current goes."""
        either: dict[str, list[str]] = defaultdict(list)
        for passage in self.closed:
            if passes(passage) and passage.role is not Role.SOURCE and not passage.load:
                either[passage.a].append(passage.b)
                either[passage.b].append(passage.a)
        first, second = (node(self.use.circuit, terminal) for terminal in (start, end))
        return second in _reached(either, first)


def _allowed(passage: Passage, way: bool | None) -> Iterator[tuple[str, str]]:  # noqa: FBT001 - None: both ways
    if way is not False:
        yield passage.a, passage.b
    if way is not True:
        yield passage.b, passage.a


def _reached(ways: Ways, start: str, past: str = "") -> set[str]:
    """Return every node that can be come to from ``start`` and not over ``past``."""
    found, waiting = {start}, deque([start])
    while waiting:
        for other in ways.get(waiting.popleft(), ()):
            if other not in found and other != past:
                found.add(other)
                waiting.append(other)
    return found
