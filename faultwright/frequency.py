"""How often each fault is met in the trade, in four levels, and the priors that follow from them.

The order is that of a workshop: what moves, is handled or stands in the wet first (switches, connectors, grounds, the
wires that follow a lever), a flat battery and a blown fuse; then other wires and joints and the contacts of relays;
then coils, motors, lamps; last what is met once in a working life, and never the module first. It is common practice
with no published source. The weights only rank: a level is three times as frequent as the next.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import IntEnum

from .circuit import Circuit, Part, Wire
from .faults import Fault, part_of


class Frequency(IntEnum):
    """A level; its value is the relative weight, without unit."""

    COMMON = 27
    OCCASIONAL = 9
    SELDOM = 3
    RARE = 1

    @property
    def word(self) -> str:
        """The level in words: ``common``."""
        return self.name.lower()


SOUND = Frequency.OCCASIONAL
"""A complaint about a machine that has nothing: common practice, no published source."""

_JOINTS: Mapping[str, Frequency] = {
    "switch": Frequency.COMMON,  # its control moves or shakes it
    "connector": Frequency.COMMON,  # handled, and open to the wet
    "ground": Frequency.COMMON,  # open to the wet, on paint and rust
    "battery": Frequency.COMMON,  # undone at every isolation, and in acid vapour
    "splice": Frequency.SELDOM,  # never touched again
}
"""Open or of high resistance, by the kind of part that the joint belongs to; at any other part occasional."""

_LOAD = {"open": Frequency.SELDOM, "shorted": Frequency.RARE}

_PARTS: Mapping[str, Mapping[str, Frequency]] = {
    "battery": {"discharged": Frequency.COMMON, "resistance": Frequency.OCCASIONAL},
    "fuse": {"open": Frequency.COMMON},
    "ground": {"open": _JOINTS["ground"], "resistance": _JOINTS["ground"]},
    "lamp": _LOAD,
    "motor": _LOAD,
    "solenoid": _LOAD,
    "resistor": _LOAD,
    "diode": {
        "open": Frequency.SELDOM,
        "shorted": Frequency.SELDOM,
        "leaky": Frequency.RARE,
        "reversed": Frequency.RARE,
    },
    "input": {"open": Frequency.RARE},
}


def relative_frequency(fault: Fault, circuit: Circuit) -> Frequency:
    """Return how often a fault of this mode is met at a place of this kind, relative to the others."""
    if fault.mode.startswith("swapped with "):
        return Frequency.RARE
    if fault.place in circuit.wires:
        return _of_wire(circuit.wires[fault.place], fault.mode, circuit)
    part = circuit.parts[part_of(fault.place)]
    if fault.place == part.name:
        return _of_part(part, fault.mode)
    return _JOINTS.get(part.kind, Frequency.OCCASIONAL)


def _of_wire(wire: Wire, mode: str, circuit: Circuit) -> Frequency:
    """A wire that follows a switch moves with its control: it breaks and chafes one level more often than another."""
    kinds = {circuit.parts[part_of(end)].kind for end in (wire.start, wire.end) if part_of(end) in circuit.parts}
    moves = "switch" in kinds
    if mode == "shorted to supply":
        return Frequency.RARE
    if mode == "shorted to ground":
        return Frequency.OCCASIONAL if moves else Frequency.SELDOM
    return Frequency.COMMON if moves else Frequency.OCCASIONAL


def _of_part(part: Part, mode: str) -> Frequency:
    if part.kind == "switch":
        return Frequency.COMMON
    if part.kind in ("relay", "contactor"):
        return Frequency.SELDOM if mode.startswith("coil ") else Frequency.OCCASIONAL
    return _PARTS[part.kind][mode]


def priors(hypotheses: Sequence[Fault | None], circuit: Circuit) -> list[float]:
    """Return the share of each hypothesis before any finding, 1 in all; None is the sound machine."""
    weights = [SOUND if fault is None else relative_frequency(fault, circuit) for fault in hypotheses]
    return [weight / sum(weights) for weight in weights]
