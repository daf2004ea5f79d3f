"""Setting a fault up on real hardware: with common parts, reversibly, and so that its removal can be checked.

A value that a fault may take becomes that of a common resistor, and its power follows from the worst current in the
circuit with it. Where there is no practical way, that is said.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from faultwright.assembly import DISCHARGED_EMF, DISCHARGED_RESISTANCE
from faultwright.circuit import FRAME, Circuit, Part, split_terminal
from faultwright.faults import COIL_SHORT, LEAK, Fault
from faultwright.injection import first_supply
from faultwright.parts import branches, terminals
from faultwright.quantities import show_quantity

from . import places
from .preferred_values import AFTER, fuse_rating, nearest_resistor, power_rating
from .set_up_texts import lines, text
from .worst_load import Load, highest_voltage, worst_load

JUMPER_MARGIN = 1.5
"""Multiple of the current that a jumper carries for good from which its fuse is chosen (common practice)."""


@dataclass(frozen=True, slots=True)
class SetUp:
    """How a fault is put in. ``fault`` is as it is put in: with the value of a common resistor.

    ``power`` in W is what a resistor of it must get rid of; ``jumper`` says that there is one.
    """

    fault: Fault
    parts: tuple[str, ...]
    steps: tuple[str, ...]
    removal: tuple[str, ...]
    check: tuple[str, ...]
    power: float = 0.0
    jumper: bool = False


@dataclass(frozen=True, slots=True)
class Impractical:
    """Why a fault cannot be put in with common parts, in words."""

    words: str


def set_up(circuit: Circuit, fault: Fault) -> SetUp | Impractical:
    """Return how a fault is put in on real hardware. Whether it *may* be is for ``refusals.py`` to say."""
    if not fault.disturbed:
        return _Way(circuit, fault).found()
    if not fault.mode.endswith(("open", "resistance")):
        return Impractical(text("none.disturbed"))
    found = _Way(circuit, replace(fault, disturbed=False)).found()
    if isinstance(found, Impractical):
        return found
    return replace(found, fault=replace(found.fault, disturbed=True), steps=(*found.steps, *lines("loose.steps")))


class _Way:
    """The way for one permanent fault."""

    def __init__(self, circuit: Circuit, fault: Fault) -> None:
        self.circuit, self.fault = circuit, fault
        self.place, self.mode = fault.place, fault.mode

    def found(self) -> SetUp | Impractical:
        """Return the way, by the kind of place."""
        if self.place in self.circuit.wires:
            return self._wire()
        if self.place in self.circuit.parts:
            whole = self.circuit.parts[self.place]
            if whole.kind not in ("switch", "relay", "contactor"):
                return self._part(whole)
            return self._relay_coil(whole) if self.mode.startswith("coil ") else self._contact(whole)
        part, pin = split_terminal(self.place)
        if self.circuit.parts[part].kind == "connector":
            return self._pin(part, pin)
        words = {"terminal": self.place, "wires": places.wires_at(self.circuit, self.place)}
        return self._plain("joint_open", **words) if self.mode == "open" else self._in_line("joint", **words)

    # By the kind of place

    def _wire(self) -> SetUp | Impractical:
        wire = self.circuit.wires[self.place]
        if self.mode.startswith("shorted to "):
            to = self.mode.removeprefix("shorted to ")
            end = FRAME if to == "ground" else first_supply(self.circuit)
            if end == wire.start:
                return Impractical(text("none.same", terminal=end))
            return self._jumper(text(f"jumper.{to}", terminal=wire.start, supply=end))
        volts = {end: highest_voltage(self.circuit, self.fault, end) for end in (wire.start, wire.end)}
        lift, other = sorted(volts, key=lambda end: -volts[end])
        if self.mode == "resistance":
            return self._in_line("wire", wire=places.wire_in_words(wire), terminal=lift)
        words = {"wire": places.wire_in_words(wire), "start": wire.start, "end": wire.end, "lift": lift}
        return self._plain("wire_open", volts=f"{volts[other]:.1f} V", **words)

    def _pin(self, part: str, pin: str) -> SetUp | Impractical:
        if self.mode == "open":
            return self._plain("pin_open", part=part, pin=pin)
        if self.mode == "resistance":
            return self._in_line("pin", part=part, pin=pin)
        _, other = split_terminal(self.mode.removeprefix("swapped with "))
        return self._plain("swapped", part=part, first=pin, second=other)

    def _part(self, part: Part) -> SetUp | Impractical:
        """Return the way for a part with one branch; what opens it comes last, since each kind has its own."""
        ends = places.ends_of(part)
        match part.kind, self.mode:
            case (("ground" | "battery"), "resistance"):
                found = self._in_return(part)
            case "battery", _:
                found = self._discharged(part)
            case "diode", "leaky":
                found = self._parallel(part, LEAK, ends)
            case "diode", "shorted":
                found = self._jumper(text("jumper.across", terminals=ends), "diode_shorted", part=part.name)
            case _, "shorted":
                found = self._jumper(text("jumper.across", terminals=ends))
            case _:
                found = self._opened(part, ends)
        return found

    def _in_return(self, part: Part) -> SetUp | Impractical:
        """Return the way for a resistance at a ground or inside a battery."""
        if part.kind == "ground":
            return self._in_line("ground", part=part.name, wires=self._wires(part))
        terminal = f"{part.name}:-"
        return self._in_line("source", terminal=terminal, wires=places.wires_at(self.circuit, terminal))

    def _opened(self, part: Part, ends: str) -> SetUp:
        """Return the way for a part that is open, or a diode that is turned round."""
        if part.kind == "input":
            terminal = f"{part.name}:in"
            return self._plain("joint_open", terminal=terminal, wires=places.wires_at(self.circuit, terminal))
        words = {"part": part.name, "kind": part.kind, "terminal": terminals(part)[0], "terminals": ends}
        rating = f"{part.number('rating'):g} A" if part.kind == "fuse" else ""
        way = f"{part.kind}_{self.mode}" if part.kind in ("ground", "fuse", "lamp", "diode") else "part_open"
        return self._plain(way, rating=rating, wires=self._wires(part), **words)

    def _relay_coil(self, part: Part) -> SetUp | Impractical:
        """Return the way for a coil: open in a prepared relay; shorted by a jumper where a fuse opens at once."""
        if self.mode == "coil open":
            return self._plain("coil_open", part=part.name, coil=show_quantity(part.number("coil"), "Ω"))
        ends = places.coil_ends(part)
        if worst_load(self.circuit, self.fault).blown:
            return self._jumper(text("jumper.across", terminals=ends))
        return self._parallel(part, COIL_SHORT, ends)

    def _contact(self, part: Part) -> SetUp | Impractical:
        """Return the way for a contact of a switch, a relay or a contactor."""
        contact = places.contact_of(part, self.mode)
        pins = places.ends_of(part, contact)
        alone = places.pin_alone(self.circuit, part, contact)
        words = {"part": part.name, "contact": contact.name, "wires": places.wires_at(self.circuit, alone or "")}
        if self.mode.endswith("stuck closed"):
            return self._jumper(text("jumper.across", terminals=pins))
        if self.mode.endswith("resistance"):
            return self._in_line("contact" if alone else "inside", terminal=alone, **words)
        way = "sticking" if self.mode == "sticking" else "switch_open" if part.kind == "switch" else "contact_open"
        found = self._plain(way, terminals=pins, **words)
        lifted = lines("switch_open.lift", terminal=alone, **words) if way == "switch_open" and alone else ()
        return replace(found, steps=(*found.steps, *lifted))

    def _wires(self, part: Part) -> str:
        return places.wires_at(self.circuit, *terminals(part))

    # By what is put in

    def _plain(self, way: str, **words: object) -> SetUp:
        return self._of(way, words)

    def _in_line(self, where: str, **words: object) -> SetUp | Impractical:
        """Return the way with a resistor in series, of the common value nearest to the fault's."""
        ohms = nearest_resistor(self.fault.value or 0.0)
        if ohms is None:
            return Impractical(text("none.resistor", ohms=show_quantity(self.fault.value or 0.0, "Ω")))
        self.fault = replace(self.fault, value=ohms)
        load = worst_load(self.circuit, self.fault)
        return self._resistor("in_line", ohms, load, {"where": text(f"in_line.{where}", **words)})

    def _parallel(self, part: Part, ohms: float, ends: str) -> SetUp | Impractical:
        load = worst_load(self.circuit, self.fault)
        near = nearest_resistor(ohms) or ohms
        return self._resistor("parallel", near, load, {"part": part.name, "kind": part.kind, "terminals": ends})

    def _discharged(self, part: Part) -> SetUp | Impractical:
        """Return the way for an empty battery: its voltage turned down, and its inner resistance made up in series."""
        (inside,) = branches(part)
        ohms = nearest_resistor((DISCHARGED_RESISTANCE - 1) * inside.resistance)
        if ohms is None:
            ohms = nearest_resistor(0.1) or 0.1
        terminal = f"{part.name}:-"
        words = {
            "part": part.name,
            "volts": show_quantity(DISCHARGED_EMF * inside.emf, "V"),
            "terminal": terminal,
            "wires": places.wires_at(self.circuit, terminal),
        }
        return self._resistor("discharged", ohms, worst_load(self.circuit, self.fault), words)

    def _resistor(self, way: str, ohms: float, load: Load, words: Mapping[str, object]) -> SetUp | Impractical:
        power = load.power(ohms)
        rating = power_rating(power)
        shown = {
            "ohms": show_quantity(ohms, "Ω"),
            "current": show_quantity(load.current, "A", 2),
            "power": show_quantity(power, "W", 2),
        }
        if rating is None:
            return Impractical(text("none.power", **shown))
        return self._of(way, {**words, **shown, "watts": f"{rating:g} W"}, power=power)

    def _jumper(self, between: str, way: str = "jumper", **words: object) -> SetUp | Impractical:
        """Return the way with a fused jumper; where a fuse of the circuit opens, the jumper's must let it go first."""
        load = worst_load(self.circuit, self.fault)
        least = max((self._rating(fuse) * AFTER for fuse in load.blown), default=load.current * JUMPER_MARGIN)
        fuse = fuse_rating(least)
        if fuse is None:
            return Impractical(text("none.fuse", current=show_quantity(least, "A", 2)))
        told = (
            text("jumper.blows", blown=text("join").join(load.blown))
            if load.blown
            else text("jumper.carries", current=show_quantity(load.current, "A", 2))
        )
        return self._of(way, words | {"between": between, "fuse": f"{fuse:g} A", "load": told}, jumper=True)

    def _rating(self, fuse: str) -> float:
        return self.circuit.parts[fuse].number("rating")

    def _of(self, way: str, words: Mapping[str, object], *, power: float = 0.0, jumper: bool = False) -> SetUp:
        told = {name: lines(f"{way}.{name}", **words) for name in ("parts", "steps", "removal", "check")}
        return SetUp(self.fault, **told, power=power, jumper=jumper)
