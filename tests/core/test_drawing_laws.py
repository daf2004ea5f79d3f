"""Large diagrams: nothing over anything else, few crossings, and nothing that moves when a control does."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.drawing import columns
from faultwright.drawing.elements import End
from faultwright.drawing.layout import CircuitSheet, lay_out, sheet_of
from faultwright.drawing.placing import WHOLE, Arranged
from faultwright.drawing.sheet import Layout, Line, Pin
from faultwright.drawing.spacing import PITCH, Bands
from faultwright.drawing.svg import draw
from faultwright.drawing.text import Text
from faultwright.drawing.tracks import Run, crossings, set_tracks
from faultwright.parts import KINDS, terminals

from .drawing_measures import covered, figures
from .drawing_measures import crossings as crossings_of
from .drawn_circuits import HOUSE, drawn_circuits
from .large_circuits import large_circuit, large_circuits
from .strategies import circuits

DRAWN = drawn_circuits()
each_drawn = pytest.mark.parametrize("circuit", DRAWN.values(), ids=DRAWN)
LARGE = [large_circuit(seed, 60, tangled=tangled) for seed in range(3) for tangled in (0, 6)]


# What the random machines are


def test_large_circuits_are_what_they_claim() -> None:
    """Sixty parts, every kind, changeover contacts, many contacts on one coil, wide connectors, several sources."""
    made = [large_circuit(seed, 60) for seed in range(12)]
    assert {len(circuit.parts) for circuit in made} <= {59, 60}
    assert {part.kind for circuit in made for part in circuit.parts.values()} == set(KINDS)
    for circuit in made:
        contacts = [part.contacts for part in circuit.parts.values() if part.contacts]
        assert any(len({pin for contact in group for pin in contact.pins}) < 2 * len(group) for group in contacts)
        assert max(map(len, contacts)) >= 3
        ends = {terminal for part in circuit.parts.values() for terminal in terminals(part)} | {"FRAME"}
        assert all({wire.start, wire.end} <= ends for wire in circuit.wires.values())
    sources = Counter(sum(part.kind in ("battery", "supply") for part in circuit.parts.values()) for circuit in made)
    assert set(sources) == {1, 2, 3}
    assert any(part.number("pins") >= 6 for one in made for part in one.parts.values() if part.kind == "connector")


# Nothing over anything else


@each_drawn
def test_drawings_of_lessons_and_guides_are_clear(circuit: Circuit) -> None:
    """Every circuit that is drawn in the course, the demonstration, the guide and the benchmarks."""
    layout = lay_out(circuit)
    assert not covered(layout), covered(layout)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(circuit=large_circuits())
def test_any_large_machine_is_drawn_clear(circuit: Circuit) -> None:
    """Machines of thirty to sixty parts: no overlap, no clash of words, no line through or over anything."""
    layout = lay_out(circuit)
    assert not covered(layout), covered(layout)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(circuit=circuits(most=14))
def test_any_wiring_is_drawn_clear(circuit: Circuit) -> None:
    """Circuits in which everything is wired to anything, as the electrical laws are tested with."""
    layout = lay_out(circuit)
    assert not covered(layout), covered(layout)


@pytest.mark.slow
@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(circuit=large_circuits(least=5))
def test_any_machine_is_drawn_clear_at_length(circuit: Circuit) -> None:
    """The same for many more machines, small and large."""
    layout = lay_out(circuit)
    assert not covered(layout), covered(layout)


def test_what_covers_something_is_counted() -> None:
    """Each measure sees its own fault when there is one, so that none can pass by seeing nothing."""
    layout = lay_out(DRAWN["salt-spreader"])
    assert not covered(layout)

    def with_line(*points: tuple[float, float]) -> Layout:
        ground = replace(layout.ground, lines=(*layout.lines, Line("", points, None)))
        return replace(layout, ground=ground)

    lamp = next(symbol for symbol in layout.symbols if symbol.element.part == "P1")
    fuse = next(symbol for symbol in layout.symbols if symbol.element.part == "F1")
    corner = next(iter(lamp.pins.values()))
    away = next(iter(fuse.pins.values()))
    through = with_line((corner.x, corner.y), (corner.x, lamp.bottom + 1), (away.x, away.y))
    assert covered(through).lines_through_symbols
    assert covered(through).lines_on_lines
    twice = replace(layout, symbols=(*layout.symbols, lamp))
    assert covered(twice).symbols_on_symbols
    assert covered(twice).words_on_words
    assert covered(twice).terminals_too_close
    box = lamp.body
    words = Text("here", box.left, box.bottom)
    noted = replace(layout, note=(*layout.note, words))
    assert covered(noted).words_on_symbols
    line = layout.lines[0].points
    beside = Text("here", line[0][0] - 1, line[0][1])
    assert covered(replace(layout, note=(*layout.note, beside))).words_on_lines
    assert covered(replace(layout, note=(*layout.note, Text("out", layout.width - 2, 20)))).words_off_sheet


# Crossings


def unimproved(circuit: Circuit, patch: pytest.MonkeyPatch) -> Layout:
    """Return a layout with the columns as they are first filled."""
    with patch.context() as patched:
        patched.setattr(columns, "reorder", lambda filled, *_: dict(filled.first))
        return CircuitSheet(Arranged(circuit), WHOLE).layout(None, frozenset(), with_path=False)


@each_drawn
def test_ordering_columns_never_adds_crossings(circuit: Circuit, monkeypatch: pytest.MonkeyPatch) -> None:
    """On every circuit that is drawn anywhere, no more lines cross, and the sheet is no wider."""
    before, after = figures(unimproved(circuit, monkeypatch)), figures(lay_out(circuit))
    assert after.crossings <= before.crossings
    assert after.width <= before.width + PITCH


def test_ordering_columns_saves_a_third_of_the_crossings(monkeypatch: pytest.MonkeyPatch) -> None:
    """On large machines taken together; and what is left is fewer than two crossings for each wire."""
    before = [len(crossings_of(unimproved(circuit, monkeypatch))) for circuit in LARGE]
    after = [len(crossings_of(lay_out(circuit))) for circuit in LARGE]
    assert sum(after) <= 2 / 3 * sum(before)
    assert all(found < 2 * len(circuit.wires) for found, circuit in zip(after, LARGE, strict=True))


@pytest.mark.parametrize("name", ["circuits/compressor", "circuits/runabout", "demo_class/orchard-sprayer",
                                  "benchmarks/yard_loader", "guides/ride-on"])  # fmt: skip
def test_lessons_have_no_crossing(name: str) -> None:
    """What a student learns on is drawn without any line that crosses another."""
    assert not crossings_of(lay_out(DRAWN[name]))


def test_sources_stand_on_the_left() -> None:
    """One reads from the source to the right: nothing stands left of the first source, and no source far off."""
    for circuit in LARGE:
        layout = lay_out(circuit)
        xs = {symbol.element.part: min(pin.x for pin in symbol.pins.values()) for symbol in layout.symbols}
        sources = [name for name, part in circuit.parts.items() if part.kind in ("battery", "supply")]
        assert min(xs[name] for name in sources) == min(xs.values())


runs = st.lists(
    st.tuples(st.integers(0, 40), st.integers(1, 20), st.sets(st.integers(0, 20)), st.sets(st.integers(0, 20))),
    min_size=1,
    max_size=7,
).map(
    lambda drawn: [
        Run(10.0 * left, 10.0 * (left + long), up=xs(left, long, up), down=xs(left, long, down))
        for left, long, up, down in drawn
    ]
)


def xs(left: int, long: int, places: set[int]) -> tuple[float, ...]:
    """Return the x of what leaves a line at these of its places."""
    return tuple(10.0 * (left + place) for place in sorted(places) if place <= long)


@given(runs=runs)
def test_lines_that_meet_lie_on_tracks_of_their_own(runs: list[Run]) -> None:
    """No two lines on one track come near each other, and the number of tracks is that of the lowest."""
    count = set_tracks(runs)
    assert count == 1 + max(run.track for run in runs)
    for place, one in enumerate(runs):
        for other in runs[:place]:
            assert one.track != other.track or not one.meets(other)


def test_the_line_that_is_crossed_less_lies_above() -> None:
    """A long line whose wires go down, and a short one under it whose wires go down too: the short one goes below."""
    long, short = Run(0, 100, up=(), down=(0, 100)), Run(40, 60, up=(), down=(40, 60))
    set_tracks([long, short])
    assert crossings(long, short) == 0 < crossings(short, long)
    assert long.track < short.track
    rising = Run(40, 60, up=(40, 60), down=())
    set_tracks([long, rising])
    assert rising.track < long.track


def test_columns_stand_apart_only_where_something_needs_it() -> None:
    """Words in the same band keep clear of each other; in different bands they may stand above each other."""
    bands = Bands()
    bands.add(0, 0, 10, 100)
    bands.add(1, 1, 10, 20)
    bands.add(0, 2, 10, 30)
    found, edges = bands.set_columns(3, (), 20)
    assert found == [30, 30 + PITCH, 30 + 100 + 8 + 10]
    assert edges == [20, 130, 130, 178]
    cut, edges = bands.set_columns(3, (), 20, breaks=(1,))
    assert cut[1] == edges[1] + 16 + 10


# What stays where it is


@each_drawn
def test_nothing_shifts_when_controls_move_or_something_is_unplugged(circuit: Circuit) -> None:
    """Lines, terminals, bodies and the size of the sheet are the same in every state and with anything apart."""
    plain = lay_out(circuit)
    for state in list(circuit.states())[:32]:
        moved = lay_out(circuit, positions=state, unplugged=list(circuit.parts)[::3])
        assert moved.ground is plain.ground
        assert (moved.width, moved.height) == (plain.width, plain.height)
        for one, other in zip(plain.symbols, moved.symbols, strict=True):
            assert one.body == other.body
            assert places(one.pins.values()) == places(other.pins.values())
        assert not covered(moved), covered(moved)


def places(pins: Iterable[Pin]) -> list[tuple[End, float, float]]:
    """Return where terminals stand."""
    return [(pin.end, pin.x, pin.y) for pin in pins]


def test_a_redraw_works_nothing_out_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once a circuit was drawn, another state of it places no column and inks no line: the bench draws at each move."""
    circuit = DRAWN["benchmarks/yard_loader"]
    draw(circuit, positions=circuit.rest())

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError

    monkeypatch.setattr("faultwright.drawing.layout.Placing", refuse)
    monkeypatch.setattr("faultwright.drawing.svg._line", refuse)
    monkeypatch.setattr("faultwright.drawing.svg._terminal", refuse)
    for state in list(circuit.states())[:8]:
        assert "commanded" in draw(circuit, positions=state)


def test_equal_circuits_written_in_another_order_do_not_share_a_sheet() -> None:
    """A sheet follows the order of parts and wires in the file, whichever of two such circuits was drawn first."""
    circuit = DRAWN["pond-pump"]
    turned = replace(circuit, wires=dict(reversed(list(circuit.wires.items()))))
    assert turned == circuit
    assert sheet_of(turned) is not sheet_of(circuit)
    assert sheet_of(replace(circuit, wires=dict(circuit.wires))) is sheet_of(circuit)


def test_a_large_drawing_is_the_same_in_every_process() -> None:
    """The order of sets and hashes does not reach the paper, whatever machine is drawn."""
    code = (
        "import sys; from tests.core.large_circuits import large_circuit; from faultwright.drawing.svg import draw; "
        "sys.stdout.buffer.write(draw(large_circuit(5, 40, tangled=4)).encode('utf-8'))"
    )
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            check=True,
            cwd=HOUSE,
            env=os.environ | {"PYTHONHASHSEED": seed},
        )
        assert done.stdout.decode("utf-8") == draw(large_circuit(5, 40, tangled=4))
