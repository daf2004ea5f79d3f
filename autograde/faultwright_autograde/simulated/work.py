"""What simulated students do at a bench like anybody's: test, measure, repair, prove, calculate, trace.

They know what a student is given: the circuit, the complaint, the questions.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from faultwright.bench import Bench
from faultwright.candidates import hand_probes, isolation, reachable, resistance_probes, voltage_probes
from faultwright.circuit import FRAME, Circuit
from faultwright.conditions import first_wrong
from faultwright.faults import part_of, universe
from faultwright.machine import Machine
from faultwright.meter import OHMS, Probe, read
from faultwright.moves import control_moves
from faultwright.next_test import NextTest
from faultwright.parts import sources
from faultwright.permission import path_states
from faultwright.proof import proof_of
from faultwright.quantities import show_quantity
from faultwright.statements import parse_condition
from faultwright_autograde.blueprint import Blueprint
from faultwright_autograde.difficulty import best_test, do_test
from faultwright_autograde.draws import Draws
from faultwright_autograde.evidence import Left, left_after

MOST_IDLE = 3
"""Tests in a row that tell nothing apart, until the way of testing is changed."""


@dataclass
class Task:
    """What a student has in hand: the paper's number, the machine, its drawing, the symptom table, and some luck."""

    paper: str
    bench: Bench
    blueprint: Blueprint
    groups: Mapping[str, int]
    complaint_leaves: Left
    luck: Draws

    @property
    def circuit(self) -> Circuit:
        """The circuit of the student's own machine."""
        return self.bench.circuit


Answer = dict[str, Any]


def answered(task: Task, **entries: Any) -> Answer:  # noqa: ANN401 - entries of the answer's JSON
    """Return an answer as the bench would write it."""
    blank: Answer = {
        "version": 1,
        "circuit": task.circuit.name,
        "paper": task.paper,
        "record": task.bench.as_json(),
        "claim": [],
        "cited": [],
        "calculation": "",
        "continuity": {},
        "remedy": "",
        "confidence": "",
    }
    return blank | entries


def justified(task: Task, **entries: Any) -> Answer:  # noqa: ANN401 - entries of the answer's JSON
    """Return an answer whose calculation and continuity are worked out rightly from the drawing."""
    return answered(task, calculation=calculated(task), continuity=traced(task), **entries)


# What students do


def repeat_complaint(task: Task) -> list[int]:
    """Operate the machine as the complaint says, and look after every move; return the numbers of the looks."""
    complaint = task.blueprint.complaint
    looks = [] if complaint.moves else [task.bench.observe()]
    for move in complaint.moves:
        task.bench.move(str(move))
        looks.append(task.bench.observe())
    return looks


def suspects(task: Task, before: Left | None = None) -> Left:
    """Work out what the record so far leaves of what was left before (at first by the complaint)."""
    known = before or task.complaint_leaves
    return left_after(task.circuit, task.bench.actions, known.faults.values())


def narrow_down(task: Task, before: Left | None = None) -> tuple[Left, list[int]]:
    """Make the best next test until one group is left, or no test splits what is; return the tests' numbers too.

    Where several tests in a row tell nothing apart, take the ohms of what is left, isolated and in the hand.
    """
    left = suspects(task, before)
    tests: list[int] = []
    idle = 0
    while len(left.groups(task.groups)) > 1 and idle < MOST_IDLE:
        test = _best(task, left)
        if test is None:
            break
        tests.append(do_test(task.bench, test))
        before, left = left, suspects(task, left)
        idle = idle + 1 if len(left.groups(task.groups)) == len(before.groups(task.groups)) else 0
    if idle == MOST_IDLE:
        tests += _ohms_of(task, left)
        left = suspects(task, left)
        if len(left.groups(task.groups)) > 1:
            tests += _open_one_after_the_other(task, left)
            left = suspects(task, left)
    return left, tests


_BEST: dict[tuple[Circuit, str], NextTest | None] = {}
"""The best tests found before: students who have done the same on the same machine choose the same."""

MOST_BEST = 5000


def _best(task: Task, left: Left) -> NextTest | None:
    key = task.circuit, json.dumps(task.bench.as_json())
    if key not in _BEST:
        if len(_BEST) >= MOST_BEST:
            _BEST.clear()
        _BEST[key] = best_test(task.circuit, task.bench, left, task.groups)
    return _BEST[key]


