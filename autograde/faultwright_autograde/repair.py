"""Remedy, proof and continuity: what was to be done about the fault, and what showed that it is gone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from faultwright.conditions import first_wrong
from faultwright.faults import Fault, cures, eases, universe
from faultwright.moves import Move
from faultwright.permission import path_states
from faultwright.proof import Fact
from faultwright.record import Observed
from faultwright.statements import parse_condition

from .answer import Answer, names_jumper
from .case import Case
from .diagnosis import Weighed, named, own_names
from .pool import everywhere
from .texts import text
from .trace import Moment, Trace
from .words import examples, seen_words, state_words


def remedies_of(case: Case) -> list[str]:
    """Return the remedies that cure the case, as an answer writes them."""
    return [f"{case.fault.place} {remedy}" for remedy in case.fault.remedies]


def judge_remedy(case: Case, answer: Answer, found: Weighed) -> tuple[float, str]:
    """Return the share for the remedy: it must cure the fault that was there and its cause, or a member of its group.

    Nobody can know which member of a group it is, so a remedy for any of them is right where the group is claimed, or
    where trial repairs ended in a sound machine; a claim that honestly holds several groups allows trials among all
    of them that the findings leave. A new fuse is never right while what blew it is something else, and a jumper
    never. Repairs of sound places outside are parts changed on suspicion: half.
    """
    done, claim = found.done, named(case, answer.claim, found)
    repairs, new_fuses = _repairs(done)
    tried = [move.target for move in repairs]
    own = own_names(case, found)
    group = [fault for name, fault in universe(case.circuit).items() if name in own]
    left = found.left.faults
    claimed = {case.groups.get(other) for other in answer.claim}
    allowed = [*group, *(fault for name, fault in left.items() if case.groups[name] in claimed)]
    within = {case.fault.place, *(fault.place for fault in allowed)}
    suspicion = sorted({place for place in tried if place not in within})
    # Whoever mends what blew a fuse and then puts in a new one has done one repair; the bench names its last step.
    completed = answer.remedy in new_fuses and bool(repairs)
    given = _written(repairs[-1]) if completed else answer.remedy
    words = {"given": given, "fault": str(case.fault), "right": " / ".join(remedies_of(case))}
    if not given:
        return 0.0, text("remedy.blank", **words)
    if names_jumper(given, case.circuit):
        return 0.0, text("remedy.jumper", **words)
    if _cured(given, [case.fault]):
        verdict = text("remedy.cures", **words)
    elif _is_blown_fuse(case, given):
        return 0.0, text("remedy.fuse", **words)
    elif done.cured and _cured(given, allowed if claim else group):
        verdict = text("remedy.trial", **words, repairs=examples(dict.fromkeys(tried)))
    elif claim and _cured(given, group):
        verdict = text("remedy.member", **words, member=_cured(given, group))
    else:
        return 0.0, _why_wrong(case, given, words)
    if completed:
        verdict += text("remedy.with_fuse", fuse=answer.remedy)
    if suspicion:
        return 0.5, verdict + text("remedy.changed", places=examples(suspicion))
    return 1.0, verdict


def _repairs(done: Trace) -> tuple[list[Move], list[str]]:
    """Return the repairs in order, and apart from them the new fuses with which they ended.

    A fuse that had gone is no sound part changed on suspicion, so a new one is a repair only where it had not.
    """
    repairs: list[Move] = []
    new_fuses: list[str] = []
    blown: frozenset[str] = frozenset()
    for moment in done.moments:
        move = moment.action
        if isinstance(move, Move) and move.verb == "repair":
            if move.target in blown and move.value == "replace":
                new_fuses.append(_written(move))
            else:
                repairs.append(move)
                new_fuses.clear()
        blown = moment.blown
    return repairs, new_fuses


def _written(repair: Move) -> str:
    """Return a repair as an answer writes it."""
    return f"{repair.target} {repair.value}"


def _is_blown_fuse(case: Case, remedy: str) -> bool:
    """Say whether a remedy is a new fuse for one that the fault, elsewhere, blows in some state of the controls."""
    place, _, what = remedy.partition(" ")
    return what == "replace" and any(place in machine.blown for machine in everywhere(case.circuit, (case.fault,)))


def _why_wrong(case: Case, remedy: str, words: dict[str, str]) -> str:
    place, _, what = remedy.partition(" ")
    if eases(place, what, case.fault):
        return text("remedy.eases", **words, cause=case.fault.cause)
    return text("remedy.wrong", **words)


def _cured(remedy: str, faults: Iterable[Fault]) -> str:
    """Return the name of the first fault that a remedy, written as in an answer, cures, or nothing."""
    place, _, what = remedy.partition(" ")
    return next((fault.name for fault in faults if cures(place, what, fault)), "")


def judge_proof(case: Case, done: Trace) -> tuple[float, str]:
    """Return the share of permissions and refusals that were seen on the repaired machine, whole again."""
    proof, complaint = case.proof, case.blueprint.complaint
    if not done.cured:
        return 0.0, text("proof.uncured")
    looks = [moment for moment in done.moments if moment.cured and isinstance(moment.action, Observed)]
    clean = [moment for moment in looks if moment.clean and moment.true]
    shown: set[Fact] = set()
    for moment in clean:
        if isinstance(moment.action, Observed):
            shown |= proof.shows(moment.state, moment.action.seen)
    missing = sorted(proof.facts - shown, key=lambda fact: (fact.behaviour, fact.control, fact.on))
    told = text("proof.missing", examples=examples(fact_words(case, fact) for fact in missing)) if missing else ""
    verdict = text("proof.share", shown=len(shown), all=len(proof.facts), missing=told)
    share = len(shown) / len(proof.facts) if proof.facts else 1.0
    asked = _complaint_state(case)
    if not any(moment.state == asked and _names(moment) >= set(complaint.see) for moment in clean):
        share, verdict = share / 2, verdict + text("proof.complaint", state=state_words(asked.items()))
    unclean = sum(not moment.clean for moment in looks)
    return share, verdict + (text("proof.unclean", count=unclean) if unclean else "")


def _names(moment: Moment) -> set[str]:
    return set(moment.action.seen) if isinstance(moment.action, Observed) else set()


def _complaint_state(case: Case) -> dict[str, str]:
    state = case.circuit.rest()
    state |= {move.target: move.value for move in case.blueprint.complaint.moves if move.verb == "set"}
    return state


def fact_words(case: Case, fact: Fact) -> str:
    """Return a permission or a refusal in words: what is seen, where, and which control makes the difference."""
    state = case.proof.where(fact)
    deciding = [entry for entry in state if entry[0] == fact.control]
    others = [entry for entry in state if entry[0] != fact.control]
    seen = seen_words({fact.behaviour: case.proof.table[state][fact.behaviour]})
    key = "proof.fact" if others else "proof.fact_alone"
    return text(key, seen=seen, control=state_words(deciding), others=state_words(others))


def judge_continuity(case: Case, answer: Answer) -> tuple[float, str]:
    """Return the share of the claims about paths that hold in every control state."""
    right = 0
    verdicts: list[str] = []
    for question in case.blueprint.continuity:
        given = answer.continuity.get(question.id, "")
        words = {"id": question.id, "given": given, "right": question.right}
        if not given:
            verdicts.append(text("continuity.blank", **words))
        elif given not in question.choices:
            verdicts.append(text("continuity.unknown", **words))
        else:
            states = path_states(case.circuit, question.between)
            wrong = first_wrong(parse_condition(given, case.circuit), states)
            if wrong is None:
                right += 1
                verdicts.append(text("continuity.right", **words, states=len(states)))
            else:
                there = text("continuity.there" if _is_there(states, wrong) else "continuity.not_there")
                state = state_words(wrong.items())
                verdicts.append(text("continuity.wrong", **words, state=state, there=there))
    return right / len(case.blueprint.continuity), " ".join(verdicts)


def _is_there(states: Sequence[tuple[Mapping[str, str], bool]], state: Mapping[str, str]) -> bool:
    """Say whether the path is there in a state."""
    return next(there for other, there in states if other == state)
