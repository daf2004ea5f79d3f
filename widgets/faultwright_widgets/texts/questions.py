"""Texts of the questions that a lesson asks."""

TEXTS = {
    "questions.label": "Questions: {title}",
    "questions.number": "Question {number}",
    "questions.choices": "Answer to question {number}",
    "questions.reasons": "Reason, question {number}",
    "questions.because": "Because …",
    "questions.check": "Check question {number}",
    "questions.choose": "choose an answer first",
    "questions.choose_both": "choose an answer and a reason first",
    "questions.right": "Right.",
    "questions.right_why": "Right, and for the right reason.",
    "questions.reason_wrong": "The answer is right, the reason is not.",
    "questions.answer_wrong": "The reason is right, the answer does not follow from it.",
    "questions.wrong": "Not so.",
    "questions.model": "What was chosen goes with a common idea that does not hold: {model}.",
    "questions.failed": "This did not work: {message}. Run the cell again; what was answered before is kept.",
    "questions.again": "You may answer again; what counts for practice is the first answer.",
}
