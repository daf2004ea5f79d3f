"""The meter: its counts and ranges, every status, and the meter as a part of the circuit that it measures."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.circuit import FRAME
from faultwright.errors import Refused
from faultwright.machine import Machine
from faultwright.meter import (
    AMPS,
    BLOWN,
    CONTINUITY,
    DIODE,
    FLOATING,
    LEADS,
    LIVE,
    MODES,
    OHMS,
    OK,
    OVERLOAD,
    SCALES,
    UNSTEADY,
    VOLTS,
    Probe,
    Reading,
    agree,
    read,
    show,
)
from faultwright.parts import KINDS, terminals
from tests.core import depot
from tests.core.records import furthest

# The display


@pytest.mark.parametrize(
    ("mode", "true", "display", "value", "tolerance"),
    [
        (VOLTS, 0.0, "0.0 mV", 0.0, 0.0002),
        (VOLTS, 0.00004, "0.0 mV", 0.0, 0.0002),
        (VOLTS, 0.1234, "123.4 mV", 0.1234, 0.0008),
        (VOLTS, 0.59994, "599.9 mV", 0.5999, 0.0032),
        (VOLTS, 0.59996, "0.600 V", 0.6, 0.005),
        (VOLTS, 5.9994, "5.999 V", 5.999, 0.032),
        (VOLTS, 5.9996, "6.00 V", 6.0, 0.05),
        (VOLTS, 12.4336, "12.43 V", 12.43, 0.08),
        (VOLTS, -12.4336, "-12.43 V", -12.43, 0.08),
        (VOLTS, 59.996, "60.0 V", 60.0, 0.5),
        (VOLTS, 230.04, "230.0 V", 230.0, 1.4),
        (VOLTS, 1000.0, "1000 V", 1000.0, 7.0),
        (OHMS, 0.04, "0.0 Ω", 0.0, 0.2),
        (OHMS, 0.15, "0.2 Ω", 0.2, 0.2),
        (OHMS, 85.0, "85.0 Ω", 85.0, 1.0),
        (OHMS, 1234.4, "1.234 kΩ", 1234.0, 13.0),
        (OHMS, 10000.0, "10.00 kΩ", 10000.0, 110.0),
        (OHMS, 4.7e6, "4.700 MΩ", 4.7e6, 44000.0),
        (OHMS, 59.99e6, "59.99 MΩ", 59.99e6, 560000.0),
        (AMPS, 0.0123, "12.30 mA", 0.0123, 0.00021),
        (AMPS, 0.3, "300.0 mA", 0.3, 0.0048),
        (AMPS, 5.1, "5.100 A", 5.1, 0.08),
        (AMPS, -12.345, "-12.35 A", -12.35, 0.22),
        (DIODE, 0.548, "0.548 V", 0.548, 0.005),
    ],
)
def test_counts_ranges_and_tolerance(mode: str, true: float, display: str, value: float, tolerance: float) -> None:
    """6,000 counts, auto range; V ±(0.5 % + 2), Ω ±(0.9 % + 2), A ±(1.5 % + 3), rounded to the last digit."""
    reading = show(mode, true)
    assert reading.display == display
    assert reading.value == pytest.approx(value, rel=1e-12, abs=1e-15)
    assert reading.tolerance == pytest.approx(tolerance, abs=reading.resolution / 1.9)
    assert reading.status == OK


@pytest.mark.parametrize(
    ("mode", "true"),
    [(VOLTS, 1000.6), (OHMS, 60.1e6), (OHMS, float("inf")), (AMPS, 20.1), (DIODE, 3.01), (VOLTS, -1001)],
)
def test_overload(mode: str, true: float) -> None:
    """Beyond the last range the meter shows OL, which is over-limit and not a number."""
    reading = show(mode, true)
    assert (reading.value, reading.display, reading.status) == (None, "OL", OVERLOAD)


def test_every_shown_value_is_what_its_display_says() -> None:
    """Over all ranges the value is the display's number in the base unit, and never more than 6,000 counts of it."""
    factors = {"m": 1e-3, "k": 1e3, "M": 1e6, "": 1.0}
    for mode, unit in ((VOLTS, "V"), (OHMS, "Ω"), (AMPS, "A")):
        true = 1e-4
        while true < {VOLTS: 1000, OHMS: 60e6, AMPS: 20}[mode]:
            reading = show(mode, true)
            number, written = reading.display.split()
            assert reading.value == pytest.approx(float(number) * factors[written.removesuffix(unit)], rel=1e-9)
            assert reading.value is not None
            assert abs(reading.value / reading.resolution) <= 6000
            assert abs(reading.value - true) <= reading.resolution * 0.5000001
            true *= 1.0173


# Volts


def test_volts() -> None:
    """A voltage is red against black: 12 V over 10.5 Ω leave 11.43 V on the lamp, and 114.3 mV on the closed contact."""
    made = depot.machine(depot.SHED, "key=on")
    assert depot.measure(made, VOLTS, "P1:1", "P1:2") == show(VOLTS, 12 / 10.5 * 10)
    assert depot.measure(made, VOLTS, "P1:2", "P1:1").display == "-11.43 V"
    assert depot.measure(made, VOLTS, "S1:1", "S1:2").display == "114.3 mV"
    assert depot.measure(made, VOLTS, "S1:1", "S1:1").display == "0.0 mV"


