"""A wrong type at every place of an answer and its record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tests.autograde.gate import Answer

from .trick import ONE, Given, Trick, changed

WRONG: Mapping[str, object] = {
    "null": None,
    "truth": True,
    "number": 7,
    "broken-number": 0.5,
    "text": "\u0000",
    "list": [["W4 resistance"]],
    "table": {"W4 resistance": {"": []}},
}

ANSWER: Mapping[str, tuple[str, ...]] = {
    "version": (),
    "circuit": (),
    "record": (),
    "claim": (),
    "cited": (),
    "calculation": ("text",),
    "continuity": (),
    "remedy": (),
    "confidence": (),
    "notes": ("table",),
}
"""The entries, each with those of the values above that are no mistake there."""

READ: Mapping[str, tuple[str, ...]] = {
    "meter": (),
    "red": (),
    "black": (),
    "expected": ("null", "number", "broken-number"),
    "value": ("number", "broken-number"),
    "unit": (),
    "status": (),
    "source": (),
    "alone": (),
    "leads": ("null", "number", "broken-number"),
    "range": ("null",),
    "energised": ("truth",),
    "note": ("text",),
}


def _entry(key: str, value: object) -> Trick:
    return Trick(f"type-{key}", changed(lambda answer, _given: answer.update({key: value})), says="{file}", kinds=ONE)


def _reading(key: str, value: object) -> Trick:
    def change(answer: Answer, _given: Given) -> None:
        reading = {"meter": "volts", "red": "P1:1", "black": "FRAME", "value": 1.0}
        answer["record"]["actions"].append({"read": reading | {key: value}})

    return Trick(f"type-read-{key}", changed(change), says="{file}, record, action ", kinds=ONE)


def _action(name: str, action: object) -> Trick:
    return Trick(
        f"type-action-{name}",
        changed(lambda answer, _given: answer["record"]["actions"].append(action)),
        says="{file}, record, action ",
        kinds=ONE,
    )


def _named(trick: Trick, name: str) -> Trick:
    return replace(trick, name=f"{trick.name}-{name}")


TRICKS = [
    *(
        _named(_entry(key, value), name)
        for key, allowed in ANSWER.items()
        for name, value in WRONG.items()
        if name not in allowed
    ),
    *(
        _named(_reading(key, value), name)
        for key, allowed in READ.items()
        for name, value in WRONG.items()
        if name not in allowed
    ),
    *(_action(name, value) for name, value in WRONG.items()),
    *(_action(f"see-{name}", {"see": {"lamp": value}}) for name, value in WRONG.items() if name != "null"),
    *(_action(f"see-all-{name}", {"see": value}) for name, value in WRONG.items()),
    *(_action(f"move-{name}", {"move": value}) for name, value in WRONG.items()),
    *(
        _action(f"ask-{name}", {"ask": {"question": value, "answer": ""}})
        for name, value in WRONG.items()
        if name != "text"
    ),
    *(_action(f"inspect-{name}", {"inspect": {"at": value, "seen": ""}}) for name, value in WRONG.items()),
    _action("two", {"move": "rest", "see": {}}),
    _action("none", {}),
]
