"""Cautions before a reading: each where it belongs and nowhere else, and none that tells of a hidden fault."""

from __future__ import annotations

import string
from collections.abc import Iterable

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from faultwright import cautions as module
from faultwright.caution_texts import TEXTS
from faultwright.cautions import CRITICAL, LEVELS, MINOR, SERIOUS, cautions
from faultwright.circuit import FRAME, Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.errors import Refused
from faultwright.faults import universe
from faultwright.machine import Machine
from faultwright.meter import AMPS, CONTINUITY, DIODE, LEADS, MODES, OHMS, VOLTS, Probe
from tests.core import depot
from tests.core.strategies import circuits, faults, moves, probes

CHIPPER = """
circuit: chipper
title: Wood chipper, starter
nominal: 12 V
controls:
  key: {positions: [off, start], springs_to: off}
  hood: {positions: [open, shut]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse, rating: 15 A}
  S1: {kind: switch, control: key, contacts: {1-2: [start]}}
  B1: {kind: switch, control: hood, contacts: {1-2: [shut]}}
  K1: {kind: relay, contacts: {30-87: energised}}
  M1: {kind: motor, resistance: 0.1 Ω, running: 40 A, turns_from: 50 A}
  M2: {kind: motor, resistance: 0.3 Ω, running: 5 A, turns_from: 8 A}
  P1: {kind: lamp, power: 5 W}
  X1: {kind: connector, pins: 2}
wires:
  W1: {from: "G1:+", to: "F1:1", area: 4 mm²}
  W2: {from: "F1:2", to: "S1:1"}
  W3: {from: "S1:2", to: "B1:1"}
  W4: {from: "B1:2", to: "K1:86"}
  W5: {from: "K1:85", to: FRAME}
  W6: {from: "G1:+", to: "K1:30", area: 25 mm²}
  W7: {from: "K1:87", to: "M1:1", area: 25 mm²}
  W8: {from: "M1:2", to: FRAME, area: 25 mm²}
  W9: {from: "G1:-", to: FRAME, area: 25 mm²}
  W10: {from: "F1:2", to: "X1:a1"}
  W11: {from: "X1:b1", to: "P1:1"}
  W12: {from: "P1:2", to: "X1:b2"}
  W13: {from: "X1:a2", to: FRAME}
  W14: {from: "S1:2", to: "M2:1"}
  W15: {from: "M2:2", to: FRAME}
behaviour:
  cranks: {motor: M1}
  feeds: {motor: M2}
  lamp: {lamp: P1}
"""


def told(made: Machine, probe: Probe) -> list[tuple[str, str]]:
    """Return kind and level of each caution."""
    return [(caution.kind, caution.level) for caution in cautions(made, probe)]


def kinds(made: Machine, *probe: str, **more: object) -> list[str]:
    """Return the kinds of caution before a reading."""
    return [caution.kind for caution in cautions(made, Probe(*probe, **more))]  # type: ignore[arg-type]


def chipper(*moves: str, faults: Iterable[str] = ()) -> Machine:
    """Return the chipper after some moves."""
    return depot.machine(CHIPPER, *moves, faults=faults)


# Ohms, continuity, diode test


@pytest.mark.parametrize("mode", [OHMS, CONTINUITY, DIODE])
def test_the_supply_is_connected(mode: str) -> None:
    """Whether or not anything is live there, the battery is on: isolate first, and either of its leads will do."""
    made = depot.machine(depot.SHED)
    assert ("supply_on", SERIOUS) in told(made, Probe(mode, "P1:1", FRAME))
    for off in ("G1", "G1:+", "G1:-"):
        assert "supply_on" not in kinds(depot.machine(depot.SHED, f"unplug={off}"), mode, "P1:1", FRAME)
    assert "supply_on" not in kinds(made, mode, "P1:1", "P1:2", alone="P1")
    assert "supply_on" not in kinds(made, VOLTS, "P1:1", FRAME)


