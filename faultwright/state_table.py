"""The symptom table: what is seen in every control state, and where that depends on history.

Where only a table is asked there is no history, so every position that relays, sticking contacts and
latches could hold is tried: none that lasts means buzzing, one is ordinary, several that are seen
differently depend on history.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product

from .assembly import build
from .behaviour import Seen, latched, plain
from .circuit import Circuit
from .electrics import Settled
from .errors import Mistake, Refused
from .faults import Fault
from .solve import Solver

MOST_STATES = 4096
MOST_RELAYS_TRIED_IN_FULL = 8


@dataclass(frozen=True, slots=True)
class Row:
    """One control state. ``seen`` is None for the behaviours named in ``depends_on_history`` only."""

    state: Mapping[str, str]
    seen: Mapping[str, Seen]
    depends_on_history: tuple[str, ...] = ()
    buzzes: tuple[str, ...] = ()

    def as_json(self) -> dict[str, object]:
        """The row as the command line's JSON gives it."""
        return {
            "state": dict(self.state),
            "seen": dict(self.seen),
            "depends_on_history": list(self.depends_on_history),
            "buzzes": list(self.buzzes),
        }


def state_table(circuit: Circuit, faults: Iterable[Fault] = ()) -> Iterator[Row]:
    """Yield a row for every control state, in the order of :meth:`~faultwright.circuit.Circuit.states`.

    Raises Refused where there are more than :data:`MOST_STATES` of them.
    """
    states = every_state(circuit)
    solver = Solver(build(circuit, (fault for fault in faults if not fault.disturbed)))
    for state in states:
        yield _row(solver, state)


def every_state(circuit: Circuit) -> Iterator[dict[str, str]]:
    """Return every control state. Raises Refused where there are more than :data:`MOST_STATES` of them."""
    if circuit.state_count > MOST_STATES:
        raise Refused(
            Mistake(f"{circuit.state_count} control states; a table may have {MOST_STATES} at most", circuit.name)
        )
    return circuit.states()


def ways_to_settle(solver: Solver, state: Mapping[str, str]) -> list[Settled]:
    """Return how the machine can stand in a control state, whatever was done before; buzzing only if nothing lasts."""
    settled = [
        solver.settle(positions, relays) for positions in _positions(solver, state) for relays in _starts(solver)
    ]
    return [one for one in settled if not one.buzzing] or settled


def _row(solver: Solver, state: dict[str, str]) -> Row:
    behaviours = solver.network.circuit.behaviour
    settled = ways_to_settle(solver, state)
    found: list[dict[str, Seen]] = []
    for one in settled:
        seen = plain(solver, one, behaviours)
        found += [{**seen, **latch} for latch in _lasting_latches(solver, seen, state)]
    values = {name: {seen[name] for seen in found} for name in behaviours}
    unclear = tuple(name for name, seen in values.items() if len(seen) > 1 or None in seen)
    return Row(
        state=state,
        seen={name: None if name in unclear else next(iter(seen)) for name, seen in values.items()},
        depends_on_history=unclear,
        buzzes=tuple(sorted({relay for one in settled for relay in one.buzzing})),
    )


def _positions(solver: Solver, state: Mapping[str, str]) -> Iterator[dict[str, str]]:
    """Yield the positions of the switches: a sticking one may stand in any of its control's positions."""
    circuit = solver.network.circuit
    switches = [part for part in circuit.parts.values() if part.control is not None]
    choices = [
        circuit.controls[part.control or ""].positions
        if part.name in solver.network.sticking
        else (state[part.control or ""],)
        for part in switches
    ]
    for chosen in product(*choices):
        yield {part.name: position for part, position in zip(switches, chosen, strict=True)}


def _starts(solver: Solver) -> Iterator[dict[str, bool]]:
    """Yield relay positions to settle from: all, or with many relays those with one or all of them in."""
    relays = solver.relays
    if len(relays) <= MOST_RELAYS_TRIED_IN_FULL:
        yield from (dict(zip(relays, chosen, strict=True)) for chosen in product((False, True), repeat=len(relays)))
        return
    yield dict.fromkeys(relays, False)
    yield dict.fromkeys(relays, True)
    yield from ({relay: relay == one for relay in relays} for one in relays)


def _lasting_latches(solver: Solver, seen: Mapping[str, Seen], state: Mapping[str, str]) -> Iterator[dict[str, bool]]:
    behaviours, names = solver.network.circuit.behaviour, solver.network.circuit.latched
    for chosen in product((False, True), repeat=len(names)):
        before = dict(zip(names, chosen, strict=True))
        if latched(behaviours, seen, before, state) == before:
            yield before
