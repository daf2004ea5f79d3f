"""Fuses, lamps, relays, inputs and terminals against numbers from outside the project, each with its source beside it.

*read*: the printed number was read in the named source or in a reprint of the standard; *memory*: known from the
trade, not read; *derived*: arithmetic on those.
"""

from __future__ import annotations

import pytest

from faultwright.circuit_file import parse_circuit
from faultwright.machine import Machine
from faultwright.meter import Probe, read
from tests.core.textbook import NOTHING, close_to, currents, drops

# Fuses


def loaded_fuses(amperes: float, *ratings: float) -> Machine:
    """Return a machine in which fuses F1, F2 … of these ratings carry a current one after the other."""
    fuses = [f"F{number}" for number in range(1, len(ratings) + 1)]
    parts = "".join(
        f"  {fuse}: {{kind: fuse, rating: {rating} A, resistance: {NOTHING}}}\n"
        for fuse, rating in zip(fuses, ratings, strict=True)
    )
    ends = ["V1:+", *(f"{fuse}:{pin}" for fuse in fuses for pin in "12"), "R1:1", "R1:2", "V1:-"]
    wires = "".join(
        f'  W{number}: {{from: "{ends[number]}", to: "{ends[number + 1]}", resistance: {NOTHING}}}\n'
        for number in range(0, len(ends), 2)
    )
    text = (
        f"circuit: fused\nparts:\n  V1: {{kind: supply, voltage: 12 V, resistance: {NOTHING}}}\n"
        f"  R1: {{kind: resistor, resistance: {12 / amperes} Ω}}\n{parts}wires:\n{wires}"
    )
    return Machine(parse_circuit(text))


@pytest.mark.parametrize(
    ("multiple", "opens"),
    [(1.0, False), (1.10, False), (1.351, True), (1.6, True), (2.0, True), (3.5, True), (6.0, True)],
)
def test_blade_fuse(multiple: float, opens: bool) -> None:  # noqa: FBT001 - a column of the table
    """A blade fuse bears 1.10 × its rating for 100 h or longer and opens from 1.35 × on (ISO 8820-3, memory).

    At 1.35 it may take 600 s, at 1.6 × 50 s, at 2.0 × 5 s, at 3.5 × 0.5 s, at 6.0 × 0.1 s; the last three were read in
    a datasheet that quotes the standard. The core has no clock: what opens has opened.
    """
    assert (loaded_fuses(10 * multiple, 10).blown == {"F1"}) is opens


def test_the_faster_of_two_fuses_clears_the_fault() -> None:
    """Of two fuses in line, at 6.0 and at 2.0 × their ratings, the first has opened before the second can.

    At most 0.1 s (read in a datasheet that quotes ISO 8820-3) against at least 0.15 s (ISO 8820-3, memory).
    """
    assert loaded_fuses(30, 15, 5).blown == {"F2"}


# Lamps


def lamp(power: float, voltage: float, on: float, entries: str = "") -> Machine:
    """Return a machine with one lamp of this power at this voltage, on a supply of ``on`` volts."""
    text = f"""
circuit: lamp
parts:
  V1: {{kind: supply, voltage: {on} V, resistance: {NOTHING}}}
  P1: {{kind: lamp, power: {power} W, voltage: {voltage} V{entries}}}
wires:
  W1: {{from: "V1:+", to: "P1:1", resistance: {NOTHING}}}
  W2: {{from: "P1:2", to: "V1:-", resistance: {NOTHING}}}
behaviour: {{lamp: {{lamp: P1}}}}
"""
    return Machine(parse_circuit(text))


def amperes(machine: Machine) -> float:
    """Return the current in A through the lamp."""
    (found,) = currents(machine, "P1")
    return found


@pytest.mark.parametrize("filament", ["off", "on"])
@pytest.mark.parametrize("watts", [26.5, 6.6, 5.0, 10.0, 4.0])
def test_lamp_takes_its_power_at_its_test_voltage(watts: float, filament: str) -> None:
    """A lamp given at 13.5 V takes its power there, whether or not its filament follows the voltage.

    26.5 and 6.6 W are the most of a 21/5 W lamp (UN R37, ECE/TRANS/WP.29/GRE/2012/34, read); 5, 10 and 4 W are the
    patterns W5W, R10W and T4W (UN R37, memory).
    """
    machine = lamp(watts, 13.5, 13.5, f", filament: {filament}")
    assert 13.5 * amperes(machine) == pytest.approx(watts, rel=1e-6)
    assert machine.seen() == {"lamp": "lit"}


