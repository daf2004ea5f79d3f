"""Laws of circuits, of the meter and of suspects, over random valid circuits of every part kind.

The bounds on sums of currents are relative to the products conductance × emf that they are made of: a current is found
from the difference of two node voltages, each good to a few units in the last place of the emfs of the circuit.
"""

from __future__ import annotations

import itertools
import sys
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.circuit_writer import write_circuit
from faultwright.electrics import Settled
from faultwright.elimination import compiled
from faultwright.faults import Fault, remedies_at, universe
from faultwright.machine import Machine
from faultwright.meter import AMPS, FLOATING, OHMS, OK, VOLTS, Probe, read
from faultwright.parts import Role
from faultwright.record import Record, discrepancy, replay
from faultwright.suspects import find_suspects
from tests.core.accuracy import check, currents_by_fractions, voltages_by_fractions
from tests.core.conducting import exact_solution
from tests.core.records import any_actions, truthful_actions
from tests.core.strategies import (
    LINEAR_KINDS,
    Day,
    all_terminals,
    circuits,
    control_move,
    days,
    decades,
    faults,
    moves,
    permanent_faults,
    probes,
)

EPSILON = sys.float_info.epsilon


def after(day: Day) -> Machine:
    """Return the machine of a day after its moves."""
    machine = Machine(day.circuit, day.faults)
    for move in day.moves:
        machine.move(move)
    return machine


def snapshot(machine: Machine) -> tuple[Any, ...]:
    """Return everything about a machine that a move can change."""
    return (
        machine.settled.voltages,
        machine.settled.conductances,
        machine.state,
        machine.seen(),
        machine.relays,
        machine.blown,
        machine.settled.buzzing,
        machine.wiring,
        machine.faults,
    )


def shown(machine: Machine) -> tuple[Any, ...]:
    """Return what can be seen and measured of a machine, whatever the network is built like inside."""
    nodes = machine.solver.network.node
    voltages = {terminal: machine.settled.voltage(terminal) for terminal in nodes}
    return voltages, machine.seen(), machine.relays, machine.blown, machine.settled.buzzing


def island(settled: Settled, start: int) -> set[int]:
    """Return the nodes that conducting branches join to ``start``."""
    found, waiting = {start}, [start]
    while waiting:
        node = waiting.pop()
        for (a, b), conductance in zip(settled.network.ends, settled.conductances, strict=True):
            if conductance and node in (a, b) and {a, b} - found:
                waiting += {a, b} - found
                found |= {a, b}
    return found


# Kirchhoff and Tellegen


@settings(max_examples=100)
@given(days(most_faults=2))
def test_currents_balance_at_every_node(day: Day) -> None:
    """Kirchhoff's current law: what flows into a node flows out of it again, relative to the currents there."""
    settled = after(day).settled
    volts = sum(abs(emf) for emf in settled.emfs)
    sums = [0.0] * len(settled.network.names)
    scale = [0.0] * len(settled.network.names)
    for index, (a, b) in enumerate(settled.network.ends):
        if a == b:
            continue
        current = settled.current(index)
        for node, sign in ((a, -1), (b, 1)):
            sums[node] += sign * current
            scale[node] += settled.conductances[index] * volts
    for node, name in enumerate(settled.network.names):
        assert abs(sums[node]) <= 16 * EPSILON * scale[node], f"{sums[node]} A are left over at {name}"


@settings(max_examples=100)
@given(days(most_faults=2))
def test_power_in_is_power_out(day: Day) -> None:
    """Tellegen: what the emfs give is what the resistances take (a diode's drop and a charged battery take too)."""
    settled = after(day).settled
    volts = sum(abs(emf) for emf in settled.emfs)
    given_off = taken = scale = 0.0
    for index, conductance in enumerate(settled.conductances):
        current = settled.current(index)
        given_off += settled.emfs[index] * current
        taken += current * current / conductance if conductance else 0.0
        scale += conductance * volts * volts
    assert abs(given_off - taken) <= 16 * EPSILON * scale


