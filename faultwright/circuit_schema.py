"""The circuit file as a JSON Schema (draft 2020-12), for editors: made from what the reader itself goes by.

The schema is of the file as the reader takes it: every scalar is text. An editor reads by YAML 1.2, where ``off`` and
``on`` are words but ``pins: 2`` is a number, so a number is let pass beside the text where the reader takes a plain
number, and anything that is no list or table where it takes any text. A quantity without its unit stays refused.

The schema is nowhere stricter than the reader. What only the reader finds:

- a name that nothing has, a terminal that the part does not have, a position that the control does not have;
- a name used twice, an entry given twice, a wire or a contact that joins something to itself;
- ``drop_out`` not below ``pull_in``;
- a quantity just outside its range, or outside by its exponent or prefix (whole numbers in the plain unit are judged);
- what makes the text no plain YAML of one document: tags, anchors, deep nesting.
"""

from __future__ import annotations

import re

from . import schema_texts as texts
from .circuit import FRAME, Part
from .circuit_file import (
    FOLLOWED_KINDS,
    FREE,
    GAUGE,
    LATCHED_ENTRIES,
    NOTE_ENTRIES,
    SIGNALS,
    THINNEST_GAUGE,
    TOP_ENTRIES,
    WIRE_ENTRIES,
    WIRE_UNITS,
)
from .conductors import MAXIMUM_OHM_PER_KM, PLATINGS
from .part_entries import CONTROL_ENTRIES, COUNT, MOST_PINS, MOVE_WORDS, NAME, NOT_IN_POSITIONS, PIN, part_entries
from .parts import DEFAULT_NOMINAL, KINDS, Kind, Property, finished, terminals
from .quantities import EXAMPLES, RANGES, UNITS
from .quantity_patterns import above, quantity_pattern, refused_patterns
from .schema_shapes import DRAFT, Node, listed, refer, table

_POSITION = f"[^{re.escape(NOT_IN_POSITIONS)}]+"


def circuit_schema() -> Node:
    """Return the schema."""
    sections = _sections()
    return {
        "$schema": DRAFT,
        "title": "Circuit file",
        **table(texts.FILE, {key: sections[key] for key in TOP_ENTRIES}, ("circuit", "parts", "wires")),
        "$defs": _words()
        | _quantities()
        | {"part": _part()}
        | {f"part-{kind.name}": _kind(kind) for kind in KINDS.values()},
    }


# Shapes


def _named(description: str, name: Node, value: Node) -> Node:
    """A table by names of the author's."""
    return {"description": description, "type": "object", "propertyNames": name, "additionalProperties": value}


def _no_text(why: str, pattern: str) -> Node:
    """Refuse texts of that pattern; a number is no such text."""
    return {"not": {"description": why, "type": "string", "pattern": pattern}}


def _one_or_list(description: str, item: Node) -> Node:
    """A list, or a single word for a list of one."""
    return {"description": description, "anyOf": [item, listed(description, item)]}


# Definitions that are referred to


def _words() -> Node:
    pins = sorted({pin for kind in KINDS.values() for pin in _default_pins(kind) if not PIN.fullmatch(pin)})
    pin = "|".join([PIN.pattern, *(f"[{pin}]" for pin in pins)])
    return {
        "text": {"description": "A word or a text.", "type": ["string", "number", "boolean", "null"]},
        "name": {
            "description": "A name: a letter, then letters, digits, '-', '_' or '.', 40 at most.",
            "type": "string",
            "pattern": f"^{NAME.pattern}$",
        },
        "terminal": {
            "description": f"A terminal, PART:PIN (IEC 61666), or {FRAME}, the machine's metal.",
            "type": "string",
            "pattern": f"^(?:{FRAME}|{NAME.pattern}:(?:{pin}))$",
            "examples": ["K1:86", "G1:+", FRAME],
        },
        "position": {
            "description": f"A position of a control: a word without any of {' '.join(NOT_IN_POSITIONS)}",
            "type": ["string", "number", "boolean"],
            "pattern": f"^{_POSITION}$",
        },
        "seen": {
            "description": "An earlier behaviour (a lamp counts when it is lit), or control=position.",
            "type": "string",
            "pattern": f"^{NAME.pattern}(?:={_POSITION})?$",
            "examples": ["cranks", "key=run"],
        },
    }


