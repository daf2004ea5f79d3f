"""Faults by name: the modes of every place, what the trade does about them, and reading a name.

A fault is written ``PLACE MODE [VALUE]``, with ``when disturbed`` behind it if it shows only then. The
*universe* of a circuit is every permanent single fault that its parts, wires and joints can have.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations
from types import MappingProxyType

from .circuit import Circuit, Part, split_terminal
from .errors import Mistake, Refused, nearest
from .parts import connector_pairs, terminals
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
    """One fault. ``value`` in Ω, None where the mode has none; ``remedies`` cure it and its cause."""

    place: str
    mode: str
    value: float | None = None
    disturbed: bool = False
    remedies: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The name as lists give it: without a value."""
        return f"{self.place} {self.mode}" + (f" {WHEN_DISTURBED}" if self.disturbed else "")

    def __str__(self) -> str:
        value = "" if self.value is None else f" {show_quantity(self.value, 'Ω', 6)}"
        return f"{self.place} {self.mode}{value}" + (f" {WHEN_DISTURBED}" if self.disturbed else "")


_MEND = ("mend the wire", "replace the wire")
_INSULATE = ("insulate and reroute the wire", "replace the wire")
_JOINT_OPEN = ("re-terminate",)
_JOINT_DIRTY = ("clean", "re-terminate")
_MECHANICAL = ("free and lubricate", "adjust", "replace")
_REPLACE = ("replace",)

_SINGLE_BRANCH = {
    "fuse": (("open", None, _REPLACE),),
    "lamp": (("open", None, _REPLACE), ("shorted", None, _REPLACE)),
    "motor": (("open", None, _REPLACE), ("shorted", None, _REPLACE)),
    "solenoid": (("open", None, _REPLACE), ("shorted", None, _REPLACE)),
    "resistor": (("open", None, _REPLACE), ("shorted", None, _REPLACE)),
    "diode": (
        ("open", None, _REPLACE),
        ("shorted", None, _REPLACE),
        ("reversed", None, ("turn round",)),
        ("leaky", None, _REPLACE),
    ),
    "ground": (("open", None, _JOINT_OPEN), ("resistance", 3.0, _JOINT_DIRTY)),
    "battery": (("discharged", None, ("charge", "replace")), ("resistance", 0.4, _REPLACE)),
    "input": (("open", None, _REPLACE),),
}


@lru_cache(maxsize=64)
def universe(circuit: Circuit) -> Mapping[str, Fault]:
    """Return every permanent single fault by name, free values at their defaults, in the order of the file."""
    return MappingProxyType({fault.name: fault for fault in _all(circuit)})


def _all(circuit: Circuit) -> Iterator[Fault]:
    for wire in circuit.wires.values():
        yield Fault(wire.name, "open", remedies=_MEND)
        yield Fault(wire.name, "resistance", 12.0, remedies=_MEND)
        yield Fault(wire.name, "shorted to ground", remedies=_INSULATE)
        if any(part.kind in ("battery", "supply") for part in circuit.parts.values()):
            yield Fault(wire.name, "shorted to supply", remedies=_INSULATE)
    for part in circuit.parts.values():
        yield from _of_part(part, circuit)
        if part.kind == "connector":
            continue
        for terminal in terminals(part):
            if terminal in circuit.wired:
                yield Fault(terminal, "open", remedies=_JOINT_OPEN)
                yield Fault(terminal, "resistance", 40.0, remedies=_JOINT_DIRTY)


def _of_part(part: Part, circuit: Circuit) -> Iterator[Fault]:
    for mode, value, remedies in _SINGLE_BRANCH.get(part.kind, ()):
        yield Fault(part.name, mode, value, remedies=remedies)
    if part.kind == "connector":
        yield from _of_connector(part, circuit)
    if part.kind == "switch":
        for contact in part.contacts:
            which = "" if len(part.contacts) == 1 else f"{contact.name} "
            yield Fault(part.name, f"{which}stuck open", remedies=_MECHANICAL)
            yield Fault(part.name, f"{which}stuck closed", remedies=_MECHANICAL)
            yield Fault(part.name, f"{which}resistance", 8.0, remedies=("clean", "replace"))
        yield Fault(part.name, "sticking", remedies=("free and lubricate", "clean", "replace"))
    if part.kind in ("relay", "contactor"):
        yield Fault(part.name, "coil open", remedies=_REPLACE)
        yield Fault(part.name, "coil shorted", remedies=_REPLACE)
        for contact in part.contacts:
            if all(f"{part.name}:{pin}" in circuit.wired for pin in contact.pins):
                yield Fault(part.name, f"{contact.name} stuck open", remedies=_REPLACE)
                yield Fault(part.name, f"{contact.name} stuck closed", remedies=_REPLACE)
                yield Fault(part.name, f"{contact.name} resistance", 2.0, remedies=_REPLACE)


def _of_connector(part: Part, circuit: Circuit) -> Iterator[Fault]:
    used = [
        pin
        for pin in connector_pairs(part)
        if f"{part.name}:a{pin}" in circuit.wired or f"{part.name}:b{pin}" in circuit.wired
    ]
    for pin in used:
        yield Fault(f"{part.name}:{pin}", "open", remedies=_JOINT_OPEN)
        yield Fault(f"{part.name}:{pin}", "resistance", 40.0, remedies=_JOINT_DIRTY)
    for first, second in combinations(used, 2):
        yield Fault(f"{part.name}:{first}", f"swapped with {part.name}:{second}", remedies=("exchange the wires",))


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
    """Return, for every place that can have a fault, the remedies that the trade knows for it."""
    found: dict[str, tuple[str, ...]] = {}
    for fault in universe(circuit).values():
        found[fault.place] = tuple(dict.fromkeys((*found.get(fault.place, ()), *fault.remedies)))
        if fault.mode.startswith("swapped with "):
            other = fault.mode.removeprefix("swapped with ")
            found[other] = tuple(dict.fromkeys((*found.get(other, ()), *fault.remedies)))
    return MappingProxyType(found)


def cures(place: str, remedy: str, fault: Fault) -> bool:
    """Say whether doing ``remedy`` at ``place`` takes the fault away; exchanged wires are put right at either pin."""
    at_place = place == fault.place or fault.mode == f"swapped with {place}"
    return at_place and remedy in fault.remedies


def part_of(place: str) -> str:
    """Return the part or wire at which a fault's place lies: ``K1:86`` → ``K1``."""
    return split_terminal(place)[0]
