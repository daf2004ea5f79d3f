"""Permission: in which states of the controls something is so, read off the machine and told in the fewest words.

The settled machine is the truth: every behaviour in every control state, or where the meter beeps, or where a route
is closed. Where the state alone does not tell (a relay that holds itself in, a latch) it depends on what was done
before: there the thing is *permitted*, and not *certain*.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from .analysis_texts import text
from .assembly import build
from .behaviour import Seen
from .candidates import isolation
from .circuit import Circuit, Control
from .conditions import Condition, Every, Is, Terms, factored, first_wrong, in_words, with_relays
from .errors import Mistake, Refused, unknown
from .machine import Machine
from .meter import CONTINUITY, Probe, read
from .minimise import minimised
from .moves import control_moves
from .solve import Solver
from .state_table import every_state, state_table, ways_to_settle
from .statements import parse_condition

if TYPE_CHECKING:  # route sets are given here, not traced; tracing loads a library for graphs
    from .route_sets import RouteSet

Rows = tuple[tuple[Mapping[str, str], bool | None], ...]
"""Each state of the controls, and whether the thing is so there; None: it depends on what was done before."""


@dataclass(frozen=True, slots=True)
class Refutation:
    """A state in which a statement about a thing and the machine part: what the statement says, what is so there.

    ``does`` is None where it is so or not after what was done before.
    """

    about: str
    state: Mapping[str, str]
    says: bool
    does: bool | None

    def as_json(self) -> dict[str, object]:
        """The refutation as the command line's JSON gives it."""
        return {"about": self.about, "state": dict(self.state), "says": self.says, "does": self.does}

    def words(self, controls: Mapping[str, Control]) -> str:
        """Return it in words."""
        key = {True: "refuted.so", False: "refuted.not", None: "refuted.can"}[self.does]
        return text(key, about=self.about, state=_state_in_words(self.state, controls))


@dataclass(frozen=True)
class Permission:
    """In which states something is so. ``given`` are the controls that were held in one position."""

    about: str
    controls: Mapping[str, Control]
    rows: Rows
    given: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def permitted(self) -> Terms:
        """Where it is so, or can be, after what was done before; in the fewest terms."""
        return self._fewest([so is not False for _, so in self.rows])

    @cached_property
    def certain(self) -> Terms:
        """Where it is so whatever was done before; in the fewest terms."""
        return self._fewest([so is True for _, so in self.rows])

    def _fewest(self, so: Sequence[bool]) -> Terms:
        positions = {
            name: (self.given[name],) if name in self.given else control.positions
            for name, control in self.controls.items()
        }
        return minimised(positions, so)

    def check(self, statement: Condition, *, permits: bool = False) -> Refutation | None:
        """Return the first state that refutes a statement, or None: it is right in every state.

        A state that depends on what was done before refutes nothing, unless the statement is about what the machine
        ``permits``: there it must hold.
        """
        state = first_wrong(statement, [(state, True if so is None and permits else so) for state, so in self.rows])
        if state is None:
            return None
        return Refutation(self.about, state, statement.holds(state), next(so for row, so in self.rows if row == state))

    def as_json(self) -> dict[str, object]:
        """The permission as the command line's JSON gives it: each term maps controls to their positions."""
        return {
            "about": self.about,
            "given": dict(self.given),
            "permitted": _terms_as_json(self.permitted),
            "certain": _terms_as_json(self.certain),
            "states": [{"state": dict(state), "so": so} for state, so in self.rows],
            "words": self.words(),
        }

    def words(self) -> str:
        """Return it in words, in the machine's own labels."""
        permitted, certain = self._when(self.permitted), self._when(self.certain)
        key = "permission.plain" if permitted == certain else "permission.history"
        found = text(key, about=self.about, permitted=permitted, certain=certain)
        if not self.given:
            return found
        return text("permission.given", given=_state_in_words(self.given, self.controls), found=found)

    def _when(self, terms: Terms) -> str:
        if terms in ((), ((),)):
            return text("permission.always" if terms else "permission.never")
        return text("permission.when", condition=in_words(factored(terms), self.controls))


