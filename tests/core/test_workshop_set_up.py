"""How faults are set up on real hardware: common parts, what they must bear, and which faults must not be set up."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

import math
import re
from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultwright.can_hurt import functions_that_hurt, loads_that_hurt
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit, read_circuit
from faultwright.errors import Refused
from faultwright.faults import Fault, intermittent, parse_fault, universe
from faultwright.machine import Machine
from faultwright.meter import AMPS, Probe, read
from faultwright.state_table import state_table
from faultwright.workshop.dangers import Kind, SetUpRule
from faultwright.workshop.preferred_values import (
    E12,
    E24,
    FUSE_RATINGS,
    POWER_RATINGS,
    fuse_rating,
    nearest_resistor,
    power_rating,
)
from faultwright.workshop.refusals import Permission
from faultwright.workshop.set_up import Impractical, SetUp, set_up
from faultwright.workshop.set_up_texts import TEXTS
from faultwright.workshop.worst_load import Load, worst_load
from faultwright_course.catalogue import circuit_path
from tests.core import depot

COMPRESSOR, RUNABOUT = (read_circuit(circuit_path(name)) for name in ("compressor", "runabout"))
BENCH, MOWER, GATE = (parse_circuit(text) for text in (depot.BENCH, depot.MOWER, depot.GATE))
CIRCUITS = (COMPRESSOR, RUNABOUT, BENCH, MOWER, GATE)

SHED = """
circuit: shed-lamp
controls: {key: {positions: [off, on]}}
parts:
  T1: {kind: supply, voltage: 12 V, resistance: 1 µΩ}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}, resistance: 1 µΩ}
  P1: {kind: lamp, power: 24 W, voltage: 12 V}
wires:
  W1: {from: T1:+, to: S1:1, resistance: 1 µΩ}
  W2: {from: S1:2, to: P1:1, resistance: 1 µΩ}
  W3: {from: P1:2, to: T1:-, resistance: 1 µΩ}
behaviour: {lamp: {lamp: P1}}
"""
"""A lamp of 6 Ω on 12 V, with next to nothing in the wires."""


def way(circuit: Circuit, name: str) -> SetUp:
    """Return how a fault is put in, which must be possible."""
    found = set_up(circuit, parse_fault(name, circuit))
    assert isinstance(found, SetUp), found
    return found


# Common parts


def test_preferred_values() -> None:
    """IEC 60063 (from memory): a decade of E24, and every second value of it is E12.

    They are the rounded powers 10^(n/24), but for some old values up to 5 % beside them.
    """
    assert E24[::2] == E12
    assert len(E24) == 24
    assert all(abs(value / (10 * 10 ** (number / 24)) - 1) < 0.05 for number, value in enumerate(E24))


@given(st.floats(0.1, 10e6))
def test_nearest_resistor(ohms: float) -> None:
    """Half of the widest step of E24, from 13 to 15 (common knowledge), is the furthest a value is ever off."""
    found = nearest_resistor(ohms)
    assert found is not None
    assert max(found / ohms, ohms / found) <= math.sqrt(15 / 13) + 1e-9
    digits = round(found / 10 ** math.floor(math.log10(found) + 1e-9) * 10)
    assert digits in E24


@pytest.mark.parametrize(("ohms", "found"), [(12.0, 12.0), (40.0, 39.0), (8.0, 8.2), (3.0, 3.0), (560.0, 560.0)])
def test_e12_before_e24(ohms: float, found: float) -> None:
    """Of E12 where that is within 5 % (39 for 40), else of E24 (3.0 for 3)."""
    assert nearest_resistor(ohms) == found


def test_no_common_resistor_is_smaller_than_a_tenth() -> None:
    """A few milliohms are a piece of wire, and no resistor."""
    assert nearest_resistor(0.02) is None
    assert nearest_resistor(20e6) is None


def test_power_of_a_resistor() -> None:
    """Joule's law on a car's headlight: 12.0 V, 2.50 A, so 4.80 Ω and 30.0 W (OpenStax College Physics 20.4; from memory)."""
    assert Load(2.5, ()).power(12.0 / 2.5) == pytest.approx(30.0)


@pytest.mark.parametrize(("watts", "rating"), [(0.1, 0.25), (0.125, 0.25), (0.126, 0.5), (25.0, 50.0), (25.1, None)])
def test_power_rating_has_a_margin_of_two(watts: float, rating: float | None) -> None:
    """The least common rating that is at least twice the power."""
    assert power_rating(watts) == rating


@pytest.mark.parametrize(("amps", "rating"), [(0.1, 1.0), (7.5, 7.5), (7.6, 10.0), (32.0, 35.0), (41.0, None)])
def test_fuse_rating(amps: float, rating: float | None) -> None:
    """The least blade fuse that carries a current."""
    assert fuse_rating(amps) == rating


# What is put in must bear the worst state


def test_worst_load_by_hand() -> None:
    """6 Ω of lamp and 6.8 Ω in the wire on 12 V: 12 / 12.8 A, and 5.98 W by Joule's law, so a resistor of 25 W."""
    circuit = parse_circuit(SHED)
    load = worst_load(circuit, parse_fault("W2 resistance 6.8 Ω", circuit))
    assert load.current == pytest.approx(12 / 12.8, rel=1e-5)
    assert load.power(6.8) == pytest.approx(6.8 * (12 / 12.8) ** 2, rel=1e-5)
    assert way(circuit, "W2 resistance 6.8 Ω").parts[0].startswith("resistor of 6.8 Ω, 25 W or more")


