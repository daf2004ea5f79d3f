"""Conductors, meter and parts against numbers from outside the project, each with its source beside it.

*read*: the printed number was read in the named source or in a reprint of the standard; *memory*: known from the
trade, not read; *derived*: arithmetic on those.
"""

from __future__ import annotations

import math

import pytest

from faultwright import conductors
from faultwright.circuit_file import parse_circuit
from faultwright.machine import Machine
from faultwright.meter import Probe, read
from tests.core.textbook import NOTHING, agree, close_to, currents, drops, netlist

FOOT = 0.3048

# Conductors

IEC_60228 = {  # largest Ω/km at 20 °C of plain copper; read
    1: {0.5: 36.0, 0.75: 24.5, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727},
    5: {0.5: 39.0, 0.75: 26.0, 1: 19.5, 2.5: 7.98, 6: 3.30, 10: 1.91, 16: 1.21, 25: 0.780},
}


def per_km(area: float, conductor_class: int, celsius: float = 20.0) -> float:
    """Return Ω/km as the core works it out."""
    return conductors.wire_resistance(
        length=1000, area=area, gauge=None, conductor_class=conductor_class, celsius=celsius
    )


def per_1000_feet(gauge: int, celsius: float = 20.0) -> float:
    """Return Ω/1000 ft as the core works it out."""
    return conductors.wire_resistance(length=1000 * FOOT, area=None, gauge=gauge, conductor_class=5, celsius=celsius)


@pytest.mark.parametrize("conductor_class", [1, 2, 5, 6])
def test_iec_60228_resistances(conductor_class: int) -> None:
    """A wire of a standard size has the resistance that IEC 60228 gives as its maximum (read)."""
    for area, printed in IEC_60228[1 if conductor_class < 5 else 5].items():
        assert per_km(area, conductor_class) == pytest.approx(printed, rel=1e-12)


def test_a_wire_in_a_file_has_the_resistance_of_the_table() -> None:
    """Area, length, class and temperature of a wire reach its resistance from the circuit file.

    20 m of 2.5 mm², class 5, at 75 °C are 20 · 7.98 mΩ (IEC 60228, read) · 1.2161 (FAA AC 43.13-1B, read).
    """
    text = """
circuit: reel
parts: {G1: {kind: battery}}
wires: {W1: {from: "G1:+", to: "G1:-", area: 2.5 mm², length: 20 m, class: 5, temperature: 75 °C}}
"""
    assert close_to("0.1941", parse_circuit(text).wires["W1"].resistance)


def test_iec_60228_temperature_factors() -> None:
    """The core's temperature factor agrees with the factors printed in IEC 60228 (read) within 0.5 %.

    The printed ones come from the rounded coefficient 0.004/K, which is 250/(230 + t) (derived); the core uses
    254.5/(234.5 + t), so that it also agrees with FAA AC 43.13-1B.
    """
    for celsius, printed in {
        5: "1.064", 10: "1.042", 25: "0.980", 30: "0.962", 40: "0.926", 50: "0.893", 75: "0.820", 90: "0.781",
        100: "0.758",
    }.items():  # fmt: skip
        assert close_to(printed, 250 / (230 + celsius))
        assert 1 / conductors.temperature_factor(celsius) == pytest.approx(float(printed), rel=0.005)


def test_hot_copper() -> None:
    """R₇₅/R₂₀ is 1.2161 by FAA AC 43.13-1B 11-66 (read), 1.2162 by α₂₀ = 0.00393/K of IEC 60028 (read, derived)."""
    assert close_to("1.2161", conductors.temperature_factor(75))
    assert conductors.temperature_factor(75) == pytest.approx(1 + 0.00393 * 55, rel=1e-4)
    assert conductors.temperature_factor(20) == 1


def test_copper() -> None:
    """Annealed copper has 58 MS/m at 20 °C (IEC 60028, read)."""
    assert close_to("58.00", 1 / conductors.COPPER)