def test_which_sources_are_connected_is_said() -> None:
    """Both of two by name, then the one that is left."""
    made = depot.machine(depot.BENCH)
    assert "The supply is connected (G1, T1):" in cautions(made, Probe(OHMS, "P1:1", FRAME))[0].text
    made.move("unplug=G1")
    assert "The supply is connected (T1):" in cautions(made, Probe(OHMS, "P1:1", FRAME))[0].text


def test_other_paths_beside_a_part() -> None:
    """Both leads on one part in place: not where it, or an end of it, is off, nor in the hand, nor across two parts."""
    made = depot.machine(depot.SHED, "unplug=G1")
    assert told(made, Probe(OHMS, "P1:1", "P1:2")) == [("beside", MINOR)]
    assert kinds(made, OHMS, "P1:1", FRAME) == []
    assert kinds(made, OHMS, "P1:1", "P1:2", alone="P1") == []
    for off in ("P1", "P1:1"):
        assert "beside" not in kinds(depot.machine(depot.SHED, "unplug=G1", f"unplug={off}"), OHMS, "P1:1", "P1:2")


def test_a_source_in_the_hand() -> None:
    """A battery is a source wherever it lies; volts across it are the right reading."""
    made = depot.machine(depot.SHED)
    assert told(made, Probe(OHMS, "G1:+", "G1:-", alone="G1")) == [("on_source", SERIOUS)]
    assert kinds(made, VOLTS, "G1:+", "G1:-", alone="G1") == []


def test_leads() -> None:
    """Ohms with leads that were not zeroed; the leads alone; both on one point on volts; on volts else nothing."""
    made = depot.machine(depot.SHED, "unplug=G1")
    assert kinds(made, OHMS, "P1:1", FRAME, leads=LEADS) == ["leads"]
    assert "0.3 Ω of the leads stand" in cautions(made, Probe(OHMS, "P1:1", FRAME, leads=LEADS))[0].text
    assert kinds(made, OHMS, FRAME, FRAME, leads=LEADS) == ["leads_alone"]
    live = depot.machine(depot.SHED)
    assert kinds(live, VOLTS, FRAME, FRAME) == ["one_point"]
    assert kinds(live, VOLTS, "P1:1", FRAME, leads=LEADS) == []


def test_a_beep_is_no_proof() -> None:
    """Said of continuity, wherever it is tried, but with the leads together."""
    made = depot.machine(depot.SHED, "unplug=G1")
    assert told(made, Probe(CONTINUITY, "P1:1", FRAME)) == [("beep", MINOR)]
    assert kinds(made, CONTINUITY, "P1:1", "P1:1") == ["leads_alone"]


# Amps


def test_amps_straight_across_a_supply() -> None:
    """Across the battery, across what it feeds (the key is on), not where the switch is open or the battery off."""
    made = depot.machine(depot.SHED, "key=on")
    assert told(made, Probe(AMPS, "G1:+", FRAME))[0] == ("straight_across", SERIOUS)
    assert kinds(made, AMPS, "P1:1", "P1:2") == ["straight_across", "beside_load"]
    assert kinds(depot.machine(depot.SHED), AMPS, "P1:1", "P1:2") == ["beside_load"]
    assert kinds(depot.machine(depot.SHED, "unplug=G1"), AMPS, "G1:+", "G1:-") == [
        "no_supply",
        "joins",
        "harness",
        "harness",
    ]


def test_amps_across_a_switch_is_a_jumper() -> None:
    """On a machine that can move that defeats a guard; without a supply, or where nothing moves, it only joins."""
    assert told(chipper(), Probe(AMPS, "B1:1", "B1:2"))[0] == ("bridges_switch", CRITICAL)
    assert "bridges_switch" not in kinds(chipper("unplug=G1"), AMPS, "B1:1", "B1:2")
    assert kinds(chipper("unplug=M1", "unplug=M2"), AMPS, "B1:1", "B1:2") == ["joins"]
    assert kinds(depot.machine(depot.SHED), AMPS, "S1:1", "S1:2") == ["joins"]
    assert "joins" in kinds(chipper(), AMPS, "K1:30", "K1:87")
    assert "beside_load" in kinds(chipper(), AMPS, "K1:86", "K1:85")


