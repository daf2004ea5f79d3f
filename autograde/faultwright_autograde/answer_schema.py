"""The answer file with its record as a JSON Schema (draft 2020-12): made from what the reader itself goes by.

The schema is nowhere stricter than the reader. What only the reader finds:

- a name that the circuit does not have, a position, remedy or fault that is not there;
- a number cited that is no finding of the record;
- a number that the meter cannot show;
- leads put where they cannot be, or on one terminal where two are needed;
- what makes the text no plain JSON: an entry given twice, NaN, nesting that is too deep.
"""

from __future__ import annotations

from collections.abc import Mapping

from faultwright.circuit import FRAME
from faultwright.meter import MODES, MOST_LEADS, OK, SCALES, STATUSES
from faultwright.part_entries import NAME
from faultwright.record import (
    ACTION_KINDS,
    ANSWER_ENTRIES,
    ANSWER_VERSION,
    BENCH,
    CONFIDENCES,
    LARGEST_NUMBER,
    MOST_ACTIONS,
    READ_ENTRIES,
    RECORD_ENTRIES,
)
from faultwright.schema_shapes import DRAFT, Node, listed, refer, table

from . import answer_schema_texts as texts
from .answer import LONGEST_LINE, MOST_ENTRIES

_PLACE = f"{NAME.pattern}(?::[A-Za-z0-9+-]+)?"
"""A part, a wire or a terminal; the machine's metal, FRAME, besides."""

_SEEN = ("off", "dim", "lit", True, False, None)


def answer_schema() -> Node:
    """Return the schema."""
    entries = _answer()
    return {
        "$schema": DRAFT,
        "title": f"{texts.TITLE}, version {ANSWER_VERSION}",
        **table(texts.FILE, {key: entries[key] for key in ANSWER_ENTRIES}, ("version", "circuit", "record")),
        "$defs": {"record": _record(), "action": _action(), "reading": _reading(), "name": _name()},
    }


def _line(description: str, *examples: str) -> Node:
    shown = {"examples": list(examples)} if examples else {}
    return {"description": description, "type": "string", "maxLength": LONGEST_LINE, **shown}


def _text(description: str) -> Node:
    return {"description": description, "type": "string"}


def _name() -> Node:
    return {"description": texts.BEHAVIOUR, "type": "string", "pattern": f"^{NAME.pattern}$"}


# The answer


def _answer() -> Mapping[str, Node]:
    fault = _line(texts.FAULT, "W9 resistance") | {"pattern": r"^\s*\S+\s+\S"}
    number = {"description": texts.FINDING, "type": "integer", "minimum": 0, "maximum": MOST_ACTIONS - 1}
    words = "|".join(CONFIDENCES)
    return {
        "version": {"description": texts.ANSWER["version"], "const": ANSWER_VERSION},
        "circuit": refer("name", texts.ANSWER["circuit"]),
        "paper": _line(texts.ANSWER["paper"]),
        "record": refer("record", texts.ANSWER["record"]),
        "claim": listed(texts.ANSWER["claim"], fault, maxItems=MOST_ENTRIES),
        "cited": listed(texts.ANSWER["cited"], number, maxItems=MOST_ENTRIES),
        "calculation": _line(texts.ANSWER["calculation"], "12 mA", "0.012 A"),
        "continuity": {
            "description": texts.ANSWER["continuity"],
            "type": "object",
            "propertyNames": _line(texts.ANSWER["continuity"]),
            "additionalProperties": _line(texts.CHOICE),
            "maxProperties": MOST_ENTRIES,
        },
        "remedy": _line(texts.ANSWER["remedy"], "W4 mend the wire"),
        "confidence": _line(texts.ANSWER["confidence"], *CONFIDENCES) | {"pattern": rf"^\s*(?:{words})?\s*$"},
        "notes": {"description": texts.ANSWER["notes"], "type": "object"},
    }


# The record


