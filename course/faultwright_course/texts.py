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
        "case.no_practice": "this is a paper for a class; a lesson opens practice cases that name a fault",
        "copy.file": "this is a file; the course needs a folder",
    }
)


text = reader(TEXTS)