@pytest.mark.parametrize("circuit", CIRCUITS, ids=lambda circuit: circuit.name)
def test_no_resistor_runs_at_more_than_half_its_rating(circuit: Circuit) -> None:
    """Every resistor in a wire that is advised stays under half of its rating by the meter, in every state from rest."""
    for fault in universe(circuit).values():
        found = set_up(circuit, fault)
        if fault.place not in circuit.wires or fault.mode != "resistance" or isinstance(found, Impractical):
            continue
        rating = float(re.findall(r"([\d.]+) W or more", found.parts[0])[0])
        assert found.fault.value is not None
        for amps in by_the_meter(circuit, found.fault):
            assert 2 * amps**2 * found.fault.value <= rating * 1.05, found.fault  # the meter's ±1.5 %, squared


def by_the_meter(circuit: Circuit, fault: Fault) -> Iterable[float]:
    """Yield the current in a fault's wire as the meter shows it, in each state."""
    for state in circuit.states():
        machine = Machine(circuit, [fault])
        for name, position in state.items():
            machine.move(f"{name}={position}")
        value = read(machine, Probe(AMPS, fault.place)).value
        yield abs(value or 0.0)


@pytest.mark.parametrize("circuit", CIRCUITS, ids=lambda circuit: circuit.name)
def test_every_fault_has_a_way_or_a_reason(circuit: Circuit) -> None:
    """For the whole universe, intermittent faults too: parts, steps, removal and a check, every value put in."""
    listed = list(universe(circuit).values())
    for fault in (*listed, *map(intermittent, listed)):
        found = set_up(circuit, fault)
        if isinstance(found, Impractical):
            assert found.words
            continue
        told = (*found.parts, *found.steps, *found.removal, *found.check)
        assert all((found.parts, found.steps, found.removal, found.check)), fault
        assert not [line for line in told if "{" in line or "None" in line or "  " in line or not line.strip()], fault
        assert found.fault.disturbed == fault.disturbed


def test_every_way_is_complete() -> None:
    """Each way has its parts, steps, removal and check; sticking has no electrical part."""
    ways = {key.rpartition(".")[0] for key in TEXTS if key.endswith(".parts")}
    missing = {f"{one}.{name}" for one in ways for name in ("steps", "removal", "check")} - set(TEXTS)
    assert not missing
    assert "Nothing electrical is put in" in TEXTS["sticking.steps"]


@pytest.mark.parametrize(
    ("name", "parts", "step"),
    [
        ("W6 open", "insulating sleeve or cap for the lug", "Take W6 (GN) off B1:2; what else lands there stays on and is tightened again."),
        ("W6 resistance 12 Ω", "resistor of 12 Ω, 0.5 W or more, with insulated lugs of the wire's size", "Put the resistor in series: between B1:2 and the lug of W6 (GN)."),
        ("X1:2 open", "extraction tool for the connector", "With the extraction tool take pin 2 out of the b half of X1; never push it back by force."),
        ("F1 open", "a blown fuse of F1's pattern, marked inside its holder's cover", "Put the blown fuse in F1's place and keep the sound one with this card."),
        ("Q1 coil open", "a relay of Q1's pattern with one coil lead cut inside, marked inside its cover", "Put the prepared relay in Q1's place."),
        ("W2 shorted to ground", "jumper of the wire's area or more with insulated ends and a fuse of 35 A in line", "Screw or plug the jumper on, from F1:2 to a bare stud of the frame; no clips, which slip off."),
        ("S1 sticking", "a worn switch of S1's pattern, or a stiff bush or weak return spring for what works it", "Nothing electrical is put in. Put the prepared switch in S1's place, or make what works it stiff: it must follow its control one move late, every time."),
    ],
)  # fmt: skip
def test_advice(name: str, parts: str, step: str) -> None:
    """The first part and the first step, whole, for a fault of each kind on the compressor."""
    found = way(COMPRESSOR, name)
    assert (found.parts[0], found.steps[0]) == (parts, step)


