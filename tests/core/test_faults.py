"""Faults: the universe of a circuit, names and defaults, and what each mode does, worked out by hand (Ohm's law)."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

import pytest

from faultwright.circuit import FRAME
from faultwright.errors import Refused
from faultwright.faults import Fault, cures, intermittent, parse_fault, remedies_at, universe
from faultwright.machine import Machine
from tests.core import depot

GUARD = """
circuit: hedge-guard
title: Hedge cutter, guard lamp over a connector
nominal: 12 V
controls:
  key:   {positions: [off, on]}
  lever: {positions: [up, down]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 0.1 Ω}
  S1: {kind: switch, control: key, contacts: {1-2: [on], 3-4: [off]}, resistance: 0.1 Ω}
  B1: {kind: switch, control: lever, contacts: {13-14: [down]}, resistance: 0.1 Ω}
  K1: {kind: relay, coil: 80 Ω, contacts: {30-87: energised, 40-47: released}, resistance: 0.1 Ω}
  R1: {kind: diode, forward_drop: 0.6 V}
  P1: {kind: lamp, power: 14.4 W, voltage: 12 V}
  A1: {kind: input, pull: up, pull_resistance: 1 kΩ}
  N1: {kind: splice, ways: 2}
  X1: {kind: connector, pins: 3, resistance: 0.1 Ω}
  E1: {kind: ground, resistance: 0.1 Ω}
wires:
  W1: {from: G1:+, to: S1:1, resistance: 0.1 Ω}
  W2: {from: S1:2, to: X1:a1, resistance: 0.1 Ω}
  W3: {from: X1:b1, to: P1:1, resistance: 0.1 Ω}
  W4: {from: P1:2, to: E1:1, resistance: 0.1 Ω}
  W5: {from: G1:-, to: FRAME, resistance: 0.1 Ω}
  W6: {from: X1:b2, to: A1:in, resistance: 0.1 Ω}
  W7: {from: A1:-, to: E1:1, resistance: 0.1 Ω}
  W8: {from: K1:86, to: N1:1, resistance: 0.1 Ω}
  W9: {from: K1:30, to: K1:86, resistance: 0.1 Ω}
behaviour:
  guarded: {lamp: P1}
"""

UNIVERSE = {
    "G1": "discharged|resistance 0.4",
    "G1:+": "open|resistance 40",
    "G1:-": "open|resistance 40",
    "S1": "1-2 stuck open|1-2 stuck closed|1-2 resistance 8|3-4 stuck open|3-4 stuck closed|3-4 resistance 8|sticking",
    "S1:1": "open|resistance 40",
    "S1:2": "open|resistance 40",
    "B1": "stuck open|stuck closed|resistance 8|sticking",
    "K1": "coil open|coil shorted",
    "K1:86": "open|resistance 40",
    "K1:30": "open|resistance 40",
    "R1": "open|shorted|reversed|leaky",
    "P1": "open|shorted",
    "P1:1": "open|resistance 40",
    "P1:2": "open|resistance 40",
    "A1": "open",
    "A1:in": "open|resistance 40",
    "A1:-": "open|resistance 40",
    "N1:1": "open|resistance 40",
    "X1:1": "open|resistance 40|swapped with X1:2",
    "X1:2": "open|resistance 40",
    "E1": "open|resistance 3",
    "E1:1": "open|resistance 40",
}
"""Place → its modes, with the default of a free value in Ω. Wires come on top: four modes each."""


def test_the_universe_in_full() -> None:
    """Every permanent single fault of a circuit, no more and no fewer, with its default.

    Pins that no wire lands on have none, nor have contacts of a relay that are not wired at both ends.
    """
    wires = {f"W{number}": "open|resistance 12|shorted to ground|shorted to supply" for number in range(1, 10)}
    expected = []
    for place, modes in (wires | UNIVERSE).items():
        for entry in modes.split("|"):
            words = entry.split()
            value = float(words.pop()) if words[-1].replace(".", "").isdigit() else None
            expected.append((place, " ".join(words), value, False))
    found = [
        (fault.place, fault.mode, fault.value, fault.disturbed) for fault in universe(depot.circuit(GUARD)).values()
    ]
    assert sorted(found, key=str) == sorted(expected, key=str)


REMEDIES = {
    "W1 open": ("mend the wire", "replace the wire"),
    "W1 shorted to ground": ("insulate and reroute the wire", "replace the wire"),
    "X1:1 open": ("re-terminate",),
    "X1:1 resistance": ("clean", "re-terminate"),
    "X1:1 swapped with X1:2": ("exchange the wires",),
    "S1 1-2 stuck open": ("free and lubricate", "adjust", "replace"),
    "S1 1-2 resistance": ("clean", "replace"),
    "S1 sticking": ("free and lubricate", "replace"),
    "K1 coil open": ("replace",),
    "R1 reversed": ("turn round",),
    "P1 open": ("replace",),
    "E1 open": ("re-terminate",),
    "G1 discharged": ("charge", "replace"),
    "A1 open": ("replace",),
}


@pytest.mark.parametrize("name", REMEDIES)
def test_remedies(name: str) -> None:
    """The trade's remedies for one fault of every sort (common practice); a jumper is never one."""
    fault = universe(depot.circuit(GUARD))[name]
    assert fault.remedies == REMEDIES[name]
    for remedy in fault.remedies:
        assert cures(fault.place, remedy, fault)
        assert not cures("W5", remedy, fault)


