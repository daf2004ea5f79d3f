"""The kinds of part: their terminals, their properties with defaults, and the branches they are made of.

A new kind of part is one entry in :data:`KINDS`. What a branch does electrically follows from its
:class:`Role`, so most new kinds need no other module.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache

from .circuit import FRAME, Circuit, Contact, Part

DEFAULT_NOMINAL = 12.0
"""Nominal voltage where the file names none and holds no source."""


class Role(Enum):
    """What a branch does besides having a resistance."""

    SOURCE = "source"
    RESISTOR = "resistor"
    FUSE = "fuse"
    CONTACT = "contact"
    COIL = "coil"
    DIODE = "diode"
    LAMP = "lamp"
    MOTOR = "motor"
    SOLENOID = "solenoid"
    PULL = "pull"
    PRIMARY = "primary"


@dataclass(frozen=True, slots=True)
class PartBranch:
    """A branch inside a part, from terminal ``a`` to terminal ``b`` (``PART:PIN`` or ``FRAME``), in Ω and V."""

    name: str
    a: str
    b: str
    role: Role
    resistance: float
    emf: float = 0.0


@dataclass(frozen=True, slots=True)
class Property:
    """A property of a kind. ``default`` is a value, a function of the nominal voltage, or None (required)."""

    name: str
    unit: str
    source: str
    default: float | str | Callable[[float], float] | None = None
    allowed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Kind:
    """A kind of part.

    ``pins`` gives the pins from the part's values; ``branches`` its branches; ``default_contacts`` those
    that a file need not write; ``states`` the words a contact may be closed in (empty: the control's
    positions); ``sensed`` says that the part judges what stands at its own pins; ``joined`` that all its pins
    are one node.
    """

    name: str
    pins: Callable[[Part], tuple[str, ...]]
    branches: Callable[[Part], tuple[PartBranch, ...]]
    properties: tuple[Property, ...] = ()
    default_contacts: tuple[Contact, ...] = ()
    states: tuple[str, ...] = ()
    sensed: bool = False
    joined: bool = False


def _fixed(*pins: str) -> Callable[[Part], tuple[str, ...]]:
    return lambda _part: pins


def _contact_pins(*first: str) -> Callable[[Part], tuple[str, ...]]:
    """Pins of a coil (if any), then those that the contacts name, in that order."""
    return lambda part: tuple(dict.fromkeys((*first, *(pin for contact in part.contacts for pin in contact.pins))))


def _one(a: str, b: str, role: Role, resistance: str = "resistance") -> Callable[[Part], tuple[PartBranch, ...]]:
    """A part that is one branch with one resistance."""
    return lambda part: (PartBranch("", f"{part.name}:{a}", f"{part.name}:{b}", role, part.number(resistance)),)


def _source(part: Part, emf: float, resistance: float) -> tuple[PartBranch, ...]:
    # From - to +: the emf drives the current out of +.
    return (PartBranch("", f"{part.name}:-", f"{part.name}:+", Role.SOURCE, resistance, emf),)


def _battery(part: Part) -> tuple[PartBranch, ...]:
    """Its emf falls by 6 % and its resistance doubles from full to empty: 12.65 V to 11.89 V, common practice."""
    empty = 1 - part.number("charge") / 100
    return _source(part, part.number("emf") * (1 - 0.06 * empty), part.number("resistance") * (1 + empty))


def _supply(part: Part) -> tuple[PartBranch, ...]:
    return _source(part, part.number("voltage"), part.number("resistance"))


def _contacts(part: Part) -> tuple[PartBranch, ...]:
    return tuple(
        PartBranch(
            contact.name,
            f"{part.name}:{contact.pins[0]}",
            f"{part.name}:{contact.pins[1]}",
            Role.CONTACT,
            part.number("resistance"),
        )
        for contact in part.contacts
    )


def _coil_and_contacts(first: str, second: str) -> Callable[[Part], tuple[PartBranch, ...]]:
    def branches(part: Part) -> tuple[PartBranch, ...]:
        ends = f"{part.name}:{first}", f"{part.name}:{second}"
        return (PartBranch("coil", *ends, Role.COIL, part.number("coil")), *_contacts(part))

    return branches


def lamp_resistance(part: Part) -> float:
    """Return a lamp's hot resistance in Ω, from its power and the voltage at which it has that power."""
    return part.number("voltage") ** 2 / part.number("power")


def _lamp(part: Part) -> tuple[PartBranch, ...]:
    return (PartBranch("", f"{part.name}:1", f"{part.name}:2", Role.LAMP, lamp_resistance(part)),)


def _ground(part: Part) -> tuple[PartBranch, ...]:
    return (PartBranch("", f"{part.name}:1", FRAME, Role.RESISTOR, part.number("resistance")),)


