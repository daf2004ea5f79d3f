"""Lanes: many operating points of one topology settled together, one numpy element a point.

The same compiled program as for one point, and the same rules as ``solve.py``: in each pass a lane flips its
first wrong diode, else starts its motors, else moves its relays, else opens its worst fuse, else has settled
and makes room for a point that waits. Points that do not settle so (relays that keep changing, filaments) are
left to the solver for single points, which names a buzzing pattern.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .circuit import Part
from .electrics import MOST_FLIPS_PER_DIODE, rounding
from .elimination import compiled
from .network import Branch, Network
from .parts import ENERGISED, RELEASED, Role
from .solve import FUSE_OPENS_FROM, relays_of

Floats = NDArray[np.float64]
Truths = NDArray[np.bool_]
Numbers = NDArray[np.intp]

AT_ONCE = 4096
"""Lanes in a pass: enough that numpy's own work outweighs its calls, few enough that its arrays stay in the cache."""


@dataclass(frozen=True)
class Settlement:
    """Points that settled in one pass, one element a point; good until the next pass is asked for.

    ``points`` are their numbers among all points, ``faults`` and ``states`` what they are points of. ``voltages`` in V,
    one array a node, are those of all lanes, as are conductances in S, emfs in V, relays and turning motors: pick the
    settled ones by ``lanes``.
    """

    lanes: Numbers
    points: Numbers
    faults: Numbers
    states: Numbers
    voltages: Sequence[Floats]
    conductances: Floats
    emfs: Mapping[int, Floats]
    relays: Mapping[str, Truths]
    turning: Mapping[int, Truths]

    def voltage(self, node: int) -> Floats:
        """Return the voltage in V of a node against FRAME."""
        found: Floats = self.voltages[node][self.lanes]
        return found

    def current(self, network: Network, index: int) -> Floats:
        """Return the current in A through a branch, from its node ``a`` to ``b``."""
        a, b = network.ends[index]
        driven = self.voltage(a) - self.voltage(b)
        if index in self.emfs:
            driven = driven + self.emfs[index][self.lanes]
        found: Floats = self.conductances[index, self.lanes] * driven
        return found


class LaneSolver:
    """Networks that share one topology, one a fault, and what is worked out once for all their points."""

    def __init__(self, networks: Sequence[Network]) -> None:
        """Take one network a fault; all have the same branches between the same nodes."""
        self.networks = networks
        self.network = first = networks[0]
        self.relays = relays_of(first.circuit)
        self.closed_in = {index: first.branches[index].closed_in for index in first.by_role[Role.CONTACT]}
        self.closed = np.repeat([[branch.closed] for branch in first.branches], len(networks), axis=1)
        emf = np.repeat([[branch.emf] for branch in first.branches], len(networks), axis=1)
        self.with_role = {
            role: {index: np.ones(len(networks), dtype=bool) for index in first.by_role[role]} for role in Role
        }
        for fault, index, branch in self._others():
            self.closed[index, fault], emf[index, fault] = branch.closed, branch.emf
            self._set_role(fault, index, branch)
        with_emf = sorted({**self.with_role[Role.SOURCE], **self.with_role[Role.DIODE]})
        self.emf = {index: emf[index] for index in with_emf}
        self.rounding = rounding(float(np.abs(emf).sum(axis=0).max()))
        self.program = compiled(len(first.names), first.ends, frozenset(with_emf), lanes=True, ideal=first.pins)

    def _others(self) -> Iterator[tuple[int, int, Branch]]:
        """Yield the branches that are not the first network's own: most are shared by all networks."""
        own = self.network.branches
        for fault, network in enumerate(self.networks):
            for index, branch in enumerate(network.branches):
                if branch is not own[index]:
                    yield fault, index, branch

    def _set_role(self, fault: int, index: int, branch: Branch) -> None:
        """Note in which networks a branch has a role (a shorted motor is none)."""
        self.with_role[self.network.branches[index].role][index][fault] = False
        self.with_role[branch.role].setdefault(index, np.zeros(len(self.networks), dtype=bool))[fault] = True
        if branch.role is Role.CONTACT:
            self.closed_in[index] = branch.closed_in

    def has_role(self, index: int, role: Role) -> Truths:
        """Return for each network whether a branch has a role in it."""
        return self.with_role[role].get(index, np.zeros(len(self.networks), dtype=bool))

    def sticks(self, part: str) -> Truths:
        """Return for each network whether a switch sticks in it."""
        return np.array([part in network.sticking for network in self.networks])

    def part(self, index: int) -> Part:
        """Return the part that a branch belongs to."""
        return self.network.circuit.parts[self.network.branches[index].part]