def test_no_fault_is_without_a_remedy_and_no_jumper_is_one() -> None:
    """Every fault of one of every kind of part can be repaired, and never by bridging it."""
    for fault in universe(depot.circuit(depot.BENCH)).values():
        assert fault.remedies
        assert not any("jumper" in remedy or "bridge" in remedy for remedy in fault.remedies)


def test_exchanged_wires_can_be_put_right_at_either_pin() -> None:
    """Who finds the wires exchanged at the other pin mends the same fault."""
    fault = universe(depot.circuit(GUARD))["X1:1 swapped with X1:2"]
    assert cures("X1:1", "exchange the wires", fault)
    assert cures("X1:2", "exchange the wires", fault)
    assert not cures("X1:3", "exchange the wires", fault)
    assert "exchange the wires" in remedies_at(depot.circuit(GUARD))["X1:2"]


# Names


def test_every_name_of_the_universe_reads_back() -> None:
    """Each listed name is a fault by itself, with its default; and with ``when disturbed`` only then."""
    found = depot.circuit(depot.BENCH)
    for name, fault in universe(found).items():
        assert fault.name == name
        assert parse_fault(name, found) == fault
        assert parse_fault(str(fault), found) == fault
        assert parse_fault(f"{name} when disturbed", found) == intermittent(fault)
        assert intermittent(fault).name == f"{name} when disturbed"


def test_exchanged_wires_are_one_fault() -> None:
    """Two pins exchanged are the same from either pin, so either may be named first."""
    found = depot.circuit(depot.BENCH)
    name = next(name for name in universe(found) if " swapped with " in name)
    first, _, second = name.partition(" swapped with ")
    assert parse_fault(f"{second} swapped with {first}", found) == universe(found)[name]


