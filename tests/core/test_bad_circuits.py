"""Circuits that nobody should build: each gives a physical answer or a refusal that names what is wrong, never NaN."""

from __future__ import annotations

import pytest

from faultwright.circuit_file import parse_circuit
from faultwright.errors import Refused
from faultwright.machine import Machine
from faultwright.meter import AMPS, BLOWN, FLOATING, LIVE, OHMS, OK, OVERLOAD, VOLTS, Probe, read

from .legal import all_finite, check_reading
from .strategies import all_terminals


def machine(parts: str, wires: str) -> Machine:
    """Return a machine of parts and wires, each on a line as a file writes it."""
    listed = [f"  {line.strip()}" for line in parts.strip().splitlines()]
    ends = [f"  W{number}: {{{line.strip()}}}" for number, line in enumerate(wires.strip().splitlines(), start=1)]
    text = "\n".join(["circuit: bad-yard", "nominal: 12 V", "parts:", *listed, "wires:", *ends, ""])
    return Machine(parse_circuit(text, "bad-yard.yaml"))


def currents(found: Machine) -> dict[str, float]:
    """Return the current in A through every branch by its name."""
    all_finite(found)
    names = [branch.name for branch in found.settled.network.branches]
    return dict(zip(names, found.settled.currents(), strict=True))


def shown(found: Machine, mode: str, red: str, black: str = "") -> tuple[str, float | None]:
    """Return the status and value of a reading."""
    reading = read(found, Probe(mode, red, black))
    check_reading(reading)
    return reading.status, reading.value


# Shorted and conflicting sources


def test_a_battery_shorted_by_a_wire() -> None:
    """Nothing protects it, so a large finite current flows, by Ohm's law: 12.6 V / (20 mΩ + 1 mΩ) = 600 A."""
    found = machine("G1: {kind: battery, emf: 12.6 V, resistance: 20 mΩ}", "from: G1:+, to: G1:-, resistance: 1 mΩ")
    assert currents(found) == pytest.approx({"G1": 600, "W1": 600}, rel=1e-12)
    assert shown(found, VOLTS, "G1:+", "G1:-") == (OK, 0.6)
    assert shown(found, AMPS, "G1:+", "G1:-") == (BLOWN, None)
    assert shown(found, AMPS, "W1") == (BLOWN, None)
    assert shown(found, OHMS, "G1:+", "G1:-") == (LIVE, None)


def test_a_battery_shorted_through_a_fuse() -> None:
    """The fuse opens, nothing flows any more, and the whole voltage stands over the fuse."""
    found = machine(
        """
        G1: {kind: battery, emf: 12.6 V}
        F1: {kind: fuse, rating: 15 A}
        """,
        """
        from: G1:+, to: F1:1
        from: F1:2, to: G1:-
        """,
    )
    assert found.blown == {"F1"}
    assert set(currents(found).values()) == {0}
    assert shown(found, VOLTS, "F1:1", "F1:2") == (OK, 12.6)
    assert shown(found, AMPS, "W1") == (FLOATING, None)


def test_a_fuse_too_large_for_its_battery_holds() -> None:
    """A fuse of 1,000 A on a battery that gives 12.6 V / (0.5 + 0.005 + 0.02) Ω = 24 A: the short goes on."""
    found = machine(
        """
        G1: {kind: battery, emf: 12.6 V, resistance: 500 mΩ}
        F1: {kind: fuse, rating: 1000 A, resistance: 5 mΩ}
        """,
        """
        from: G1:+, to: F1:1, resistance: 10 mΩ
        from: F1:2, to: G1:-, resistance: 10 mΩ
        """,
    )
    assert found.blown == frozenset()
    assert currents(found)["F1"] == pytest.approx(24, rel=1e-12)


TWO_SUPPLIES = """
T1: {kind: supply, voltage: 12 V, resistance: RESISTANCE}
T2: {kind: supply, voltage: 24 V, resistance: RESISTANCE}
"""
SIDE_BY_SIDE = """
from: T1:+, to: T2:+, resistance: RESISTANCE
from: T1:-, to: T2:-, resistance: RESISTANCE
from: T1:-, to: FRAME
"""


@pytest.mark.parametrize(("resistance", "amps"), [("10 mΩ", 300.0), ("1 nΩ", 3e9)])
def test_two_conflicting_supplies_side_by_side(resistance: str, amps: float) -> None:
    """The difference of 12 V drives (24 - 12) V / 4 R round through both, into the lower one, however small R is."""
    found = machine(TWO_SUPPLIES.replace("RESISTANCE", resistance), SIDE_BY_SIDE.replace("RESISTANCE", resistance))
    expected = {"T1": -amps, "T2": amps, "W1": -amps, "W2": amps, "W3": 0}
    assert currents(found) == pytest.approx(expected, rel=1e-12)
    assert shown(found, VOLTS, "T1:+", "FRAME") == (OK, 15.0)  # 12 V and a quarter of the difference
    assert shown(found, AMPS, "W1") == (BLOWN, None)


