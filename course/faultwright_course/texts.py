"""Every text that a lesson's code puts in front of a person, in one place, so that it can be translated.

The prose of the lessons stands in their notebooks.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from faultwright.catalogue import reader

TEXTS: Mapping[str, str] = MappingProxyType(
    {
        "seen.yes": "yes",
        "seen.no": "no",
        "seen.endless": "buzzes",
        "worked.step": "Step",
        "worked.operate": "Operate",
        "worked.look": "Look or measure",
        "worked.expected": "Expected, if sound",
        "worked.found": "Found",
        "worked.why": "Why",
        "worked.reasons": "Show the reasons",
        "worked.as_before": "as before",
        "worked.measured": "{mode}, red on {red}, black on {black}",
        "worked.in_hand": "{what}, {part} in the hand",
        "worked.floating": "{display} (floating)",
        "move.repair": "repair {place}: {remedy}",
        "summary.begun": "Findings: {count}. Claim: {claim}.",
        "summary.no_claim": "nothing yet",
        "summary.gaps": "Still empty: {gaps}.",
        "summary.full": "Every part of the answer is filled in.",
        "plot.draw": "Draw all states",
        "plot.draw_drops": "Draw the voltage drops",
        "plot.draw_suspects": "Draw the suspects left",
        "ask.back": "from earlier lessons",
        "ask.own": "answer and reason",
        "bank.twice": "{name!r} is there twice",
        "bank.few": "{entry}: two at least, the right one first",
        "bank.unknown": "{what}: a name in braces is no reading of 'shows' (readings: {names})",
        "bank.meter": "meter must be one of {modes}",
        "progress.other": "this is not progress of version {version}; move it away to begin anew",
        "progress.broken": "this file was changed by something else; move it away to begin anew",
        "endless.name": "{case!r} is no practice case; they are called practice-CIRCUIT-NUMBER",
        "endless.no_fault": "this circuit has no fault that shows and is safe to set up",
        "endless.moves": "after {moves}",
        "endless.rest": "with every control at rest",
        "endless.calculation": "Sound machine, {moves}: what current does {part} take (wire {wire})? Number and unit.",
        "endless.next": "Next case",
        "endless.mark": "Mark this case",
        "endless.none": "No case is open yet. Press Next case.",
        "endless.open": "Case {number}: {title}.",
        "endless.nothing": "There is no answer yet: operate, measure, repair, prove, and submit the answer first.",
        "endless.marked": "Marked: {mark:g} of {maximum:g}. It is in your progress; the reasons stand below the bench.",
        "endless.unusable": "This answer could not be used, so nothing of it is in your progress.",
        "endless.before": "It was marked before; only the first mark counts in your progress.",
        "endless.progress": "Progress",
        "endless.skill": "Practised",
        "endless.results": "Right, of the last",
        "endless.kept": "It stays in progress.json in this folder. It is no mark and is sent nowhere.",
        "pack.title": "Answers to lesson {lesson}",
        "pack.caution": "This page holds the answers. Keep it away from students.",
        "pack.case": "Case {name}",
        "pack.fault": "In the machine:",
        "pack.remedies": "What cures it:",
        "pack.search": "One way through it",
        "pack.questions": "Answer and reason",
        "pack.because": "Because:",
        "pack.disclaimer": "Local codes, the maker's manual and licensed practice come first. A mark is evidence of "
        "diagnostic reasoning on a simulated circuit; not of hand skill or authority to work.",
        "template.there": "this file is there already; choose another folder",
        "template.file": "this is a file; the template needs a folder",
        "copy.file": "this is a file; the course needs a folder",
    }
)


text = reader(TEXTS)
