"""Repair and proof."""

TEXTS = {
    "repair.note": "Make the machine safe first. The repair is done at the place and stands in the record.",
    "repair.place": "Place",
    "repair.remedy": "Remedy",
    "repair.do": "Do the repair",
    "repair.done": "Done: {place}, {remedy}. Now prove it.",
    "repair.isolate": "Isolate first: this repair was made with {sources} connected.",
    "repair.choose": "choose a place and a remedy",
    "proof.before": "After the repair show that the machine does what it should and refuses what it should: bring "
    "it into these states and note what is seen. Show every permission and every refusal; not every state is "
    "needed.",
    "proof.count": "Distinct control states noted since the last repair: {done} (of {all} that there are).",
    "proof.states": "Control states: not yet noted, then noted with what was seen",
    "proof.noted": "Noted as",
    "proof.open": "not yet",
    "proof.go": "Go to the controls",
}
