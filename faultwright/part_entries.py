"""The controls and parts of a circuit file: reading them with every mistake located."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from .circuit import FRAME, Contact, Control, Part
from .errors import Refused, unknown
from .located_yaml import Reader
from .parts import KINDS, Kind, Property
from .quantities import RANGES, parse_quantity

if TYPE_CHECKING:
    from ruamel.yaml.nodes import Node

NAME = re.compile(r"[A-Za-z][A-Za-z0-9_.\-]{0,39}")
MOVE_WORDS = (
    *("unplug", "mate", "substitute", "restore", "bridge", "unbridge", "load", "unload", "disturb", "repair", "rest"),
)
MOST_PINS = 200
COUNT = re.compile(r"[0-9]{1,3}")
PIN = re.compile(r"[A-Za-z0-9]+")
"""A pin that a contact may name."""
NOT_IN_POSITIONS = "=,\"'"
"""Signs that part positions from what stands around them in a move."""
CONTROL_ENTRIES = ("label", "positions", "springs_to")


def part_entries(kind: Kind) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what an entry of that kind may hold, and which of it must be there besides the kind."""
    required = ("control", "contacts") if kind.name == "switch" else ()
    contacts = ("contacts",) if kind.states else ()
    return ("kind", *required, *contacts, *(prop.name for prop in kind.properties)), required


