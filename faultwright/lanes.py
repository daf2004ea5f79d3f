"""Lanes: many operating points of one topology settled together, one numpy element a point.

The same compiled program as for one point, and the same rules as ``solve.py``: in each pass a lane flips its
first wrong diode, else starts its motors, else moves its relays, else opens its worst fuse, else has settled
and makes room for a point that waits. Points that do not settle so (relays that keep changing, filaments) are
left to the solver for single points, which names a buzzing pattern.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from .electrics import MOST_FLIPS_PER_DIODE
from .lane_networks import Floats, LaneSolver, Numbers, Pair, Truths
from .network import Network
from .parts import ENERGISED, RELEASED, Role
from .solve import FUSE_OPENS_FROM, NOTABLY

Rule = Callable[[list[Floats], Truths], Truths]
"""Voltages by node and which lanes are calm so far → in which of them something was changed."""

Watch = Callable[["LaneWork", Sequence[Floats]], None]
"""Is shown all lanes, with the voltages by node, in every pass: also those in which nothing has settled yet."""

AT_ONCE = 4096
"""Lanes in a pass: enough that numpy's own work outweighs its calls, few enough that its arrays stay in the cache."""


@dataclass(frozen=True)
class Settlement:
    """Points that settled in one pass, one element a point; good until the next pass is asked for.

    ``points`` are their numbers among all points, ``columns`` and ``states`` what they are points of. ``voltages`` in
    V, one array a node, are those of all lanes, as are conductances in S, emfs in V, relays, blown fuses, diodes that
    conduct and motors that turn: pick the settled ones by ``lanes``.
    """

    lanes: Numbers
    points: Numbers
    columns: Numbers
    states: Numbers
    voltages: Sequence[Floats]
    conductances: Floats
    emfs: Mapping[int, Floats]
    relays: Mapping[str, Truths]
    blown: Mapping[int, Truths]
    on: Mapping[int, Truths]
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


@dataclass(frozen=True)
class Start:
    """How points stand before they settle, one element a point: by relay, by the branch of a fuse, of what is on.

    What is not named stands at rest. On are diodes that conduct (which do in the end follows from the circuit alone;
    the nearer they start, the fewer passes it takes) and motors that turn.
    """

    relays: Mapping[str, Truths] = field(default_factory=dict)
    blown: Mapping[int, Truths] = field(default_factory=dict)
    on: Mapping[int, Truths] = field(default_factory=dict)


@dataclass(frozen=True)
class Leads:
    """A meter in every point: ``pairs`` of nodes that it is put to, and which of them it is in each point.

    ``conductance`` in S is the meter's own. ``passive`` says that its own source is all there is: lamps are cold and
    motors stand still. Its own fuse would go before one of the circuit's.
    """

    pairs: tuple[Pair, ...]
    which: Numbers
    conductance: float
    passive: bool = False


def used_rows(conductances: Floats, own: int, meters: Numbers) -> list[Floats | float]:
    """Return the conductances with a plain 0 for each meter, behind the network's ``own`` rows, that no lane is put to.

    A program adds a number sooner than a row of zeros.
    """
    used = set(meters.tolist())
    return [row if place < own or place in used else 0.0 for place, row in enumerate(conductances)]