@pytest.mark.parametrize(
    ("place", "high"),
    [("W6", True), ("W7", True), ("W8", True), ("W9", True), ("K1", True), ("M1", True), ("G1", False), ("W4", False),
     ("W14", False), ("M2", False), ("W11", False)],
)  # fmt: skip
def test_amps_where_a_motor_starts(place: str, high: bool) -> None:  # noqa: FBT001 - a table
    """12 V over 0.1 Ω are 120 A as the starter starts, on its whole way; M2 could take 40 A, and its fuse is 15 A.

    At rest nothing flows, and it is said all the same. G1 is on no way of its own: a route runs from its +.
    """
    assert ("starts_high" in kinds(chipper(), AMPS, place)) is high
    assert "starts_high" not in kinds(chipper("unplug=G1"), AMPS, place)


def test_how_much_is_said() -> None:
    """By name, with what it may take and what the meter bears."""
    (caution,) = cautions(chipper(), Probe(AMPS, "W6"))
    assert caution.text == (
        "M1 may take 120 A through W6, and the meter bears 20 A: its fuse goes. "
        "Measure the voltage drop, or use a clamp."
    )


def test_amps_that_flow_now() -> None:
    """A shorted supply by a jumper, and no motor in the way: calculated on a sound machine that stands so."""
    made = depot.machine(depot.SHED, "key=on", "bridge=P1:1,P1:2")
    assert kinds(made, AMPS, "W1") == ["too_much"]
    assert kinds(depot.machine(depot.SHED, "key=on"), AMPS, "W1") == []


# Volts and any mode


def test_no_supply() -> None:
    """Volts and amps with every source off show nothing."""
    made = depot.machine(depot.SHED, "unplug=G1")
    assert kinds(made, VOLTS, "P1:1", FRAME) == kinds(made, AMPS, "W2") == ["no_supply"]


def test_a_part_in_the_hand_has_no_supply() -> None:
    """Volts of it mean nothing; its ohms, and a diode's test, are the right readings."""
    made = depot.machine(depot.BENCH)
    assert told(made, Probe(VOLTS, "P1:1", "P1:2", alone="P1")) == [("hand_volts", MINOR)]
    assert kinds(made, OHMS, "P1:1", "P1:2", alone="P1") == []
    assert kinds(made, DIODE, "R1:A", "R1:K", alone="R1") == []


def test_which_half_was_measured() -> None:
    """A connector that is apart has two halves; a part, or a terminal, that is off leaves the lead on the harness."""
    made = chipper("unplug=X1", "unplug=P1:1")
    found = [caution.text for caution in cautions(made, Probe(VOLTS, "X1:b1", "P1:1"))]
    assert found == [
        "X1 is apart, and X1:b1 is on its b half: say which half was measured.",
        "P1:1 is off, so the lead on P1:1 is on the harness, not on the part. Say so beside the reading.",
    ]
    assert kinds(chipper("unplug=P1"), VOLTS, "P1:1", "P1:2") == ["harness", "harness"]
    assert kinds(chipper("unplug=P1", "unplug=X1"), AMPS, "X1") == []
    assert kinds(chipper(), VOLTS, "X1:b1", FRAME) == []


def test_a_machine_that_runs() -> None:
    """Something is seen to turn: keep clear. A lamp hurts nobody, and neither does a part in the hand."""
    made = chipper("hood=shut", "key=start")
    assert made.seen() == {"cranks": True, "feeds": True, "lamp": "lit"}
    (caution,) = cautions(made, Probe(VOLTS, "P1:1", FRAME))
    assert (caution.level, caution.text.partition(":")[0]) == (SERIOUS, "The machine runs (cranks, feeds)")
    assert kinds(made, OHMS, "P1:1", "P1:2", alone="P1") == []
    assert kinds(chipper(), VOLTS, "P1:1", FRAME) == []
    running = depot.machine(depot.MOWER, "brake=set", "key=start", "key=on")
    assert running.seen()["runs"] is True
    assert kinds(running, VOLTS, "U1:stop", FRAME) == ["running"]