def exactly(settled: Settled) -> tuple[tuple[Fraction, ...], list[Fraction]]:
    """Solve a settled network again through the same program, in fractions; return voltages and branch currents."""
    network = settled.network
    conductances = [Fraction(value) for value in settled.conductances]
    emfs = [Fraction(value) for value in settled.emfs]
    *found, _ = compiled(len(network.names), network.ends, network.with_emf)(conductances, emfs)
    voltages = tuple(Fraction(value) for value in found)
    currents = [
        conductances[index] * (voltages[a] + emfs[index] - voltages[b]) for index, (a, b) in enumerate(network.ends)
    ]
    return voltages, currents


@settings(max_examples=60)
@given(days(most_parts=6))
def test_in_fractions_currents_and_power_balance_exactly(day: Day) -> None:
    """In exact arithmetic nothing at all is left over at any node, and no power either: the program is exact."""
    settled = after(day).settled
    _, currents = exactly(settled)
    for node in range(len(settled.network.names)):
        into = sum(current for current, (_, b) in zip(currents, settled.network.ends, strict=True) if b == node)
        out = sum(current for current, (a, _) in zip(currents, settled.network.ends, strict=True) if a == node)
        assert into == out
    given_off = sum(Fraction(emf) * current for emf, current in zip(settled.emfs, currents, strict=True))
    taken = sum(
        current * current / Fraction(conductance)
        for conductance, current in zip(settled.conductances, currents, strict=True)
        if conductance
    )
    assert given_off == taken


# Accuracy


@settings(max_examples=60)
@given(days(most_parts=6))
def test_floats_agree_with_fractions(day: Day) -> None:
    """The program on floats is within 1e-12 V of the same program on fractions, and currents within that over R."""
    settled = after(day).settled
    voltages, currents = exactly(settled)
    for fast, exact in zip(settled.voltages, voltages, strict=True):
        assert abs(Fraction(fast) - exact) <= Fraction("1e-12")
    for index, exact in enumerate(currents):
        error = abs(Fraction(settled.current(index)) - exact)
        assert error <= Fraction(settled.conductances[index]) * Fraction("2e-12")


@st.composite
def networks(
    draw: st.DrawFn, low: float, high: float
) -> tuple[int, tuple[tuple[int, int], ...], list[float], list[float]]:
    """Return nodes, ends, conductances in S (resistances over the decades given, one in six open) and emfs in V."""
    nodes = draw(st.integers(2, 9))
    # A tree first, so that most nodes are joined to the reference.
    ends = [(draw(st.integers(0, node - 1)), node) for node in range(1, nodes)]
    pair = st.lists(st.integers(0, nodes - 1), min_size=2, max_size=2, unique=True).map(lambda two: (two[0], two[1]))
    ends += draw(st.lists(pair, max_size=12))
    conductances = [1 / draw(decades(low, high)) if draw(st.integers(0, 5)) else 0.0 for _ in ends]
    emfs = [draw(st.sampled_from((0.0, 0.0, 12.6, -0.6, 24.0))) for _ in ends]
    return nodes, tuple(ends), conductances, emfs


@settings(max_examples=200)
@given(networks(-9, 12))
def test_elimination_on_floats_agrees_with_fractions_from_nanoohms_to_teraohms(
    network: tuple[int, tuple[tuple[int, int], ...], list[float], list[float]],
) -> None:
    """Over 1e-9 to 1e12 Ω side by side, with exact opens, no node is off by more than 1e-12 V."""
    nodes, ends, conductances, emfs = network
    program = compiled(nodes, ends, frozenset(range(len(ends))))
    *fast, _ = program(conductances, emfs)
    *exact, _ = program([Fraction(value) for value in conductances], [Fraction(value) for value in emfs])
    for one, other in zip(fast, exact, strict=True):
        assert abs(Fraction(one) - Fraction(other)) <= Fraction("1e-12")