def test_volts_load_the_circuit_with_10_megohms() -> None:
    """Behind 10 MΩ the meter shows half of what stands there without it (10 MΩ: OpenStax University Physics 2, 10.4)."""
    made = depot.machine(depot.SHED, faults=["W1 resistance 10 MΩ"])
    assert depot.measure(made, VOLTS, "S1:1", FRAME).display == "6.00 V"


def test_the_meter_can_turn_a_diode_on() -> None:
    """An open end behind a diode has no voltage without a meter; with its 10 MΩ the diode conducts, and it is shown."""
    made = depot.machine(
        """
circuit: loose-end
nominal: 12 V
parts:
  G1: {kind: battery, emf: 12 V}
  R1: {kind: diode, forward_drop: 0.6 V}
wires:
  W1: {from: G1:+, to: R1:A}
  W2: {from: G1:-, to: FRAME}
"""
    )
    reading = depot.measure(made, VOLTS, "R1:K", FRAME)
    assert (reading.display, reading.status) == ("11.40 V", OK)
    assert depot.measure(made, VOLTS, "R1:A", "R1:K").status == FLOATING  # nothing leads back from the loose end


def test_floating() -> None:
    """No closed path runs through the meter: null, displayed as zero; a zero that somebody typed agrees with it."""
    made = depot.machine(depot.SHED)
    reading = depot.measure(made, VOLTS, "S1:2", "P1:1")
    assert reading.status == OK  # the wire between them closes the path
    made.move("unplug=P1")
    for red, black in (("S1:2", FRAME), ("P1:1", "P1:2"), (FRAME, "S1:2")):
        reading = depot.measure(made, VOLTS, red, black)
        assert (reading.value, reading.display, reading.status) == (None, "0.00 V", FLOATING)
        assert agree(show(VOLTS, 0.0), reading)
        assert not agree(show(VOLTS, 0.5), reading)


def test_a_dead_point_is_not_floating() -> None:
    """A lamp that hangs on ground alone is at 0 V, and the meter says so."""
    reading = depot.measure(depot.machine(depot.SHED), VOLTS, "P1:1", FRAME)
    assert (reading.value, reading.status) == (0.0, OK)


def test_a_circuit_off_the_frame_floats_against_it() -> None:
    """With the frame wire open nothing has a voltage against FRAME, and everything has among itself."""
    made = depot.machine(depot.SHED, "key=on", faults=["W4 open"])
    assert depot.measure(made, VOLTS, "G1:+", FRAME).status == FLOATING
    assert depot.measure(made, VOLTS, "G1:+", "G1:-").display == "11.89 V"


@pytest.mark.parametrize("probe", [Probe(VOLTS, "K1:86", "K1:85"), Probe(AMPS, "W3"), Probe(AMPS, "K1")])
def test_unsteady(probe: Probe) -> None:
    """While a relay buzzes there is no value to show."""
    made = depot.machine(
        """
circuit: buzzer
nominal: 12 V
parts:
  G1: {kind: battery, emf: 12 V}
  K1: {kind: relay}
wires:
  W1: {from: G1:+, to: K1:30}
  W2: {from: K1:87a, to: K1:86}
  W3: {from: K1:85, to: G1:-}
"""
    )
    reading = read(made, probe)
    assert (reading.value, reading.status) == (None, UNSTEADY)


# Amps


def test_amps_in_series() -> None:
    """The meter (10 mΩ) lies in the opened wire, or in the part's first terminal: 12 V over 10.51 Ω.

    Into the part is positive, so a battery that gives current reads negative.
    """
    made = depot.machine(depot.SHED, "key=on")
    assert depot.measure(made, AMPS, "W2") == show(AMPS, 12 / 10.51)
    assert depot.measure(made, AMPS, "P1") == show(AMPS, 12 / 10.51)
    assert depot.measure(made, AMPS, "G1") == show(AMPS, -12 / 10.51)
    # W3 runs from the lamp to the battery's -, with the current; W4 carries none and lies in no closed path.
    assert depot.measure(made, AMPS, "W3") == show(AMPS, 12 / 10.51)
    assert depot.measure(made, AMPS, "W4").status == FLOATING


def test_amps_in_series_in_an_open_circuit() -> None:
    """With the key off no closed path runs through the meter."""
    reading = depot.measure(depot.machine(depot.SHED), AMPS, "W2")
    assert (reading.value, reading.display, reading.status) == (None, "0.00 A", FLOATING)


@pytest.mark.parametrize("kind", KINDS)
def test_amps_in_series_of_a_part_that_is_off(kind: str) -> None:
    """Every kind of part, and its first terminal, unplugged: no closed path runs through the meter, and no error."""
    part = next(part for part in depot.circuit(depot.BENCH).parts.values() if part.kind == kind)
    for off in (part.name, terminals(part)[0]):
        made = depot.machine(depot.BENCH, "key=on", "lever=low", f"unplug={off}")
        reading = depot.measure(made, AMPS, part.name)
        assert (reading.value, reading.status) == (None, FLOATING), off