def test_above_extra_low_voltage() -> None:
    """60 V DC is the limit here (ripple-free DC, IEC 61140; from memory): above it, while a source is connected."""
    shed = depot.SHED.replace("nominal: 12 V", "nominal: {}").replace("emf: 12 V", "emf: {}")
    for volts, expected in (("60 V", []), ("110 V", ["high_voltage"])):
        made = Machine(parse_circuit(shed.replace("{}", volts)))
        assert kinds(made, VOLTS, "P1:1", FRAME) == expected
        made.move("unplug=G1")
        assert "high_voltage" not in kinds(made, VOLTS, "P1:1", FRAME)


def test_the_gravest_first() -> None:
    """Critical, then serious, then minor."""
    levels = [level for _, level in told(chipper("hood=shut", "key=start"), Probe(AMPS, "B1:1", "B1:2"))]
    assert levels == sorted(levels, key=LEVELS.index)
    assert levels[0] == CRITICAL
    assert len({*levels}) > 1


def test_what_cannot_be_measured_is_refused() -> None:
    """A terminal that is not there is refused as the reading itself would be."""
    with pytest.raises(Refused, match=r"^meter: P1 has no terminal 3 \(it has 1 2\)$"):
        cautions(depot.machine(depot.SHED), Probe(VOLTS, "P1:3", FRAME))


# Nothing hidden


@settings(max_examples=40)
@given(circuits(most=6), st.data())
def test_no_caution_tells_of_a_hidden_fault(circuit: Circuit, data: st.DataObject) -> None:
    """Where a faulty machine is seen to do what the sound one does, everything said before a reading is the same."""
    made = data.draw(st.lists(moves(circuit), max_size=4))
    probe = data.draw(probes(circuit))
    sound, faulty = Machine(circuit), Machine(circuit, [data.draw(faults(circuit))])
    for move in made:
        sound.move(move)
        faulty.move(move)
    alike = sound.seen() == faulty.seen()
    event(f"seen alike: {alike}")
    if alike:
        assert cautions(faulty, probe) == cautions(sound, probe)


@pytest.mark.parametrize(
    "text", [depot.BENCH, depot.MOWER, depot.GATE, CHIPPER], ids=["bench", "mower", "gate", "chipper"]
)
def test_every_fault_that_cannot_be_seen_leaves_the_cautions_alone(text: str) -> None:
    """Every fault of four machines, at rest, in use and isolated, before readings of every mode.

    More than half of the faults cannot be seen there.
    """
    circuit = depot.circuit(text)
    last = [f"{control.name}={control.positions[-1]}" for control in circuit.controls.values()]
    off = [f"unplug={name}" for name in circuit.parts if circuit.parts[name].kind in ("battery", "supply")]
    wires = list(circuit.wires.values())[::4]
    asked = [Probe(mode, wire.start, wire.end) for wire in wires for mode in MODES if wire.start != wire.end]
    asked += [Probe(AMPS, wire.name) for wire in wires]
    hidden = 0
    for made in ([], last, off):
        sound = depot.machine(text, *made)
        expected = [cautions(sound, probe) for probe in asked]
        for fault in list(universe(circuit).values())[::3]:
            faulty = Machine(circuit, [fault])
            for move in made:
                faulty.move(move)
            if faulty.seen() == sound.seen():
                hidden += 1
                assert [cautions(faulty, probe) for probe in asked] == expected, fault
    assert hidden > len(universe(circuit)) / 2


# The catalogue


def test_every_text_is_used_and_short() -> None:
    """Each text belongs to a caution, its placeholders are filled, and it is two sentences at most."""
    with open(module.__file__, encoding="utf-8") as file:  # noqa: PTH123 - the module's own source
        source = file.read()
    for key, text in TEXTS.items():
        assert f'"{key}"' in source
        assert text.endswith(".")
        assert text.count(". ") <= 1
        assert all(name.isidentifier() for _, name, _, _ in string.Formatter().parse(text) if name is not None)
