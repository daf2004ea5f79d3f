"""Sneak paths: known ones of invented machines, none where there is none, and every claim against the solver.

The patterns (ground dome, power dome, H) are those of the sneak circuit analysis literature, from memory.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings

import faultwright_course
from faultwright.assembly import build
from faultwright.behaviour import plain
from faultwright.circuit import Behaviour, Circuit
from faultwright.circuit_file import read_circuit
from faultwright.conditions import with_relays
from faultwright.current_path import CurrentPaths
from faultwright.faults import parse_fault
from faultwright.intended_use import IntendedUse
from faultwright.machine import Machine
from faultwright.routes import load_routes
from faultwright.sneak_path import DIVERTED, FLOWS, INHIBITED, LOST, ON, SneakPath
from faultwright.sneak_paths import sneak_paths
from faultwright.solve import Solver
from tests.core.depot import BENCH, GATE, MOWER, SHED, circuit
from tests.core.interlocks import ANY_OF_THREE, CHIPPER, NEUTRAL_OR_BOTH, WINCH
from tests.core.strategies import circuits

COURSE = Path(faultwright_course.__file__).parent / "circuits"

SWEEPER = """
circuit: yard-sweeper
title: Yard sweeper, a diode steers the reverse switch to lamp and broom
nominal: 12 V
controls:
  broom:   {label: Broom switch, positions: [off, on]}
  reverse: {label: Reverse switch, positions: [off, on]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse}
  S1: {kind: switch, control: broom, contacts: {1-2: [on]}}
  S2: {kind: switch, control: reverse, contacts: {1-2: [on]}}
  R1: {kind: diode}
  P1: {kind: lamp, power: 5 W}
  P2: {kind: lamp, power: 5 W}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:1}
  W3: {from: F1:2, to: S2:1}
  W4: {from: S1:2, to: P1:1}
  W5: {from: S2:2, to: P2:1}
  W6: {from: S2:2, to: R1:A}
  W7: {from: R1:K, to: P1:1}
  W8: {from: P1:2, to: FRAME}
  W9: {from: P2:2, to: FRAME}
  W10: {from: G1:-, to: FRAME}
behaviour:
  broom_lamp:   {lamp: P1}
  reverse_lamp: {lamp: P2}
"""
"""Either switch lights the broom lamp; the diode keeps the broom switch from lighting the reverse lamp."""

TRAILER = """
circuit: leaf-trailer
title: Leaf trailer, tail and brake lamp on one ground
nominal: 12 V
controls:
  lights: {label: Light switch, positions: [off, on]}
  brake:  {label: Brake pedal, positions: [up, down]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse}
  S1: {kind: switch, control: lights, contacts: {1-2: [on]}}
  S2: {kind: switch, control: brake, contacts: {1-2: [down]}}
  P1: {kind: lamp, power: 5 W}
  P2: {kind: lamp, power: 21 W}
  P3: {kind: lamp, power: 5 W}
  E1: {kind: ground}
  E2: {kind: ground}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:1}
  W3: {from: F1:2, to: S2:1}
  W4: {from: S1:2, to: P1:1}
  W5: {from: S1:2, to: P3:1}
  W6: {from: S2:2, to: P2:1}
  W7: {from: P1:2, to: E1:1}
  W8: {from: P2:2, to: E1:1}
  W9: {from: P3:2, to: E2:1}
  W10: {from: G1:-, to: FRAME}
behaviour:
  tail:  {lamp: P1}
  stop:  {lamp: P2}
  side:  {lamp: P3}
"""
"""Tail and brake lamp share ground E1; the side lamp has E2 to itself."""

TUG = """
circuit: yard-tug
title: Yard tug, brake lamp that the beacon switch lights too
nominal: 12 V
controls:
  key:    {label: Key switch, positions: [off, on]}
  brake:  {label: Brake pedal, positions: [up, down]}
  beacon: {label: Beacon switch, positions: [off, on]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  S2: {kind: switch, control: brake, contacts: {1-2: [down]}}
  S3: {kind: switch, control: beacon, contacts: {1-2: [on]}}
  P1: {kind: lamp, power: 5 W}
  P2: {kind: lamp, power: 21 W}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:1}
  W3: {from: F1:2, to: S3:1}
  W4: {from: S1:2, to: P1:1}
  W5: {from: S1:2, to: S2:1}
  W6: {from: S2:2, to: P2:1}
  W7: {from: S3:2, to: P2:1}
  W8: {from: P1:2, to: FRAME}
  W9: {from: P2:2, to: FRAME}
  W10: {from: G1:-, to: FRAME}
