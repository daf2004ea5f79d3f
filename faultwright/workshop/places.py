"""Where a fault lies on the real machine: its terminals, and the wires that land there, for whoever puts it in."""

from __future__ import annotations

from faultwright.circuit import Circuit, Contact, Part, Wire
from faultwright.parts import terminals

from .set_up_texts import text


def wires_at(circuit: Circuit, *places: str) -> str:
    """Return the wires that land on some terminals, by name."""
    return text("join").join(dict.fromkeys(wire for place in places for wire in circuit.wired.get(place, ())))


def wire_in_words(wire: Wire) -> str:
    """Return a wire with its colour: ``W7 (BK)``."""
    return text("where.wire", wire=wire.name, colour=wire.colour) if wire.colour else wire.name


def contact_of(part: Part, mode: str) -> Contact:
    """Return the contact that a mode names (``30-87 stuck open``), or a switch's only one."""
    return next((contact for contact in part.contacts if mode.startswith(f"{contact.name} ")), part.contacts[0])


def pin_alone(circuit: Circuit, part: Part, contact: Contact) -> str | None:
    """Return a wired terminal of a contact on which no other contact of its part depends, the second one first."""
    others = [pin for other in part.contacts if other != contact for pin in other.pins]
    for pin in reversed(contact.pins):
        if pin not in others and f"{part.name}:{pin}" in circuit.wired:
            return f"{part.name}:{pin}"
    return None


def ends_of(part: Part, contact: Contact | None = None) -> str:
    """Return the two terminals of a part, or of one of its contacts, in words."""
    pins = [f"{part.name}:{pin}" for pin in contact.pins] if contact else terminals(part)
    return text("ends").join(pins)


def coil_ends(part: Part) -> str:
    """Return the two terminals of a relay's coil in words: the first two of its kind."""
    return text("ends").join(terminals(part)[:2])