def _quantities() -> Node:
    return {texts.QUANTITIES[unit]: _quantity(unit) for unit in UNITS}


def _quantity(unit: str) -> Node:
    least, most = (f"{end:g} {unit}" for end in RANGES[unit])
    return {
        "description": f"A {texts.QUANTITIES[unit]}, such as {EXAMPLES[unit]}; from {least} to {most}.",
        "type": "string",
        "pattern": quantity_pattern(unit),
        "examples": [EXAMPLES[unit]],
        "allOf": [_no_text(why, pattern) for why, pattern in refused_patterns(unit).items()],
    }


def _measured(unit: str, description: str) -> Node:
    return refer(texts.QUANTITIES[unit], f"{description} A number with its unit, such as {EXAMPLES[unit]}.")


# Sections


def _sections() -> Node:
    name = refer("name", "A name of the author's.")
    control_name = name | {"not": {"description": "These words are moves.", "enum": list(MOVE_WORDS)}}
    part_name = name | {"not": {"description": "The machine's metal.", "const": FRAME}}
    member = refer("name", "A part or a wire.")
    first = refer("name", f"'{FREE}', or the part to unplug first.") | {"examples": [FREE]}
    return {
        "circuit": refer("name", texts.TOP["circuit"]),
        "title": refer("text", texts.TOP["title"]),
        "nominal": _measured("V", texts.TOP["nominal"]),
        "safety": listed(texts.TOP["safety"], _note()),
        "controls": _named(texts.TOP["controls"], control_name, _control()),
        "parts": _named(texts.TOP["parts"], part_name, refer("part", texts.PART)),
        "wires": _named(texts.TOP["wires"], part_name, _wire()),
        "behaviour": _named(texts.TOP["behaviour"], name, _behaviour()),
        "reach": _named(texts.TOP["reach"], refer("terminal", "A terminal that can be probed."), first),
        "paths": listed(texts.TOP["paths"], _one_or_list("The parts and wires of one current path.", member)),
    }


def _note() -> Node:
    entries = {
        "signal": {"description": texts.NOTE["signal"], "enum": list(SIGNALS)},
        "text": refer("text", texts.NOTE["text"]),
    }
    return table("A safety note.", {key: entries[key] for key in NOTE_ENTRIES}, NOTE_ENTRIES)


def _control() -> Node:
    entries = {
        "label": refer("text", texts.CONTROL["label"]),
        "positions": {
            **listed(texts.CONTROL["positions"], refer("position", "A position.")),
            "minItems": 2,
            "uniqueItems": True,
        },
        "springs_to": refer("position", texts.CONTROL["springs_to"]),
    }
    return table("Something that the operator moves.", {key: entries[key] for key in CONTROL_ENTRIES}, ["positions"])


def _wire() -> Node:
    classes = list(MAXIMUM_OHM_PER_KM)
    thinner = f"^{above(THINNEST_GAUGE)}[^0-9]"
    entries: dict[str, Node] = {
        **{end: refer("terminal", texts.WIRE[end]) for end in ("from", "to")},
        **{key: _measured(unit, texts.WIRE[key]) for key, unit in WIRE_UNITS.items()},
        "gauge": {
            "description": f"{texts.WIRE['gauge']} From 0 AWG to {THINNEST_GAUGE} AWG.",
            "type": "string",
            "pattern": f"^{GAUGE.pattern}$",
            **_no_text(f"Above {THINNEST_GAUGE} AWG.", thinner),
            "examples": ["16 AWG"],
        },
        "class": {"description": texts.WIRE["class"], "enum": [*map(str, classes), *classes]},
        "plating": {"description": texts.WIRE["plating"], "enum": list(PLATINGS)},
        "colour": refer("text", texts.WIRE["colour"]),
    }
    both = {"description": "An area and a gauge; write one of them.", "required": ["area", "gauge"]}
    wire = table("A wire between two terminals.", {key: entries[key] for key in WIRE_ENTRIES}, ("from", "to"))
    return wire | {"not": both}