@pytest.mark.parametrize(("rated", "most"), [(21, 26.5), (5, 6.6)])
def test_a_12_v_lamp_at_its_test_voltage(rated: float, most: float) -> None:
    """A filament rated 21 or 5 W at 12 V takes 26.5 or 6.6 W at most at 13.5 V (UN R37, GRE/2012/34, read).

    With I ∝ V^0.55 it takes rated · (13.5/12)^1.55, that is 1.200 times (derived).
    """
    watts = 13.5 * amperes(lamp(rated, 12, 13.5, ", filament: on"))
    assert rated < watts < most
    assert watts / rated == pytest.approx(1.2003, abs=1e-4)


@pytest.mark.parametrize("watts", [5, 10, 4])
def test_sound_joints_keep_a_lamp_within_its_tolerance(watts: float) -> None:
    """Behind a fuse, a switch and 2 m of wire, all as they come, W5W, R10W and T4W keep to ±10 % at 13.5 V.

    The tolerance and the patterns: UN R37, memory.
    """
    text = f"""
circuit: lamp
controls: {{key: {{positions: [on, off]}}}}
parts:
  V1: {{kind: supply, voltage: 13.5 V}}
  F1: {{kind: fuse}}
  S1: {{kind: switch, control: key, contacts: {{1-2: [on]}}}}
  P1: {{kind: lamp, power: {watts} W, voltage: 13.5 V}}
wires:
  W1: {{from: "V1:+", to: "F1:1"}}
  W2: {{from: "F1:2", to: "S1:1"}}
  W3: {{from: "S1:2", to: "P1:1"}}
  W4: {{from: "P1:2", to: "V1:-"}}
"""
    machine = Machine(parse_circuit(text))
    (volts,) = drops(machine, "P1")
    assert 0.9 * watts <= volts * amperes(machine) < watts


def test_cold_filament() -> None:
    """In the hand, a lamp's filament has 8 to 15 times less than hot (memory)."""
    cold = read(lamp(5, 12, 12), Probe("ohms", "P1:1", "P1:2", alone="P1")).value
    assert cold is not None
    assert 8 <= 12**2 / 5 / cold <= 15


@pytest.mark.parametrize("share", [0.25, 0.5, 0.75, 1.125])
def test_the_current_of_a_filament(share: float) -> None:
    """With ``filament: on`` I ∝ V^0.55 (memory): half the voltage takes 68 % of the current, not half (derived)."""
    machine, whole = (lamp(5, 12, on, ", filament: on, cold: 0.1 Ω") for on in (12 * share, 12))
    assert amperes(machine) / amperes(whole) == pytest.approx(share**0.55, rel=1e-6)


# Relays

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

OTHER = ", coil: 100 Ω, pull_in: 7.2 V, drop_out: 1.2 V"


def relay(properties: str = "", full: float = 12, some: float = 1) -> Machine:
    """Return a machine whose relay can be put on either of two voltages."""
    return Machine(parse_circuit(COIL.format(full=full, some=some, properties=properties)))


@pytest.mark.parametrize(("properties", "pull_in", "drop_out"), [("", 8.0, 1.5), (OTHER, 7.2, 1.2)])
def test_relay_pulls_in_and_drops_out(properties: str, pull_in: float, drop_out: float) -> None:
    """A 12 V relay operates from 8 V on and lets go at 1.5 V (ISO 7588 pattern, read); another at 7.2 and 1.2 V (read).

    The first is the default of the kind.
    """

    def after(full: float, some: float, *moves: str) -> object:
        machine = relay(properties, full, some)
        for move in moves:
            machine.move(move)
        return machine.seen()["relay"]

    assert after(pull_in + 0.001, 1, "supply=full") is True
    assert after(pull_in - 0.001, 1, "supply=full") is False
    # Straight from one supply to the other: a change-over switch of this kind has no gap.
    assert after(12, drop_out + 0.001, "supply=full", "supply=some") is True
    assert after(12, drop_out - 0.001, "supply=full", "supply=some") is False


@pytest.mark.parametrize(("properties", "ohms", "watts"), [("", 85, "1.7"), (OTHER, 100, "1.44")])
def test_relay_coil(properties: str, ohms: float, watts: str) -> None:
    """The coil has 85 Ω ±10 % and takes 1.7 W at 12 V (ISO 7588 pattern, read); the other has 100 Ω (read).

    1.44 W are 12²/100 (derived).
    """
    machine = relay(properties)
    in_the_hand = read(machine, Probe("ohms", "Q1:86", "Q1:85", alone="Q1")).value
    machine.move("supply=full")
    drawn = read(machine, Probe("amps", "W3")).value
    assert in_the_hand is not None
    assert drawn is not None
    assert 0.9 * ohms <= in_the_hand <= 1.1 * ohms
    assert close_to(watts, 12 * drawn)


