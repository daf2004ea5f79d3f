"""What a trick is: an honest answer, spoiled on its way into the class's folder, and what must become of it."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from faultwright.bench import Bench
from faultwright_autograde.case import Case
from faultwright_autograde.mark import ANOTHERS, MARKED, MISSING, UNREADABLE
from tests.autograde.gate import COMPLAINT, Answer

FORGED = "forged"
"""Marked, with findings that this machine could not have shown: it does not pass, and a person looks."""

UNSAFE = "unsafe"
"""Marked, with a critical act against safety: it does not pass, and a person looks."""

HARMLESS = "harmless"
"""Marked like the honest answer or worse, with nothing that a person need look at."""

STATES = (UNREADABLE, ANOTHERS, MISSING, FORGED, UNSAFE, HARMLESS)


@dataclass(frozen=True)
class Given:
    """What a trickster has in hand: an honest answer to the own machine, and a neighbour's answer to another."""

    case: Case
    answer: Answer
    neighbour: Answer

    @property
    def file(self) -> str:
        """Return the name of the file that is handed in."""
        return f"{self.case.candidate}.json"


HandIn = Callable[[Path, Given], None]


@dataclass(frozen=True)
class Trick:
    """One idea. ``says`` stands in what the candidate and the instructor are told; {file} and {paper} are filled in.

    ``becomes`` is one of :data:`STATES`. ``honest`` adds to the honest answer what the trick then spoils: what it earns
    is held against the mark of that. ``kinds`` are the honest answers that are spoiled: the good one has all marks to
    lose, the thin one has them to gain. One is enough where nothing of it is left.
    """

    name: str
    hand_in: HandIn
    becomes: str = UNREADABLE
    says: str = ""
    honest: Callable[[Answer, Given], object] | None = None
    kinds: tuple[str, ...] = ("good", "thin")

    def __post_init__(self) -> None:
        """Refuse a state that no test looks for."""
        assert self.becomes in STATES, self.becomes

    @property
    def state(self) -> str:
        """Return what the mark must say became of the answer."""
        return self.becomes if self.becomes in (UNREADABLE, ANOTHERS, MISSING) else MARKED

    @property
    def looked_at(self) -> bool:
        """Return whether a person must be asked to look."""
        return self.becomes in (FORGED, UNSAFE, ANOTHERS)


# Ways of handing in


def written(content: str | bytes) -> HandIn:
    """Hand in a file of this content, whatever the honest answer was."""

    def hand_in(path: Path, _given: Given) -> None:
        path.write_bytes(content.encode("utf-8", "surrogatepass") if isinstance(content, str) else content)

    return hand_in


ONE = ("thin",)


def rewritten(change: Callable[[str], str | bytes]) -> HandIn:
    """Hand in the honest answer's JSON with its text changed."""

    def hand_in(path: Path, given: Given) -> None:
        written(change(json.dumps(given.answer, ensure_ascii=False)))(path, given)

    return hand_in


def changed(change: Callable[[Answer, Given], object]) -> HandIn:
    """Hand in the honest answer after ``change`` has done its work on a copy."""

    def hand_in(path: Path, given: Given) -> None:
        answer = copy.deepcopy(given.answer)
        change(answer, given)
        written(json.dumps(answer, ensure_ascii=False))(path, given)

    return hand_in


def with_entries(**entries: object) -> HandIn:
    """Hand in the honest answer with other entries."""
    return changed(lambda answer, _given: answer.update(entries))


# Honest answers


def thin_answer(case: Case) -> Answer:
    """Return an honest answer that is a lucky guess: one look, the right repair, another look; no proof, no question.

    It earns little, so that whatever a trick gains shows.
    """
    bench = Bench(case.circuit, [case.fault])
    for move in COMPLAINT:
        bench.move(move)
    bench.observe()
    bench.move("repair=W4 mend the wire")
    bench.observe()
    return {
        "version": 1,
        "circuit": case.circuit.name,
        "paper": case.paper,
        "record": bench.as_json(),
        "claim": ["W4 resistance"],
        "cited": [2],
        "calculation": "12 V",
        "continuity": {"feed": "always"},
        "remedy": "W4 mend the wire",
        "confidence": "guess",
    }
