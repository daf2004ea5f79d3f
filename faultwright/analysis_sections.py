"""Sections of an analysis that put together what other modules find: each as JSON and in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from .analysis_texts import text
from .candidates import Candidate
from .circuit import Circuit
from .next_test import MOST_STATES
from .outcomes import outcome_table
from .permission import Permission, behaviour_permissions
from .route_sets import RouteSet
from .routes import load_routes, loads
from .symptoms import Symptom, Symptoms
from .test_tree import Tree, best_tree
from .testability import Figures, Level

SEVERAL = 2
"""Suspects that need to be told apart."""


@dataclass(frozen=True)
class LoadRoutes:
    """How every load is fed and returned."""

    sets: tuple[RouteSet, ...]

    def as_json(self) -> list[dict[str, object]]:
        """The routes as the command line's JSON gives them."""
        return [one.as_json() for one in self.sets]

    def words(self) -> list[str]:
        """Return the routes in words: each set's heading, and under it its routes."""
        found: list[str] = []
        for one in self.sets:
            heading, *lines = one.words()
            found += [heading, *(f"   {line}" for line in lines)]
        return found or [text("analysis.no_load")]


@dataclass(frozen=True)
class TruthTables:
    """When the sound machine does what, behaviour by behaviour."""

    permissions: tuple[Permission, ...]

    def as_json(self) -> list[dict[str, object]]:
        """The truth tables as the command line's JSON gives them."""
        return [one.as_json() for one in self.permissions]

    def words(self) -> list[str]:
        """Return the truth tables in the fewest words."""
        return [one.words() for one in self.permissions] or [text("analysis.no_behaviour")]


@dataclass(frozen=True)
class Groups:
    """Which faults no test tells apart, whatever is measured: the last level of the testability figures."""

    level: Level

    @property
    def several(self) -> list[tuple[str, ...]]:
        """The groups of several faults."""
        return [group for group in self.level.groups if len(group) >= SEVERAL]

    def as_json(self) -> dict[str, Any]:
        """The groups as the command line's JSON gives them, those of one fault too."""
        return {"groups": [list(group) for group in self.level.groups], "undetected": list(self.level.undetected)}

    def words(self) -> list[str]:
        """Return the groups of several faults in words, and how many faults stand alone."""
        single = len(self.level.groups) - len(self.several)
        return [_tests(), *self.level.groups_in_words(), text("analysis.single", count=single)]


@dataclass(frozen=True)
class Testability:
    """The testability figures without the groups, which have a section of their own."""

    figures: Figures

    def as_json(self) -> dict[str, Any]:
        """The figures as the command line's JSON gives them."""
        return self.figures.as_json()

    def words(self) -> list[str]:
        """Return the figures in words, then the test points that would help most."""
        return [_tests(), *self.figures.levels_in_words(), *self.figures.points_in_words()]


@dataclass(frozen=True)
class ComplaintTree:
    """The test tree that begins with a complaint; no tree where that leaves one suspect, and nothing to tell apart.

    No symptom either: every complaint leaves one suspect.
    """

    symptom: Symptom | None
    tree: Tree | None

    def as_json(self) -> dict[str, Any] | None:
        """The tree as the command line's JSON gives it."""
        if self.symptom is None or self.tree is None:
            return None
        return {"symptom": self.symptom.number, **self.tree.as_json()}

    @property
    def title(self) -> str:
        """What the tree begins with, in words."""
        if self.symptom is None:
            return text("analysis.no_tree")
        return text("analysis.tree", number=self.symptom.number, complaint="; ".join(self.symptom.complaint()))

    def words(self) -> list[str]:
        """Return the tree in words."""
        if self.symptom is None:
            return [self.title]
        return [self.title, *(self.tree.words() if self.tree else self.symptom.words()[1:])]


def _tests() -> str:
    return text("analysis.tests", count=MOST_STATES)


def every_load(circuit: Circuit) -> LoadRoutes:
    """Return how every load of a circuit is fed and returned."""
    return LoadRoutes(tuple(routes for load in loads(circuit) for routes in load_routes(circuit, load)))


def every_behaviour(circuit: Circuit) -> TruthTables:
    """Return when a circuit's sound machine does what. Raises Refused where there are too many states."""
    return TruthTables(tuple(behaviour_permissions(circuit).values()))


def complaint_tree(
    found: Symptoms, tests: Sequence[Candidate], number: int | None, tell: Callable[[int, int], None]
) -> ComplaintTree:
    """Return the test tree for the suspects of a symptom, by number; by default the commonest that has several.

    The suspects have a table of their own: with fewer of them fewer readings lie between two, so it tells more of them
    apart than a table of all faults.
    """
    several = [one for one in found.complaints if len(one.suspects) >= SEVERAL]
    symptom = found.find(number) if number is not None else next(iter(several), None)
    if symptom is None or len(symptom.suspects) < SEVERAL:
        return ComplaintTree(symptom, None)
    return ComplaintTree(symptom, best_tree(outcome_table(found.circuit, symptom.suspects, tests, tell=tell)))