def test_amps_in_series_of_a_part_with_several_branches() -> None:
    """All of the current into a common terminal goes through the meter: relay 30 feeds both contacts' loads."""
    made = depot.machine(depot.BENCH, "lever=high")
    along = depot.measure(made, AMPS, "W11").value
    assert along is not None
    # Y1, 10 Ω, lies behind 30-87a; W11 and the contact of S2 carry the same.
    assert along == pytest.approx(12 / 10.3, rel=0.03)


def test_amps_across_an_open_switch() -> None:
    """In place of the switch the meter closes the circuit: 12 V over 10.4 Ω and its own 10 mΩ."""
    made = depot.machine(depot.SHED)
    assert depot.measure(made, AMPS, "S1:1", "S1:2") == show(AMPS, 12 / 10.41)
    assert made.seen() == {"lamp": "off"}


def test_amps_across_a_source() -> None:
    """12 V over 0.11 Ω are 109 A: the meter's own fuse goes; nothing else of the circuit does."""
    made = depot.machine(depot.SHED)
    reading = depot.measure(made, AMPS, "G1:+", "G1:-")
    assert (reading.value, reading.status) == (None, BLOWN)
    assert made.blown == frozenset()


def test_amps_across_what_no_path_joins() -> None:
    """Nothing can flow, and the display is zero."""
    made = depot.machine(depot.SHED, "unplug=G1", "unplug=P1")
    reading = depot.measure(made, AMPS, "S1:1", "S1:2")
    assert (reading.value, reading.display, reading.status) == (None, "0.00 A", FLOATING)


# Ohms, continuity, diode test


def test_ohms_on_an_isolated_circuit() -> None:
    """With the battery unplugged: contact and wire, the cold filament (a tenth of hot), an open switch."""
    made = depot.machine(depot.SHED, "unplug=G1", "key=on")
    assert depot.measure(made, OHMS, "G1:+", "S1:2").display == "0.2 Ω"
    assert depot.measure(made, OHMS, "P1:1", "P1:2").display == "1.0 Ω"
    assert depot.measure(made, OHMS, "G1:+", "P1:1").display == "0.3 Ω"
    made.move("key=off")
    assert depot.measure(made, OHMS, "S1:1", "S1:2").display == "OL"


def test_live() -> None:
    """Where the circuit puts more than 0.1 mV across the meter ohms, continuity and diode test show no value."""
    made = depot.machine(depot.SHED, "key=on")
    for mode in (OHMS, CONTINUITY, DIODE):
        reading = depot.measure(made, mode, "S1:1", "S1:2")
        assert (reading.value, reading.status) == (None, LIVE), mode
    # The open switch has the battery's 12 V across it.
    made.move("key=off")
    assert depot.measure(made, OHMS, "S1:1", "S1:2").status == LIVE
    # The dead lamp has nothing across it although the battery is in.
    assert depot.measure(made, OHMS, "P1:1", "P1:2").display == "1.0 Ω"


@pytest.mark.parametrize(("ohms", "status"), [("1.1 mΩ", LIVE), ("0.9 mΩ", OK)])
def test_live_from_a_tenth_of_a_millivolt(ohms: str, status: str) -> None:
    """100 mA through a shunt of about 1 mΩ: above 0.1 mV it is live, below it is not noticed."""
    made = depot.machine(
        f"""
circuit: shunt
nominal: 12 V
parts:
  T1: {{kind: supply, voltage: 12 V}}
  L1: {{kind: resistor, resistance: 120 Ω}}
  L2: {{kind: resistor, resistance: {ohms}}}
wires:
  W1: {{from: "T1:+", to: "L1:1"}}
  W2: {{from: "L1:2", to: "L2:1"}}
  W3: {{from: "L2:2", to: "T1:-"}}
"""
    )
    assert depot.measure(made, OHMS, "L2:1", "L2:2").status == status


def test_leads_that_were_not_zeroed() -> None:
    """They add to ohms and continuity, and to nothing else."""
    made = depot.machine(depot.SHED, "unplug=G1")
    assert read(made, Probe(OHMS, "P1:1", "P1:2", leads=0.3)).display == "1.3 Ω"
    assert read(made, Probe(OHMS, "P1:1", "P1:1", leads=0.3)).display == "0.3 Ω"
    assert read(made, Probe(OHMS, "P1:1", "P1:1")).display == "0.0 Ω"
    live = depot.machine(depot.SHED, "key=on")
    assert read(live, Probe(VOLTS, "P1:1", "P1:2", leads=0.3)) == depot.measure(live, VOLTS, "P1:1", "P1:2")


