"""The bench card: for the instructor alone, since it names the fault."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from faultwright.circuit import Circuit, SafetyNote
from faultwright.faults import Fault

from .bench_readings import BenchReadings, bench_readings
from .cautions import instructor_cautions
from .complaint import Complaint
from .refusals import Permission
from .set_up import SetUp
from .state_rows import StateRow, proof_rows


@dataclass(frozen=True)
class BenchCard:
    """One fault on one circuit. ``asked`` is the fault as it was asked for, ``way.fault`` as it is put in."""

    circuit: Circuit
    asked: Fault
    way: SetUp
    cautions: tuple[SafetyNote, ...]
    complaint: Complaint
    suspects: tuple[str, ...]
    readings: BenchReadings
    proof: tuple[StateRow, ...]
    board: bool

    @property
    def state(self) -> Mapping[str, str]:
        """The control state in which the readings are taken."""
        return self.complaint.state or working_state(self.circuit)

    def as_json(self) -> dict[str, Any]:
        """The card as the command line's JSON gives it."""
        return {
            "circuit": self.circuit.name,
            "fault": str(self.way.fault),
            "asked": str(self.asked),
            "board": self.board,
            "set_up": {
                "parts": list(self.way.parts),
                "steps": list(self.way.steps),
                "removal": list(self.way.removal),
                "check": list(self.way.check),
            },
            "cautions": [{"signal": note.signal, "text": note.text} for note in self.cautions],
            "complaint": list(self.complaint.words),
            "suspects": list(self.suspects),
            "readings": [reading.as_json() for reading in self.readings.readings],
            "not_told_apart": list(self.readings.alike),
            "proof": [row.as_json() for row in self.proof],
        }


def working_state(circuit: Circuit) -> dict[str, str]:
    """Return the state with every control in its last position: there, as a rule, most of a machine is at work."""
    return {control.name: control.positions[-1] for control in circuit.controls.values()}


def bench_card(permission: Permission, fault: Fault) -> BenchCard:
    """Return the card of a fault. Raises Refused where it may not be put in or cannot."""
    circuit = permission.circuit
    way = permission.way(fault)
    complaint = permission.complaints.of(way.fault)
    others = permission.complaints.suspects(way.fault)[1:] if complaint.state else ()
    state = complaint.state or working_state(circuit)
    return BenchCard(
        circuit,
        fault,
        way,
        instructor_cautions(circuit, way, defeats_a_guard=permission.defeats_a_guard(way.fault)),
        complaint,
        tuple(other.name for other in others),
        bench_readings(circuit, way.fault, others, state),
        proof_rows(circuit, complaint.state),
        permission.board,
    )