@pytest.mark.parametrize(
    ("text", "place", "mode", "value"),
    [
        ("W7 resistance 12.5 Ω", "W7", "resistance", 12.5),
        ("W7 resistance 2k5", None, None, None),
        ("W7 resistance 1.5e3 Ω", "W7", "resistance", 1500.0),
        ("W7   resistance  1,5 kohm", "W7", "resistance", 1500.0),
        ("S2 1-2 resistance 300 mΩ", "S2", "1-2 resistance", 0.3),
        ("K1 30-87 resistance 2Ω", "K1", "30-87 resistance", 2.0),
        ("K1:86 resistance 1 MΩ", "K1:86", "resistance", 1e6),
        ("W7 open", "W7", "open", None),
    ],
)
def test_values_in_names(text: str, place: str | None, mode: str | None, value: float | None) -> None:
    """A free value is read with its unit, wherever the blanks are; nonsense is refused."""
    found = depot.circuit(depot.BENCH)
    if place is None:
        with pytest.raises(Refused):
            parse_fault(text, found)
        return
    fault = parse_fault(text, found)
    assert (fault.place, fault.mode) == (place, mode)
    assert fault.value == (None if value is None else pytest.approx(value))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("W7 opne", "W7 cannot have the fault 'opne'; did you mean 'W7 open'? (allowed: open, resistance, shorted to ground, shorted to supply)"),
        ("W7", "W7 cannot have the fault '(none named)' (allowed: open, resistance, shorted to ground, shorted to supply)"),
        ("S2 stuck open", "S2 cannot have the fault 'stuck open'; did you mean 'S2 3-4 stuck open'? (allowed: 1-2 stuck open, 1-2 stuck closed, 1-2 resistance, 3-4 stuck open, 3-4 stuck closed, 3-4 resistance, sticking)"),
        ("W99 open", "there is no place 'W99' that can have a fault; did you mean 'W9'?"),
        ("W7 open 3 Ω", "'W7 open' takes no value, so '3 Ω' is too much"),
        ("W7 resistance 3", "'3' has no unit; write a number with a unit, such as '85 Ω'"),
        ("W7 resistance 3 V", "'3 V' is not in Ω; write a number with a unit, such as '85 Ω'"),
        ("W7 resistance -3 Ω", "the value must be from 1e-09 Ω to 1e+12 Ω"),
        ("W7 resistance 0 Ω", "the value must be from 1e-09 Ω to 1e+12 Ω"),
        ("W7 resistance 1e300 Ω", "the value must be from 1e-09 Ω to 1e+12 Ω"),
        ("", "there is no place '' that can have a fault"),
    ],
)  # fmt: skip
def test_a_fault_that_cannot_be(text: str, message: str) -> None:
    """Each refusal names the place, what it can have, and what comes nearest."""
    with pytest.raises(Refused) as refused:
        parse_fault(text, depot.circuit(depot.BENCH))
    assert str(refused.value) == f"fault {text!r}: {message}"


# What each mode does: a loop of battery, wires and parts, every resistance 0.1 Ω but for the load


def volts(made: Machine, terminal: str) -> float:
    """Return the voltage of a terminal against FRAME."""
    return float(made.settled.voltage(terminal))


def lamp_current(*faults: str, moves: tuple[str, ...] = ("key=on",)) -> float:
    """Return the current in A through the 10 Ω lamp of the shed."""
    made = depot.machine(depot.SHED, *moves, faults=faults)
    return (volts(made, "P1:1") - volts(made, "P1:2")) / 10


SOUND = 12 / 10.5
"""A in the shed: 12 V over lamp 10 Ω, battery, three wires and switch 0.1 Ω each."""


NOTHING = pytest.approx(0, abs=1e-12)
"""A in a branch that hangs on one end only: rounding of the voltage at both of its ends."""


def test_the_sound_loop() -> None:
    """The yardstick of what follows: 12 V over 10.5 Ω, and nothing with the key off."""
    assert lamp_current() == pytest.approx(SOUND)
    assert lamp_current(moves=()) == 0


def test_wire_open() -> None:
    """No current; all of the voltage stands before the break and none behind it."""
    made = depot.machine(depot.SHED, "key=on", faults=["W2 open"])
    assert volts(made, "S1:2") == pytest.approx(12)
    assert volts(made, "P1:1") == 0


def test_wire_resistance() -> None:
    """Its value is in series with the wire: 12 V over 10.5 + 12 Ω; another value, another current."""
    assert lamp_current("W2 resistance") == pytest.approx(12 / 22.5)
    assert lamp_current("W2 resistance 4.5 Ω") == pytest.approx(12 / 15)


