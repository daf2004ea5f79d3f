"""The picture over all states: nothing before it is asked for, then the machine as the student's work has left it."""

from __future__ import annotations

from html import unescape
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from faultwright.errors import Refused
from faultwright.meter import Probe
from faultwright_course.on_demand import drops_on_demand, plot_on_demand, suspects_on_demand
from faultwright_course.opening import open_case
from tests.course.student import do

if TYPE_CHECKING:
    from ipywidgets import HTML, Button

ENABLE_LINE = Probe("volts", "K1:in", "FRAME")


def press(answer_file: Path) -> tuple[Button, HTML]:
    """Return the button and the picture of the lesson's plot."""
    button, picture = plot_on_demand(
        "routes-neutral", ENABLE_LINE, answer_file=answer_file, key="on", start="pressed"
    ).children
    return button, picture


def in_words(picture: HTML) -> list[str]:
    """Return the lines of the picture's text alternative, the first of which says what is shown."""
    alternative = unescape(picture.value.partition('alt="')[2].partition('" src="data:image/png')[0])
    return [line for line in alternative.splitlines() if line]


def test_nothing_is_shown_before_it_is_asked_for(tmp_path: Path) -> None:
    """Until the button is pressed there is no picture, and no file is made."""
    _, picture = press(tmp_path / "answer.json")
    assert picture.value == ""
    assert list(tmp_path.iterdir()) == []


def test_picture_shows_eight_states_of_the_machine_as_it_is(tmp_path: Path) -> None:
    """Key and start button fixed, eight states: one differs before the repair, none after it, at the same button."""
    path = tmp_path / "answer.json"
    button, picture = press(path)
    button.click()
    before = in_words(picture)
    assert len(before) == 9
    assert all("Key switch on" in line and "Start button pressed" in line for line in before[1:])
    (differs,) = [line for line in before[1:] if "differs" in line]
    assert "Gear lever neutral, Clutch lever released, Stand down" in differs
    do(open_case("routes-neutral", answer_file=path), {"do": "repair", "at": "R1", "remedy": "replace"})
    kept = path.read_bytes()
    button.click()
    after = in_words(picture)
    assert len(after) == 9
    assert [line for line in after[1:] if "differs" in line] == []
    assert path.read_bytes() == kept


def test_a_slip_in_what_is_fixed_is_refused_at_once() -> None:
    """The author of a lesson sees every slip with the nearest name before anybody presses the button."""
    with pytest.raises(Refused) as refused:
        plot_on_demand("routes-neutral", ENABLE_LINE, answer_file="answer.json", kye="on", start="pushed")
    assert [mistake.message for mistake in refused.value.mistakes] == [
        "there is no control 'kye'; did you mean 'key'? (allowed: key, gear, clutch, stand, start)",
        "control start: there is no position 'pushed'; did you mean 'pressed'? (allowed: released, pressed)",
    ]


def test_suspects_left_and_drops_are_drawn_from_the_record_alone(tmp_path: Path) -> None:
    """The suspects of each finding, and the measured drops of a path, come when asked for and tell what was noted."""
    path = tmp_path / "answer.json"
    opened = open_case("routes-neutral", answer_file=path)
    start = [{"do": "move", "move": move} for move in ("key=on", "clutch=pulled", "start=pressed")]
    do(opened, *start, {"do": "observe"}, {"do": "predict", "field": "expected", "text": "12 V"})
    do(
        opened,
        {"do": "point", "lead": "red", "terminal": "Q1:30"},
        {"do": "point", "lead": "black", "terminal": "G1:-"},
    )
    do(opened, {"do": "read"})
    for box in (
        suspects_on_demand("routes-neutral", answer_file=path),
        drops_on_demand("routes-neutral", "M1", "key=on; clutch=pulled; start=pressed", answer_file=path),
    ):
        button, picture = box.children
        assert picture.value == ""
        button.click()
        assert len(in_words(picture)) > 2


def test_what_cannot_be_drawn_is_said_in_the_pictures_place(tmp_path: Path) -> None:
    """A terminal that the circuit does not have is a line of text where the picture would stand, and no traceback."""
    button, picture = plot_on_demand(
        "routes-neutral", Probe("volts", "K1:inn", "FRAME"), answer_file=tmp_path / "a.json", key="on", start="pressed"
    ).children
    button.click()
    assert "K1 has no terminal inn" in picture.value
