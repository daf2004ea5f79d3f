"""Marking: one pure function from answer, case and rubric to a mark.

The record is done once more on the candidate's own machine; nothing that a notebook computed is believed. Whatever
cannot be used fails closed, with the reason.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable
from dataclasses import replace

from faultwright import __version__ as solver_version
from faultwright.errors import Refused

from .answer import Answer
from .calculation import judge, targets
from .case import Case
from .diagnosis import Weighed, is_justified, judge_citing, judge_diagnosis, judge_evidence, weigh
from .evidence import MOST_ACTIONS, MOST_WEIGHED
from .mark import ANOTHERS, UNREADABLE, Criterion, Mark, Provenance
from .repair import judge_continuity, judge_proof, judge_remedy
from .rubric import CRITERIA, RUBRIC_VERSION, Rubric
from .safety import CRITICAL, MINOR, SERIOUS, Incident, incidents
from .texts import text
from .trace import Trace, trace
from .words import finding_words, would_words

RESTS_ON_RECORD = ("diagnosis", "evidence", "citing", "proof", "safety")
"""Criteria that are worth nothing without the record. The bench writes what the machine shows, so a record with one
finding that it could not have shown was tampered with, and nobody can say how far."""

MARKING_VERSION = "5"


def mark(answer: Answer | Refused, case: Case, rubric: Rubric, *, answer_sha256: str = "") -> Mark:
    """Mark an answer; one that was refused earns nothing and says why."""
    provenance = _provenance(case, rubric, answer_sha256)
    if isinstance(answer, Refused):
        return _nothing(answer, case, rubric, provenance, UNREADABLE)
    if answer.paper != case.paper:
        other = Refused(text("answer.other_paper", given=answer.paper, own=case.paper))
        return replace(_nothing(other, case, rubric, provenance, ANOTHERS), given_paper=answer.paper)
    done = trace(case.circuit, case.fault, answer.record)
    found = weigh(case, answer, done)
    unsafe = incidents(case.circuit, case.blueprint.safety_switches, done)
    judged: dict[str, Callable[[], tuple[float, str]]] = {
        "diagnosis": lambda: judge_diagnosis(case, answer, found),
        "evidence": lambda: judge_evidence(found),
        "citing": lambda: judge_citing(found),
        "calculation": lambda: _calculation(answer, case, rubric, done),
        "continuity": lambda: judge_continuity(case, answer),
        "remedy": lambda: judge_remedy(case, answer, found),
        "proof": lambda: judge_proof(case, done),
        "safety": lambda: _safety(unsafe, done),
    }
    shares = {name: judged[name]() for name in _asked(case, rubric)}
    if done.forged:
        shares |= {name: (0.0, text("forged.rests")) for name in shares if name in RESTS_ON_RECORD}
    criteria = tuple(
        Criterion(name, _half_marks(rubric.weights[name], share), rubric.weights[name], verdict)
        for name, (share, verdict) in shares.items()
    )
    proof_share = shares["proof"][0] if "proof" in shares else judge_proof(case, done)[0]
    hurdles = [
        *_hurdles(criteria, rubric, proof_share, justified=is_justified(case, answer.claim, found)),
        *([text("hurdle.critical")] if any(incident.level == CRITICAL for incident in unsafe) else []),
        *([text("hurdle.forged")] if done.forged else []),
    ]
    return Mark(
        candidate=case.candidate,
        paper=case.paper,
        criteria=criteria,
        hurdles=tuple(hurdles),
        remarks=tuple(_remarks(case, found, unsafe, done)),
        for_a_person=bool(done.forged) or any(incident.level == CRITICAL for incident in unsafe),
        provenance=provenance,
        confidence=answer.confidence,
        given_paper=answer.paper,
    )


def _asked(case: Case, rubric: Rubric) -> list[str]:
    """Return the criteria with a weight, without those that this paper does not ask for."""
    left_out = {
        *(() if case.blueprint.calculation else ("calculation",)),
        *(() if case.blueprint.continuity else ("continuity",)),
    }
    return [name for name in CRITERIA if name not in left_out and rubric.weights.get(name, 0.0) > 0]


def _provenance(case: Case, rubric: Rubric, answer_sha256: str) -> Provenance:
    return Provenance(
        case.circuit_sha256, rubric.sha256(), answer_sha256, solver_version, MARKING_VERSION, RUBRIC_VERSION
    )


def _half_marks(weight: float, share: float) -> float:
    """Return a share of a criterion's weight to the nearest half mark, never above the weight."""
    return min(math.floor(2 * weight * share + 0.5) / 2, weight)


def _nothing(refused: Refused, case: Case, rubric: Rubric, provenance: Provenance, state: str) -> Mark:
    why = "; ".join(str(mistake) for mistake in refused.mistakes[:8])
    criteria = tuple(Criterion(name, 0.0, rubric.weights[name], "–") for name in _asked(case, rubric))
    hurdles = (text("hurdle.broken", why=why),)
    for_a_person = state == ANOTHERS
    return Mark(case.candidate, case.paper, criteria, hurdles, (), for_a_person, provenance, answer=state)


def _calculation(answer: Answer, case: Case, rubric: Rubric, done: Trace) -> tuple[float, str]:
    asked = case.blueprint.calculation
    assert asked is not None  # noqa: S101 - only asked for where the blueprint has one
    judged = judge(answer.calculation, targets(case.circuit, asked, done), asked.probe.mode, rubric.tolerance)
    return judged.share, judged.verdict


def _safety(unsafe: list[Incident], done: Trace) -> tuple[float, str]:
    if not done.moments:
        return 0.0, text("safety.nothing")
    lost = [incident for incident in unsafe if incident.level in (CRITICAL, SERIOUS)]
    told = "; ".join(_incident_words(incident) for incident in lost[:6])
    return (0.0, told) if lost else (1.0, text("safety.none"))


def _incident_words(incident: Incident) -> str:
    return text("safety.line", level=text(f"safety.{incident.level}"), what=incident.what)


def share_hurdle(rubric: Rubric) -> str:
    """Return the hurdle of too few marks, in words."""
    return text("hurdle.share", share=rubric.pass_share * 100)


def _hurdles(criteria: tuple[Criterion, ...], rubric: Rubric, proof_share: float, *, justified: bool) -> list[str]:
    """Return the reasons for not passing; a comparison that cannot be made counts as a reason."""
    found: list[str] = []
    maximum = sum(criterion.maximum for criterion in criteria)
    if not sum(criterion.mark for criterion in criteria) >= rubric.pass_share * maximum:
        found.append(share_hurdle(rubric))
    if not justified:
        found.append(text("hurdle.diagnosis"))
    if not proof_share >= rubric.proof_share:
        found.append(text("hurdle.proof", share=rubric.proof_share * 100))
    return found


def _remarks(case: Case, found: Weighed, unsafe: list[Incident], done: Trace) -> list[str]:
    remarks = [
        text("remark.forged", finding=finding_words(moment), would=would_words(moment.would)) for moment in done.forged
    ]
    if found.many:
        remarks.append(text("remark.many", findings=MOST_WEIGHED, actions=MOST_ACTIONS))
    if any(moment.true and moment.index > done.cure for moment in done.moments):
        remarks.append(text("remark.repairs", place=case.fault.place))
    return remarks + [_incident_words(incident) for incident in unsafe if incident.level == MINOR]


def sha256(content: bytes) -> str:
    """Return the hash of an answer as it was handed in."""
    return hashlib.sha256(content).hexdigest()
