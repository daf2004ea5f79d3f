"""What can be said about the controls: positions joined by ``and``, ``or`` and ``not``, and how it is written.

A condition is judged in a state: a mapping from each control to its position. What a relay does can stand in the
state beside the controls (``relay K1`` → ``energised``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from .circuit import Circuit, Control, Part
from .parts import ENERGISED, RELEASED

ALWAYS, NEVER = "always", "never"
AND, OR, NOT = "and", "or", "not"


@dataclass(frozen=True, slots=True)
class Is:
    """Holds where a control stands in one of the positions."""

    control: str
    positions: tuple[str, ...]

    def holds(self, state: Mapping[str, str]) -> bool:
        """Say whether it holds in a state."""
        return state[self.control] in self.positions


@dataclass(frozen=True, slots=True)
class Not:
    """Holds where the other does not."""

    of: Expression

    def holds(self, state: Mapping[str, str]) -> bool:
        """Say whether it holds in a state."""
        return not self.of.holds(state)


@dataclass(frozen=True, slots=True)
class Every:
    """Holds where each of its parts does; without parts, always."""

    parts: tuple[Expression, ...] = ()

    def holds(self, state: Mapping[str, str]) -> bool:
        """Say whether it holds in a state."""
        return all(part.holds(state) for part in self.parts)


@dataclass(frozen=True, slots=True)
class Some:
    """Holds where one of its parts does, or more; without parts, never."""

    parts: tuple[Expression, ...] = ()

    def holds(self, state: Mapping[str, str]) -> bool:
        """Say whether it holds in a state."""
        return any(part.holds(state) for part in self.parts)


Expression = Is | Not | Every | Some


@dataclass(frozen=True, slots=True)
class Condition:
    """A statement about the controls: what was written, and what it means."""

    text: str
    expression: Expression

    def holds(self, state: Mapping[str, str]) -> bool:
        """Say whether the condition holds in a state of the controls."""
        return self.expression.holds(state)


State = TypeVar("State", bound=Mapping[str, str])


def first_wrong(condition: Condition, rows: Iterable[tuple[State, bool | None]]) -> State | None:
    """Return the first state in which a condition says something else than the rows, or None: it holds in all.

    A row is a state and whether it is so there; None says that the state alone does not tell, and refutes nothing.
    """
    return next((state for state, so in rows if so is not None and condition.holds(state) != so), None)


def relay_key(part: Part) -> str:
    """Return how a state names a relay beside the controls: ``relay K1``; no control's name has a space."""
    return f"{part.kind} {part.name}"


def with_relays(circuit: Circuit, state: Mapping[str, str], relays: Mapping[str, bool]) -> dict[str, str]:
    """Return a state of the controls with what the relays do in it; those not named are released."""
    found = dict(state)
    for part in circuit.parts.values():
        if part.kind in ("relay", "contactor"):
            found[relay_key(part)] = ENERGISED if relays.get(part.name) else RELEASED
    return found


Terms = tuple[tuple[Is, ...], ...]
"""A sum of terms: it holds where every condition of one term does; ``((),)`` is always, ``()`` never."""


def of_terms(terms: Terms) -> Expression:
    """Return the expression of a sum of terms, as plain as it can be written."""
    ways = tuple(term[0] if len(term) == 1 else Every(term) for term in terms)
    return ways[0] if len(ways) == 1 else Some(ways)


def factored(terms: Terms) -> Expression:
    """Return a sum of terms with what all of them share said once: ``key on and (gear neutral or stand up)``."""
    common = tuple(one for one in terms[0] if all(one in term for term in terms)) if len(terms) > 1 else ()
    rests = tuple(tuple(one for one in term if one not in common) for term in terms)
    return Every((*common, of_terms(rests))) if common and all(rests) else of_terms(terms)


def written(expression: Expression) -> str:
    """Return an expression as ``statements.py`` reads it: ``gear=neutral or clutch=pulled and stand=up``."""
    return _put(expression, _as_written, f" {OR} ")


def _as_written(one: Is) -> str:
    ways = [f"{one.control}={_quoted(position)}" for position in one.positions]
    return f" {OR} ".join(ways)


def _quoted(position: str) -> str:
    """Put a position in quotes whose own words or brackets would be read as the statement's."""
    plain = not {AND, OR, NOT} & set(position.casefold().split()) and not {"(", ")"} & set(position)
    return position if plain else f'"{position}"'


def in_words(expression: Expression, controls: Mapping[str, Control]) -> str:
    """Return an expression in the machine's own labels: ``gear lever neutral, or stand up and clutch lever pulled``."""

    def say(one: Is) -> str:
        label = controls[one.control].label if one.control in controls else one.control
        return f"{_lowered(label)} {f' {OR} '.join(one.positions)}"

    return _put(expression, say, f", {OR} ")


def _lowered(label: str) -> str:
    """Return a label as it stands inside a sentence; what begins with capitals (``PTO lever``) keeps them."""
    return label[:1].lower() + label[1:] if label[1:2].islower() else label


def _put(expression: Expression, say: Callable[[Is], str], joint: str, within: type[Expression] | None = None) -> str:
    """Write an expression out; what binds less than what it stands ``within`` goes into brackets."""
    match expression:
        case Every(()):
            return ALWAYS
        case Some(()):
            return NEVER
        case Not(of):
            return f"{NOT} {_put(of, say, f' {OR} ', Not)}"
        case Every(parts):
            text = f" {AND} ".join(_put(part, say, f" {OR} ", Every) for part in parts)
            return f"({text})" if within is Not else text
        case Some(parts):
            text = joint.join(_put(part, say, f" {OR} ", Some) for part in parts)
            return f"({text})" if within in (Every, Not) else text
        case Is(_, positions):
            text = say(expression)
            return f"({text})" if len(positions) > 1 and within in (Every, Not) else text