def _ohms_of(task: Task, left: Left) -> list[int]:
    """Isolate, and measure across every part that is still suspected, in place and in the hand."""
    parts = {part_of(fault.place) for fault in left.faults.values()}
    isolate(task)
    probes = [*resistance_probes(task.circuit), *hand_probes(task.circuit)]
    return [task.bench.read(probe)[0] for probe in probes if {part_of(probe.red), part_of(probe.black)} & parts]


def _open_one_after_the_other(task: Task, left: Left) -> list[int]:
    """Watch the ohms to FRAME of what is suspected, isolated, while one control after the other is moved and back.

    So a short is followed to where it is: common practice, without a source.
    """
    parts = {part_of(fault.place) for fault in left.faults.values()}
    wires = [wire for wire in task.circuit.wires.values() if wire.name in parts]
    joined = {end for wire in wires for end in (wire.start, wire.end)}
    ends = [end for end in reachable(task.circuit, sources(task.circuit)) if end in joined]
    found: list[int] = []
    standing = dict(task.bench.machine.state)
    for control in task.circuit.controls.values():
        for position in control.positions:
            if position != standing[control.name]:
                task.bench.move(f"{control.name}={position}")
                found += [task.bench.read(Probe(OHMS, end, FRAME))[0] for end in ends]
        task.bench.move(f"{control.name}={standing[control.name]}")
    return found


def measure_everything(task: Task) -> Left:
    """Measure every point with the complaint standing, then everything again with the source off."""
    for probe in voltage_probes(task.circuit):
        task.bench.read(probe)
    isolate(task)
    for probe in resistance_probes(task.circuit):
        task.bench.read(probe)
    return suspects(task)


def isolate(task: Task) -> None:
    """Take every source off."""
    for move in isolation(task.circuit):
        task.bench.move(str(move))


def mend(task: Task, name: str) -> str:
    """Isolate and repair what a fault needs first; return the remedy."""
    fault = universe(task.circuit)[name]
    remedy = f"{fault.place} {fault.remedies[0]}"
    task.bench.move("rest")
    isolate(task)
    task.bench.move(f"repair={remedy}")
    task.bench.move("rest")
    return remedy


def repair(task: Task, left: Left) -> str:
    """Repair one suspect of the group after the other, until the complaint is gone; return the last remedy."""
    remedy = ""
    for name in left.faults:
        remedy = mend(task, name)
        if _complaint_is_gone(task):
            break
    return remedy


def _complaint_is_gone(task: Task) -> bool:
    """Repeat the complaint, and say whether the machine did at every look what a sound one does."""
    sound, machine = Machine(task.circuit), task.bench.machine
    task.bench.observe()
    gone = machine.seen() == sound.seen()
    for move in task.blueprint.complaint.moves:
        sound.move(move)
        task.bench.move(str(move))
        task.bench.observe()
        gone = gone and machine.seen() == sound.seen()
    return gone


def prove(task: Task) -> None:
    """Show every permission and every refusal."""
    proof = proof_of(task.circuit)
    for state in proof.smallest:
        task.bench.move("rest")
        for move in control_moves(task.circuit, task.circuit.rest(), dict(state)):
            task.bench.move(str(move))
        task.bench.observe()


def calculated(task: Task, *, slip: bool = False) -> str:
    """Compute what is asked for, from the drawing; with a ``slip`` the milli of the result gets lost."""
    asked = task.blueprint.calculation
    if asked is None:
        return ""
    machine = Machine(task.circuit)
    for move in asked.moves:
        machine.move(move)
    reading = read(machine, asked.probe)
    if reading.value is None:
        return ""
    return f"{reading.value * 1000:.4g} {reading.unit}" if slip else show_quantity(reading.value, reading.unit)


def traced(task: Task) -> dict[str, str]:
    """Answer the continuity questions by tracing the drawing."""
    found: dict[str, str] = {}
    for question in task.blueprint.continuity:
        states = path_states(task.circuit, question.between)
        right = [
            choice for choice in question.choices if first_wrong(parse_condition(choice, task.circuit), states) is None
        ]
        found[question.id] = right[0] if right else ""
    return found