@pytest.mark.parametrize(("fault", "display", "beeps"), [("W2 resistance 49.5 Ω", "49.6 Ω", True), ("W2 resistance 50 Ω", "50.1 Ω", False), ("W2 open", "OL", False)])  # fmt: skip
def test_continuity(fault: str, display: str, beeps: bool) -> None:  # noqa: FBT001 - a table
    """It beeps under 50 Ω, and shows the ohms; a beep does not prove a joint that must carry current."""
    made = depot.machine(depot.SHED, "unplug=G1", faults=[fault])
    reading = depot.measure(made, CONTINUITY, "S1:2", "P1:1")
    assert (reading.display, reading.beeps) == (display, beeps)
    assert depot.measure(made, OHMS, "S1:2", "P1:1").beeps is None


DIODE_ALONE = """
circuit: diode
nominal: 12 V
parts:
  G1: {kind: battery, emf: 12 V}
  R1: {kind: diode, forward_drop: 0.548 V}
  L1: {kind: resistor, resistance: 220 Ω}
wires:
  W1: {from: G1:+, to: R1:A}
  W2: {from: R1:K, to: L1:1}
  W3: {from: L1:2, to: G1:-}
"""


def test_diode_test() -> None:
    """1 mA: the forward drop, OL reversed, the drop of a resistor; live while the battery is in.

    0.548 V is what a silicon diode shows in Lessons In Electric Circuits, vol. 3 ch. 3.
    """
    made = depot.machine(DIODE_ALONE)
    assert depot.measure(made, DIODE, "R1:A", "R1:K").status == LIVE
    made.move("unplug=G1")
    assert depot.measure(made, DIODE, "R1:A", "R1:K").display == "0.548 V"
    assert depot.measure(made, DIODE, "R1:K", "R1:A").display == "OL"
    assert depot.measure(made, DIODE, "L1:1", "L1:2").display == "0.220 V"
    assert depot.measure(made, DIODE, "R1:A", "L1:2").display == "0.768 V"
    assert depot.measure(made, DIODE, "R1:A", "R1:A").display == "0.000 V"


@pytest.mark.parametrize(
    ("fault", "forward", "backward"),
    [("R1 open", "OL", "OL"), ("R1 shorted", "0.000 V", "0.000 V"), ("R1 reversed", "OL", "0.548 V"), ("R1 leaky", "0.548 V", "1.000 V")],
)  # fmt: skip
def test_diode_test_of_a_faulty_diode(fault: str, forward: str, backward: str) -> None:
    """What the meter says of each fault of a diode."""
    made = depot.machine(DIODE_ALONE, "unplug=G1", faults=[fault])
    assert depot.measure(made, DIODE, "R1:A", "R1:K").display == forward
    assert depot.measure(made, DIODE, "R1:K", "R1:A").display == backward


def test_ohms_turn_no_junction_on() -> None:
    """Under 0.3 V a sound diode is OL both ways, and a coil beside one is measured alone."""
    made = depot.machine(DIODE_ALONE, "unplug=G1")
    for red, black in (("R1:A", "R1:K"), ("R1:K", "R1:A")):
        assert depot.measure(made, OHMS, red, black).display == "OL"
        assert depot.measure(made, CONTINUITY, red, black).beeps is False
    assert (
        depot.measure(depot.machine(DIODE_ALONE, "unplug=G1", faults=["R1 leaky"]), OHMS, "R1:K", "R1:A").value == 1000
    )


def test_a_ground_point_in_the_hand_has_no_wire_on_it() -> None:
    """The short of the wire that lands on a ground point is not seen with the ground point in the hand."""
    text = """
circuit: shed
nominal: 12 V
parts:
  G1: {kind: battery}
  P1: {kind: lamp, power: 5 W}
  E1: {kind: ground, resistance: 5 Ω}
wires:
  W1: {from: "G1:+", to: "P1:1"}
  W2: {from: "E1:1", to: "P1:2"}
  W3: {from: "G1:-", to: FRAME}
"""
    made = depot.machine(text, "unplug=G1", faults=["W2 shorted to ground"])
    assert depot.measure(made, OHMS, "E1:1", "FRAME").display == "0.0 Ω"
    assert read(made, Probe(OHMS, "E1:1", "FRAME", alone="E1")).display == "5.0 Ω"


@pytest.mark.parametrize("off", ["R1", "R1:A"])
def test_a_leak_is_the_diodes_own(off: str) -> None:
    """A leaky diode that is taken off, or only one of its pins, takes its leak along: its harness reads OL."""
    made = depot.machine(DIODE_ALONE, "unplug=G1", f"unplug={off}", faults=["R1 leaky"])
    assert depot.measure(made, OHMS, "R1:A", "R1:K").display == "OL"


def test_ohms_see_a_motor_winding_and_never_move_anything() -> None:
    """The motor's winding and a relay's released contacts: the meter's own current works nothing.

    Across the open make contact it sees the way round, 10 Ω of the valve and 2 Ω of the motor.
    """
    made = depot.machine(depot.BENCH, "unplug=G1", "unplug=T1")
    assert depot.measure(made, OHMS, "M1:1", "M1:2").display == "2.0 Ω"
    assert depot.measure(made, OHMS, "K1:86", "K1:85").display == "80.0 Ω"
    assert depot.measure(made, OHMS, "K1:30", "K1:87").display == "12.1 Ω"
    assert depot.measure(made, OHMS, "K1:30", "K1:87a").display == "0.0 Ω"


