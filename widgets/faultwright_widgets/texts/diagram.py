"""The drawn circuit."""

TEXTS = {
    "diagram.label": "Circuit diagram: click a terminal to put a lead on it",
    "diagram.next": "Next click puts",
    "diagram.red": "R (red)",
    "diagram.black": "B (black)",
    "diagram.smaller": "Draw it smaller",
    "diagram.smaller_sign": "−",
    "diagram.fit": "Fit the width",
    "diagram.fit_sign": "Fit",
    "diagram.larger": "Draw it larger",
    "diagram.larger_sign": "+",
}