def test_gauge_resistances() -> None:
    """Solid copper by gauge, Ω/1000 ft at 20 °C, agrees with the printed table (read) to 0.05 %."""
    for gauge, printed in {12: 1.588, 14: 2.525, 20: 10.15, 22: 16.14, 24: 25.67}.items():
        assert per_1000_feet(gauge) == pytest.approx(printed, rel=5e-4)


def test_gauge_diameters() -> None:
    """Diameters in inches and areas in circular mils agree with Lessons In Electric Circuits, vol. 1 ch. 12 (read)."""
    printed = {10: ("0.1019", 10380), 14: ("0.06408", 4107), 20: ("0.03196", 1022), 22: ("0.02535", 642.5),
               24: ("0.0201", 404.0)}  # fmt: skip
    for gauge, (inches, circular_mils) in printed.items():
        diameter = math.sqrt(4 * conductors.gauge_area(gauge) / math.pi) / 25.4
        assert close_to(inches, diameter)
        assert (1000 * diameter) ** 2 == pytest.approx(circular_mils, rel=5e-4)


def test_nec_table_8() -> None:
    """14 AWG solid at 75 °C has 3.07 Ω/kft (NEC chapter 9 Table 8, read)."""
    assert close_to("3.07", per_1000_feet(14, 75))


def test_flexible_wire_is_like_road_vehicle_cable() -> None:
    """The class 5 maxima lie 4 to 6 % over those of road-vehicle cable, mΩ/m at 20 °C (ISO 6722-1, memory)."""
    for area, road in {0.5: 37.1, 0.75: 24.7, 1: 18.5, 1.5: 12.7, 2.5: 7.60, 4: 4.71}.items():
        assert 1.04 < per_km(area, 5) / road < 1.06


@pytest.mark.parametrize(
    ("feet", "ohm_per_foot", "volts"),
    [(107, 0.00044, "0.942"), (88, 0.00202, "3.555"), (39, 0.00126, "0.98"), (156, 0.00126, "3.93")],
)
def test_voltage_drop_along_a_wire(feet: float, ohm_per_foot: float, volts: str) -> None:
    """20 A along a wire drop what FAA AC 43.13-1B Tables 11-7 and 11-8 work out (read).

    The second is printed rounded, as 3.60 V; 20 · 88 · 0.00202 is 3.555 (derived).
    """
    wire = feet * ohm_per_foot
    text = f"""
circuit: run
parts:
  V1: {{kind: supply, voltage: 28 V, resistance: {NOTHING}}}
  R1: {{kind: resistor, resistance: {28 / 20 - wire} Ω}}
wires:
  W1: {{from: "V1:+", to: "R1:1", resistance: {wire} Ω}}
  W2: {{from: "R1:2", to: "V1:-", resistance: {NOTHING}}}
"""
    settled = Machine(parse_circuit(text)).settled
    assert close_to(volts, float(settled.voltage("V1:+") - settled.voltage("R1:1")))


# The meter


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
    machine = Machine(netlist("V1 1 0 10", "R1 1 2 10M", "R2 2 0 1000M"))
    assert read(machine, Probe("volts", "R1:2", "FRAME")).value == pytest.approx(10 * 9.901 / 19.901, abs=1e-3)


def test_a_meter_of_ten_times_the_resistance_disturbs_tolerably() -> None:
    """A meter of ten times the circuit's resistance disturbs it tolerably (US Army SS0602, read): by under a tenth."""
    machine = Machine(netlist("V1 1 0 10", "R1 1 2 2M", "R2 2 0 2M"))  # 1 MΩ seen from the meter
    value = read(machine, Probe("volts", "R2:1", "R2:2")).value
    assert value is not None
    assert 0.9 <= value / 5 < 1


DIODE = """
circuit: junction
parts:
  R1: {kind: diode, forward_drop: 0.548 V}
wires:
  W1: {from: "R1:K", to: FRAME}
"""