def _input(part: Part) -> tuple[PartBranch, ...]:
    rail = "+" if part.values["pull"] == "up" else "-"
    return (PartBranch("", f"{part.name}:{rail}", f"{part.name}:in", Role.PULL, part.number("pull_resistance")),)


def connector_pairs(part: Part) -> tuple[str, ...]:
    """Return the pin numbers of a connector; pin ``2`` mates ``a2`` with ``b2``."""
    return tuple(str(number) for number in range(1, int(part.number("pins")) + 1))


def _connector(part: Part) -> tuple[PartBranch, ...]:
    return tuple(
        PartBranch(pin, f"{part.name}:a{pin}", f"{part.name}:b{pin}", Role.RESISTOR, part.number("resistance"))
        for pin in connector_pairs(part)
    )


def _connector_pins(part: Part) -> tuple[str, ...]:
    pairs = connector_pairs(part)
    return (*(f"a{pin}" for pin in pairs), *(f"b{pin}" for pin in pairs))


def _no_branches(_part: Part) -> tuple[PartBranch, ...]:
    return ()


def _coil_voltages(pull_in: str, drop_out: str) -> tuple[Property, ...]:
    return (
        Property("pull_in", "V", pull_in, lambda nominal: nominal * 8 / 12),
        Property("drop_out", "V", drop_out, lambda nominal: nominal * 1.5 / 12),
    )


_CONTACT = "1.5 mΩ: 15 mV typical at 10 A, at most 200 mV (ISO 7588-pattern relay datasheet)"
_RELAY_VOLTS = "8 V and 1.5 V on a 12 V relay (ISO 7588-pattern relay datasheet), scaled with nominal voltage"

ENERGISED, RELEASED = "energised", "released"

_KINDS = (
    Kind(
        "battery",
        _fixed("+", "-"),
        _battery,
        (
            Property("emf", "V", "12.6 V at rest on 12 V: common practice", lambda nominal: nominal * 1.05),
            Property("resistance", "Ω", "20 mΩ, a small lead-acid battery: common practice", 0.02),
            Property("charge", "%", "100 %: full", 100.0),
        ),
    ),
    Kind(
        "supply",
        _fixed("+", "-"),
        _supply,
        (
            Property("voltage", "V", "its nominal voltage", lambda nominal: nominal),
            Property("resistance", "Ω", "10 mΩ, output and leads of a regulated supply: common practice", 0.01),
        ),
    ),
    Kind(
        "fuse",
        _fixed("1", "2"),
        _one("1", "2", Role.FUSE),
        (
            Property("rating", "A", "15 A, a common blade fuse: common practice", 15.0),
            Property("resistance", "Ω", "5 mΩ, cold 15 A blade fuse with its holder: common practice", 0.005),
        ),
    ),
    Kind(
        "switch",
        _contact_pins(),
        _contacts,
        (Property("resistance", "Ω", "20 mΩ; a sound closed switch reads under 0.2 Ω: common practice", 0.02),),
    ),
    Kind(
        "relay",
        _contact_pins("85", "86"),
        _coil_and_contacts("86", "85"),
        (
            Property("coil", "Ω", "85 Ω ±10 % (ISO 7588-pattern 12 V relay datasheet)", 85.0),
            *_coil_voltages(_RELAY_VOLTS, _RELAY_VOLTS),
            Property("resistance", "Ω", _CONTACT, 0.0015),
        ),
        default_contacts=(Contact(("30", "87"), (ENERGISED,)), Contact(("30", "87a"), (RELEASED,))),
        states=(ENERGISED, RELEASED),
    ),
    Kind(
        "contactor",
        _contact_pins("A1", "A2"),
        _coil_and_contacts("A1", "A2"),
        (
            Property("coil", "Ω", "190 Ω: a 3 W coil on 24 V, small contactor: common practice", 190.0),
            *_coil_voltages(_RELAY_VOLTS, _RELAY_VOLTS),
            Property("resistance", "Ω", _CONTACT, 0.0015),
        ),
        default_contacts=(
            Contact(("1", "2"), (ENERGISED,)),
            Contact(("13", "14"), (ENERGISED,)),
            Contact(("21", "22"), (RELEASED,)),
        ),
        states=(ENERGISED, RELEASED),
    ),
    Kind(
        "diode",
        _fixed("A", "K"),
        lambda part: (PartBranch("", f"{part.name}:A", f"{part.name}:K", Role.DIODE, DIODE_RESISTANCE),),
        (Property("forward_drop", "V", "0.6 V, silicon at small current: common practice (0.5 to 0.7 V)", 0.6),),
    ),
    Kind(
        "resistor",
        _fixed("1", "2"),
        _one("1", "2", Role.RESISTOR),
        (Property("resistance", "Ω", "1 kΩ, a common value: common practice", 1000.0),),
    ),
    Kind(
        "lamp",
        _fixed("1", "2"),
        _lamp,
        (
            Property("power", "W", "5 W, the W5W pattern of UN R37 (from memory)", 5.0),
            Property("voltage", "V", "its nominal voltage", lambda nominal: nominal),
            Property("cold", "Ω", "a tenth of hot; a cold filament has 8 to 15 times less (from memory)", 0.0),
            Property("filament", "", "off: hot resistance whatever the voltage", "off", ("off", "on")),
        ),
    ),
    Kind(
        "motor",
        _fixed("1", "2"),
        _one("1", "2", Role.MOTOR),
        (
            Property("resistance", "Ω", "1 Ω, winding of a small 12 V motor: common practice", 1.0),
            Property("running", "A", "0: the motor stays its winding when it turns", 0.0),
            Property("turns_from", "A", "a quarter of its standstill current at nominal: common practice", 0.0),
        ),
    ),
    Kind(
        "solenoid",
        _fixed("1", "2"),
        _one("1", "2", Role.SOLENOID),
        (
            Property("resistance", "Ω", "10 Ω, a small 12 V fuel solenoid: common practice", 10.0),
            Property("pulls_from", "A", "half of its current at nominal: common practice", 0.0),
        ),
    ),
    Kind(
        "input",
        _fixed("+", "in", "-"),
        _input,
        (
            Property("pull", "", "up: the switch grounds the input", "up", ("up", "down")),
            Property("pull_resistance", "Ω", "4.7 kΩ: common practice", 4700.0),
            Property("active", "", "low: the input acts when grounded", "low", ("low", "high")),
            Property("threshold", "V", "half of nominal: common practice", lambda nominal: nominal / 2),
        ),
        sensed=True,
    ),
    Kind(
        "magneto",
        _fixed("stop", "-"),
        _one("stop", "-", Role.PRIMARY, "primary"),
        (
            Property("primary", "Ω", "1 Ω, primary of a small engine's magneto: common practice", 1.0),
            Property("grounded_below", "Ω", "100 Ω outside grounds the primary: common practice", 100.0),
        ),
        sensed=True,
    ),
    Kind(
        "splice",
        lambda part: tuple(str(number) for number in range(1, int(part.number("ways")) + 1)),
        _no_branches,
        (Property("ways", "count", "3, the smallest joint worth a name", 3.0),),
        joined=True,
    ),
    Kind(
        "ground",
        _fixed("1"),
        _ground,
        (Property("resistance", "Ω", "5 mΩ, a clean ring terminal on bare metal: common practice", 0.005),),
    ),
    Kind(
        "connector",
        _connector_pins,
        _connector,
        (
            Property("pins", "count", "2, the smallest connector", 2.0),
            Property("resistance", "Ω", "5 mΩ, a mated blade terminal: common practice", 0.005),
        ),
    ),
)

