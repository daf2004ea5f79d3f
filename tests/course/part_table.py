"""The authoring guide's table of part kinds, made from the kinds themselves. Run this file to print the table anew."""

from __future__ import annotations

import sys

from faultwright.circuit import Part
from faultwright.parts import KINDS, Kind, Property, finished, terminals
from faultwright.quantities import show_quantity

NOMINAL = 12.0
HEAD = ("kind", "pins", "property", "unit", "default on 12 V", "where that comes from")


def part_table() -> str:
    """Return the table in Markdown: one row a property, the kind and its pins in the first of them."""
    rows = [HEAD, ("---",) * len(HEAD)]
    for kind in KINDS.values():
        part = finished(Part("P", kind.name), NOMINAL)
        names = (kind.name, _pins(kind, part))
        for prop in kind.properties:
            rows.append((*names, prop.name, _unit(prop), _default(prop, part), prop.source))
            names = ("", "")
        rows += [("", "", *row) for row in _contact_rows(kind)]
    return "".join(f"| {' | '.join(row)} |\n".replace("|  |  |", "| | |") for row in rows)


def _pins(kind: Kind, part: Part) -> str:
    if kind.name == "switch":
        return "as its contacts name them"
    pins = " ".join(terminal.partition(":")[2] for terminal in terminals(part))
    if kind.default_contacts:
        return f"`{pins}`, or as its contacts name them"
    return f"`{pins}` …" if any(prop.unit == "count" for prop in kind.properties) else f"`{pins}`"


def _unit(prop: Property) -> str:
    if prop.allowed:
        return " or ".join(f"`{word}`" for word in prop.allowed)
    return prop.unit


def _default(prop: Property, part: Part) -> str:
    value = part.values[prop.name]
    if isinstance(value, str):
        return f"`{value}`"
    return f"{value:g}" if prop.unit == "count" else show_quantity(value, prop.unit)


def _contact_rows(kind: Kind) -> list[tuple[str, str, str, str]]:
    """Return the rows of what is no property of one value: contacts, and what a switch is worked by."""
    if kind.name == "switch":
        return [
            ("control", "a control's name", "must be given", "what works it"),
            ("contacts", "`{1-2: [on]}`", "must be given", "the positions in which each contact is closed"),
        ]
    if not kind.states:
        return []
    default = ", ".join(f"{contact.name}: {contact.closed_in[0]}" for contact in kind.default_contacts)
    return [("contacts", " or ".join(f"`{word}`" for word in kind.states), f"`{{{default}}}`", "the usual pattern")]


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    sys.stdout.write(part_table())