def _terms_as_json(terms: Terms) -> list[dict[str, list[str]]]:
    return [{one.control: list(one.positions) for one in term} for term in terms]


def _state_in_words(state: Mapping[str, str], controls: Mapping[str, Control]) -> str:
    return in_words(Every(tuple(Is(control, (position,)) for control, position in state.items())), controls)


def behaviour_permissions(circuit: Circuit, given: Mapping[str, str] | None = None) -> dict[str, Permission]:
    """Return, for every behaviour, in which states the machine is seen to do it; a lamp counts when lit.

    ``given`` holds controls in one position. Raises Refused for unknown ones, and for too many states.
    """
    mistakes = _mistakes_in(given or {}, circuit)
    if mistakes:
        raise Refused(mistakes)
    held = {name: replace(circuit.controls[name], positions=(position,)) for name, position in (given or {}).items()}
    rows = list(state_table(replace(circuit, controls={**circuit.controls, **held})))
    return {
        name: Permission(name, circuit.controls, tuple((row.state, _so(row.seen[name])) for row in rows), given or {})
        for name in circuit.behaviour
    }


def _so(seen: Seen) -> bool | None:
    return None if seen is None else seen is True or seen == "lit"


def _mistakes_in(given: Mapping[str, str], circuit: Circuit) -> list[Mistake]:
    """Say which of the given controls and positions the circuit does not have."""
    found: list[str] = []
    for name, position in given.items():
        if name not in circuit.controls:
            found.append(unknown("control", name, list(circuit.controls)))
        elif position not in circuit.controls[name].positions:
            found.append(f"control {name}: {unknown('position', position, circuit.controls[name].positions)}")
    return [Mistake(message, circuit.name) for message in found]


def check_statement(
    circuit: Circuit, statement: str, about: str, given: Mapping[str, str] | None = None, *, permits: bool = False
) -> Refutation | None:
    """Return the first state in which a statement about a behaviour is wrong, or None: it is right in every state.

    ``about`` names the behaviour; ``given`` and ``permits`` are as for :func:`behaviour_permissions` and
    :meth:`Permission.check`. Raises Refused with every mistake in what was written.
    """
    mistakes = _mistakes_in(given or {}, circuit)
    if about not in circuit.behaviour:
        mistakes.append(Mistake(unknown("behaviour", about, list(circuit.behaviour)), circuit.name))
    try:
        condition = parse_condition(statement, circuit)
    except Refused as error:
        raise Refused([*mistakes, *error.mistakes]) from None
    if mistakes:
        raise Refused(mistakes)
    return behaviour_permissions(circuit, given)[about].check(condition, permits=permits)


@lru_cache(maxsize=256)
def path_states(circuit: Circuit, between: tuple[str, str]) -> Sequence[tuple[Mapping[str, str], bool]]:
    """Return whether continuity beeps between two terminals of the sound, isolated circuit, for every state."""
    machine = Machine(circuit)
    for move in isolation(circuit):
        machine.move(move)
    found = []
    for state in every_state(circuit):
        for move in control_moves(circuit, machine.state, state):
            machine.move(move)
        found.append((state, bool(read(machine, Probe(CONTINUITY, *between)).beeps)))
    return found


def route_permissions(circuit: Circuit, sets: Sequence[RouteSet], *, isolated: bool = False) -> list[Permission]:
    """Return in which states one of each set's routes is closed, relays and fuses as the settled machine has them.

    ``isolated`` says that every source is off, so every relay is released and every fuse sound.
    """
    solver = Solver(build(circuit))
    rows: list[list[tuple[Mapping[str, str], bool | None]]] = [[] for _ in sets]
    for state in every_state(circuit):
        settled = [] if isolated else ways_to_settle(solver, state)
        stands = [(with_relays(circuit, state, one.relays), one.blown) for one in settled if not one.buzzing]
        if isolated:
            stands = [(with_relays(circuit, state, {}), frozenset())]
        for routes, row in zip(sets, rows, strict=True):
            found = {routes.holds(*stand) for stand in stands}
            row.append((state, found.pop() if len(found) == 1 else None))
    return [Permission(routes.name, circuit.controls, tuple(row)) for routes, row in zip(sets, rows, strict=True)]
