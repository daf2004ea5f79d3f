"""Settling a network: where the relays end, which fuses open.

The order follows the trade: at given contacts the electrics find their state (``electrics.py``); then all relays
that must change do so together, round by round (a repeated pattern is *buzzing*); then, since a fuse takes far
longer than a relay, the fuse furthest over its rating opens, and so on.

Termination is bounded by construction: the electrics as they say; relay patterns repeat at the latest after all
have been seen; fuses only open.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from .circuit import Circuit
from .electrics import Electrics, Settled
from .elimination import Program, compiled
from .network import OPEN, Network
from .parts import ENERGISED, RELEASED, Role

FUSE_OPENS_FROM = 1.35
"""Multiple of its rating from which a fuse opens (ISO 8820-3, the first with a longest time; from memory)."""

NOTABLY = 1 + 1e-9
"""Multiple from which one fuse is further over its rating than another: less is rounding, and the first one opens."""

MOST_REMEMBERED = 512
"""Settled networks that a solver keeps to hand out again; beyond that it forgets the oldest."""


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


class _Contact(NamedTuple):
    """A contact's branch, the switch or relay that moves it, and where that must be for it to be closed."""

    branch: int
    part: str
    closed_in: tuple[str, ...]


class _Coil(NamedTuple):
    """A relay's coil: its branch, the relay's name, the coil's Ω, and the coil volts of pull-in and drop-out."""

    branch: int
    relay: str
    resistance: float
    pull_in: float
    drop_out: float


class Solver:
    """Settles one network; what depends on the network alone is worked out once."""

    def __init__(self, network: Network) -> None:
        """Sort the branches by what they do."""
        self.network = network
        self.electrics = Electrics(network)
        parts, branches, by_role = network.circuit.parts, network.branches, network.by_role
        self.relays = relays_of(network.circuit)
        self.contacts = [
            _Contact(index, branches[index].part, branches[index].closed_in) for index in by_role[Role.CONTACT]
        ]
        self.coils = [
            _Coil(index, relay.name, relay.number("coil"), relay.number("pull_in"), relay.number("drop_out"))
            for index in by_role[Role.COIL]
            for relay in [parts[branches[index].part]]
        ]
        self.fuses = [
            (index, branches[index].part, parts[branches[index].part].number("rating")) for index in by_role[Role.FUSE]
        ]
        self._remembered: dict[object, Settled] = {}

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
        blown: frozenset[str] = frozenset(),
        meter: Meter | None = None,
    ) -> Settled:
        """Settle from the given relay states and blown fuses; ``positions`` maps each switch to its position."""
        state = {name: relays.get(name, False) for name in self.relays}
        asked = (tuple(positions.items()), tuple(state.values()), blown, meter)
        found = self._remembered.get(asked)
        if found is None:
            found = self._settle_fuses(positions, state, blown, meter)
            if len(self._remembered) >= MOST_REMEMBERED:
                del self._remembered[next(iter(self._remembered))]
            self._remembered[asked] = found
        return found

    def _settle_fuses(
        self, positions: Mapping[str, str], state: dict[str, bool], blown: frozenset[str], meter: Meter | None
    ) -> Settled:
        program = self.program(meter)
        course: list[dict[str, bool]] = []
        while True:
            settled = self._settle_relays(program, positions, state, blown, meter)
            course += settled.course
            worst = None if meter and meter.protects else self._worst_fuse(settled)
            if worst is None:
                settled.course = course
                return settled
            state = settled.relays
            blown |= {worst}

    def _worst_fuse(self, settled: Settled) -> str | None:
        """Return the fuse furthest over its rating, in whatever moment of a buzzing pattern, if one must open.

        Of equal ones in series it is the first in the file.
        """
        worst, furthest = None, FUSE_OPENS_FROM
        for moment in settled.pattern or [settled]:
            for index, fuse, rating in self.fuses:
                over = abs(moment.current(index)) / rating
                if over >= furthest and (worst is None or over > furthest * NOTABLY):
                    worst, furthest = fuse, over
        return worst

    def _settle_relays(
        self,
        program: Program,
        positions: Mapping[str, str],
        relays: dict[str, bool],
        blown: frozenset[str],
        meter: Meter | None,
    ) -> Settled:
        state = relays
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
                last.course = [moment.relays for moment in rounds]
                return last
            seen[key] = len(rounds)
            settled = self._settle_electrics(program, positions, state, blown, meter)
            rounds.append(settled)
            following = self._relays_after(settled)
            if following == state:
                settled.course = [moment.relays for moment in rounds]
                return settled
            state = following

    def _relays_after(self, settled: Settled) -> dict[str, bool]:
        """Return where each relay goes: in at ``pull_in``, out at ``drop_out``, as it was in between."""
        after = dict.fromkeys(self.relays, False)
        for index, relay, resistance, pull_in, drop_out in self.coils:
            volts = abs(settled.current(index)) * resistance
            after[relay] = volts >= pull_in or (settled.relays[relay] and volts > drop_out)
        return after

    def _settle_electrics(
        self,
        program: Program,
        positions: Mapping[str, str],
        relays: dict[str, bool],
        blown: frozenset[str],
        meter: Meter | None,
    ) -> Settled:
        """Settle the electrics at given contacts."""
        electrics = self.electrics
        passive = meter is not None and meter.passive
        conductances = list(electrics.passive_conductances if passive else electrics.conductances)
        for index, part, closed_in in self.contacts:
            position = (ENERGISED if relays[part] else RELEASED) if part in relays else positions[part]
            if position not in closed_in:
                conductances[index] = OPEN
        for index, fuse, _ in self.fuses:
            if fuse in blown:
                conductances[index] = OPEN
        emfs = list(electrics.emfs)
        if meter:
            conductances.append(meter.conductance)
            emfs.append(meter.emf)
        settled = Settled(self.network, (), conductances, emfs, relays, blown)
        electrics.settle(program, settled, meter.emf if meter else 0.0, passive=passive)
        return settled


def relays_of(circuit: Circuit) -> tuple[str, ...]:
    """Return the relays and contactors of a circuit."""
    return tuple(part.name for part in circuit.parts.values() if part.kind in ("relay", "contactor"))
