"""The analysis: all that can be computed of a circuit before anybody puts a fault in, section by section.

Every section stands by itself, so that an author can ask for one alone; what several need is worked out once. A section
that a circuit is too large for is left out, with the reason, and the others are there all the same.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Protocol

from .analysis_sections import (
    ComplaintTree,
    Groups,
    LoadRoutes,
    Testability,
    TruthTables,
    complaint_tree,
    every_behaviour,
    every_load,
)
from .analysis_texts import text
from .candidates import Candidate, every_test
from .circuit import Circuit
from .errors import Mistake, Refused, unknown
from .families import Hypothesis
from .faults import universe
from .next_test import MOST_STATES
from .outcomes import OutcomeTable, outcome_table
from .single_faults import Sheet, single_faults
from .sneak_path import SneakPaths
from .sneak_paths import sneak_paths
from .symptoms import Symptoms, symptoms
from .testability import figures, levels

SECTIONS = (
    "routes",
    "truth_tables",
    "symptoms",
    "groups",
    "testability",
    "test_tree",
    "single_faults",
    "sneak_paths",
)
"""The sections in their order, named as in the JSON."""

Tell = Callable[[int, int, str], None]
"""What long work calls: how many of how many steps are done, and the section at work."""


class Content(Protocol):
    """What a section holds."""

    def as_json(self) -> Any:  # noqa: ANN401 - JSON is any of its types
        """The section as the command line's JSON gives it."""

    def words(self) -> list[str]:
        """Return the section in words, line by line."""


@dataclass(frozen=True)
class Analysis:
    """What was asked for of a circuit; a section that was not, or that was refused, is None.

    ``refused`` says why, section by section.
    """

    circuit: Circuit
    routes: LoadRoutes | None = None
    truth_tables: TruthTables | None = None
    symptoms: Symptoms | None = None
    groups: Groups | None = None
    testability: Testability | None = None
    test_tree: ComplaintTree | None = None
    single_faults: Sheet | None = None
    sneak_paths: SneakPaths | None = None
    refused: Mapping[str, str] = field(default_factory=dict)

    @property
    def sections(self) -> list[tuple[str, Content | None]]:
        """The sections that were asked for, by name; None: refused."""
        contents: list[tuple[str, Content | None]] = [(name, getattr(self, name)) for name in SECTIONS]
        return [(name, content) for name, content in contents if content is not None or name in self.refused]

    def as_json(self) -> dict[str, Any]:
        """The analysis as the command line's JSON gives it; null for what was refused."""
        found = {name: None if content is None else content.as_json() for name, content in self.sections}
        return {"circuit": self.circuit.name, **found, "refused": dict(self.refused)}

    def words(self) -> list[str]:
        """Return the analysis in words: the title, the safety notes, then each section under its heading."""
        lines = [text("analysis.title", title=self.circuit.title), text("analysis.local")]
        lines += [
            text("analysis.caution", signal=one.signal.capitalize(), note=one.text) for one in self.circuit.safety
        ]
        for name, content in self.sections:
            lines += ["", *_heading(text(f"analysis.{name}"))]
            lines += [self.refused[name]] if content is None else content.words()
        return lines


def _heading(words: str) -> list[str]:
    return [words, "=" * len(words)]


def analyse(
    circuit: Circuit,
    tell: Tell = lambda _done, _of, _what: None,
    *,
    only: Collection[str] = (),
    symptom: int | None = None,
) -> Analysis:
    """Return the analysis of a circuit, or ``only`` some of its :data:`SECTIONS`.

    ``symptom`` is the number of the complaint that the test tree begins with; without it the commonest that leaves
    several suspects. Raises Refused for sections and for a symptom that are not there.
    """
    strangers = [Mistake(unknown("section", name, SECTIONS)) for name in only if name not in SECTIONS]
    if strangers:
        raise Refused(strangers)
    sources = _Sources(circuit)
    if symptom is not None:
        sources.symptoms.find(symptom)
    contents: dict[str, Any] = {}
    refused: dict[str, str] = {}
    wanted = [name for name in SECTIONS if name in only or not only]
    for number, name in enumerate(wanted):
        told = _within(tell, number, len(wanted), text(f"analysis.{name}"))
        told(0, 1)
        try:
            contents[name] = _section(name, sources, symptom, told)
        except Refused as error:
            refused[name] = "; ".join(mistake.message for mistake in error.mistakes)
        told(1, 1)
    return Analysis(circuit, **contents, refused=refused)


def _section(name: str, sources: _Sources, symptom: int | None, tell: Callable[[int, int], None]) -> Content:
    """Return one section, told once as words and JSON: what is too tangled to be told is refused here, not later."""
    circuit = sources.circuit
    makers: Mapping[str, Callable[[], Content]] = {
        "routes": lambda: every_load(circuit),
        "truth_tables": lambda: every_behaviour(circuit),
        "symptoms": lambda: sources.symptoms,
        "groups": lambda: Groups(levels(sources.table(tell))[-1]),
        "testability": lambda: Testability(figures(circuit, sources.table(tell), tell, MOST_STATES)),
        "test_tree": lambda: complaint_tree(sources.symptoms, sources.tests, symptom, tell),
        "single_faults": lambda: single_faults(circuit, tell),
        "sneak_paths": lambda: sneak_paths(circuit),
    }
    content = makers[name]()
    content.as_json()
    content.words()
    return content


class _Sources:
    """What several sections come from, each worked out when it is first asked for."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self._table: OutcomeTable | None = None

    @cached_property
    def symptoms(self) -> Symptoms:
        """The suspects by symptom."""
        return symptoms(self.circuit)

    @cached_property
    def tests(self) -> tuple[Candidate, ...]:
        """Every test worth making, in as many control states as a person goes through."""
        return tuple(every_test(self.circuit, most=MOST_STATES))

    def table(self, tell: Callable[[int, int], None]) -> OutcomeTable:
        """The outcomes of every test with every fault and the sound machine."""
        if self._table is None:
            hypotheses: list[Hypothesis] = [*((fault,) for fault in universe(self.circuit).values()), ()]
            self._table = outcome_table(self.circuit, hypotheses, self.tests, tell=tell)
        return self._table


_STEPS = 100
"""Steps that each section counts as, however long it takes."""


def _within(tell: Tell, number: int, count: int, what: str) -> Callable[[int, int], None]:
    """Return what tells the steps of one section as steps of all."""

    def told(done: int, of: int) -> None:
        tell(number * _STEPS + _STEPS * done // of, count * _STEPS, what)

    return told
