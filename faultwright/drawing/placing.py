"""Where everything stands on the sheet, from the circuit alone: whatever is moved or unplugged, nothing shifts.

Rows hold symbols and nothing else; between them lie levels, each with a strip for labels above, tracks for
horizontal lines, and a strip for labels below. So no line ever crosses a symbol or a word.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from faultwright.circuit import Circuit, split_terminal

from .columns import Columns, set_columns
from .elements import Drawn, Element, End, take_apart
from .paths import Arrangement, arrange
from .sheet import PIN_RADIUS
from .spacing import CUT, GAP, HEADING, LEVEL_ABOVE, LEVEL_BELOW, ROW, TRACKS, Bands, band
from .symbols import LEFT_REACH, half_width
from .text import NAME, SMALL, beside, positions_of, width
from .texts import text
from .tracks import Run, set_tracks
from .wiring import Bar, Stub, wire_up

MARGIN = 20
ROW_HEIGHT, SHORT_ROW = 46, 24
TRACK = 10
STRIP, LABELLED_STRIP = 12, 19
WORDS_GAP = 5
"""Pixels between a symbol and the words beside it."""
_LINE = 2
"""Pixels that a line reaches to each side."""


@dataclass(frozen=True, slots=True)
class Breaks:
    """Columns and levels before which the sheet can be cut straight through."""

    columns: tuple[int, ...] = ()
    levels: tuple[int, ...] = ()


WHOLE = Breaks()
"""A sheet that is not cut."""


class Arranged:
    """A circuit's symbols, wires and columns, before any coordinate."""

    def __init__(self, circuit: Circuit) -> None:
        """Arrange a circuit."""
        self.circuit = circuit
        self.drawn: Drawn = take_apart(circuit)
        self.plan: Arrangement = arrange(circuit, self.drawn)
        self.bars, self.stubs = wire_up(circuit, self.drawn, self.plan)
        self.columns: Columns = set_columns(circuit, self.drawn, self.plan, self.stubs)


