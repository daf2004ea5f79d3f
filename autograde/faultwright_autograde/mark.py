"""A mark: what each criterion earned and why, what kept it from passing, and what it was made with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

MARK_VERSION = 2

MARKED, MISSING, UNREADABLE, ANOTHERS = "marked", "missing", "unreadable", "another's paper"
"""What became of an answer."""

UNMARKED = (MISSING, UNREADABLE, ANOTHERS)


@dataclass(frozen=True, slots=True)
class Criterion:
    """Marks for one criterion with the verdict that quotes what decided."""

    name: str
    mark: float
    maximum: float
    verdict: str


@dataclass(frozen=True, slots=True)
class Provenance:
    """Hashes and versions with which a mark can be made again at an appeal."""

    circuit_sha256: str
    rubric_sha256: str
    answer_sha256: str
    solver: str
    marking: str
    rubric: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A candidate's mark. ``hurdles`` are the reasons for not passing; ``for_a_person`` asks for a look by one.

    ``answer`` says what became of the answer, ``given_paper`` for which paper it is. ``notes`` are for whoever takes
    that look, and not for the candidate.
    """

    candidate: str
    paper: str
    criteria: tuple[Criterion, ...]
    hurdles: tuple[str, ...]
    remarks: tuple[str, ...]
    for_a_person: bool
    provenance: Provenance
    confidence: str = ""
    answer: str = MARKED
    notes: tuple[str, ...] = ()
    given_paper: str = ""

    @property
    def mark(self) -> float:
        """The marks in all, never more than :attr:`maximum`."""
        return min(round(sum(criterion.mark for criterion in self.criteria), 2), self.maximum)

    @property
    def maximum(self) -> float:
        """The most that could be earned."""
        return round(sum(criterion.maximum for criterion in self.criteria), 2)

    @property
    def passed(self) -> bool:
        """Whether nothing keeps it from passing."""
        return not self.hurdles

    @property
    def by_name(self) -> Mapping[str, Criterion]:
        """The criteria by name."""
        return {criterion.name: criterion for criterion in self.criteria}

    def as_json(self) -> dict[str, Any]:
        """Return the mark as JSON; the same answer gives the same bytes."""
        return {
            "version": MARK_VERSION,
            "candidate": self.candidate,
            "paper": self.paper,
            "mark": self.mark,
            "maximum": self.maximum,
            "passed": self.passed,
            "answer": self.answer,
            "given_paper": self.given_paper,
            "for_a_person": self.for_a_person,
            "criteria": [
                {
                    "name": criterion.name,
                    "mark": criterion.mark,
                    "maximum": criterion.maximum,
                    "verdict": criterion.verdict,
                }
                for criterion in self.criteria
            ],
            "hurdles": list(self.hurdles),
            "remarks": list(self.remarks),
            "notes": list(self.notes),
            "confidence": self.confidence,
            "made_with": {
                "circuit_sha256": self.provenance.circuit_sha256,
                "rubric_sha256": self.provenance.rubric_sha256,
                "answer_sha256": self.provenance.answer_sha256,
                "solver": self.provenance.solver,
                "marking": self.provenance.marking,
                "rubric": self.provenance.rubric,
            },
        }


def mark_from_json(data: Mapping[str, Any]) -> Mark:
    """Return the mark that :meth:`Mark.as_json` wrote."""
    return Mark(
        candidate=data["candidate"],
        paper=data["paper"],
        criteria=tuple(Criterion(one["name"], one["mark"], one["maximum"], one["verdict"]) for one in data["criteria"]),
        hurdles=tuple(data["hurdles"]),
        remarks=tuple(data["remarks"]),
        for_a_person=data["for_a_person"],
        provenance=Provenance(**data["made_with"]),
        confidence=data["confidence"],
        answer=data["answer"],
        notes=tuple(data["notes"]),
        given_paper=data["given_paper"],
    )