class PartReader(Reader):
    """Reads names, quantities, controls and parts."""

    def __init__(self, place: str) -> None:
        super().__init__(place)
        # Parts whose own entry is wrong: what refers to them is not a second mistake.
        self.unreadable: set[str] = set()

    def name(self, node: Node, what: str) -> str:
        """Return a name, or note that it is none."""
        text = self.text(node, what) or ""
        if not NAME.fullmatch(text):
            self.wrong(
                node, f"{what} is {text!r}; a name is a letter, then letters, digits, '-', '_' or '.', 40 at most"
            )
        return text

    def quantity(self, node: Node | None, what: str, unit: str) -> float | None:
        """Return a quantity in ``unit``, None where there is none or it is wrong."""
        if node is None:
            return None
        text = self.text(node, what)
        if text is None:
            return None
        try:
            value = parse_quantity(text, unit)
        except Refused as error:
            self.wrong(node, f"{what}: {error.mistakes[0].message}")
            return None
        least, most = RANGES[unit]
        if not least <= value <= most:
            self.wrong(node, f"{what} is {text}; it must be from {least:g} {unit} to {most:g} {unit}")
            return None
        return value

    # Controls and parts

    def controls(self, node: Node | None) -> dict[str, Control]:
        """Return the controls by name."""
        controls: dict[str, Control] = {}
        if node is None:
            return controls
        for name, key, value in self.table(node, "controls"):
            self.name(key, "a control's name")
            if name in MOVE_WORDS:
                self.wrong(key, f"a control cannot be called {name!r}: that word is a move ({' '.join(MOVE_WORDS)})")
            entry = self.fields(value, f"control {name}", CONTROL_ENTRIES, ("positions",))
            positions = self.texts(entry["positions"], f"positions of {name}") if "positions" in entry else []
            words = tuple(text for text, _ in positions)
            for place, (text, item) in enumerate(positions):
                if not text or text in words[:place] or set(text) & set(NOT_IN_POSITIONS):
                    self.wrong(item, f"control {name}: position {text!r} must be a word of its own, used once")
            if "positions" in entry and len(words) < 2:  # noqa: PLR2004 - a control with one position cannot be moved
                self.wrong(entry["positions"], f"control {name} needs two positions or more")
            springs = self.text(entry["springs_to"], "springs_to") if "springs_to" in entry else None
            if springs is not None and springs not in words:
                self.wrong(entry["springs_to"], f"control {name}: {unknown('position', springs, words)}")
            label = self.text(entry["label"], "label") if "label" in entry else None
            controls[name] = Control(name, label or name, words or ("off",), springs)
        return controls

    def parts(self, node: Node | None, controls: Mapping[str, Control]) -> dict[str, Part]:
        """Return the parts by name, defaults not yet filled in."""
        parts: dict[str, Part] = {}
        if node is None:
            return parts
        for name, key, value in self.table(node, "parts"):
            self.name(key, "a part's name")
            if name == FRAME:
                self.wrong(key, f"no part can be called {FRAME}: that is the machine's metal")
                continue
            part = self._part(name, value, controls)
            if part:
                parts[name] = part
            else:
                self.unreadable.add(name)
        return parts

    def _part(self, name: str, node: Node, controls: Mapping[str, Control]) -> Part | None:
        kind_node = next((value for key, _, value in self._quietly(node) if key == "kind"), None)
        if kind_node is None:
            self.wrong(node, f"part {name}: 'kind' is missing (allowed: {', '.join(KINDS)})")
            return None
        word = self.text(kind_node, f"kind of {name}") or ""
        if word not in KINDS:
            self.wrong(kind_node, f"part {name}: {unknown('kind', word, list(KINDS))}")
            return None
        kind = KINDS[word]
        named = {prop.name: prop for prop in kind.properties}
        entry = self.fields(node, f"part {name}", *part_entries(kind))
        values: dict[str, float | str] = {}
        for key, value_node in entry.items():
            if key in named and (value := self._property(name, named[key], value_node)) is not None:
                values[key] = value
        control = None
        states = kind.states
        if "control" in entry:
            control = self.text(entry["control"], f"control of {name}") or ""
            if control in controls:
                states = controls[control].positions
            else:
                self.wrong(entry["control"], f"part {name}: {unknown('control', control, list(controls))}")
        contacts = self._contacts(name, entry["contacts"], states) if "contacts" in entry else ()
        part = Part(name, word, values, contacts, control)
        self._check_coil(part, node)
        return part

    def _quietly(self, node: Node) -> list[tuple[str, Node, Node]]:
        """Return the entries of a table without noting mistakes: the full reading notes them."""
        return list(Reader(self.place).table(node, ""))

    def _property(self, part: str, prop: Property, node: Node) -> float | str | None:
        what = f"{prop.name} of {part}"
        text = self.text(node, what)
        if text is None:
            return None
        if prop.allowed:
            if text not in prop.allowed:
                self.wrong(node, f"{what} is {text!r} (allowed: {', '.join(prop.allowed)})")
            return text
        if prop.unit == "count":
            if not COUNT.fullmatch(text) or not 1 <= int(text) <= MOST_PINS:
                self.wrong(node, f"{what} is {text!r}; it must be a whole number from 1 to {MOST_PINS}")
                return None
            return float(text)
        return self.quantity(node, what, prop.unit)

    def _contacts(self, part: str, node: Node, states: tuple[str, ...]) -> tuple[Contact, ...]:
        contacts: list[Contact] = []
        for name, key, value in self.table(node, f"contacts of {part}"):
            pins = tuple(name.split("-"))
            if len(pins) != 2 or not all(PIN.fullmatch(pin) for pin in pins) or pins[0] == pins[1]:  # noqa: PLR2004
                self.wrong(key, f"part {part}: contact {name!r} must name two pins, such as 13-14")
                continue
            closed: list[str] = []
            for text, item in self.texts(value, f"contact {name} of {part}"):
                if states and text not in states:
                    self.wrong(item, f"part {part}, contact {name}: {unknown('position', text, states)}")
                closed.append(text)
            contacts.append(Contact((pins[0], pins[1]), tuple(closed)))
        if not contacts:
            self.wrong(node, f"part {part} has no contact; write one such as {{1-2: [on]}}")
        return tuple(contacts)

    def _check_coil(self, part: Part, node: Node) -> None:
        """A relay that lets go above the voltage at which it pulls in could never settle."""
        pull, drop = part.values.get("pull_in"), part.values.get("drop_out")
        if pull is not None and drop is not None and float(drop) >= float(pull):
            self.wrong(node, f"part {part.name}: drop_out must be less than pull_in")