def _behaviour() -> Node:
    followed = {word: refer("name", texts.FOLLOWED[word]) for word in FOLLOWED_KINDS}
    latched = {
        key: _one_or_list(texts.LATCHED[key], refer("seen", "What must hold: a behaviour, or control=position."))
        for key in LATCHED_ENTRIES
    }
    one_part = [{"description": texts.FOLLOWED[word], "required": [word]} for word in followed]
    latches = {
        "description": "It latches.",
        "anyOf": [{"description": texts.LATCHED[key], "required": [key]} for key in LATCHED_ENTRIES],
    }
    return table(texts.BEHAVIOUR, followed | latched, ()) | {"oneOf": [*one_part, latches]}


# Parts


def _part() -> Node:
    """A part: the kind's definition holds for whatever names that kind."""
    return {
        "description": texts.PART,
        "type": "object",
        "properties": {"kind": {"description": "The kind of part.", "enum": list(KINDS)}},
        "required": ["kind"],
        "allOf": [
            {
                "if": {"properties": {"kind": {"const": kind}}, "required": ["kind"]},
                "then": {"$ref": f"#/$defs/part-{kind}"},
            }
            for kind in KINDS
        ],
    }


def _kind(kind: Kind) -> Node:
    allowed, required = part_entries(kind)
    description = f"{texts.KINDS[kind.name]} Terminals: {_pins_in_words(kind)}."
    entries: dict[str, Node] = {
        "kind": {"description": description, "const": kind.name},
        "control": refer("name", texts.CONTROL_OF_A_SWITCH),
        "contacts": _contacts(kind),
        **{prop.name: _property(kind, prop) for prop in kind.properties},
    }
    return table(description, {key: entries[key] for key in allowed}, ("kind", *required))


def _default_pins(kind: Kind) -> tuple[str, ...]:
    part = finished(Part("P", kind.name), DEFAULT_NOMINAL)
    return tuple(terminal.partition(":")[2] for terminal in terminals(part))


def _pins_in_words(kind: Kind) -> str:
    pins = " ".join(_default_pins(kind))
    if not pins:
        return "as its contacts name them"
    if kind.default_contacts:
        return f"{pins}, or as its contacts name them"
    return f"{pins}, or by its number" if any(prop.unit == "count" for prop in kind.properties) else pins


def _contacts(kind: Kind) -> Node:
    """A table of contacts; where a kind has states of its own, these are closed in some of them."""
    description = texts.CONTACTS
    if kind.states:
        usual = ", ".join(f"{contact.name} {' '.join(contact.closed_in)}" for contact in kind.default_contacts)
        description += f" If left out: {usual}."
        state: Node = {"description": "When it is closed.", "enum": list(kind.states)}
    else:
        state = refer("position", "A position of the control in which it is closed.")
    name = {"description": "Two pins, such as 13-14.", "pattern": f"^{PIN.pattern}-{PIN.pattern}$"}
    return _named(description, name, _one_or_list("When the contact is closed.", state)) | {"minProperties": 1}


def _property(kind: Kind, prop: Property) -> Node:
    description = f"{texts.PROPERTIES[kind.name][prop.name]} If left out: {prop.source}."
    if prop.allowed:
        return {"description": description, "enum": list(prop.allowed)}
    if prop.unit != "count":
        return _measured(prop.unit, description)
    return {
        "description": f"{description} A whole number from 1 to {MOST_PINS}.",
        "type": ["integer", "string"],
        "minimum": 1,
        "maximum": MOST_PINS,
        "pattern": f"^{COUNT.pattern}$",
        **_no_text(f"Not from 1 to {MOST_PINS}.", f"^(?:0+|{above(MOST_PINS)})$"),
    }
