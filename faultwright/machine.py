"""A machine in use: circuit, faults and moves, with everything that has a history.

Relays, blown fuses, sticking contacts and latched behaviours depend on what was done before; the rest
follows from the state. Faults that a repair has cured are gone for good; ``rest`` starts the operator's
day over (controls, fuses, relays, wiring), not the repairs.

While a known-good part stands in for one, all that a new part would cure is absent; joints and wires are as they were.
Either way the part comes off and everything settles before the other goes on. What lies aside keeps its faults, and a
fuse that it has blown. Replacing a part ends its substitution: the new one is its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from .assembly import build
from .behaviour import Seen, lamp_word, latched, plain
from .circuit import Circuit
from .clicks import clicks
from .electrics import Settled
from .faults import Fault, cures
from .moves import NOTHING, REPLACE, REST, RESTORE, SET, SUBSTITUTE, Move, parse_move
from .network import Wiring
from .solve import Solver


@dataclass(frozen=True, slots=True)
class Step:
    """What is seen and heard after a move: the controls, the behaviours, test lamps, buzzing relays, blown fuses.

    ``clicks`` are the relays and contactors heard to move on the way, in order, each with where it went.
    """

    move: Move
    state: Mapping[str, str]
    seen: Mapping[str, Seen]
    test_lamps: Mapping[str, str] = field(default_factory=dict)
    buzzes: tuple[str, ...] = ()
    blown: tuple[str, ...] = ()
    clicks: tuple[str, ...] = ()

    def as_json(self) -> dict[str, object]:
        """The step as the command line's JSON gives it."""
        return {
            "move": str(self.move),
            "state": dict(self.state),
            "seen": dict(self.seen),
            "test_lamps": dict(self.test_lamps),
            "buzzes": list(self.buzzes),
            "blown": list(self.blown),
            "clicks": list(self.clicks),
        }

    def remarks(self) -> list[str]:
        """What else is noticed, in words: relays that click or buzz, fuses that have blown, test lamps."""
        return [
            *(f"click: {click}" for click in self.clicks),
            *(f"{relay} buzzes" for relay in self.buzzes),
            *(f"{fuse} blown" for fuse in self.blown),
            *(f"test lamp {at} {how}" for at, how in self.test_lamps.items()),
        ]


class Machine:
    """A machine that can be operated, taken apart and repaired, one move after the other, from rest."""

    def __init__(self, circuit: Circuit, faults: Iterable[Fault] = ()) -> None:
        """Put the machine at rest with these faults in it."""
        self.circuit = circuit
        self.faults: tuple[Fault, ...] = tuple(faults)
        self._latches = bool(circuit.latched)
        self._to_rest()

    def _to_rest(self) -> None:
        self.state = self.circuit.rest()
        self.before = dict(self.state)
        self.held: dict[str, str] | None = None
        self.wiring = Wiring()
        self.disturbed = ""
        self.relays: dict[str, bool] = {}
        self.blown: frozenset[str] = frozenset()
        self.blown_aside: frozenset[str] = frozenset()
        self.latched: dict[str, bool] = {}
        self._on_the_way: tuple[Settled, ...] = ()
        self._solver: Solver | None = None
        self._settle()
        self._on_the_way = ()  # nobody hears a new day begin

    # The electrics as they stand

    def present(self) -> tuple[Fault, ...]:
        """Return the faults that are there now."""
        return there_now(self.faults, self.disturbed, self.wiring)

    @property
    def solver(self) -> Solver:
        """The solver of the network as wired now; kept until the wiring or the faults change."""
        if self._solver is None:
            self._solver = self.solver_with()
        return self._solver

    def solver_with(self, *, ammeter: tuple[str, float] | None = None, alone: str | None = None) -> Solver:
        """Return the solver of that network: the same for all machines that are wired alike, with what it knows."""
        return _solver_of(self.circuit, self.present(), self.wiring, ammeter, alone)

    def positions(self) -> dict[str, str]:
        """Return each switch's position: its control's, or the one before the last move where it sticks.

        While a control is on its way (``watch.py``), the positions that are held.
        """
        if self.held is not None:
            return self.held
        sticking = self.solver.network.sticking
        return {
            part.name: (self.before if part.name in sticking else self.state)[part.control]
            for part in self.circuit.parts.values()
            if part.control is not None
        }

    def _settle(self) -> None:
        self.settled: Settled = self.solver.settle(self.positions(), self.relays, self.blown)
        self.relays, self.blown = self.settled.relays, self.settled.blown
        self._on_the_way = (*self._on_the_way, self.settled)
        self._plainly_seen: dict[str, Seen] | None = None
        if self._latches:
            self.latched = latched(self.circuit.behaviour, self.plainly_seen, self.latched, self.state)

    @property
    def plainly_seen(self) -> Mapping[str, Seen]:
        """What is seen of the behaviours that follow a part; worked out when it is asked for."""
        if self._plainly_seen is None:
            self._plainly_seen = plain(self.solver, self.settled, self.circuit.behaviour)
        return self._plainly_seen

    def rewire(self, wiring: Wiring) -> None:
        """Put other wiring in place and let the machine settle, as one move does."""
        self.wiring = wiring
        self._solver = None
        self._settle()

    # Moves

    def move(self, move: Move | str) -> Step:
        """Make a move and return what is seen. Raises Refused for a move that the circuit does not have."""
        if isinstance(move, str):
            move = parse_move(move, self.circuit)
        self.make(move)
        return self.step(move)

    def make(self, move: Move) -> None:
        """Make a move."""
        if move.verb == REST:
            self._to_rest()
            return
        self.before = dict(self.state)
        self._on_the_way = ()
        if move.verb == SET:
            self.state[move.target] = move.value
            self._settle()
        else:
            self._take_apart_or_mend(move)

    def _take_apart_or_mend(self, move: Move) -> None:
        if move.verb == "disturb":
            self.disturbed = "" if move.target == NOTHING else move.target
        if move.verb == "repair":
            self.faults = tuple(fault for fault in self.faults if not cures(move.target, move.value, fault))
        self._change_fuse(move)
        for wiring in wirings_of(self.wiring, move):
            self.rewire(wiring)

    def _change_fuse(self, move: Move) -> None:
        """Another fuse is a sound one; the circuit's own keeps what it has blown while it lies aside."""
        its = frozenset({move.target})
        blown, aside = self.blown & its, self.blown_aside & its
        stands_in = move.target in self.wiring.substituted
        match move.verb:
            case "substitute":
                blown, aside = frozenset(), aside if stands_in else blown
            case "restore" if stands_in:
                blown, aside = aside, frozenset()
            case "repair" if move.value == REPLACE:
                blown = aside = frozenset()
        self.blown, self.blown_aside = self.blown - its | blown, self.blown_aside - its | aside

    def step(self, move: Move) -> Step:
        """Return what is seen now, as after ``move``."""
        return Step(
            move=move,
            state=dict(self.state),
            seen=self.seen(),
            test_lamps=self._test_lamps(),
            buzzes=tuple(sorted(self.settled.buzzing)),
            blown=tuple(sorted(self.blown)),
            clicks=clicks(self._on_the_way),
        )

    def seen(self) -> dict[str, Seen]:
        """Return what the machine is seen to do now, in the order of the file."""
        return {name: self.latched.get(name, self.plainly_seen.get(name)) for name in self.circuit.behaviour}

    def _test_lamps(self) -> dict[str, str]:
        network = self.solver.network
        lamps = {}
        for index, branch in enumerate(network.branches) if self.wiring.loads else ():
            if branch.name.startswith("load ") and branch.resistance is not None:
                share = abs(float(self.settled.current(index))) * branch.resistance / self.circuit.nominal
                lamps[branch.name.removeprefix("load ")] = lamp_word(share)
        return lamps

    def delivers(self) -> bool:
        """Say whether any source delivers current now: ohms are not to be taken then."""
        network = self.solver.network
        least = network.circuit.nominal * 1e-9  # less than through 1 GΩ is nothing, and covers rounding
        return any(
            branch.emf and float(self.settled.current(index)) > least for index, branch in enumerate(network.branches)
        )