def test_a_fuse_between_two_conflicting_supplies() -> None:
    """The fuse between them opens, and each supply stands at its own voltage."""
    found = machine(
        TWO_SUPPLIES.replace("RESISTANCE", "10 mΩ") + "F1: {kind: fuse, rating: 10 A}",
        """
        from: T1:+, to: F1:1
        from: F1:2, to: T2:+
        from: T1:-, to: FRAME
        from: T2:-, to: FRAME
        """,
    )
    assert found.blown == {"F1"}
    assert set(currents(found).values()) == {0}
    assert shown(found, VOLTS, "T1:+", "FRAME") == (OK, 12.0)
    assert shown(found, VOLTS, "T2:+", "FRAME") == (OK, 24.0)


# Nothing flows


def test_a_circuit_without_a_return() -> None:
    """No way back to the battery: no current, a dark lamp, and the lamp's far end at the battery's voltage."""
    found = machine(
        """
        G1: {kind: battery, emf: 12.6 V}
        P1: {kind: lamp}
        """,
        "from: G1:+, to: P1:1",
    )
    assert set(currents(found).values()) == {0}
    assert shown(found, AMPS, "P1") == (FLOATING, None)
    assert shown(found, VOLTS, "P1:1", "P1:2") == (OK, 0.0)
    assert shown(found, VOLTS, "P1:2", "G1:-") == (OK, 12.6)  # the meter's 10 MΩ are the return
    assert shown(found, VOLTS, "P1:2", "FRAME") == (FLOATING, None)


def test_a_floating_island() -> None:
    """A circuit that stands nowhere against FRAME works as it should, and has no voltage against FRAME."""
    found = machine(
        """
        G1: {kind: battery, emf: 12.6 V, resistance: 20 mΩ}
        R1: {kind: resistor, resistance: 6.26 Ω}
        E1: {kind: ground}
        """,
        """
        from: G1:+, to: R1:1, resistance: 10 mΩ
        from: R1:2, to: G1:-, resistance: 10 mΩ
        """,
    )
    assert currents(found) == pytest.approx({"G1": 2, "R1": 2, "W1": 2, "W2": 2, "E1": 0}, rel=1e-12)
    assert shown(found, VOLTS, "R1:1", "R1:2") == (OK, 12.52)
    for terminal in ("G1:+", "G1:-", "R1:1", "R1:2"):
        assert shown(found, VOLTS, terminal, "FRAME") == (FLOATING, None)
        assert shown(found, VOLTS, terminal, "E1:1") == (FLOATING, None)
        assert shown(found, OHMS, terminal, "FRAME") == (OVERLOAD, None)


def test_a_battery_the_wrong_way_round() -> None:
    """With + on FRAME everything stands below FRAME and a diode that led to the lamp blocks."""
    found = machine(
        """
        G1: {kind: battery, emf: 12.6 V}
        R1: {kind: diode}
        P1: {kind: lamp}
        P2: {kind: lamp, power: 12.6 W, voltage: 12.6 V}
        """,
        """
        from: G1:+, to: FRAME
        from: G1:-, to: R1:A
        from: R1:K, to: P1:1
        from: P1:2, to: FRAME
        from: G1:-, to: P2:1
        from: P2:2, to: FRAME
        """,
    )
    flowing = currents(found)
    assert flowing["R1"] == flowing["P1"] == 0
    assert flowing["P2"] == pytest.approx(-1, rel=0.01)
    assert shown(found, VOLTS, "R1:A", "FRAME")[1] == pytest.approx(-12.6, abs=0.1)
    assert shown(found, VOLTS, "P1:1", "FRAME") == (OK, 0.0)


