"""The circuit file: reading it with every mistake located."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from .circuit import FRAME, LATCHED, Behaviour, Circuit, Control, Part, SafetyNote, Wire, split_terminal
from .conductors import MAXIMUM_OHM_PER_KM, PLAIN, PLATINGS
from .errors import Refused, unknown
from .files import read_text
from .part_entries import PartReader
from .parts import DEFAULT_NOMINAL, finished, terminals

if TYPE_CHECKING:
    from ruamel.yaml.nodes import Node

SIGNALS = ("danger", "warning", "caution", "notice")

TOP_ENTRIES = ("circuit", "title", "nominal", "safety", "controls", "parts", "wires", "behaviour", "reach", "paths")
WIRE_ENTRIES = ("from", "to", "area", "gauge", "length", "class", "plating", "temperature", "resistance", "colour")
WIRE_UNITS = {"area": "mm²", "length": "m", "temperature": "°C", "resistance": "Ω"}
GAUGE = re.compile(r"([0-9]{1,2}) ?AWG")
THINNEST_GAUGE = 40
"""The thinnest in the standard's range."""
NOTE_ENTRIES = ("signal", "text")
LATCHED_ENTRIES = ("starts_when", "keeps_while")
FREE = "free"
"""In ``reach``: nothing has to be unplugged first."""
_FOLLOWED = ("motor", "lamp", "solenoid", "input", "relay", "magneto")
FOLLOWED_KINDS: Mapping[str, tuple[str, ...]] = {word: (word,) for word in _FOLLOWED} | {
    "relay": ("relay", "contactor")
}
"""Behaviour word → the kinds of part it can follow."""


def read_circuit(path: Path | str) -> Circuit:
    """Return the circuit in a file. Raises :class:`~faultwright.errors.Refused` with every mistake in it."""
    path = Path(path)
    return parse_circuit(read_text(path), path.name)


@lru_cache(maxsize=64)
def parse_circuit(text: str, place: str = "circuit") -> Circuit:
    """Return the circuit written in ``text``; ``place`` names the text in messages."""
    reader = _CircuitReader(place)
    circuit = reader.circuit(reader.compose(text))
    if reader.mistakes:
        raise Refused(sorted(reader.mistakes, key=lambda mistake: mistake.line or 0))
    return circuit


