"""Writing a circuit as a circuit file, so that reading it gives the same circuit again."""

from __future__ import annotations

import io
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq

from .circuit import LATCHED, Behaviour, Circuit, Control, Part, Wire
from .conductors import PLAIN
from .parts import KINDS
from .quantities import write_quantity


def write_circuit(circuit: Circuit) -> str:
    """Return the circuit as YAML text, every value written out with its unit."""
    top: dict[str, Any] = {
        "circuit": circuit.name,
        "title": circuit.title,
        "nominal": write_quantity(circuit.nominal, "V"),
        "safety": [_flow({"signal": note.signal, "text": note.text}) for note in circuit.safety],
        "controls": {name: _control(control) for name, control in circuit.controls.items()},
        "parts": {name: _part(part) for name, part in circuit.parts.items()},
        "wires": {name: _wire(wire) for name, wire in circuit.wires.items()},
        "behaviour": {name: _behaviour(behaviour) for name, behaviour in circuit.behaviour.items()},
        "reach": {terminal: first or "free" for terminal, first in circuit.reach.items()},
        "paths": [_flow_list(path) for path in circuit.paths],
    }
    always = ("circuit", "title", "nominal", "parts", "wires")
    yaml = YAML()
    yaml.width = 4096
    yaml.allow_unicode = True
    out = io.StringIO()
    yaml.dump({key: value for key, value in top.items() if value or key in always}, out)
    return out.getvalue()


def _flow(entries: dict[str, Any]) -> CommentedMap:
    table = CommentedMap(entries)
    table.fa.set_flow_style()
    return table


def _flow_list(entries: tuple[str, ...]) -> CommentedSeq:
    sequence = CommentedSeq(entries)
    sequence.fa.set_flow_style()
    return sequence


def _control(control: Control) -> CommentedMap:
    entries: dict[str, Any] = {"label": control.label, "positions": _flow_list(control.positions)}
    if control.springs_to is not None:
        entries["springs_to"] = control.springs_to
    return _flow(entries)


def _part(part: Part) -> CommentedMap:
    entries: dict[str, Any] = {"kind": part.kind}
    if part.control is not None:
        entries["control"] = part.control
    if part.contacts:
        entries["contacts"] = _flow({contact.name: _flow_list(contact.closed_in) for contact in part.contacts})
    for prop in KINDS[part.kind].properties:
        value = part.values[prop.name]
        if isinstance(value, str):
            entries[prop.name] = value
        elif prop.unit == "count":
            entries[prop.name] = str(int(value))
        elif value:  # a zero stands for "none given" (a motor's running current) and cannot be written
            entries[prop.name] = write_quantity(value, prop.unit)
    return _flow(entries)


def _wire(wire: Wire) -> CommentedMap:
    entries: dict[str, Any] = {"from": wire.start, "to": wire.end}
    if wire.gauge is not None:
        entries["gauge"] = f"{int(wire.gauge)} AWG"
    elif wire.area is not None:
        entries["area"] = write_quantity(wire.area, "mm²")
    entries |= {
        "length": write_quantity(wire.length, "m"),
        "class": str(wire.conductor_class),
        "temperature": write_quantity(wire.temperature, "°C"),
    }
    if wire.plating != PLAIN:
        entries["plating"] = wire.plating
    if wire.given_resistance is not None:
        entries["resistance"] = write_quantity(wire.given_resistance, "Ω")
    if wire.colour:
        entries["colour"] = wire.colour
    return _flow(entries)


def _behaviour(behaviour: Behaviour) -> CommentedMap:
    if behaviour.kind == LATCHED:
        return _flow(
            {
                "starts_when": _flow_list(behaviour.starts_when),
                "keeps_while": _flow_list(behaviour.keeps_while),
            }
        )
    return _flow({behaviour.kind: behaviour.part})
