"""The plot of the voltage-drop profile, and the words that stand for it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from faultwright.circuit_file import read_circuit
from faultwright.errors import Refused
from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright.meter import Probe
from faultwright_widgets.profile_plot import plot_drop_profile
from tests.widgets.plot_measures import clipped, overlapping, placed_texts, shapes
from tests.widgets.sprayer import CIRCUIT, bench

ROOT = Path(__file__).parents[2]
CIRCUITS = ROOT / "course" / "faultwright_course" / "circuits"
YARD = ROOT / "tests" / "benchmarks" / "yard_loader.yaml"
PUMP = "key=on; float=full"
BAD_PIN = "X1:1 resistance 0.5 Ω"


def pumping(fault: str, *points: tuple[str, str]) -> str:
    """Return the words of the pump's profile with readings taken on a bench with this fault."""
    work = bench(fault)
    for move in PUMP.split(";"):
        work.move(move.strip())
    for red, black in points:
        work.read(Probe("volts", red, black))
    return str(plot_drop_profile(CIRCUIT, "M1", PUMP, record=work.record).get_label())


def line(words: str, start: str) -> str:
    """Return the one line that begins so."""
    (found,) = [line for line in words.splitlines() if line.startswith(start)]
    return found


def test_the_plot_shows_volts_and_drops() -> None:
    """Joints from the source's plus down to its minus at the left, drops between them at the right, with units."""
    figure = plot_drop_profile(CIRCUIT, "M1", PUMP)
    volts, drops = figure.axes
    (healthy,) = volts.get_lines()
    xs, ys = np.asarray(healthy.get_xydata()).T
    assert list(ys) == list(range(14))
    assert list(xs) == sorted(xs, reverse=True)
    assert xs[-1] == 0
    over, rows = np.asarray(drops.get_lines()[0].get_xydata()).T
    assert list(rows) == [row + 0.5 for row in range(13)]
    assert sum(over) == pytest.approx(xs[0])
    assert volts.get_xlabel() == "Voltage against G1:-, in V"
    assert drops.get_xlabel() == "Drop over each, in V"
    assert figure.get_suptitle().splitlines() == [
        "Voltage drop along the path of the current through M1",
        "Towed orchard sprayer, pump relay",
        "Key switch on, Tank float full",
    ]


def test_the_words_say_every_joint_and_drop() -> None:
    """Without readings: each joint and each drop on a line, what is usual, and what is lost there and back."""
    words = str(plot_drop_profile(CIRCUIT, "M1", PUMP).get_label())
    assert words.splitlines()[0] == (
        "How the voltage falls along the path of the current through M1 of Towed orchard sprayer, pump relay, Key "
        "switch on, Tank float full; joints against G1:-."
    )
    assert len(words.splitlines()) == 1 + 13 + 13 + 2
    assert line(words, "over X1:1") == "over X1:1 connector: healthy 25.3 mV, usual at most 100 mV."
    assert line(words, "G1:+") == "G1:+: healthy 12.49 V."
    assert line(words, "From M1:2") == (
        "From M1:2 back to G1:-, wires and joints alone, 138.3 mV falls, on the healthy machine; usual are 100 mV at "
        "most (common practice at 12 V)."
    )
    assert "measured" not in words


def test_a_record_shows_what_was_measured_and_no_more() -> None:
    """One healthy-looking reading gives nothing of the fault away; the two on either side of it bracket it."""
    above = pumping(BAD_PIN, ("X1:a1", "G1:-"))
    assert line(above, "X1:a1") == "X1:a1: healthy 12.33 V, measured 12.38 V."
    assert above.count("measured") == 1
    assert above.splitlines()[-1] == "No reading on this path is other than on a healthy machine."
    both = pumping(BAD_PIN, ("X1:a1", "G1:-"), ("M1:1", "FRAME"), ("X1:a1", "X1:b1"))
    assert (
        line(both, "over X1:1")
        == "over X1:1 connector: healthy 25.3 mV, measured 2.130 V (differs), usual at most 100 mV."
    )
    assert line(both, "from M1:1 to FRAME").endswith("measured 10.24 V (differs).")
    assert both.splitlines()[-1] == (
        "Largest unexpected drop: 2.130 V from X1:a1 to X1:b1, over X1:1 (healthy: 25.3 mV)."
    )


