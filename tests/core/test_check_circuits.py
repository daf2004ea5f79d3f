"""Worked circuits, solved by the core and compared with the printed answers.

*read*: the answer was read in the named source; *derived*: arithmetic on it. Every circuit was solved again by an
independent script, which agrees.
"""

from __future__ import annotations

import pytest

from faultwright.ambiguity import ambiguity_groups
from faultwright.bench import Bench
from faultwright.candidates import every_test, voltage_probes
from faultwright.circuit_file import parse_circuit
from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright.meter import Probe, read
from faultwright.outcomes import outcome_table
from faultwright.suspects import find_suspects
from faultwright.testability import Fractions, levels
from tests.core.textbook import NOTHING, agree, close_to, currents, drops, netlist

# Worked circuits: Lessons In Electric Circuits, vol. 1 (read; solved again by an independent script)


def test_three_in_series() -> None:
    """9 V on 3 kΩ, 10 kΩ and 5 kΩ: 1.5, 5 and 2.5 V at 0.5 mA (Lessons, vol. 1, read)."""
    machine = Machine(netlist("V1 1 0 9", "R1 1 2 3k", "R2 2 3 10k", "R3 3 0 5k"))
    assert agree(drops(machine, "R1 R2 R3"), "1.500 5.000 2.500")
    assert agree([1000 * amps for amps in currents(machine, "V1 R3")], "0.5000 0.5000")


def test_three_in_parallel() -> None:
    """9 V on 10 kΩ, 2 kΩ and 1 kΩ side by side: 0.9, 4.5 and 9 mA (Lessons, vol. 1, read)."""
    machine = Machine(netlist("V1 1 0 9", "R1 1 0 10k", "R2 1 0 2k", "R3 1 0 1k"))
    assert agree([1000 * amps for amps in currents(machine, "R1 R2 R3")], "0.900 4.500 9.000")


TWO_SOURCES = ("V1 1 0 28", "V2 3 0 7", "R1 1 2 4", "R3 2 3 1")


def test_two_sources() -> None:
    """28 V and 7 V with 4, 2 and 1 Ω: drops 20, 8, 1 V; currents 5, 4, 1 A (Lessons, vol. 1, read)."""
    machine = Machine(netlist(*TWO_SOURCES, "R2 2 0 2"))
    assert agree(drops(machine, "R1 R2 R3"), "20.000 8.000 1.000")
    assert agree(currents(machine, "R1 R2 R3"), "5.000 4.000 1.000")


def test_two_sources_seen_from_the_load() -> None:
    """Without its 2 Ω load the same circuit is 11.2 V behind 0.8 Ω, and gives 39.2 W at most (Lessons, vol. 1, read).

    Half of 11.2 V at a load of 0.8 Ω shows that 0.8 Ω stand behind it; neighbouring loads take less.
    """
    bare = Machine(netlist(*TWO_SOURCES))
    assert close_to("11.200", float(bare.settled.voltage("R1:2")))
    power = {}
    for load in (0.7, 0.8, 0.9):
        (volts,) = drops(Machine(netlist(*TWO_SOURCES, f"R2 2 0 {load}")), "R2")
        power[load] = volts**2 / load
        if load == 0.8:
            assert close_to("5.600", volts)
    assert close_to("39.20", power[0.8])
    assert max(power, key=lambda load: power[load]) == 0.8


def test_unbalanced_bridge() -> None:
    """The bridge of 12, 18, 6, 18 and 12 Ω on 10 V: 4.706, 5.294, 0.5882, 5.294, 4.706 V (Lessons, vol. 1, read)."""
    machine = Machine(netlist("V1 1 0 10", "R1 1 2 12", "R2 1 3 18", "R3 2 3 6", "R4 2 0 18", "R5 3 0 12"))
    assert agree(drops(machine, "R1 R2 R3 R4 R5"), "4.706 5.294 0.5882 5.294 4.706")


def test_a_shorted_and_an_open_resistor() -> None:
    """9 V on 150 Ω and R2 of 300 Ω: 20 mA; R2 shorted 60 mA and 0 V; R2 open 0 A and 9 V (Lessons, vol. 1, read).

    The short of the core is 10 mΩ, so 0.6 mV stay across it.
    """
    circuit = netlist("V1 1 0 9", "R1 1 2 50", "R2 2 3 300", "R3 3 0 100")
    sound = Machine(circuit)
    shorted, opened = (Machine(circuit, [parse_fault(f"R2 {mode}", circuit)]) for mode in ("shorted", "open"))
    assert agree([1000 * amps for amps in currents(sound, "V1")], "20.00")
    assert agree([1000 * amps for amps in currents(shorted, "V1")], "60.00")
    assert agree(drops(shorted, "R2"), "0.00")
    assert agree(currents(opened, "V1"), "0.000000")
    assert agree(drops(opened, "R2"), "9.000")