class LaneWork:
    """Points that are being settled, as many at once as there are lanes."""

    def __init__(
        self, solver: LaneSolver, positions: Sequence[dict[str, str]], faults: Numbers, states: Numbers
    ) -> None:
        """Take the points: point ``i`` has network ``faults[i]`` and switch positions ``positions[states[i]]``."""
        self.solver, self.network = solver, solver.network
        self.faults, self.states = faults, states
        self.unsettled: list[int] = []
        self.begun = 0
        self.motor, self.coil = solver.with_role[Role.MOTOR], solver.with_role[Role.COIL]
        self.fuses = list(solver.with_role[Role.FUSE])
        # A diode begins off and contacts at rest; what a hand-operated contact does follows from fault and state.
        self.rest = solver.closed.copy()
        self.diode = {index: solver.closed[index] * which for index, which in solver.with_role[Role.DIODE].items()}
        for index, closed in self.diode.items():
            self.rest[index] -= closed  # exactly to zero; a shorted one stays
        self.by_hand: dict[int, Truths] = {}
        self.driven: dict[int, tuple[str, Floats, Floats]] = {}
        self._set_contacts(positions)
        lanes = min(AT_ONCE, len(faults))
        self.point: Numbers = np.zeros(lanes, dtype=np.intp)
        self.fault = self.point.copy()
        self.conductance = np.zeros((len(self.rest), lanes))
        self.emf = {index: np.zeros(lanes) for index in solver.emf}
        self.on = {index: np.zeros(lanes, dtype=bool) for index in self.diode}
        self.turning = {index: np.zeros(lanes, dtype=bool) for index in self.motor}
        self.relays = {name: np.zeros(lanes, dtype=bool) for name in solver.relays}
        self.last_pass = np.zeros(lanes, dtype=bool)
        self.rounds, self.flips = np.zeros(lanes, dtype=np.intp), np.zeros(lanes, dtype=np.intp)
        self._begin(np.arange(lanes))

    def _set_contacts(self, positions: Sequence[dict[str, str]]) -> None:
        """Work out where the contacts are: hand-operated ones by fault and state, relays' in and out by fault."""
        solver = self.solver
        at_rest = self.network.circuit.switch_positions(self.network.circuit.rest())
        for index, follows in solver.with_role[Role.CONTACT].items():
            closed_in, part = solver.closed_in[index], self.network.branches[index].part
            if part in solver.relays:
                whole = solver.closed[index]
                energised = np.where(follows & (ENERGISED not in closed_in), 0.0, whole)
                released = np.where(follows & (RELEASED not in closed_in), 0.0, whole)
                self.driven[index] = (part, energised, released)
                self.rest[index] = released
            else:
                closed = np.array([position[part] in closed_in for position in positions])
                sticks = solver.sticks(part)[:, None]  # one that sticks is still where it was at rest
                closed = np.where(sticks, at_rest[part] in closed_in, closed)
                self.by_hand[index] = closed | ~follows[:, None]

    def _begin(self, lanes: Numbers) -> None:
        """Let points that wait begin in free lanes."""
        points = np.arange(self.begun, self.begun + len(lanes))
        faults, states = self.faults[points], self.states[points]
        self.begun += len(lanes)
        self.point[lanes], self.fault[lanes] = points, faults
        for row, at_rest in zip(self.conductance, self.rest, strict=True):
            row[lanes] = at_rest[faults]
        for index, closed in self.by_hand.items():
            self.conductance[index, lanes] *= closed[faults, states]
        for index, emf in self.emf.items():
            emf[lanes] = self.solver.emf[index][faults]
        for flags in (*self.on.values(), *self.turning.values(), *self.relays.values(), self.last_pass):
            flags[lanes] = False
        self.rounds[lanes] = self.flips[lanes] = 0

    def settle(self) -> Iterator[Settlement]:
        """Make passes until every point has settled or is left to single points (``unsettled``)."""
        most_rounds = 2 * len(self.solver.relays) + 4
        most_flips = MOST_FLIPS_PER_DIODE * max(1, len(self.diode))
        while len(self.point):
            with np.errstate(invalid="ignore"):  # an ideal branch's share is asked for before it is put right
                *voltages, _ = self.solver.program(self.conductance, self.emf)
            volts: list[Floats] = [np.zeros(len(self.point)) if isinstance(one, int) else one for one in voltages]
            ending = self.last_pass.copy()
            calm = ~ending
            for rule in (
                self._flip_diodes,
                self._start_motors,
                self._move_relays,
                self._open_fuses,
                self._let_go_of_idle_diodes,
            ):
                calm &= ~rule(volts, calm)
            lost = (self.rounds > most_rounds) | (self.flips > most_flips)
            self.unsettled += self.point[lost].tolist()
            done = (calm | ending) & ~lost
            yield self._settled(volts, np.flatnonzero(done))
            self._make_room(np.flatnonzero(done | lost))

    def _settled(self, volts: list[Floats], lanes: Numbers) -> Settlement:
        points = self.point[lanes]
        return Settlement(
            lanes, points, self.faults[points], self.states[points], volts, self.conductance, self.emf, self.relays,
            self.turning,
        )  # fmt: skip

    def _make_room(self, free: Numbers) -> None:
        """Let points that wait begin in free lanes; where none waits any more, go on with fewer lanes."""
        waiting = len(self.faults) - self.begun
        self._begin(free[:waiting])
        if len(free) <= waiting:
            return
        keep = np.setdiff1d(np.arange(len(self.point)), free[waiting:], assume_unique=True)
        self.conductance = np.take(self.conductance, keep, axis=1)
        self.point, self.fault, self.last_pass = self.point[keep], self.fault[keep], self.last_pass[keep]
        self.rounds, self.flips = self.rounds[keep], self.flips[keep]
        self.emf = {index: emf[keep] for index, emf in self.emf.items()}
        self.on = {index: on[keep] for index, on in self.on.items()}
        self.turning = {index: turning[keep] for index, turning in self.turning.items()}
        self.relays = {name: state[keep] for name, state in self.relays.items()}

    # The rules: each returns in which calm lanes it changed something

    def _number(self, index: int, key: str) -> float:
        return self.solver.part(index).number(key)

    def _across(self, volts: list[Floats], index: int) -> Floats:
        a, b = self.network.ends[index]
        found: Floats = volts[a] - volts[b]
        return found

    def _set_diode(self, index: int, lanes: Numbers) -> None:
        """Turn a diode over in some lanes."""
        on = ~self.on[index][lanes]
        self.on[index][lanes] = on
        self.conductance[index, lanes] = np.where(on, self.diode[index][self.fault[lanes]], 0.0)
        self.emf[index][lanes] = np.where(on, -self._number(index, "forward_drop"), 0.0)

    def _flip_diodes(self, volts: list[Floats], calm: Truths) -> Truths:
        """Flip the first wrong diode of each lane."""
        busy = np.zeros_like(calm)
        for index, closed in self.diode.items():
            excess = self._across(volts, index) - self._number(index, "forward_drop")
            excess = np.where(self.on[index], -excess, excess)
            lanes = np.flatnonzero((excess > self.solver.rounding) & calm & ~busy)
            lanes = lanes[closed[self.fault[lanes]] > 0]
            if len(lanes):
                self._set_diode(index, lanes)
                busy[lanes] = True
        self.flips += busy
        return busy

    def _let_go_of_idle_diodes(self, volts: list[Floats], calm: Truths) -> Truths:
        """Open diodes that conduct nothing; one more pass then tells what floats."""
        busy = np.zeros_like(calm)
        for index in self.diode:
            excess = self._across(volts, index) - self._number(index, "forward_drop")
            idle = self.on[index] & calm & (np.abs(excess) <= self.solver.rounding)
            lanes = np.flatnonzero(idle)
            if len(lanes):
                self._set_diode(index, lanes)
                busy |= idle
        self.last_pass |= busy
        return busy

    def _start_motors(self, volts: list[Floats], calm: Truths) -> Truths:
        busy = np.zeros_like(calm)
        for index, is_motor in self.motor.items():
            running = self._number(index, "running")
            if not running:
                continue
            current = np.abs(self.conductance[index] * self._across(volts, index))
            starts = (current >= self._number(index, "turns_from")) & calm & ~self.turning[index]
            lanes = np.flatnonzero(starts)
            lanes = lanes[is_motor[self.fault[lanes]]]
            if len(lanes):
                turning = self.network.circuit.nominal / running - self._number(index, "resistance")
                self.conductance[index, lanes] = 1 / (1 / self.rest[index][self.fault[lanes]] + turning)
                self.turning[index][lanes] = True
                busy[lanes] = True
        return busy

    def _stop_motors(self, lanes: Numbers) -> None:
        for index, turning in self.turning.items():
            turning[lanes] = False
            self.conductance[index, lanes] = self.rest[index][self.fault[lanes]]

    def _move_relays(self, volts: list[Floats], calm: Truths) -> Truths:
        """Move all relays that must change, together."""
        busy = np.zeros_like(calm)
        after: dict[str, Truths] = {}
        for index, is_coil in self.coil.items():
            relay = self.solver.part(index)
            coil_volts = np.abs(self.conductance[index] * self._across(volts, index)) * relay.number("coil")
            pulls, holds = coil_volts >= relay.number("pull_in"), coil_volts > relay.number("drop_out")
            after[relay.name] = is_coil[self.fault] & (pulls | (holds & self.relays[relay.name]))
            busy |= (after[relay.name] != self.relays[relay.name]) & calm
        lanes = np.flatnonzero(busy)
        if len(lanes):
            for name, now in after.items():
                self.relays[name][lanes] = now[lanes]
            faults = self.fault[lanes]
            for index, (name, energised, released) in self.driven.items():
                now = self.relays[name][lanes]
                self.conductance[index, lanes] = np.where(now, energised[faults], released[faults])
            self._stop_motors(lanes)
            self.rounds[lanes] += 1
        return busy

    def _open_fuses(self, volts: list[Floats], calm: Truths) -> Truths:
        """Open the fuse furthest over its rating in each lane."""
        worst, which = np.full(len(calm), FUSE_OPENS_FROM), np.full(len(calm), -1)
        for index in self.fuses:
            over = np.abs(self.conductance[index] * self._across(volts, index)) / self._number(index, "rating")
            worse = calm & ((over > worst) | ((over == worst) & (which < 0)))
            if worse.any():
                worst, which = np.where(worse, over, worst), np.where(worse, index, which)
        opens: Truths = which >= 0
        lanes = np.flatnonzero(opens)
        if len(lanes):
            self.conductance[which[lanes], lanes] = 0.0
            self._stop_motors(lanes)
            self.rounds[lanes] = 0
        return opens


def between(network: Network, conductances: Floats, start: int, end: int) -> Floats:
    """Return the conductance in S between two nodes in every lane, exactly 0 where nothing joins them."""
    if start == end:
        return np.full(conductances.shape[1], np.inf)
    ends = (*network.ends, (start, end))
    probes = (start, end)
    program = compiled(len(network.names), ends, network.with_emf, probes, lanes=True, ideal=network.pins)
    with np.errstate(invalid="ignore"):
        *_, found = program([*conductances, 0.0], [0.0] * len(ends))
    return np.broadcast_to(np.asarray(found, dtype=float), conductances.shape[1:])
