"""What can be wrong with a drawing, counted: overlaps, clashes of words, lines over lines, crossings; and its size.

A layout tells where everything stands, so nothing is rendered. ``python -m tests.core.drawing_measures`` prints the
figures of the circuits that are drawn in lessons, guides and tests, and of large made-up machines.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass, fields
from itertools import combinations, pairwise
from time import perf_counter

from faultwright.circuit import FRAME, Circuit
from faultwright.drawing.layout import lay_out
from faultwright.drawing.sheet import PIN_RADIUS, Layout, Point, Symbol
from faultwright.drawing.text import Box

from .drawn_circuits import drawn_circuits
from .large_circuits import large_circuit

FRAME_STROKE = 4
"""How thick the machine's metal is drawn, in pixels; wires are half of that."""
SMALLEST_TARGET = 24
"""Pixels from terminal to terminal, so that each can be clicked (WCAG 2.2, success criterion 2.5.8 Target Size)."""


@dataclass(frozen=True, slots=True)
class Covered:
    """How often something covers something else; a good sheet has none of these."""

    symbols_on_symbols: int
    words_on_words: int
    words_on_symbols: int
    words_on_lines: int
    words_off_sheet: int
    lines_through_symbols: int
    lines_on_lines: int
    terminals_too_close: int

    def __bool__(self) -> bool:
        """Say whether anything covers anything."""
        return any(astuple(self))

    def __str__(self) -> str:
        """Name what there is."""
        return ", ".join(f"{getattr(self, one.name)} {one.name}" for one in fields(self) if getattr(self, one.name))


@dataclass(frozen=True, slots=True)
class Figures:
    """The size of a sheet in pixels, and how easily it reads: fewer crossings and corners, less line."""

    width: float
    height: float
    crossings: int
    corners: int
    line: float
    used: float
    """Share of the sheet that symbols and words cover."""


def covered(layout: Layout) -> Covered:
    """Count what covers something else."""
    words = [text.box for text in layout.texts]
    bodies = [symbol.body for symbol in layout.symbols]
    ways = list(_ways(layout))
    pieces = [piece for _, way in ways for piece in segments(way)]
    pins = [pin for symbol in layout.symbols for pin in symbol.pins.values() if not pin.end.copy]
    return Covered(
        symbols_on_symbols=_meeting([symbol.box for symbol in layout.symbols]),
        words_on_words=_meeting(words),
        words_on_symbols=_between(words, [box for symbol in layout.symbols for box in ink_of(symbol)]),
        words_on_lines=_between(words, [box for line in layout.lines for box in strokes(line.points, 1)])
        + _between(words, [box for way in layout.frame for box in strokes(way, FRAME_STROKE / 2)]),
        words_off_sheet=sum(
            box.left < 0 or box.top < 0 or box.right > layout.width or box.bottom > layout.height for box in words
        ),
        lines_through_symbols=_between(bodies, pieces),
        lines_on_lines=sum(
            _run_together(way, second) for (one, way), (other, second) in combinations(ways, 2) if not one & other
        ),
        terminals_too_close=sum(
            max(abs(pin.x - other.x), abs(pin.y - other.y)) < SMALLEST_TARGET for pin, other in combinations(pins, 2)
        ),
    )


def figures(layout: Layout) -> Figures:
    """Measure a sheet."""
    ways = [way for _, way in _ways(layout)]
    pieces = {piece for way in ways for piece in segments(way)}
    covered = [symbol.box for symbol in layout.symbols] + [text.box for text in layout.texts]
    return Figures(
        width=layout.width,
        height=layout.height,
        crossings=len(crossings(layout)),
        corners=len({point for way in ways for point in way[1:-1]}),
        line=sum(box.right - box.left + box.bottom - box.top for box in pieces),
        used=sum((box.right - box.left) * (box.bottom - box.top) for box in covered) / (layout.width * layout.height),
    )


def crossings(layout: Layout) -> set[Point]:
    """Return where one line crosses another that it is not joined to."""
    pieces = {piece for _, way in _ways(layout) for piece in segments(way)}
    level = [piece for piece in pieces if piece.top == piece.bottom]
    upright = [piece for piece in pieces if piece.left == piece.right]
    return {
        (one.left, other.top)
        for one in upright
        for other in level
        if other.left < one.left < other.right and one.top < other.top < one.bottom
    } - set(layout.dots)