@settings(max_examples=100)
@given(networks(-9, 12), st.data())
def test_the_conductance_between_probes_agrees_with_fractions(
    network: tuple[int, tuple[tuple[int, int], ...], list[float], list[float]], data: st.DataObject
) -> None:
    """What an ohmmeter sees is right to 1e-12 of itself, and exactly nothing where no path joins the probes."""
    nodes, ends, conductances, emfs = network
    red, black = data.draw(st.lists(st.integers(0, nodes - 1), min_size=2, max_size=2, unique=True))
    program = compiled(nodes, (*ends, (red, black)), frozenset(range(len(ends))), (red, black))
    *_, fast = program([*conductances, 1e-7], [*emfs, 0.0])
    *_, exact = program(
        [Fraction(value) for value in [*conductances, 1e-7]], [Fraction(value) for value in [*emfs, 0.0]]
    )
    assert abs(Fraction(fast) - exact) <= Fraction("1e-12") * exact
    reached, waiting = {red}, [red]
    while waiting:
        node = waiting.pop()
        for (a, b), conductance in zip(ends, conductances, strict=True):
            if conductance and node in (a, b):
                waiting += {a, b} - reached
                reached |= {a, b}
    assert (fast == 0) == (black not in reached)


@settings(max_examples=300)
@given(days(least_faults=1, most_faults=2))
def test_elimination_agrees_with_branch_equations(day: Day) -> None:
    """Branch equations from parts and wires, solved in exact fractions, give the same voltages and currents.

    Currents to 1e-9 of themselves or 1 pA: voltages alone would hide a wrong microampere in a milliohm.
    """
    machine = after(day)
    solution = exact_solution(machine)
    check(voltages_by_fractions(machine, solution), day)
    check(currents_by_fractions(machine, solution), day)


# Reciprocity and loading


@settings(max_examples=100)
@given(circuits(kinds=LINEAR_KINDS), st.data())
def test_reciprocity(circuit: Circuit, data: st.DataObject) -> None:
    """An emf in one branch drives the same current through a second as the same emf there drives through the first."""
    settled = Machine(circuit).settled
    live = [index for index, conductance in enumerate(settled.conductances) if conductance]
    one, other = (data.draw(st.sampled_from(live)) for _ in range(2))
    program = compiled(len(settled.network.names), settled.network.ends, frozenset((one, other)))

    def current_through(there: int, emf_in: int) -> Fraction:
        emfs = [Fraction(int(index == emf_in)) for index in range(len(settled.emfs))]
        conductances = [Fraction(value) for value in settled.conductances]
        voltages = program(conductances, emfs)
        a, b = settled.network.ends[there]
        return Fraction(conductances[there] * (voltages[a] + emfs[there] - voltages[b]))

    assert current_through(other, emf_in=one) == current_through(one, emf_in=other)


@settings(max_examples=100)
@given(circuits(kinds=LINEAR_KINDS), st.data())
def test_a_load_never_raises_the_voltage_across_it(circuit: Circuit, data: st.DataObject) -> None:
    """Without diodes and relays a test lamp between two points lowers their voltage, a jumper lowers it more.

    Neither turns it round.
    """
    red, black = data.draw(st.lists(st.sampled_from(all_terminals(circuit)), min_size=2, max_size=2, unique=True))
    machine = Machine(circuit)
    voltages = []
    for move in (None, f"load={red},{black}", f"bridge={red},{black}"):
        if move:
            machine.move(move)
        # Against an island of its own a point has no voltage before something joins the two.
        assume(machine.settled.network.node[black] in island(machine.settled, machine.settled.network.node[red]))
        voltages.append(machine.settled.voltage(red) - machine.settled.voltage(black))
    for before, loaded in itertools.pairwise(voltages):
        assert abs(loaded) <= abs(before) + 1e-12
        assert before * loaded >= -1e-12