behaviour:
  key_lamp:   {lamp: P1}
  brake_lamp: {lamp: P2}
"""
"""H pattern with a contact across: the brake switch feeds the brake lamp from the key; the beacon feeds it too."""

BRIDGED = """
circuit: barrow-lamps
title: Two lamps with a coil between their feeds
nominal: 12 V
controls:
  left:  {label: Left switch, positions: [off, on]}
  right: {label: Right switch, positions: [off, on]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: left, contacts: {1-2: [on]}}
  S2: {kind: switch, control: right, contacts: {1-2: [on]}}
  P1: {kind: lamp, power: 5 W}
  P2: {kind: lamp, power: 5 W}
  Y1: {kind: solenoid, resistance: 10 Ω}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: G1:+, to: S2:1}
  W3: {from: S1:2, to: P1:1}
  W4: {from: S2:2, to: P2:1}
  W5: {from: P1:1, to: Y1:1}
  W6: {from: Y1:2, to: P2:1}
  W7: {from: P1:2, to: FRAME}
  W8: {from: P2:2, to: FRAME}
  W9: {from: G1:-, to: FRAME}
behaviour:
  left_lamp:  {lamp: P1}
  right_lamp: {lamp: P2}
"""
"""H pattern with a load across: each lamp is fed through the coil when the other's switch is on."""

GROUND_DOME = """
circuit: sluice
title: Sluice, a coil that two contacts ground and a lamp that shares one of them
nominal: 12 V
controls:
  level: {label: Level switch, positions: [low, high]}
  hand:  {label: Hand switch, positions: [off, on]}
  gate:  {label: Gate switch, positions: [shut, open]}
parts:
  G1: {kind: battery}
  B1: {kind: switch, control: level, contacts: {1-2: [high]}}
  S1: {kind: switch, control: hand, contacts: {1-2: [on]}}
  B2: {kind: switch, control: gate, contacts: {1-2: [open]}}
  Y1: {kind: solenoid, resistance: 10 Ω}
  P1: {kind: lamp, power: 3 W}
wires:
  W1: {from: G1:+, to: Y1:1}
  W2: {from: G1:+, to: P1:1}
  W3: {from: Y1:2, to: B1:1}
  W4: {from: B1:2, to: B2:1}
  W5: {from: P1:2, to: B2:1}
  W6: {from: B2:2, to: FRAME}
  W7: {from: Y1:2, to: S1:1}
  W8: {from: S1:2, to: FRAME}
  W9: {from: G1:-, to: FRAME}
behaviour:
  valve: {solenoid: Y1}
  lamp:  {lamp: P1}
"""
"""Ground dome: the lamp is to show the gate; with the gate shut the hand switch grounds it backwards through B1."""

POWER_DOME = """
circuit: two-supplies
title: Two supplies for one valve, each with its lamp
nominal: 12 V
controls:
  first:  {label: First switch, positions: [off, on]}
  second: {label: Second switch, positions: [off, on]}
parts:
  T1: {kind: supply}
  T2: {kind: supply}
  S1: {kind: switch, control: first, contacts: {1-2: [on]}}
  S2: {kind: switch, control: second, contacts: {1-2: [on]}}
  F1: {kind: fuse, rating: 3 A}
  F2: {kind: fuse, rating: 3 A}
  Y1: {kind: solenoid, resistance: 10 Ω}
  P1: {kind: lamp, power: 3 W}
  P2: {kind: lamp, power: 3 W}
wires:
  W1: {from: T1:+, to: S1:1}
  W2: {from: T2:+, to: S2:1}
  W3: {from: S1:2, to: P1:1}
  W4: {from: S2:2, to: P2:1}
  W5: {from: S1:2, to: F1:1}
  W6: {from: F1:2, to: Y1:1}
  W7: {from: S2:2, to: F2:1}
  W8: {from: F2:2, to: Y1:1}
  W9: {from: Y1:2, to: FRAME}
  W10: {from: P1:2, to: FRAME}
  W11: {from: P2:2, to: FRAME}
  W12: {from: T1:-, to: FRAME}
  W13: {from: T2:-, to: FRAME}
behaviour:
  valve:  {solenoid: Y1}
  one:   {lamp: P1}
  two:   {lamp: P2}
"""
"""Power dome: each lamp is to show its own supply; each supply lights the other's backwards through a fuse."""


