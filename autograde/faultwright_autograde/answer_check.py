"""Checking an answer before it is handed in: can it be read, and does it answer what its paper asks? Nothing is marked.

All of this is told from what every candidate has: the circuit, the paper, the answer. So it tells nothing of the fault.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from faultwright.circuit import Circuit
from faultwright.circuit_file import read_circuit
from faultwright.errors import Mistake, Refused, unknown
from faultwright.files import read_json

from .answer import LARGEST, Answer, parse_answer
from .answer_check_texts import text
from .calculation import UNIT, is_quantity

PAPER_FILE, CIRCUIT_FILE = "paper.json", "circuit.yaml"
LONGEST_SHOWN = 60


@dataclass(frozen=True, slots=True)
class Paper:
    """What was handed out: the circuit, and the paper's number and questions, None where there is only the circuit.

    ``questions`` maps the name of each question about a path to its choices.
    """

    circuit: Circuit
    folder: str = ""
    number: str = ""
    asks_calculation: bool | None = None
    questions: Mapping[str, tuple[str, ...]] | None = None


@dataclass(frozen=True, slots=True)
class Checked:
    """What a sound answer holds: how many actions and findings, and what was left blank."""

    actions: int
    findings: int
    blank: tuple[str, ...]


def read_paper(path: Path) -> Paper:
    """Return what a paper's folder, or a circuit file alone, says was asked. Raises Refused where it is neither."""
    if not path.is_dir():
        return Paper(read_circuit(path))
    circuit = read_circuit(path / CIRCUIT_FILE)
    data = read_json(path / PAPER_FILE)
    try:
        asked = data["questions"]
        questions = {one["id"]: tuple(one["choices"]) for one in asked["continuity"]}
        return Paper(circuit, path.name, str(data["paper"]), "calculation" in asked, questions)
    except (KeyError, TypeError):
        raise Refused(Mistake(text("paper.wrong"), f"{path.name}/{PAPER_FILE}")) from None


def check_answer(path: Path, paper: Paper) -> Checked:
    """Return what a sound answer holds. Raises Refused with every mistake at once."""
    data = read_json(path, largest=LARGEST)
    mistakes: list[Mistake] = []
    answer: Answer | None = None
    try:
        answer = parse_answer(data, paper.circuit, path.name)
    except Refused as refused:
        mistakes += refused.mistakes
    if isinstance(data, dict):
        mistakes += [Mistake(message, path.name) for message in _against(data, paper)]
    if mistakes or answer is None:
        raise Refused(mistakes)
    answered = {question for question, choice in answer.continuity.items() if choice}
    filled = {
        "claim": bool(answer.claim),
        "cited": bool(answer.cited),
        "calculation": bool(answer.calculation) or not paper.asks_calculation,
        "continuity": set(paper.questions or ()) <= answered,
        "remedy": bool(answer.remedy),
    }
    return Checked(
        len(answer.record.actions),
        sum(1 for _ in answer.record.findings()),
        tuple(name for name, given in filled.items() if not given),
    )


def _against(data: Mapping[str, Any], paper: Paper) -> Iterator[str]:
    """Yield what is wrong with an answer to this paper, of what is of the right type at least."""
    given = data.get("paper", "")
    if paper.number and isinstance(given, str) and given.strip() != paper.number:
        yield text("paper.other" if given else "paper.none", given=given, own=paper.number, folder=paper.folder)
    calculation = data.get("calculation", "")
    if isinstance(calculation, str) and calculation.strip():
        if paper.asks_calculation is False:
            yield text("calculation.unasked")
        elif not any(is_quantity(calculation.strip(), unit) for unit in UNIT.values()):  # which one, the prompt says
            yield text("calculation.none", given=calculation[:LONGEST_SHOWN])
    continuity = data.get("continuity", {})
    if paper.questions is not None and isinstance(continuity, dict):
        yield from _paths(continuity, paper.questions)


def _paths(continuity: Mapping[str, Any], questions: Mapping[str, tuple[str, ...]]) -> Iterator[str]:
    for question, choice in continuity.items():
        if question not in questions:
            yield text("continuity.question", unknown=unknown("question", question[:LONGEST_SHOWN], list(questions)))
        elif isinstance(choice, str) and choice and " ".join(choice.split()) not in questions[question]:
            wrong = unknown("choice", choice[:LONGEST_SHOWN], questions[question])
            yield text("continuity.choice", question=question, unknown=wrong)
