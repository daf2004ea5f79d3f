"""Settling a network: which diodes conduct, which motors turn, where the relays end, which fuses open.

The order follows the trade: at given contacts the diodes and motors find their state; then all relays that
must change do so together, round by round (a repeated pattern is *buzzing*); then, since a fuse takes far
longer than a relay, the fuse furthest over its rating opens, and so on.

Termination is bounded by construction: diode flips by :data:`MOST_FLIPS_PER_DIODE`, then by trying every
pattern; motors only ever start; filaments warm in :data:`MOST_WARMINGS` steps at most; relay patterns repeat
at the latest after all have been seen; fuses only open.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from itertools import product
from typing import Any

from .circuit import Circuit
from .elimination import Program, compiled
from .errors import Mistake, Refused
from .network import OPEN, Branch, Network
from .parts import ENERGISED, RELEASED, Role, lamp_resistance

FUSE_OPENS_FROM = 1.35
"""Multiple of its rating from which a fuse opens (ISO 8820-3, the first with a longest time; from memory)."""

MOST_FLIPS_PER_DIODE = 16

MOST_DIODES_TRIED = 12
MOST_WARMINGS = 200
FILAMENT_EXPONENT = 0.45
"""R of a filament grows with V to this power, since I ∝ V^0.55 (from memory)."""
_WARM_ENOUGH = 1e-13

_ROUNDING = 1e-14
"""Share of the sum of emfs below which a voltage is rounding, not a voltage."""


@dataclass(frozen=True, slots=True)
class Meter:
    """The meter as a branch: nodes of its red and black lead, conductance in S, emf in V driving out of red.

    ``passive`` says that the meter's own source is small, so lamps are cold and motors stand still.
    ``protects`` that its own fuse would go first, so no fuse of the circuit opens.
    """

    red: int
    black: int
    conductance: float
    emf: float = 0.0
    passive: bool = False
    protects: bool = False


@dataclass(slots=True)
class Settled:
    """A settled network: node voltages in V, branch conductances in S and emfs in V, and what is on.

    ``between`` is the conductance in S between the meter's leads without the meter (None without a meter).
    ``buzzing`` holds the relays that never settle; ``pattern`` the settled electrics of each round of it.
    """

    network: Network
    voltages: tuple[Any, ...]
    conductances: list[Any]
    emfs: list[Any]
    relays: dict[str, bool]
    blown: frozenset[str]
    turning: frozenset[int] = frozenset()
    conducting: frozenset[int] = frozenset()
    between: Any = None
    buzzing: frozenset[str] = frozenset()
    pattern: list[Settled] = field(default_factory=list)

    def current(self, index: int) -> Any:  # noqa: ANN401 - float, or Fraction in the exact solution
        """Return the current in A through a branch, from its node ``a`` to ``b``."""
        a, b = self.network.ends[index]
        return self.conductances[index] * (self.voltages[a] + self.emfs[index] - self.voltages[b])

    def voltage(self, terminal: str) -> Any:  # noqa: ANN401 - float, or Fraction in the exact solution
        """Return the voltage in V of a terminal against FRAME."""
        return self.voltages[self.network.node[terminal]]


class Solver:
    """Settles one network; what depends on the network alone is worked out once."""

    def __init__(self, network: Network) -> None:
        """Sort the branches by what they do."""
        self.network = network
        self.contacts = network.by_role[Role.CONTACT]
        self.diodes = network.by_role[Role.DIODE]
        self.motors = network.by_role[Role.MOTOR]
        self.fuses = network.by_role[Role.FUSE]
        self.lamps = network.by_role[Role.LAMP]
        self.filaments = [
            index
            for index in self.lamps
            if self._part(index).values["filament"] == "on" and network.branches[index].resistance is not None
        ]
        self.coils = network.by_role[Role.COIL]
        self.relays = relays_of(network.circuit)
        branches = network.branches
        self.base = [OPEN if branch.role is Role.DIODE else branch.closed for branch in branches]
        self.passive_base = list(self.base)
        for index in self.lamps:
            self.passive_base[index] = branches[index].conductance(self._part(index).number("cold"))
        self.emfs = [branch.emf for branch in branches]
        self.rounding = rounding(sum(abs(emf) for emf in self.emfs))

    def _part(self, index: int) -> Any:  # noqa: ANN401 - Part; kept short for the many uses below
        return self.network.circuit.parts[self.network.branches[index].part]

    def program(self, meter: Meter | None) -> Program:
        """Return the compiled program, with the meter's branch behind the others if there is a meter."""
        network = self.network
        if meter is None:
            return compiled(len(network.names), network.ends, network.with_emf)
        ends = (*network.ends, (meter.red, meter.black))
        return compiled(len(network.names), ends, network.with_emf, (meter.red, meter.black))

    def settle(
        self,
        positions: Mapping[str, str],
        relays: Mapping[str, bool],
        blown: Collection[str] = (),
        meter: Meter | None = None,
    ) -> Settled:
        """Settle from the given relay states and blown fuses; ``positions`` maps each switch to its position."""
        program = self.program(meter)
        state = {name: relays.get(name, False) for name in self.relays}
        open_fuses = frozenset(blown)
        while True:
            settled = self._settle_relays(program, positions, state, open_fuses, meter)
            worst = None if meter and meter.protects else self._worst_fuse(settled)
            if worst is None:
                return settled
            state = settled.relays
            open_fuses |= {worst}

    def _worst_fuse(self, settled: Settled) -> str | None:
        """Return the fuse furthest over its rating, in whatever moment of a buzzing pattern, if one must open."""
        worst, furthest = None, FUSE_OPENS_FROM
        for moment in settled.pattern or [settled]:
            for index in self.fuses:
                over = abs(moment.current(index)) / self._part(index).number("rating")
                if over >= furthest and (worst is None or over > furthest):
                    worst, furthest = self.network.branches[index].part, over
        return worst

    def _settle_relays(
        self,
        program: Program,
        positions: Mapping[str, str],
        relays: Mapping[str, bool],
        blown: frozenset[str],
        meter: Meter | None,
    ) -> Settled:
        state = dict(relays)
        seen: dict[tuple[bool, ...], int] = {}
        rounds: list[Settled] = []
        while True:
            key = tuple(state.values())
            if key in seen:
                pattern = rounds[seen[key] :]
                last = pattern[-1]
                last.buzzing = frozenset(
                    name for name in self.relays if len({moment.relays[name] for moment in pattern}) > 1
                )
                last.pattern = pattern
                return last
            seen[key] = len(rounds)
            settled = self._settle_electrics(program, positions, state, blown, meter)
            rounds.append(settled)
            following = self._relays_after(settled)
            if following == state:
                return settled
            state = following

    def _relays_after(self, settled: Settled) -> dict[str, bool]:
        """Return where each relay goes: in at ``pull_in``, out at ``drop_out``, as it was in between."""
        after = dict.fromkeys(self.relays, False)
        for index in self.coils:
            relay = self._part(index)
            volts = abs(settled.current(index)) * relay.number("coil")
            held = settled.relays[relay.name] and volts > relay.number("drop_out")
            after[relay.name] = held or volts >= relay.number("pull_in")
        return after

    def _settle_electrics(
        self,
        program: Program,
        positions: Mapping[str, str],
        relays: Mapping[str, bool],
        blown: frozenset[str],
        meter: Meter | None,
    ) -> Settled:
        """Settle diodes and motors at given contacts."""
        branches = self.network.branches
        passive = meter is not None and meter.passive
        conductances = list(self.passive_base if passive else self.base)
        for index in self.contacts:
            branch = branches[index]
            part = branch.part
            position = (ENERGISED if relays[part] else RELEASED) if part in relays else positions[part]
            if position not in branch.closed_in:
                conductances[index] = OPEN
        for index in self.fuses:
            if branches[index].part in blown:
                conductances[index] = OPEN
        emfs = list(self.emfs)
        if meter:
            conductances.append(meter.conductance)
            emfs.append(meter.emf)
        settled = Settled(self.network, (), conductances, emfs, dict(relays), blown)
        rounding = self.rounding + (_ROUNDING * abs(meter.emf) if meter else 0.0)
        for _ in range(MOST_WARMINGS + len(self.motors)):
            self._settle_diodes(program, settled, rounding)
            if passive or not (self._start_motors(settled) or self._warm_filaments(settled)):
                break
        self._let_go_of_idle_diodes(program, settled, rounding)
        return settled

    def _start_motors(self, settled: Settled) -> bool:
        """Start the motors that stand still with enough current to turn and draw another current then."""
        starting = [
            index
            for index in self.motors
            if index not in settled.turning
            and self._part(index).number("running")
            and abs(settled.current(index)) >= self._part(index).number("turns_from")
        ]
        for index in starting:
            running = self.network.circuit.nominal / self._part(index).number("running")
            settled.conductances[index] = self.network.branches[index].conductance(running)
        settled.turning |= frozenset(starting)
        return bool(starting)

    def _warm_filaments(self, settled: Settled) -> bool:
        """Bring every filament to the resistance of its voltage; say whether any is still on its way.

        I ∝ V^0.55, so R ∝ V^0.45: each step takes less than half of the way that is left to go.
        """
        warming = False
        for index in self.filaments:
            lamp, branch = self._part(index), self.network.branches[index]
            now = element_resistance(settled, index)
            share = float(abs(settled.current(index))) * now / lamp.number("voltage")
            after = max(lamp.number("cold"), lamp_resistance(lamp) * share**FILAMENT_EXPONENT)
            if abs(after - now) > _WARM_ENOUGH * now:
                settled.conductances[index] = branch.conductance(after)
                warming = True
        return warming

    # Diodes

    def _run(self, program: Program, settled: Settled) -> None:
        *voltages, between = program(settled.conductances, settled.emfs)
        settled.voltages, settled.between = tuple(voltages), between

    def _set_diode(self, settled: Settled, index: int, *, on: bool) -> None:
        branch = self.network.branches[index]
        settled.conductances[index] = branch.closed if on else OPEN
        settled.emfs[index] = -self._part(index).number("forward_drop") if on else 0.0
        settled.conducting = settled.conducting | {index} if on else settled.conducting - {index}

    def _wrong(self, settled: Settled, index: int, rounding: float) -> bool:
        """Say whether a diode's state contradicts its voltage: off above its drop, or on with current backwards."""
        a, b = self.network.ends[index]
        excess = settled.voltages[a] - settled.voltages[b] - self._part(index).number("forward_drop")
        if self.network.branches[index].resistance is None:
            return False
        return bool(excess < -rounding) if index in settled.conducting else bool(excess > rounding)

    def _settle_diodes(self, program: Program, settled: Settled, rounding: float) -> None:
        """Flip the first wrong diode until none is (Murty's least-index rule).

        After a bounded number of flips try every pattern; over 4,000 random circuits that was never needed.
        Raises Refused, naming the diodes, where none fits or there are too many to try.
        """
        self._run(program, settled)
        for _ in range(MOST_FLIPS_PER_DIODE * len(self.diodes) + 1):
            index = next((index for index in self.diodes if self._wrong(settled, index, rounding)), None)
            if index is None:
                return
            self._set_diode(settled, index, on=index not in settled.conducting)
            self._run(program, settled)
        count = len(self.diodes)
        for pattern in product((False, True), repeat=count) if count <= MOST_DIODES_TRIED else ():
            for index, on in zip(self.diodes, pattern, strict=True):
                self._set_diode(settled, index, on=on)
            self._run(program, settled)
            if not any(self._wrong(settled, index, rounding) for index in self.diodes):
                return
        names = ", ".join(self.network.branches[index].part for index in self.diodes)
        raise Refused(Mistake(f"these diodes find no state in which all agree: {names}", self.network.circuit.name))

    def _let_go_of_idle_diodes(self, program: Program, settled: Settled, rounding: float) -> None:
        """At zero current a diode is off: open those that conduct nothing, so that floating is seen as such."""
        ends, volts = self.network.ends, settled.voltages
        idle = [
            index
            for index in settled.conducting
            if abs(volts[ends[index][0]] + settled.emfs[index] - volts[ends[index][1]]) <= rounding
        ]
        for index in idle:
            self._set_diode(settled, index, on=False)
        if idle:
            self._run(program, settled)


def rounding(emfs: float) -> float:
    """Return the V below which a voltage is rounding, where all emfs together are ``emfs`` V."""
    return _ROUNDING * (1 + emfs)


def relays_of(circuit: Circuit) -> tuple[str, ...]:
    """Return the relays and contactors of a circuit."""
    return tuple(part.name for part in circuit.parts.values() if part.kind in ("relay", "contactor"))


def element_resistance(settled: Settled, index: int) -> float:
    """Return the resistance in Ω that a branch's element has now, without what is in series; 0 if interrupted."""
    conductance = float(settled.conductances[index])
    return 1 / conductance - settled.network.branches[index].series if conductance else 0.0


def turns(settled: Settled, index: int, branch: Branch) -> bool:
    """Say whether a motor turns: it has started, or takes enough current where it only has a winding."""
    motor = settled.network.circuit.parts[branch.part]
    return index in settled.turning or abs(settled.current(index)) >= motor.number("turns_from")