class _CircuitReader(PartReader):
    """Reads the sections in the order in which later ones refer to earlier ones."""

    def circuit(self, top: Node) -> Circuit:
        sections = self.fields(top, "the circuit file", TOP_ENTRIES, ("circuit", "parts", "wires"))
        name = self.name(sections["circuit"], "the circuit's name") if "circuit" in sections else "circuit"
        title = self.text(sections["title"], "title") if "title" in sections else name
        nominal = self.quantity(sections.get("nominal"), "nominal", "V")
        controls = self.controls(sections.get("controls"))
        raw = self.parts(sections.get("parts"), controls)
        nominal = nominal or _first_source_voltage(raw) or DEFAULT_NOMINAL
        parts = {name: finished(part, nominal) for name, part in raw.items()}
        wires = self._wires(sections.get("wires"), parts)
        return Circuit(
            name=name,
            title=title or name,
            nominal=nominal,
            parts=parts,
            wires=wires,
            controls=controls,
            behaviour=self._behaviours(sections.get("behaviour"), parts, controls),
            safety=self._safety(sections.get("safety")),
            reach=self._reach(sections.get("reach"), parts),
            paths=self._paths(sections.get("paths"), parts, wires),
        )

    # Wires

    def _wires(self, node: Node | None, parts: Mapping[str, Part]) -> dict[str, Wire]:
        wires: dict[str, Wire] = {}
        if node is None:
            return wires
        for name, key, value in self.table(node, "wires"):
            self.name(key, "a wire's name")
            if name in parts or name == FRAME:
                self.wrong(key, f"wire {name} has the name of a part; every name is used once")
            entry = self.fields(value, f"wire {name}", WIRE_ENTRIES, ("from", "to"))
            ends = [self._terminal(entry[end], f"wire {name} ends at", parts) for end in ("from", "to") if end in entry]
            if len(ends) == 2 and ends[0] == ends[1] and ends[0]:  # noqa: PLR2004 - both ends
                self.wrong(value, f"wire {name} joins {ends[0]} to itself")
            area = self._measure(entry, "area", name)
            gauge = self._gauge(entry.get("gauge"), name)
            if "area" in entry and "gauge" in entry:
                self.wrong(value, f"wire {name} has an area and a gauge; write one of them")
            wires[name] = Wire(
                name=name,
                start=(ends[0] if ends else None) or "",
                end=(ends[-1] if ends else None) or "",
                area=None if gauge is not None else (area or 1.5),
                length=self._given(entry, "length", name, 1.0),
                gauge=gauge,
                conductor_class=self._class(entry.get("class"), name),
                temperature=self._given(entry, "temperature", name, 20.0),
                given_resistance=self._measure(entry, "resistance", name),
                colour=(self.text(entry["colour"], f"colour of {name}") or "") if "colour" in entry else "",
                plating=self._plating(entry.get("plating"), name),
            )
        return wires

    def _terminal(self, node: Node, what: str, parts: Mapping[str, Part]) -> str | None:
        text = self.text(node, what)
        if text is None:
            return None
        message = terminal_mistake(text, parts)
        if message and split_terminal(text)[0] not in self.unreadable:
            self.wrong(node, f"{what} {text}, but {message}")
            return None
        return text

    def _measure(self, entry: Mapping[str, Node], key: str, wire: str) -> float | None:
        return self.quantity(entry.get(key), f"{key} of {wire}", WIRE_UNITS[key])

    def _given(self, entry: Mapping[str, Node], key: str, wire: str, default: float) -> float:
        value = self._measure(entry, key, wire)
        return default if value is None else value

    def _gauge(self, node: Node | None, wire: str) -> float | None:
        if node is None:
            return None
        text = self.text(node, f"gauge of {wire}") or ""
        found = GAUGE.fullmatch(text)
        if not found or int(found[1]) > THINNEST_GAUGE:
            self.wrong(node, f"gauge of {wire} is {text!r}; write it as '16 AWG', from 0 to {THINNEST_GAUGE}")
            return None
        return float(found[1])

    def _class(self, node: Node | None, wire: str) -> int:
        text = (self.text(node, f"class of {wire}") or "") if node is not None else "5"
        allowed = [str(number) for number in MAXIMUM_OHM_PER_KM]
        if text not in allowed and node is not None:
            self.wrong(node, f"class of {wire} is {text!r} (allowed, from IEC 60228: {', '.join(allowed)})")
            return 5
        return int(text)

    def _plating(self, node: Node | None, wire: str) -> str:
        text = (self.text(node, f"plating of {wire}") or "") if node is not None else PLAIN
        if text not in PLATINGS and node is not None:
            self.wrong(node, f"plating of {wire}: {unknown('plating', text, PLATINGS)}")
        return text

    # Behaviour, safety, reach

    def _behaviours(
        self, node: Node | None, parts: Mapping[str, Part], controls: Mapping[str, Control]
    ) -> dict[str, Behaviour]:
        found: dict[str, Behaviour] = {}
        if node is None:
            return found
        for name, key, value in self.table(node, "behaviour"):
            self.name(key, "a behaviour's name")
            if name in controls:
                self.wrong(key, f"behaviour {name} has the name of a control")
            entry = self.fields(value, f"behaviour {name}", (*_FOLLOWED, *LATCHED_ENTRIES))
            followed = [word for word in _FOLLOWED if word in entry]
            latched = any(what in entry for what in LATCHED_ENTRIES)
            if len(followed) + latched != 1:
                self.wrong(value, f"behaviour {name} must follow one part ({', '.join(_FOLLOWED)}) or be latched")
            elif latched:
                lists = {
                    what: self._entries(entry[what], f"{what} of {name}", found, controls) if what in entry else ()
                    for what in LATCHED_ENTRIES
                }
                found[name] = Behaviour(name, LATCHED, "", lists["starts_when"], lists["keeps_while"])
            else:
                word = followed[0]
                part = self.text(entry[word], f"{word} of {name}") or ""
                fitting = [other.name for other in parts.values() if other.kind in FOLLOWED_KINDS[word]]
                if part not in fitting and part not in self.unreadable:
                    self.wrong(entry[word], f"behaviour {name}: {unknown(word, part, fitting)}")
                found[name] = Behaviour(name, word, part)
        return found

    def _entries(
        self, node: Node, what: str, earlier: Mapping[str, Behaviour], controls: Mapping[str, Control]
    ) -> tuple[str, ...]:
        entries = self.texts(node, what)
        for text, item in entries:
            control, equals, position = text.partition("=")
            if not equals:
                if text not in earlier:
                    self.wrong(item, f"{what}: {unknown('earlier behaviour', text, list(earlier))}")
            elif control not in controls:
                self.wrong(item, f"{what}: {unknown('control', control, list(controls))}")
            elif position not in controls[control].positions:
                self.wrong(item, f"{what}: {unknown('position', position, controls[control].positions)}")
        return tuple(text for text, _ in entries)

    def _safety(self, node: Node | None) -> tuple[SafetyNote, ...]:
        notes: list[SafetyNote] = []
        for item in self.items(node, "safety") if node is not None else ():
            entry = self.fields(item, "a safety note", NOTE_ENTRIES, NOTE_ENTRIES)
            signal, text = (self.text(entry[key], key) or "" if key in entry else "" for key in NOTE_ENTRIES)
            if "signal" in entry and signal not in SIGNALS:
                self.wrong(entry["signal"], f"safety: {unknown('signal word', signal, SIGNALS)}")
            notes.append(SafetyNote(signal, text))
        return tuple(notes)

    def _reach(self, node: Node | None, parts: Mapping[str, Part]) -> dict[str, str]:
        reach: dict[str, str] = {}
        if node is None:
            return reach
        for terminal, key, value in self.table(node, "reach"):
            message = terminal_mistake(terminal, parts)
            if message:
                self.wrong(key, f"reach names {terminal}, but {message}")
            first = self.text(value, f"reach of {terminal}") or ""
            if first != FREE and first not in parts:
                wrong = unknown("part", first, list(parts))
                self.wrong(value, f"reach of {terminal}: write 'free' or the part to unplug first; {wrong}")
            reach[terminal] = "" if first == FREE else first
        return reach

    def _paths(
        self, node: Node | None, parts: Mapping[str, Part], wires: Mapping[str, Wire]
    ) -> tuple[tuple[str, ...], ...]:
        paths: list[tuple[str, ...]] = []
        for item in self.items(node, "paths") if node is not None else ():
            names = self.texts(item, "a path")
            for text, name_node in names:
                if text not in parts and text not in wires:
                    self.wrong(name_node, f"paths: {unknown('part or wire', text, [*parts, *wires])}")
            paths.append(tuple(text for text, _ in names))
        return tuple(paths)


def _first_source_voltage(parts: Mapping[str, Part]) -> float | None:
    """Return the voltage that the first source is given, for a file that names no nominal voltage."""
    given = (part.values.get(key) for part in parts.values() for key in ("emf", "voltage") if part.kind != "lamp")
    return next((float(value) for value in given if value is not None), None)


def terminal_mistake(text: str, parts: Mapping[str, Part]) -> str | None:
    """Say what is wrong with a terminal's name, or return None: ``K1 has no terminal 41 (it has 85 86 …)``."""
    if text == FRAME:
        return None
    name, pin = split_terminal(text)
    if name not in parts:
        return unknown("part", name, [*parts, FRAME])
    allowed = [split_terminal(terminal)[1] for terminal in terminals(parts[name])]
    if pin in allowed:
        return None
    return f"{name} has no terminal {pin or '(none given)'} (it has {' '.join(allowed)})"
