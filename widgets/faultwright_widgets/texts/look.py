"""Asking and inspecting."""

TEXTS = {
    "look.heading": "Ask and look",
    "look.question": "Ask the operator",
    "look.ask": "Ask",
    "look.place": "Look at",
    "look.inspect": "Look",
    "look.asked": "{question} (asked)",
    "look.choose_question": "choose a question",
    "look.choose_place": "choose a place, or type its name",
    "look.none": "Nobody is there to be asked.",
    "look.answered": "“{question}” – “{answer}”",
    "look.inspected": "{place}: {seen}.",
}
