"""Machines in step: one circuit with each of many hypotheses in it, going through the same moves together, in lanes.

What ``machine.py`` says of one machine holds for each of these, history and all; the lanes only make it fast. What does
not settle in lanes (a relay that buzzes, a filament that warms) goes on as a machine by itself, and so do hypotheses of
which too few share a topology.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .assembly import build
from .circuit import Circuit
from .families import Family, Hypothesis, family_of
from .faults import cures
from .lane_networks import LaneSolver, Numbers, Truths, warms
from .lane_seen import Codes, code, seen_in_lanes
from .lanes import LaneWork, Leads, Start, Watch
from .machine import Machine, there_now, wirings_of
from .moves import NOTHING, REPLACE, REST, SET, Move
from .network import Wiring
from .parts import Role
from .solve import Solver, relays_of

FEW = 6
"""Hypotheses of one topology that are not worth lanes of their own."""


@dataclass
class Standing:
    """One of the machines as it stands, for a meter that is put to it alone."""

    circuit: Circuit
    faults: Hypothesis
    wiring: Wiring
    switches: Mapping[str, str]
    relays: Mapping[str, bool]
    blown: frozenset[str]

    @cached_property
    def solver(self) -> Solver:
        """The solver of the network as wired now."""
        return self.solver_with()

    def positions(self) -> Mapping[str, str]:
        """Return each switch's position."""
        return self.switches

    def solver_with(self, *, ammeter: tuple[str, float] | None = None, alone: str | None = None) -> Solver:
        """Return the solver with an ammeter put in or a part measured in the hand."""
        return Solver(build(self.circuit, self.faults, self.wiring, ammeter=ammeter, alone=alone))


@dataclass
class Lanes:
    """Hypotheses that share a topology: their solver, and which of its columns each has (−1: none)."""

    solver: LaneSolver
    column_of: Numbers