class LaneWork:
    """Points that are being settled, as many at once as there are lanes."""

    def __init__(  # noqa: PLR0913 - what a point is, and where it begins
        self,
        solver: LaneSolver,
        positions: Sequence[Mapping[str, str]],
        columns: Numbers,
        states: Numbers,
        *,
        before: Sequence[Mapping[str, str]] | None = None,
        start: Start = Start(),
        leads: Leads | None = None,
        watch: Watch | None = None,
    ) -> None:
        """Take the points: point ``i`` is column ``columns[i]`` with switch positions ``positions[states[i]]``.

        ``before`` are the positions before the last move, where a switch that sticks still is; at first those at rest.
        """
        self.solver, self.network = solver, solver.network
        self.columns, self.states, self.start, self.leads, self.watch = columns, states, start, leads, watch
        self.program = solver.program(leads.pairs if leads else ())
        self.passive = leads is not None and leads.passive
        self.unsettled: list[int] = []
        self.begun = 0
        self.motor, self.coil = solver.with_role[Role.MOTOR], solver.with_role[Role.COIL]
        self.fuses = list(solver.with_role[Role.FUSE])
        # A diode begins off and contacts at rest; what a hand-operated contact does follows from column and state.
        self.rest = (solver.cold if self.passive else solver.closed).copy()
        self.diode = {index: solver.closed[index] * which for index, which in solver.with_role[Role.DIODE].items()}
        for index, closed in self.diode.items():
            self.rest[index] -= closed  # exactly to zero; a shorted one stays
        self.by_hand: dict[int, Truths] = {}
        self.driven: dict[int, tuple[str, Floats, Floats]] = {}
        self._set_contacts(positions, before)
        lanes = min(AT_ONCE, len(columns))
        self.point: Numbers = np.zeros(lanes, dtype=np.intp)
        self.column = self.point.copy()
        self.conductance = np.zeros((len(self.rest) + (len(leads.pairs) if leads else 0), lanes))
        self.emf = {index: np.zeros(lanes) for index in solver.emf}
        self.on = {index: np.zeros(lanes, dtype=bool) for index in self.diode}
        self.turning = {index: np.zeros(lanes, dtype=bool) for index in self.motor}
        self.blown = {index: np.zeros(lanes, dtype=bool) for index in self.fuses}
        self.relays = {name: np.zeros(lanes, dtype=bool) for name in solver.relays}
        self.meter: Numbers = np.full(lanes, len(self.rest))
        self.last_pass = np.zeros(lanes, dtype=bool)
        self.rounds, self.flips = np.zeros(lanes, dtype=np.intp), np.zeros(lanes, dtype=np.intp)
        self._begin(np.arange(lanes))

    def _set_contacts(self, positions: Sequence[Mapping[str, str]], before: Sequence[Mapping[str, str]] | None) -> None:
        """Work out where the contacts are: hand-operated ones by column and state, relays' in and out by column."""
        solver, circuit = self.solver, self.network.circuit
        stuck = before or [circuit.switch_positions(circuit.rest())] * len(positions)
        for index, follows in solver.with_role[Role.CONTACT].items():
            closed_in, part = solver.closed_in[index], self.network.branches[index].part
            if part in solver.relays:
                whole = self.rest[index].copy()
                energised = np.where(follows & (ENERGISED not in closed_in), 0.0, whole)
                released = np.where(follows & (RELEASED not in closed_in), 0.0, whole)
                self.driven[index] = (part, energised, released)
                self.rest[index] = released
            else:
                closed = np.array([position[part] in closed_in for position in positions])
                sticks = solver.sticks(part)[:, None]  # one that sticks is still where it was before the last move
                closed = np.where(sticks, np.array([position[part] in closed_in for position in stuck]), closed)
                self.by_hand[index] = closed | ~follows[:, None]

    def _begin(self, lanes: Numbers) -> None:
        """Let points that wait begin in free lanes."""
        if not len(lanes):
            return
        points = np.arange(self.begun, self.begun + len(lanes))
        columns, states = self.columns[points], self.states[points]
        self.begun += len(lanes)
        self.point[lanes], self.column[lanes] = points, columns
        for row, at_rest in zip(self.conductance, self.rest, strict=False):
            row[lanes] = at_rest[columns]
        for index, closed in self.by_hand.items():
            self.conductance[index, lanes] *= closed[columns, states]
        for index, emf in self.emf.items():
            emf[lanes] = self.solver.emf[index][columns]
        for flags in (
            *self.on.values(), *self.turning.values(), *self.blown.values(), *self.relays.values(), self.last_pass,
        ):  # fmt: skip
            flags[lanes] = False
        self.rounds[lanes] = self.flips[lanes] = 0
        self._stand_as_before(lanes, points, columns)

    def _stand_as_before(self, lanes: Numbers, points: Numbers, columns: Numbers) -> None:
        """Let points begin as they stood: relays, blown fuses, diodes; and put the meter in."""
        for name, pulled_in in self.start.relays.items():
            self.relays[name][lanes] = pulled_in[points]
        if self.start.relays:
            for index, (name, energised, released) in self.driven.items():
                now = self.relays[name][lanes]
                self.conductance[index, lanes] = np.where(now, energised[columns], released[columns])
        for index, open_now in self.start.blown.items():
            self.blown[index][lanes] = open_now[points]
            self.conductance[index, lanes] = np.where(open_now[points], 0.0, self.conductance[index, lanes])
        for index, on in self.start.on.items():
            which = lanes[on[points]]
            if index in self.diode:
                self._set_diode(index, which[self.diode[index][self.column[which]] > 0])
            elif len(which) and not self.passive:
                self._turn(index, which)
        if self.leads is not None:
            self.conductance[self.meter[lanes], lanes] = 0.0
            self.meter[lanes] = len(self.rest) + self.leads.which[points]
            self.conductance[self.meter[lanes], lanes] = self.leads.conductance

    def settle(self) -> Iterator[Settlement]:
        """Make passes until every point has settled or is left to single points (``unsettled``)."""
        most_rounds = 2 * len(self.solver.relays) + 4
        most_flips = MOST_FLIPS_PER_DIODE * max(1, len(self.diode))
        while len(self.point):
            with np.errstate(invalid="ignore"):  # an ideal branch's share is asked for before it is put right
                *voltages, _ = self.program(used_rows(self.conductance, len(self.rest), self.meter), self.emf)
            volts: list[Floats] = [np.zeros(len(self.point)) if isinstance(one, int) else one for one in voltages]
            if self.watch is not None:
                self.watch(self, volts)
            ending = self.last_pass.copy()
            calm = ~ending
            for rule in self._rules():
                calm &= ~rule(volts, calm)
            lost = (self.rounds > most_rounds) | (self.flips > most_flips)
            self.unsettled += self.point[lost].tolist()
            done = (calm | ending) & ~lost
            if done.any():
                yield self._settled(volts, np.flatnonzero(done))
            self._make_room(np.flatnonzero(done | lost))

    def _rules(self) -> Iterator[Rule]:
        yield self._flip_diodes
        if not self.passive:
            yield self._start_motors
        yield self._move_relays
        if self.leads is None:
            yield self._open_fuses
        yield self._let_go_of_idle_diodes

    def _settled(self, volts: list[Floats], lanes: Numbers) -> Settlement:
        points = self.point[lanes]
        return Settlement(
            lanes, points, self.columns[points], self.states[points], volts, self.conductance, self.emf, self.relays,
            self.blown, self.on, self.turning,
        )  # fmt: skip

    def _make_room(self, free: Numbers) -> None:
        """Let points that wait begin in free lanes; where none waits any more, go on with fewer lanes."""
        if not len(free):
            return
        waiting = len(self.columns) - self.begun
        self._begin(free[:waiting])
        if len(free) <= waiting:
            return
        keep = np.setdiff1d(np.arange(len(self.point)), free[waiting:], assume_unique=True)
        self.conductance = np.take(self.conductance, keep, axis=1)
        self.point, self.column, self.last_pass = self.point[keep], self.column[keep], self.last_pass[keep]
        self.rounds, self.flips, self.meter = self.rounds[keep], self.flips[keep], self.meter[keep]
        self.emf = {index: emf[keep] for index, emf in self.emf.items()}
        self.on = {index: on[keep] for index, on in self.on.items()}
        self.turning = {index: turning[keep] for index, turning in self.turning.items()}
        self.blown = {index: blown[keep] for index, blown in self.blown.items()}
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
        self.conductance[index, lanes] = np.where(on, self.diode[index][self.column[lanes]], 0.0)
        self.emf[index][lanes] = np.where(on, -self._number(index, "forward_drop"), 0.0)

    def _flip_diodes(self, volts: list[Floats], calm: Truths) -> Truths:
        """Flip the first wrong diode of each lane."""
        busy = np.zeros_like(calm)
        for index, closed in self.diode.items():
            excess = self._across(volts, index) - self._number(index, "forward_drop")
            excess = np.where(self.on[index], -excess, excess)
            lanes = np.flatnonzero((excess > self.solver.rounding) & calm & ~busy)
            lanes = lanes[closed[self.column[lanes]] > 0]
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
            if not self._number(index, "running"):
                continue
            current = np.abs(self.conductance[index] * self._across(volts, index))
            starts = (current >= self._number(index, "turns_from")) & calm & ~self.turning[index]
            lanes = np.flatnonzero(starts)
            lanes = lanes[is_motor[self.column[lanes]]]
            if len(lanes):
                self._turn(index, lanes)
                busy[lanes] = True
        return busy

    def _turn(self, index: int, lanes: Numbers) -> None:
        """Let a motor draw what it draws turning, in some lanes."""
        more = self.network.circuit.nominal / self._number(index, "running") - self._number(index, "resistance")
        self.conductance[index, lanes] = 1 / (1 / self.rest[index][self.column[lanes]] + more)
        self.turning[index][lanes] = True

    def _stop_motors(self, lanes: Numbers) -> None:
        for index, turning in self.turning.items():
            turning[lanes] = False
            self.conductance[index, lanes] = self.rest[index][self.column[lanes]]

    def _move_relays(self, volts: list[Floats], calm: Truths) -> Truths:
        """Move all relays that must change, together."""
        busy = np.zeros_like(calm)
        after: dict[str, Truths] = {}
        for index, is_coil in self.coil.items():
            relay = self.solver.part(index)
            coil_volts = np.abs(self.conductance[index] * self._across(volts, index)) * relay.number("coil")
            pulls, holds = coil_volts >= relay.number("pull_in"), coil_volts > relay.number("drop_out")
            after[relay.name] = is_coil[self.column] & (pulls | (holds & self.relays[relay.name]))
            busy |= (after[relay.name] != self.relays[relay.name]) & calm
        lanes = np.flatnonzero(busy)
        if len(lanes):
            for name, now in after.items():
                self.relays[name][lanes] = now[lanes]
            columns = self.column[lanes]
            for index, (name, energised, released) in self.driven.items():
                now = self.relays[name][lanes]
                self.conductance[index, lanes] = np.where(now, energised[columns], released[columns])
            self._stop_motors(lanes)
            self.rounds[lanes] += 1
        return busy

    def _open_fuses(self, volts: list[Floats], calm: Truths) -> Truths:
        """Open the fuse furthest over its rating in each lane."""
        worst, which = np.full(len(calm), FUSE_OPENS_FROM), np.full(len(calm), -1)
        for index in self.fuses:
            over = np.abs(self.conductance[index] * self._across(volts, index)) / self._number(index, "rating")
            worse = calm & np.where(which < 0, over >= worst, over > worst * NOTABLY)
            if worse.any():
                worst, which = np.where(worse, over, worst), np.where(worse, index, which)
        opens: Truths = which >= 0
        lanes = np.flatnonzero(opens)
        if len(lanes):
            self.conductance[which[lanes], lanes] = 0.0
            for index in self.fuses:
                self.blown[index][lanes[which[lanes] == index]] = True
            self._stop_motors(lanes)
            self.rounds[lanes] = 0
        return opens