def test_drop_in_both_wires() -> None:
    """On 14 V, 250 Ω at the end of 15 Ω each way: 0.05 A, 12.5 V, and 0.75 V in each wire (Lessons, vol. 1, read)."""
    text = f"""
circuit: loop
parts:
  V1: {{kind: supply, voltage: 14 V, resistance: {NOTHING}}}
  R1: {{kind: resistor, resistance: 250 Ω}}
wires:
  W1: {{from: "V1:+", to: "R1:1", resistance: 15 Ω}}
  W2: {{from: "R1:2", to: "V1:-", resistance: 15 Ω}}
"""
    machine = Machine(parse_circuit(text))
    assert agree(drops(machine, "R1"), "12.500")
    assert agree(currents(machine, "R1 W1"), "0.0500 0.0500")
    for red, black in (("V1:+", "R1:1"), ("R1:2", "V1:-")):
        reading = read(machine, Probe("volts", red, black))
        assert reading.value == pytest.approx(0.75, abs=reading.tolerance)


# Worked circuits: OpenStax University Physics 2 (read)


def test_five_in_series() -> None:
    """9 V on 20, 20, 20, 20 and 10 Ω: 0.1 A; 2, 2, 2, 2, 1 V; 0.9 W (OpenStax, read)."""
    machine = Machine(netlist("V1 1 0 9", "R1 1 2 20", "R2 2 3 20", "R3 3 4 20", "R4 4 5 20", "R5 5 0 10"))
    assert agree(drops(machine, "R1 R2 R3 R4 R5"), "2.000 2.000 2.000 2.000 1.000")
    (amps,) = currents(machine, "V1")
    assert close_to("0.1000", amps)
    assert close_to("0.900", 9 * amps)


def test_three_branches() -> None:
    """3 V on 1, 2 and 2 Ω side by side: 3, 1.5, 1.5 A, together 6 A and 18 W (OpenStax, read)."""
    machine = Machine(netlist("V1 1 0 3", "R1 1 0 1", "R2 1 0 2", "R3 1 0 2"))
    assert agree(currents(machine, "R1 R2 R3 V1"), "3.000 1.500 1.500 6.000")
    assert close_to("18.00", 3 * currents(machine, "V1")[0])


def test_series_and_parallel() -> None:
    """24 V on 7 Ω, then 10 Ω beside 6 + 4 Ω: 12 Ω in all, 2 A; 14, 6, 4 V; 48 W (OpenStax, read)."""
    machine = Machine(netlist("V1 1 0 24", "R1 1 2 7", "R2 2 0 10", "R3 2 3 6", "R4 3 0 4"))
    (amps,) = currents(machine, "V1")
    assert close_to("2.000", amps)
    assert close_to("12.00", 24 / amps)
    assert close_to("48.0", 24 * amps)
    assert agree(drops(machine, "R1 R3 R4"), "14.000 6.000 4.000")


def test_power_in_a_string() -> None:
    """18 V on 4, 1 and 4 Ω: 2 A; 8, 2, 8 V; 36 W (OpenStax, read)."""
    machine = Machine(netlist("V1 1 0 18", "R1 1 2 4", "R2 2 3 1", "R3 3 0 4"))
    assert agree(drops(machine, "R1 R2 R3"), "8.000 2.000 8.000")
    (amps,) = currents(machine, "V1")
    assert close_to("2.000", amps)
    assert close_to("36.0", 18 * amps)


@pytest.mark.parametrize(
    ("inside", "load", "volts"), [("0.1", "10", "11.88"), ("0.1", "0.5", "10.00"), ("0.5", "0.5", "6.00")]
)
def test_terminal_voltage(inside: str, load: str, volts: str) -> None:
    """A 12 V battery of 0.1 Ω gives 11.9 V to 10 Ω and 10.0 V to 0.5 Ω; of 0.5 Ω only 6.00 V (OpenStax, read).

    OpenStax rounds 1.188 A before it multiplies and prints 11.90 V; 12 · 10/10.1 is 11.88 V (derived).
    """
    text = f"""
circuit: cell
parts:
  G1: {{kind: battery, emf: 12 V, resistance: {inside} Ω}}
  R1: {{kind: resistor, resistance: {load} Ω}}
wires:
  W1: {{from: "G1:+", to: "R1:1", resistance: {NOTHING}}}
  W2: {{from: "R1:2", to: "G1:-", resistance: {NOTHING}}}
"""
    assert agree(drops(Machine(parse_circuit(text)), "R1"), volts)


def test_starter_current() -> None:
    """12 V behind 0.01 Ω on a starter of 0.05 Ω: 200 A, 10.0 V, 2.00 kW (OpenStax, read)."""
    text = f"""
circuit: starter
parts:
  G1: {{kind: battery, emf: 12 V, resistance: 0.01 Ω}}
  M1: {{kind: motor, resistance: 0.05 Ω}}
wires:
  W1: {{from: "G1:+", to: "M1:1", resistance: {NOTHING}}}
  W2: {{from: "M1:2", to: "G1:-", resistance: {NOTHING}}}
"""
    machine = Machine(parse_circuit(text))
    (volts,), (amps,) = drops(machine, "M1"), currents(machine, "M1")
    assert close_to("200.0", amps)
    assert close_to("10.00", volts)
    assert close_to("2.00", volts * amps / 1000)


