"""The sheet as it is shown: what never moves, worked out once for each circuit, and each symbol as it stands now."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache

from faultwright.circuit import Circuit, split_terminal

from .elements import End
from .placing import MARGIN, WHOLE, WORDS_GAP, Arranged, Breaks, Placing
from .sheet import Ground, Layout, Line, Pin, Point, Symbol
from .symbols import half_width
from .text import NAME, SMALL, TITLE, Box, Text, clean, is_closed, position_of, positions_of, told, width, wrap
from .texts import text
from .wiring import Bar, Stub

LEAD = 7
FOOT = 7
"""Pixels below the last line of the note."""
_LEAST_NOTE = 50
"""Letters of the note on one line at least."""


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
    return sheet_of(circuit).layout(positions, frozenset(unplugged), with_path=with_path)


def sheet_of(circuit: Circuit, breaks: Breaks = WHOLE) -> CircuitSheet:
    """Return a circuit's sheet, the same object each time."""
    # Circuits are equal whatever the order in which their parts and wires are written; a sheet goes by that order.
    return _sheet(circuit, tuple(circuit.parts), tuple(circuit.wires), breaks)


@lru_cache(maxsize=64)
def _sheet(circuit: Circuit, parts: tuple[str, ...], wires: tuple[str, ...], breaks: Breaks) -> CircuitSheet:
    return CircuitSheet(_arranged(circuit, parts, wires), breaks)


@lru_cache(maxsize=16)
def _arranged(circuit: Circuit, _parts: tuple[str, ...], _wires: tuple[str, ...]) -> Arranged:
    return Arranged(circuit)