def test_a_wire_is_lifted_at_its_live_end() -> None:
    """W12 is fed at Q1:87 and lifted there, so that the loose lug hangs on the dead side; W13's live end is at the lamp."""
    assert "Take W12 (BU) off Q1:87" in way(COMPRESSOR, "W12 open").steps[0]
    assert "Take W13 (BK) off P1:2" in way(COMPRESSOR, "W13 open").steps[0]
    assert "without supply: 0.0 V against FRAME at most" in way(COMPRESSOR, "W12 open").steps[1]


def test_jumper_lets_the_machines_fuse_go_first() -> None:
    """Behind a 20 A fuse its own has at least 1.6 times that: 32 A, so 35 A of those that are sold."""
    assert "With it F1 opens at once" in way(COMPRESSOR, "W2 shorted to ground").steps[1]
    assert 20 * 1.6 <= 35 == next(rating for rating in FUSE_RATINGS if rating >= 32)


def test_leaky_diode_is_a_resistor_beside_it() -> None:
    """1 kΩ across the diode, of the smallest rating: 12 V leave 0.14 W, and twice that is under half a watt."""
    found = way(RUNABOUT, "R1 leaky")
    assert found.parts == ("resistor of 1 kΩ, 0.5 W or more",)
    assert found.power <= 12.6**2 / 1000
    assert POWER_RATINGS[1] == 0.5


def test_discharged_battery_is_a_supply_turned_down() -> None:
    """93 % of 12 V, and nine times its 100 mΩ in series; never a damaged battery."""
    found = way(BENCH, "G1 discharged")
    assert found.parts[1].startswith("resistor of 910 mΩ")
    assert found.steps[0] == (
        "Never a damaged or deeply discharged battery. Set the supply to 11.2 V with its current limit on, and put the "
        "resistor in the return lead, between G1:- and what lands there (W3)."
    )


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("XE1 resistance", "a resistor of 3 Ω there must bear 38 W; none up to 50 W has a margin of two"),
        ("XE1 resistance 10 mΩ", "no common resistor comes near 10 mΩ"),
        ("W1 shorted to supply", "both ends of the short are the same joint, G1:+"),
        ("S1 stuck open when disturbed", None),
        ("W6 shorted to ground when disturbed", "only opens and resistances can be made to come and go by a loose lug"),
    ],
)
def test_where_there_is_no_practical_way(name: str, why: str | None) -> None:
    """The reason is told, whole."""
    found = set_up(COMPRESSOR, parse_fault(name, COMPRESSOR))
    assert (found.words if isinstance(found, Impractical) else None) == why


# What must not be put in


@pytest.mark.parametrize(
    ("circuit", "name", "kinds"),
    [
        (COMPRESSOR, "W1 shorted to ground", {Kind.SHORT}),
        (COMPRESSOR, "W2 shorted to ground", set()),  # behind the fuse
        (COMPRESSOR, "B1 stuck closed", {Kind.GUARD}),
        (COMPRESSOR, "B1 stuck open", set()),
        (COMPRESSOR, "S2 sticking", {Kind.GUARD}),  # let go, it runs on for a move
        (RUNABOUT, "M1 shorted", {Kind.SHORT}),  # the starter has no fuse
        (RUNABOUT, "B2 stuck closed", {Kind.GUARD}),
        (RUNABOUT, "W11 shorted to ground", {Kind.GUARD}),
        (RUNABOUT, "R1 open", set()),
        (RUNABOUT, "X1:3 resistance 560 Ω", set()),
        (GATE, "S1 stuck closed", {Kind.GUARD}),  # the stop button no longer stops a gate that is held in
        (GATE, "W5 open", set()),
        (MOWER, "W6 open", {Kind.GUARD}),  # it will not stop
    ],
)  # fmt: skip
def test_dangers(circuit: Circuit, name: str, kinds: set[Kind]) -> None:
    """Unfused shorts, and guards defeated on what can move; the stop of the gate shows only after other moves."""
    assert {danger.kind for danger in SetUpRule(circuit).dangers(parse_fault(name, circuit))} == kinds


def test_an_intermittent_fault_is_judged_as_if_it_were_always_there() -> None:
    """A guard that is defeated now and then is defeated."""
    fault = parse_fault("B1 stuck closed when disturbed", COMPRESSOR)
    assert {danger.kind for danger in SetUpRule(COMPRESSOR).dangers(fault)} == {Kind.GUARD}


def test_overload_that_opens_no_fuse() -> None:
    """A coil of 0.5 Ω takes 19 A through 15 A of fuse, less than the 20 A at which that opens: the wires would heat."""
    sprayer = parse_circuit(SPRAYER)
    assert {danger.kind for danger in SetUpRule(sprayer).dangers(parse_fault("K1 coil shorted", sprayer))} == {
        Kind.SHORT,
        Kind.OVERLOAD,
    }