def found(text: str) -> tuple[SneakPath, ...]:
    """Return the sneak paths of the circuit in a text."""
    return sneak_paths(circuit(text)).paths


def in_short(text: str) -> list[tuple[str, str, str, str]]:
    """Return case, function, kind and what the path shows, of each sneak path."""
    return [(str(one.case or ""), one.function, one.kind, one.shows) for one in found(text)]


def states(path: SneakPath) -> list[str]:
    """Return the states of a sneak path, the positions of each in one line."""
    return [" ".join(state.values()) for state in path.states]


# Machines whose sneak paths are known


def test_a_shorted_steering_diode_lights_another_lamp_and_an_open_one_loses_a_function() -> None:
    """A shorted diode gives a sneak path, an open one loses a function (common practice)."""
    lost, sneak = found(SWEEPER)
    assert in_short(SWEEPER) == [
        ("R1 open", "broom_lamp", INHIBITED, LOST),
        ("R1 shorted", "reverse_lamp", ON, FLOWS),
    ]
    assert states(lost) == ["off on"]
    assert " ".join(lost.path.places) == "W1 F1 W3 S2 W6 R1 W7 P1 W8 FRAME W10"
    assert lost.backwards == ()
    assert states(sneak) == ["on off"]
    assert " ".join(sneak.path.places) == "W1 F1 W2 S1 W4 W7 R1 W6 W5 P2 W9 FRAME W10"
    assert sneak.backwards == ("R1",)
    assert sneak.through == ()


def test_lamps_feed_back_through_each_other_where_a_shared_ground_is_open() -> None:
    """Dim lamps answer to the wrong switch (common practice): by hand 5.6 V, 5.6 V and 1.4 V of 12.6 V."""
    tail, side = found(TRAILER)
    assert in_short(TRAILER) == [("E1 open", "tail", ON, FLOWS), ("E1 open", "side", ON, FLOWS)]
    assert tail.path == side.path
    assert " ".join(tail.path.places) == "W1 F1 W3 S2 W6 P2 W8 W7 P1 W4 W5 P3 W9 E2 FRAME W10"
    assert (tail.backwards, tail.through, states(tail)) == (("P1",), ("P2", "P3"), ["off down"])
    assert (side.backwards, side.through, states(side)) == (("P1",), ("P2", "P1"), ["off down"])
    made = Machine(circuit(TRAILER), [parse_fault("E1 open", circuit(TRAILER))])
    assert made.move("brake=down").seen == {"tail": "dim", "stop": "off", "side": "dim"}


def test_a_contact_across_two_feeds_carries_current_the_wrong_way() -> None:
    """H pattern: with the key off, beacon and brake light the key's lamp, backwards through the brake switch."""
    (sneak,) = found(TUG)
    assert in_short(TUG) == [("", "key_lamp", ON, FLOWS)]
    assert states(sneak) == ["off down on"]
    assert " ".join(sneak.path.places) == "W1 F1 W3 S3 W7 W6 S2 W5 W4 P1 W8 FRAME W10"
    assert sneak.backwards == ("S2",)
    made = Machine(circuit(TUG))
    made.move("beacon=on")
    assert made.move("brake=down").seen == {"key_lamp": "lit", "brake_lamp": "lit"}


def test_a_load_across_two_feeds_feeds_the_other_lamp() -> None:
    """H pattern with a load in the middle: each lamp is lit through the coil, which is named."""
    left, right = found(BRIDGED)
    assert (left.function, left.through, states(left)) == ("left_lamp", ("Y1",), ["off on"])
    assert (right.function, right.through, states(right)) == ("right_lamp", ("Y1",), ["on off"])
    assert left.backwards == ()  # the coil is used both ways, so neither is the wrong one