@settings(max_examples=100)
@given(circuits(kinds=LINEAR_KINDS), decades(-2, 6), st.data())
def test_ohms_never_fall_when_a_wire_gets_worse(circuit: Circuit, value: float, data: st.DataObject) -> None:
    """Rayleigh: resistance put into one wire never lowers the resistance between any two points, nor does a break."""
    wire = data.draw(st.sampled_from(list(circuit.wires)))
    red, black = data.draw(st.lists(st.sampled_from(all_terminals(circuit)), min_size=2, max_size=2, unique=True))
    found = []
    for present in ((), (Fault(wire, "resistance", value),), (Fault(wire, "open"),)):
        machine = Machine(circuit, present)
        for part in circuit.parts.values():
            if part.kind in ("battery", "supply"):
                machine.move(f"unplug={part.name}")
        reading = read(machine, Probe(OHMS, red, black))
        assert reading.status in (OK, "overload")
        found.append(float("inf") if reading.value is None else reading.value)
    assert found == sorted(found)


@settings(max_examples=100)
@given(days(kinds=LINEAR_KINDS, most_faults=1), st.data())
def test_leads_changed_round(day: Day, data: st.DataObject) -> None:
    """With the leads changed round volts and amps change their sign and ohms stay as they are."""
    machine = after(day)
    red, black = data.draw(st.lists(st.sampled_from(all_terminals(day.circuit)), min_size=2, max_size=2, unique=True))
    for mode, sign in ((VOLTS, -1), (AMPS, -1), (OHMS, 1)):
        there, back = (read(machine, Probe(mode, *pair)) for pair in ((red, black), (black, red)))
        assert there.status == back.status
        if there.value is not None and back.value is not None:
            assert back.value == pytest.approx(sign * there.value, abs=there.resolution * 1.01)


# Zeros


@settings(max_examples=100)
@given(days(most_faults=2))
def test_zeros_stay_zero(day: Day) -> None:
    """A node that no source reaches is at exactly 0 V, an open branch carries exactly 0 A: no crutch leaks through."""
    settled = after(day).settled
    for node in range(len(settled.network.names)):
        there = island(settled, node)
        driven = any(
            emf and conductance and a in there
            for (a, _), conductance, emf in zip(settled.network.ends, settled.conductances, settled.emfs, strict=True)
        )
        if not driven:
            assert settled.voltages[node] == 0
    for index, conductance in enumerate(settled.conductances):
        if conductance == 0:
            assert settled.current(index) == 0


@settings(max_examples=60)
@given(days(most_faults=1), st.data())
def test_floating_is_told_by_topology(day: Day, data: st.DataObject) -> None:
    """Volts are called floating exactly where no conducting path joins the leads (no diode can join them by itself)."""
    machine = after(day)
    assume(not machine.settled.buzzing and not machine.solver.electrics.diodes and not machine.solver.relays)
    red, black = data.draw(st.lists(st.sampled_from(all_terminals(day.circuit)), min_size=2, max_size=2, unique=True))
    nodes = machine.settled.network.node
    joined = nodes[black] in island(machine.settled, nodes[red])
    assume(nodes[red] != nodes[black])
    assert (read(machine, Probe(VOLTS, red, black)).status == FLOATING) == (not joined)


# Diodes

STEERED = ("diode", "diode", "diode", "resistor", "lamp", "switch", "relay", "splice", "ground")


@settings(max_examples=120)
@given(days(kinds=STEERED, most_parts=10))
def test_diodes_are_consistent(day: Day) -> None:
    """Complementarity: a diode that is off stands below its forward drop, one that is on carries current forwards."""
    settled = after(day).settled
    branches = settled.network.branches
    for index in settled.network.by_role[Role.DIODE]:
        if branches[index].resistance is None:
            assert index not in settled.conducting
            continue
        drop = settled.network.circuit.parts[branches[index].part].number("forward_drop")
        across = settled.voltages[branches[index].a] - settled.voltages[branches[index].b]
        if index in settled.conducting:
            event("a diode conducts")
            assert settled.current(index) > 0
        elif branches[index].b in island(settled, branches[index].a):
            # Between islands there is no voltage to speak of, and no current can flow.
            assert across <= drop + 1e-9
            assert settled.current(index) == 0