SPRAYER = """
circuit: sprayer
controls: {key: {positions: [off, on]}}
parts:
  G1: {kind: battery, emf: 12.6 V, resistance: 20 mΩ}
  F1: {kind: fuse, rating: 15 A}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  K1: {kind: relay, coil: 85 Ω}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:1, length: 4 m}
  W3: {from: S1:2, to: K1:86, length: 4 m}
  W4: {from: K1:85, to: FRAME}
  W5: {from: G1:-, to: FRAME}
behaviour: {relay: {relay: K1}}
"""

ALLOWED = {
    circuit.name: [fault for fault in universe(circuit).values() if not SetUpRule(circuit).dangers(fault)]
    for circuit in (COMPRESSOR, GATE, MOWER)
}


@given(st.data())
def test_what_may_be_put_in_never_runs_where_the_sound_machine_cannot(data: st.DataObject) -> None:
    """Whatever is operated, in any order: no function that can hurt goes on in a state in which it never does sound."""
    circuit = data.draw(st.sampled_from([COMPRESSOR, GATE, MOWER]))
    fault = data.draw(st.sampled_from(ALLOWED[circuit.name]))
    moves = [f"{control.name}={position}" for control in circuit.controls.values() for position in control.positions]
    can = {tuple(row.state.values()): row.seen for row in state_table(circuit)}
    machine = Machine(circuit, [fault])
    for move in data.draw(st.lists(st.sampled_from(moves), max_size=8)):
        seen = machine.move(move).seen
        meant = can[tuple(machine.state.values())]
        for name in functions_that_hurt(circuit, loads_that_hurt(circuit)):
            assert not (seen[name] is True and meant[name] is False), (str(fault), move, name)


def refused(circuit: Circuit, name: str, *, board: bool = False) -> str:
    """Return the whole message with which a fault is refused."""
    with pytest.raises(Refused) as error:
        Permission(circuit, board=board).way(parse_fault(name, circuit))
    return str(error.value)


def test_refusals_say_why_and_name_others() -> None:
    """A short, a guard and a resistor that nobody sells: the whole messages, each with faults that may be put in."""
    assert refused(COMPRESSOR, "W1 shorted to ground") == (
        "W1 shorted to ground: this must not be put into a real machine: with everything at rest, 490 A flow and no fuse opens: an unfused short. "
        "Instead: W1 open (the same complaint); W2 open (the same complaint); W2 shorted to ground (the same complaint)"
    )
    assert refused(COMPRESSOR, "B1 stuck closed") == (
        "B1 stuck closed: this must not be put into a real machine: with key switch on and hold-to-run button pressed and tank pressure full, compressor can go on, which the sound machine refuses: a guard is defeated on a machine that can move. "
        "Instead: B1 stuck open (the same place, another complaint); B1:1 open (at B1 too, another complaint); B1:2 open (at B1 too, another complaint)"
    )
    assert refused(RUNABOUT, "Q1 30-87 resistance") == (
        "Q1 30-87 resistance 2 Ω: this cannot be put in with common parts: a resistor of 2 Ω there must bear 69 W; none up to 50 W has a margin of two. "
        "Instead: Q1 30-87 resistance 6.8 Ω (the same fault with another value, the same complaint); Q1 coil open (the same complaint); Q1 30-87 stuck open (the same complaint)"
    )


def test_a_board_takes_guards_and_no_shorts() -> None:
    """Where nothing moves a guard may be defeated; an unfused short is refused there too."""
    assert isinstance(Permission(COMPRESSOR, board=True).way(parse_fault("B1 stuck closed", COMPRESSOR)), SetUp)
    assert "an unfused short" in refused(COMPRESSOR, "W1 shorted to ground", board=True)


def test_nothing_above_extra_low_voltage() -> None:
    """A supply of 110 V is refused whatever the fault, on a board too."""
    circuit = parse_circuit(SHED.replace("12 V", "110 V"))
    assert refused(circuit, "W2 open", board=True).startswith(
        "W2 open: this must not be put into a real machine: its supply has 110 V; only extra-low voltage up to 60 V is worked on here."
    )


@pytest.mark.parametrize("circuit", [COMPRESSOR, GATE], ids=lambda circuit: circuit.name)
def test_what_is_named_instead_may_be_put_in(circuit: Circuit) -> None:
    """Whatever is named in a refused fault's stead can be put in, and what is told of its complaint is true."""
    permission = Permission(circuit)
    for fault in universe(circuit).values():
        if not permission.against(fault):
            continue
        for other in permission.instead(fault):
            assert isinstance(permission.way(other.fault), SetUp)
            same = permission.complaints.of(other.fault) == permission.complaints.of(fault)
            assert ("the same complaint" in other.words) <= same
