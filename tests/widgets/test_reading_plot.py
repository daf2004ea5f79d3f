"""The plot of one reading over all control states, and its text alternative."""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from matplotlib import pyplot as plt
from matplotlib.patches import Rectangle

from faultwright.circuit_file import parse_circuit
from faultwright.errors import Refused
from faultwright.meter import Probe, show
from faultwright.record import BENCH, Measured, Record
from faultwright_widgets.reading_plot import describe_over_states, plot_over_states, readings_over_states
from faultwright_widgets.show import Shown
from tests.widgets.plot_measures import clipped, overlapping, placed_texts, shapes
from tests.widgets.sprayer import CIRCUIT, bench

if TYPE_CHECKING:
    from matplotlib.figure import Figure

COIL = Probe("volts", "K1:86", "K1:85")


def test_healthy_is_calculated_in_every_state() -> None:
    """The coil has its volts where the key is on and either route is closed, and none elsewhere."""
    found = readings_over_states(CIRCUIT, COIL)
    assert len(found) == 8
    for entry in found:
        fed = entry.state["key"] == "on" and (entry.state["test"] == "pressed" or entry.state["float"] == "full")
        assert entry.measured is None
        assert ((entry.healthy.value or 0.0) > 12) == fed


def test_measured_comes_from_a_copy_of_the_machine() -> None:
    """An open wire shows in exactly the state that depends on it, and the student's machine is left as it stands."""
    work = bench("W6 open")
    work.move("key=on")
    work.move("test=pressed")
    before = (dict(work.machine.state), dict(work.machine.relays), work.machine.wiring, list(work.actions))
    found = readings_over_states(CIRCUIT, COIL, machine=work.machine)
    differing = [tuple(entry.state.values()) for entry in found if entry.differs]
    assert differing == [("on", "released", "full")]
    assert (dict(work.machine.state), dict(work.machine.relays), work.machine.wiring, work.actions) == before


def test_measured_comes_from_the_record_where_there_is_one() -> None:
    """Only findings of this measurement count, in their own states; the others stay unmeasured."""
    work = bench("W6 open")
    for move in ("key=on", "float=full"):
        work.move(move)
    work.read(COIL)
    work.read(Probe("volts", "K1:30", "FRAME"))
    found = readings_over_states(CIRCUIT, COIL, record=work.record)
    measured = {tuple(entry.state.values()): entry.measured for entry in found if entry.measured}
    assert list(measured) == [("on", "released", "full")]
    assert measured["on", "released", "full"] == work.actions[2].reading  # type: ignore[union-attr]


def test_healthy_is_wired_as_the_findings_were() -> None:
    """Ohms taken with the battery off are compared with a healthy machine whose battery is off as well."""
    work = bench()
    work.move("unplug=G1")
    probe = Probe("ohms", "B1:1", "B1:2")
    work.read(probe)
    work.move("float=full")
    work.read(probe)
    found = readings_over_states(CIRCUIT, probe, record=work.record)
    by_state = {tuple(entry.state.values()): entry for entry in found}
    low, full = by_state["off", "released", "low"], by_state["off", "released", "full"]
    assert (low.healthy.status, full.healthy.status) == ("overload", "ok")
    assert not low.differs
    assert not full.differs
    assert low.measured is not None
    assert full.measured is not None


def marks(figure: Figure) -> dict[str, list[tuple[float, float]]]:
    """Return the places of the labelled marks of a plot, by their label."""
    return {
        str(line.get_label()): [(float(x), float(y)) for x, y in np.asarray(line.get_xydata(), dtype=float)]
        for line in figure.axes[0].get_lines()
        if not str(line.get_label()).startswith("_")
    }


