"""Every text of the reports that a person reads."""

from __future__ import annotations

from collections.abc import Mapping

from faultwright.catalogue import reader

TEXTS: Mapping[str, str] = {
    "page.asked": "What was asked",
    "page.done": "What was done, in order",
    "page.expected": "expected {expected:g} {unit}",
    "page.cleared": "cleared {count} suspects",
    "page.measured": "Where it was measured",
    "page.measured_how": "A number is that of the first finding with a lead there; … says that there are more.",
    "page.readings": "Readings in order",
    "page.readings_alt": "{count} readings on {meter} in the order in which they were taken; the table above has each.",
    "page.readings_axis": "Finding",
    "page.readings_value": "{meter} in {unit}",
    "page.readings_nothing": "no number (OL, floating, live)",
    "page.proved": "What was proved",
    "page.proved_none": "Nothing was proved.",
    "page.missed": "What was missed",
    "page.missed_none": "Nothing of the proof is missing.",
    "page.recognised": "Worth a talk (none of this costs marks by itself)",
    # Recognised in a record
    "model.live_ohms": "Ohms on a live circuit (action {number}): the reading means nothing, the meter may be harmed.",
    "model.no_load": "Full voltage without load taken for a good feed (action {number}): a joint of some ohms lets it "
    "pass.",
    "model.fuse_first": "A new fuse before what blew it was found (action {number}).",
    "model.jumper": "A jumper named as the remedy.",
    "model.suspicion": "Parts changed that the findings had cleared or never touched ({places}).",
    "model.again": "The same measured again in the same situation ({count} times).",
    "model.used_up": "Expected less behind a load or a joint than before it, all through ({numbers}): current is not "
    "used up along a path.",
    "model.feed_only": "Only the feed side was measured; every path goes back as well.",
    "model.one_end": "From point to point along the path, one after the other ({count} readings): a reading in the "
    "middle would have halved what was left.",
    "model.no_reading": "A claim without a single reading.",
    "model.no_refusal": "A proof without any state in which the machine must refuse.",
    "model.floating": "0 V at a floating point (action {number}) is no proof of a dead feed: nothing is connected.",
    # Class
    "class.criteria": "Criteria",
    "class.mean": "Mean",
    "class.spread": "Spread",
    "class.full": "Full marks",
    "class.none": "No marks",
    "class.items": "Items",
    "class.items_note": "Facility is the mean share of the marks; discrimination the share of the upper 27 % less that "
    "of the lower; correlation that with the rest of the paper. Usual floors: discrimination 0.30, correlation 0.20, "
    "Ferguson's delta 0.90.",
    "class.facility": "Facility",
    "class.discrimination": "Discrimination",
    "class.correlation": "Correlation with the rest",
    "class.few": "too few candidates to say",
    "class.delta": "Ferguson's delta of the totals: {delta}. Cronbach's alpha over the criteria: {alpha}.",
    "class.models": "Recognised in the records",
    "class.model": "What",
    "class.count": "Candidates",
    "class.faults": "By fault",
    "class.fault": "Fault",
    "class.machines": "Machines",
    "class.models_none": "Nothing was recognised.",
    "name.live_ohms": "Ohms on a live circuit",
    "name.no_load": "Full voltage without load taken for a good feed",
    "name.fuse_first": "A new fuse before the cause",
    "name.jumper": "A jumper as the remedy",
    "name.suspicion": "Parts changed on suspicion",
    "name.again": "The same measured again",
    "name.used_up": "Current is used up",
    "name.feed_only": "One wire is enough (feed side only)",
    "name.one_end": "One point after the other",
    "name.no_reading": "A claim without a reading",
    "name.no_refusal": "A proof without a refusal",
    "name.floating": "A floating 0 V taken as proof",
}

text = reader(TEXTS)
