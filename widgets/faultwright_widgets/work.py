"""What one person works on at a bench: the machine, the meter, the answer, and what has just been said about them."""

from __future__ import annotations

from dataclasses import dataclass, field

from faultwright.bench import Bench
from faultwright.circuit import Circuit

from .answer_sheet import AnswerSheet
from .exercise import Exercise
from .finding_log import FindingLog
from .meter_panel import MeterPanel
from .proof import proven


@dataclass
class Work:
    """The work of one person.

    ``answer_kept`` says whether a file keeps the answer; ``said`` is what was just said, by section, and every message
    starts it anew.
    """

    bench: Bench
    exercise: Exercise
    answer_kept: bool = False
    meter: MeterPanel = field(init=False)
    answer: AnswerSheet = field(init=False)
    log: FindingLog = field(init=False)
    said: dict[str, str] = field(default_factory=dict)
    submitted: bool = False

    def __post_init__(self) -> None:
        """Take the meter, an empty answer and the log of findings."""
        self.meter = MeterPanel(self.bench, self.exercise)
        self.answer = AnswerSheet(self.exercise.paper)
        self.log = FindingLog(self.circuit)

    @property
    def circuit(self) -> Circuit:
        """The circuit on the bench, as it was drawn."""
        return self.bench.circuit

    def last_repair(self) -> str:
        """Return the last repair done at the bench, as ``PLACE REMEDY``, or nothing."""
        repair = self.log.follow(self.bench.actions).last_repair
        return f"{repair.target} {repair.value}" if repair else ""

    def gaps(self) -> list[str]:
        """Return, in words, what is still open of what this exercise asks for."""
        return self.answer.gaps(
            calculation="calculation" in self.exercise.questions,
            continuity=[question["id"] for question in self.exercise.questions.get("continuity", [])],
            proven=proven(self.log.follow(self.bench.actions)),
        )