# Files


@settings(max_examples=80)
@given(circuits())
def test_writing_and_reading_a_circuit_changes_nothing(circuit: Circuit) -> None:
    """read(write(c)) == c, to the last bit of every value, for circuits of every kind of part."""
    assert parse_circuit(write_circuit(circuit), "depot-yard.yaml") == circuit


# Histories


@settings(max_examples=60)
@given(days(most_faults=2, most_moves=8))
def test_the_same_moves_give_the_same_machine(day: Day) -> None:
    """Nothing is left to chance: the same circuit, faults and moves end in the very same voltages and states."""
    assert snapshot(after(day)) == snapshot(after(day))


@settings(max_examples=60)
@given(days(most_faults=2, most_moves=6), st.data())
def test_rest_starts_the_day_over(day: Day, data: st.DataObject) -> None:
    """After ``rest`` a machine behaves as one just set up with the faults that are left."""
    machine = after(day)
    machine.move("rest")
    fresh = Machine(day.circuit, machine.faults)
    assert snapshot(machine) == snapshot(fresh)
    for move in data.draw(st.lists(moves(day.circuit), max_size=3)):
        assert machine.move(move) == fresh.move(move)
    assert snapshot(machine) == snapshot(fresh)


@settings(max_examples=60)
@given(days(most_faults=2, most_moves=5), st.data())
def test_measuring_leaves_the_machine_as_it_was(day: Day, data: st.DataObject) -> None:
    """A reading of any mode, amps across the battery included, changes nothing of the machine."""
    machine, untouched = after(day), after(day)
    for probe in data.draw(st.lists(probes(day.circuit), min_size=1, max_size=4)):
        read(machine, probe)
        assert snapshot(machine) == snapshot(untouched)
    move = data.draw(moves(day.circuit))
    assert machine.move(move) == untouched.move(move)


@settings(max_examples=60)
@given(circuits(), st.data())
def test_the_right_remedy_makes_the_machine_sound(circuit: Circuit, data: st.DataObject) -> None:
    """Each remedy of a fault, done at its place, leaves a machine that behaves as the sound one from rest on."""
    fault = data.draw(permanent_faults(circuit))
    remedy = data.draw(st.sampled_from(fault.remedies))
    mended, sound = Machine(circuit, (fault,)), Machine(circuit)
    operated = data.draw(st.lists(control_move(circuit), max_size=3))
    for move in operated:
        mended.move(move)
    mended.move(f"repair={fault.place} {remedy}")
    assert mended.faults == ()
    mended.move("rest")
    assert shown(mended) == shown(sound)
    for move in data.draw(st.lists(moves(circuit), max_size=4)):
        assert mended.move(move) == sound.move(move)
        assert shown(mended) == shown(sound)


@settings(max_examples=60)
@given(circuits(), st.data())
def test_another_remedy_changes_nothing(circuit: Circuit, data: st.DataObject) -> None:
    """A remedy at another place, or one that does not cure the fault, leaves the fault where it is."""
    fault = data.draw(permanent_faults(circuit))
    useless = [
        f"repair={place} {remedy}"
        for place, remedies in remedies_at(circuit).items()
        for remedy in remedies
        if remedy not in fault.remedies or not (place == fault.place or fault.mode.endswith(f" {place}"))
    ]
    assume(useless)
    move = data.draw(st.sampled_from(useless))
    machine, untouched = Machine(circuit, (fault,)), Machine(circuit, (fault,))
    machine.move(move)
    assert machine.faults == (fault,)
    machine.move("rest")
    assert shown(machine) == shown(untouched)


# Suspects


