"""Filling columns: each symbol below what feeds it where there is room, else in a column beside.

A place is a row of a column (for symbols) or a level of a column (for the vertical lines that end or pass
there). Two stubs may share a level of a column only if they end on the same bar.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from faultwright.circuit import Circuit

from .elements import Drawn, Element, End
from .paths import Arrangement
from .text import width
from .wiring import Bar, Stub

LEAST_PIN_GAP = 30
"""Pixels between the pins of one symbol where the further one is not wired."""

Place = tuple[str, int, int]
Claim = tuple[Place, Bar | None]


@dataclass(frozen=True, slots=True)
class Slot:
    """Where an end stands: columns to the right of its symbol's first, and pixels beside that column's line."""

    column: int
    beside: float


Slots = Mapping[End, Slot]


@dataclass(frozen=True)
class Filled:
    """The columns as they were filled: each symbol's first one, its row and slots, and every place that is taken.

    The ``pinned`` columns keep their order: they hold what the author's hints name, the sources, and on the right
    the symbols without a wire.
    """

    first: dict[int, int]
    row: Mapping[int, int]
    slots: Sequence[Slots]
    taken: Mapping[Place, Bar | None]
    pinned: frozenset[int]
    count: int


def span(slots: Slots) -> int:
    """Return how many columns these slots take."""
    return 1 + max(slot.column for slot in slots.values())


def goes_round(stub: Stub, row: int, *, upward: bool) -> bool:
    """Whether the stub's bar lies on the other side of its symbol, which stands in ``row``."""
    return stub.bar.level > row if upward else stub.bar.level < row + 1


def fill(circuit: Circuit, drawn: Drawn, arrangement: Arrangement, stubs: Mapping[End, Sequence[Stub]]) -> Filled:
    """Fill columns: paths as the author hints them, then along the current from each source."""
    filler = _Filler(drawn, arrangement, stubs)
    for hint in circuit.paths:
        filler.follow_hint(circuit, hint)
    hinted = list(filler.first)
    for index in hinted:
        filler.follow(filler.below(index))
    sources = [index for index, element in enumerate(drawn.elements) if element.is_source]
    for index in sources:
        filler.follow([(index, None)])
    pinned = {filler.first[index] for index in (*hinted, *sources) if index in filler.first}
    for index in sorted(range(len(drawn.elements)), key=filler.from_above):
        filler.follow([(index, None)])
    pinned.update(range(filler.place_loose(), filler.count))
    return Filled(filler.first, filler.row, filler.slots, filler.taken, frozenset(pinned), filler.count)