def test_wire_shorted_to_ground() -> None:
    """Its from end lies on FRAME over 10 mΩ: with W4 that is 0.11 Ω beside W2, lamp and W3 (10.2 Ω)."""
    made = depot.machine(depot.SHED, "key=on", faults=["W2 shorted to ground"])
    beside = 0.11 * 10.2 / (0.11 + 10.2)
    total = 12 / (0.3 + beside)
    assert volts(made, "S1:2") == pytest.approx(total * beside * 0.01 / 0.11)


def test_wire_shorted_to_supply() -> None:
    """Its from end lies on + of the first source over 10 mΩ: the lamp burns with the key off."""
    assert lamp_current("W2 shorted to supply", moves=()) == pytest.approx(12 / (0.1 + 0.01 + 0.1 + 10 + 0.1))


def test_joint_open() -> None:
    """It breaks between joint and part: a probe on the joint still finds the voltage, the part has no current."""
    made = depot.machine(depot.SHED, "key=on", faults=["P1:1 open"])
    assert volts(made, "P1:1") == pytest.approx(12)
    assert made.seen() == {"lamp": "off"}
    assert volts(made, "P1:2") == 0


def test_joint_resistance() -> None:
    """40 Ω lie between joint and lamp: the joint has what stands over joint, lamp and W3 (less FRAME: no current)."""
    made = depot.machine(depot.SHED, "key=on", faults=["P1:1 resistance"])
    current = 12 / 50.5
    assert volts(made, "P1:1") == pytest.approx(current * 50.1)
    assert made.seen() == {"lamp": "dim"}  # 10/50.5 of its voltage


def test_joint_open_at_a_source() -> None:
    """At the battery's post the cable is dead and the battery is not: nothing flows."""
    made = depot.machine(depot.SHED, "key=on", faults=["G1:+ open"])
    assert made.seen() == {"lamp": "off"}
    assert volts(made, "G1:+") == 0


def test_joint_of_a_splice() -> None:
    """One way of a splice that is open cuts that way off and leaves the others joined."""
    made = depot.machine(depot.BENCH, faults=["N1:2 open"])
    assert made.move("key=on").seen["lamp"] == "off"
    assert made.move("key=off").seen["lamp"] == "off"
    assert volts(made, "N1:2") == 0
    assert volts(made, "N1:3") > 11
    assert depot.machine(depot.BENCH, "key=on", faults=["N1:1 open"]).settled.voltage("N1:3") == 0


@pytest.mark.parametrize(
    ("fault", "with_key_off", "with_key_on"),
    [
        ("S1 stuck open", 0.0, 0.0),
        ("S1 stuck closed", SOUND, SOUND),
        ("S1 resistance", 0.0, 12 / 18.5),
        ("S1 resistance 31.5 Ω", 0.0, 12 / 42),
        ("S1:2 open", 0.0, 0.0),
        ("G1 discharged", 0.0, 12 * 0.93 / (10.4 + 1.0)),
        ("G1 resistance", 0.0, 12 / 10.9),
        ("G1:- resistance 9.5 Ω", 0.0, 12 / 20),
    ],
)
def test_switch_and_battery(fault: str, with_key_off: float, with_key_on: float) -> None:
    """Contacts stuck or dirty (their value lies in series only while closed), a tired battery."""
    assert lamp_current(fault, moves=()) == pytest.approx(with_key_off)
    assert lamp_current(fault) == pytest.approx(with_key_on)


def test_lamp_open() -> None:
    """A broken filament: no light, and all of the voltage across it."""
    made = depot.machine(depot.SHED, "key=on", faults=["P1 open"])
    assert made.seen() == {"lamp": "off"}
    assert volts(made, "P1:1") - volts(made, "P1:2") == pytest.approx(12)