def ink_of(symbol: Symbol) -> list[Box]:
    """Return a symbol's rectangles: its body, its leads and its terminals."""
    boxes = [symbol.body]
    for pin in symbol.pins.values():
        end = symbol.body.top if pin.upward else symbol.body.bottom
        boxes.append(Box(pin.x - 1, min(pin.y, end), pin.x + 1, max(pin.y, end)))
        if not pin.end.copy:
            boxes.append(Box(pin.x - PIN_RADIUS, pin.y - PIN_RADIUS, pin.x + PIN_RADIUS, pin.y + PIN_RADIUS))
    return boxes


def segments(points: Sequence[Point]) -> list[Box]:
    """Return the straight pieces of a line as flat rectangles."""
    return [Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairwise(points)]


def strokes(points: Sequence[Point], half: float) -> list[Box]:
    """Return the ink of a line's straight pieces, which reaches ``half`` a stroke to each side."""
    return [Box(one.left - half, one.top - half, one.right + half, one.bottom + half) for one in segments(points)]


def on(point: Point, piece: Box) -> bool:
    """Whether a point lies on a straight piece."""
    return piece.left <= point[0] <= piece.right and piece.top <= point[1] <= piece.bottom


def along(piece: Box, other: Box) -> bool:
    """Whether two straight pieces run over each other for some length."""
    if piece.left == piece.right == other.left == other.right:
        return piece.top < other.bottom and other.top < piece.bottom
    if piece.top == piece.bottom == other.top == other.bottom:
        return piece.left < other.right and other.left < piece.right
    return False


def _ways(layout: Layout) -> Iterator[tuple[set[str], tuple[Point, ...]]]:
    """Yield each line with the terminals that it joins."""
    at = {(pin.x, pin.y): pin.end.terminal for symbol in layout.symbols for pin in symbol.pins.values()}
    for way in layout.frame:
        yield {FRAME}, way
    for line in layout.lines:
        yield {at[line.points[0]], at[line.points[-1]]}, line.points


def _run_together(way: Sequence[Point], second: Sequence[Point]) -> bool:
    """Whether two lines run over each other or touch: on paper they would be joined."""
    one, other = segments(way), segments(second)
    return (
        any(along(piece, further) for piece in one for further in other)
        or any(on(point, piece) for piece in one for point in second)
        or any(on(point, piece) for piece in other for point in way)
    )


def _meeting(boxes: Sequence[Box]) -> int:
    return sum(one.meets(other) for one, other in combinations(boxes, 2))


def _between(boxes: Iterable[Box], others: Sequence[Box]) -> int:
    return sum(box.meets(other) for box in boxes for other in others)


# The table


def measured(circuits: Mapping[str, Circuit]) -> Iterator[str]:
    """Yield a line of figures for each circuit, with the time that its layout takes."""
    yield (
        f"{'circuit':26} {'parts':>5} {'wires':>5} {'width':>6} {'height':>6} {'cross':>5} {'corner':>6} "
        f"{'line':>6} {'used':>5} {'ms':>6}  covered"
    )
    for name, circuit in circuits.items():
        start = perf_counter()
        layout = lay_out(circuit)
        took = perf_counter() - start
        found = figures(layout)
        yield (
            f"{name:26} {len(circuit.parts):5} {len(circuit.wires):5} {found.width:6.0f} {found.height:6.0f} "
            f"{found.crossings:5} {found.corners:6} {found.line:6.0f} {found.used:5.1%} {1000 * took:6.0f}  "
            f"{covered(layout) or '-'}"
        )


def main() -> None:
    """Print the figures."""
    large = {
        f"large {seed}, {most} parts{', tangled' if tangled else ''}": large_circuit(seed, most, tangled=tangled)
        for tangled in (0, 6)
        for most in (30, 45, 60)
        for seed in range(4)
    }
    print(*measured({**drawn_circuits(), **large}), sep="\n")  # noqa: T201 - what it is for


if __name__ == "__main__":
    main()