def test_diode_on_the_diode_test_and_on_ohms() -> None:
    """A silicon diode shows 0.548 V on the diode test and OL reversed (Lessons, vol. 3 ch. 3, read).

    Low-voltage ohms stays under 0.3 V and turns no junction on (read), so it shows OL both ways.
    """
    machine = Machine(parse_circuit(DIODE))
    assert read(machine, Probe("diode", "R1:A", "R1:K")).display == "0.548 V"
    assert read(machine, Probe("diode", "R1:K", "R1:A")).status == "overload"
    assert read(machine, Probe("ohms", "R1:A", "R1:K")).status == "overload"
    assert read(machine, Probe("ohms", "R1:K", "R1:A")).status == "overload"


@pytest.mark.parametrize(("ohms", "beeps"), [(49.9, True), (50.1, False)])
def test_continuity_threshold(ohms: float, beeps: bool) -> None:  # noqa: FBT001 - a column of the table
    """Continuity beeps under 50 Ω, one of the two thresholds that common meters have (read)."""
    machine = Machine(netlist(f"R1 1 0 {ohms}"))
    assert read(machine, Probe("continuity", "R1:1", "R1:2")).beeps is beeps


# Fuses, lamps, relays, inputs


def loaded_fuse(multiple: float) -> Machine:
    """Return a machine in which a 10 A fuse carries ``multiple`` times its rating."""
    text = f"""
circuit: fused
parts:
  V1: {{kind: supply, voltage: 12 V, resistance: {NOTHING}}}
  F1: {{kind: fuse, rating: 10 A, resistance: {NOTHING}}}
  R1: {{kind: resistor, resistance: {12 / (10 * multiple)} Ω}}
wires:
  W1: {{from: "V1:+", to: "F1:1", resistance: {NOTHING}}}
  W2: {{from: "F1:2", to: "R1:1", resistance: {NOTHING}}}
  W3: {{from: "R1:2", to: "V1:-", resistance: {NOTHING}}}
"""
    return Machine(parse_circuit(text))


@pytest.mark.parametrize(("multiple", "opens"), [(1.0, False), (1.10, False), (1.36, True), (2.0, True), (6.0, True)])
def test_blade_fuse(multiple: float, opens: bool) -> None:  # noqa: FBT001 - a column of the table
    """A blade fuse bears 1.10 × its rating for 100 h and opens from 1.35 × on (ISO 8820-3, memory).

    That it opens at 2.0 and 6.0 × its rating was read in a datasheet that quotes the standard.
    """
    assert (loaded_fuse(multiple).blown == {"F1"}) is opens


COIL = """
circuit: coil
nominal: 12 V
controls: {{supply: {{positions: [off, full, some]}}}}
parts:
  V1: {{kind: supply, voltage: {full} V, resistance: 1 µΩ}}
  V2: {{kind: supply, voltage: {some} V, resistance: 1 µΩ}}
  S1: {{kind: switch, control: supply, contacts: {{1-2: [full], 3-4: [some]}}, resistance: 1 µΩ}}
  Q1: {{kind: relay{properties}}}
wires:
  W1: {{from: "V1:+", to: "S1:1", resistance: 1 µΩ}}
  W2: {{from: "V2:+", to: "S1:3", resistance: 1 µΩ}}
  W3: {{from: "S1:2", to: "Q1:86", resistance: 1 µΩ}}
  W4: {{from: "S1:4", to: "Q1:86", resistance: 1 µΩ}}
  W5: {{from: "Q1:85", to: FRAME, resistance: 1 µΩ}}
  W6: {{from: "V1:-", to: FRAME, resistance: 1 µΩ}}
  W7: {{from: "V2:-", to: FRAME, resistance: 1 µΩ}}
behaviour: {{relay: {{relay: Q1}}}}
"""

RELAYS = [("", 85, 8.0, 1.5), (", coil: 100 Ω, pull_in: 7.2 V, drop_out: 1.2 V", 100, 7.2, 1.2)]
"""Properties, coil in Ω, operate and release voltage of 12 V relays: ISO 7588 pattern, another (both read)."""


