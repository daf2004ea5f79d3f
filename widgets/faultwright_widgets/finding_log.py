"""The findings and repairs of a record as rows of text, and what has been noted since the last repair.

A record only grows, so each action is put into words once.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from faultwright.circuit import Circuit
from faultwright.moves import Move
from faultwright.quantities import show_quantity
from faultwright.record import Action, Asked, Inspected, Measured, Observed

from .situation import Situation
from .texts import text
from .words import all_seen_words, remarks, shown, what_was_measured

Row = dict[str, Any]
State = tuple[str, ...]
"""The controls' positions, in the order of the file."""


class FindingLog:
    """Follows the actions of one record on one circuit."""

    def __init__(self, circuit: Circuit) -> None:
        """Begin with nothing done, the machine at rest."""
        self.circuit = circuit
        self.rows: list[Row] = []
        self.situation = Situation(circuit.rest())
        self.last_repair: Move | None = None
        self.noted: dict[State, tuple[int, str]] = {}
        self._followed = 0

    def follow(self, actions: Sequence[Action]) -> FindingLog:
        """Take in the actions that are new, and return this log."""
        for index in range(self._followed, len(actions)):
            self._take_in(index, actions[index])
        self._followed = len(actions)
        return self

    def _take_in(self, index: int, action: Action) -> None:
        if isinstance(action, Move):
            self.situation = self.situation.after(action, self.circuit)
            if action.verb == "repair":
                self.last_repair, self.noted = action, {}
        # Only with nothing unplugged, added or disturbed does it prove anything: as the machine leaves the shop.
        if isinstance(action, Observed) and self.last_repair and self.situation.untouched:
            self.noted[tuple(self.situation.state.values())] = (index + 1, all_seen_words(action.seen))
        found = _row(action)
        if found:
            where = {"index": index, "number": index + 1, "state": self.situation.words(self.circuit)}
            self.rows.append({"expected": "", "shown": "", "remarks": [], "citable": True} | where | found)


def _row(action: Action) -> Row | None:
    """Return what a row says of an action; None for one that has no row."""
    match action:
        case Measured(probe, reading, expected, source, energised, note):
            what = what_was_measured(probe)
            return {
                "what": text("findings.real", what=what) if source else what,
                "expected": note if expected is None else _with_note(show_quantity(expected, reading.unit), note),
                "shown": shown(reading),
                "remarks": remarks(probe, reading, energised=energised),
            }
        case Observed(seen):
            return {"what": text("findings.seen"), "shown": all_seen_words(seen)}
        case Inspected(at, seen):
            return {"what": text("findings.inspected", at=at), "shown": seen, "citable": False}
        case Asked(question, answer):
            return {"what": text("findings.asked", question=question), "shown": answer, "citable": False}
        case Move(verb="repair", target=place, value=remedy):
            return {"what": text("findings.repair", place=place, remedy=remedy), "citable": False}
    return None


def _with_note(expected: str, note: str) -> str:
    return f"{expected} ({note})" if note else expected
