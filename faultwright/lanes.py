"""Lanes: many operating points of one topology settled together, one numpy element a point.

The same compiled program as for one point, and the same rules as ``solve.py``: in each pass a lane flips its
first wrong diode, else starts its motors, else moves its relays, else opens its worst fuse, else has settled
and drops out. Lanes that do not settle so (relays that keep changing, filaments) are left to the solver for
single points, which names a buzzing pattern.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .circuit import Part
from .elimination import compiled
from .network import Network
from .parts import ENERGISED, RELEASED, Role
from .solve import FUSE_OPENS_FROM, MOST_FLIPS_PER_DIODE, relays_of, rounding

Floats = NDArray[np.float64]
Truths = NDArray[np.bool_]
Numbers = NDArray[np.intp]


@dataclass
class Settlement:
    """Lanes that settled in one pass, one element a lane.

    Their numbers and faults, node voltages in V, branch conductances in S, emfs in V, relays, turning motors.
    """

    lanes: Numbers
    faults: Numbers
    voltages: list[Floats]
    conductances: Floats
    emfs: dict[int, Floats]
    relays: dict[str, Truths]
    turning: dict[int, Truths]

    def current(self, network: Network, index: int) -> Floats:
        """Return the current in A through a branch, from its node ``a`` to ``b``."""
        a, b = network.ends[index]
        driven = self.voltages[a] - self.voltages[b]
        if index in self.emfs:
            driven = driven + self.emfs[index]
        found: Floats = self.conductances[index] * driven
        return found


class LaneSolver:
    """Networks that share one topology, one a fault, and what is worked out once for all their lanes."""

    def __init__(self, networks: Sequence[Network]) -> None:
        """Take one network a fault; all have the same branches between the same nodes."""
        self.networks = networks
        self.network = first = networks[0]
        self.program = compiled(len(first.names), first.ends, first.with_emf, lanes=True, ideal=first.pins)
        self.rounding = max(map(rounding, networks))
        self.relays = relays_of(first.circuit)
        self.closed = np.array([[branch.closed for branch in network.branches] for network in networks]).T
        self.with_role = {role: self._with_role(role) for role in Role}

    def _with_role(self, role: Role) -> dict[int, Truths]:
        """Return the branches that have a role in any network, and in which (a shorted motor is none)."""
        numbers = sorted({index for network in self.networks for index in network.by_role[role]})
        return {
            index: np.array([network.branches[index].role is role for network in self.networks]) for index in numbers
        }

    def has_role(self, index: int, role: Role) -> Truths:
        """Return for each network whether a branch has a role in it."""
        return self.with_role[role].get(index, np.zeros(len(self.networks), dtype=bool))

    def sticks(self, part: str) -> Truths:
        """Return for each network whether a switch sticks in it."""
        return np.array([part in network.sticking for network in self.networks])

    def part(self, index: int) -> Part:
        """Return the part that a branch belongs to."""
        return self.network.circuit.parts[self.network.branches[index].part]

    def closed_in(self, index: int) -> tuple[str, ...]:
        """Return the positions in which a contact is closed, from a network in which it is one."""
        return next(network.branches[index].closed_in for network in self.networks if network.branches[index].closed_in)


class LaneWork:
    """The lanes that are still being settled; :meth:`settle` hands them out as they settle."""

    def __init__(
        self, solver: LaneSolver, positions: Sequence[dict[str, str]], faults: Numbers, states: Numbers
    ) -> None:
        """Start from rest; lane ``i`` has network ``faults[i]`` and switch positions ``positions[states[i]]``."""
        self.solver, self.network = solver, solver.network
        count = len(faults)
        self.lanes: Numbers = np.arange(count)
        self.faults = faults
        self.rest = solver.network.circuit.switch_positions(solver.network.circuit.rest())
        self.conductance = np.take(solver.closed, faults, axis=1)
        self.emf: dict[int, Floats] = {
            index: np.array([network.branches[index].emf for network in solver.networks])[faults]
            for index in solver.network.with_emf
        }
        roles = {role: {i: which[faults] for i, which in found.items()} for role, found in solver.with_role.items()}
        self.motor, self.coil = roles[Role.MOTOR], roles[Role.COIL]
        self.relays = {name: np.zeros(count, dtype=bool) for name in solver.relays}
        self.driven: dict[int, tuple[str, Floats, Floats]] = {}
        self._set_contacts(roles[Role.CONTACT], positions, states)
        self.diode = {index: self.conductance[index] * is_diode for index, is_diode in roles[Role.DIODE].items()}
        for index, closed in self.diode.items():
            self.conductance[index] -= closed  # exactly to zero: a diode begins off; a shorted one stays
        self.on = {index: np.zeros(count, dtype=bool) for index in self.diode}
        self.still = {index: self.conductance[index].copy() for index in self.motor}
        self.turning = {index: np.zeros(count, dtype=bool) for index in self.motor}
        self.fuses = list(roles[Role.FUSE])
        self.rounds = np.zeros(count, dtype=np.intp)
        self.flips = np.zeros(count, dtype=np.intp)
        self.last_pass = np.zeros(count, dtype=bool)
        self.unsettled: list[int] = []

    def _set_contacts(self, contacts: dict[int, Truths], positions: Sequence[dict[str, str]], states: Numbers) -> None:
        """Close and open the contacts: hand-operated ones for good, relays' as released."""
        for index, follows in contacts.items():
            closed_in, part = self.solver.closed_in(index), self.network.branches[index].part
            if part in self.relays:
                whole = self.conductance[index].copy()
                energised = np.where(follows & (ENERGISED not in closed_in), 0.0, whole)
                released = np.where(follows & (RELEASED not in closed_in), 0.0, whole)
                self.driven[index] = (part, energised, released)
                self.conductance[index] = released
            else:
                closed = np.array([position[part] in closed_in for position in positions])[states]
                sticks = self.solver.sticks(part)
                if sticks.any():  # one that sticks is still where it was at rest
                    closed = np.where(sticks[self.faults], self.rest[part] in closed_in, closed)
                self.conductance[index] *= closed | ~follows

    def settle(self) -> list[Settlement]:
        """Make passes until every lane has settled or is left to single points (``unsettled``)."""
        most_rounds = 2 * len(self.solver.relays) + 4
        most_flips = MOST_FLIPS_PER_DIODE * max(1, len(self.diode))
        found = []
        while len(self.lanes):
            with np.errstate(invalid="ignore"):  # an ideal branch's share is asked for before it is put right
                *voltages, _ = self.solver.program(self.conductance, self.emf)
            volts: list[Floats] = [np.zeros(len(self.lanes)) if isinstance(one, int) else one for one in voltages]
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
            self.unsettled += self.lanes[lost].tolist()
            done = (calm | ending) & ~lost
            found.append(self._settled(volts, np.flatnonzero(done)))
            self._keep(np.flatnonzero(~(done | lost)))
        return found

    def _number(self, index: int, key: str) -> float:
        return self.solver.part(index).number(key)

    def _across(self, volts: list[Floats], index: int) -> Floats:
        a, b = self.network.ends[index]
        found: Floats = volts[a] - volts[b]
        return found

    def _set_diode(self, index: int, flip: Numbers) -> None:
        on = ~self.on[index][flip]
        self.on[index][flip] = on
        self.conductance[index, flip] = np.where(on, self.diode[index][flip], 0.0)
        self.emf[index][flip] = np.where(on, -self._number(index, "forward_drop"), 0.0)

    def _flip_diodes(self, volts: list[Floats], calm: Truths) -> Truths:
        """Flip the first wrong diode of each lane."""
        busy = np.zeros_like(calm)
        for index, closed in self.diode.items():
            excess = self._across(volts, index) - self._number(index, "forward_drop")
            excess = np.where(self.on[index], -excess, excess)
            wrong = (excess > self.solver.rounding) & calm & ~busy & (closed > 0)
            flip = np.flatnonzero(wrong)
            if len(flip):
                self._set_diode(index, flip)
                busy |= wrong
        self.flips += busy
        return busy

    def _let_go_of_idle_diodes(self, volts: list[Floats], calm: Truths) -> Truths:
        """Open diodes that conduct nothing; one more pass then tells what floats."""
        busy = np.zeros_like(calm)
        for index in self.diode:
            if self.on[index].any():
                excess = self._across(volts, index) - self._number(index, "forward_drop")
                idle = self.on[index] & calm & (np.abs(excess) <= self.solver.rounding)
                self._set_diode(index, np.flatnonzero(idle))
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
            starts = (current >= self._number(index, "turns_from")) & calm & is_motor & ~self.turning[index]
            which = np.flatnonzero(starts)
            if len(which):
                turning = self.network.circuit.nominal / running - self._number(index, "resistance")
                self.conductance[index, which] = 1 / (1 / self.still[index][which] + turning)
                self.turning[index][which] = True
                busy |= starts
        return busy

    def _stop_motors(self, which: Numbers) -> None:
        for index, still in self.still.items():
            self.turning[index][which] = False
            self.conductance[index, which] = still[which]

    def _move_relays(self, volts: list[Floats], calm: Truths) -> Truths:
        """Move all relays that must change, together."""
        busy = np.zeros_like(calm)
        after: dict[str, Truths] = {}
        for index, is_coil in self.coil.items():
            relay = self.solver.part(index)
            coil_volts = np.abs(self.conductance[index] * self._across(volts, index)) * relay.number("coil")
            pulls, holds = coil_volts >= relay.number("pull_in"), coil_volts > relay.number("drop_out")
            after[relay.name] = is_coil & (pulls | (holds & self.relays[relay.name]))
            busy |= (after[relay.name] != self.relays[relay.name]) & calm
        which = np.flatnonzero(busy)
        if len(which):
            for name, now in after.items():
                self.relays[name][which] = now[which]
            for index, (name, energised, released) in self.driven.items():
                now = self.relays[name][which]
                self.conductance[index, which] = np.where(now, energised[which], released[which])
            self._stop_motors(which)
            self.rounds[which] += 1
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

    def _settled(self, volts: list[Floats], which: Numbers) -> Settlement:
        return Settlement(
            lanes=self.lanes[which],
            faults=self.faults[which],
            voltages=[one[which] for one in volts],
            conductances=np.take(self.conductance, which, axis=1),
            emfs={index: emf[which] for index, emf in self.emf.items()},
            relays={name: state[which] for name, state in self.relays.items()},
            turning={index: state[which] for index, state in self.turning.items()},
        )

    def _keep(self, which: Numbers) -> None:
        """Go on with some of the lanes."""
        self.conductance = np.take(self.conductance, which, axis=1)
        self.lanes, self.rounds, self.flips = self.lanes[which], self.rounds[which], self.flips[which]
        self.faults, self.last_pass = self.faults[which], self.last_pass[which]
        self.emf = {index: emf[which] for index, emf in self.emf.items()}
        self.diode = {index: closed[which] for index, closed in self.diode.items()}
        self.still = {index: closed[which] for index, closed in self.still.items()}
        self.motor, self.coil, self.on, self.turning = (
            {index: state[which] for index, state in states.items()}
            for states in (self.motor, self.coil, self.on, self.turning)
        )
        self.relays = {name: state[which] for name, state in self.relays.items()}
        self.driven = {
            index: (name, energised[which], released[which])
            for index, (name, energised, released) in self.driven.items()
        }


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