def test_lamp_shorted() -> None:
    """10 mΩ take the filament's place: 12 V over 0.51 Ω, and no light."""
    made = depot.machine(depot.SHED, "key=on", faults=["P1 shorted"])
    assert volts(made, "P1:1") - volts(made, "P1:2") == pytest.approx(12 / 0.51 * 0.01)
    assert made.seen() == {"lamp": "off"}


def test_sticking_takes_its_position_one_move_late() -> None:
    """The contact stands where its control stood before the last move, whatever that move was."""
    made = depot.machine(depot.SHED, faults=["S1 sticking"])
    seen = [made.move(move).seen["lamp"] for move in ("key=on", "disturb=nothing", "key=off", "disturb=nothing")]
    assert seen == ["off", "lit", "lit", "off"]


def test_one_contact_of_several() -> None:
    """Of a switch with several contacts only the named one is stuck."""
    for lever, closed in (("idle", ()), ("low", ("1-2", "3-4")), ("high", ("3-4",))):
        made = depot.machine(depot.BENCH, f"lever={lever}", faults=["S2 1-2 stuck open"])
        assert made.relays["K1"] is False, lever
        assert (volts(made, "S2:4") > 1) == ("3-4" in closed), lever
    assert depot.machine(depot.BENCH, faults=["S2 1-2 stuck closed"]).relays["K1"] is True


# A part in a loop: battery 12 V 0.1 Ω, three wires of 0.1 Ω, the part, a resistor of 10 Ω


def loop(part: str, pins: tuple[str, str]) -> str:
    """Return a circuit with the part D1 in a loop with 10.4 Ω, its first pin towards the battery's +."""
    return f"""
circuit: loop
nominal: 12 V
parts:
  G1: {{kind: battery, emf: 12 V, resistance: 0.1 Ω}}
  D1: {part}
  L1: {{kind: resistor, resistance: 10 Ω}}
wires:
  W1: {{from: "G1:+", to: "D1:{pins[0]}", resistance: 0.1 Ω}}
  W2: {{from: "D1:{pins[1]}", to: "L1:1", resistance: 0.1 Ω}}
  W3: {{from: "L1:2", to: "G1:-", resistance: 0.1 Ω}}
"""


PARTS = {
    "fuse": ("{kind: fuse, rating: 100 A, resistance: 0.1 Ω}", 0.1),
    "motor": ("{kind: motor, resistance: 2 Ω}", 2.0),
    "solenoid": ("{kind: solenoid, resistance: 5 Ω}", 5.0),
    "resistor": ("{kind: resistor, resistance: 15 Ω}", 15.0),
    "lamp": ("{kind: lamp, power: 9.6 W, voltage: 12 V}", 15.0),
}


@pytest.mark.parametrize("kind", PARTS)
def test_parts_of_one_branch(kind: str) -> None:
    """Sound, open, shorted (10 mΩ), with a joint of 40 Ω: the current by Ohm's law."""
    part, ohms = PARTS[kind]
    text = loop(part, ("1", "2"))

    def current(*faults: str) -> float:
        made = depot.machine(text, faults=faults)
        return (volts(made, "L1:1") - volts(made, "L1:2")) / 10

    assert current() == pytest.approx(12 / (10.4 + ohms))
    assert current("D1 open") == NOTHING
    assert current("D1:1 open") == NOTHING
    assert current("D1:2 resistance") == pytest.approx(12 / (50.4 + ohms))
    if kind == "fuse":
        assert "D1 shorted" not in universe(depot.circuit(text))
    else:
        assert current("D1 shorted") == pytest.approx(12 / 10.41)