def test_a_ground_dome_grounds_a_lamp_by_another_switch() -> None:
    """Ground dome: with the gate shut, hand and level switch ground the lamp backwards through the level switch."""
    (sneak,) = found(GROUND_DOME)
    assert (sneak.function, sneak.kind, sneak.backwards) == ("lamp", ON, ("B1",))
    assert states(sneak) == ["high on shut"]


def test_a_power_dome_feeds_the_other_supplys_lamp() -> None:
    """Power dome: each supply alone lights the other's lamp, backwards through the fuse between them."""
    one, two = found(POWER_DOME)
    assert (one.function, one.path.start, one.backwards, states(one)) == ("one", "T2:+", ("F1",), ["off on"])
    assert (two.function, two.path.start, two.backwards, states(two)) == ("two", "T1:+", ("F2",), ["on off"])


def test_a_load_that_takes_another_ones_current_inhibits_it() -> None:
    """Behind one ballast the lamp is lit alone; the valve beside it takes the current, and unplugged it lets go."""
    text = """
circuit: dipper
title: Lamp and valve behind one ballast
nominal: 12 V
controls:
  lamp:  {positions: [off, on]}
  valve: {positions: [off, on]}
parts:
  G1: {kind: battery}
  L1: {kind: resistor, resistance: 30 Ω}
  S1: {kind: switch, control: lamp, contacts: {1-2: [on]}}
  S2: {kind: switch, control: valve, contacts: {1-2: [on]}}
  P1: {kind: lamp, power: 2 W}
  Y1: {kind: solenoid, resistance: 4 Ω, pulls_from: 0.3 A}
wires:
  W1: {from: G1:+, to: L1:1}
  W2: {from: L1:2, to: S1:1}
  W3: {from: L1:2, to: S2:1}
  W4: {from: S1:2, to: P1:1}
  W5: {from: S2:2, to: Y1:1}
  W6: {from: P1:2, to: FRAME}
  W7: {from: Y1:2, to: FRAME}
  W8: {from: G1:-, to: FRAME}
behaviour:
  works: {lamp: P1}
"""
    (sneak,) = found(text)
    assert (sneak.case, sneak.function, sneak.kind, sneak.shows) == (None, "works", INHIBITED, DIVERTED)
    assert states(sneak) == ["on on"]
    assert " ".join(sneak.path.places) == "W1 L1 W3 S2 W5 Y1 W7 FRAME W8"
    assert sneak.through == ("Y1",)  # the ballast lies in line, so it is no load that is passed


def test_a_lamp_on_a_magnetos_stop_wire_stops_the_engine() -> None:
    """A lamp of 29 Ω from the stop wire to ground grounds the primary, though no stop contact is closed."""
    text = MOWER.replace("  Y1: {kind: solenoid", "  P1: {kind: lamp, power: 5 W}\n  Y1: {kind: solenoid").replace(
        "  W11:", "  W12: {from: U1:stop, to: P1:1}\n  W13: {from: P1:2, to: FRAME}\n  W11:"
    )
    (sneak,) = found(text)
    assert (sneak.function, sneak.kind, sneak.through) == ("sparks", INHIBITED, ("P1",))
    assert (sneak.path.start, *sneak.path.places, sneak.path.end) == (
        "U1:stop", "W12", "P1", "W13", "FRAME", "W11", "U1:-",
    )  # fmt: skip
    assert len(sneak.states) == 6  # key on or start; and not both the seat empty and the brake released


def test_a_lamp_pulls_an_input_that_its_switch_should_hold_up() -> None:
    """The input shares the lamp's wire: with the key off the filament grounds it, and it acts."""
    (sneak,) = found(BENCH)
    assert (sneak.function, sneak.kind, sneak.through) == ("sensed", ON, ("P1",))
    assert {state["key"] for state in sneak.states} == {"off"}


