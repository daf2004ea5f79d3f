"""What is said to help in practice: why a finding can mislead, and which states differ from a sound machine."""

from __future__ import annotations

from collections.abc import Mapping

from .catalogue import reader

TEXTS: Mapping[str, str] = {
    "no_finding": "action {number} is no finding; a reading or a note of what is seen is one",
    "state.rest": "all controls at rest",
    # What the display means
    "floating": "{shown} is floating: no closed path runs through the meter, so this nought tells nothing of the "
    "supply. The red lead, the black lead or both are cut off. Measure against another return.",
    "floating.amps": "No closed path runs through the meter here, so there is nothing to flow. That tells nothing of "
    "where the path is open.",
    "unsteady": "A relay buzzes, so no number settles. What stands on the display at one moment tells nothing.",
    "blown": "The meter's own fuse went: the reading is of the meter, not of the machine.",
    "over_range": "OL on the {range} range says only that there is more than this range shows. Choose a higher one.",
    "coarse": "On the {range} range the last digit is {digit}; a lower range shows {fine}. What is smaller than the "
    "last digits is lost: a drop of some tenths of a volt, or a joint of some tenths of an ohm.",
    # Where the leads were
    "beside.beep": "On a sound machine it beeps here with {place} out too: another path joins {red} and {black}. So "
    "the beep says nothing of {place}. Lift one end of it and measure again.",
    "beside.same": "On a sound machine the meter shows the same here with {place} out: another path joins {red} and "
    "{black}. So the reading says nothing of {place}. Lift one end of it and measure again.",
    "beside.both": "With {place} out a sound machine still leaves {other} between {red} and {black}: the reading is of "
    "both together. Lift one end of {place}.",
    "two_routes": "In this state {count} routes join {red} and {black}: {routes}. A low reading across them says that "
    "one is whole, and not which.",
    "unloaded": "On a sound machine no current passes {point} in this state: nothing flows, so nothing drops. With the "
    "meter's 10 MΩ alone for a load, {shown} can stand here through a resistance that could not carry what the load "
    "needs. Measure with the load on, or put a test lamp there.",
    "expected.value": "You expected {expected}; a sound machine shows {sound} here, {apart} away. If you meant a sound "
    "machine, work out first what it shows: against a wrong value a right reading looks wrong, and a wrong one right.",
    "expected.other": "You expected {expected}; a sound machine shows {sound} here. If you meant a sound machine, work "
    "out first what it shows.",
    # When it was found
    "disturbed": "It was found while {place} was being disturbed. It holds for that moment: at rest, or a minute "
    "later, the machine may show something else.",
    "comes_and_goes": "Finding {number} is of the same in the same state, and differs. Something comes and goes: one "
    "finding, good or bad, clears nobody here. Take it several times, with and without disturbing.",
    "well_here": "In this state you have noted nothing that is wrong ({state}); what is wrong you have noted in "
    "another ({wrong}). What causes the complaint may not be at work here: look where the complaint shows.",
    "sound_same": "A sound machine shows the same here. That speaks for what this finding passes through, and tells "
    "nothing of anything else.",
    "nothing_misleads": "Nothing in how it was taken makes this finding mislead.",
    # What it does to the suspects
    "suspects.none_before": "No single fault explains the findings before it all at once, so nobody was left to clear.",
    "suspects.conflict": "No single fault explains it together with the findings before it. Take it again, and those "
    "before it: a slip, something that comes and goes, or two faults.",
    "suspects.same": "It clears nobody: each of the {before} suspects that the findings before it leave shows this "
    "here too, some at a value of their own. So this point, in this state, does not split them.",
    "suspects.fewer": "Of the {before} suspects that the findings before it leave, {after} show this here: it clears "
    "{cleared}.",
    # Which control state differs
    "states.differs": "In {state} a sound machine has {sound}; you have noted {seen} (finding {number}).",
    "states.well": "In {state} you have noted {sound}, as it should be (finding {number}). Between the two lies: "
    "{between}. What differs between them in the diagram is where to look.",
    "states.look": "Not noted yet: in {state} a sound machine has {sound} as well. Between the two lies: {between}. "
    "Look there: whether it does so or not splits what can be wrong.",
    "states.nowhere": "No state that is not noted yet has {sound} on a sound machine, so no other state to hold beside "
    "this one is left: measure in this one.",
    "states.nothing": "Nothing that you have noted differs from a sound machine{since}. The complaint shows in some "
    "state: find it, and note what is seen there.",
    "states.since": " since the last repair",
    "states.to_see": "Not noted yet: in {state} a sound machine has {sound}.",
    "states.all_noted": "Every control state has been noted, and each as on a sound machine.",
    "states.position": "{label} {position}",
    "states.change": "{label} ({one} or {other})",
}


text = reader(TEXTS)
