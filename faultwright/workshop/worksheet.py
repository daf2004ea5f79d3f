"""The worksheet: for the student. It is made from the circuit and the complaint alone, so it cannot tell the fault."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from faultwright.circuit import Circuit, SafetyNote

from .cautions import student_cautions
from .complaint import Complaint
from .isolation import isolation_steps
from .state_rows import StateRow, table_rows


@dataclass(frozen=True)
class Worksheet:
    """One complaint on one circuit, with the states of its symptom table."""

    circuit: Circuit
    complaint: Complaint
    cautions: tuple[SafetyNote, ...]
    isolation: tuple[str, ...]
    rows: tuple[StateRow, ...]

    def as_json(self) -> dict[str, Any]:
        """The worksheet as the command line's JSON gives it."""
        return {
            "circuit": self.circuit.name,
            "complaint": list(self.complaint.words),
            "cautions": [{"signal": note.signal, "text": note.text} for note in self.cautions],
            "isolation": list(self.isolation),
            "states": [dict(row.state) for row in self.rows],
        }


def worksheet(circuit: Circuit, complaint: Complaint) -> Worksheet:
    """Return the worksheet for a complaint."""
    return Worksheet(circuit, complaint, student_cautions(circuit), isolation_steps(circuit), table_rows(circuit))
