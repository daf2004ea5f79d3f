"""Remedy, proof and continuity: what was to be done about the fault, and what showed that it is gone."""

from __future__ import annotations

from collections.abc import Iterable

from faultwright.faults import Fault, cures, universe
from faultwright.moves import Move
from faultwright.record import Observed

from .answer import Answer
from .case import Case
from .conditions import first_wrong, parse_condition, path_states
from .proof import Fact, is_on
from .texts import text
from .trace import Moment, Trace
from .words import examples, state_words


def remedies_of(case: Case) -> list[str]:
    """Return the remedies that cure the case, as an answer writes them."""
    return [f"{case.fault.place} {remedy}" for remedy in case.fault.remedies]


def judge_remedy(case: Case, answer: Answer, done: Trace) -> tuple[float, str]:
    """Return the share for the remedy: it must cure this mode at this place and its cause.

    Where the members of a claimed group need different remedies, trial repairs among them that ended in a sound
    machine count in full. Repairs of sound places outside the claimed group are parts changed on suspicion: half.
    """
    words = {"given": answer.remedy, "fault": str(case.fault), "right": " / ".join(remedies_of(case))}
    repairs = [moment.action for moment in done.moments if isinstance(moment.action, Move)]
    tried = [move.target for move in repairs if move.verb == "repair"]
    claimed = _claimed(case, answer)
    within = {fault.place for fault in claimed}
    suspicion = sorted({place for place in tried if place not in within and place != case.fault.place})
    place, _, remedy = answer.remedy.partition(" ")
    if not answer.remedy:
        return 0.0, text("remedy.blank", **words)
    if cures(place, remedy, case.fault):
        verdict = text("remedy.cures", **words)
    elif done.cured and case.fault.name in [fault.name for fault in claimed] and _cures_any(place, remedy, claimed):
        verdict = text("remedy.trial", **words, repairs=examples(dict.fromkeys(tried)))
    else:
        return 0.0, text("remedy.wrong", **words)
    if suspicion:
        return 0.5, verdict + text("remedy.changed", places=examples(suspicion))
    return 1.0, verdict


def _claimed(case: Case, answer: Answer) -> list[Fault]:
    """Return the faults that are claimed and those that cannot be told from them."""
    numbers = case.groups
    claimed = {numbers[name] for name in answer.claim}
    return [fault for name, fault in universe(case.circuit).items() if numbers[name] in claimed]


def _cures_any(place: str, remedy: str, faults: Iterable[Fault]) -> bool:
    return any(cures(place, remedy, fault) for fault in faults)


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
    told = text("proof.missing", examples=examples(_fact_words(case, fact) for fact in missing)) if missing else ""
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


def _fact_words(case: Case, fact: Fact) -> str:
    state = case.proof.where(fact)
    on = is_on(case.proof.table[state][fact.behaviour])
    verb = text("proof.permits") if on else text("proof.refuses")
    return text("proof.fact", behaviour=fact.behaviour, verb=verb, control=fact.control, state=state_words(state))


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


def _is_there(states: list[tuple[dict[str, str], bool]], state: dict[str, str]) -> bool:
    """Say whether the path is there in a state."""
    return next(there for other, there in states if other == state)
