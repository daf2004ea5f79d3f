"""Asking and inspecting."""

TEXTS = {
    "look.heading": "Ask and look",
    "look.question": "Ask the operator",
    "look.ask": "Ask",
    "look.place": "Look at",
    "look.inspect": "Look",
    "look.none": "Nobody is there to be asked.",
    "look.answered": "“{question}” – “{answer}”",
    "look.inspected": "{place}: {seen}.",
}
