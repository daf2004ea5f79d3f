"""The answer: what a person claims, cites, calculates and proposes, as plain JSON beside the notebook.

The file holds the record as well, so that it can be marked alone. It is saved with every change, so a draft
and a submitted answer have one form.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from faultwright.circuit import Circuit
from faultwright.errors import Mistake, Refused, unknown
from faultwright.faults import remedies_at, universe
from faultwright.files import read_json
from faultwright.quantities import parse_quantity
from faultwright.record import (
    ANSWER_ENTRIES,
    ANSWER_VERSION,
    CONFIDENCES,
    LONGEST_TEXT,
    MOST_ACTIONS,
    Record,
    parse_record,
    record_as_json,
)

from .texts import text


@dataclass(slots=True)
class AnswerSheet:
    """An answer in the making.

    ``cited`` and ``notes`` (remarks on findings) count the record's actions from 0; ``remedy`` is ``PLACE REMEDY``.
    """

    paper: str = ""
    claim: list[str] = field(default_factory=list)
    cited: list[int] = field(default_factory=list)
    calculation: str = ""
    continuity: dict[str, str] = field(default_factory=dict)
    remedy: str = ""
    confidence: str = ""
    notes: dict[int, str] = field(default_factory=dict)

    def keep_only(self, findings: set[int]) -> list[int]:
        """Drop remarks and citations of anything that is no finding; return the citations that were dropped."""
        lost = [number for number in self.cited if number not in findings]
        self.cited = [number for number in self.cited if number in findings]
        self.notes = {number: note for number, note in self.notes.items() if number in findings}
        return lost

    def as_json(self, record: Record) -> dict[str, Any]:
        """Return the answer with its record as plain JSON."""
        return {
            "version": ANSWER_VERSION,
            "circuit": record.circuit,
            "paper": self.paper,
            "record": record_as_json(record),
            "claim": list(self.claim),
            "cited": list(self.cited),
            "calculation": self.calculation,
            "continuity": dict(self.continuity),
            "remedy": self.remedy,
            "confidence": self.confidence,
            "notes": {str(number): note for number, note in self.notes.items()},
        }

    def check(self) -> None:
        """Raise Refused where the answer cannot be handed in as it stands: its calculation is no quantity."""
        if self.calculation.strip():
            try:
                parse_any_quantity(self.calculation)
            except Refused as error:
                raise Refused(text("conclusion.calculation_wrong", why=error.mistakes[0].message)) from error

    def gaps(self, *, calculation: bool, continuity: list[str], proven: bool = True) -> list[str]:
        """Return, in words, what is still open of what this exercise asks for; without a look at the proof, proven."""
        empty = {
            "gap.claim": not self.claim,
            "gap.cited": not self.cited,
            "gap.calculation": calculation and not self.calculation.strip(),
            "gap.continuity": not all(self.continuity.get(question, "").strip() for question in continuity),
            "gap.remedy": not self.remedy,
            "gap.proof": not proven,
            "gap.confidence": not self.confidence,
        }
        return [text(key) for key, is_empty in empty.items() if is_empty]


def parse_any_quantity(written: str) -> tuple[float, str]:
    """Return a number and its base unit (V, A, Ω or W). Raises Refused where it is none of these."""
    refusal: Refused | None = None
    for unit in ("V", "A", "Ω", "W"):
        try:
            return parse_quantity(written, unit), unit
        except Refused as error:
            refusal = refusal or error
    assert refusal is not None  # noqa: S101 - the loop returns or refuses
    raise refusal


def read_answer(path: Path, circuit: Circuit) -> tuple[AnswerSheet, Record]:
    """Return the answer and the record in a file. Raises Refused, with every mistake, where it holds something else."""
    place = path.name
    data = read_json(path)
    if not isinstance(data, dict):
        raise Refused(Mistake("an answer is a table", place))
    wrong = [unknown("entry", key, ANSWER_ENTRIES) for key in data if key not in ANSWER_ENTRIES]
    if data.get("version") != ANSWER_VERSION:
        wrong.append(f"the version is {data.get('version')!r}; it must be {ANSWER_VERSION}")
    if data.get("circuit") != circuit.name:
        wrong.append(f"the answer is on circuit {data.get('circuit')!r}, not on {circuit.name!r}")
        raise Refused([Mistake(message, place) for message in wrong])
    record = parse_record(data.get("record"), circuit, f"{place}, record")
    wrong += [*_wrong_texts(data), *_wrong_claim(data, circuit), *_wrong_citations(data, record)]
    if wrong:
        raise Refused([Mistake(message, place) for message in wrong])
    sheet = AnswerSheet(
        paper=data.get("paper", ""),
        claim=data.get("claim", []),
        cited=data.get("cited", []),
        calculation=data.get("calculation", ""),
        continuity=data.get("continuity", {}),
        remedy=data.get("remedy", ""),
        confidence=data.get("confidence", ""),
        notes={int(number): note for number, note in data.get("notes", {}).items()},
    )
    return sheet, record


def _wrong_texts(data: dict[str, Any]) -> list[str]:
    wrong = [
        f"{key!r} must be text of at most {LONGEST_TEXT} characters"
        for key in ("paper", "calculation", "remedy", "confidence")
        if not _is_short_text(data.get(key, ""))
    ]
    continuity = data.get("continuity", {})
    if not isinstance(continuity, dict) or not all(_is_short_text(entry) for entry in continuity.values()):
        wrong.append(f"'continuity' must be a table of texts of at most {LONGEST_TEXT} characters")
    notes = data.get("notes", {})
    numbers = {str(number) for number in range(MOST_ACTIONS)}
    if not isinstance(notes, dict) or not all(key in numbers and _is_short_text(note) for key, note in notes.items()):
        wrong.append(f"'notes' must be a table of texts of at most {LONGEST_TEXT} characters, by the action's number")
    if data.get("confidence", "") not in ("", *CONFIDENCES):
        wrong.append(unknown("confidence", str(data["confidence"]), CONFIDENCES))
    return wrong


def _is_short_text(entry: object) -> bool:
    return isinstance(entry, str) and len(entry) <= LONGEST_TEXT


def _wrong_claim(data: dict[str, Any], circuit: Circuit) -> list[str]:
    claim, remedy = data.get("claim", []), data.get("remedy", "")
    if not isinstance(claim, list) or not all(isinstance(name, str) for name in claim):
        return ["'claim' must be a list of faults"]
    faults = universe(circuit)
    wrong = [unknown("fault", name, list(faults)) for name in claim if name not in faults]
    if isinstance(remedy, str) and remedy:
        place, _, what = remedy.partition(" ")
        if what not in remedies_at(circuit).get(place, ()):
            wrong.append(f"'remedy' is {remedy!r}; it must be a place and a remedy that the place can have")
    return wrong


def _wrong_citations(data: dict[str, Any], record: Record) -> list[str]:
    cited = data.get("cited", [])
    if not isinstance(cited, list) or not all(type(number) is int for number in cited):
        return ["'cited' must be a list of whole numbers"]
    findings = {number for number, _ in record.findings()}
    return [f"'cited' names action {number + 1}, which is no finding" for number in cited if number not in findings]