KINDS: Mapping[str, Kind] = {kind.name: kind for kind in _KINDS}

DIODE_RESISTANCE = 0.02
"""On-resistance in Ω of the piecewise linear diode: a 3 A silicon diode near its rating (from memory)."""


def finished(part: Part, nominal: float) -> Part:
    """Return the part with every property present: defaults filled in, those that follow from others computed."""
    kind = KINDS[part.kind]
    values: dict[str, float | str] = {}
    for prop in kind.properties:
        default = prop.default(nominal) if callable(prop.default) else prop.default
        value = part.values.get(prop.name, default)
        values[prop.name] = 0.0 if value is None else value
    if part.kind == "lamp" and not values["cold"]:
        values["cold"] = float(values["voltage"]) ** 2 / float(values["power"]) / 10
    if part.kind == "motor" and not values["turns_from"]:
        values["turns_from"] = nominal / float(values["resistance"]) / 4
    if part.kind == "solenoid" and not values["pulls_from"]:
        values["pulls_from"] = nominal / float(values["resistance"]) / 2
    return Part(part.name, part.kind, values, part.contacts or kind.default_contacts, part.control)


@lru_cache(maxsize=4096)
def terminals(part: Part) -> tuple[str, ...]:
    """Return the part's terminals as ``PART:PIN``, in the order of its kind."""
    return tuple(f"{part.name}:{pin}" for pin in KINDS[part.kind].pins(part))


@lru_cache(maxsize=4096)
def branches(part: Part) -> tuple[PartBranch, ...]:
    """Return the branches of a finished part."""
    return KINDS[part.kind].branches(part)


SOURCES = ("battery", "supply")
"""Kinds of part that are sources."""


@lru_cache(maxsize=256)
def sources(circuit: Circuit) -> tuple[str, ...]:
    """Return the batteries and supplies, which are isolated before ohms are taken."""
    return tuple(part.name for part in circuit.parts.values() if part.kind in SOURCES)
