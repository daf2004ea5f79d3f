"""Faults by name: the modes of every place, what causes and what cures them in the trade, and reading a name.

A fault is written ``PLACE MODE [VALUE]``, with ``when disturbed`` behind it if it shows only then. The
*universe* of a circuit is every permanent single fault that its parts, wires and joints can have.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import combinations
from types import MappingProxyType

from . import trade
from .circuit import Circuit, Part, split_terminal
from .errors import Mistake, Refused, nearest
from .parts import connector_pairs, sources, terminals
from .quantities import RANGES, parse_quantity, show_quantity

WHEN_DISTURBED = "when disturbed"

SHORT = 0.01
"""Ω of a short and of a shorted winding."""
COIL_SHORT = 0.5
"""Ω of a shorted relay coil."""
LEAK = 1000.0
"""Ω of a leaky diode."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault. ``value`` in Ω, None where the mode has none; ``cause`` is the usual one, in the trade's words.

    ``remedies`` cure it *and its cause*. ``palliatives`` are done at the same place, may help for a while and leave the
    cause: they are no repair, and the fault stays in the machine.
    """

    place: str
    mode: str
    value: float | None = None
    disturbed: bool = False
    remedies: tuple[str, ...] = ()
    cause: str = field(default="", compare=False)
    palliatives: tuple[str, ...] = field(default=(), compare=False)

    @property
    def name(self) -> str:
        """The name as lists give it: without a value."""
        return f"{self.place} {self.mode}" + (f" {WHEN_DISTURBED}" if self.disturbed else "")

    def __str__(self) -> str:
        value = "" if self.value is None else f" {show_quantity(self.value, 'Ω', 6)}"
        return f"{self.place} {self.mode}{value}" + (f" {WHEN_DISTURBED}" if self.disturbed else "")


_SINGLE_BRANCH = {
    "fuse": (("open", None, trade.FUSE_OPEN),),
    "lamp": (("open", None, trade.LAMP_OPEN), ("shorted", None, trade.LAMP_SHORTED)),
    "motor": (("open", None, trade.MOTOR_OPEN), ("shorted", None, trade.MOTOR_SHORTED)),
    "solenoid": (("open", None, trade.COIL_OPEN), ("shorted", None, trade.COIL_SHORTED)),
    "resistor": (("open", None, trade.RESISTOR_OPEN), ("shorted", None, trade.RESISTOR_SHORTED)),
    "diode": (
        ("open", None, trade.DIODE_OPEN),
        ("shorted", None, trade.DIODE_SHORTED),
        ("reversed", None, trade.DIODE_REVERSED),
        ("leaky", None, trade.DIODE_LEAKY),
    ),
    "ground": (("open", None, trade.JOINT_OPEN), ("resistance", 3.0, trade.JOINT_DIRTY)),
    "battery": (("discharged", None, trade.BATTERY_FLAT), ("resistance", 0.4, trade.BATTERY_WORN)),
    "input": (("open", None, trade.INPUT_OPEN),),
}


@lru_cache(maxsize=64)
def universe(circuit: Circuit) -> Mapping[str, Fault]:
    """Return every permanent single fault by name, free values at their defaults, in the order of the file."""
    return MappingProxyType({fault.name: fault for fault in _all(circuit)})


def _fault(place: str, mode: str, value: float | None, known: trade.Trade) -> Fault:
    return Fault(place, mode, value, remedies=known.remedies, cause=known.cause, palliatives=known.palliatives)


def _all(circuit: Circuit) -> Iterator[Fault]:
    for wire in circuit.wires.values():
        yield _fault(wire.name, "open", None, trade.WIRE_BROKEN)
        yield _fault(wire.name, "resistance", 12.0, trade.WIRE_WEAK)
        yield _fault(wire.name, "shorted to ground", None, trade.WIRE_GROUNDED)
        if sources(circuit):
            yield _fault(wire.name, "shorted to supply", None, trade.WIRE_LIVE)
    for part in circuit.parts.values():
        yield from _of_part(part, circuit)
        if part.kind == "connector":
            continue
        for terminal in terminals(part):
            if terminal in circuit.wired:
                yield from _of_joint(terminal)


def _of_joint(place: str) -> Iterator[Fault]:
    yield _fault(place, "open", None, trade.JOINT_OPEN)
    yield _fault(place, "resistance", 40.0, trade.JOINT_DIRTY)


def _of_part(part: Part, circuit: Circuit) -> Iterator[Fault]:
    for mode, value, known in _SINGLE_BRANCH.get(part.kind, ()):
        yield _fault(part.name, mode, value, known)
    if part.kind == "connector":
        yield from _of_connector(part, circuit)
    if part.kind == "switch":
        for contact in part.contacts:
            which = "" if len(part.contacts) == 1 else f"{contact.name} "
            yield _fault(part.name, f"{which}stuck open", None, trade.SWITCH_STUCK)
            yield _fault(part.name, f"{which}stuck closed", None, trade.SWITCH_STUCK)
            yield _fault(part.name, f"{which}resistance", 8.0, trade.SWITCH_DIRTY)
        yield _fault(part.name, "sticking", None, trade.SWITCH_STICKING)
    if part.kind in ("relay", "contactor"):
        yield _fault(part.name, "coil open", None, trade.COIL_OPEN)
        yield _fault(part.name, "coil shorted", None, trade.COIL_SHORTED)
        for contact in part.contacts:
            if all(f"{part.name}:{pin}" in circuit.wired for pin in contact.pins):
                yield _fault(part.name, f"{contact.name} stuck open", None, trade.CONTACT_OPEN)
                yield _fault(part.name, f"{contact.name} stuck closed", None, trade.CONTACT_WELDED)
                yield _fault(part.name, f"{contact.name} resistance", 2.0, trade.CONTACT_BURNT)


def _of_connector(part: Part, circuit: Circuit) -> Iterator[Fault]:
    used = [
        pin
        for pin in connector_pairs(part)
        if f"{part.name}:a{pin}" in circuit.wired or f"{part.name}:b{pin}" in circuit.wired
    ]
    for pin in used:
        yield from _of_joint(f"{part.name}:{pin}")
    for first, second in combinations(used, 2):
        yield _fault(f"{part.name}:{first}", f"swapped with {part.name}:{second}", None, trade.SWAPPED)


def intermittent(fault: Fault) -> Fault:
    """Return the fault as one that is present only while its place is disturbed."""
    return replace(fault, disturbed=True)


def parse_fault(text: str, circuit: Circuit) -> Fault:
    """Return the fault that ``text`` names; a free value not given takes its default.

    Raises Refused, with the nearest names, where the circuit can have no such fault.
    """
    faults = universe(circuit)
    words = " ".join(text.split())
    disturbed = words.endswith(f" {WHEN_DISTURBED}")
    words = words.removesuffix(WHEN_DISTURBED).strip()
    words = _swap_in_order(words)
    named = [name for name in faults if words == name or words.startswith(f"{name} ")]
    if not named:
        raise Refused(Mistake(_unknown_fault(words, list(faults.values())), f"fault {text!r}"))
    name = max(named, key=len)
    value = _parse_value(faults[name], words.removeprefix(name).strip(), f"fault {text!r}")
    return replace(faults[name], value=value, disturbed=disturbed)


def _swap_in_order(words: str) -> str:
    """Return two swapped pins with the first one first: exchanged wires are one fault, whichever pin is named first."""
    first, swapped, second = words.partition(" swapped with ")
    pins = [pin.rpartition(":")[2] for pin in (first, second)]
    if swapped and all(pin.isdigit() for pin in pins) and int(pins[0]) > int(pins[1]):
        return f"{second}{swapped}{first}"
    return words


def _parse_value(fault: Fault, text: str, place: str) -> float | None:
    """Return the value in Ω that stands behind a fault's name, or its default where none does."""
    if not text:
        return fault.value
    if fault.value is None:
        raise Refused(Mistake(f"{fault.name!r} takes no value, so {text!r} is too much", place))
    try:
        value = parse_quantity(text, "Ω")
    except Refused as error:
        raise Refused(Mistake(error.mistakes[0].message, place)) from None
    least, most = RANGES["Ω"]
    if not least <= value <= most:
        raise Refused(Mistake(f"the value must be from {least:g} Ω to {most:g} Ω", place))
    return value