def test_diode() -> None:
    """Conducting it takes 0.6 V (and 20 mΩ); open, shorted, reversed, leaky as in the parts list of faults."""
    there, back = (loop("{kind: diode, forward_drop: 0.6 V}", pins) for pins in (("A", "K"), ("K", "A")))

    def current(text: str, *faults: str) -> float:
        made = depot.machine(text, faults=faults)
        return (volts(made, "L1:1") - volts(made, "L1:2")) / 10

    assert current(there) == pytest.approx(11.4 / 10.42)
    assert current(there, "D1 open") == NOTHING
    assert current(there, "D1 shorted") == pytest.approx(12 / 10.41)
    assert current(there, "D1 reversed") == NOTHING
    assert current(back) == NOTHING
    assert current(back, "D1 reversed") == pytest.approx(11.4 / 10.42)
    assert current(back, "D1 shorted") == pytest.approx(12 / 10.41)
    assert current(back, "D1 leaky") == pytest.approx(12 / 1010.4)


def test_connector_pins() -> None:
    """An open pin, one with resistance, two with their wires exchanged on the b half."""
    text = """
circuit: trailer
nominal: 12 V
parts:
  G1: {kind: battery, emf: 12 V, resistance: 0.1 Ω}
  X1: {kind: connector, pins: 2, resistance: 0.1 Ω}
  L1: {kind: resistor, resistance: 10 Ω}
  L2: {kind: resistor, resistance: 20 Ω}
wires:
  W1: {from: G1:+, to: X1:a1, resistance: 0.1 Ω}
  W2: {from: X1:b1, to: L1:1, resistance: 0.1 Ω}
  W3: {from: X1:b2, to: L2:1, resistance: 0.1 Ω}
  W4: {from: L1:2, to: G1:-, resistance: 0.1 Ω}
  W5: {from: L2:2, to: G1:-, resistance: 0.1 Ω}
"""

    def currents(*faults: str) -> tuple[float, float]:
        made = depot.machine(text, faults=faults)
        first, second = (volts(made, f"{part}:1") - volts(made, f"{part}:2") for part in ("L1", "L2"))
        return first / 10, second / 20

    assert currents() == pytest.approx((12 / 10.5, 0))
    assert currents("X1:1 open") == (0, 0)
    assert currents("X1:2 open") == pytest.approx((12 / 10.5, 0))
    assert currents("X1:1 resistance") == pytest.approx((12 / 50.5, 0))
    assert currents("X1:1 resistance 9.5 Ω") == pytest.approx((12 / 20, 0))
    assert currents("X1:1 swapped with X1:2") == pytest.approx((0, 12 / 20.5))
    # What is put into the pin stays with the pin, whichever wire is in it.
    assert currents("X1:1 swapped with X1:2", "X1:1 resistance") == pytest.approx((0, 12 / 60.5))


def test_a_chafed_wire_is_shorted_where_it_lands() -> None:
    """The short of a wire on an exchanged pin lies at the pin that it was moved to."""
    text = """
circuit: harrow
nominal: 12 V
parts:
  G1: {kind: battery}
  L1: {kind: resistor, resistance: 10 Ω}
  X1: {kind: connector, pins: 2}
wires:
  W1: {from: "G1:+", to: "L1:1"}
  W2: {from: "L1:2", to: "X1:a2"}
  W3: {from: "X1:b1", to: "G1:-"}
  W4: {from: "G1:-", to: FRAME}
"""
    faults = ["X1:1 swapped with X1:2", "W3 shorted to ground"]
    network = depot.machine(text, faults=faults).solver.network
    short = next(branch for branch in network.branches if branch.name == "W3 shorted to ground")
    assert (short.a, short.b) == (network.node["X1:b2"], network.node["FRAME"])


def test_ground() -> None:
    """A ground that is open or corroded: no way, or 3 Ω more, to FRAME."""
    text = loop("{kind: resistor, resistance: 5 Ω}", ("1", "2")).replace('to: "G1:-"', 'to: "E1:1"')
    text = text.replace(
        "wires:", "  E1: {kind: ground, resistance: 0.1 Ω}\nwires:\n  W4: {from: G1:-, to: FRAME, resistance: 0.1 Ω}"
    )

    def current(*faults: str) -> float:
        made = depot.machine(text, faults=faults)
        return (volts(made, "L1:1") - volts(made, "L1:2")) / 10

    assert current() == pytest.approx(12 / 15.6)
    assert current("E1 open") == NOTHING
    assert current("E1:1 open") == NOTHING
    assert current("E1 resistance") == pytest.approx(12 / 18.6)
    assert current("E1 resistance 9.4 Ω") == pytest.approx(12 / 25)
    made = depot.machine(text, faults=["E1 resistance"])
    assert volts(made, "E1:1") == pytest.approx(12 / 18.6 * 3.1)


