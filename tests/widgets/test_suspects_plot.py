"""The plot of the suspects left after each finding, and the words that stand for it."""

from __future__ import annotations

import numpy as np
import pytest

from faultwright.ambiguity import ambiguity_groups
from faultwright.bench import Bench
from faultwright.errors import Refused
from faultwright.faults import parse_fault, universe
from faultwright.meter import Probe
from faultwright.record import Record
from faultwright.sequence_review import review
from faultwright_widgets.suspects_plot import plot_suspects
from tests.core import depot
from tests.widgets.plot_measures import clipped, overlapping, shapes
from tests.widgets.sprayer import CIRCUIT, bench

SHED = depot.circuit(depot.SHED)
FAULTS = list(universe(CIRCUIT).values())


def search() -> Record:
    """Return a search: a look, two readings that split, one that tells nobody apart."""
    work = bench("W6 open")
    work.move("key=on")
    work.move("float=full")
    work.observe()
    for red in ("K1:86", "B1:2", "B1:2"):
        work.read(Probe("volts", red, "FRAME"))
    return work.record


def test_the_steps_are_the_numbers_of_the_review() -> None:
    """The line goes through what was there before the first finding and what each of them left, one row each."""
    reviewed = review(CIRCUIT, search(), FAULTS, healthy=True).findings
    (axes,) = plot_suspects(CIRCUIT, search()).axes
    line = next(line for line in axes.get_lines() if line.get_label() == "suspects")
    xs, ys = np.asarray(line.get_xydata()).T
    assert list(xs[::2]) == [len(FAULTS) + 1, *(one.after for one in reviewed)]
    assert list(ys[::2]) == [0, 1, 2, 3, 4]
    assert list(xs[1::2]) == list(xs[:-1:2])  # straight down to the next row, and only there to what is left
    assert axes.get_xlabel() == "Suspects left"


def test_the_words_say_what_each_finding_left_and_cleared() -> None:
    """Each finding is a line: its number in the record, how many are left, whom it cleared; then who is left."""
    lines = str(plot_suspects(CIRCUIT, search()).get_label()).splitlines()
    before, *_, last = review(CIRCUIT, search(), FAULTS, healthy=True).findings
    assert lines[0] == (
        f"Suspects left after each finding on Towed orchard sprayer, pump relay: {before.before} before the first, "
        f"{last.after} after the last."
    )
    assert len(lines) == 1 + 4 + 1
    assert lines[1].startswith(
        f"3, pump: no, lamp: off: left {before.after}, cleared {before.before - before.after}: W"
    )
    assert lines[4] == f"6, volts B1:2 to FRAME: 12.60 V: left {last.after}, cleared none: tells nobody apart."
    assert lines[5] == "Left at the end: W6 open, W6 resistance."


def test_each_finding_stands_beside_a_half_split() -> None:
    """Half of what was left before, for every finding: what a test that splits in two would leave."""
    reviewed = review(CIRCUIT, search(), FAULTS, healthy=True).findings
    (axes,) = plot_suspects(CIRCUIT, search()).axes
    marks = next(line for line in axes.get_lines() if "half-split" in str(line.get_label()))
    assert list(np.asarray(marks.get_xdata())) == [one.before / 2 for one in reviewed]


def test_groups_and_the_best_test_are_counted_where_asked_for() -> None:
    """Groups have a line of their own, with no more of them than suspects; the best test says what it leaves."""
    groups = ambiguity_groups(CIRCUIT, FAULTS)
    figure = plot_suspects(CIRCUIT, search(), groups=groups, best=True)
    (axes,) = figure.axes
    counts = {
        str(line.get_label()): np.asarray(line.get_xdata())[::2]
        for line in axes.get_lines()
        if line.get_linestyle() != "None"
    }
    assert all(counts["groups that no test tells apart"] <= counts["suspects"])
    words = str(figure.get_label())
    assert f"({len(groups)} groups)" not in words.splitlines()[1]  # the first finding clears some
    assert words.count("best test there") == 4
    best = review(CIRCUIT, search(), FAULTS, healthy=True, best=True).findings[1].best
    assert best is not None
    mean = sum(part**2 for part in best.parts) / sum(best.parts)
    assert f"best test there {best.candidate.words()}, which leaves {mean:.1f} on average." in words.splitlines()[2]


def test_kinds_of_mark_differ_without_colour() -> None:
    """Suspects, groups and the half-split differ in marker, filling or line."""
    found = shapes(plot_suspects(CIRCUIT, search(), groups=ambiguity_groups(CIRCUIT, FAULTS)))
    assert len(found) == len(set(found.values())) == 3


@pytest.mark.parametrize("count", [1, 40])
def test_every_text_has_its_place(count: int) -> None:
    """No text is clipped and none lies over another, with one finding and with as many as fit."""
    work = Bench(SHED, [parse_fault("W2 open", SHED)])
    work.move("key=on")
    for _ in range(count):
        work.read(Probe("volts", "S1:2", "FRAME"))
    figure = plot_suspects(SHED, work.record)
    assert (clipped(figure), overlapping(figure)) == ([], [])


def test_nobody_left_has_its_place_on_the_axis() -> None:
    """Findings that no single fault explains leave 0, which the axis shows although it runs in decades."""
    one, other = bench("W6 open"), bench("M1 open")
    for work in (one, other):
        work.move("key=on")
        work.move("float=full")
        work.read(Probe("volts", "K1:86", "FRAME"))
        work.read(Probe("volts", "M1:1", "M1:2"))
    record = Record(CIRCUIT.name, (*one.actions, *other.actions[2:]))
    figure = plot_suspects(CIRCUIT, record)
    low, _ = figure.axes[0].get_xlim()
    assert low < 0
    assert str(figure.get_label()).splitlines()[-1] == "Left at the end: nobody."


def test_what_cannot_be_plotted_is_refused() -> None:
    """No finding, and more than fit."""
    work = bench()
    with pytest.raises(Refused) as none:
        plot_suspects(CIRCUIT, work.record)
    assert str(none.value) == "the record holds no finding yet"
    for _ in range(41):
        work.observe()
    with pytest.raises(Refused) as many:
        plot_suspects(CIRCUIT, work.record)
    assert str(many.value) == "the record holds 41 findings; a plot can show 40 at most"