def _unknown_fault(words: str, faults: Sequence[Fault]) -> str:
    place, _, mode = words.partition(" ")
    modes = [fault.mode for fault in faults if fault.place == place]
    if modes:
        guess = nearest(mode, modes)
        hint = f"; did you mean '{place} {guess}'?" if guess else ""
        return f"{place} cannot have the fault {mode or '(none named)'!r}{hint} (allowed: {', '.join(modes)})"
    places = list(dict.fromkeys(fault.place for fault in faults))
    guess = nearest(place, places)
    hint = f"; did you mean {guess!r}?" if guess else ""
    return f"there is no place {place!r} that can have a fault{hint}"


@lru_cache(maxsize=64)
def remedies_at(circuit: Circuit) -> Mapping[str, tuple[str, ...]]:
    """Return, for every place that can have a fault, what the trade does there: remedies and palliatives."""
    found: dict[str, tuple[str, ...]] = {}
    for fault in universe(circuit).values():
        done = (*fault.remedies, *fault.palliatives)
        found[fault.place] = tuple(dict.fromkeys((*found.get(fault.place, ()), *done)))
        if fault.mode.startswith("swapped with "):
            other = fault.mode.removeprefix("swapped with ")
            found[other] = tuple(dict.fromkeys((*found.get(other, ()), *fault.remedies)))
    return MappingProxyType(found)


def cures(place: str, remedy: str, fault: Fault) -> bool:
    """Say whether ``remedy`` at ``place`` cures fault and cause; exchanged wires are put right at either pin."""
    at_place = place == fault.place or fault.mode == f"swapped with {place}"
    return at_place and remedy in fault.remedies


def eases(place: str, remedy: str, fault: Fault) -> bool:
    """Say whether ``remedy`` at ``place`` takes the symptom away for a while at most, and leaves the cause."""
    return place == fault.place and remedy in fault.palliatives


def part_of(place: str) -> str:
    """Return the part or wire at which a fault's place lies: ``K1:86`` → ``K1``."""
    return split_terminal(place)[0]
