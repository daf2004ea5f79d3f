"""Cautions with their signal words (ISO 3864-2: danger, warning, caution, notice), the gravest first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from faultwright.circuit import Circuit, SafetyNote
from faultwright.parts import sources

from .isolation import moving
from .set_up import SetUp
from .texts import text

ORDER = ("danger", "warning", "caution", "notice")
HOT = 1.0
"""W from which a resistor burns fingers (common practice)."""


def gravest_first(notes: Iterable[SafetyNote]) -> tuple[SafetyNote, ...]:
    """Return notes by their signal words, each once."""
    return tuple(sorted(dict.fromkeys(notes), key=lambda note: ORDER.index(note.signal)))


def student_cautions(circuit: Circuit) -> tuple[SafetyNote, ...]:
    """Return what a student is told: the circuit file's own notes, and what holds on every bench."""
    dead = SafetyNote("warning", text("caution.prove_dead", sources=_sources(circuit)))
    return gravest_first((*circuit.safety, *_of_the_machine(circuit), dead, *_on_every_bench()))


def instructor_cautions(circuit: Circuit, way: SetUp, *, defeats_a_guard: bool) -> tuple[SafetyNote, ...]:
    """Return what whoever puts a fault in is told."""
    own = [SafetyNote("danger", text("caution.guard"))] if defeats_a_guard else []
    own.append(SafetyNote("warning", text("caution.isolate", sources=_sources(circuit))))
    if way.jumper:
        own.append(SafetyNote("warning", text("caution.fused")))
    if way.power >= HOT:
        own.append(SafetyNote("caution", text("caution.hot")))
    own.append(SafetyNote("notice", text("caution.tag")))
    return gravest_first((*own, *circuit.safety, *_of_the_machine(circuit), *_on_every_bench()))


def _of_the_machine(circuit: Circuit) -> Iterator[SafetyNote]:
    """Yield what is told of a machine whose file warns of nothing."""
    if moving(circuit) and not any(note.signal in ("danger", "warning") for note in circuit.safety):
        yield SafetyNote("warning", text("caution.moves", parts=text("join").join(moving(circuit))))


def _on_every_bench() -> Iterator[SafetyNote]:
    yield SafetyNote("warning", text("caution.jumper"))
    yield SafetyNote("notice", text("caution.scope"))
    yield SafetyNote("notice", text("caution.local"))


def _sources(circuit: Circuit) -> str:
    return text("join").join(sources(circuit)) or text("caution.no_source")