def test_a_shorted_flywheel_diode_blows_the_fuse() -> None:
    """What is lost is told by where the current goes: through the diode, the wrong way, past the coil."""
    text = SHED.replace(
        "  S1: {kind: switch", "  F1: {kind: fuse, rating: 5 A}\n  R1: {kind: diode}\n  S1: {kind: switch"
    )
    text = text.replace("from: G1:+, to: S1:1", "from: G1:+, to: F1:1").replace(
        "  W4:", "  W5: {from: F1:2, to: S1:1}\n  W6: {from: R1:K, to: P1:1}\n  W7: {from: R1:A, to: P1:2}\n  W4:"
    )
    (sneak,) = found(text)
    assert (str(sneak.case), sneak.function, sneak.kind, sneak.shows) == ("R1 shorted", "lamp", INHIBITED, DIVERTED)
    assert " ".join(sneak.path.places) == "W1 F1 W5 S1 W2 W6 R1 W7 W3"
    assert sneak.backwards == ("R1",)


def test_what_a_relay_does_is_told_with_the_relay() -> None:
    """The starter motor has its own contact; what sneaks is the coil's current, and the motor follows."""
    paths = {(str(one.case), one.function): one for one in found(NEUTRAL_OR_BOTH)}
    assert set(paths) == {("R1 open", "Q1"), ("R2 open", "sparks"), ("R2 shorted", "Q1")}
    sneak = paths["R2 shorted", "Q1"]
    assert sneak.follows == ("cranks",)
    assert states(sneak) == ["engaged out up pressed"]  # it cranks in gear with the clutch out: what R2 is there for
    assert " ".join(sneak.path.places) == "W1 F1 W2 S1 W3 Q1 coil W4 R1 W5 W14 R2 W13 B2 W9 FRAME W18"


@pytest.mark.parametrize("text", [ANY_OF_THREE, CHIPPER, WINCH, GATE, SHED, MOWER])
def test_a_clean_circuit_has_none(text: str) -> None:
    """Parallel routes, a hold-in contact and a motor that is reversed are no sneak paths."""
    assert found(text) == ()
    assert sneak_paths(circuit(text)).words() == ["no sneak path: nothing is on, or kept off, against its own routes"]


def test_a_ballast_and_a_slower_speed_are_no_sneak_paths() -> None:
    """A resistor that has no feed and return of its own lies in line: a route leads through it."""
    text = SHED.replace("  P1:", "  L1: {kind: resistor, resistance: 5 Ω}\n  P1:").replace(
        "from: S1:2, to: P1:1, resistance: 0.1 Ω}", "from: S1:2, to: L1:1}\n  W5: {from: L1:2, to: P1:1}"
    )
    assert found(text) == ()


def test_the_courses_runabout_has_the_sneak_path_that_its_diode_is_there_for() -> None:
    """With R1 shorted the stand, or the clutch lever, lights the neutral lamp in gear; with R1 open neutral is lost."""
    found_paths = sneak_paths(read_circuit(COURSE / "runabout.yaml")).paths
    assert [(str(one.case), one.function, one.kind) for one in found_paths] == [
        ("R1 open", "sparks", INHIBITED),
        ("R1 open", "Q1", INHIBITED),
        ("R1 shorted", "neutral_lamp", ON),
        ("R1 shorted", "neutral_lamp", ON),
    ]
    assert all(one.backwards == ("R1",) for one in found_paths[2:])
    assert all(state["gear"] == "engaged" for one in found_paths[2:] for state in one.states)


def test_the_courses_compressor_has_none() -> None:
    """A stop chain without diodes, each load with a return of its own."""
    assert sneak_paths(read_circuit(COURSE / "compressor.yaml")).paths == ()


# How they are told


def test_a_sneak_path_in_words() -> None:
    """Case, function, states in the machine's own labels, and the path from + to − with what is passed backwards."""
    assert sneak_paths(circuit(TRAILER)).words()[:3] == [
        "with E1 open, tail (P1) is on against its own routes: light switch off and brake pedal down",
        (
            "the current flows G1:+ → W1 → F1 → W3 → S2 → W6 → P2 → W8 → W7 → P1 backwards → W4 → W5 → P3 → W9 → E2 → "
            "FRAME → W10 → G1:-"
        ),
        "on its way it passes P2, P3",
    ]


def test_a_sneak_path_in_json() -> None:
    """The same as data, the states as a statement that can be read back."""
    assert sneak_paths(circuit(TUG)).as_json() == [
        {
            "case": None,
            "function": "key_lamp",
            "part": "P1",
            "kind": "on",
            "when": "key=off and brake=down and beacon=on",
            "states": 1,
            "first_state": {"key": "off", "brake": "down", "beacon": "on"},
            "shows": "flows",
            "start": "G1:+",
            "places": ["W1", "F1", "W3", "S3", "W7", "W6", "S2", "W5", "W4", "P1", "W8", "FRAME", "W10"],
            "end": "G1:-",
            "backwards": ["S2"],
            "through": [],
            "follows": [],
        }
    ]


