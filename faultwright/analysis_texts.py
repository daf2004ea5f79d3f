"""Every text that a person reads about the analysis of a circuit, in one place so that it can be translated."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from .catalogue import reader

TEXTS: Mapping[str, str] = {
    "names.more": "{names}, and {more} more",
    # Routes
    "routes.name.feed": "feed of {at}",
    "routes.name.return": "return of {at}",
    "routes.name.stop": "stop of {load}",
    "routes.name.between": "{at} to {other}",
    "routes.feed": "{at} of {load} is fed by {count}",
    "routes.return": "{at} of {load} is returned by {count}",
    "routes.stop": "{load} is stopped by {count}",
    "routes.between": "{at} and {other} are joined by {count}",
    "routes.none": "no route",
    "routes.one": "one route",
    "routes.many": "{count} routes",
    "routes.more": "more than {count} routes; the first {count} are listed",
    "routes.tried": "{count} routes and perhaps more: there are too many ways to try them all",
    "routes.series": "in every route, so all are needed: {contacts}",
    "routes.parallel": "side by side, so any is enough: {groups}",
    "routes.when": "together: {condition}",
    "routes.no_contact": "the wires alone",
    "route": "{start} → {places} → {end}: {needs}",
    "route.direct": "{start} and {end} are one joint: {needs}",
    # Truth tables
    "permission.plain": "{about}: {permitted}",
    "permission.history": "{about}: permitted {permitted}; whatever was done before, {certain}",
    "permission.given": "with {given}: {found}",
    "permission.when": "when {condition}",
    "permission.always": "always",
    "permission.never": "never",
    "refuted.not": "with {state} the statement says that it is so ({about}), and on the machine it is not",
    "refuted.so": "with {state} the statement says that it is not so ({about}), and on the machine it is",
    "refuted.can": "with {state} the statement says that it is not so ({about}), and on the machine it can be, after "
    "what was done before",
    # Testability
    "testability.heading": "{faults} faults and the sound machine; in brackets each fault counts by how often it is "
    "met in the trade",
    "testability.level": "{level} (tests: {tests}): fault detection {detection}; fault isolation, of those detected, "
    "to one fault {one}, to two at most {two}, to three at most {three}; mean size of a detected fault's group {size}",
    "testability.level.look": "looking only",
    "testability.level.volts": "looking and volts",
    "testability.level.ohms": "looking, volts, and ohms with the sources isolated",
    "testability.level.hand": "looking, volts, ohms, and parts in the hand",
    "testability.nothing": "–",
    "testability.targets": "Often asked for: 90–98 % fault detection and 90–95 % fault isolation (from memory; the "
    "words are those of MIL-HDBK-2165 and IEEE 1522)",
    "testability.undetected": "not told from the sound machine by any of these tests: {names}",
    "testability.none": "none",
    "testability.group": "ambiguity group: {names}",
    "testability.sound": "the sound machine",
    "testability.and": " and ",
    "testability.from": " from ",
    "testability.point": "a test point at {terminal} would tell {told}; fault detection {detected} → {then_detected}, "
    "fault isolation to one fault {isolated} → {then_isolated}",
    # Single faults
    "single.heading.item": "Item",
    "single.heading.mode": "Failure mode",
    "single.heading.effect": "Failure effect",
    "single.heading.detection": "Detection",
    "single.heading.severity": "Severity",
    "single.note.terms": "Item, failure mode, failure effect, detection and severity are terms of IEC 60812; the six "
    "classes of severity are this toolkit's own. Motors, solenoids, magnetos, contactors and what latches on are "
    "functions that can hurt, with the relays and inputs that let them; lamps and other relays and inputs are "
    "indications.",
    "single.note.states": "Each fault alone, at its default value (and at 100 kΩ where it then does what no other "
    "does), is compared with the sound machine in every state of the controls, reached from rest in one move; where "
    "that shows no difference, what can be held after other moves is compared too.",
    "single.note.levels": "Ordinary use: the machine at rest, every state in which a function that can hurt works, "
    "and the same with what springs back let go; nobody holds a control for nothing. Routine check: from each working "
    "state, every control in turn tried alone. Every state: the whole symptom table. A state is told by the controls "
    "that are not at rest; 'always' is in every state in which the sound machine does otherwise.",
    "single.severity.1": "permits what must be refused, and neither ordinary use nor a routine check shows it",
    "single.severity.2": "permits what must be refused, and only a routine check shows it",
    "single.severity.3": "permits what must be refused, and ordinary use shows it",
    "single.severity.4": "refuses what should work",
    "single.severity.5": "an indication is wrong or weak",
    "single.severity.6": "latent: no effect seen",
    "single.level.ordinary": "ordinary use",
    "single.level.routine": "routine check",
    "single.level.every": "every state",
    "single.class": "Class {number}, {severity}: {count}",
    "single.line": "{faults}: {effect}. Shown by {detection}",
    "single.none": "no effect seen",
    "single.not_revealed": "no state at all",
    "single.revealed": "{level}: {state}, {seen}",
    "single.effects": "{when}: {changes}",
    "single.effect": "{behaviour} {change}",
    "single.function.refused": "refused",
    "single.function.weakened": "weakened",
    "single.function.permitted": "permitted",
    "single.indication.refused": "missing",
    "single.indication.weakened": "weak",
    "single.indication.permitted": "wrongly on",
    "single.refused.once_begun": "not going on by itself",
    "single.permitted.once_begun": "able to go on by itself",
    "single.at_rest": "at rest",
    "single.with": "with {state}",
    "single.when": "when {condition}",
    "single.always": "always",
    "single.tangled": "in {count} of {of} states",
    "single.no_behaviour": "The circuit file names no behaviour, so no fault is seen to do anything.",
    "single.behind": "Behind {first}, which nothing shows, a second fault permits {about} {state}: {faults}",
    "single.left_out": "For these latent faults no second fault was looked for, there are too many: {faults}",
    "masking.series": "In series, all needed by {loads}: {contacts}",
    "masking.masked": "{fault} shows {state}, where it alone is open; while {others} is open too, it is masked",
    # Sneak paths
    "sneak.none": "no sneak path: nothing is on, or kept off, against its own routes",
    "sneak.sound": "with every part sound",
    "sneak.fault": "with {fault}",
    "sneak.on": "{case}, {function} is on against its own routes: {when}",
    "sneak.inhibited": "{case}, {function} is off against its own routes: {when}",
    "sneak.path.flows": "the current flows {way}",
    "sneak.path.lost": "the way that is lost: {way}",
    "sneak.path.diverted": "the current goes another way: {way}",
    "sneak.backwards": "{place} backwards",
    "sneak.through": "on its way it passes {loads}",
    "sneak.follows": "what changes with it: {functions}",
    # Analysis
    "analysis.title": "Analysis of {title}",
    "analysis.caution": "{signal}: {note}",
    "analysis.local": "For whoever teaches with this circuit: it tells what an exercise asks. It teaches method and "
    "authorises no repair; local codes, the maker's manual and licensed practice come first.",
    "analysis.routes": "Routes",
    "analysis.truth_tables": "Truth tables",
    "analysis.symptoms": "Suspects by symptom",
    "analysis.groups": "Ambiguity groups",
    "analysis.testability": "Testability",
    "analysis.test_tree": "Test tree",
    "analysis.single_faults": "Single-fault sheet",
    "analysis.sneak_paths": "Sneak paths",
    "analysis.no_load": "The circuit has no load.",
    "analysis.no_behaviour": "The circuit file names no behaviour, so the machine is not seen to do anything.",
    "analysis.tests": "The tests are those worth making from rest, in {count} states of the controls at most: looks at "
    "the machine, readings, parts in the hand.",
    "analysis.page.contents": "Contents",
    "analysis.page.diagram": "Circuit diagram",
    "analysis.page.states": "All {count} states of the controls",
    "analysis.page.state_table": "What the sound machine does in every state of the controls",
    "analysis.page.yes": "yes",
    "analysis.page.no": "no",
    "analysis.page.depends": "depends on what was done before",
    "analysis.page.symptom_table": "Complaints, and the single faults that give exactly that",
    "analysis.page.number": "No.",
    "analysis.page.complaint": "What is seen",
    "analysis.page.suspects": "Suspects, the commonest first",
    "analysis.page.count": "{count} suspects",
    "analysis.page.groups": "{count} groups of several faults",
    "analysis.page.level_table": "Testability, kind of test by kind of test; weighted figures in brackets",
    "analysis.page.level.level": "Kinds of test",
    "analysis.page.level.tests": "Tests",
    "analysis.page.level.detection": "Fault detection",
    "analysis.page.level.one": "Fault isolation to one fault",
    "analysis.page.level.two": "To two at most",
    "analysis.page.level.three": "To three at most",
    "analysis.page.level.size": "Mean size of group",
    "analysis.page.points": "Test points that would help most",
    "analysis.page.tree_in_words": "The tree in words",
    "analysis.page.other_tree": "The tree for another complaint: faultwright analyse CIRCUIT --symptom NUMBER.",
    "analysis.page.further": "Two faults at once",
    "analysis.page.drawn": "Sneak path {number} on the circuit diagram",
    "analysis.single": "faults that stand alone: {count}",
    "analysis.tree": "After symptom {number}, {complaint}",
    "analysis.no_tree": "No complaint leaves several suspects, so there is nothing to tell apart.",
    # Symptoms
    "symptoms.note": "What is seen in every state of the controls, each reached from rest in one move, is held against "
    "the sound machine; what takes other moves to see is not in it. Faults that are seen alike stand together, the "
    "commonest complaint first, by how often its faults are met in the trade.",
    "symptoms.entry": "{number}. {complaint}",
    "symptoms.difference": "{behaviour} {seen} instead of {sound}",
    "symptoms.when": "{when}: {differences}",
    "symptoms.as_sound": "nothing is seen to be wrong",
    "symptoms.suspect": "1 suspect: {names}",
    "symptoms.suspects": "{count} suspects: {names}",
    "symptoms.nobody": "none",
    # Tests and test trees
    "test.look": "look what the machine does",
    "test.read": "{meter} {red} to {black}",
    "test.hand": "{meter} {red} to {black}, {part} in the hand",
    "test.after": "{moves}, then {test}",
    "tree.exact": "The best tree: no other costs less on average",
    "tree.greedy": "A good tree: it costs {excess} more than the best on average, at most",
    "tree.figures": "Cost {cost} on average, a look at the machine being 1; {tests} tests on average, {worst} at worst",
    "tree.line": "{shown} → {words}",
    "tree.note": "{words} ({note})",
    "tree.or": " or ",
    "tree.sound": "a sound machine",
    "tree.together": " with ",
    "tree.half_split": "half-split",
    "tree.nobody": "no suspect",
    # Review of a sequence
    "review.finding.look": "look: {seen}",
    "review.finding.read": "{test}: {shown}",
    "review.finding": "{finding}; {verdict}; left {before} → {after}",
    "review.finding.groups": "{finding}; {verdict}; left {before} → {after}, groups {groups_before} → {groups_after}",
    "review.cleared": "cleared {names}",
    "review.narrowed": "cleared nobody, but narrowed down the value of {names}",
    "review.by_chance": "cleared nobody as it came out, although not every suspect, at every value, shows the same "
    "here",
    "review.nothing": "cleared nothing: every suspect that was left shows the same here",
    "review.nobody": "nobody was left to clear",
    "review.best": "   the best test here: {test}",
    "review.no_best": "   here no test would have told the suspects that were left apart",
    "review.left": "left at the end: {names}",
    "review.cost": "what was done up to the first repair costs {cost}, a look at the machine being 1",
    "review.costs": "what was done up to the first repair costs {cost}, a look at the machine being 1; with the test "
    "tree it costs {tree} on average",
}


text = reader(TEXTS)


MOST_NAMED = 12
"""Names that a line gives; of more their number is given."""


def listed(names: Sequence[str]) -> str:
    """Return names as one text, and how many more there are than a line gives."""
    shown = ", ".join(names[:MOST_NAMED])
    return text("names.more", names=shown, more=len(names) - MOST_NAMED) if len(names) > MOST_NAMED else shown
