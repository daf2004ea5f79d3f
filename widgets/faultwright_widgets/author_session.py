"""The author view without any Jupyter: a fault is put in, and out comes what a student would see and who is suspected.

What it works out needs numpy and takes a moment, so it is done when a fault is put in and kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import starmap
from typing import Any

from faultwright.behaviour import Seen
from faultwright.circuit import Circuit
from faultwright.errors import Refused
from faultwright.faults import Fault, parse_fault
from faultwright.machine import Machine
from faultwright.moves import control_moves
from faultwright.next_test import next_test
from faultwright.record import Action, Observed, Record
from faultwright.state_table import Row, state_table
from faultwright.workshop.complaint import Complaints
from faultwright.workshop.refusals import Permission

from .comparing import words_of_test
from .messages import Message, text_in
from .texts import text
from .words import plain_name, seen_words, state_words

MOST_STATES = 32
"""Control states up to which all are shown; of more, those in which something differs."""


class AuthorSession:
    """One circuit, and the fault that its author has put in."""

    def __init__(self, circuit: Circuit) -> None:
        """Begin with the sound machine. Raises Refused where the circuit has too many control states to go through."""
        self.circuit = circuit
        self.fault: Fault | None = None
        self.alerts: list[str] = []
        self.found: dict[str, Any] = {}
        self._complaints = Complaints(circuit)
        self._permission = Permission(circuit)
        self._sound = list(state_table(circuit))

    def handle(self, message: Message) -> None:
        """Put a fault in (``{"do": "put_in", "fault": …}``) or take it out; what cannot be done becomes an alert."""
        self.alerts = []
        try:
            if message.get("do") == "put_in":
                self.put_in(text_in(message, "fault").strip())
            else:
                self.fault, self.found = None, {}
        except Refused as refused:
            self.alerts = [str(mistake) for mistake in refused.mistakes]

    def put_in(self, name: str) -> None:
        """Put a fault in by its name. Raises Refused, with the nearest name, for one that the circuit cannot have."""
        if not name:
            raise Refused(text("author.choose"))
        fault = parse_fault(name, self.circuit)
        there = replace(fault, disturbed=False)  # one that comes and goes, while it is there
        complaint = self._complaints.of(fault)
        suspects = self._complaints.suspects(fault)
        rows = list(starmap(self._row, zip(self._sound, state_table(self.circuit, [there]), strict=True)))
        shown = rows if len(rows) <= MOST_STATES else [row for row in rows if row["differs"]]
        self.fault = fault
        self.found = {
            "rows": shown,
            "left_out": len(rows) - len(shown),
            "complaint": list(complaint.words),
            "suspects": [str(suspect) for suspect in suspects],
            "best": self._best_test(there, complaint.state, suspects),
            "real": self._permission.against(fault) or [text("author.allowed", fault=fault)],
        }

    def _row(self, sound: Row, faulty: Row) -> dict[str, Any]:
        meant, seen = _all_words(sound), _all_words(faulty)
        return {
            "state": state_words(self.circuit, sound.state) or text("findings.at_rest"),
            "meant": ", ".join(meant.values()),
            "seen": ", ".join(
                words if words == meant[name] else text("author.differs", seen=words) for name, words in seen.items()
            ),
            "differs": meant != seen,
        }

    def _best_test(self, fault: Fault, state: Mapping[str, str] | None, suspects: tuple[Fault, ...]) -> str:
        """Return the best first test where the complaint has been seen in its state and noted."""
        record = Record(self.circuit.name, tuple(self._seen_in(fault, state or self.circuit.rest())))
        found = next_test(self.circuit, record, list(suspects), healthy=False)
        if found is None:
            return text("author.no_test")
        return text("author.best", test=words_of_test(self.circuit, found.candidate))

    def _seen_in(self, fault: Fault, state: Mapping[str, str]) -> Iterator[Action]:
        machine = Machine(self.circuit, [fault])
        for move in control_moves(self.circuit, machine.state, dict(state)):
            machine.make(move)
            yield move
        yield Observed(machine.seen())

    def state(self) -> dict[str, Any]:
        """Return everything that is to be seen, as plain JSON."""
        return {"fault": str(self.fault) if self.fault else "", "alerts": list(self.alerts), **self.found}


def _all_words(row: Row) -> dict[str, str]:
    return {name: _words(row, name, seen) for name, seen in row.seen.items()}


def _words(row: Row, name: str, seen: Seen) -> str:
    if name in row.depends_on_history:
        return text("author.unsure", name=plain_name(name))
    return f"{plain_name(name)}: {seen_words(seen)}"