# Against the solver, and against the routes as they are traced


KINDS = (
    *(
        "switch",
        "switch",
        "lamp",
        "lamp",
        "diode",
        "fuse",
        "relay",
        "contactor",
        "solenoid",
        "motor",
        "input",
        "magneto",
    ),
    *("resistor", "splice", "ground"),
)
"""Kinds that sneak paths are made of; with these about one random circuit in five has one."""


def acts(made: Circuit, path: SneakPath, state: dict[str, str], *, sound: bool) -> bool:
    """Say whether the function of a sneak path acts in a state."""
    solver = Solver(build(made, [] if sound or path.case is None else [path.case]))
    kind = made.parts[path.part].kind
    one = Behaviour("it", "relay" if kind == "contactor" else kind, path.part)
    seen = plain(solver, solver.settle(made.switch_positions(state), {}), {"it": one})["it"]
    return seen not in (False, "off")


def check_current(made: Circuit, path: SneakPath, state: dict[str, str]) -> None:
    """Check that a path that flows, or that is lost, carries current all the way in its direction."""
    faults = [path.case] if path.case is not None and path.shows == FLOWS else []
    network = build(made, faults)
    settled = Solver(network).settle(made.switch_positions(state), {})
    currents = settled.currents()
    paths = CurrentPaths(made)
    index = {paths.place(branch): number for number, branch in enumerate(network.branches)}
    at = network.node[path.path.start]
    for place, forwards in path.path.steps:
        branch = network.branches[index[place]]
        assert at == (branch.a if forwards else branch.b), place
        at = branch.b if forwards else branch.a
        assert float(currents[index[place]]) * (1 if forwards else -1) > 0, place
    assert at == network.node[path.path.end]
    assert path.part in {network.branches[index[place]].part for place, _ in path.path.steps}


@settings(max_examples=120, deadline=None)
@given(made=circuits(kinds=KINDS, most=10))
def test_every_claim_holds_on_any_circuit(made: Circuit) -> None:
    """What is reported acts, or does not, as claimed; with a fault the sound machine does otherwise; the path flows."""
    for path in sneak_paths(made).paths:
        for state in map(dict, path.states):
            assert acts(made, path, state, sound=False) == (path.kind == ON)
            if path.case is not None:
                assert acts(made, path, state, sound=True) != (path.kind == ON)
            if path.shows != DIVERTED and made.parts[path.part].kind != "magneto":
                check_current(made, path, state)


LOADS_OF_ONE_CURRENT = ("lamp", "motor", "solenoid", "relay", "contactor")


@settings(max_examples=120, deadline=None)
@given(made=circuits(kinds=KINDS, most=10))
def test_what_no_traced_route_feeds_is_reported(made: Circuit) -> None:
    """A load that acts where none of the routes that are traced for it is closed, and that has some elsewhere."""
    solver = Solver(build(made))
    points = [(state, solver.settle(made.switch_positions(state), {})) for state in made.states()]
    in_line = IntendedUse(CurrentPaths(made), points).in_line
    reported = {
        (one.part, tuple(state.values())) for one in sneak_paths(made).paths if not one.case for state in one.states
    }
    for part in made.parts.values():
        if part.kind not in LOADS_OF_ONE_CURRENT:
            continue
        sets = load_routes(made, part.name, through=in_line)
        closed = []
        for state, settled in points:
            full = with_relays(made, state, settled.relays)
            pairs = zip(sets[::2], sets[1::2], strict=True)
            closed.append(
                any(feed.holds(full, settled.blown) and back.holds(full, settled.blown) for feed, back in pairs)
            )
        one = Behaviour("it", "relay" if part.kind == "contactor" else part.kind, part.name)
        for (state, settled), own in zip(points, closed, strict=True):
            on = plain(solver, settled, {"it": one})["it"] not in (False, None, "off")
            if on and not own and any(closed) and not settled.buzzing:
                assert (part.name, tuple(state.values())) in reported