# A part in the hand, one terminal lifted, half a connector


def test_in_the_hand() -> None:
    """A part measured alone is without its harness; what is wrong in the part is seen, what is wrong in the joint not."""
    made = depot.machine(depot.BENCH, faults=["P1:1 open", "W5 open"])
    assert read(made, Probe(OHMS, "P1:1", "P1:2", alone="P1")).display == "1.2 Ω"
    for fault, display in (("P1 open", "OL"), ("P1 shorted", "0.0 Ω")):
        made = depot.machine(depot.BENCH, faults=[fault])
        assert read(made, Probe(OHMS, "P1:1", "P1:2", alone="P1")).display == display
    made = depot.machine(depot.BENCH, "key=on")
    assert read(made, Probe(OHMS, "S1:1", "S1:2", alone="S1")).display == "0.0 Ω"
    made.move("key=off")
    assert read(made, Probe(OHMS, "S1:1", "S1:2", alone="S1")).display == "OL"
    assert read(made, Probe(OHMS, "X1:a1", "X1:b1", alone="X1")).display == "0.0 Ω"
    assert read(made, Probe(OHMS, "X1:a1", "X1:b2", alone="X1")).display == "OL"


def test_a_part_in_the_hand_is_not_fed() -> None:
    """The relay was pulled in on the machine; in the hand it is released, its coil measures 80 Ω."""
    made = depot.machine(depot.BENCH, "lever=low")
    assert made.seen()["relay"] is True
    assert read(made, Probe(OHMS, "K1:86", "K1:85", alone="K1")).display == "80.0 Ω"
    assert read(made, Probe(OHMS, "K1:30", "K1:87a", alone="K1")).display == "0.0 Ω"
    assert read(made, Probe(OHMS, "K1:30", "K1:87", alone="K1")).display == "OL"


def test_a_blown_fuse_in_the_hand() -> None:
    """It is open in the hand too; a sound one is not."""
    made = depot.machine(depot.BENCH, faults=["W2 shorted to ground"])
    assert made.blown == {"F1"}
    assert read(made, Probe(OHMS, "F1:1", "F1:2", alone="F1")).display == "OL"
    assert read(depot.machine(depot.BENCH), Probe(OHMS, "F1:1", "F1:2", alone="F1")).display == "0.0 Ω"


def test_a_battery_in_the_hand() -> None:
    """Its emf on volts; ohms across it are refused by the meter as live."""
    made = depot.machine(depot.SHED, faults=["G1 discharged"])
    assert read(made, Probe(VOLTS, "G1:+", "G1:-", alone="G1")).display == "11.16 V"
    assert read(made, Probe(OHMS, "G1:+", "G1:-", alone="G1")).status == LIVE


def test_a_parallel_path_spoils_ohms_and_a_lifted_terminal_cures_it() -> None:
    """Two resistors of 100 Ω side by side read 50 Ω; with one terminal lifted its harness side reads the other alone."""
    made = depot.machine(
        """
circuit: pair
nominal: 12 V
parts:
  L1: {kind: resistor, resistance: 100 Ω}
  L2: {kind: resistor, resistance: 100 Ω}
wires:
  W1: {from: L1:1, to: L2:1, resistance: 1 mΩ}
  W2: {from: L1:2, to: L2:2, resistance: 1 mΩ}
"""
    )
    assert depot.measure(made, OHMS, "L1:1", "L1:2").display == "50.0 Ω"
    made.move("unplug=L1:1")
    assert depot.measure(made, OHMS, "L1:1", "L1:2").display == "100.0 Ω"  # the harness, that is L2
    assert read(made, Probe(OHMS, "L1:1", "L1:2", alone="L1")).display == "100.0 Ω"


def test_each_half_of_an_unplugged_connector() -> None:
    """Apart, the half towards the battery is live and the other half is measured against its own side."""
    made = depot.machine(depot.BENCH, "lever=high", "unplug=X1")
    assert depot.measure(made, VOLTS, "X1:a1", "X1:a2").value == pytest.approx(12, abs=0.2)
    assert depot.measure(made, VOLTS, "X1:b1", "X1:b2").value == 0  # Y1 closes the path, and nothing feeds it
    assert depot.measure(made, VOLTS, "X1:b1", FRAME).status == FLOATING
    assert depot.measure(made, OHMS, "X1:b1", "X1:b2").display == "10.0 Ω"


# Refusals