@lru_cache(maxsize=256)
def _solver_of(
    circuit: Circuit, faults: tuple[Fault, ...], wiring: Wiring, ammeter: tuple[str, float] | None, alone: str | None
) -> Solver:
    return Solver(build(circuit, faults, wiring, ammeter=ammeter, alone=alone))


def there_now(faults: tuple[Fault, ...], disturbed: str, wiring: Wiring) -> tuple[Fault, ...]:
    """Return those of some faults that are there with one place disturbed and the wiring as it is.

    An intermittent one only while its place is disturbed; what a new part cures not while a known-good one stands in.
    """
    return tuple(
        fault
        for fault in faults
        if (not fault.disturbed or fault.place == disturbed)
        and not (fault.place in wiring.substituted and cures(fault.place, REPLACE, fault))
    )


def wirings_of(wiring: Wiring, move: Move) -> tuple[Wiring, ...]:
    """Return the wirings through which a move goes: a part that is exchanged comes off before the other goes on."""
    after = rewired(wiring, move)
    if move.verb == SUBSTITUTE or (move.verb == RESTORE and move.target in wiring.substituted):
        its = {move.target}
        return replace(after, unplugged=after.unplugged | its, substituted=after.substituted | its), after
    return (after,)


def rewired(wiring: Wiring, move: Move) -> Wiring:
    """Return the wiring after a move: what is taken off, put on, and for which parts a known-good one stands in."""
    off, bridges, loads, substituted = wiring.unplugged, wiring.bridges, wiring.loads, wiring.substituted
    pair = (move.target, move.value)
    match move.verb:
        case "unplug":
            off |= {move.target}
        case "mate":
            off -= {move.target}
        case "substitute":
            substituted |= {move.target}
        case "restore":
            substituted -= {move.target}
        case "repair" if move.value == REPLACE:
            substituted -= {move.target}
        case "bridge":
            bridges = _with(bridges, pair)
        case "unbridge":
            bridges = _without(bridges, pair)
        case "load":
            loads = _with(loads, pair)
        case "unload":
            loads = _without(loads, pair)
    return Wiring(off, bridges, loads, substituted)


def _with(pairs: tuple[tuple[str, str], ...], pair: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    return pairs if {*pair} in [{*other} for other in pairs] else (*pairs, pair)


def _without(pairs: tuple[tuple[str, str], ...], pair: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple(other for other in pairs if {*other} != {*pair})
