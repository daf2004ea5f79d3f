"""What conducts in a machine as it stands, read from parts, wires, faults and moves, and its exact solution.

It shares no step with the package's network and assembly. There what is broken has 0 S; here it is left out, and a
sound pin has 0 Ω. Only what has settled (which contacts, diodes, motors and fuses are on, how warm a filament is) is
taken from the machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from faultwright.circuit import FRAME, Contact, Part
from faultwright.faults import Fault
from faultwright.machine import Machine
from faultwright.parts import terminals

from .loop_equations import Element, Solution, solve

SHORT, COIL_SHORT, LEAK, JUMPER = 0.01, 0.5, 1000.0, 0.01
"""Ω of a short, a shorted coil, a leaky diode, a jumper."""
TEST_LAMP = 5
"""W at nominal voltage."""
DIODE = 0.02
"""Ω of a diode that conducts, behind its forward drop."""


def exact_solution(machine: Machine) -> Solution:
    """Return the exact solution of a machine as it stands."""
    elements = list(_Reader(machine).elements())
    points = [point for part in machine.circuit.parts.values() for point in _points(part)]
    return solve(elements, [FRAME, *points])


def inside(terminal: str) -> str:
    """Return the point that a part sees at its own pin, behind the joint."""
    return f"{terminal} inside"


def _points(part: Part) -> Iterator[str]:
    for terminal in terminals(part):
        yield from (terminal, _behind(part, terminal))


def _behind(part: Part, terminal: str) -> str:
    return f"{part.name} joint" if part.kind == "splice" else inside(terminal)


@dataclass(frozen=True, slots=True)
class _Sound:
    """A branch between two pins of a part as it has settled, before faults: Ω and V."""

    name: str
    a: str
    b: str
    ohms: Fraction
    emf: Fraction = Fraction(0)


class _Reader:
    """Reads a machine's circuit as it is wired now, element by element."""

    def __init__(self, machine: Machine) -> None:
        settled = machine.settled
        branches = settled.network.branches
        self.circuit, self.wiring = machine.circuit, machine.wiring
        self.faults: Sequence[Fault] = machine.present()
        self.positions = dict(machine.positions())
        self.positions |= {name: "energised" if on else "released" for name, on in settled.relays.items()}
        self.blown = settled.blown
        self.conducting = {branches[index].part for index in settled.conducting}
        self.turning = {branches[index].part for index in settled.turning}
        self.warm = {
            branch.part: 1 / Fraction(conductance) - Fraction(branch.series)
            for branch, conductance in zip(branches, settled.conductances, strict=True)
            if conductance and branch.part and self.circuit.parts[branch.part].values.get("filament") == "on"
        }

    def elements(self) -> Iterator[Element]:
        """Yield everything that conducts."""
        for part in self.circuit.parts.values():
            yield from self._pins(part)
            yield from self._faulty(part)
        yield from self._wires()
        nominal = Fraction(self.circuit.nominal)
        for a, b in self.wiring.bridges:
            yield Element(f"bridge {a},{b}", a, b, Fraction(JUMPER))
        for a, b in self.wiring.loads:
            yield Element(f"load {a},{b}", a, b, nominal * nominal / TEST_LAMP)

    def _has(self, place: str, mode: str) -> bool:
        return any((fault.place, fault.mode) == (place, mode) for fault in self.faults)

    def _added(self, place: str, mode: str = "resistance") -> Fraction:
        """Return the Ω that faults put in series at a place."""
        found = [Fraction(fault.value or 0) for fault in self.faults if (fault.place, fault.mode) == (place, mode)]
        return sum(found, Fraction(0))

    def _named(self, place: str, mode: str) -> set[str]:
        """Return the faults of this mode at a place by name; one that is there twice is one fault."""
        return {f"{place} {mode}" for fault in self.faults if (fault.place, fault.mode) == (place, mode)}

    def _pins(self, part: Part) -> Iterator[Element]:
        """Yield what joins a part's pins to the joints where its wires land: 0 Ω unless something is wrong."""
        for terminal in terminals(part):
            cut_off = part.kind == "input" and terminal.endswith(":in") and self._has(part.name, "open")
            if not (cut_off or self._has(terminal, "open") or self.wiring.unplugged & {part.name, terminal}):
                yield Element(terminal, terminal, _behind(part, terminal), self._added(terminal))

    def _faulty(self, part: Part) -> Iterator[Element]:
        """Yield what conducts between a part's pins, with what is wrong inside the part."""
        for branch in self._sound(part):
            place, which, name = part.name, f"{branch.name} ", f"{part.name} {branch.name}".strip()
            if part.kind == "connector":
                place = name = f"{part.name}:{branch.name}"
            if part.kind == "connector" or self._alone(part):
                which = ""
            ohms, emf = branch.ohms, branch.emf
            if self._has(place, f"{which}shorted"):
                ohms, emf = Fraction(COIL_SHORT if branch.name == "coil" else SHORT), Fraction(0)
            if part.kind == "input" or not self._has(place, f"{which}open"):
                a, b = (FRAME if pin == FRAME else inside(f"{part.name}:{pin}") for pin in (branch.a, branch.b))
                yield Element(name, a, b, ohms + self._added(place, f"{which}resistance"), emf)
        for name in self._named(part.name, "leaky"):
            yield Element(name, inside(f"{part.name}:A"), inside(f"{part.name}:K"), Fraction(LEAK))

    def _alone(self, part: Part) -> bool:
        """Say whether a part's faults need not say which branch they lie in."""
        return part.kind not in ("switch", "relay", "contactor") or (part.kind == "switch" and len(part.contacts) == 1)

    def _sound(self, part: Part) -> Iterator[_Sound]:  # noqa: C901, PLR0912 - one flat case a kind
        """Yield the branches of a part that are on."""
        name = part.name

        def number(key: str) -> Fraction:
            return Fraction(part.number(key))

        match part.kind:
            case "battery" | "supply":
                yield self._source(part)
            case "fuse":
                if name not in self.blown:
                    yield _Sound("", "1", "2", number("resistance"))
            case "switch" | "relay" | "contactor":
                if part.kind != "switch":
                    pins = ("86", "85") if part.kind == "relay" else ("A1", "A2")
                    yield _Sound("coil", *pins, number("coil"))
                closed = [contact for contact in part.contacts if self._closed(part, contact)]
                yield from (_Sound(contact.name, *contact.pins, number("resistance")) for contact in closed)
            case "diode":
                pins = ("K", "A") if self._has(name, "reversed") else ("A", "K")
                if name in self.conducting or self._has(name, "shorted"):
                    yield _Sound("", *pins, Fraction(DIODE), -number("forward_drop"))
            case "lamp":
                yield _Sound("", "1", "2", self.warm.get(name, number("voltage") ** 2 / number("power")))
            case "motor":
                turning = name in self.turning
                running = Fraction(self.circuit.nominal) / number("running") if turning else number("resistance")
                yield _Sound("", "1", "2", running)
            case "resistor" | "solenoid":
                yield _Sound("", "1", "2", number("resistance"))
            case "input":
                rail = "+" if part.values["pull"] == "up" else "-"
                yield _Sound("", rail, "in", number("pull_resistance"))
            case "magneto":
                yield _Sound("", "stop", "-", number("primary"))
            case "ground":
                yield _Sound("", "1", FRAME, number("resistance"))
            case "connector":
                for pin in range(1, int(part.number("pins")) + 1):
                    yield _Sound(str(pin), f"a{pin}", f"b{pin}", number("resistance"))

    def _source(self, part: Part) -> _Sound:
        """Return a source's branch: full to empty a battery loses 6 % of its emf and doubles its resistance."""
        resistance = Fraction(part.number("resistance"))
        if part.kind == "supply":
            return _Sound("", "-", "+", resistance, Fraction(part.number("voltage")))
        empty = 1 - Fraction(part.number("charge")) / 100
        emf = Fraction(part.number("emf")) * (1 - Fraction("0.06") * empty)
        resistance *= 1 + empty
        if self._has(part.name, "discharged"):
            emf, resistance = emf * Fraction("0.93"), resistance * 10
        return _Sound("", "-", "+", resistance, emf)

    def _closed(self, part: Part, contact: Contact) -> bool:
        which = "" if self._alone(part) else f"{contact.name} "
        stuck = [fault.mode for fault in self.faults if fault.place == part.name and f"{which}stuck " in fault.mode]
        if stuck:
            return stuck[-1].endswith("closed")
        return self.positions[part.name] in contact.closed_in

    def _wires(self) -> Iterator[Element]:
        """Yield the wires, where they land, and what shorts their ``from`` ends."""
        lands = self._exchanged()
        sources = [part.name for part in self.circuit.parts.values() if part.kind in ("battery", "supply")]
        for wire in self.circuit.wires.values():
            start, end = lands.get(wire.start, wire.start), lands.get(wire.end, wire.end)
            if not self._has(wire.name, "open"):
                yield Element(wire.name, start, end, Fraction(wire.resistance) + self._added(wire.name))
            for word, other in (("ground", FRAME), ("supply", f"{sources[0]}:+")):
                for name in self._named(wire.name, f"shorted to {word}"):
                    yield Element(name, start, other, Fraction(SHORT))

    def _exchanged(self) -> dict[str, str]:
        """Return where the wires of exchanged pins land: on the other's ``b`` half."""
        lands: dict[str, str] = {}
        for fault in self.faults:
            if fault.mode.startswith("swapped with "):
                first, second = (
                    place.replace(":", ":b") for place in (fault.place, fault.mode.removeprefix("swapped with "))
                )
                lands |= {first: second, second: first}
        return lands