class CircuitSheet:
    """What never moves on a circuit's sheet, and every symbol in each way in which it was shown so far."""

    def __init__(self, arranged: Arranged, breaks: Breaks) -> None:
        """Place an arranged circuit."""
        self.circuit = circuit = arranged.circuit
        title = [
            Text(line, MARGIN, MARGIN + 13 + number * (TITLE + 4), TITLE, bold=True)
            for number, line in enumerate(wrap(circuit.title, 80, 3))
        ]
        self.at = Placing(arranged, title[-1].y + 26 if title else MARGIN + 16.0, breaks)
        self.elements = self.at.drawn.elements
        self.parts = [circuit.parts.get(element.part) for element in self.elements]
        self.terminals = [tuple(end.terminal for end in ends) for ends in self.at.columns.slots]
        self.shown: dict[tuple[int, str, tuple[bool, ...]], Symbol] = {}
        self.ground = self._ground(title)
        self.paths = self._paths()

    # What never moves

    def _ground(self, title: Sequence[Text]) -> Ground:
        at = self.at
        lines: list[Line] = []
        frame: list[tuple[Point, ...]] = []
        dots: list[Point] = []
        for bar in at.bars:
            run = at.runs[bar]
            y = at.run_y(bar.level, run)
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
        columns = {number: at.column_x[column] for column, number in at.number.items()}
        numbers = [Text(str(number), x, at.path_y, NAME, anchor="middle") for number, x in columns.items()]
        pins = tuple(self._pin(end, lifted=False) for ends in at.columns.slots for end in ends if not end.copy)
        right = max([at.edges[-1], *(line.box.right for line in title)])
        return Ground(tuple(lines), tuple(frame), tuple(dots), pins, (*title, *numbers), columns, right, at.bottom_edge)

    def _way(self, stub: Stub, bar_y: float) -> list[Point]:
        """Return the points of a stub from its terminal to its bar."""
        at = self.at
        points = [(at.end_x(stub.end), at.end_y(stub.end)), (at.stub_x(stub), at.end_y(stub.end))]
        jog = at.jogs.get(stub)
        if jog is not None:
            y = at.run_y(at.own_level(stub.end), jog)
            points += [(at.stub_x(stub), y), (at.arrival(stub), y)]
        return [*points, (at.arrival(stub), bar_y)]

    def _label(self, stub: Stub) -> Text | None:
        if not stub.label:
            return None
        x, y = self.at.stub_x(stub), self.at.end_y(stub.end) + (15 if stub.end in self.at.lowered else -8)
        return Text(stub.label, x - 4, y, anchor="end") if stub.lane else Text(stub.label, x + 7, y)

    def _dots(self, bar: Bar, y: float) -> list[Point]:
        """Return where three lines or more meet on a bar."""
        meeting: dict[float, set[bool]] = defaultdict(set)
        for stub in bar.stubs:
            meeting[self.at.arrival(stub)].add(self.at.from_below(stub))
        left, right = min(meeting), max(meeting)
        return [(x, y) for x, sides in meeting.items() if len(sides) + (x > left) + (x < right) > 2]  # noqa: PLR2004

    def _pin(self, end: End, *, lifted: bool) -> Pin:
        at = self.at
        x, y, words = at.end_x(end), at.end_y(end), at.pin_words(end)
        text = Text(words, x - at.number_reach(end), y + 4, anchor="end") if words else None
        return Pin(end, x, y, end not in at.lowered, lifted, text)

    # What shows a state

    def _symbol(self, index: int, positions: Mapping[str, str] | None, unplugged: frozenset[str]) -> Symbol:
        part = self.parts[index]
        position = position_of(self.circuit, part, positions)
        off: tuple[bool, ...] = ()
        if unplugged:
            name = self.elements[index].part
            off = (name in unplugged, *(terminal in unplugged for terminal in self.terminals[index]))
            off = off if any(off) else ()
        key = index, position, off
        if key not in self.shown:
            self.shown[key] = self._draw(index, position, off)
        return self.shown[key]

    def _draw(self, index: int, position: str, off: tuple[bool, ...]) -> Symbol:
        """Return a symbol with its control in ``position``; ``off``: its part is unplugged, each of its ends is."""
        at, element, part = self.at, self.elements[index], self.parts[index]
        unplugged, *lifted = off or (False,) * (1 + len(at.columns.slots[index]))
        # An unplugged connector is drawn as two halves; any other part leaves its leads.
        parted = unplugged and element.symbol == "connector"
        pins = {
            end: self._pin(end, lifted=alone or (unplugged and not parted))
            for end, alone in zip(at.columns.slots[index], lifted, strict=True)
        }
        top, bottom = at.row_y[at.columns.row[index]]
        xs = [pin.x for pin in pins.values()]
        below = any(not pin.upward for pin in pins.values())
        half = half_width(element.symbol)
        body = Box(min(xs) - at.left_half(index), top + LEAD, max(xs) + half, bottom - LEAD * below)
        control = self.circuit.controls.get(part.control or "") if part else None
        rest = positions_of(self.circuit, part)[0]
        return Symbol(
            element,
            pins,
            top,
            bottom,
            body,
            _beside(at.words(index, position), body),
            parted,
            actuator="" if control is None else "push" if control.springs_to else "turn",
            closed=tuple(is_closed(contact, position) for contact in element.contacts),
            at_rest=tuple(is_closed(contact, rest) for contact in element.contacts),
            told=told(element, self.circuit, position),
        )

    # The whole

    def layout(self, positions: Mapping[str, str] | None, unplugged: frozenset[str], *, with_path: bool) -> Layout:
        """Return the sheet as it is shown with controls in these positions and this unplugged."""
        symbols = tuple(self._symbol(index, positions, unplugged) for index in range(len(self.elements)))
        letters = max(_LEAST_NOTE, int((self.ground.right - MARGIN) / width("n")))
        # The sheet says what it shows, so that nobody takes a drawn position for a finding.
        notes = [wrap(f"{text(key)} {text('note.wires')}", letters, 9) for key in ("note.at_rest", "note.commanded")]
        words = [*notes[positions is not None], *([text("note.path")] if with_path else [])]
        y = self.ground.bottom + 12
        note = tuple(Text(line, MARGIN, y + (SMALL + 2) * number) for number, line in enumerate(words))
        lines = max(map(len, notes)) + with_path
        edge = max(self.ground.right, *(MARGIN + width(line) for lines in notes for line in lines))
        height = y + (SMALL + 2) * (lines - 1) + FOOT
        return Layout(round(edge + MARGIN), round(height), self.ground, symbols, note, self._told(symbols))

    def _paths(self) -> list[list[tuple[int, str, str]]]:
        """Return of each path what its words are made of: symbols from top to bottom, each with its wires and ends."""
        at = self.at
        paths: dict[int, list[int]] = defaultdict(list)
        for index in range(len(self.elements)):
            paths[at.columns.first[index]].append(index)
        found = []
        for column in at.number:
            inside = []
            for index in sorted(paths[column], key=lambda index: at.columns.row[index]):
                sides = at.plan.tops[index], at.plan.bottoms[index]
                before, after = (
                    [
                        f"{stub.wire} ({clean(stub.bar.hub.end.terminal)} to {stub.end.terminal})"
                        for stub in at.wires_at(side)
                    ]
                    for side in sides
                )
                ends = " to ".join(
                    "/".join(split_terminal(end.terminal)[1] or end.terminal for end in side) for side in sides if side
                )
                ends = f" ({ends})" if self.elements[index].part else ""
                inside.append(
                    (index, "".join(f"{wire}, " for wire in before), "".join([ends, *(f", {wire}" for wire in after)]))
                )
            found.append(inside)
        return found

    def _told(self, symbols: Sequence[Symbol]) -> dict[int, str]:
        """Return each current path in words, from top to bottom, each wire once with both its terminals."""
        return {
            number: text(
                "told.path",
                number=number,
                words=", ".join(f"{before}{symbols[index].told}{after}" for index, before, after in inside),
            )
            for number, inside in enumerate(self.paths, start=1)
            if inside
        }


def _beside(lines: Sequence[str], body: Box) -> tuple[Text, ...]:
    """Return a symbol's name and the lines under it, on its right."""
    tall = NAME + (SMALL + 2) * (len(lines) - 1)
    y = (body.top + body.bottom - tall) / 2 + NAME * 0.8
    return tuple(
        Text(line, body.right + WORDS_GAP, y + (SMALL + 2) * number, SMALL if number else NAME, bold=not number)
        for number, line in enumerate(lines)
    )


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
