"""The voltage-drop profile against textbooks, laws and rules of the trade; and readings held against it."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit, read_circuit
from faultwright.drop_profile import DropProfile, drop_profile
from faultwright.errors import Refused
from faultwright.falls import falls_in, falls_on, largest_unexpected
from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright.meter import Probe, show
from faultwright.record import BENCH, Measured, Record
from tests.core.textbook import agree, netlist

CIRCUITS = Path(__file__).parents[2] / "course" / "faultwright_course" / "circuits"
COMPRESSOR = read_circuit(CIRCUITS / "compressor.yaml")
RUNABOUT = read_circuit(CIRCUITS / "runabout.yaml")
RUN = ("key=on", "run=pressed")
CLUTCH_ROUTE = ("key=on", "gear=engaged", "clutch=pulled", "start=pressed")


def running() -> DropProfile:
    """Return the profile of the compressor's motor while it runs."""
    return drop_profile(COMPRESSOR, "M1", RUN)


def faulty(fault: str, circuit: Circuit = COMPRESSOR, moves: tuple[str, ...] = RUN) -> Machine:
    """Return a machine with a fault after some moves."""
    machine = Machine(circuit, [parse_fault(fault, circuit)])
    for move in moves:
        machine.move(move)
    return machine


def drops(profile: DropProfile, kind: str) -> dict[str, float]:
    """Return the drops over the parts of a kind."""
    return {stretch.place: stretch.drop for stretch in profile.stretches if stretch.kind == kind}


# Against textbooks


@pytest.mark.parametrize(
    ("volts", "ohms", "printed"),
    [
        # OpenStax University Physics 2 (10.2, from memory): 9 V over 20, 20, 20, 20 and 10 Ω in series, 0.1 A.
        ("9", "20 20 20 20 10", "2 2 2 2 1"),
        # OpenStax: 18 V over 4, 1 and 4 Ω in series, 2 A.
        ("18", "4 1 4", "8 2 8"),
        # Lessons In Electric Circuits, vol. 1: 15 Ω of wire each way to a load of 250 Ω on 14 V.
        ("14", "15 250 15", "0.75 12.5 0.75"),
    ],
)
def test_drops_of_a_textbook_series_circuit(volts: str, ohms: str, printed: str) -> None:
    """The drops are the printed ones, in the order of the path, and together they are the source's emf."""
    values = ohms.split()
    nodes = [*range(1, len(values) + 1), 0]
    parts = [f"R{n} {nodes[n - 1]} {nodes[n]} {value}" for n, value in enumerate(values, start=1)]
    profile = drop_profile(netlist(f"V1 1 0 {volts}", *parts), "R2")
    found = drops(profile, "resistor")
    assert list(found) == [f"R{n}" for n in range(1, len(values) + 1)]
    assert agree(list(found.values()), printed)
    assert sum(stretch.drop for stretch in profile.stretches) == pytest.approx(float(volts), abs=1e-4)


def test_what_is_left_of_the_emf_falls_inside_the_battery() -> None:
    """OpenStax University Physics 2, 10.1: terminal voltage is emf less current times internal resistance."""
    profile = running()
    network, settled = profile.machine.solver.network, profile.machine.settled
    current = settled.current(network.first_of["G1"])
    assert profile.volts[0] == pytest.approx(12.6 - current * 0.015)
    assert sum(stretch.drop for stretch in profile.stretches) == pytest.approx(profile.volts[0])


# The path


def test_the_path_runs_from_plus_to_minus() -> None:
    """Every stretch lies between two joints; the load's own is marked, and so is where the ground path begins."""
    profile = running()
    places = "W1 F1 W3 Q1 30-87 W8 X1:1 W9 M1 W10 X1:2 W11 XE1 W14"
    assert " ".join(stretch.place for stretch in profile.stretches) == places
    assert profile.terminals[0] == "G1:+"
    assert profile.terminals[-2:] == ("FRAME", "G1:-")
    assert [profile.terminals[number] for number in profile.used] == ["M1:1", "M1:2"]
    assert profile.terminals[profile.ground_path] == "M1:2"


def test_a_splice_is_passed_from_one_way_to_another() -> None:
    """The two ways of a splice are two joints, so that a bad way shows between them; a sound splice drops nothing."""
    profile = drop_profile(RUNABOUT, "Q1", CLUTCH_ROUTE)
    splice = next(stretch for stretch in profile.stretches if stretch.place == "X2")
    at = profile.stretches.index(splice)
    assert profile.terminals[at : at + 2] == ("X2:1", "X2:4")
    assert splice.drop == 0
    assert profile.terminals[profile.ground_path] == "S3:2"