def _record() -> Node:
    entries: Mapping[str, Node] = {
        "circuit": refer("name", texts.RECORD["circuit"]),
        "actions": listed(texts.RECORD["actions"], refer("action", texts.ACTION_ITSELF), maxItems=MOST_ACTIONS),
        "version": {"description": texts.RECORD["version"]},
    }
    return table(texts.ANSWER["record"], {key: entries[key] for key in RECORD_ENTRIES}, ("circuit", "actions"))


def _action() -> Node:
    entries: Mapping[str, Node] = {
        "move": _text(texts.ACTION["move"])
        | {"pattern": r"^(?:\s*rest\s*$|[^=]+=)", "examples": ["key=on", "rest", "unplug=G1"]},
        "read": refer("reading", texts.ACTION["read"]),
        "see": {
            "description": texts.ACTION["see"],
            "type": "object",
            "propertyNames": refer("name", texts.BEHAVIOUR),
            "additionalProperties": {"description": texts.SEEN, "enum": list(_SEEN)},
        },
        "inspect": _texts(texts.ACTION["inspect"], texts.INSPECTED),
        "ask": _texts(texts.ACTION["ask"], texts.ASKED),
    }
    return table(texts.ACTION_ITSELF, {key: entries[key] for key in ACTION_KINDS}, ()) | {
        "minProperties": 1,
        "maxProperties": 1,
    }


def _texts(description: str, entries: Mapping[str, str]) -> Node:
    """A table of these texts, all of them."""
    shapes = {key: _text(words) for key, words in entries.items()}
    if "at" in shapes:
        shapes["at"]["pattern"] = f"^{_PLACE}$"
    return table(description, shapes, entries)


def _reading() -> Node:
    units = list(dict.fromkeys(scale.unit for scale in SCALES.values()))
    number = {"type": ["number", "null"], "minimum": -LARGEST_NUMBER, "maximum": LARGEST_NUMBER}
    shapes: Mapping[str, Node] = {
        "meter": {"enum": list(MODES)},
        "red": {"type": "string", "pattern": f"^(?:{_PLACE})$", "examples": ["B1:1", "G1:+", "W5"]},
        "black": {"type": "string", "pattern": f"^(?:{_PLACE})?$", "examples": [FRAME]},
        "expected": number,
        "value": number,
        "unit": {"enum": units},
        "status": {"enum": list(STATUSES)},
        "source": {"enum": ["", BENCH]},
        "alone": {"type": "string", "pattern": f"^(?:{NAME.pattern})?$"},
        "leads": {"type": ["number", "null"], "minimum": 0, "maximum": MOST_LEADS},
        "range": {"type": ["number", "null"]},
        "energised": {"type": "boolean"},
        "note": {"type": "string"},
    }
    entries = {key: {"description": texts.READ[key], **shapes[key]} for key in READ_ENTRIES}
    return table(texts.ACTION["read"], entries, ("meter", "red")) | {
        "allOf": [_ok_goes_with_a_value(), *(_set_to(mode) for mode in MODES)]
    }


def _ok_goes_with_a_value() -> Node:
    shown = {"required": ["value"], "properties": {"value": {"description": texts.WITH_A_VALUE, "type": "number"}}}
    nothing = {"properties": {"value": {"description": texts.WITHOUT_A_VALUE, "type": "null"}}}
    return {"if": {"properties": {"status": {"description": texts.OK, "const": OK}}}, "then": shown, "else": nothing}


def _set_to(mode: str) -> Node:
    """What follows from what the meter was set to."""
    scale = SCALES[mode]
    entries = {
        "unit": {"description": texts.UNIT_OF, "const": scale.unit},
        "range": {"description": texts.RANGES_OF, "enum": [None, *scale.ranges()]},
    }
    return {"if": {"properties": {"meter": {"const": mode}}, "required": ["meter"]}, "then": {"properties": entries}}
