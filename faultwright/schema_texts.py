"""What an author's editor shows beside each entry of a circuit file: the descriptions of its schema."""

from __future__ import annotations

from collections.abc import Mapping

FILE = (
    "A circuit for Faultwright, like the parts list beside a wiring diagram: parts, wires, and what the operator moves "
    "and sees."
)

TOP: Mapping[str, str] = {
    "circuit": "The circuit's own name; records and papers refer to it.",
    "title": "What people call the circuit. If left out: its name.",
    "nominal": (
        "The nominal voltage: a name and a yardstick, never a source. If left out: the voltage that the first source "
        "is given."
    ),
    "safety": "Safety notes, the gravest first.",
    "controls": "What the operator moves, by name. A switch names the control that works it.",
    "parts": "The parts, by name (IEC 81346-2 letters suit).",
    "wires": "The wires, by name: each joins two terminals.",
    "behaviour": "What is seen of the machine, by name, in this order.",
    "reach": (
        "The only terminals that can be probed, each with 'free' or with the part that must be unplugged first. If "
        "left out: all terminals, free."
    ),
    "paths": "Hints for the drawing: each a list of parts and wires that belong to one current path.",
}

NOTE: Mapping[str, str] = {
    "signal": "The signal word (ISO 3864-2).",
    "text": "What can happen, and what to do about it.",
}

CONTROL: Mapping[str, str] = {
    "label": "What people call it. If left out: its name.",
    "positions": "Its positions, two or more, each once; the first is its position at rest.",
    "springs_to": "Where it goes when let go: one of its positions. If left out: it stays.",
}

PART = "A part: its kind, and what a part of that kind has."
CONTROL_OF_A_SWITCH = "The control that works this switch."
CONTACTS = "The contacts, each between two pins, with when it is closed; their pins are terminals of the part."

WIRE: Mapping[str, str] = {
    "from": "The terminal where the wire begins.",
    "to": "The terminal where the wire ends.",
    "area": "Cross-section of the conductor; area or gauge, not both. If left out: 1.5 mm².",
    "gauge": "American wire gauge in place of an area.",
    "length": "Length of the wire. If left out: 1 m.",
    "class": "Conductor class (IEC 60228): 1 solid, 2 stranded, 5 flexible, 6 more flexible. If left out: 5.",
    "plating": "Whether the copper is plain or tinned. If left out: plain.",
    "temperature": "Temperature of the conductor. If left out: 20 °C.",
    "resistance": "Resistance of the whole wire, in place of all that it could be worked out from.",
    "colour": "Colour of the insulation; IEC 60757 letters suit (RD, BK, …).",
}

QUANTITIES: Mapping[str, str] = {
    "V": "voltage",
    "A": "current",
    "Ω": "resistance",
    "W": "power",
    "m": "length",
    "mm²": "area",
    "°C": "temperature",
    "%": "share",
}

BEHAVIOUR = "Something that is seen of the machine: it follows one part, or it latches."
FOLLOWED: Mapping[str, str] = {
    "motor": "The motor to follow: does it turn?",
    "lamp": "The lamp to follow: off, dim or lit.",
    "solenoid": "The solenoid to follow: does it pull?",
    "input": "The module's input to follow: does it act?",
    "relay": "The relay or contactor to follow: is it energised?",
    "magneto": "The magneto to follow: does it spark?",
}
LATCHED: Mapping[str, str] = {
    "starts_when": "It begins when all of these hold, and all of keeps_while.",
    "keeps_while": "It stays as long as all of these hold.",
}

KINDS: Mapping[str, str] = {
    "battery": "A battery: an emf behind its own resistance.",
    "supply": "A regulated supply; it gives and takes current.",
    "fuse": "A fuse; overloaded it opens, and stays open until it is repaired.",
    "switch": "A switch that a control works.",
    "relay": "A relay: a coil and the contacts that it works.",
    "contactor": "A contactor: a coil and the contacts that it works.",
    "diode": "A diode; it conducts from A to K.",
    "resistor": "A resistor.",
    "lamp": "A lamp with a filament.",
    "motor": "A motor.",
    "solenoid": "A solenoid.",
    "input": "An input of a control module, with a pull to the module's own + or -.",
    "magneto": "The magneto of a small engine; it sparks unless its primary is grounded from outside.",
    "splice": "A splice: wires joined for good; all its terminals are one.",
    "ground": "A ground point, joined to FRAME.",
    "connector": "A connector: a1 mates with b1, a2 with b2, and so on.",
}

PROPERTIES: Mapping[str, Mapping[str, str]] = {
    "battery": {
        "emf": "Voltage of the full battery at rest.",
        "resistance": "Resistance inside the full battery.",
        "charge": "State of charge.",
    },
    "supply": {"voltage": "Voltage without a load.", "resistance": "Resistance inside the supply."},
    "fuse": {"rating": "Current that it carries for good.", "resistance": "Resistance of the sound fuse."},
    "switch": {"resistance": "Resistance of a closed contact."},
    "relay": {
        "coil": "Resistance of the coil.",
        "pull_in": "Voltage across the coil at which it pulls in.",
        "drop_out": "Voltage across the coil at which it lets go; less than pull_in.",
        "resistance": "Resistance of a closed contact.",
    },
    "contactor": {
        "coil": "Resistance of the coil.",
        "pull_in": "Voltage across the coil at which it pulls in.",
        "drop_out": "Voltage across the coil at which it lets go; less than pull_in.",
        "resistance": "Resistance of a closed contact.",
    },
    "diode": {"forward_drop": "Voltage across it where it begins to conduct."},
    "resistor": {"resistance": "Its resistance."},
    "lamp": {
        "power": "Power at its voltage.",
        "voltage": "Voltage at which it has its power.",
        "cold": "Resistance of the cold filament, as an ohmmeter sees it.",
        "filament": "Whether the filament's resistance changes with its voltage.",
    },
    "motor": {
        "resistance": "Resistance of the winding.",
        "running": "Current that it draws when it turns, at nominal voltage.",
        "turns_from": "Current at standstill from which it turns.",
    },
    "solenoid": {"resistance": "Resistance of the winding.", "pulls_from": "Current from which it pulls."},
    "input": {
        "pull": "Where the pull goes: up to +, or down to -.",
        "pull_resistance": "Resistance of the pull.",
        "active": "On which side of the threshold it acts.",
        "threshold": "Voltage at in, against its own -, at which it changes.",
    },
    "magneto": {
        "primary": "Resistance of the primary inside, between stop and -.",
        "grounded_below": "Resistance of the outside circuit below which the primary is grounded.",
    },
    "splice": {"ways": "How many terminals it has."},
    "ground": {"resistance": "Resistance to FRAME."},
    "connector": {"pins": "How many pins each half has.", "resistance": "Resistance of a mated pin."},
}
