"""Every text of moderation that a person reads."""

from __future__ import annotations

from collections.abc import Mapping

from faultwright.catalogue import reader

TEXTS: Mapping[str, str] = {
    "history.changed": "this line was changed, moved or put in since it was written; what follows it cannot be trusted",
    "history.not_json": "this is no line of a history",
    "name.missing": "a decision needs the name or initials of who makes it",
    "name.long": "a name has {most} characters at most",
    "reason.missing": "a decision needs a reason of {least} characters at least, in a sentence that holds at an appeal",
    "reason.long": "a reason has {most} characters at most",
    "amend.nothing": "nothing is amended: give a criterion's mark (--mark CRITERION NUMBER) or --lift",
    "amend.half": "{criterion}: {given:g} is no mark; write half marks from 0 to {maximum:g}",
    "amend.same": "{criterion} stands at {given:g} already",
    "amend.no_hurdle": "nothing keeps {candidate} from passing but the marks; there is nothing to lift",
    "confirm.none": "there is no amendment {number} (amendments: {known})",
    "confirm.done": "amendment {number} is confirmed already",
    "confirm.same": "{by} made this amendment; somebody else must confirm it",
    "confirm.old": "amendment {number} is of a mark that has changed since; make it anew",
    "signed": "this class was signed by {by} on {at}; `faultwright moderate reopen` opens it again, with a reason",
    "not_signed": "this class is not signed",
    "sign.waiting": "amendments wait for a second name: {numbers}; confirm them, or reject them",
    "reject.none": "amendment {number} is not waiting for anybody (waiting: {known})",
    "unmarked": "this class has not been marked; `faultwright mark` does that",
    "mark.broken": "this is no mark that this version can read; mark the class again",
    "old": "Amendment {number} of {candidate} is of a mark that has changed since: it does not apply; look at it.",
    "amended": "Amended by {by}, confirmed by {second}: {reason}",
    "lifted": "Lifted by {by}, confirmed by {second} ({reason}): {hurdles}",
    # Second marking
    "form.line": "{number} is in no sample of this class",
    "form.heads": "the first line must read {heads}",
    "form.twice": "{number} is there twice",
    "form.marker": "{number}: who marked it? write a name or initials under 'marker'",
    "form.mark": "{number}, {criterion}: {given!r} is no mark; write half marks from 0 to {maximum:g}",
    "form.empty": "no line is filled in",
    "form.filled": "this form holds second marks; it is not written over. Move it away to draw again",
    "sheet.title": "Second marking, {number}",
    "sheet.blind": "Blind: without the candidate, the first mark, or what decided it.",
    "sheet.machine": "What is in this machine",
    "sheet.fault": "{fault}; cured by {remedies}.",
    "sheet.continuity": "Right for {id}: {right}.",
    "sheet.calculation": "Right for the calculation: {right}.",
    "sheet.complaint": "Complaint",
    "sheet.done": "What was done, in order",
    "sheet.handed_in": "What was handed in",
    "sheet.claim": "Claim",
    "sheet.cited": "Cited",
    "sheet.remedy": "Remedy",
    "sheet.answer": "Calculation",
    "sheet.nothing": "nothing",
    "sheet.unreadable": "The answer could not be used: {why}",
    "sheet.criteria": "To be marked",
    "sheet.maximum": "Most",
    "sheet.form": "Write the marks into {form}, half marks, under {number}.",
    # Agreement
    "agree.few": "too few to say",
    "agree.one_class": "all alike: no figure",
}

text = reader(TEXTS)