def test_the_plot_shows_the_readings() -> None:
    """Each state has its row; title, axis and unit are named, and healthy and measured differ in shape."""
    machine = bench("W6 open").machine
    figure = plot_over_states(CIRCUIT, COIL, machine=machine)
    axes = figure.axes[0]
    readings = readings_over_states(CIRCUIT, COIL, machine=machine)
    drawn = marks(figure)
    assert [x for x, _ in drawn["healthy, calculated"]] == [entry.healthy.value or 0.0 for entry in readings]
    assert [x for x, _ in drawn["measured"]] == [
        (entry.measured.value or 0.0) if entry.measured else None for entry in readings
    ]
    assert len({line.get_marker() for line in axes.get_lines() if line.get_marker() != "None"}) == 2
    assert all(patch.get_hatch() for patch in axes.patches)
    assert axes.get_xlabel() == "Volts in V"
    assert figure.get_suptitle() == "Volts, R on K1:86, B on K1:85\nTowed orchard sprayer, pump relay"


def test_readings_without_a_number_are_said_in_words() -> None:
    """OL stands beyond every number and is written out, never drawn as a zero."""
    work = bench("B1 stuck open")
    work.move("unplug=G1")
    figure = plot_over_states(CIRCUIT, Probe("ohms", "B1:1", "B1:2"), machine=work.machine)
    words = [child.get_text() for child in figure.axes[0].texts]
    # Measured in four states (the test button, pressed, goes round the switch and through the coil), healthy in two.
    assert words.count("OL") == 4


def test_the_text_alternative_says_what_the_plot_shows() -> None:
    """Every state is a line, and what differs is said; the figure carries the same text."""
    machine = bench("W6 open").machine
    words = describe_over_states(CIRCUIT, COIL, machine=machine)
    lines = words.splitlines()
    assert lines[0] == "Volts, R on K1:86, B on K1:85, over 8 control states of Towed orchard sprayer, pump relay."
    assert len(lines) == 9
    on_by_float = {"key": "on", "test": "released", "float": "full"}
    fed = next(entry for entry in readings_over_states(CIRCUIT, COIL) if entry.state == on_by_float)
    state = "Key switch on, Pump test button released, Tank float full"
    assert [line for line in lines if "(differs)" in line] == [
        f"{state}: healthy {fed.healthy.display} ± 80 mV, measured 0.0 mV (differs)."
    ]
    assert plot_over_states(CIRCUIT, COIL, machine=machine).get_label() == words


def test_fixed_controls_have_no_rows_of_their_own() -> None:
    """With the key on there are four states, each as it is among all eight; the title says what is fixed."""
    every = {tuple(entry.state.values()): entry for entry in readings_over_states(CIRCUIT, COIL)}
    found = readings_over_states(CIRCUIT, COIL, key="on")
    assert len(found) == 4
    assert all(entry == every[tuple(entry.state.values())] for entry in found)
    figure = plot_over_states(CIRCUIT, COIL, key="on")
    assert figure.get_suptitle().splitlines()[-1] == "with Key switch on"
    assert "Key\nswitch" not in [child.get_text() for child in figure.axes[0].texts]
    assert describe_over_states(CIRCUIT, COIL, key="on").count("Key switch on") == 4


def test_fixed_controls_make_a_large_machine_fit() -> None:
    """What counts is the states that are left: 128 of them with one of seven controls fixed are 64."""
    controls = "\n".join(f"  c{number}: {{positions: [off, on]}}" for number in range(7))
    rest = "parts:\n  G1: {kind: battery}\nwires: {}\n"
    circuit = parse_circuit(f"circuit: many\ncontrols:\n{controls}\n{rest}", "many.yaml")
    assert len(readings_over_states(circuit, Probe("volts", "G1:+", "G1:-"), c0="on")) == 64


def test_what_cannot_be_fixed_is_refused() -> None:
    """Every wrong control and position is named at once, with what is allowed."""
    with pytest.raises(Refused) as refused:
        readings_over_states(CIRCUIT, COIL, kye="on", test="push")
    assert str(refused.value) == (
        "there is no control 'kye'; did you mean 'key'? (allowed: key, test, float)\n"
        "control test: there is no position 'push' (allowed: released, pressed)"
    )


