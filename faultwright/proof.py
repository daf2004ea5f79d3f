"""Proof: the control states that show every permission and every refusal of a sound machine.

A control *permits* a behaviour in a state where moving that control alone would stop it, and *refuses* it in a
state where moving that control alone would start it. A repair is proved when each of these was seen.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from .behaviour import Seen
from .circuit import Circuit
from .machine import Machine
from .moves import control_moves

State = tuple[tuple[str, str], ...]
"""The controls and their positions, in the order of the file."""


@dataclass(frozen=True, slots=True)
class Fact:
    """That ``control`` permits (``on``) or refuses a behaviour."""

    behaviour: str
    control: str
    on: bool


@dataclass(frozen=True)
class Proof:
    """What there is to prove.

    ``table`` has what a sound machine shows in each state, from rest; ``shown_in`` the facts that each state shows;
    ``smallest`` few states that between them show every fact.
    """

    table: Mapping[State, Mapping[str, Seen]]
    shown_in: Mapping[State, frozenset[Fact]]
    smallest: tuple[State, ...]

    @property
    def facts(self) -> frozenset[Fact]:
        """Everything that there is to show."""
        return frozenset().union(*self.shown_in.values())

    def shows(self, state: Mapping[str, str], seen: Mapping[str, Seen]) -> frozenset[Fact]:
        """Return the facts that an observation in a state shows."""
        key = tuple(state.items())
        meant = self.table[key]
        return frozenset(
            fact
            for fact in self.shown_in[key]
            if fact.behaviour in seen and seen[fact.behaviour] == meant[fact.behaviour]
        )

    def where(self, fact: Fact) -> State:
        """Return a state that shows a fact."""
        return next(state for state, facts in self.shown_in.items() if fact in facts)


def is_on(seen: Seen) -> bool:
    """Say whether a behaviour is on: true, or lit."""
    return seen is True or seen == "lit"


def proof_of(circuit: Circuit) -> Proof:
    """Return what there is to prove on a sound machine with this circuit."""
    table: dict[State, Mapping[str, Seen]] = {}
    for state in circuit.states():
        machine = Machine(circuit)
        for move in control_moves(circuit, machine.state, state):
            machine.move(move)
        table[tuple(state.items())] = machine.seen()
    shown: dict[State, set[Fact]] = {state: set() for state in table}
    for here, seen in table.items():
        for control, other in _one_move_away(circuit, here):
            for name in circuit.behaviour:
                if is_on(seen[name]) and not is_on(table[other][name]):
                    shown[here].add(Fact(name, control, on=True))
                    shown[other].add(Fact(name, control, on=False))
    frozen = {state: frozenset(facts) for state, facts in shown.items()}
    return Proof(table, frozen, _few(frozen))


def _one_move_away(circuit: Circuit, state: State) -> Iterator[tuple[str, State]]:
    for name, control in circuit.controls.items():
        for position in control.positions:
            if (name, position) not in state:
                yield name, tuple((key, position if key == name else value) for key, value in state)


def _few(shown: Mapping[State, frozenset[Fact]]) -> tuple[State, ...]:
    """Choose states that show every fact: always the one that adds most, then without those no longer needed."""
    chosen: list[State] = []
    left = set().union(*shown.values())
    while left:
        best = max(shown, key=lambda state: len(shown[state] & left))
        chosen.append(best)
        left -= shown[best]
    for state in list(chosen):
        rest = [other for other in chosen if other != state]
        if _all_facts(shown, rest) == _all_facts(shown, list(shown)):
            chosen = rest
    return tuple(chosen)


def _all_facts(shown: Mapping[State, frozenset[Fact]], states: Sequence[State]) -> frozenset[Fact]:
    return frozenset().union(*(shown[state] for state in states))