@pytest.mark.parametrize(
    ("probe", "messages"),
    [
        (Probe("amp", "W1"), ["there is no meter mode 'amp'; did you mean 'amps'? (allowed: volts, amps, ohms, continuity, diode)", "amp needs two terminals, red and black"]),
        (Probe(VOLTS, "S1:9", "P9:1"), ["S1 has no terminal 9 (it has 1 2)", "there is no part 'P9' (allowed: G1, S1, P1, FRAME)"]),
        (Probe(VOLTS, "S1:1"), ["volts needs two terminals, red and black"]),
        (Probe(AMPS, "W9"), ["there is no wire or part 'W9' (allowed: W1, W2, W3, W4, G1, S1, P1)"]),
        (Probe(OHMS, "S1:1", "P1:1", alone="P1"), ["there is no terminal of P1 'S1:1'; did you mean 'P1:1'? (allowed: P1:1, P1:2, FRAME)"]),
        (Probe(OHMS, "P1:1", "P1:2", alone="P9"), ["there is no part 'P9' (allowed: G1, S1, P1)"]),
    ],
)  # fmt: skip
def test_a_measurement_that_cannot_be_made(probe: Probe, messages: list[str]) -> None:
    """Every mistake in one refusal, each with what is allowed."""
    with pytest.raises(Refused) as refused:
        read(depot.machine(depot.SHED), probe)
    assert [str(mistake) for mistake in refused.value.mistakes] == [f"meter: {message}" for message in messages]


# Agreement


def reading(value: float | None, status: str = OK, mode: str = VOLTS) -> Reading:
    """Return a reading of this value, or of a status without one."""
    if value is not None:
        return show(mode, value)
    blank = show(mode, 0.0)
    return Reading(None, blank.unit, "", status, blank.tolerance, blank.resolution)


@pytest.mark.parametrize(
    ("shown", "predicted", "agrees"),
    [
        (reading(12.43), reading(12.43), True),
        (reading(12.43), reading(12.51), True),  # ±0.08 V and half a digit
        (reading(12.43), reading(12.35), True),
        (reading(12.43), reading(12.52), False),
        (reading(12.43), reading(12.34), False),
        (reading(12.43), reading(-12.43), False),
        (reading(12.43), reading(12.43, mode=OHMS), False),
        (reading(12.43), reading(None, OVERLOAD), False),
        (reading(None, OVERLOAD), reading(12.43), False),
        (reading(None, OVERLOAD), reading(None, OVERLOAD), True),
        (reading(None, OVERLOAD), reading(None, FLOATING), False),
        (reading(None, FLOATING), reading(None, FLOATING), True),
        (reading(0.0), reading(None, FLOATING), True),
        (reading(0.1), reading(None, FLOATING), False),
        (reading(None, FLOATING), reading(0.0), False),
        (reading(None, LIVE, OHMS), reading(None, LIVE, OHMS), True),
        # ± 0.032 V reaches into the next range, where what is predicted is rounded to 0.01 V.
        (reading(5.985), reading(6.02), True),
        (reading(5.985), reading(6.03), False),
    ],
)
def test_agreement(shown: Reading, predicted: Reading, agrees: bool) -> None:  # noqa: FBT001 - a table
    """Two values agree within tolerance plus half a digit; a status must match; a typed 0 agrees with floating."""
    assert agree(shown, predicted) is agrees


@settings(max_examples=300)
@given(st.sampled_from(MODES), st.floats(-6, 7.5), st.booleans(), st.sampled_from((1, -1)))
def test_a_meter_within_its_accuracy_agrees_with_the_truth(mode: str, at: float, edge: bool, way: int) -> None:  # noqa: FBT001
    """What a meter shows that is as far off as its accuracy allows agrees with what a prediction of the truth shows.

    Anywhere on its ranges and next to where they end.
    """
    scale = SCALES[mode]
    ends = [scale.first * 10**step for step in range(4)]
    true = ends[int(at) % 4] * (1 + (at % 1 - 0.5) / 10) if edge else 10.0**at
    true = min(true, scale.last)
    shown, predicted = furthest(mode, true, way), show(mode, true)
    assert agree(shown, predicted)
    assert shown.value is not None
    further = show(mode, shown.value + way * (2 * shown.tolerance + 20 * shown.resolution))
    assert not agree(further, predicted)


def test_a_reading_as_json() -> None:
    """Value, unit, display, status and tolerance; ``beeps`` on continuity only; a status without a value is null."""
    made = depot.machine(depot.SHED, "unplug=G1")
    assert depot.measure(made, CONTINUITY, "S1:2", "P1:1").as_json() == {
        "value": 0.1, "unit": "Ω", "display": "0.1 Ω", "status": "ok", "tolerance": 0.2, "beeps": True,
    }  # fmt: skip
    assert depot.measure(made, OHMS, "S1:1", "S1:2").as_json() == {
        "value": None, "unit": "Ω", "display": "OL", "status": "overload", "tolerance": 0.2,
    }  # fmt: skip


def test_measuring_needs_no_settled_history() -> None:
    """The same reading comes from a machine that has just been built and from one that was operated and reset."""
    fresh = depot.machine(depot.BENCH)
    used = depot.machine(depot.BENCH, "lever=low", "key=on", "rest")
    for terminal in Machine(fresh.circuit).solver.network.node:
        assert depot.measure(fresh, VOLTS, terminal, FRAME) == depot.measure(used, VOLTS, terminal, FRAME)


# Ranges that are chosen