def test_everything_unplugged() -> None:
    """With every part off its terminals are harness ends: no volts, no amps, ohms only where a wire runs."""
    found = machine(
        """
        G1: {kind: battery}
        F1: {kind: fuse}
        K1: {kind: relay}
        M1: {kind: motor}
        A1: {kind: input}
        N1: {kind: splice}
        X1: {kind: connector}
        E1: {kind: ground}
        """,
        """
        from: G1:+, to: F1:1, resistance: 300 mΩ
        from: F1:2, to: N1:1
        from: N1:2, to: K1:30
        from: N1:3, to: K1:86
        from: K1:87, to: X1:a1
        from: X1:b1, to: M1:1
        from: M1:2, to: E1:1
        from: K1:85, to: A1:in
        from: A1:+, to: N1:3
        from: A1:-, to: G1:-
        """,
    )
    for part in found.circuit.parts:
        found.move(f"unplug={part}")
    assert set(currents(found).values()) == {0}
    ends = {frozenset((wire.start, wire.end)) for wire in found.circuit.wires.values()}
    joined = ends | {frozenset(("K1:86", "A1:+"))}  # two wires on one way of the splice
    for red in all_terminals(found.circuit):
        for black in all_terminals(found.circuit):
            if red == black:
                continue
            wired = frozenset((red, black)) in joined
            assert shown(found, VOLTS, red, black) == ((OK, 0.0) if wired else (FLOATING, None))
            assert shown(found, AMPS, red, black) == ((OK, 0.0) if wired else (FLOATING, None))
            status, ohms = shown(found, OHMS, red, black)
            assert status == (OK if wired else OVERLOAD)
            if {red, black} == {"G1:+", "F1:1"}:
                assert ohms == 0.3


# The ends of what a file may hold


def test_the_least_and_the_most_that_a_file_may_hold() -> None:
    """100 kV over 1 TΩ through nanoohms: 0.1 µA everywhere, and a meter that shows what it can."""
    found = machine(
        """
        T1: {kind: supply, voltage: 100000 V, resistance: 1e-9 Ω}
        R1: {kind: resistor, resistance: 1e12 Ω}
        R2: {kind: resistor, resistance: 1e-9 Ω}
        """,
        """
        from: T1:+, to: R1:1, resistance: 1e-9 Ω
        from: R1:2, to: R2:1, resistance: 1e-9 Ω
        from: R2:2, to: T1:-, resistance: 1e-9 Ω
        """,
    )
    expected = dict.fromkeys(("T1", "R1", "R2", "W1", "W2", "W3"), 1e-7)
    assert currents(found) == pytest.approx(expected, rel=1e-12)
    assert shown(found, VOLTS, "T1:+", "T1:-") == (OVERLOAD, None)
    assert shown(found, VOLTS, "R2:1", "R2:2") == (OK, 0.0)
    assert shown(found, AMPS, "W1") == (OK, 0.0)
    found.move("unplug=T1")
    assert shown(found, OHMS, "R1:1", "R1:2") == (OVERLOAD, None)
    assert shown(found, OHMS, "R2:1", "R2:2") == (OK, 0.0)


REFUSED = """\
bad-yard.yaml:4: voltage of T1 is -12 V; it must be from 0.001 V to 100000 V
bad-yard.yaml:5: voltage of T2 is 0 V; it must be from 0.001 V to 100000 V
bad-yard.yaml:6: emf of G1: 'nan V' is not a number with a unit, such as '12 V'
bad-yard.yaml:7: emf of G2: 'inf V' is not a number with a unit, such as '12 V'
bad-yard.yaml:8: resistance of R1 is 0 Ω; it must be from 1e-09 Ω to 1e+12 Ω
bad-yard.yaml:9: resistance of R2 is 1e-10 Ω; it must be from 1e-09 Ω to 1e+12 Ω
bad-yard.yaml:10: resistance of R3 is 1e13 Ω; it must be from 1e-09 Ω to 1e+12 Ω
bad-yard.yaml:11: rating of F1 is 0 A; it must be from 1e-06 A to 1e+06 A
bad-yard.yaml:13: resistance of W1 is -1 mΩ; it must be from 1e-09 Ω to 1e+12 Ω
bad-yard.yaml:14: wire W2 joins G1:+ to itself"""


def test_what_no_circuit_can_hold_is_refused() -> None:
    """A source without a voltage or with one below nothing, no resistance at all, NaN: each is named with its place."""
    with pytest.raises(Refused) as refused:
        machine(
            """
            T1: {kind: supply, voltage: -12 V}
            T2: {kind: supply, voltage: 0 V}
            G1: {kind: battery, emf: nan V}
            G2: {kind: battery, emf: inf V}
            R1: {kind: resistor, resistance: 0 Ω}
            R2: {kind: resistor, resistance: 1e-10 Ω}
            R3: {kind: resistor, resistance: 1e13 Ω}
            F1: {kind: fuse, rating: 0 A}
            """,
            """
            from: G1:+, to: G1:-, resistance: -1 mΩ
            from: G1:+, to: G1:+
            """,
        )
    assert str(refused.value) == REFUSED
