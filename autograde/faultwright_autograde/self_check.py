"""Checking one's own answer at home: what is there, what is missing, what to do next; never the solution.

Everything said follows from the record as it was written, the circuit and the complaint. The fault is not looked at, so
nothing of it can show: for two machines that would have given the same record the words are the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from faultwright.errors import Refused
from faultwright.faults import cures, parse_fault
from faultwright.files import read_json
from faultwright.machine import rewired
from faultwright.meter import LIVE
from faultwright.moves import Move
from faultwright.network import Wiring
from faultwright.proof import Fact
from faultwright.quantities import parse_quantity
from faultwright.record import Action, Measured, Observed

from .answer import LARGEST, Answer, names_jumper, parse_answer
from .calculation import UNIT
from .case import Case
from .evidence import left_after, weighed
from .self_check_texts import text
from .trace import DEAD_MODES


def check_yourself(answer_file: Path, case: Case) -> list[str]:
    """Return what there is to say of an answer in a file, in the order of the criteria.

    Raises Refused with every mistake where it cannot be used.
    """
    data = read_json(answer_file, largest=LARGEST)
    answer = parse_answer(data, case.circuit, answer_file.name)
    if answer.paper != case.paper:
        raise Refused(text("other_paper", given=answer.paper, own=case.paper))
    return [line for part in (_evidence, _asked, _remedy, _proof, _safety) for line in part(answer, case)]


def _before_repair(actions: Sequence[Action]) -> Sequence[Action]:
    """Return what was done before anything was repaired: the evidence."""
    first = next((place for place, one in enumerate(actions) if isinstance(one, Move) and one.verb == "repair"), None)
    return actions[:first]


def _evidence(answer: Answer, case: Case) -> Iterator[str]:
    actions = _before_repair(answer.record.actions)
    made = [place for place, one in enumerate(actions) if isinstance(one, Measured | Observed)]
    before = _groups(case, case.complaint)
    if not made:
        yield text("evidence.none", before=len(before))
    put_together, _ = weighed(case.complaint, actions, made, ())
    groups = _groups(case, put_together)
    if not groups:
        yield text("evidence.conflict")
    elif made:
        key = "evidence.one" if len(groups) == 1 else "evidence.some"
        yield text(key, before=len(before), after=len(groups))
    yield from _claim(answer, case, groups)
    cited = [place for place in answer.cited if place in made]
    if made and not cited:
        yield text("cited.none")
    elif cited:
        alone, _ = weighed(case.complaint, actions, cited, ())
        left = _groups(case, alone)
        if len(left) > len(groups):
            yield text("cited.more", cited=len(left), all=len(groups))


def _groups(case: Case, actions: Sequence[Action]) -> list[list[str]]:
    """Return the groups of all faults that actions leave."""
    return left_after(case.circuit, actions, case.suspects.faults.values()).groups(case.groups)


def _claim(answer: Answer, case: Case, groups: Sequence[Sequence[str]]) -> Iterator[str]:
    if not answer.claim:
        yield text("claim.none")
        return
    numbers = {case.groups.get(name) for name in answer.claim}
    left = {case.groups.get(names[0]) for names in groups}
    outside = len(left - numbers)
    against = [name for name in answer.claim if case.groups.get(name) not in left]
    for name in against:
        yield text("claim.cleared", name=name)
    if outside and not against:
        yield text("claim.narrow", outside=outside)
    elif not outside and not against:
        yield text("claim.covers")


def _asked(answer: Answer, case: Case) -> Iterator[str]:
    asked = case.blueprint.calculation
    if asked:
        unit = UNIT[asked.probe.mode]
        if not answer.calculation:
            yield text("calculation.none", unit=unit)
        else:
            try:
                parse_quantity(answer.calculation, unit)
                yield text("calculation.there", given=answer.calculation)
            except Refused as refused:
                yield text("calculation.unreadable", why=refused.mistakes[0].message)
    for question in case.blueprint.continuity:
        given = answer.continuity.get(question.id, "")
        if not given:
            yield text("continuity.none", id=question.id)
        elif given not in question.choices:
            yield text("continuity.unknown", id=question.id, given=given)


def _remedy(answer: Answer, case: Case) -> Iterator[str]:
    if not answer.remedy:
        yield text("remedy.none")
    elif names_jumper(answer.remedy, case.circuit):
        yield text("remedy.jumper")
    elif answer.claim:
        place, _, what = answer.remedy.partition(" ")
        if not any(cures(place, what, parse_fault(name, case.circuit)) for name in answer.claim):
            yield text("remedy.not_claimed", remedy=answer.remedy)


def _proof(answer: Answer, case: Case) -> Iterator[str]:
    actions = answer.record.actions
    last = next((n for n in reversed(range(len(actions))) if _is_repair(actions[n])), None)
    if last is None:
        yield text("proof.no_repair")
        return
    state, wiring = dict(case.circuit.rest()), Wiring()
    shown: set[Fact] = set()
    for place, action in enumerate(actions):
        if isinstance(action, Move):
            state, wiring = _after(action, state, wiring, case)
        elif isinstance(action, Observed) and place > last and wiring == Wiring():
            shown |= case.proof.shows(state, action.seen)
    facts = len(case.proof.facts)
    if len(shown) < facts:
        yield text("proof.missing", shown=len(shown), all=facts)
    else:
        yield text("proof.whole", all=facts)


def _is_repair(action: Action) -> bool:
    return isinstance(action, Move) and action.verb == "repair"


def _after(move: Move, state: dict[str, str], wiring: Wiring, case: Case) -> tuple[dict[str, str], Wiring]:
    """Return controls and wiring after a move."""
    if move.verb == "rest":
        return dict(case.circuit.rest()), Wiring()
    if move.verb == "set":
        return {**state, move.target: move.value}, wiring
    return state, rewired(wiring, move)


def _safety(answer: Answer, case: Case) -> Iterator[str]:
    wiring = Wiring()
    for number, action in enumerate(answer.record.actions, start=1):
        if isinstance(action, Move):
            _, wiring = _after(action, {}, wiring, case)
        elif isinstance(action, Measured) and _is_live(action):
            yield text("safety.live", number=number, meter=action.probe.mode)
    if wiring.bridges or wiring.loads:
        yield text("safety.left_on")


def _is_live(finding: Measured) -> bool:
    """Say whether a measurement that asks for a dead circuit was made on one that was not, as the record has it."""
    return finding.probe.mode in DEAD_MODES and (finding.energised or finding.reading.status == LIVE)