@pytest.mark.parametrize(
    ("mode", "chosen", "true", "display", "tolerance"),
    [
        (VOLTS, 600.0, 0.31, "0.3 V", 0.2),  # the drop of a bad joint, lost on a range that is far too high
        (VOLTS, 60.0, 0.31, "0.31 V", 0.02),
        (VOLTS, 6.0, 0.31, "0.310 V", 0.004),
        (VOLTS, 0.6, 0.31, "310.0 mV", 0.0018),
        (VOLTS, 1000.0, 0.31, "0 V", 2.0),
        (VOLTS, 1000.0, 12.4, "12 V", 2.0),
        (VOLTS, 0.6, -0.5999, "-599.9 mV", 0.0032),
        (VOLTS, 0.6, 0.6, "600.0 mV", 0.0032),
        (OHMS, 600.0, 0.3, "0.3 Ω", 0.2),
        (OHMS, 6e3, 85.0, "0.085 kΩ", 3.0),
        (OHMS, 60e6, 4700.0, "0.00 MΩ", 20e3),
        (AMPS, 20.0, 0.35, "0.35 A", 0.04),
        (AMPS, 0.6, 0.34, "340.0 mA", 0.0054),
        (AMPS, 0.06, 0.0123, "12.30 mA", 0.00021),
    ],
)
def test_a_range_that_is_chosen(mode: str, chosen: float, true: float, display: str, tolerance: float) -> None:
    """Decimals, prefix and ± digits are those of the range: 6,000 counts, ±(share + digits), by hand."""
    reading = show(mode, true, chosen)
    assert (reading.display, reading.status, reading.range) == (display, OK, chosen)
    assert reading.tolerance == pytest.approx(tolerance, abs=reading.resolution / 1.9)


@pytest.mark.parametrize(
    ("mode", "chosen", "true"),
    [(VOLTS, 6.0, 12.4), (VOLTS, 6.0, -12.4), (VOLTS, 0.6, 0.6001), (OHMS, 600.0, 601.0), (AMPS, 0.06, 0.35)],
)
def test_over_the_range_that_is_chosen(mode: str, chosen: float, true: float) -> None:
    """Above full scale a chosen range shows OL where auto would go up."""
    assert show(mode, true).status == OK
    assert (show(mode, true, chosen).display, show(mode, true, chosen).status) == ("OL", OVERLOAD)


def test_which_ranges_there_are() -> None:
    """Volts to 1000 V, ohms to 60 MΩ, amps to 20 A, as on a common handheld meter (common practice)."""
    assert SCALES[VOLTS].ranges() == (0.6, 6.0, 60.0, 600.0, 1000.0)
    assert SCALES[OHMS].ranges() == (600.0, 6e3, 60e3, 600e3, 6e6, 60e6)
    assert SCALES[AMPS].ranges() == (0.06, 0.6, 6.0, 20.0)
    assert SCALES[CONTINUITY].ranges() == SCALES[DIODE].ranges() == ()
    names = {mode: [SCALES[mode].name(full) for full in SCALES[mode].ranges()] for mode in (VOLTS, OHMS, AMPS)}
    assert names == {
        VOLTS: ["600 mV", "6 V", "60 V", "600 V", "1000 V"],
        OHMS: ["600 Ω", "6 kΩ", "60 kΩ", "600 kΩ", "6 MΩ", "60 MΩ"],
        AMPS: ["60 mA", "600 mA", "6 A", "20 A"],
    }


@given(st.sampled_from((VOLTS, OHMS, AMPS)), st.floats(-2000, 2000))
def test_a_chosen_range_that_auto_would_choose_shows_the_same(mode: str, true: float) -> None:
    """Auto shows what its own range shows when that is chosen; a higher range shows the same within its digits."""
    auto = show(mode, true)
    for chosen in SCALES[mode].ranges():
        fixed = show(mode, true, chosen)
        if fixed.status == OK and fixed.resolution == auto.resolution:
            assert (fixed.value, fixed.display, fixed.tolerance) == (auto.value, auto.display, auto.tolerance)
        if fixed.value is not None:
            assert abs(fixed.value - true) <= fixed.resolution * 0.5000001
        else:
            assert abs(true) > chosen


@pytest.mark.parametrize(
    ("mode", "chosen", "message"),
    [
        (VOLTS, 50.0, "meter: there is no range of 50 V on volts; did you mean 60 V? (allowed: 600 mV, 6 V, 60 V, 600 V, 1000 V)"),
        (VOLTS, 6000.0, "meter: there is no range of 6000 V on volts; did you mean 1000 V? (allowed: 600 mV, 6 V, 60 V, 600 V, 1000 V)"),
        (OHMS, 2e3, "meter: there is no range of 2000 Ω on ohms; did you mean 6 kΩ? (allowed: 600 Ω, 6 kΩ, 60 kΩ, 600 kΩ, 6 MΩ, 60 MΩ)"),
        (AMPS, 10.0, "meter: there is no range of 10 A on amps; did you mean 6 A? (allowed: 60 mA, 600 mA, 6 A, 20 A)"),
        (AMPS, -6.0, "meter: a range is more than zero (allowed: 60 mA, 600 mA, 6 A, 20 A)"),
        (AMPS, float("nan"), "meter: a range is more than zero (allowed: 60 mA, 600 mA, 6 A, 20 A)"),
        (CONTINUITY, 600.0, "meter: continuity has one range only; leave the range on auto"),
        (DIODE, 6.0, "meter: diode has one range only; leave the range on auto"),
    ],
)  # fmt: skip
def test_a_range_that_the_meter_does_not_have(mode: str, chosen: float, message: str) -> None:
    """What is allowed, and what comes nearest as a ratio: 2 kΩ is 3.3 times 600 Ω, and 6 kΩ is 3 times 2 kΩ."""
    with pytest.raises(Refused) as refused:
        read(depot.machine(depot.SHED), Probe(mode, "P1:1", "P1:2", range=chosen))
    assert str(refused.value) == message


