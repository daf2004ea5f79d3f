"""The bench as a whole: headings, safety, its kernel and its files."""

TEXTS = {
    "bench.label": "Bench: {title}",
    "bench.work": "Operate and measure",
    "bench.failed": "The bench itself has failed, which is no fault of yours. Please report: {message}",
    "bench.silent": "The notebook's kernel does not answer: it is busy, or it has gone. Wait; if it has gone, "
    "restart it and choose Run > Run All Cells; {kept}.",
    "bench.restarted": "The kernel was restarted. Choose Run > Run All Cells; {kept}.",
    "bench.kept": "what is in the record is kept",
    "bench.anew": "this bench starts anew",
    "safety.heading": "Before you start",
    "signal.danger": "Danger",
    "signal.warning": "Warning",
    "signal.caution": "Caution",
    "signal.notice": "Notice",
    "complaint.heading": "Complaint",
    "operate.heading": "Operate",
    "predict.heading": "Suspect and predict",
    "measure.heading": "Measure",
    "findings.heading": "Findings",
    "conclusion.heading": "Conclusion",
    "repair.heading": "Repair",
    "proof.heading": "Proof",
    "submit.heading": "Submit",
    "file.foreign": "The answer is not being saved: {file} holds something else ({why}). Move it away or rename "
    "it; the next thing you do is then saved.",
    "file.other_paper": "an answer to paper {found!r}, not to {wanted!r}",
    "file.lost_citations": "Cited findings that the record does not hold have been taken out: {numbers}.",
    "choose": "choose …",
}