def test_usual_drops_are_those_of_the_trade() -> None:
    """Common practice at 12 V, without a source: 0.3 V over a contact, 0.1 V over a joint; sound machines keep to it.

    A load has none, and on 24 V nothing is said.
    """
    usual = {stretch.place: stretch.usual for stretch in running().stretches}
    assert (usual["Q1 30-87"], usual["X1:1"], usual["XE1"], usual["M1"], usual["W1"]) == (0.3, 0.1, 0.1, None, None)
    for profile in (running(), drop_profile(RUNABOUT, "Q1", CLUTCH_ROUTE)):
        assert all(stretch.drop < stretch.usual for stretch in profile.stretches if stretch.usual)
    lines = "controls: {}\nparts:\n  G1: {kind: battery}\n  P1: {kind: lamp}\n  E1: {kind: ground}\nwires:\n"
    wires = '  W1: {from: "G1:+", to: "P1:1"}\n  W2: {from: "P1:2", to: "E1:1"}\n  W3: {from: "G1:-", to: FRAME}\n'
    heavy = parse_circuit(f"circuit: heavy\nnominal: 24 V\n{lines}{wires}", "heavy.yaml")
    assert [stretch.usual for stretch in drop_profile(heavy, "P1").stretches] == [None] * 5


@pytest.mark.parametrize(
    ("load", "moves", "message"),
    [
        ("M2", RUN, "compressor: there is no load 'M2' (allowed: Q1, M1, P1)"),
        (
            "M1",
            ("key=on",),
            "M1, key=on: no current flows through it on a healthy machine: bring the machine to where it is fed",
        ),
        (
            "M1",
            (),
            "M1, at rest: no current flows through it on a healthy machine: bring the machine to where it is fed",
        ),
        (
            "M1",
            (*RUN, "bridge=S1:1,S1:2"),
            "M1, key=on; run=pressed: take jumpers and test lamps off first: the path is followed on the diagram",
        ),
    ],
)
def test_refusals(load: str, moves: tuple[str, ...], message: str) -> None:
    """What is no load, and where nothing flows, is refused in words."""
    with pytest.raises(Refused) as refused:
        drop_profile(COMPRESSOR, load, moves)
    assert str(refused.value) == message


# Readings held against it


def volts(red: str, black: str = "G1:-") -> Probe:
    """Return volts between two points."""
    return Probe("volts", red, black)


def measured(bench: Bench) -> dict[tuple[str, str], float | None]:
    """Return what the record of a bench holds between joints of the motor's path, by the joints."""
    profile = running()
    return {
        (profile.terminals[fall.first], profile.terminals[fall.last]): fall.reading.value
        for fall in falls_in(profile, bench.record)
    }


def at_work(*faults: str) -> Bench:
    """Return a bench with the compressor, its motor switched on."""
    bench = Bench(COMPRESSOR, [parse_fault(fault, COMPRESSOR) for fault in faults])
    for move in RUN:
        bench.move(move)
    return bench


@pytest.mark.parametrize("at", [at for at, stretch in enumerate(running().stretches) if not stretch.used])
def test_the_largest_unexpected_drop_is_where_the_fault_is(at: int) -> None:
    """An ohm in any place of the path makes that place, and no other, the stretch with the largest unexpected drop."""
    profile = running()
    place = profile.stretches[at].place
    machine = faulty(f"{'F1:1' if place == 'F1' else place} resistance 1 Ω")  # a fuse has it in its joint
    found = largest_unexpected(falls_on(profile, machine))
    assert found is not None
    assert (found.first, found.last) == (at, at + 1)
    assert found.drop > 1
    assert found.expected < 0.1


def test_a_healthy_machine_has_no_unexpected_drop() -> None:
    """Every reading on a sound machine is as it should be; at rest, where nothing flows, none drops too much either."""
    sound = Machine(COMPRESSOR)
    at_rest = falls_on(running(), sound)
    assert any(fall.differs for fall in at_rest)
    for move in RUN:
        sound.move(move)
    falls = falls_on(running(), sound)
    assert not any(fall.differs for fall in falls)
    assert largest_unexpected(falls) is None


@given(st.data())
def test_few_readings_bracket_the_fault(data: st.DataObject) -> None:
    """Law: whatever joints are measured against the source's minus, the stretch found holds the resistance.

    The battery's terminal is measured as well, so that the stretch has an upper end.
    """
    profile = running()
    places = [at for at, stretch in enumerate(profile.stretches) if stretch.kind == "wire"]
    at = data.draw(st.sampled_from(places))
    joints = data.draw(st.sets(st.integers(1, len(profile.terminals) - 2), max_size=5))
    bench = at_work(f"{profile.stretches[at].place} resistance 2 Ω")
    for joint in (0, *joints):
        bench.read(volts(profile.terminals[joint]))
    found = largest_unexpected(falls_in(profile, bench.record))
    if found is not None:
        assert found.first <= at < found.last
    elif at < profile.used[0]:
        before_the_load = {joint for joint in joints if at < joint <= profile.used[0]}
        assert not before_the_load
    else:
        assert not {joint for joint in joints if profile.used[1] <= joint <= at}