def test_a_real_meter_is_judged_with_its_wider_tolerance() -> None:
    """A reading from real hardware that is off by 0.3 V does not differ, where the simulated meter's would."""
    work = bench()
    for move in ("key=on", "float=full"):
        work.move(move)
    differs = []
    for source in ("", BENCH):
        finding = Measured(COIL, show("volts", 11.9), source=source)
        record = Record(CIRCUIT.name, (*work.record.moves(), finding))
        found = readings_over_states(CIRCUIT, COIL, record=record)
        differs += [entry.differs for entry in found if entry.measured]
    assert differs == [True, False]


@pytest.mark.parametrize(("probe", "move"), [(COIL, "rest"), (Probe("ohms", "B1:1", "B1:2"), "unplug=G1")])
def test_every_text_has_its_place(probe: Probe, move: str) -> None:
    """No text is clipped and none lies over another, with volts and with ohms over decades."""
    work = bench("B1 stuck open")
    work.move(move)
    for figure in (
        plot_over_states(CIRCUIT, probe, machine=work.machine),
        plot_over_states(CIRCUIT, probe, machine=work.machine, key="on"),
    ):
        assert clipped(figure) == []
        assert overlapping(figure) == []


def test_healthy_measured_and_tolerance_differ_in_shape() -> None:
    """In greyscale an open square, a full disc and a hatched area are still told apart."""
    found = shapes(plot_over_states(CIRCUIT, COIL, machine=bench("W6 open").machine))
    assert len(found) == len(set(found.values())) == 3


def test_the_tolerance_is_seen_through_the_square() -> None:
    """The band is as wide as the meter's tolerance, and the square on it has no filling that would hide it."""
    readings = readings_over_states(CIRCUIT, COIL)
    axes = plot_over_states(CIRCUIT, COIL).axes[0]
    widths = [bar.get_width() for bar in axes.patches if isinstance(bar, Rectangle)]
    assert widths == pytest.approx([2 * entry.healthy.tolerance for entry in readings])
    assert shapes(axes.get_figure(root=True))["healthy, calculated"] == ("s", False, "None")  # type: ignore[arg-type]


def test_a_dollar_sign_is_no_formula() -> None:
    """What an author writes is drawn as it stands."""
    named = replace(CIRCUIT, title="Pump $4, relay $5")
    figure = plot_over_states(named, COIL)
    assert "Pump $4, relay $5" in [words for words, _ in placed_texts(figure) for words in words.splitlines()]


def test_no_figure_is_left_behind() -> None:
    """A plot is a figure of its own and not one of pyplot's, which would stay in memory and be shown twice."""
    before = plt.get_fignums()
    plot_over_states(CIRCUIT, COIL)
    assert plt.get_fignums() == before


def test_too_many_states_are_refused() -> None:
    """A plot over more states than fit is refused, and says how many there are."""
    controls = "\n".join(f"  c{number}: {{positions: [off, on]}}" for number in range(7))
    rest = "parts:\n  G1: {kind: battery}\nwires: {}\n"
    circuit = parse_circuit(f"circuit: many\ncontrols:\n{controls}\n{rest}", "many.yaml")
    with pytest.raises(Refused, match="128 control states; a plot over them can show 64 at most"):
        plot_over_states(circuit, Probe("volts", "G1:+", "G1:-"))


class Images(HTMLParser):
    """Collects the attributes of images."""

    def __init__(self) -> None:
        """Start with none."""
        super().__init__()
        self.found: list[dict[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep an image's attributes."""
        if tag == "img":
            self.found.append(dict(attrs))


def test_a_shown_figure_has_its_text_with_it() -> None:
    """In a notebook the image has its text alternative; where only text can be shown, it is that text."""
    figure = plot_over_states(CIRCUIT, COIL)
    shown: Any = Shown(figure)
    page = Images()
    page.feed(shown._repr_html_())
    assert page.found[0]["alt"] == figure.get_label()
    assert str(page.found[0]["src"]).startswith("data:image/png;base64,iVBOR")
    assert repr(shown) == figure.get_label()