RELAY = """
circuit: sluice
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 0.1 Ω}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}, resistance: 0.1 Ω}
  K1: {kind: relay, coil: 79.5 Ω, resistance: 0.1 Ω}
  L1: {kind: resistor, resistance: 9.5 Ω}
  L2: {kind: resistor, resistance: 19.5 Ω}
wires:
  W1: {from: G1:+, to: S1:1, resistance: 0.1 Ω}
  W2: {from: S1:2, to: K1:86, resistance: 0.1 Ω}
  W3: {from: K1:85, to: G1:-, resistance: 0.1 Ω}
  W4: {from: G1:+, to: K1:30, resistance: 0.1 Ω}
  W5: {from: K1:87, to: L1:1, resistance: 0.1 Ω}
  W6: {from: L1:2, to: G1:-, resistance: 0.1 Ω}
  W7: {from: K1:87a, to: L2:1, resistance: 0.1 Ω}
  W8: {from: L2:2, to: G1:-, resistance: 0.1 Ω}
  W9: {from: G1:-, to: FRAME, resistance: 0.1 Ω}
behaviour:
  relay: {relay: K1}
"""
"""Without W1's share: L1 in a loop of 10 Ω, L2 in one of 20 Ω, the coil in one of 80 Ω."""


@pytest.mark.parametrize(
    ("fault", "pulls", "at_rest", "key_on"),
    [
        ("", True, (0, 20), (10, 0)),
        ("K1 coil open", False, (0, 20), (0, 20)),
        ("K1 30-87 stuck open", True, (0, 20), (0, 0)),
        ("K1 30-87 resistance", True, (0, 20), (12, 0)),
        ("K1 30-87a stuck open", True, (0, 0), (10, 0)),
        ("K1 30-87a resistance 20 Ω", True, (0, 40), (10, 0)),
        ("K1:87 resistance 10 Ω", True, (0, 20), (20, 0)),
        ("K1:30 open", True, (0, 0), (0, 0)),
        ("K1:86 open", False, (0, 20), (0, 20)),
    ],
)
def test_relay(fault: str, pulls: bool, at_rest: tuple[float, float], key_on: tuple[float, float]) -> None:  # noqa: FBT001 - a table
    """Resistance of the loop of L1 and of L2 (0: no loop) with the relay at rest and with the key on.

    With the key on the coil's 80 Ω loop hangs on the battery's 0.1 Ω too, so the current is worked out for both loops.
    """
    for moves, ohms in (((), at_rest), (("key=on",), key_on)):
        made = depot.machine(RELAY, *moves, faults=[fault] if fault else [])
        coil = 0.0
        if moves and fault not in ("K1 coil open", "K1:86 open"):
            coil = 1 / (79.5 + 0.4)
        loads = [1 / (ohm - 0.1) if ohm else 0.0 for ohm in ohms]
        terminal_volts = 12 / (1 + 0.1 * (coil + sum(loads)))
        assert made.seen() == {"relay": pulls and bool(moves)}
        for part, load, own in (("L1", loads[0], 9.5), ("L2", loads[1], 19.5)):
            across = volts(made, f"{part}:1") - volts(made, f"{part}:2")
            assert across == pytest.approx(terminal_volts * load * own), part


