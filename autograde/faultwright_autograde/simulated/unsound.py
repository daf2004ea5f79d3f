"""Unsound habits: guessing, copying, forging, defeating guards, repairing without finding out, no proof."""

from __future__ import annotations

import copy
from collections.abc import Callable

from faultwright.candidates import resistance_probes, voltage_probes
from faultwright.faults import Fault, universe
from faultwright.meter import OHMS, OK, Probe
from faultwright.quantities import show_quantity

from .sound import methodical
from .work import (
    Answer,
    Task,
    answered,
    justified,
    mend,
    narrow_down,
    prove,
    repair,
    repeat_complaint,
    suspects,
    traced,
)


def guesser(task: Task, *, lucky: Fault | None = None) -> Answer:
    """Look once, name something likely, change it, hope. ``lucky`` is a guess that happens to be right."""
    repeat_complaint(task)
    fault = lucky or task.luck.one_of(list(suspects(task).faults.values()))
    remedy = f"{fault.place} {universe(task.circuit)[fault.name].remedies[0]}"
    task.bench.move(f"repair={remedy}")
    task.bench.observe()
    return answered(
        task,
        claim=[fault.name],
        cited=[index for index, _ in task.bench.record.findings()][:1],
        calculation=show_quantity(task.circuit.nominal, "V"),
        continuity={question.id: question.choices[0] for question in task.blueprint.continuity},
        remedy=remedy,
        confidence="guess",
    )


def lucky_with_proof(task: Task, lucky: Fault) -> Answer:
    """Guess right without a single reading, repair by the book and prove it: still a guess."""
    looks = repeat_complaint(task)
    remedy = f"{lucky.place} {universe(task.circuit)[lucky.name].remedies[0]}"
    task.bench.move("rest")
    task.bench.move(f"repair={remedy}")
    prove(task)
    return justified(
        task,
        claim=[lucky.name],
        cited=looks,
        remedy=remedy,
        confidence="would sign for it",
    )


def copier(task: Task, neighbour: Answer) -> Answer:
    """Hand in a neighbour's work under one's own number."""
    return neighbour | {"paper": task.paper}


def copies_the_claim(task: Task, neighbour: Answer) -> Answer:
    """Do a little of one's own, and hand in what the neighbour claims."""
    looks = repeat_complaint(task)
    copied = {key: neighbour.get(key, "") for key in ("calculation", "remedy", "confidence")}
    return answered(task, claim=neighbour.get("claim", []), cited=looks, continuity=traced(task), **copied)


def claims_everything(task: Task) -> Answer:
    """Work as the methodical do and claim every suspect of the complaint."""
    answer = methodical(task)
    return answer | {"claim": list(task.complaint_leaves.faults)}


def swaps_parts(task: Task) -> Answer:
    """Change one part after the other without measuring, until the complaint is gone; name the last one."""
    looks = repeat_complaint(task)
    remedy = repair(task, task.complaint_leaves)
    place = remedy.partition(" ")[0]
    claim = [name for name, fault in task.complaint_leaves.faults.items() if fault.place == place][:1]
    prove(task)
    return justified(
        task,
        claim=claim,
        cited=looks,
        remedy=remedy,
        confidence="fairly",
    )


def skips_the_proof(task: Task) -> Answer:
    """Find the fault by the book, repair what it may be, and stop there: the machine is not operated again."""
    looks = repeat_complaint(task)
    left, tests = narrow_down(task)
    remedy = mend(task, next(iter(left.faults)))
    return justified(
        task,
        claim=list(left.faults),
        cited=[*looks, *tests],
        remedy=remedy,
        confidence="would sign for it",
    )


def unsafe(task: Task) -> Answer:
    """Work like the methodical, but with a jumper across a safety switch all along and ohms on a live circuit."""
    circuit = task.circuit
    switch = circuit.parts[task.blueprint.safety_switches[0]]
    ends = ",".join(f"{switch.name}:{pin}" for pin in switch.contacts[0].pins)
    repeat_complaint(task)
    live = next(iter(resistance_probes(circuit)))
    task.bench.read(Probe(OHMS, live.red, live.black))
    left, cited = narrow_down(task)
    remedy = repair(task, left)
    prove(task)
    task.bench.move("rest")
    task.bench.move(f"bridge={ends}")
    for move in task.blueprint.complaint.moves:
        task.bench.move(str(move))
    task.bench.observe()
    return justified(
        task,
        claim=list(left.faults),
        cited=cited,
        remedy=remedy,
        confidence="would sign for it",
    )


def forges_readings(task: Task) -> Answer:
    """Work like the methodical, and write twice what the meter showed, and one more, into every reading.

    Where it showed no number, one is made up.
    """
    task.bench.read(next(iter(voltage_probes(task.circuit))))
    answer = copy.deepcopy(methodical(task))
    for action in answer["record"]["actions"]:
        if reading := action.get("read"):
            reading["value"] = min((reading["value"] or 0) * 2 + 1, 500)
            reading["status"] = OK
    return answer


def forges_proof(task: Task) -> Answer:
    """Repair nothing, and write down what a sound machine would have been seen to do."""
    looks = repeat_complaint(task)
    left, tests = narrow_down(task)
    record = task.bench.as_json()
    for state in some_states(task):
        record["actions"].append({"move": "rest"})
        record["actions"] += [{"move": f"{control}={position}"} for control, position in state]
        record["actions"].append({"see": {name: True for name in task.circuit.behaviour if _is_plain(task, name)}})
    return justified(
        task,
        record=record,
        claim=list(left.faults),
        cited=[*looks, *tests],
        remedy=f"{next(iter(left.faults.values())).place} replace" if left.faults else "",
        confidence="would sign for it",
    )


def some_states(task: Task) -> list[list[tuple[str, str]]]:
    """Return some states of the controls, each as the controls that are not at rest."""
    rest = task.circuit.rest()
    return [[(name, at) for name, at in state.items() if at != rest[name]] for state in task.circuit.states()][:8]


def _is_plain(task: Task, name: str) -> bool:
    return task.circuit.behaviour[name].kind != "lamp"


UNSOUND: dict[str, Callable[[Task], Answer]] = {
    "guesser": guesser,
    "claims-everything": claims_everything,
    "swaps-parts": swaps_parts,
    "skips-the-proof": skips_the_proof,
    "unsafe": unsafe,
    "forges-readings": forges_readings,
    "forges-proof": forges_proof,
}
"""Habits that a fair examiner never passes and that need nobody else."""