def test_readings_elsewhere_are_said_not_to_be_there() -> None:
    """A record without a reading on this path says so, and is not taken for a healthy one."""
    words = pumping(BAD_PIN, ("K1:86", "K1:85"))
    assert words.splitlines()[-1] == "No reading was taken between joints of this path in this state."


def test_a_machine_is_measured_and_left_alone() -> None:
    """Every joint and drop has its reading, the stretch with the fault is marked, and the machine stands as before."""
    machine = Machine(CIRCUIT, [parse_fault(BAD_PIN, CIRCUIT)])
    before = dict(machine.state), dict(machine.relays)
    figure = plot_drop_profile(CIRCUIT, "M1", PUMP, machine=machine)
    assert (dict(machine.state), dict(machine.relays)) == before
    words = str(figure.get_label())
    assert words.count(", measured") == 13 + 13
    (band,) = figure.axes[0].patches
    box = band.get_window_extent().transformed(figure.axes[0].transData.inverted())
    joints = [row[0] for row in figure.told.rows if not row[0].startswith("over ")]
    assert [joints[round(row)] for row in sorted((box.y0, box.y1))] == ["X1:a1", "X1:b1"]


def test_kinds_of_mark_differ_without_colour() -> None:
    """Healthy, measured, measured against FRAME, the usual limit and the marked stretch: five shapes."""
    work = bench(BAD_PIN)
    for move in PUMP.split(";"):
        work.move(move.strip())
    for red, black in (("X1:a1", "G1:-"), ("M1:1", "FRAME"), ("X1:a1", "X1:b1")):
        work.read(Probe("volts", red, black))
    found = shapes(plot_drop_profile(CIRCUIT, "M1", PUMP, record=work.record))
    assert set(found) == {
        "healthy, calculated",
        "measured",
        "measured against FRAME",
        "usual at most, common practice at 12 V",
        "largest unexpected drop",
    }
    assert len(set(found.values())) == 5


@pytest.mark.parametrize(
    ("path", "load", "moves", "fault"),
    [
        (CIRCUITS / "compressor.yaml", "M1", "key=on; run=pressed", "XE1 resistance 0.5 Ω"),
        (CIRCUITS / "compressor.yaml", "P1", "key=on; run=pressed", "W13 open"),
        (
            CIRCUITS / "runabout.yaml",
            "Q1",
            "key=on; gear=engaged; clutch=pulled; start=pressed",
            "X1:3 resistance 560 Ω",
        ),
        (CIRCUITS / "runabout.yaml", "K1", "key=on", "R1 open"),
        (YARD, "K1", "key=on; brake=on; start=pressed", "W9 open"),
    ],
)
def test_every_text_has_its_place(path: Path, load: str, moves: str, fault: str) -> None:
    """Short paths and long: no text is clipped and none lies over another; every place and joint is named."""
    circuit = read_circuit(path)
    figure = plot_drop_profile(circuit, load, moves, machine=Machine(circuit, [parse_fault(fault, circuit)]))
    assert clipped(figure) == []
    assert overlapping(figure) == []
    assert "FRAME" in [words for words, _ in placed_texts(figure)]


def test_a_record_and_a_machine_are_one_too_many() -> None:
    """Which of them was measured could not be told."""
    work = bench()
    with pytest.raises(Refused) as refused:
        plot_drop_profile(CIRCUIT, "M1", PUMP, record=work.record, machine=work.machine)
    assert str(refused.value) == "give a record or a machine, not both: a reading belongs to one of them"
