"""What a fault changes: which functions it makes the machine refuse or permit, in which states, and what shows it.

A point is the machine brought from rest to a control state in one move, as in the dictionary. Where the sound machine
itself is unclear (a relay buzzes) nothing is compared.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from functools import cached_property

from .analysis_texts import text
from .can_hurt import functions_that_hurt, loads_that_hurt
from .circuit import Circuit
from .conditions import Every, Is, in_words
from .dictionary import Block, dictionary
from .faults import Fault
from .lane_seen import UNCLEAR
from .some_states import states_in_words
from .state_table import every_state, state_table


class Change(StrEnum):
    """What a fault does to a behaviour in a state."""

    REFUSED = "refused"
    WEAKENED = "weakened"
    PERMITTED = "permitted"


class Level(IntEnum):
    """Where a fault is first seen, from what is done every day to what nobody does unless asked."""

    ORDINARY = 1
    ROUTINE = 2
    EVERY = 3

    @property
    def words(self) -> str:
        """The level in words: ``ordinary use``."""
        return text(f"single.level.{self.name.lower()}")


@dataclass(frozen=True, slots=True)
class Effect:
    """One change of one behaviour, in states by number.

    ``once_begun`` says that it takes moves before: what should go on by itself does not, or does and should not.
    """

    behaviour: str
    change: Change
    states: tuple[int, ...]
    once_begun: bool = False


@dataclass(frozen=True, slots=True)
class Revealed:
    """The level at which a fault is first seen, a state in which it is, by number, and the effect that is seen."""

    level: Level
    state: int
    effect: Effect


def change(sound: int, now: int) -> Change | None:
    """Return how a code of the dictionary differs from the sound machine's, None where it does not."""
    if sound in (UNCLEAR, now):
        return None
    if now == UNCLEAR:
        return Change.REFUSED if sound else Change.PERMITTED
    if now > sound:
        return Change.PERMITTED
    return Change.WEAKENED if now else Change.REFUSED