def test_readings_on_a_chosen_range() -> None:
    """114.3 mV across a closed contact, 12/10.51 A and an open loop, each on a range that loses or keeps them."""
    made = depot.machine(depot.SHED, "key=on")
    drop = {full: read(made, Probe(VOLTS, "S1:1", "S1:2", range=full)).display for full in SCALES[VOLTS].ranges()}
    assert drop == {0.6: "114.3 mV", 6.0: "0.114 V", 60.0: "0.11 V", 600.0: "0.1 V", 1000.0: "0 V"}
    assert read(made, Probe(AMPS, "W2", range=20.0)).display == "1.14 A"
    assert read(made, Probe(AMPS, "W2", range=0.6)).status == OVERLOAD
    assert read(made, Probe(AMPS, "G1:+", "G1:-", range=0.6)).status == BLOWN  # one shunt and one fuse for all ranges
    made = depot.machine(depot.SHED, "unplug=P1")
    for full, display in ((0.6, "0.0 mV"), (600.0, "0.0 V"), (0.0, "0.00 V")):
        floating = read(made, Probe(VOLTS, "P1:1", "P1:2", range=full))
        assert (floating.display, floating.status, floating.range) == (display, FLOATING, full)
        assert agree(show(VOLTS, 0.0, full), floating)


def test_readings_on_a_chosen_range_agree_by_its_digits() -> None:
    """By hand: on the 600 V range 12.4 V is ± 0.3 V (0.5 % is 0.06 V, and 2 digits of 0.1 V); auto tells 0.3 V apart."""
    chosen = [show(VOLTS, true, 600.0) for true in (12.4, 12.7, 12.8)]
    assert [agree(chosen[0], one) for one in chosen] == [True, True, False]
    auto = [show(VOLTS, true) for true in (12.4, 12.7)]
    assert not agree(auto[0], auto[1])
    assert not agree(show(VOLTS, 5.99, 6.0), show(VOLTS, 6.01, 6.0))  # OL is no number, also just above full scale


# Zeroing


def test_leads_are_zeroed_by_leaving_them_out() -> None:
    """Together the leads show 0.3 Ω (a pair has 0.2 to 0.5 Ω: common practice), zeroed 0.0 Ω; a part shows itself then."""
    assert 0.2 <= LEADS <= 0.5
    made = depot.machine(depot.SHED, "unplug=G1")
    for mode in (OHMS, CONTINUITY):
        together = read(made, Probe(mode, FRAME, FRAME, leads=LEADS))
        assert together.display == "0.3 Ω"
        assert read(made, Probe(mode, FRAME, FRAME)).display == "0.0 Ω"
        assert read(made, Probe(mode, "P1:1", "P1:2", leads=LEADS)).display == "1.3 Ω"
        assert read(made, Probe(mode, "P1:1", "P1:2")).display == "1.0 Ω"
    assert read(made, Probe(OHMS, "P1:1", "P1:2", alone="P1", leads=LEADS)).display == "1.3 Ω"
    assert read(made, Probe(OHMS, "P1:1", "P1:2", leads=LEADS, range=6e3)).display == "0.001 kΩ"


def test_leads_add_to_nothing_but_ohms() -> None:
    """Against 10 MΩ and in an open loop, in series with a load, and at 1 mA they are not noticed."""
    live = depot.machine(depot.SHED, "key=on")
    dead = depot.machine(DIODE_ALONE, "unplug=G1")
    for made, probe in (
        (live, Probe(VOLTS, "P1:1", "P1:2", leads=0.5)),
        (live, Probe(AMPS, "W2", leads=0.5)),
        (live, Probe(AMPS, "S1:1", "S1:2", leads=0.5)),
        (dead, Probe(DIODE, "R1:A", "R1:K", leads=0.5)),
    ):
        assert read(made, probe) == read(made, replace(probe, leads=0.0))


def test_leads_count_for_the_beep() -> None:
    """It beeps under 50 Ω of what it sees: a joint of 49.8 Ω is silent behind leads of 0.3 Ω."""
    made = depot.machine(depot.SHED, "unplug=G1", faults=["W2 resistance 49.7 Ω"])
    assert read(made, Probe(CONTINUITY, "S1:2", "P1:1")).beeps is True
    assert read(made, Probe(CONTINUITY, "S1:2", "P1:1", leads=0.3)).beeps is False
