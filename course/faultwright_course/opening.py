"""Opening a practice case in a lesson: ``work = open_case("routes-neutral")``, then ``work.view``.

Practice holds its fault in the notebook's own kernel, so a determined student can read it there; every lesson says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright_autograde import practice
from faultwright_widgets.bench_view import BenchView
from faultwright_widgets.exercise import Calculation, ContinuityQuestion, Exercise, Questions

from .catalogue import paper_path
from .showing import Shown
from .texts import text

if TYPE_CHECKING:
    from faultwright_autograde.blueprint import Blueprint
    from faultwright_autograde.case import Case


@dataclass(frozen=True, slots=True)
class Opened:
    """An opened case: its machine, the bench that keeps the record, and the bench as a widget."""

    circuit: Circuit
    bench: Bench
    view: BenchView

    def summary(self) -> Shown:
        """Return what the answer holds so far and what is still empty. It says nothing about right or wrong."""
        work = self.view.session.work
        findings = sum(1 for _ in self.bench.record.findings())
        gaps = work.gaps()
        claim = ", ".join(work.answer.claim) or text("summary.no_claim")
        begun = text("summary.begun", count=findings, claim=claim)
        ended = text("summary.gaps", gaps=", ".join(gaps)) if gaps else text("summary.full")
        return Shown(f"<p>{escape(f'{begun} {ended}')}</p>")


def practice_case(name: str | Path) -> Case:
    """Return the case that a practice blueprint describes, the same for everybody.

    ``name`` is one of the course's papers, or the path of a blueprint of your own (``my-case.yaml``). The fault is the
    first that the blueprint names, a free value in the middle of its range. Raises Refused for an unknown blueprint,
    and for one that is no practice.
    """
    return practice.practice_case(Path(name) if Path(name).suffix == ".yaml" else paper_path(str(name)))


def open_case(
    name: str | Path,
    *,
    answer_file: Path | str | None = None,
    ask_expected: bool = True,
    ask_suspect: bool = False,
) -> Opened:
    """Open the practice case ``name`` on a bench.

    ``answer_file`` keeps the answer with its record, and is taken up again when it is there; ``ask_expected`` asks
    for a prediction before each reading, ``ask_suspect`` for what is suspected. Raises Refused as :func:`practice_case`
    does.
    """
    return open_on_bench(
        practice_case(name), answer_file=answer_file, ask_expected=ask_expected, ask_suspect=ask_suspect
    )


def open_on_bench(
    case: Case, *, answer_file: Path | str | None = None, ask_expected: bool = True, ask_suspect: bool = False
) -> Opened:
    """Open a case on a bench, as :func:`open_case` does."""
    bench = Bench(case.circuit, [case.fault])
    exercise = Exercise(
        complaint=case.blueprint.complaint.text,
        questions=_questions(case.blueprint),
        paper=case.paper,
        ask_expected=ask_expected,
        ask_suspect=ask_suspect,
        story=case.story,
        helps=True,
    )
    view = BenchView(bench, exercise, answer_file=None if answer_file is None else Path(answer_file))
    return Opened(case.circuit, bench, view)


def _questions(blueprint: Blueprint) -> Questions:
    questions = Questions(
        continuity=[
            ContinuityQuestion(id=question.id, prompt=question.prompt, choices=list(question.choices))
            for question in blueprint.continuity
        ]
    )
    if blueprint.calculation is not None:
        questions["calculation"] = Calculation(prompt=blueprint.calculation.prompt)
    return questions
