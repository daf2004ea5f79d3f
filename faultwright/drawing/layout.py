"""Coordinates: every symbol, terminal, line and word on the sheet, in pixels, before any ink.

Rows hold symbols and nothing else; between them lie levels, each with a strip for labels above, tracks for
horizontal lines, and a strip for labels below. So no line ever crosses a symbol or a word.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from faultwright.circuit import Circuit, split_terminal

from .columns import Columns, set_columns
from .elements import Drawn, End, take_apart
from .paths import Arrangement, arrange
from .sheet import PIN_RADIUS, Layout, Line, Pin, Point, Symbol
from .symbols import LEFT_REACH, half_width
from .text import NAME, SMALL, TITLE, Box, Text, beside, clean, told, width, wrap
from .wiring import Bar, Stub, wire_up

MARGIN = 20
ROW, SHORT_ROW = 46, 24
TRACK = 10
STRIP, LABELLED_STRIP = 12, 19
COLUMN_GAP = 14
LEAD = 7
LINE_GAP = 12


def lay_out(
    circuit: Circuit,
    *,
    positions: Mapping[str, str] | None = None,
    unplugged: Collection[str] = (),
    with_path: bool = False,
) -> Layout:
    """Return where everything stands; the arguments are those of :func:`~faultwright.drawing.svg.draw`.

    ``with_path`` says that a path will be drawn thick, so the note explains it.
    """
    return _Sheet(circuit, positions, frozenset(unplugged), with_path=with_path).layout()


@dataclass
class _Run:
    """A horizontal line in one level; ``track`` is found once all are known."""

    left: float
    right: float
    track: int = 0


class _Sheet:
    """Works the coordinates out: columns, then tracks, then rows, then points."""

    def __init__(
        self, circuit: Circuit, positions: Mapping[str, str] | None, unplugged: frozenset[str], *, with_path: bool
    ) -> None:
        self.circuit, self.positions, self.unplugged, self.with_path = circuit, positions, unplugged, with_path
        self.drawn: Drawn = take_apart(circuit)
        self.plan: Arrangement = arrange(circuit, self.drawn)
        self.bars, self.stubs = wire_up(circuit, self.drawn, self.plan)
        self.columns: Columns = set_columns(circuit, self.drawn, self.plan, self.stubs)
        self.levels = max([*self.columns.row.values(), -1]) + 2
        self.number = {column: number for number, column in enumerate(self.columns.numbered, start=1)}
        self.owner = {end: index for index, element in enumerate(self.drawn.elements) for end in element.ends}
        self.lowered = {end for ends in self.plan.bottoms for end in ends}
        self.words = [self._words(index) for index in range(len(self.drawn.elements))]
        self.heading = self._title()
        self.column_x = self._column_x()
        self.runs: dict[tuple[str, int], _Run] = {}
        self._set_tracks()
        self._set_rows()

    # Words

    def _words(self, index: int) -> tuple[str, ...]:
        """Return a symbol's name and the small lines under it."""
        element = self.drawn.elements[index]
        name = element.part or "FRAME"
        return (name, *beside(self.circuit, element, self.positions, self._partners(index)))

    def _partners(self, index: int) -> str:
        """Say in which paths a relay's contacts stand, or its coil."""
        element = self.drawn.elements[index]
        others = [
            other
            for other, candidate in enumerate(self.drawn.elements)
            if candidate.part == element.part and {candidate.symbol, element.symbol} == {"coil", "contact"}
        ]
        numbers = sorted({self.number[self.columns.first[other]] for other in others})
        if not numbers:
            return ""
        what = "coil" if element.symbol == "contact" else "contact" if len(others) == 1 else "contacts"
        return f"{what}: path {', '.join(map(str, numbers))}"

    def _title(self) -> list[Text]:
        lines = wrap(self.circuit.title, 80, 3)
        return [
            Text(line, MARGIN, MARGIN + 13 + number * (TITLE + 4), TITLE, bold=True)
            for number, line in enumerate(lines)
        ]

    # Columns

    def _column_x(self) -> list[float]:
        left = [float(PIN_RADIUS + 2)] * self.columns.count
        right = [float(PIN_RADIUS + 2)] * self.columns.count
        for index, element in enumerate(self.drawn.elements):
            first, slots = self.columns.first[index], self.columns.slots[index]
            half = half_width(element.symbol)
            left[first] = max(left[first], self._left_half(index))
            last = first + self.columns.span(index) - 1
            reach = max(slot.beside for slot in slots.values() if first + slot.column == last)
            texts = max(
                width(line, NAME if not number else SMALL, bold=not number)
                for number, line in enumerate(self.words[index])
            )
            right[last] = max(right[last], reach + half + 5 + texts)
            for end, slot in slots.items():
                column, stubs = first + slot.column, self.stubs.get(end, ())
                left[column] = max(left[column], self._number_reach(end) + width(self._pin_words(end)) - slot.beside)
                if stubs and stubs[0].label:
                    right[column] = max(right[column], 7 + width(stubs[0].label))
                left[column] = max(left[column], *(stub.offset + 4 + width(stub.label) for stub in stubs[1:]), 0)
        found: list[float] = []
        x = float(MARGIN)
        for column in range(self.columns.count):
            found.append(round(x + left[column]))
            x = found[-1] + right[column] + COLUMN_GAP
        self.right_edge = x - COLUMN_GAP
        return found

    def _left_half(self, index: int) -> float:
        """How far a symbol's body reaches to the left, with the actuator of a switch."""
        element = self.drawn.elements[index]
        part = self.circuit.parts.get(element.part)
        return LEFT_REACH if part is not None and part.control else half_width(element.symbol)

    def _pin_words(self, end: End) -> str:
        """The terminal number that is written beside an end; none where it says nothing or is written elsewhere."""
        return "" if end.copy else split_terminal(end.terminal)[1]

    def _number_reach(self, end: End) -> float:
        """How far left of an end its number ends: clear of the terminal and of further stubs."""
        return PIN_RADIUS + 3 + max((stub.offset for stub in self.stubs.get(end, ())), default=0)

    def _end_x(self, end: End) -> float:
        index = self.owner[end]
        slot = self.columns.slots[index][end]
        return self.column_x[self.columns.first[index] + slot.column] + slot.beside

    # Tracks

    def _own_level(self, end: End) -> int:
        """The level that an end faces."""
        row = self.columns.row[self.owner[end]]
        return row + 1 if end in self.lowered else row

    def _stub_x(self, stub: Stub) -> float:
        return self._end_x(stub.end) - stub.offset

    def _arrival(self, stub: Stub) -> float:
        """Where a stub meets its bar: straight above or below, or in its lane."""
        lane = self.columns.lanes.get(stub)
        return self._stub_x(stub) if lane is None else self.column_x[lane]

    def _set_tracks(self) -> None:
        in_level: dict[int, list[_Run]] = defaultdict(list)
        for number, bar in enumerate(self.bars):
            xs = [self._arrival(stub) for stub in bar.stubs]
            run = self.runs["bar", number] = _Run(min(xs), max(xs))
            if run.right > run.left:
                in_level[bar.level].append(run)
        self.jogs: dict[Stub, _Run] = {}
        for stub, lane in self.columns.lanes.items():
            ends = sorted((self._stub_x(stub), self.column_x[lane]))
            self.jogs[stub] = _Run(ends[0], ends[1])
            in_level[self._own_level(stub.end)].append(self.jogs[stub])
        self.tracks: dict[int, int] = {}
        for level, runs in in_level.items():
            reached: list[float] = []
            for run in sorted(runs, key=lambda run: (run.left, run.right)):
                free = [track for track, right in enumerate(reached) if right + LINE_GAP < run.left]
                run.track = free[0] if free else len(reached)
                reached[run.track : run.track + 1] = [run.right]
            self.tracks[level] = len(reached)

    # Rows

    def _set_rows(self) -> None:
        """Set the y of every row and level, from the top of the sheet down."""
        labelled = {(self._own_level(stub.end), stub.end in self.lowered)
                    for bar in self.bars for stub in bar.children if stub.label}  # fmt: skip
        tall: dict[int, float] = defaultdict(lambda: float(SHORT_ROW))
        for index, element in enumerate(self.drawn.elements):
            row = self.columns.row[index]
            short = element.symbol in ("ground", "frame", "splice")
            need = NAME + (SMALL + 2) * (len(self.words[index]) - 1) + 8
            tall[row] = max(tall[row], need, SHORT_ROW if short else ROW)
        y = self.heading[-1].y + 30 if self.heading else MARGIN + 16.0
        self.path_y = y
        y += 6
        self.track_y: list[float] = []
        self.row_y: list[tuple[float, float]] = []
        for level in range(self.levels):
            y += LABELLED_STRIP if (level, True) in labelled else STRIP
            self.track_y.append(y)
            y += TRACK * max(self.tracks.get(level, 0) - 1, 0)
            y += LABELLED_STRIP if (level, False) in labelled else STRIP
            if level < self.levels - 1:
                self.row_y.append((y, y + tall[level]))
                y += tall[level]
        self.bottom_edge = y

    def _end_y(self, end: End) -> float:
        top, bottom = self.row_y[self.columns.row[self.owner[end]]]
        return bottom if end in self.lowered else top

    # Points

    def _way(self, stub: Stub, bar_y: float) -> list[Point]:
        """Return the points of a stub from its terminal to its bar."""
        x, y = self._end_x(stub.end), self._end_y(stub.end)
        points = [(x, y), (self._stub_x(stub), y)]
        lane = self.columns.lanes.get(stub)
        if lane is not None:
            jog_y = self.track_y[self._own_level(stub.end)] + TRACK * self.jogs[stub].track
            points += [(self._stub_x(stub), jog_y), (self.column_x[lane], jog_y)]
        return [*points, (self._arrival(stub), bar_y)]

    def _label(self, stub: Stub) -> Text | None:
        if not stub.label:
            return None
        x, y = self._stub_x(stub), self._end_y(stub.end) + (16 if stub.end in self.lowered else -8)
        return Text(stub.label, x - 4, y, anchor="end") if stub.lane else Text(stub.label, x + 7, y)

    def _lines(self) -> tuple[list[Line], list[tuple[Point, ...]], list[Point]]:
        lines: list[Line] = []
        frame: list[tuple[Point, ...]] = []
        dots: list[Point] = []
        for number, bar in enumerate(self.bars):
            run = self.runs["bar", number]
            y = self.track_y[bar.level] + TRACK * run.track
            hub = self._way(bar.hub, y)
            for stub in bar.children:
                if stub.wire or not bar.is_frame:
                    way = _straight([*hub, *reversed(self._way(stub, y))])
                    lines.append(Line(stub.wire, way, self._label(stub)))
            if bar.is_frame:
                # All of it is the machine's metal: the bar, what leads to its terminal, and the grounds.
                metal = [[*hub, *reversed(self._way(stub, y))] for stub in bar.children if not stub.wire]
                if run.right > run.left:
                    metal += [hub, [(run.left, y), (run.right, y)]]
                frame += [_straight(way) for way in metal]
            dots += self._dots(bar, y)
        return lines, frame, dots

    def _dots(self, bar: Bar, y: float) -> list[Point]:
        """Return where three lines or more meet on a bar."""
        meeting: dict[float, set[bool]] = defaultdict(set)
        for stub in bar.stubs:
            before = self._way(stub, y)[-2]
            meeting[self._arrival(stub)].add(before[1] > y)
        left, right = min(meeting), max(meeting)
        return [(x, y) for x, sides in meeting.items() if len(sides) + (x > left) + (x < right) > 2]  # noqa: PLR2004

    def _symbol(self, index: int) -> Symbol:
        element = self.drawn.elements[index]
        top, bottom = self.row_y[self.columns.row[index]]
        pins: dict[End, Pin] = {}
        for end in self.columns.slots[index]:
            x, y, upward = self._end_x(end), self._end_y(end), end not in self.lowered
            words = self._pin_words(end)
            text = Text(words, x - self._number_reach(end), y + 4, anchor="end") if words else None
            # An unplugged connector is drawn as two halves; any other part leaves its leads.
            off = end.terminal in self.unplugged or (element.part in self.unplugged and element.symbol != "connector")
            pins[end] = Pin(end, x, y, upward, off, text)
        xs = [pin.x for pin in pins.values()]
        below = any(not pin.upward for pin in pins.values())
        body = Box(
            min(xs) - self._left_half(index), top + LEAD, max(xs) + half_width(element.symbol), bottom - LEAD * below
        )
        parted = element.symbol == "connector" and element.part in self.unplugged
        return Symbol(element, pins, top, bottom, body, self._symbol_texts(index, body), parted)

    def _symbol_texts(self, index: int, body: Box) -> tuple[Text, ...]:
        lines = self.words[index]
        tall = NAME + (SMALL + 2) * (len(lines) - 1)
        y = (body.top + body.bottom - tall) / 2 + NAME * 0.8
        return tuple(
            Text(line, body.right + 5, y + (SMALL + 2) * number, SMALL if number else NAME, bold=not number)
            for number, line in enumerate(lines)
        )

    # The whole

    def layout(self) -> Layout:
        symbols = tuple(self._symbol(index) for index in range(len(self.drawn.elements)))
        lines, frame, dots = self._lines()
        heading = [*self.heading]
        for column, number in self.number.items():
            heading.append(Text(str(number), self.column_x[column], self.path_y, NAME, anchor="middle"))
        heading += self._note()
        edge = max(self.right_edge, *(text.box.right for text in heading))
        return Layout(round(edge + MARGIN), round(heading[-1].y + MARGIN * 0.7), symbols, tuple(lines), tuple(frame),
                      tuple(dots), tuple(heading), self._told())  # fmt: skip

    def _note(self) -> list[Text]:
        """Return the sheet's note: what is shown, so that nobody takes a drawn position for a finding."""
        if self.positions is None:
            note = "Contacts: at rest."
        else:
            note = "Switches: commanded, not measured. Relay contacts: at rest."
        words = f"{note} Wires: name, colour, cross-section."
        if self.with_path:
            words += " Thick, with arrows: the path shown."
        return [Text(words, MARGIN, self.bottom_edge + 12)]

    def _told(self) -> tuple[str, ...]:
        """Return each current path in words, from top to bottom, each wire once with both its terminals."""
        paths: dict[int, list[int]] = defaultdict(list)
        for index in range(len(self.drawn.elements)):
            paths[self.columns.first[index]].append(index)
        found: list[str] = []
        for column, number in self.number.items():
            words: list[str] = []
            for index in sorted(paths[column], key=lambda index: self.columns.row[index]):
                element = self.drawn.elements[index]
                words += self._wires_at(self.plan.tops[index])
                ends = " to ".join(
                    "/".join(split_terminal(end.terminal)[1] or end.terminal for end in side)
                    for side in (self.plan.tops[index], self.plan.bottoms[index])
                    if side
                )
                words.append(f"{told(element, self.circuit, self.positions)} ({ends})" if element.part else "FRAME")
                words += self._wires_at(self.plan.bottoms[index])
            if words:
                found.append(f"Path {number}: {', '.join(words)}.")
        return tuple(found)

    def _wires_at(self, ends: Sequence[End]) -> list[str]:
        return [
            f"{stub.wire} ({clean(stub.bar.hub.end.terminal)} to {stub.end.terminal})"
            for end in ends
            for stub in self.stubs.get(end, ())
            if stub.wire
        ]


def _straight(points: Sequence[Point]) -> tuple[Point, ...]:
    """Drop doubled points and points in the middle of a straight line."""
    found: list[Point] = []
    for point in points:
        if found and found[-1] == point:
            continue
        while len(found) > 1 and (found[-2][0] == found[-1][0] == point[0] or found[-2][1] == found[-1][1] == point[1]):
            found.pop()
        found.append(point)
    return tuple(found)
