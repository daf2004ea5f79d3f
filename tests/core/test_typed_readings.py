"""What is typed of a real meter: numbers with and without a unit, what stands there in place of one, ranges."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultwright.errors import Refused
from faultwright.meter import (
    AMPS,
    BLOWN,
    CONTINUITY,
    DIODE,
    FLOATING,
    LIVE,
    MODES,
    OHMS,
    OK,
    OVERLOAD,
    SCALES,
    STATUSES,
    UNSTEADY,
    VOLTS,
    show,
)
from faultwright.scale import AUTO
from faultwright.typed_readings import parse_display, parse_range, typed_number, typed_status


@pytest.mark.parametrize(
    ("mode", "text", "value"),
    [
        (VOLTS, "12,4 V", 12.4),
        (VOLTS, "12.4", 12.4),
        (VOLTS, " -0.31 ", -0.31),
        (VOLTS, "310 mV", 0.31),
        (VOLTS, "+5", 5.0),
        (OHMS, "0.3 ohm", 0.3),
        (OHMS, "0,3 Ω", 0.3),
        (OHMS, "4.7 kΩ", 4700.0),
        (OHMS, "85", 85.0),
        (CONTINUITY, "0.2 Ω", 0.2),
        (DIODE, "0.548 V", 0.548),
        (DIODE, ".55", 0.55),
        (AMPS, "350 mA", 0.35),
        (AMPS, "1.14 A", 1.14),
    ],
)
def test_numbers(mode: str, text: str, value: float) -> None:
    """A number with its unit, or without one: then in V, A or Ω; a decimal comma is one."""
    reading = parse_display(mode, text)
    assert (reading.status, reading.unit) == (OK, SCALES[mode].unit)
    assert reading.value == pytest.approx(value, rel=1e-12)
    assert reading.tolerance == show(mode, value).tolerance


@pytest.mark.parametrize(
    ("mode", "text", "status"),
    [
        (OHMS, "OL", OVERLOAD),
        (OHMS, "o.l", OVERLOAD),
        (VOLTS, "0L", OVERLOAD),
        (VOLTS, "-OL", OVERLOAD),
        (DIODE, "over  limit", OVERLOAD),
        (VOLTS, "floating 0", FLOATING),
        (VOLTS, "Floating", FLOATING),
        (AMPS, "0 floating", FLOATING),
        (VOLTS, "----", UNSTEADY),
        (VOLTS, "––", UNSTEADY),
        (AMPS, "unsteady", UNSTEADY),
        (OHMS, "----", LIVE),
        (CONTINUITY, "---", LIVE),
        (DIODE, "live", LIVE),
        (AMPS, "blown", BLOWN),
    ],
)
def test_what_stands_there_in_place_of_a_number(mode: str, text: str, status: str) -> None:
    """OL, dashes, or a word for what was seen: no value, and the status that a record writes."""
    reading = parse_display(mode, text)
    assert (reading.value, reading.status) == (None, status)


@pytest.mark.parametrize(
    ("mode", "text", "message"),
    [
        (VOLTS, "", "'' is no reading (allowed: a number, such as '12.4 V' or '12.4', OL, floating, unsteady)"),
        (OHMS, "about 5", "'about 5' is no reading (allowed: a number, such as '12.4 Ω' or '12.4', OL, floating, unsteady, live)"),
        (AMPS, "blow", "'blow' is no reading; did you mean 'blown'? (allowed: a number, such as '12.4 A' or '12.4', OL, floating, unsteady, blown)"),
        (VOLTS, "live", "'live' is not read on volts, only on ohms, continuity, diode (allowed: a number, such as '12.4 V' or '12.4', OL, floating, unsteady)"),
        (OHMS, "blown", "'blown' is not read on ohms, only on amps (allowed: a number, such as '12.4 Ω' or '12.4', OL, floating, unsteady, live)"),
        (AMPS, "----", "'----' on amps can mean two things; write 'unsteady' or 'blown'"),
        (VOLTS, "12 A", "'12 A' is not in V; write a number with a unit, such as '12 V'"),
        (VOLTS, "12,400", "'12,400 V' can be read in two ways; write the number without a comma"),
        (VOLTS, "2 kV", "2000.0 V is more than the meter can show"),
        (OHMS, "12 x", "'12 x': 'x' is not a unit; write a number with a unit, such as '85 Ω'"),
    ],
)  # fmt: skip
def test_what_is_no_reading(mode: str, text: str, message: str) -> None:
    """What is wrong and what may be typed."""
    with pytest.raises(Refused) as refused:
        parse_display(mode, text)
    assert str(refused.value) == message


def test_on_a_range() -> None:
    """A number has the tolerance of its range, and none can stand above full scale."""
    reading = parse_display(VOLTS, "12", 1000.0)
    assert (reading.value, reading.tolerance, reading.range) == (12.0, 2.0, 1000.0)
    assert parse_display(VOLTS, "OL", 6.0).range == 6.0
    with pytest.raises(Refused, match=r"^12\.4 V is more than the meter can show on its 6 V range$"):
        parse_display(VOLTS, "12.4", 6.0)


@given(st.sampled_from(MODES), st.floats(-1.2, 1.2), st.data())
def test_what_the_meter_displays_can_be_typed(mode: str, share: float, data: st.DataObject) -> None:
    """The display of any reading, typed as it stands, is that reading."""
    chosen = data.draw(st.sampled_from((AUTO, *SCALES[mode].ranges())))
    full = data.draw(st.sampled_from(SCALES[mode].ranges() or (3.0,)))
    shown = show(mode, share * full, chosen)
    typed = parse_display(mode, shown.display, chosen)
    assert typed.status == shown.status
    assert typed.value == (None if shown.value is None else pytest.approx(shown.value, rel=1e-12))


@pytest.mark.parametrize("mode", MODES)
def test_every_status_goes_without_a_number(mode: str) -> None:
    """What stands in place of a number has the unit of its mode, and no value."""
    for status in STATUSES[1:]:
        reading = typed_status(mode, status)
        assert (reading.value, reading.status, reading.unit) == (None, status, SCALES[mode].unit)
    assert typed_number(mode, 0.0) == show(mode, 0.0)


@pytest.mark.parametrize(
    ("mode", "text", "full"),
    [
        (VOLTS, "auto", AUTO),
        (VOLTS, " Auto ", AUTO),
        (CONTINUITY, "auto", AUTO),
        (VOLTS, "60 V", 60.0),
        (VOLTS, "600 mV", 0.6),
        (VOLTS, "0.6 V", 0.6),
        (AMPS, "60 mA", 0.06),
        (OHMS, "60 MΩ", 60e6),
        (OHMS, "6 kohm", 6e3),
    ],
)
def test_ranges(mode: str, text: str, full: float) -> None:
    """A range is named by its full scale with a unit; however it is written, it is the meter's own number."""
    assert parse_range(mode, text) == full
    assert full == AUTO or full in SCALES[mode].ranges()


@pytest.mark.parametrize(
    ("mode", "text", "message"),
    [
        (VOLTS, "50 V", "there is no range of 50 V on volts; did you mean 60 V? (allowed: 600 mV, 6 V, 60 V, 600 V, 1000 V)"),
        (VOLTS, "0 V", "a range is more than zero (allowed: 600 mV, 6 V, 60 V, 600 V, 1000 V)"),
        (VOLTS, "60", "'60' has no unit; write a number with a unit, such as '12 V'"),
        (VOLTS, "60 mA", "'60 mA' is not in V; write a number with a unit, such as '12 V'"),
        (DIODE, "6 V", "diode has one range only; leave the range on auto"),
    ],
)  # fmt: skip
def test_what_is_no_range(mode: str, text: str, message: str) -> None:
    """Which ranges there are, and the nearest."""
    with pytest.raises(Refused) as refused:
        parse_range(mode, text)
    assert str(refused.value) == message
