"""Practice without end: a case on any circuit of the course with any fault that could be set up on a real machine.

A case follows from its name alone, ``practice-runabout-17``, so it can be opened again. Complaint, question and proof
are worked out from the circuit; nobody has written them down.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from faultwright.circuit import Circuit, Part
from faultwright.errors import Mistake, Refused
from faultwright.faults import Fault, universe
from faultwright.files import read_text
from faultwright.machine import Machine
from faultwright.meter import AMPS, OK, Probe, read
from faultwright.moves import Move, control_moves
from faultwright.parts import branches
from faultwright.workshop.complaint import Complaints
from faultwright.workshop.dangers import SetUpRule
from faultwright_autograde.blueprint import Blueprint, Calculation, Complaint, is_mode
from faultwright_autograde.case import Case
from faultwright_autograde.draws import Draws
from faultwright_autograde.paper import fixed_case
from faultwright_autograde.pool import is_shown
from faultwright_autograde.rubric import DEFAULT_WEIGHTS, Rubric

from .catalogue import circuit_names, circuit_path, course_circuit
from .texts import text

FAMILIES: Mapping[str, tuple[str, ...]] = {
    "a break": ("open",),
    "a bad joint": ("resistance",),
    "a contact that does not follow": ("stuck open", "stuck closed"),
    "a short": ("shorted to ground", "shorted to supply", "shorted"),
}
"""Kinds of fault that are practised, by the modes that belong to them."""

MOST_STATES = 128
"""Control states up to which a circuit is used: the whole of the symptom table is worked out for a complaint."""

_NAME = re.compile(r"practice-([A-Za-z0-9.-]+)-(\d{1,6})")
_NOT_SECRET = b"practice without end has no secret"
_LEAST_AMPS = 0.01
MOST_DRAWN = 200
"""Draws of a fault until one must have fitted."""

_TAKERS = ("relay", "contactor", "lamp", "solenoid")


def circuits() -> list[str]:
    """Return the names of the circuits that cases are made of."""
    return [name for name in circuit_names() if course_circuit(name).state_count <= MOST_STATES]


@lru_cache(maxsize=32)
def _rule(name: str) -> SetUpRule:
    return SetUpRule(course_circuit(name))


@lru_cache(maxsize=512)
def _fits(name: str, fault: Fault) -> bool:
    """Say whether somebody would complain of a fault, and whether it is safe to set up on a real machine.

    Where a contactor holds itself in, a complaint can need more moves than those into its state: it is no case then.
    """
    if _complaints(name).of(fault).state is None or _rule(name).dangers(fault):
        return False
    return is_shown(course_circuit(name), fault, _complaint(name, fault))


def _complaint(name: str, fault: Fault) -> Complaint:
    """Return what the operator says of a fault, and how one gets there from rest."""
    circuit, found = course_circuit(name), _complaints(name).of(fault)
    moves = tuple(control_moves(circuit, circuit.rest(), dict(found.state or {})))
    return Complaint(" ".join(found.words), moves, tuple(circuit.behaviour))


@lru_cache(maxsize=32)
def _complaints(name: str) -> Complaints:
    return Complaints(course_circuit(name))


def family_of(case: str) -> str:
    """Return the family of a case. Raises Refused for what is no case's name."""
    return _drawn(case)[1]


def _drawn(case: str) -> tuple[str, str, Fault]:
    """Return circuit, family and fault of a case."""
    named = _NAME.fullmatch(case)
    if named is None:
        raise Refused(Mistake(text("endless.name", case=case)))
    name, number = named.groups()
    every = universe(course_circuit(name)).values()
    luck = Draws(_NOT_SECRET, name, number)
    for _ in range(MOST_DRAWN):
        family = luck.one_of(list(FAMILIES))
        faults = [fault for fault in every if any(is_mode(fault, mode) for mode in FAMILIES[family])]
        fault = luck.one_of(faults) if faults else None
        if fault is not None and _fits(name, fault):
            return name, family, fault
    raise Refused(Mistake(text("endless.no_fault"), name))


def case_of(name: str) -> Case:
    """Return the case of a name. Raises Refused for what is no case's name."""
    circuit_name, _, fault = _drawn(name)
    circuit = course_circuit(circuit_name)
    complaint = _complaint(circuit_name, fault)
    calculation = _calculation(circuit, complaint.moves)
    dropped = {"continuity"} | (set() if calculation else {"calculation"})
    blueprint = Blueprint(
        paper=name,
        title=circuit.title or circuit.name,
        circuit=circuit,
        complaint=complaint,
        calculation=calculation,
        rubric=Rubric({key: weight for key, weight in DEFAULT_WEIGHTS.items() if key not in dropped}),
        practice=True,
        place=name,
        circuit_text=read_text(circuit_path(circuit_name)),
    )
    return fixed_case(blueprint, str(fault))


def _calculation(circuit: Circuit, moves: tuple[Move, ...]) -> Calculation | None:
    """Return a question by Ohm's law: what a coil, a lamp or a solenoid takes in the state of the complaint.

    Not a motor's current: while it turns that follows from its load, and from no resistance on the drawing.
    """
    machine = Machine(circuit)
    for move in moves:
        machine.make(move)
    for part in circuit.parts.values():
        if part.kind not in _TAKERS:
            continue
        for wire in _wires_alone(circuit, part):
            reading = read(machine, Probe(AMPS, wire))
            if reading.status == OK and reading.value is not None and abs(reading.value) >= _LEAST_AMPS:
                said = text("endless.moves", moves=", ".join(map(str, moves))) if moves else text("endless.rest")
                prompt = text("endless.calculation", moves=said, part=part.name, wire=wire)
                return Calculation(prompt, moves, Probe(AMPS, wire))
    return None


def _wires_alone(circuit: Circuit, part: Part) -> list[str]:
    """Return the wires that carry the current of one part and nothing else: the only ones at its terminal."""
    taker = branches(part)[0]  # a relay's coil comes before its contacts
    at_ends = [circuit.wired.get(end, ()) for end in (taker.a, taker.b)]
    return [wires[0] for wires in at_ends if len(wires) == 1]