def truthful_record(circuit: Circuit, present: Sequence[Fault], data: st.DataObject) -> Record:
    """Return the record of moves, observations and readings, each reading as far off as a meter may be."""
    return Record(circuit.name, data.draw(truthful_actions(Machine(circuit, present), most=6)))


def valued_like(faults: Sequence[Fault], true: Fault) -> list[Fault]:
    """Return the faults of a universe, the true one among them with its default value and not its true one."""
    return [fault for fault in faults if fault.name == true.name or hash_of(fault) % 5 == 0]


def hash_of(fault: Fault) -> int:
    """Return a number that is the same in every run, to take a fixed part of a universe."""
    return sum(fault.name.encode())


@settings(max_examples=80)
@given(circuits(most=6), decades(-3, 7), st.data())
def test_the_injected_fault_is_always_a_suspect(circuit: Circuit, value: float, data: st.DataObject) -> None:
    """Whatever was done and truthfully found, the true fault is left, and its true value, 1 mΩ to 10 MΩ, in the range.

    Readings lie as far off the truth as the meter's accuracy allows, on either side, or as far as readings from real
    hardware are judged at; repairs, rest and faults that show only when disturbed are among what was done.
    """
    named = data.draw(faults(circuit))
    known = replace(universe(circuit)[replace(named, disturbed=False).name], disturbed=named.disturbed)
    fault = known if known.value is None else replace(known, value=value)
    found = find_suspects(circuit, truthful_record(circuit, [fault], data), [known])
    assert found.names == [fault.name]
    if fault.value is not None:
        low, high = found.ranges[fault.name]
        assert low * (1 - 1e-3) <= fault.value <= high * (1 + 1e-3)


@settings(max_examples=40)
@given(circuits(most=4), st.data())
def test_suspects_are_exactly_those_whose_replay_agrees(circuit: Circuit, data: st.DataObject) -> None:
    """Brute force over all faults without a value, and the sound machine, after anything that was found, true or not.

    Who is cleared is cleared by the first finding with which the replay disagrees.
    """
    considered = [fault for fault in universe(circuit).values() if fault.value is None]
    there = data.draw(st.sampled_from([(), *((fault,) for fault in considered)]))
    record = Record(circuit.name, data.draw(any_actions(Machine(circuit, there))))
    first: dict[str, int | None] = {}
    for hypothesis in [*((fault,) for fault in considered), ()]:
        predictions = replay(circuit, hypothesis, record)[0]
        against = (
            number
            for (number, finding), prediction in zip(record.findings(), predictions, strict=True)
            if discrepancy(finding, prediction) != 0
        )
        first["".join(fault.name for fault in hypothesis)] = next(against, None)
    found = find_suspects(circuit, record, considered)
    event(f"{len(found.names)} of {len(considered)} left")
    assert found.names == [fault.name for fault in considered if first[fault.name] is None]
    assert found.healthy == (first[""] is None)
    assert found.cleared == {name: number for name, number in first.items() if name and number is not None}


@settings(max_examples=15)
@given(circuits(most=4), st.data())
def test_a_finding_never_adds_a_suspect(circuit: Circuit, data: st.DataObject) -> None:
    """Every action more leaves the suspects as they are or fewer; the true fault and, if so, health stay among them."""
    fault = data.draw(permanent_faults(circuit))
    record = truthful_record(circuit, [fault], data)
    considered = valued_like(list(universe(circuit).values()), fault)
    before, sound = {one.name for one in considered}, True
    for length in range(1, len(record.actions) + 1):
        found = find_suspects(circuit, replace(record, actions=record.actions[:length]), considered)
        assert set(found.names) <= before
        assert sound or not found.healthy
        assert fault.name in found.names
        before, sound = set(found.names), found.healthy


@settings(max_examples=40)
@given(circuits(most=6), st.data())
def test_a_sound_machine_is_a_hypothesis(circuit: Circuit, data: st.DataObject) -> None:
    """A truthful record of a sound machine never speaks against it."""
    assert find_suspects(circuit, truthful_record(circuit, (), data), ()).healthy
