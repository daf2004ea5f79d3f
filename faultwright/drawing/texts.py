"""Every text of a circuit diagram that a person reads, in one place so that it can be translated."""

from __future__ import annotations

from collections.abc import Mapping

from faultwright.catalogue import reader

TEXTS: Mapping[str, str] = {
    # Notes on the sheet
    "note.at_rest": "Contacts: at rest.",
    "note.commanded": "Switches: commanded, not measured. Relay contacts: at rest.",
    "note.wires": "Wires: name, colour, cross-section.",
    "note.path": "Thick, with arrows: the path shown.",
    # Beside symbols
    "partners.coil": "coil: path {paths}",
    "partners.contact": "contact: path {paths}",
    "partners.contacts": "contacts: path {paths}",
    # Who cannot see it
    "told.diagram": "Circuit diagram, supply above, return below.",
    "told.path": "Path {number}: {words}.",
    "told.shown": "The path drawn thick, in the order of the current: {places}.",
    # Paper
    "paper.circuit": "circuit {name}",
    "paper.drawn.at_rest": "Contacts drawn at rest, nothing unplugged",
    "paper.drawn.at_rest_apart": "Contacts drawn at rest; unplugged: {places}",
    "paper.drawn.commanded": "Switches drawn as commanded, not measured; relay contacts at rest; nothing unplugged",
    "paper.drawn.commanded_apart": (
        "Switches drawn as commanded, not measured; relay contacts at rest; unplugged: {places}"
    ),
    "paper.sheet": "Sheet {number} of {count}",
    "paper.paths": "paths {first} to {last}",
    "paper.path": "path {first}",
    "paper.refers": "{place}: goes on at sheet {sheet}, path {path}",
    "paper.refers.down": "{sheet}: goes on in the same path at sheet {sheet}",
    "paper.title": "{title}: sheet {number} of {count}",
    "paper.told": "Sheet {number} of {count} of the circuit diagram of {title}. {drawn}.",
    "paper.page": "{title}: circuit diagram",
    "paper.small": "lettering is {height} mm high on {paper}, under {least} mm; larger paper: {larger}",
    "paper.smallest": "lettering is {height} mm high on {paper}, under {least} mm",
    "paper.suffix": "name an .svg file (one for each sheet) or an .html file (one page for each sheet)",
}


text = reader(TEXTS)
