"""Which current path each symbol stands in: columns, filled and put in order, with lanes for stubs that go round."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from faultwright.circuit import Circuit

from .elements import Drawn, End
from .filling import Slots, fill, goes_round, span
from .paths import Arrangement
from .reordering import reorder
from .wiring import Stub


@dataclass(frozen=True)
class Columns:
    """The columns: each symbol's first one, its row and its slots; the lanes of stubs that must go round a symbol."""

    first: Mapping[int, int]
    row: Mapping[int, int]
    slots: Sequence[Slots]
    lanes: Mapping[Stub, int]
    count: int
    numbered: tuple[int, ...]

    def span(self, index: int) -> int:
        """How many columns the symbol takes."""
        return span(self.slots[index])


def set_columns(
    circuit: Circuit, drawn: Drawn, arrangement: Arrangement, stubs: Mapping[End, Sequence[Stub]]
) -> Columns:
    """Return the columns of a circuit, as many as it takes, in an order in which few lines cross."""
    filled = fill(circuit, drawn, arrangement, stubs)
    first = reorder(filled, stubs, arrangement)
    count = 1 + max(first[index] + span(slots) - 1 for index, slots in enumerate(filled.slots))
    beside = _beside(first, filled.slots, filled.row, stubs, arrangement)
    # Each lane is a column of its own, and moves up those behind it.
    before = [column for column, _ in beside]
    lanes = {stub: column + number for number, (column, stub) in enumerate(beside)}
    moved = {index: column + bisect_right(before, column) for index, column in first.items()}
    count += len(lanes)
    numbered = tuple(column for column in range(count) if column not in set(lanes.values()))
    return Columns(moved, filled.row, filled.slots, lanes, count, numbered)


def _beside(
    first: Mapping[int, int],
    slots: Sequence[Slots],
    row: Mapping[int, int],
    stubs: Mapping[End, Sequence[Stub]],
    arrangement: Arrangement,
) -> list[tuple[int, Stub]]:
    """Return each stub whose bar lies on the other side of its symbol, with the column before which its lane goes."""
    spans = [(column, column + span(slots[index])) for index, column in first.items()]
    found: list[tuple[int, Stub]] = []
    for index, ends in enumerate(slots):
        column = first[index] + span(ends)
        while any(start < column < end for start, end in spans):
            column += 1  # not through the middle of a symbol
        found += [
            (column, stub)
            for end in ends
            for stub in stubs.get(end, ())
            if goes_round(stub, row[index], upward=end in arrangement.tops[index])
        ]
    return sorted(found, key=lambda pair: pair[0])
