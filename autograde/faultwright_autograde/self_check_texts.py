"""Every text of checking one's own answer."""

from __future__ import annotations

from collections.abc import Mapping

from faultwright.catalogue import reader

TEXTS: Mapping[str, str] = {
    "other_paper": "the answer is for paper {given!r}; this exercise is {own!r}",
    "evidence.none": "Evidence: nothing was found out before the repair. The complaint leaves {before} groups of "
    "faults; think of one reading that splits them.",
    "evidence.conflict": "Evidence: no single fault explains all findings together. Look through them once more: a "
    "lead in another place, a control in another position?",
    "evidence.one": "Evidence: the complaint leaves {before} groups of faults, your findings one. That is enough.",
    "evidence.some": "Evidence: the complaint leaves {before} groups of faults, your findings still {after}. A reading "
    "that splits those has not been made: compare what each would make the meter show.",
    "claim.none": "Claim: no fault is named. Where some cannot be told apart, name them all.",
    "claim.cleared": "Claim: your own findings speak against {name}.",
    "claim.narrow": "Claim: your findings leave {outside} more groups that you do not name. Measure, or name them.",
    "claim.covers": "Claim: it names everything that your findings leave.",
    "cited.none": "Citing: no finding is cited. Cite those that leave nothing else.",
    "cited.more": "Citing: the findings you cite leave {cited} groups, all of yours leave {all}. One that decides is "
    "not among those cited.",
    "calculation.none": "Calculation: not given. One number with its unit, in {unit}.",
    "calculation.there": "Calculation: {given} can be read. Whether it is right is not said here: check its size.",
    "calculation.unreadable": "Calculation: {why}.",
    "continuity.none": "Continuity: {id} is not answered.",
    "continuity.unknown": "Continuity: {id}: {given!r} is none of the choices.",
    "remedy.none": "Remedy: none is named.",
    "remedy.jumper": "Remedy: a jumper is a test and an emergency measure at most, never a repair.",
    "remedy.not_claimed": "Remedy: {remedy} does not cure any fault that you name, or leaves its cause.",
    "proof.no_repair": "Proof: nothing was repaired, so nothing is proved.",
    "proof.missing": "Proof: {shown} of {all} permissions and refusals were seen after the last repair, with nothing "
    "bridged, loaded or unplugged. Go through the control states, also those in which the machine must refuse.",
    "proof.whole": "Proof: all {all} permissions and refusals were seen after the last repair.",
    "safety.live": "Safety: action {number}: {meter} on a circuit that was live. Isolate first: return lead off first.",
    "safety.left_on": "Safety: a jumper or a test lamp is still on at the end. Take it off.",
}

text = reader(TEXTS)