@pytest.mark.parametrize(("properties", "ohms", "pull_in", "drop_out"), RELAYS)
def test_relay_pulls_in_and_drops_out(properties: str, ohms: float, pull_in: float, drop_out: float) -> None:
    """A relay operates from its pull-in voltage on and lets go at its drop-out voltage (two datasheets, read).

    The first row is the default of the kind.
    """

    def after(full: float, some: float, *moves: str) -> object:
        machine = Machine(parse_circuit(COIL.format(full=full, some=some, properties=properties)))
        for move in moves:
            machine.move(move)
        return machine.seen()["relay"]

    assert after(pull_in + 0.001, 1, "supply=full") is True
    assert after(pull_in - 0.001, 1, "supply=full") is False
    # Straight from one supply to the other: a change-over switch of this kind has no gap.
    assert after(12, drop_out + 0.001, "supply=full", "supply=some") is True
    assert after(12, drop_out - 0.001, "supply=full", "supply=some") is False
    circuit = parse_circuit(COIL.format(full=12, some=1, properties=properties))
    assert circuit.parts["Q1"].number("coil") == ohms


def test_relay_coil_power_and_contact() -> None:
    """The default relay takes 1.7 W at 12 V; its contact drops 200 mV at most at 10 A (ISO 7588 pattern, read)."""
    relay = parse_circuit(COIL.format(full=12, some=1, properties="")).parts["Q1"]
    assert close_to("1.7", 12**2 / relay.number("coil"))
    assert 10 * relay.number("resistance") <= 0.200


def lamp(power: float, voltage: float, on: float) -> Machine:
    """Return a machine with one lamp on a supply of ``on`` volts."""
    text = f"""
circuit: lamp
parts:
  V1: {{kind: supply, voltage: {on} V, resistance: {NOTHING}}}
  P1: {{kind: lamp, power: {power} W, voltage: {voltage} V}}
wires:
  W1: {{from: "V1:+", to: "P1:1", resistance: {NOTHING}}}
  W2: {{from: "P1:2", to: "V1:-", resistance: {NOTHING}}}
behaviour: {{lamp: {{lamp: P1}}}}
"""
    return Machine(parse_circuit(text))


@pytest.mark.parametrize("watts", [26.5, 6.6, 5.0, 10.0, 4.0])
def test_lamp_takes_its_power_at_its_test_voltage(watts: float) -> None:
    """A lamp given at 13.5 V takes its power there.

    26.5 and 6.6 W are the most of a 21/5 W lamp (UN R37, ECE/TRANS/WP.29/GRE/2012/34, read); 5, 10 and 4 W are the
    patterns W5W, R10W and T4W (UN R37, memory).
    """
    machine = lamp(watts, 13.5, 13.5)
    (amps,) = currents(machine, "P1")
    assert 13.5 * amps == pytest.approx(watts, rel=1e-6)
    assert machine.seen() == {"lamp": "lit"}


def test_cold_filament() -> None:
    """In the hand, a lamp's filament has 8 to 15 times less than hot (memory)."""
    machine = lamp(5, 12, 12)
    cold = read(machine, Probe("ohms", "P1:1", "P1:2", alone="P1")).value
    assert cold is not None
    assert 8 <= 12**2 / 5 / cold <= 15


INPUT = """
circuit: input
nominal: 24 V
parts:
  V1: {{kind: supply, voltage: 24 V}}
  V2: {{kind: supply, voltage: {volts} V, resistance: 1 µΩ}}
  K1: {{kind: input, pull: down, active: high}}
wires:
  W1: {{from: "V1:+", to: "K1:+"}}
  W2: {{from: "V1:-", to: "K1:-"}}
  W3: {{from: "V2:{plus}", to: "K1:in"}}
  W4: {{from: "V2:{minus}", to: "K1:-"}}
behaviour: {{on: {{input: K1}}}}
"""


@pytest.mark.parametrize(("volts", "on"), [(-3.0, False), (5.0, False), (15.0, True), (24.0, True), (30.0, True)])
def test_input_of_a_controller(volts: float, on: bool) -> None:  # noqa: FBT001 - a column of the table
    """A 24 V input is off from −3 to 5 V and on from 15 to 30 V (IEC 61131-2 type 1, read)."""
    plus, minus = "+-" if volts > 0 else "-+"
    machine = Machine(parse_circuit(INPUT.format(volts=abs(volts), plus=plus, minus=minus)))
    assert machine.seen() == {"on": on}