def test_charging_source_absorbs() -> None:
    """24 V against 12 V round 10 + 30 + 20 Ω: 0.20 A, and the 12 V source absorbs 2.40 W (OpenStax, read)."""
    machine = Machine(netlist("V1 1 0 24", "V2 3 4 12", "R1 1 2 10", "R2 2 3 30", "R3 4 0 20"))
    strong, weak = currents(machine, "V1 V2")
    assert close_to("0.200", strong)
    assert close_to("2.40", -12 * weak)


# Other worked circuits


def test_unknown_branch() -> None:
    """8 Ω beside R make 6 Ω where R is 24 Ω (DOE-HDBK-1011/1, read); the ohmmeter says so."""
    machine = Machine(netlist("R1 1 0 8", "R2 1 0 24"))
    assert read(machine, Probe("ohms", "N1:1", "FRAME")).display == "6.0 Ω"


SERIES_PARALLEL = netlist("V1 1 0 120", "R1 1 2 20", "R2 2 0 100", "R3 2 0 25")
"""R1 before R2 beside R3: 40 Ω and 3 A sound; 120 Ω and 1 A with R3 open, so 120 V (NEETS module 1, read, derived).

20 and 100 Ω are those of the same circuit in US Army OD1633 (read); 25 Ω then follow from 40 Ω (derived).
"""

SHORTS = ("R1 shorted", "R2 shorted", "R3 shorted")


def broken(fault: str) -> Machine:
    """Return the circuit of NEETS module 1, figure 3-61, with a fault in it."""
    return Machine(SERIES_PARALLEL, [parse_fault(fault, SERIES_PARALLEL)])


def test_open_and_shorted_in_a_mixed_circuit() -> None:
    """40 Ω and 3 A; R1 open: no path; R3 open: 120 Ω and 1 A (NEETS module 1, read).

    R3 shorted: 20 Ω and 6 A (US Army OD1633, read); so are R2 shorted, and R1 shorted, which leaves 100 beside 25 Ω
    (derived).
    """
    assert agree(currents(Machine(SERIES_PARALLEL), "V1"), "3.000")
    assert agree(currents(broken("R3 open"), "V1"), "1.000")
    assert agree(currents(broken("R1 open"), "V1"), "0.000000")
    for fault in SHORTS:
        assert agree(currents(broken(fault), "V1"), "6.00"), fault


def test_two_shorts_that_look_alike_from_the_supply() -> None:
    """Each short gives the supply 20 Ω (NEETS module 1 and US Army OD1633, read, derived), so its current leaves three.

    A voltage tells R1 from the others; between R2 and R3, side by side, no voltage decides, but each in the hand does.
    """
    bench = Bench(SERIES_PARALLEL, [parse_fault("R3 shorted", SERIES_PARALLEL)])
    universe = [
        parse_fault(f"{part} {mode}", SERIES_PARALLEL) for part in ("R1", "R2", "R3") for mode in ("open", "shorted")
    ]

    def suspects() -> list[str]:
        return find_suspects(SERIES_PARALLEL, bench.record, universe).names

    bench.read(Probe("amps", "V1"))
    assert suspects() == list(SHORTS)
    for probe in voltage_probes(SERIES_PARALLEL):
        bench.read(probe)
    assert suspects() == ["R2 shorted", "R3 shorted"]
    bench.read(Probe("ohms", "R3:1", "R3:2", alone="R3"))
    assert suspects() == ["R3 shorted"]


def test_an_ambiguity_group() -> None:
    """What no test tells apart is one group: two wires of one joint, shorted to ground; three shorted parts are not."""
    wires = [name for name in SERIES_PARALLEL.wires if SERIES_PARALLEL.wires[name].start in ("R2:1", "R3:1")]
    grounded = [f"{wire} shorted to ground" for wire in wires]
    faults = [parse_fault(name, SERIES_PARALLEL) for name in (*SHORTS, *grounded)]
    assert ambiguity_groups(SERIES_PARALLEL, faults) == [*([name] for name in SHORTS), grounded]


def test_what_tells_the_three_shorts_apart() -> None:
    """Nothing is seen to work, so a look finds none; volts leave R2 and R3, side by side; in the hand each shows.

    The case is that of the shorts above (NEETS module 1 and US Army OD1633, read, derived). By hand with volts: of
    three detected one is alone, two are together, so the mean size of a fault's group is (1 + 2 · 2)/3.
    """
    hypotheses = [(), *((parse_fault(name, SERIES_PARALLEL),) for name in SHORTS)]
    table = outcome_table(SERIES_PARALLEL, hypotheses, every_test(SERIES_PARALLEL))
    looks, volts, ohms, hand = levels(table)
    assert looks.undetected == SHORTS
    assert volts.groups == ohms.groups == (("R1 shorted",), ("R2 shorted", "R3 shorted"))
    assert volts.plain == Fractions(1.0, (1 / 3, 1.0, 1.0), (1 + 2 * 2) / 3)
    assert hand.groups == tuple((name,) for name in SHORTS)