def test_readings_come_from_the_record_alone() -> None:
    """Volts between joints of the path in this state count, the last of each; nothing else, and no calculation."""
    bench = at_work("X1:1 resistance 0.5 Ω")
    assert measured(bench) == {}
    bench.read(volts("Q1:87"))
    bench.read(volts("M1:1", "FRAME"))
    bench.read(volts("Q1:86"))  # not on the motor's path
    bench.read(Probe("amps", "W8"))
    bench.move("run=released")
    bench.read(volts("X1:a1"))  # another state
    assert measured(bench) == {("Q1:87", "G1:-"): 12.44, ("M1:1", "FRAME"): 9.3}


def test_leads_the_other_way_round_are_turned() -> None:
    """Red nearer to the source's minus: the reading counts with the other sign, and agrees or differs as it did."""
    bench = at_work("X1:1 resistance 0.5 Ω")
    bench.read(volts("X1:b1", "X1:a1"))
    bench.read(volts("G1:-", "Q1:87"))
    falls = falls_in(running(), bench.record)
    assert [(fall.reading.value, fall.reading.display, fall.differs) for fall in falls] == [
        (3.096, "3.096 V", True),
        (12.44, "12.44 V", False),
    ]


def test_a_repair_ends_the_search() -> None:
    """Readings after the first repair prove it, and are not mixed with those before."""
    bench = at_work("X1:1 resistance 0.5 Ω")
    bench.read(volts("M1:1"))
    bench.move("repair=X1:1 clean")
    bench.read(volts("M1:1"))
    bench.read(volts("Q1:87"))
    assert measured(bench) == {("M1:1", "G1:-"): 9.3}


def test_the_same_controls_with_a_contactor_dropped_out_are_another_state() -> None:
    """What a contactor holds depends on what was done before: only where a sound one stands alike do readings count."""
    profile = drop_profile(SEALED, "Q1", ("start=pressed", "start=released"))
    bench = Bench(SEALED)
    bench.read(volts("Q1:A1"))
    assert falls_in(profile, bench.record) == []
    for move in ("start=pressed", "start=released"):
        bench.move(move)
    bench.read(volts("Q1:A1"))
    (fall,) = falls_in(profile, bench.record)
    assert not fall.differs


SEALED = parse_circuit(
    """
circuit: fan
nominal: 24 V
controls:
  start: {label: Start, positions: [released, pressed], springs_to: released}
parts:
  G1: {kind: supply, voltage: 24 V}
  S1: {kind: switch, control: start, contacts: {13-14: [pressed]}}
  Q1: {kind: contactor}
  X1: {kind: splice, ways: 3}
  X2: {kind: splice, ways: 3}
wires:
  W1: {from: "G1:+", to: "X1:1"}
  W2: {from: "X1:2", to: "S1:13"}
  W3: {from: "S1:14", to: "X2:1"}
  W4: {from: "X1:3", to: "Q1:13"}
  W5: {from: "Q1:14", to: "X2:2"}
  W6: {from: "X2:3", to: "Q1:A1"}
  W7: {from: "Q1:A2", to: "G1:-"}
""",
    "fan.yaml",
)


def test_a_real_meter_is_judged_as_a_real_meter() -> None:
    """A reading from real hardware has its wider tolerance: 11.9 V for 12.39 V is no finding, 9.3 V is one."""
    moves = tuple(at_work().record.moves())
    found = []
    for value in (11.9, 9.3):
        real = Measured(volts("Q1:87"), show("volts", value), source=BENCH)
        (fall,) = falls_in(running(), Record(COMPRESSOR.name, (*moves, real)))
        found.append(fall.differs)
    assert found == [False, True]


def test_an_open_path_drops_all_of_it_at_the_break() -> None:
    """Theory of the trade: the full supply stands across the break, and nothing over what is sound."""
    profile = drop_profile(RUNABOUT, "Q1", CLUTCH_ROUTE)
    found = largest_unexpected(falls_on(profile, faulty("W14 open", RUNABOUT, CLUTCH_ROUTE)))
    assert found is not None
    assert (profile.terminals[found.first], profile.terminals[found.last]) == ("X1:b3", "S3:1")
    assert found.drop > 10
