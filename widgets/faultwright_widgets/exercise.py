"""What an exercise says and asks: the fixed things that its author decides, apart from the machine."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypedDict

from faultwright.story import Story


class Calculation(TypedDict):
    """A calculation that the exercise asks for."""

    prompt: str


class ContinuityQuestion(TypedDict):
    """A claim about continuity that the exercise asks for; without choices it is answered in words."""

    id: str
    prompt: str
    choices: list[str]


class Questions(TypedDict, total=False):
    """What an exercise asks besides diagnosis, evidence and remedy."""

    calculation: Calculation
    continuity: list[ContinuityQuestion]


@dataclass(frozen=True, kw_only=True)
class Exercise:
    """An exercise on a bench.

    Parameters
    ----------
    complaint
        What the operator says is wrong.
    questions
        What is asked besides diagnosis, evidence and remedy: a calculation and continuity claims.
    paper
        The name of the paper that the answer belongs to.
    ask_expected, ask_suspect
        What must be written before a reading is shown: the expected value, and what is suspected.
    story
        What the operator answers and what inspection shows. What is not asked stays in the kernel.
    helps
        Whether the bench gives help in steps: in practice, never in a paper.
    """

    complaint: str = ""
    questions: Questions = field(default_factory=Questions)
    paper: str = ""
    ask_expected: bool = False
    ask_suspect: bool = False
    story: Story = field(default_factory=Story)
    helps: bool = False

    @property
    def required(self) -> tuple[str, ...]:
        """Which predictions must be written before a reading is shown."""
        asked = {"suspect": self.ask_suspect, "expected": self.ask_expected}
        return tuple(name for name, is_asked in asked.items() if is_asked)