class Placing:
    """Works the coordinates out: columns, then tracks, then rows."""

    def __init__(self, arranged: Arranged, top: float, breaks: Breaks = WHOLE) -> None:
        """Place everything below ``top``, which is where the path numbers stand."""
        self.circuit, self.drawn, self.plan = arranged.circuit, arranged.drawn, arranged.plan
        self.bars, self.stubs, self.columns = arranged.bars, arranged.stubs, arranged.columns
        self.breaks = breaks
        self.levels = max([*self.columns.row.values(), -1]) + 2
        self.number = {column: number for number, column in enumerate(self.columns.numbered, start=1)}
        self.owner = {end: index for index, element in enumerate(self.drawn.elements) for end in element.ends}
        self.lowered = {end for ends in self.plan.bottoms for end in ends}
        self.partners = [self._partners(element) for element in self.drawn.elements]
        self.column_x, self.edges = self._set_columns()
        self.runs: dict[Bar, Run] = {}
        self.jogs: dict[Stub, Run] = {}
        self.tracks = self._set_tracks()
        self.path_y = top
        self.track_y: list[float] = []
        self.row_y: list[tuple[float, float]] = []
        self.bottom_edge = self._set_rows(top + 6)

    # Words

    def _partners(self, element: Element) -> str:
        """Say in which paths a relay's contacts stand, or its coil."""
        others = [
            other
            for other, candidate in enumerate(self.drawn.elements)
            if candidate.part == element.part and {candidate.symbol, element.symbol} == {"coil", "contact"}
        ]
        numbers = sorted({self.number[self.columns.first[other]] for other in others})
        if not numbers:
            return ""
        what = "coil" if element.symbol == "contact" else "contact" if len(others) == 1 else "contacts"
        return text(f"partners.{what}", paths=", ".join(map(str, numbers)))

    def words(self, index: int, position: str) -> tuple[str, ...]:
        """Return a symbol's name and the small lines under it, with its control in ``position``."""
        element = self.drawn.elements[index]
        return (element.part or "FRAME", *beside(self.circuit, element, position, self.partners[index]))

    def _all_words(self, index: int) -> list[tuple[str, ...]]:
        """Return what the words beside a symbol can be."""
        part = self.circuit.parts.get(self.drawn.elements[index].part)
        return [self.words(index, position) for position in positions_of(self.circuit, part)]

    @staticmethod
    def pin_words(end: End) -> str:
        """Return the terminal number that is written beside an end; none where it says nothing or stands elsewhere."""
        return "" if end.copy else split_terminal(end.terminal)[1]

    def number_reach(self, end: End) -> float:
        """How far left of an end its number ends: clear of the terminal and of further stubs."""
        return PIN_RADIUS + 3 + max((stub.offset for stub in self.stubs.get(end, ())), default=0)

    # Columns

    def left_half(self, index: int) -> float:
        """How far a symbol's body reaches to the left, with the actuator of a switch."""
        element = self.drawn.elements[index]
        part = self.circuit.parts.get(element.part)
        return LEFT_REACH if part is not None and part.control else half_width(element.symbol)

    def _set_columns(self) -> tuple[list[float], list[float]]:
        bands = Bands()
        for column, number in self.number.items():
            half = width(str(number), NAME) / 2
            bands.add(HEADING, column, half, half)
        for index in range(len(self.drawn.elements)):
            self._add_symbol(bands, index)
        lanes = set(self.columns.lanes.values())
        return bands.set_columns(self.columns.count, lanes, MARGIN, self.breaks.columns)

    def _add_symbol(self, bands: Bands, index: int) -> None:
        """Note how much room a symbol takes, with its words, its terminals and their lines."""
        half = half_width(self.drawn.elements[index].symbol)
        first, row, slots = self.columns.first[index], self.columns.row[index], self.columns.slots[index]
        last = first + self.columns.span(index) - 1
        reach = max(slot.beside for slot in slots.values() if first + slot.column == last)
        long = max(
            width(line, NAME if not number else SMALL, bold=not number)
            for lines in self._all_words(index)
            for number, line in enumerate(lines)
        )
        left = self.left_half(index)
        for end, slot in slots.items():
            strip = band(row + 1, LEVEL_ABOVE) if end in self.lowered else band(row, LEVEL_BELOW)
            number = self.number_reach(end) + width(self.pin_words(end)) - slot.beside
            left = max(left, number) if not slot.column else left
            # A terminal beside the line keeps as far from the next column as one on it.
            bands.add(strip, first + slot.column, max(number, 0.0), slot.beside + PIN_RADIUS + GAP)
            for stub in self.stubs.get(end, ()):
                self._add_stub(bands, stub, first + slot.column, strip)
        bands.add(band(row, ROW), first, left, reach + half + WORDS_GAP + long, last)

    def _add_stub(self, bands: Bands, stub: Stub, column: int, strip: int) -> None:
        """Note a stub's label and its line, and the line in its lane if it goes round."""
        left, right = stub.offset + _LINE, float(_LINE)
        own, bar = band(self.own_level(stub.end), TRACKS), band(stub.bar.level, TRACKS)
        lane = self.columns.lanes.get(stub)
        end = bar if lane is None else own
        bands.add(range(min(strip, end), max(strip, end) + 1), column, left, right)
        if lane is not None:
            bands.add(range(min(own, bar), max(own, bar) + 1), lane, _LINE, _LINE)
        if stub.label:
            long = width(stub.label)
            bands.add(strip, column, *((stub.offset + 4 + long, 0.0) if stub.lane else (0.0, 7 + long)))

    def end_x(self, end: End) -> float:
        """Return where an end stands."""
        index = self.owner[end]
        slot = self.columns.slots[index][end]
        return self.column_x[self.columns.first[index] + slot.column] + slot.beside

    # Tracks

    def own_level(self, end: End) -> int:
        """Return the level that an end faces."""
        row = self.columns.row[self.owner[end]]
        return row + 1 if end in self.lowered else row

    def stub_x(self, stub: Stub) -> float:
        """Return where a stub leaves its end."""
        return self.end_x(stub.end) - stub.offset

    def arrival(self, stub: Stub) -> float:
        """Return where a stub meets its bar: straight above or below, or in its lane."""
        lane = self.columns.lanes.get(stub)
        return self.stub_x(stub) if lane is None else self.column_x[lane]

    def from_below(self, stub: Stub) -> bool:
        """Whether a stub meets its bar from below."""
        own = self.own_level(stub.end)
        return own > stub.bar.level or (own == stub.bar.level and stub.end not in self.lowered)

    def _set_tracks(self) -> Mapping[int, int]:
        """Set the track of each horizontal line; return how many tracks each level has."""
        in_level: dict[int, list[Run]] = defaultdict(list)
        for bar in self.bars:
            sides: tuple[list[float], list[float]] = ([], [])
            for stub in bar.stubs:
                sides[self.from_below(stub)].append(self.arrival(stub))
            xs = [*sides[0], *sides[1]]
            run = self.runs[bar] = Run(min(xs), max(xs), up=tuple(sides[0]), down=tuple(sides[1]))
            if run.right > run.left:
                in_level[bar.level].append(run)
        for stub, lane in self.columns.lanes.items():
            here, there = self.stub_x(stub), self.column_x[lane]
            # Terminal and bar lie on the same side: a lane leads back past the symbol.
            up, down = ((here, there), ()) if stub.end in self.lowered else ((), (here, there))
            self.jogs[stub] = Run(min(here, there), max(here, there), up, down)
            in_level[self.own_level(stub.end)].append(self.jogs[stub])
        return {level: set_tracks(runs) for level, runs in in_level.items()}

    # Rows

    def _set_rows(self, y: float) -> float:
        """Set the y of every row and level from ``y`` downward, and return where the last one ends."""
        labelled = {(self.own_level(stub.end), stub.end in self.lowered)
                    for bar in self.bars for stub in bar.children if stub.label}  # fmt: skip
        tall: dict[int, float] = defaultdict(lambda: float(SHORT_ROW))
        for index, element in enumerate(self.drawn.elements):
            row = self.columns.row[index]
            short = element.symbol in ("ground", "frame", "splice")
            lines = max(len(lines) for lines in self._all_words(index))
            tall[row] = max(tall[row], NAME + (SMALL + 2) * (lines - 1) + 8, SHORT_ROW if short else ROW_HEIGHT)
        metal = {bar.level for bar in self.bars if bar.is_frame}
        metal |= {self.own_level(stub.end) for stub in self.jogs if stub.bar.is_frame}
        for level in range(self.levels):
            y += LABELLED_STRIP if (level, True) in labelled else STRIP
            y += level in metal  # the machine's metal is drawn thick
            y += CUT * (level in self.breaks.levels)
            self.track_y.append(y)
            y += TRACK * max(self.tracks.get(level, 0) - 1, 0)
            y += LABELLED_STRIP if (level, False) in labelled else STRIP
            if level < self.levels - 1:
                self.row_y.append((y, y + tall[level]))
                y += tall[level]
        return y

    def end_y(self, end: End) -> float:
        """Return how far down an end stands."""
        top, bottom = self.row_y[self.columns.row[self.owner[end]]]
        return bottom if end in self.lowered else top

    def run_y(self, level: int, run: Run) -> float:
        """Return how far down a horizontal line stands."""
        return self.track_y[level] + TRACK * run.track

    def wires_at(self, ends: Sequence[End]) -> Iterator[Stub]:
        """Yield the stubs of these ends that are wires."""
        for end in ends:
            yield from (stub for stub in self.stubs.get(end, ()) if stub.wire)