class _Filler:
    """Places symbols one by one and remembers which places are taken, by which bar."""

    def __init__(self, drawn: Drawn, arrangement: Arrangement, stubs: Mapping[End, Sequence[Stub]]) -> None:
        self.elements = drawn.elements
        self.plan = arrangement
        self.stubs = stubs
        self.taken: dict[Place, Bar | None] = {}
        self.first: dict[int, int] = {}
        self.row = {index: row for index, row in enumerate(arrangement.row) if row is not None}
        self.slots = [self._slots(index) for index in range(len(drawn.elements))]
        self.lanes: dict[Stub, int] = {}
        self.count = 0
        self.hanging: dict[int, list[int]] = defaultdict(list)
        for index, ends in enumerate(arrangement.tops):
            for node in dict.fromkeys(arrangement.net[end] for end in ends):
                self.hanging[node].append(index)

    # Slots

    def _slots(self, index: int) -> dict[End, Slot]:
        """Give every wired end a column of its own, on each side from the left; unwired ones stand beside the last."""
        found: dict[End, Slot] = {}
        for side in (self.plan.tops[index], self.plan.bottoms[index]):
            column, beside = 0, 0.0
            wired = [end for end in side if self.plan.wired(end)]
            for column, end in enumerate(wired):
                found[end] = Slot(column, 0.0)
            for number, end in enumerate(end for end in side if not self.plan.wired(end)):
                if number or wired:
                    beside += round(max(LEAST_PIN_GAP, width(end.terminal.partition(":")[2]) + 20))
                found[end] = Slot(column, beside)
        return found

    # Places

    def _claims(self, index: int, first: int) -> Iterator[Claim]:
        """Yield every place that the symbol and its stubs take if it stands with its left end in ``first``."""
        row = self.row[index]
        for column in range(span(self.slots[index])):
            yield ("row", first + column, row), None
        for end, slot in self.slots[index].items():
            upward = end in self.plan.tops[index]
            for stub in self.stubs.get(end, ()):
                yield from self._stub_claims(stub, first + slot.column, row, upward=upward)

    @staticmethod
    def _stub_claims(stub: Stub, column: int, row: int, *, upward: bool) -> Iterator[Claim]:
        lane = "side" if stub.lane else "line"
        level, own = stub.bar.level, row if upward else row + 1
        if goes_round(stub, row, upward=upward):
            yield (lane, column, own), None
            return
        yield (lane, column, level), None if stub.lane else stub.bar
        step = -1 if upward else 1
        for passed in range(own, level, step):
            yield (lane, column, passed), None
        for passed in range(own, level, step):
            # From one level to the next the line runs through the row between them.
            yield ("row", column, passed - 1 if upward else passed), None

    def _fits(self, claims: Iterable[Claim]) -> bool:
        return all(place not in self.taken or (bar is not None and self.taken[place] is bar) for place, bar in claims)

    def _take(self, claims: Iterable[Claim]) -> None:
        for place, bar in claims:
            self.taken[place] = bar
            self.count = max(self.count, place[1] + 1)

    def place(self, index: int, wanted: int | None) -> int:
        """Place a symbol in the wanted column or the next one to the right with room, and return its first column."""
        tried = range(self.count if wanted is None else wanted, self.count)
        column = next((column for column in tried if self._fits(self._claims(index, column))), self.count)
        self._take(list(self._claims(index, column)))
        self.first[index] = column
        return column

    # The order of placing

    def from_above(self, index: int) -> tuple[int, int, int]:
        """Sort key: islands in turn, from their supply downward."""
        island = min(self.plan.order[self.plan.net[end]][0] for end in self.slots[index])
        return island, self.row.get(index, 0), index

    def follow(self, start: list[tuple[int, int | None]]) -> None:
        """Place a symbol and all that hangs on it: the deepest below it, the others in new columns beside."""
        waiting = start
        while waiting:
            index, wanted = waiting.pop()
            if index in self.first or index not in self.row:
                continue
            self.place(index, wanted)
            waiting += reversed(self.below(index))

    def below(self, index: int) -> list[tuple[int, int | None]]:
        """Return what hangs on the lower ends of a placed symbol, each with the column of its end."""
        if self.elements[index].is_source:
            return []  # what hangs on the return rail is no path of the source
        return [
            (other, self.first[index] + self.slots[index][end].column)
            for end in self.plan.bottoms[index]
            if self.plan.wired(end)
            for other in self._hanging_on(end)
        ]

    def _hanging_on(self, end: End) -> list[int]:
        """Return what hangs on an end's net: what it is wired to directly first, then the longest way to go."""
        direct = {stub.end for own in self.stubs.get(end, ()) for stub in own.bar.stubs}

        def rank(index: int) -> tuple[bool, int, int]:
            below = [self.plan.net[other] for other in self.plan.bottoms[index] if self.plan.wired(other)]
            depth = max((self.plan.depth[node] for node in below), default=-1)
            return not direct & set(self.plan.tops[index]), -depth, index

        return sorted(self.hanging[self.plan.net[end]], key=rank)

    def follow_hint(self, circuit: Circuit, hint: Sequence[str]) -> None:
        """Place the symbols that an author's path names, one below the other where they fit."""
        near: set[int] = set()
        column: int | None = None
        for name in hint:
            wire = circuit.wires.get(name)
            if wire is not None:
                near = {self.plan.net[End(wire.start)]}
                continue
            free = [index for index, element in enumerate(self.elements)
                    if element.part == name and index not in self.first and index in self.row]  # fmt: skip
            if not free:
                continue
            touching = [index for index in free if near & self._nets(self.elements[index])]
            chosen = touching or free[:1]
            # One contact of several, as the path meets it; but every pin pair of a connector that it meets.
            for index in chosen[:1] if circuit.parts[name].contacts else chosen:
                column = self.place(index, column)
                near = self._nets(self.elements[index])

    def _nets(self, element: Element) -> set[int]:
        return {self.plan.net[end] for end in element.ends if self.plan.wired(end)}

    # What is left

    def place_loose(self) -> int:
        """Place symbols without any wire in columns of their own on the right; return the first of these columns."""
        start = self.count
        row, column = 0, start
        for index in range(len(self.elements)):
            if index in self.first:
                continue
            if row >= self.plan.rows:
                row, column = 0, self.count
            self.row[index] = row
            self._take(list(self._claims(index, column)))
            self.first[index] = column
            row += 1
        return start