def test_relay_contact_stuck_closed() -> None:
    """A welded make contact feeds its load at rest, beside the break contact."""
    made = depot.machine(RELAY, faults=["K1 30-87 stuck closed"])
    # Both loads hang on K1:30 behind battery and W4, 0.2 Ω; each with its contact and two wires.
    beside = 1 / (1 / 9.8 + 1 / 19.8)
    total = 12 / (0.2 + beside)
    assert volts(made, "L1:1") - volts(made, "L1:2") == pytest.approx(total * beside * 9.5 / 9.8)
    assert made.seen() == {"relay": False}


def test_relay_coil_shorted() -> None:
    """0.5 Ω in the coil's place, and no pull however much flows."""
    made = depot.machine(RELAY, "key=on", faults=["K1 coil shorted"])
    assert made.seen() == {"relay": False}
    coil, load = 0.5 + 0.4, 19.9
    beside = coil * load / (coil + load)
    total = 12 / (0.1 + beside)
    assert volts(made, "K1:86") - volts(made, "K1:85") == pytest.approx(total * beside * 0.5 / coil)


def test_input_open() -> None:
    """``in`` is cut off from the joint and stays at its pull: pulled up and active low, it never acts."""
    sound, cut = (depot.machine(depot.BENCH, faults=faults) for faults in ((), ("A1 open",)))
    assert sound.seen()["sensed"] is True  # the lamp behind S1 pulls it down
    assert cut.seen()["sensed"] is False
    assert volts(cut, "A1:in") == 0  # only the dead lamp hangs on the joint


def test_input_joint_resistance() -> None:
    """40 Ω in the input's joint lie in series with its pull: 1 kΩ and 40 Ω against the lamp's 12 Ω."""
    made = depot.machine(depot.BENCH, faults=["A1:in resistance"])
    # Behind the joint W20, W5, the lamp, W6 and E1: 10 mΩ each but for the lamp's 12 Ω.
    assert volts(made, "P1:1") == pytest.approx(volts(made, "A1:+") * 12.02 / 1052.04)
    assert made.seen()["sensed"] is True


# When disturbed, twice, and never a refusal


def test_when_disturbed() -> None:
    """An intermittent fault is there only while its own place is disturbed."""
    made = depot.machine(depot.SHED, "key=on", faults=["W2 open when disturbed"])
    seen = [made.step(made.move(move).move).seen["lamp"] for move in ("disturb=W1", "disturb=W2", "disturb=nothing")]
    assert seen == ["lit", "off", "lit"]


def test_when_disturbed_with_a_value() -> None:
    """The value of an intermittent fault counts while it is there."""
    assert lamp_current("W2 resistance 4.5 Ω when disturbed") == pytest.approx(SOUND)
    moves = ("key=on", "disturb=W2")
    assert lamp_current("W2 resistance 4.5 Ω when disturbed", moves=moves) == pytest.approx(12 / 15)


def test_two_faults_at_once() -> None:
    """Their resistances add up, at one place too."""
    assert lamp_current("W1 resistance 4.5 Ω", "W2 resistance 5 Ω") == pytest.approx(12 / 20)
    assert lamp_current("W1 resistance 4.5 Ω", "W1 resistance 5 Ω") == pytest.approx(12 / 20)
    assert lamp_current("W1 open", "W2 resistance 5 Ω") == 0


def test_no_fault_makes_a_move_or_a_reading_refuse() -> None:
    """Every fault of one of every kind of part, alone or when disturbed: the machine can be operated and measured."""
    found = depot.circuit(depot.BENCH)
    for fault in universe(found).values():
        for one in (fault, intermittent(fault)):
            made = Machine(found, (one,))
            for move in ("key=on", "lever=low", f"disturb={one.place}", "unplug=K1", "mate=K1"):
                made.move(move)
            for mode in ("volts", "ohms"):
                depot.measure(made, mode, "S1:2", FRAME)


def test_a_fault_is_a_value() -> None:
    """Two faults with the same name and value are the same fault, so that answers can be compared."""
    assert parse_fault("W2 open", depot.circuit(depot.SHED)) == Fault(
        "W2", "open", remedies=("mend the wire", "replace the wire")
    )
