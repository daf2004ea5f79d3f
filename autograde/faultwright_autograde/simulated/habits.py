"""All habits by name, what a fair examiner must make of each, and playing one on a case."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from faultwright.bench import Bench
from faultwright_autograde.case import Case
from faultwright_autograde.draws import Draws

from .sound import SOUND, cautious, measures_everything
from .unsound import UNSOUND, copier, copies_the_claim, guesser, lucky_with_proof
from .work import Answer, Task, repeat_complaint, suspects

MUST_PASS, MUST_NOT_PASS, EITHER = "must pass", "must not pass", "either"

OPEN: Mapping[str, Callable[[Task], Answer]] = {"measures-everything": measures_everything, "cautious": cautious}
"""What is left, or named, may be too much, and then it does not pass."""

_OF_A_NEIGHBOUR: Mapping[str, Callable[[Task, Answer], Answer]] = {
    "copier": copier,
    "copies-the-claim": copies_the_claim,
}
_LUCKY = ("lucky-guesser", "lucky-with-proof")

HABITS: Mapping[str, str] = {
    **dict.fromkeys(SOUND, MUST_PASS),
    **dict.fromkeys(OPEN, EITHER),
    **dict.fromkeys(UNSOUND, MUST_NOT_PASS),
    **dict.fromkeys(_OF_A_NEIGHBOUR, MUST_NOT_PASS),
    **dict.fromkeys(_LUCKY, MUST_NOT_PASS),
}
"""Every habit, and what a fair examiner must make of it."""

WITHOUT_READINGS = frozenset({"guesser", "swaps-parts", "copies-the-claim", *_LUCKY})
"""Habits that look and do not measure: where looks alone give the fault away, what they name is justified after all."""


def expected(habit: str, *, plain: bool) -> str:
    """Return what a fair examiner makes of a habit on a machine; ``plain``: looks alone leave one group there."""
    return EITHER if plain and habit in WITHOUT_READINGS else HABITS[habit]


def is_plain(case: Case) -> bool:
    """Say whether the looks that the complaint asks for leave one group of a machine's faults."""
    task = _task(case, Draws(b"", ""))
    repeat_complaint(task)
    return len(suspects(task).groups(case.groups)) <= 1


def _task(case: Case, luck: Draws) -> Task:
    return Task(case.paper, Bench(case.circuit, [case.fault]), case.blueprint, case.groups, case.suspects, luck)


def play(case: Case, habit: str, luck: Draws, neighbour: Answer) -> Answer:
    """Let a student of some habit work on a case; return the answer that is handed in.

    ``neighbour`` is the answer of the next bench, for those who copy.
    """
    task = _task(case, luck)
    if habit in _OF_A_NEIGHBOUR:
        return _OF_A_NEIGHBOUR[habit](task, neighbour)
    if habit == "lucky-guesser":
        return guesser(task, lucky=case.fault)
    if habit == "lucky-with-proof":
        return lucky_with_proof(task, case.fault)
    return {**SOUND, **OPEN, **UNSOUND}[habit](task)
