"""JSON that is no JSON, or more than an answer can use: numbers, keys, depth, half characters."""

from __future__ import annotations

import json

from tests.autograde.gate import Answer

from .trick import HARMLESS, ONE, Trick, rewritten, written

DEEP = "{file}: this JSON is nested too deep"


def _with(name: str, value: str, says: str, key: str = "notes") -> Trick:
    """An honest answer with an entry whose JSON is written as given."""
    return Trick(name, rewritten(lambda text: f'{text[:-1]}, "{key}": {value}}}'), says=says)


def _value(name: str, value: str, says: str) -> Trick:
    """An honest answer whose first action is a reading that shows a value whose JSON is written as given."""

    def change(text: str) -> str:
        answer: Answer = json.loads(text)
        reading = {"read": {"meter": "volts", "red": "P1:1", "black": "FRAME", "value": "HERE"}}
        answer["record"]["actions"].append(reading)
        return json.dumps(answer).replace('"HERE"', value)

    return Trick(name, rewritten(change), says=says)


TRICKS = [
    Trick("half", rewritten(lambda text: text[: len(text) // 2]), says="this is not whole JSON"),
    Trick("two-answers", rewritten(lambda text: text + text), says="{file}:1: this is not whole JSON (Extra data"),
    Trick("only-a-list", rewritten(lambda text: f"[{text}]"), says="{file}: an answer is a table"),
    Trick("comment", rewritten(lambda text: f"// marked\n{text}"), says="{file}:1: this is not whole JSON"),
    Trick("nan", written('{"version": NaN}'), says="{file}: NaN is not a number that can be used", kinds=ONE),
    _value("nan-reading", "NaN", "{file}: NaN is not a number that can be used"),
    _value("infinite-reading", "-Infinity", "{file}: -Infinity is not a number that can be used"),
    _value("1e400", "1e400", "{file}: 1e400 is not a number that can be used"),
    _value("long-exponent", "1e" + "9" * 5000, "…"),
    _value("long-number", "9" * 5000, "{file}: a number of 5,000 digits cannot be used"),
    _value("google", "1" + "0" * 100, "'value' must be a number or null"),
    _value("1e308", "1e308", "'value' must be a number or null"),
    _with("deep", "[" * 100_000, DEEP),
    _with("deep-and-whole", "[" * 100_000 + "]" * 100_000, DEEP),
    _with("deep-tables", '{"a":' * 50_000 + "1" + "}" * 50_000, DEEP),
    _with("second-claim", '["W4 open"]', "{file}: 'claim' is given twice in one place", "claim"),
    _with("second-paper", '"gate"', "{file}: 'paper' is given twice in one place", "paper"),
    _with("second-record", "{}", "{file}: 'record' is given twice in one place", "record"),
    _with("doubled-note", '{"1": "a", "1": "b"}', "{file}: '1' is given twice in one place"),
    _with("half-a-character", '{"1": "\\ud800"}', "{file}: it holds half a character"),
    _with("escaped-key", '["W4 open"]', "{file}: 'claim' is given twice in one place", "cl\\u0061im"),
    Trick("reformatted", rewritten(lambda text: json.dumps(json.loads(text), indent=8, sort_keys=True)), HARMLESS),
]