class Machines:
    """Many machines that go through the same moves.

    Every array has one element a machine: ``hypothesis`` and ``way`` say which it is; ``relays``, ``blown``, ``active``
    (diodes that conduct, motors that turn) and ``seen`` (codes) how it stands, by name. There is one way at first;
    :meth:`spread` sends each machine several ways.
    """

    def __init__(self, circuit: Circuit, hypotheses: Sequence[Hypothesis], few: int = FEW) -> None:
        """Put a machine at rest for each hypothesis; ``few`` of one topology or less are left to single machines."""
        self.circuit, self.hypotheses, self.few = circuit, list(hypotheses), few
        self.hypothesis: Numbers = np.arange(len(self.hypotheses))
        self.way: Numbers = np.zeros(len(self.hypotheses), dtype=np.intp)
        self.wiring, self.disturbed = Wiring(), ""
        self.made: list[list[Move]] = [[]]
        self._to_rest()

    def _to_rest(self) -> None:
        count = len(self.hypothesis)
        self.states = [self.circuit.rest() for _ in self.made]
        self.before = [dict(state) for state in self.states]
        self.wiring, self.disturbed = Wiring(), ""
        self.relays: dict[str, Truths] = {name: np.zeros(count, dtype=bool) for name in relays_of(self.circuit)}
        fuses = [part.name for part in self.circuit.parts.values() if part.kind == "fuse"]
        self.blown: dict[str, Truths] = {name: np.zeros(count, dtype=bool) for name in fuses}
        self.blown_aside: dict[str, Truths] = {}  # of the fuses for which a known-good one stands in
        self.seen: dict[str, Codes] = {name: np.zeros(count, dtype=np.int8) for name in self.circuit.behaviour}
        self.active: dict[str, Truths] = {}
        self.alone: dict[int, Machine] = {}
        self._wire_up()
        self._settle(np.arange(count))

    # What the machines are made of

    def there(self, faults: Hypothesis) -> Hypothesis:
        """Return those of some faults that are there now."""
        return there_now(faults, self.disturbed, self.wiring)

    def present(self, hypothesis: int) -> Hypothesis:
        """Return the faults of a hypothesis that are there now."""
        return self.there(self.hypotheses[hypothesis])

    def _wire_up(self) -> None:
        """Build the networks of all hypotheses as they are wired now, and gather those that share a topology."""
        self.lanes: list[Lanes] = []
        if warms(self.circuit):
            return self._leave_alone(np.arange(len(self.hypothesis)))
        families: dict[tuple[str, ...], list[int]] = {}
        for hypothesis in np.unique(self.hypothesis).tolist():
            key = tuple(fault.name for fault in self.present(hypothesis))
            families.setdefault(key, []).append(hypothesis)
        topologies: dict[object, list[tuple[Family, list[int]]]] = {}
        for members in families.values():
            family = family_of(self.circuit, self.present(members[0]), self.wiring, for_lanes=True)
            topology = (family.network.ends, len(family.network.names))
            topologies.setdefault(topology, []).append((family, members))
        for gathered in topologies.values():
            members = [hypothesis for _, some in gathered for hypothesis in some]
            if len(members) <= self.few:
                self._leave_alone(np.flatnonzero(np.isin(self.hypothesis, members)))
            else:
                self.lanes.append(self._gather(gathered, members))
        return None

    def _gather(self, gathered: Sequence[tuple[Family, list[int]]], members: list[int]) -> Lanes:
        columns = np.repeat(np.arange(len(gathered)), [len(some) for _, some in gathered])
        column_of = np.full(len(self.hypotheses), -1)
        column_of[members] = np.arange(len(members))
        added: dict[tuple[int, int], float] = {}
        for family, some in gathered:
            for hypothesis in some:
                for fault, branches in zip(self.present(hypothesis), family.valued, strict=True):
                    for branch in branches:
                        place = (branch, int(column_of[hypothesis]))
                        added[place] = added.get(place, 0.0) + (fault.value or 0.0)
        return Lanes(LaneSolver([family.network for family, _ in gathered], columns, added), column_of)

    def _leave_alone(self, machines: Numbers) -> None:
        """Let machines go on each by itself, from where its moves have brought it."""
        for number in machines.tolist():
            if number not in self.alone:
                machine = Machine(self.circuit, self.hypotheses[self.hypothesis[number]])
                for move in self.made[self.way[number]]:
                    machine.make(move)
                self._take_over(number, machine)

    def _take_over(self, number: int, machine: Machine) -> None:
        """Note how a machine by itself stands now."""
        self.alone[number] = machine
        for name, energised in self.relays.items():
            energised[number] = machine.relays[name]
        for name, blown in self.blown.items():
            blown[number] = name in machine.blown
        for name, value in machine.seen().items():
            self.seen[name][number] = code(value)
        on = {machine.solver.network.branches[index].name for index in machine.settled.turning}
        for name, active in self.active.items():
            active[number] = name in on

    # Settling

    def _switches(self, states: Sequence[Mapping[str, str]]) -> list[dict[str, str]]:
        return [self.circuit.switch_positions(state) for state in states]

    def in_lanes(self, lanes: Lanes, machines: Numbers) -> Numbers:
        """Return those of some machines that these lanes hold."""
        here = lanes.column_of[self.hypothesis[machines]] >= 0
        if self.alone:
            here &= ~np.isin(machines, list(self.alone))
        return machines[here]

    def work(self, lanes: Lanes, machines: Numbers, leads: Leads | None = None, watch: Watch | None = None) -> LaneWork:
        """Return the work of settling some machines from where they stand, with or without a meter."""
        network = lanes.solver.network
        start = Start(
            {name: energised[machines] for name, energised in self.relays.items()},
            {network.first_of[name]: blown[machines] for name, blown in self.blown.items()},
            {
                index: self.active[name][machines]
                for index in (
                    *lanes.solver.with_role[Role.DIODE],
                    *(lanes.solver.with_role[Role.MOTOR] if leads else ()),
                )
                if (name := network.branches[index].name) in self.active
            },
        )
        return LaneWork(
            lanes.solver,
            self._switches(self.states),
            lanes.column_of[self.hypothesis[machines]],
            self.way[machines],
            before=self._switches(self.before),
            start=start,
            leads=leads,
            watch=watch,
        )

    def stand_alike(self, machines: Numbers, others: Numbers) -> Truths:
        """Say which machines stand as others do, element by element: relays, fuses, diodes and motors."""
        alike = np.ones(len(machines), dtype=bool)
        for flags in (*self.relays.values(), *self.blown.values(), *self.active.values()):
            alike &= flags[machines] == flags[others]
        return alike

    def sound_ones(self, lanes: Lanes) -> Numbers:
        """Return for each way the sound machine that went it, −1 where these lanes do not hold it."""
        sound = [number for number, faults in enumerate(self.hypotheses) if not faults]
        found = np.full(len(self.made), -1)
        numbers = self.in_lanes(lanes, np.flatnonzero(np.isin(self.hypothesis, sound)))
        found[self.way[numbers]] = numbers
        return found

    def _settle(self, machines: Numbers) -> None:
        for lanes in self.lanes:
            mine = self.in_lanes(lanes, machines)
            if not len(mine):
                continue
            network, work = lanes.solver.network, self.work(lanes, mine)
            for settlement in work.settle():
                at, here = mine[settlement.points], settlement.lanes
                latched = {name: self.seen[name][at] == 1 for name in self.circuit.latched}
                for name, codes in seen_in_lanes(lanes.solver, settlement, self.states, latched).items():
                    self.seen[name][at] = codes
                for name, energised in settlement.relays.items():
                    self.relays[name][at] = energised[here]
                for index, blown in settlement.blown.items():
                    self.blown[network.branches[index].part][at] = blown[here]
                for index, on in (*settlement.on.items(), *settlement.turning.items()):
                    name = network.branches[index].name
                    known = self.active.setdefault(name, np.zeros(len(self.hypothesis), dtype=bool))
                    known[at] = on[here]
            self._leave_alone(mine[work.unsettled])

    # Moves

    def move(self, move: Move) -> None:
        """Make a move on every machine."""
        for made in self.made:
            made.append(move)
        if move.verb == REST:
            self._to_rest()
            return
        self.before = [dict(state) for state in self.states]
        everyone = np.arange(len(self.hypothesis))
        if move.verb == SET:
            for state in self.states:
                state[move.target] = move.value
            self._move_alone(move)
            self._settle(everyone)
        else:
            self._mend(move)
            self._move_alone(move)
            for wiring in wirings_of(self.wiring, move):
                self.wiring = wiring
                self._wire_up()
                self._settle(everyone)

    def _move_alone(self, move: Move) -> None:
        for number, machine in self.alone.items():
            machine.make(move)
            self._take_over(number, machine)

    def _mend(self, move: Move) -> None:
        """Change what a move changes besides the wiring: what is disturbed, faults and fuses."""
        if move.verb == "disturb":
            self.disturbed = "" if move.target == NOTHING else move.target
        if move.verb == "repair":
            self.hypotheses = [
                tuple(fault for fault in faults if not cures(move.target, move.value, fault))
                for faults in self.hypotheses
            ]
        if move.target in self.blown:
            self._change_fuse(move)

    def _change_fuse(self, move: Move) -> None:
        """Another fuse is a sound one; the circuit's own keeps what it has blown while it lies aside."""
        fuse, sound = move.target, np.zeros(len(self.hypothesis), dtype=bool)
        match move.verb:
            case "substitute":
                self.blown_aside.setdefault(fuse, self.blown[fuse])
                self.blown[fuse] = sound
            case "restore" if fuse in self.blown_aside:
                self.blown[fuse] = self.blown_aside.pop(fuse)
            case "repair" if move.value == REPLACE:
                self.blown_aside.pop(fuse, None)
                self.blown[fuse] = sound

    def spread(self, ways: Sequence[Sequence[Move]]) -> Machines:
        """Return machines that have gone each of these ways, moves of controls, from where these stand.

        All machines of the first way come first, then those of the second.
        """
        found = self._copy(np.tile(np.arange(len(self.hypothesis)), len(ways)))
        found.way = np.repeat(np.arange(len(ways)), len(self.hypothesis))
        found.states, found.before = ([dict(one[0]) for _ in ways] for one in (self.states, self.before))
        found.made = [list(self.made[0]) for _ in ways]
        for step in range(max(map(len, ways), default=0)):
            found._go(step, ways)  # noqa: SLF001 - another of this class
        return found

    def _go(self, step: int, ways: Sequence[Sequence[Move]]) -> None:
        """Make one move of each way that has so many."""
        going = [number for number, way in enumerate(ways) if step < len(way)]
        for number in going:
            move = ways[number][step]
            self.made[number].append(move)
            self.before[number] = dict(self.states[number])
            self.states[number][move.target] = move.value
        moved = np.flatnonzero(np.isin(self.way, going))
        for number in set(moved.tolist()) & self.alone.keys():
            self.alone[number].make(ways[self.way[number]][step])
            self._take_over(number, self.alone[number])
        self._settle(moved)

    def keep(self, machines: Numbers) -> None:
        """Go on with some of the machines only."""
        alone = {place: self.alone[number] for place, number in enumerate(machines.tolist()) if number in self.alone}
        self.__dict__ = self._taken(machines).__dict__ | {"alone": alone}

    def snapshot(self) -> Machines:
        """Return how all stand now, to be measured one by one (:meth:`standing`) when these have gone on."""
        found = object.__new__(Machines)
        found.__dict__ = self.__dict__ | {
            "states": [dict(state) for state in self.states],
            "relays": {name: energised.copy() for name, energised in self.relays.items()},
            "blown": {name: blown.copy() for name, blown in self.blown.items()},
            "seen": {name: codes.copy() for name, codes in self.seen.items()},
            "alone": {},
        }
        return found

    def copy(self) -> Machines:
        """Return the same machines, to go on by themselves."""
        return self._copy(np.arange(len(self.hypothesis)))

    def _copy(self, machines: Numbers) -> Machines:
        """Return some of the machines, in this order, to go on by themselves."""
        found = self._taken(machines)
        found._leave_alone(np.flatnonzero(np.isin(machines, list(self.alone))))  # noqa: SLF001 - another of this class
        return found

    def _taken(self, machines: Numbers) -> Machines:
        """Return how some of the machines stand, in this order, the ways as they are; without those that go alone."""
        found = object.__new__(Machines)
        found.circuit, found.hypotheses, found.few = self.circuit, list(self.hypotheses), self.few
        found.wiring, found.disturbed = self.wiring, self.disturbed
        found.made = [list(made) for made in self.made]
        found.states, found.before = ([dict(state) for state in states] for states in (self.states, self.before))
        found.hypothesis, found.way = self.hypothesis[machines], self.way[machines]
        found.relays, found.blown, found.blown_aside, found.active = (
            {name: flags[machines] for name, flags in of.items()}
            for of in (self.relays, self.blown, self.blown_aside, self.active)
        )
        found.seen = {name: codes[machines] for name, codes in self.seen.items()}
        found.alone = {}
        found.lanes = [found._only(lanes) for lanes in self.lanes]
        found.lanes = [lanes for lanes in found.lanes if lanes.solver.closed.shape[1]]
        return found

    def _only(self, lanes: Lanes) -> Lanes:
        """Return the lanes with the columns only that hypotheses in use have."""
        in_use = np.zeros(len(self.hypotheses), dtype=bool)
        in_use[self.hypothesis] = True
        if in_use.all():
            return lanes
        members = np.flatnonzero(in_use & (lanes.column_of >= 0))
        column_of = np.full(len(self.hypotheses), -1)
        column_of[members] = np.arange(len(members))
        return Lanes(lanes.solver.only(lanes.column_of[members]), column_of)

    def history(self) -> list[Truths | Codes]:
        """Return all in which one machine can stand otherwise than another for what was done before."""
        return [*self.relays.values(), *self.blown.values(), *(self.seen[name] for name in self.circuit.latched)]

    def regime(self) -> list[Truths | Codes]:
        """Return all in which one machine can be another circuit than the next: its history, and which motors turn."""
        motors = [name for name, part in self.circuit.parts.items() if part.kind == "motor"]
        return [*self.history(), *(self.active[name] for name in motors if name in self.active)]

    def standing(self, number: int) -> Standing | Machine:
        """Return one machine as it stands, for a meter that is put to it alone."""
        return self.alone.get(number) or self.standing_by_itself(number)

    def standing_by_itself(self, number: int) -> Standing:
        """Return the same, put together from how it stands."""
        faults, way = self.present(int(self.hypothesis[number])), self.way[number]
        now, before = self._switches([self.states[way], self.before[way]])
        sticking = {fault.place for fault in faults if fault.mode == "sticking"}
        return Standing(
            self.circuit,
            faults,
            self.wiring,
            {name: before[name] if name in sticking else position for name, position in now.items()},
            {name: bool(energised[number]) for name, energised in self.relays.items()},
            frozenset(name for name, blown in self.blown.items() if blown[number]),
        )
