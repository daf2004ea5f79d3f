"""Every text on a plot, and in the words that stand for it, in one place so that it can be translated."""

from __future__ import annotations

from collections.abc import Mapping

from . import texts

TEXTS: Mapping[str, str] = {
    # One reading over the control states
    "states.at": "with {state}",
    "states.healthy": "healthy",
    "states.measured": "measured",
    "states.state": "state of the controls",
    "states.value": "{shown} ± {tolerance}",
    "states.differs": "{shown} (differs)",
    "states.mark": "healthy, calculated",
    "states.tolerance": "the meter's tolerance",
    # The voltage-drop profile
    "profile.title": "Voltage drop along the path of the current through {load}",
    "profile.worst": "Largest unexpected drop: {drop} from {first} to {last}, over {places} (healthy: {expected})",
    "profile.as_healthy": "No reading on this path is other than on a healthy machine",
    "profile.no_readings": "No reading was taken between joints of this path in this state",
    "profile.volts": "Voltage against {end}, in V",
    "profile.drop": "Drop over each, in V",
    "profile.joint": "joint",
    "profile.passed": "passed",
    "profile.part": "{place} {what}",
    "profile.healthy": "healthy, calculated",
    "profile.measured": "measured",
    "profile.measured_at": "measured against {black}",
    "profile.usual": "usual at most, common practice at 12 V",
    "profile.here": "largest unexpected drop",
    "profile.summary": "How the voltage falls along the path of the current through {load} of {title}, {state}; joints "
    "against {end}.",
    "profile.where": "where",
    "profile.head.usual": "usual at most",
    "profile.over": "over {place}",
    "profile.from": "from {first} to {last}",
    "profile.feed": "From {first} to the load {drop} falls, on the healthy machine.",
    "profile.ground": "From {first} back to {last}, wires and joints alone, {drop} falls, on the healthy machine.",
    "profile.ground.usual": "From {first} back to {last}, wires and joints alone, {drop} falls, on the healthy "
    "machine; usual are {usual} at most (common practice at 12 V).",
    "profile.both": "give a record or a machine, not both: a reading belongs to one of them",
    # The suspects left after each finding
    "suspects.title": "Suspects left after each finding",
    "suspects.axis": "Suspects left",
    "suspects.number": "No.",
    "suspects.finding": "finding",
    "suspects.start": "before any finding",
    "suspects.left": "left",
    "suspects.cleared": "cleared",
    "suspects.faults": "suspects",
    "suspects.groups": "groups that no test tells apart",
    "suspects.half": "half of what was left before: a half-split",
    "suspects.best": "what the best test there leaves, on average",
    "suspects.count.groups": "{count} ({groups} groups)",
    "suspects.verdict.cleared": "{count}",
    "suspects.verdict.narrowed": "none; a value narrowed",
    "suspects.verdict.by_chance": "none, as it came out",
    "suspects.verdict.nothing": "none: tells nobody apart",
    "suspects.verdict.nobody": "nobody was left",
    "suspects.summary": "Suspects left after each finding on {title}: {before} before the first, {after} after the "
    "last.",
    "suspects.row": "{number}, {finding}",
    "suspects.names": "{count}: {names}",
    "suspects.head.best": "best test there",
    "suspects.best.words": "{test}, which leaves {count} on average",
    "suspects.best.none": "none tells anybody apart",
    "suspects.at_end": "Left at the end: {names}.",
    "suspects.nobody": "nobody",
    "suspects.none": "the record holds no finding yet",
    "suspects.too_many": "the record holds {count} findings; a plot can show {most} at most",
    # The test tree
    "tree.cut": "{count} suspects, to be told apart by further tests",
    "tree.left_out": "Only the first {levels} tests of each branch are drawn. The whole tree: faultwright analyse "
    "CIRCUIT --html FILE",
    "tree.none": "{title} leaves one suspect, {name}: there is nothing to tell apart",
    "tree.no_several": "no complaint about this circuit leaves several suspects: there is nothing to tell apart",
    "tree.wide": "already the first test of this tree has {count} outcomes, and a plot can show {most} ends at most; "
    "for the whole tree: faultwright analyse CIRCUIT --html FILE",
    "tree.title": "Test tree for {title}",
    "tree.number": "No.",
    "tree.shown": "shown",
    "tree.then": "then",
    "tree.left": "left: {words}",
    "tree.noted": "{words} ({note})",
}


def text(key: str, **values: object) -> str:
    """Return the text of ``key`` with its placeholders filled in; those of ``plot.`` stand in the bench's catalogue.

    Raises KeyError for an unknown key.
    """
    return TEXTS[key].format(**values) if key in TEXTS else texts.text(key, **values)
