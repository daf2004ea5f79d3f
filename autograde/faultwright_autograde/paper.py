"""Papers: each candidate's own machine and fault, drawn from the secret so that nobody else can work them out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from faultwright.circuit import Circuit, Part, Wire
from faultwright.errors import Mistake, Refused
from faultwright.faults import Fault, parse_fault
from faultwright.record import Record, action_as_json

from .blueprint import Blueprint
from .case import Case
from .difficulty import Difficulty
from .draws import Draws
from .evidence import Left
from .groups import group_numbers
from .pool import complaint_actions, is_safe, is_shown, middle_value, pool
from .texts import text

MOST_TRIES = 64
"""Draws of a machine before it is said that none fits."""

PAPER_VERSION = 1


@dataclass
class PaperMaker:
    """Makes the cases of one class. What is worked out for one candidate is kept for the others."""

    blueprint: Blueprint
    secret: bytes
    given_groups: Mapping[str, int] | None = None
    _pool: list[Fault] = field(default_factory=list)
    _difficulty: Difficulty | None = None

    @property
    def groups(self) -> Mapping[str, int]:
        """The ambiguity groups of the blueprint's circuit."""
        return group_numbers(self.blueprint.circuit_text) if self.given_groups is None else self.given_groups

    @property
    def difficulty(self) -> Difficulty:
        """What makes one fault harder than another."""
        if self._difficulty is None:
            self._difficulty = Difficulty(self.blueprint, self.groups)
        return self._difficulty

    def case(self, candidate: str) -> Case:
        """Return a candidate's case. Raises Refused where no fault of the pool lies within the difficulty."""
        if not self._pool:
            self._pool = pool(self.blueprint)
        draws = Draws(self.secret, "paper", self.blueprint.paper, candidate)
        number = f"{self.blueprint.paper}-{draws.name()}"
        left = list(self._pool)
        for _ in range(MOST_TRIES):
            if not left:
                break
            fault = draws.one_of(left)
            if not self.difficulty.fits(fault):
                left.remove(fault)
                continue
            if fault.value is not None:
                fault = replace(fault, value=float(f"{draws.by_ratio(*self.blueprint.value_range(fault)):.4g}"))
            circuit = varied(self.blueprint, draws)
            if self._works(circuit) and is_shown(circuit, fault, self.blueprint.complaint) and is_safe(circuit, fault):
                return Case(
                    candidate, number, self.blueprint, circuit, fault, self.groups, self._suspects(fault, circuit)
                )
        raise Refused(Mistake("no machine within the difficulty could be drawn from the pool", self.blueprint.place))

    def _suspects(self, fault: Fault, circuit: Circuit) -> Left | None:
        """Return what the class's complaint leaves, where this machine's complaint is that of the blueprint's."""
        complaint, known = self.blueprint.complaint, self.blueprint.circuit
        middle = middle_value(self.blueprint, fault)
        same = complaint_actions(circuit, [fault], complaint) == complaint_actions(known, [middle], complaint)
        return self.difficulty.suspects(fault) if same else None

    def _works(self, circuit: Circuit) -> bool:
        """A varied machine must, when sound, do what the blueprint's does."""
        complaint = self.blueprint.complaint
        return complaint_actions(circuit, [], complaint) == complaint_actions(self.blueprint.circuit, [], complaint)


def varied(blueprint: Blueprint, draws: Draws) -> Circuit:
    """Return the blueprint's circuit with its own emf and wire lengths, rounded as a parts list would be."""
    circuit = blueprint.circuit
    parts = {name: _varied_part(part, draws, blueprint) for name, part in circuit.parts.items()}
    wires = {name: _varied_wire(wire, draws, blueprint) for name, wire in circuit.wires.items()}
    return replace(circuit, parts=parts, wires=wires)


def _varied_part(part: Part, draws: Draws, blueprint: Blueprint) -> Part:
    if part.kind != "battery":
        return part
    emf = round(part.number("emf") * draws.between(*blueprint.emf), 2)
    return replace(part, values={**part.values, "emf": emf})


def _varied_wire(wire: Wire, draws: Draws, blueprint: Blueprint) -> Wire:
    factor = draws.between(*blueprint.length)
    given = None if wire.given_resistance is None else float(f"{wire.given_resistance * factor:.4g}")
    return replace(wire, length=max(0.01, round(wire.length * factor, 2)), given_resistance=given)


def fixed_case(blueprint: Blueprint, fault: str, candidate: str = "practice") -> Case:
    """Return the case of an exercise that is the same for everybody: the blueprint's own circuit and a named fault.

    Raises Refused where the circuit cannot have the fault or the complaint does not show it.
    """
    found = parse_fault(fault, blueprint.circuit)
    if not is_shown(blueprint.circuit, found, blueprint.complaint):
        raise Refused(Mistake(f"the complaint does not show {fault!r}", blueprint.place))
    return Case(candidate, blueprint.paper, blueprint, blueprint.circuit, found)


def paper_as_json(case: Case) -> dict[str, Any]:
    """Return what is handed out. It holds the fault only where the blueprint says that it is practice."""
    blueprint = case.blueprint
    calculation = blueprint.calculation
    found: dict[str, Any] = {
        "version": PAPER_VERSION,
        "paper": case.paper,
        "candidate": case.candidate,
        "title": blueprint.title,
        "circuit": case.circuit.name,
        "circuit_file": "circuit.yaml",
        "complaint": {
            "text": blueprint.complaint.text,
            "actions": [action_as_json(action) for action in Record(case.circuit.name, case.complaint).actions],
        },
        "questions": {
            **({"calculation": {"prompt": calculation.prompt}} if calculation else {}),
            "continuity": [
                {"id": question.id, "prompt": question.prompt, "choices": list(question.choices)}
                for question in blueprint.continuity
            ],
        },
    }
    if blueprint.story.questions:
        # The same for the whole class. What inspection shows follows from the fault, so it is never put in here.
        found["ask"] = [{"question": one.ask, "answer": one.answer} for one in blueprint.story.questions]
    if blueprint.practice:
        found["machine"] = {"faults": [str(case.fault)], "note": text("paper.practice")}
    return found
