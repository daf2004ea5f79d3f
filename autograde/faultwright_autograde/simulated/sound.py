"""Sound habits: whoever works so has found the fault, says how, and has proved the repair."""

from __future__ import annotations

from collections.abc import Callable

from faultwright.candidates import voltage_probes
from faultwright.machine import Machine
from faultwright.meter import AMPS, read
from faultwright.quantities import show_quantity
from faultwright_autograde.evidence import Left

from .work import (
    Answer,
    Task,
    calculated,
    justified,
    measure_everything,
    narrow_down,
    prove,
    repair,
    repeat_complaint,
    suspects,
)


def finished(task: Task, left: Left, cited: list[int], confidence: str) -> Answer:
    """Isolate, repair, prove, and hand in what is left as the claim."""
    remedy = repair(task, left)
    prove(task)
    return justified(task, claim=list(left.faults), cited=cited, remedy=remedy, confidence=confidence)


def methodical(task: Task) -> Answer:
    """Narrow down test by test, cite, repair with the source off, prove."""
    looks = repeat_complaint(task)
    left, tests = narrow_down(task)
    return finished(task, left, [*looks, *tests], "would sign for it")


def measures_everything(task: Task) -> Answer:
    """Measure all there is, cite all of it, and be right in the end."""
    repeat_complaint(task)
    left = measure_everything(task)
    cited = [index for index, _ in task.bench.record.findings()]
    return finished(task, left, cited, "fairly")


def repeats(task: Task) -> Answer:
    """Work as the methodical do, slowly: every look and every reading is taken twice."""
    looks = repeat_complaint(task) + repeat_complaint(task)
    left, tests = narrow_down(task)
    for index in tests:
        probe = getattr(task.bench.actions[index], "probe", None)
        if probe is not None:
            task.bench.read(probe)
    return finished(task, left, [*looks, *tests], "fairly")


def from_one_end(task: Task) -> Answer:
    """Measure point after point to FRAME in the order of the drawing, then whatever still splits what is left."""
    looks = repeat_complaint(task)
    left, cited = suspects(task), list(looks)
    for probe in voltage_probes(task.circuit):
        if len(left.groups(task.groups)) <= 1:
            break
        cited.append(task.bench.read(probe)[0])
        left = suspects(task, left)
    left, tests = narrow_down(task, left)
    return finished(task, left, [*cited, *tests], "would sign for it")


def cautious(task: Task) -> Answer:
    """Work as the methodical do, and name one group more than the findings leave, to be sure."""
    looks = repeat_complaint(task)
    left, tests = narrow_down(task)
    other = next((name for name in task.complaint_leaves.faults if name not in left.faults), None)
    answer = finished(task, left, [*looks, *tests], "fairly")
    return answer | ({"claim": [*answer["claim"], other]} if other else {})


def unit_slip(task: Task) -> Answer:
    """Work as the methodical do and lose a prefix in the calculation."""
    return methodical(task) | {"calculation": calculated(task, slip=True)}


def sign_slip(task: Task) -> Answer:
    """Work as the methodical do and write the calculated number with the other sign."""
    right = calculated(task)
    return methodical(task) | {"calculation": f"-{right}" if right else ""}


def cites_all(task: Task) -> Answer:
    """Work as the methodical do and cite every finding, also those after the repair."""
    answer = methodical(task)
    return answer | {"cited": [index for index, _ in task.bench.record.findings()]}


def cites_none(task: Task) -> Answer:
    """Work as the methodical do and cite nothing."""
    return methodical(task) | {"cited": []}


def current_used_up(task: Task) -> Answer:
    """Believe that a load uses current up: half of it is left behind the load, so half is what is calculated."""
    asked = task.blueprint.calculation
    answer = methodical(task)
    if asked is None or asked.probe.mode != AMPS:
        return answer
    machine = Machine(task.circuit)
    for move in asked.moves:
        machine.move(move)
    value = read(machine, asked.probe).value
    return answer | ({"calculation": show_quantity(value / 2, "A")} if value else {})


SOUND: dict[str, Callable[[Task], Answer]] = {
    "methodical": methodical,
    "repeats": repeats,
    "from-one-end": from_one_end,
    "unit-slip": unit_slip,
    "sign-slip": sign_slip,
    "cites-all": cites_all,
    "cites-none": cites_none,
    "current-used-up": current_used_up,
}
"""A fair examiner passes them. The last calculates by a wrong model (Engelhardt and Beichner, American Journal of
Physics 72, 2004; from memory) and loses that mark."""