class SoundMachine:
    """The sound machine in every control state, against which faulty ones are held."""

    def __init__(self, circuit: Circuit) -> None:
        """Work out what the sound machine does. Raises Refused where there are too many control states."""
        self.circuit = circuit
        self.states = list(every_state(circuit))
        self.block = next(dictionary(circuit, [()]))
        self.rows = list(state_table(circuit))

    @cached_property
    def loads(self) -> tuple[str, ...]:
        """What can hurt, and what leads to it."""
        return loads_that_hurt(self.circuit)

    @cached_property
    def hurting(self) -> frozenset[str]:
        """The behaviours that are functions which can hurt."""
        return functions_that_hurt(self.circuit, self.loads)

    # What a fault changes

    def effects(self, block: Block, number: int) -> tuple[Effect, ...]:
        """Return what a fault of a block changes, behaviour by behaviour."""
        found: dict[tuple[str, Change], list[int]] = {}
        for name, codes in block.seen.items():
            pairs = zip(self.block.seen[name][0].tolist(), codes[number].tolist(), strict=True)
            for state, (sound, now) in enumerate(pairs):
                what = change(sound, now)
                if what is not None:
                    found.setdefault((name, what), []).append(state)
        return tuple(Effect(name, what, tuple(states)) for (name, what), states in found.items())

    def effects_once_begun(self, fault: Fault) -> tuple[Effect, ...]:
        """Return what a fault changes in what can be held after other moves, as in the symptom table."""
        if not any(row.depends_on_history for row in self.rows):
            return ()
        found: dict[tuple[str, Change], list[int]] = {}
        for state, (row, faulty) in enumerate(zip(self.rows, state_table(self.circuit, [fault]), strict=True)):
            for name in self.circuit.behaviour:
                can, still_can = (one.seen[name] not in (False, "off") for one in (row, faulty))
                if can != still_can:
                    found.setdefault((name, Change.REFUSED if can else Change.PERMITTED), []).append(state)
        return tuple(Effect(name, what, tuple(states), once_begun=True) for (name, what), states in found.items())

    # What shows it

    @cached_property
    def levels(self) -> Mapping[Level, tuple[int, ...]]:
        """The states of each level.

        Ordinary use is the machine at rest, every state in which a function that can hurt works or goes on (where
        the circuit has none, any behaviour), and the same with every control let go that springs back. Nobody holds
        such a control where that does nothing. The routine check is each of the working states with one control
        after the other tried in its other positions.
        """
        functions = self.hurting or frozenset(self.circuit.behaviour)
        working = [row.state for row in self.rows if any(row.seen[name] not in (False, "off") for name in functions)]
        let_go = [{**state, **self._springs} for state in working]
        tried = [
            {**state, control.name: position}
            for state in working
            for control in self.circuit.controls.values()
            for position in control.positions
        ]
        used = [state for state in working if not self._holds_for_nothing(state)]
        return {
            Level.ORDINARY: self._numbers([self.circuit.rest(), *used, *let_go]),
            Level.ROUTINE: self._numbers(tried),
            Level.EVERY: tuple(range(len(self.states))),
        }

    @cached_property
    def _springs(self) -> Mapping[str, str]:
        return {one.name: one.springs_to for one in self.circuit.controls.values() if one.springs_to}

    def _holds_for_nothing(self, state: Mapping[str, str]) -> bool:
        """Say whether a control that springs back is held though letting it go changes nothing."""
        held = [(name, back) for name, back in self._springs.items() if state[name] != back]
        return any(self._does({**state, name: back}) == self._does(state) for name, back in held)

    def _does(self, state: Mapping[str, str]) -> tuple[int, ...]:
        """Return the codes of what the sound machine does in a state."""
        (number,) = self._numbers([state])
        return tuple(int(codes[0, number]) for codes in self.block.seen.values())

    @cached_property
    def _number(self) -> Mapping[tuple[str, ...], int]:
        return {tuple(state.values()): number for number, state in enumerate(self.states)}

    def _numbers(self, states: Sequence[Mapping[str, str]]) -> tuple[int, ...]:
        return tuple(sorted({self._number[tuple(state.values())] for state in states}))

    def revealed(self, effects: Sequence[Effect]) -> Revealed | None:
        """Return what first shows these effects, None if nothing does."""
        for level, states in self.levels.items():
            for state in states:
                for effect in effects:
                    if state in effect.states and (level is not Level.ORDINARY or self._is_noticed(effect)):
                        return Revealed(level, state, effect)
        return None

    def _is_noticed(self, effect: Effect) -> bool:
        """Say whether an operator notices: nobody sees that a module's input would let through too much."""
        return self.circuit.behaviour[effect.behaviour].kind != "input" or effect.change is not Change.PERMITTED

    # In words

    def place_in_words(self, state: int) -> str:
        """Return a state in words: the controls that are not at rest."""
        rest = self.circuit.rest()
        moved = [Is(name, (position,)) for name, position in self.states[state].items() if position != rest[name]]
        if not moved:
            return text("single.at_rest")
        return text("single.with", state=in_words(Every(tuple(moved)), self.circuit.controls))

    def effects_in_words(self, effects: Sequence[Effect]) -> str:
        """Return effects in words, those in the same states together: ``always: cranks, runs refused, lamp weak``."""
        together: dict[str, dict[str, list[str]]] = {}
        for effect in sorted(effects, key=self._gravity):
            changes = together.setdefault(self._when(effect), {})
            changes.setdefault(self._change(effect), []).append(effect.behaviour)
        return "; ".join(
            text("single.effects", when=when, changes=", ".join(_told(what, names) for what, names in changes.items()))
            for when, changes in together.items()
        )

    def _gravity(self, effect: Effect) -> tuple[bool, bool]:
        """Sort what can hurt first, and of that what is permitted."""
        return effect.behaviour not in self.hurting, effect.change is not Change.PERMITTED

    def seen_in_words(self, effect: Effect) -> str:
        """Return what an effect is in a state, in words: ``cranks refused``."""
        return _told(self._change(effect), [effect.behaviour])

    def _change(self, effect: Effect) -> str:
        if effect.once_begun:
            return text(f"single.{effect.change}.once_begun")
        of = "function" if effect.behaviour in self.hurting else "indication"
        return text(f"single.{of}.{effect.change}")

    def _when(self, effect: Effect) -> str:
        """Say in which states: ``always`` if the sound machine does otherwise in those and no others."""
        permitted = effect.change is Change.PERMITTED
        otherwise = [code == 0 if permitted else code > 0 for code in self.block.seen[effect.behaviour][0].tolist()]
        if not effect.once_begun and effect.states == tuple(at for at, one in enumerate(otherwise) if one):
            return text("single.always")
        return states_in_words(self.circuit, effect.states)


def _told(what: str, behaviours: Sequence[str]) -> str:
    return text("single.effect", behaviour=", ".join(behaviours), change=what)