def test_relay_contact() -> None:
    """A make contact drops 15 mV typically and 200 mV at most at 10 A (ISO 7588 pattern, read)."""
    text = f"""
circuit: contact
nominal: 12 V
parts:
  V1: {{kind: supply, voltage: 12 V, resistance: {NOTHING}}}
  Q1: {{kind: relay}}
  R1: {{kind: resistor, resistance: 1.1985 Ω}}
wires:
  W1: {{from: "V1:+", to: "Q1:86"}}
  W2: {{from: "Q1:85", to: "V1:-"}}
  W3: {{from: "V1:+", to: "Q1:30", resistance: {NOTHING}}}
  W4: {{from: "Q1:87", to: "R1:1", resistance: {NOTHING}}}
  W5: {{from: "R1:2", to: "V1:-", resistance: {NOTHING}}}
"""
    machine = Machine(parse_circuit(text))
    assert close_to("10.000", currents(machine, "R1")[0])
    assert read(machine, Probe("volts", "Q1:30", "Q1:87")).display == "15.0 mV"


# Inputs

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
    """A 24 V input is off from −3 to 5 V and on from 15 to 30 V (IEC 61131-2 type 1, read).

    Between 5 and 15 V the standard leaves it undefined, so nothing is claimed there.
    """
    plus, minus = "+-" if volts > 0 else "-+"
    machine = Machine(parse_circuit(INPUT.format(volts=abs(volts), plus=plus, minus=minus)))
    assert machine.seen() == {"on": on}


# Terminals

VEHICLE = """
circuit: vehicle
nominal: 12 V
controls:
  key:     {positions: [off, on, start], springs_to: on}
  horn:    {positions: [released, pressed], springs_to: released}
  flasher: {positions: [dark, bright]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: key, contacts: {30-15: [on, start], 30-50: [start]}}
  S2: {kind: switch, control: horn, contacts: {31b-31: [pressed]}}
  S3: {kind: switch, control: flasher, contacts: {49-49a: [bright]}}
  Q1: {kind: relay}
  P1: {kind: lamp}
  P2: {kind: lamp}
  XE1: {kind: ground}
wires:
  W1:  {from: "G1:+", to: "S1:30"}
  W2:  {from: "G1:-", to: FRAME}
  W3:  {from: "S1:50", to: "Q1:86"}
  W4:  {from: "Q1:85", to: "XE1:1"}
  W5:  {from: "G1:+", to: "Q1:30"}
  W6:  {from: "S1:15", to: "P1:1"}
  W7:  {from: "P1:2", to: "S2:31b"}
  W8:  {from: "S2:31", to: "XE1:1"}
  W9:  {from: "S1:15", to: "S3:49"}
  W10: {from: "S3:49a", to: "P2:1"}
  W11: {from: "P2:2", to: "XE1:1"}
"""

ALWAYS = {"S1:30", "Q1:30"}


@pytest.mark.parametrize(
    ("moves", "live"),
    [
        ("key=off", {"Q1:87a"}),
        ("key=on", {"S1:15", "S2:31b", "S3:49", "Q1:87a"}),
        ("key=on horn=pressed", {"S1:15", "S3:49", "Q1:87a"}),
        ("key=on flasher=bright", {"S1:15", "S2:31b", "S3:49", "S3:49a", "Q1:87a"}),
        ("key=start", {"S1:15", "S1:50", "S2:31b", "S3:49", "Q1:86", "Q1:87"}),
    ],
)
def test_terminals_carry_the_names_of_din_72552(moves: str, live: set[str]) -> None:
    """The names of DIN 72552 are terminals of a circuit file, and the meter finds there what the standard says.

    15 switched supply, 30 battery, 31 return, 31b switched return, 49 and 49a the flasher's input and output, 50 the
    starter's control (read); 86 and 85 the coil, 87 the make and 87a the break contact of a relay (memory).
    """
    machine = Machine(parse_circuit(VEHICLE))
    for move in moves.split():
        machine.move(move)
    names = "S1:30 S1:15 S1:50 S2:31 S2:31b S3:49 S3:49a Q1:30 Q1:85 Q1:86 Q1:87 Q1:87a".split()  # noqa: SIM905 - as a row
    volts = {name: read(machine, Probe("volts", name, "FRAME")).value or 0 for name in names}
    assert {name for name in names if volts[name] > 11} == live | ALWAYS
    assert volts["S2:31"] == pytest.approx(0, abs=0.02)
