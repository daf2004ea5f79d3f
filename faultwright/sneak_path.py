"""A sneak path as it is told: what is on or off that should not be, when, and by which path of the current."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from .analysis_texts import text
from .circuit import Circuit
from .conditions import Terms, factored, in_words, of_terms, written
from .current_path import CurrentPath
from .faults import Fault
from .some_states import terms_of

ON, INHIBITED = "on", "inhibited"
FLOWS, LOST, DIVERTED = "flows", "lost", "diverted"
"""What a path shows: where the current flows; where it flows on the sound machine only; where it goes instead."""


@dataclass(frozen=True)
class SneakPath:
    """A function that is on or inhibited against its own routes, in these states, and the path that explains it.

    ``case`` is the fault, None with every part sound; ``function`` the behaviour or, where none follows it, the part.
    ``backwards`` names the places that the path passes against the way of their use, ``through`` the other loads that
    it passes, ``follows`` the functions that change only because a relay does.
    """

    circuit: Circuit
    case: Fault | None
    function: str
    part: str
    kind: str
    shows: str
    path: CurrentPath
    backwards: tuple[str, ...]
    through: tuple[str, ...]
    states: tuple[Mapping[str, str], ...]
    follows: tuple[str, ...]

    @cached_property
    def when(self) -> Terms | None:
        """The states of the controls in the fewest terms; None where they are too tangled to be told."""
        held = {tuple(state.values()) for state in self.states}
        every = enumerate(self.circuit.states())
        return terms_of(self.circuit, tuple(number for number, state in every if tuple(state.values()) in held))

    def as_json(self) -> dict[str, object]:
        """The sneak path as the command line's JSON gives it."""
        return {
            "case": None if self.case is None else str(self.case),
            "function": self.function,
            "part": self.part,
            "kind": self.kind,
            "when": None if self.when is None else written(of_terms(self.when)),
            "states": len(self.states),
            "first_state": dict(self.states[0]),
            "shows": self.shows,
            "start": self.path.start,
            "places": list(self.path.places),
            "end": self.path.end,
            "backwards": list(self.backwards),
            "through": list(self.through),
            "follows": list(self.follows),
        }

    def words(self) -> list[str]:
        """Return the sneak path in words: what is on or off, when, and the path in the order of the current."""
        case = text("sneak.sound") if self.case is None else text("sneak.fault", fault=self.case)
        about = self.function if self.function == self.part else f"{self.function} ({self.part})"
        when = text("single.tangled", count=len(self.states), of=self.circuit.state_count)
        if self.when is not None:
            when = in_words(factored(self.when), self.circuit.controls)
        reverse = set(self.backwards)
        places = [text("sneak.backwards", place=one) if one in reverse else one for one in self.path.places]
        way = " → ".join((self.path.start, *places, self.path.end))
        lines = [
            text(f"sneak.{self.kind}", case=case, function=about, when=when, count=len(self.states)),
            text(f"sneak.path.{self.shows}", way=way),
        ]
        if self.through:
            lines.append(text("sneak.through", loads=", ".join(self.through)))
        if self.follows:
            lines.append(text("sneak.follows", functions=", ".join(self.follows)))
        return lines


@dataclass(frozen=True)
class SneakPaths:
    """All sneak paths of a circuit, first those with every part sound."""

    paths: tuple[SneakPath, ...]

    def as_json(self) -> list[dict[str, object]]:
        """The sneak paths as the command line's JSON gives them."""
        return [path.as_json() for path in self.paths]

    def words(self) -> list[str]:
        """Return the sneak paths in words, or that there is none."""
        return [line for path in self.paths for line in path.words()] or [text("sneak.none")]
