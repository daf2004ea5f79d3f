"""The meter against numbers from outside the project, each with its source beside it.

*read*: the printed number was read in the named source; *memory*: known from the trade, not read; *derived*:
arithmetic on those.
"""

from __future__ import annotations

import pytest

from faultwright.circuit_file import parse_circuit
from faultwright.machine import Machine
from faultwright.meter import Probe, read
from tests.core.textbook import agree, drops, netlist

# Display and accuracy


@pytest.mark.parametrize(
    ("volts", "display"),
    [("18.75", "18.75 V"), ("1.875", "1.875 V"), ("187.5", "187.5 V"), ("0.1875", "187.5 mV"), ("1875", "OL")],
)
def test_the_lowest_range_that_is_not_over_its_limit(volts: str, display: str) -> None:
    """Of 19, 18.8, 18.75 and over-limit, which a 3½-digit meter shows for 18.75 V, the third is the one to take.

    They stand on its 1000, 200, 20 and 2 V ranges (a university physics laboratory note, read); this meter finds that
    range by itself, and past its last range it shows that it is over its limit.
    """
    assert read(Machine(netlist(f"V1 1 0 {volts}")), Probe("volts", "V1:+", "V1:-")).display == display


@pytest.mark.parametrize(
    ("volts", "share", "digits", "printed"), [(1.755, 0.005, 1, 0.010), (2.000, 0.0008, 2, 0.0036)]
)
def test_accuracy_is_a_share_of_the_reading_and_digits(volts: float, share: float, digits: int, printed: float) -> None:
    """±(0.5 % + 1 digit) at 1.755 V is ±0.010 V; ±(0.08 % + 2) at 2.000 V is 1.9964 … 2.0036 V; digits of 1 mV (read).

    This meter is ±(0.5 % + 2): its tolerance differs by the difference in share and digits (derived), rounded to 1 mV.
    """
    shown = read(Machine(netlist(f"V1 1 0 {volts}")), Probe("volts", "V1:+", "V1:-"))
    assert shown.resolution == 0.001
    assert shown.tolerance == pytest.approx(printed + (0.005 - share) * volts + (2 - digits) * 0.001, abs=0.0005)


# The meter as a part of the circuit


def test_meter_loads_what_it_measures() -> None:
    """On 24 V across 250 MΩ + 250 MΩ a 10 MΩ meter shows 0.8889 V, not 12 V (derived from Lessons, vol. 1 ch. 8).

    A 6,000-count display has 0.889 V for it.
    """
    lines = "V1 1 0 24", "R1 1 2 250M", "R2 2 0 250M"
    assert agree(drops(Machine(netlist(*lines)), "R2"), "12.000")
    assert agree(drops(Machine(netlist(*lines, "R3 2 0 10M")), "R2"), "0.8889")
    assert read(Machine(netlist(*lines)), Probe("volts", "R2:1", "R2:2")).display == "0.889 V"


def test_meter_has_ten_megohms() -> None:
    """Behind 10 MΩ the meter shows half (10 MΩ on volts: OpenStax University Physics 2, 10.4, read)."""
    assert read(Machine(netlist("V1 1 0 10", "R1 1 2 10M")), Probe("volts", "R1:2", "FRAME")).display == "5.000 V"


def test_a_meter_of_ten_times_the_resistance_disturbs_tolerably() -> None:
    """A meter of ten times the circuit's resistance disturbs it tolerably (US Army SS0602, read): by under a tenth."""
    machine = Machine(netlist("V1 1 0 10", "R1 1 2 2M", "R2 2 0 2M"))  # 1 MΩ seen from the meter
    value = read(machine, Probe("volts", "R2:1", "R2:2")).value
    assert value is not None
    assert 0.9 <= value / 5 < 1


# Ohms, continuity, diode test

DIODE = """
circuit: junction
parts:
  R1: {kind: diode, forward_drop: 0.548 V}
wires:
  W1: {from: "R1:K", to: FRAME}
"""

COIL_WITH_DIODE = """
circuit: coil
parts:
  Q1: {kind: relay, coil: 85 Ω}
  R1: {kind: diode}
wires:
  W1: {from: "Q1:86", to: "R1:K"}
  W2: {from: "Q1:85", to: "R1:A"}
"""


def test_diode_test() -> None:
    """A silicon diode shows 0.548 V on the diode test, and OL reversed (Lessons, vol. 3 ch. 3, read)."""
    machine = Machine(parse_circuit(DIODE))
    assert read(machine, Probe("diode", "R1:A", "R1:K")).display == "0.548 V"
    assert read(machine, Probe("diode", "R1:K", "R1:A")).status == "overload"


def test_the_diode_test_drives_a_milliampere() -> None:
    """About 1 mA (read): a resistor of 548 Ω shows what that diode shows (derived)."""
    assert read(Machine(netlist("R1 1 0 548")), Probe("diode", "R1:1", "R1:2")).display == "0.548 V"


@pytest.mark.parametrize(("red", "black"), [("R1:A", "R1:K"), ("R1:K", "R1:A")])
def test_ohms_turn_no_junction_on(red: str, black: str) -> None:
    """Low-voltage ohms stays under 0.3 V and turns no junction on (read).

    So a diode shows OL both ways, and a coil with a diode across it shows its 85 Ω both ways.
    """
    assert read(Machine(parse_circuit(DIODE)), Probe("ohms", red, black)).status == "overload"
    assert read(Machine(parse_circuit(COIL_WITH_DIODE)), Probe("ohms", red, black)).display == "85.0 Ω"


@pytest.mark.parametrize(("ohms", "beeps"), [(49.9, True), (50.1, False)])
def test_continuity_threshold(ohms: float, beeps: bool) -> None:  # noqa: FBT001 - a column of the table
    """Continuity beeps under 50 Ω, the stricter of the thresholds that common meters have, 50 and 100 Ω (read)."""
    machine = Machine(netlist(f"R1 1 0 {ohms}"))
    assert read(machine, Probe("continuity", "R1:1", "R1:2")).beeps is beeps


@pytest.mark.parametrize("leads", [0.2, 0.5])
def test_leads(leads: float) -> None:
    """Leads have 0.2 to 0.5 Ω (read): zeroed they do not count; forgotten they make a sound contact look bad.

    A closed switch reads under 0.2 Ω (common practice).
    """
    machine = Machine(netlist("R1 1 0 0.02"))
    zeroed, forgotten = (read(machine, Probe("ohms", "R1:1", "R1:2", leads=ohms)).value for ohms in (0, leads))
    assert zeroed is not None
    assert forgotten is not None
    assert zeroed < 0.2 <= forgotten
    assert forgotten - zeroed == pytest.approx(leads, abs=0.1)  # a digit
