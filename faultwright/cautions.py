"""Cautions: what to say before a reading that could hurt somebody or the meter, or that would mean nothing.

They follow from what anybody at the machine can see: the diagram, how controls and wiring stand, what the machine is
seen to do. What is calculated is calculated on a sound machine. So no caution tells anything of a hidden fault.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from .behaviour import Seen
from .caution_texts import text
from .circuit import LATCHED, Circuit, Part, split_terminal
from .machine import Machine
from .meter import AMPS, BLOWN, CONTINUITY, DIODE, METER_FUSE, OHMS, VOLTS, Probe, check_probe, read
from .network import Wiring
from .parts import SOURCES, sources
from .quantities import show_quantity

CRITICAL, SERIOUS, MINOR = "critical", "serious", "minor"
LEVELS = (CRITICAL, SERIOUS, MINOR)
"""How grave: a guard defeated where the machine can move; a harmed meter or person; a reading that tells little."""

EXTRA_LOW = 60.0
"""V DC up to which supply counts as extra-low voltage here (the ripple-free DC limit of IEC 61140; from memory)."""

_DEAD = (OHMS, CONTINUITY, DIODE)
_LOADS = ("lamp", "motor", "solenoid", "resistor", "relay", "contactor", "input", "magneto")
_MOVE = ("motor", "solenoid", "magneto", "input")
"""Kinds of part that make a machine move, or keep its engine running."""
_TURN = ("motor", LATCHED)
"""Kinds of behaviour during which something turns."""


@dataclass(frozen=True, slots=True)
class Caution:
    """Something to say before a reading: ``kind`` is its key in the catalogue, ``level`` one of :data:`LEVELS`."""

    kind: str
    level: str
    text: str


def connected_sources(circuit: Circuit, wiring: Wiring) -> list[str]:
    """Return the sources that are not isolated: anybody sees that, whether current flows or not.

    Taking either terminal off isolates one.
    """
    return [name for name in sources(circuit) if not {name, f"{name}:+", f"{name}:-"} & wiring.unplugged]


@dataclass(frozen=True)
class _Situation:
    """All that cautions may follow from."""

    circuit: Circuit
    state: Mapping[str, str]
    wiring: Wiring
    seen: Mapping[str, Seen]

    @property
    def sources(self) -> list[str]:
        """The sources that are connected."""
        return connected_sources(self.circuit, self.wiring)

    @property
    def can_move(self) -> bool:
        """Whether something of the machine can move or spark."""
        parts = self.circuit.parts.values()
        return bool(self.sources) and any(
            part.kind in _MOVE and part.name not in self.wiring.unplugged for part in parts
        )

    def sound(self) -> Machine:
        """Return a sound machine that stands so, with the relays held in that are seen to be."""
        machine = Machine(self.circuit)
        machine.state = dict(self.state)
        machine.relays = {
            one.part: True
            for one in self.circuit.behaviour.values()
            if one.kind == "relay" and self.seen[one.name] is True
        }
        machine.rewire(self.wiring)
        return machine


def cautions(machine: Machine, probe: Probe) -> tuple[Caution, ...]:
    """Return what to say before a reading is taken on a machine as it stands, the gravest first.

    Raises Refused for a measurement that cannot be made.
    """
    check_probe(probe, machine.circuit)
    there = _Situation(machine.circuit, machine.state, machine.wiring, machine.seen())
    found = [*_hazards(there, probe), *(_in_the_hand(there, probe) if probe.alone else _in_place(there, probe))]
    return tuple(sorted(found, key=lambda caution: LEVELS.index(caution.level)))


def _hazards(there: _Situation, probe: Probe) -> Iterator[Caution]:
    """Yield what the machine itself can do to somebody with leads in hand."""
    if there.sources and there.circuit.nominal > EXTRA_LOW and not probe.alone:
        yield _caution("high_voltage", SERIOUS, nominal=show_quantity(there.circuit.nominal, "V"))
    running = [
        one.name for one in there.circuit.behaviour.values() if one.kind in _TURN and there.seen[one.name] is True
    ]
    if running and not probe.alone:
        yield _caution("running", SERIOUS, what=", ".join(running))


def _in_the_hand(there: _Situation, probe: Probe) -> Iterator[Caution]:
    source = there.circuit.parts[probe.alone].kind in SOURCES
    if probe.mode in _DEAD and source:
        yield _caution("on_source", SERIOUS, part=probe.alone)
    elif probe.mode == VOLTS and not source:
        yield _caution("hand_volts", MINOR)
    yield from _of_leads(probe)


def _in_place(there: _Situation, probe: Probe) -> Iterator[Caution]:
    if probe.mode in _DEAD and there.sources:
        yield _caution("supply_on", SERIOUS, sources=", ".join(there.sources))
    if probe.mode in (VOLTS, AMPS) and not there.sources:
        yield _caution("no_supply", MINOR, meter=probe.mode)
    if probe.mode == AMPS:
        yield from _amps_across(there, probe) if probe.black else _amps_in_series(there, probe)
    part = _across(there.circuit, probe)
    if probe.mode in (OHMS, CONTINUITY) and part and not _off(there.wiring, probe.red, probe.black):
        yield _caution("beside", MINOR, part=part.name)
    yield from _of_halves(there, probe)
    yield from _of_leads(probe)


def _of_leads(probe: Probe) -> Iterator[Caution]:
    """Yield what the leads put into a reading, and what a beep does not say."""
    ohms = probe.mode in (OHMS, CONTINUITY)
    if probe.red == probe.black:
        yield _caution("leads_alone" if ohms else "one_point", MINOR)
    elif ohms and probe.leads:
        yield _caution("leads", MINOR, ohms=f"{probe.leads:g} Ω")
    if probe.mode == CONTINUITY and probe.red != probe.black:
        yield _caution("beep", MINOR)


def _of_halves(there: _Situation, probe: Probe) -> Iterator[Caution]:
    """Yield on which half, or on which side, a lead is where something is apart."""
    for terminal in dict.fromkeys((probe.red, probe.black) if probe.black else ()):
        off = _off(there.wiring, terminal)
        name, pin = split_terminal(terminal)
        if off and there.circuit.parts[name].kind == "connector":
            yield _caution("half", MINOR, part=name, terminal=terminal, half=pin[0])
        elif off:
            yield _caution("harness", MINOR, part=off[0], terminal=terminal)


def _amps_across(there: _Situation, probe: Probe) -> Iterator[Caution]:
    """Yield what is wrong with amps between two points: it puts a jumper there."""
    part = _across(there.circuit, probe)
    on_contact = part is not None and {probe.red, probe.black} in _contacts(part)
    if read(there.sound(), probe).status == BLOWN:
        yield _caution("straight_across", SERIOUS)
    if part is not None and on_contact and part.control is not None and there.can_move:
        yield _caution("bridges_switch", CRITICAL, part=part.name)
    elif part is not None and not on_contact and part.kind in _LOADS:
        yield _caution("beside_load", MINOR, part=part.name)
    elif probe.red != probe.black:
        yield _caution("joins", MINOR)


def _amps_in_series(there: _Situation, probe: Probe) -> Iterator[Caution]:
    """Yield what is to be expected above what the meter bears."""
    most = show_quantity(METER_FUSE, "A")
    high = _starts_high(there.circuit, probe.red)
    if there.sources and high:
        part, amps = high
        yield _caution("starts_high", SERIOUS, part=part, amps=show_quantity(amps, "A", 2), place=probe.red, most=most)
    elif read(there.sound(), probe).status == BLOWN:
        yield _caution("too_much", SERIOUS, most=most)


@lru_cache(maxsize=1024)
def _starts_high(circuit: Circuit, place: str) -> tuple[str, float] | None:
    """Return the part on whose way a place lies, and the A it may take, where that is more than the meter bears.

    A motor or a solenoid takes nominal over resistance as it starts, and no more than the fuses on its ways let pass.
    """
    from .routes import load_routes  # it needs networkx, and few machines have such a motor  # noqa: PLC0415

    for part in circuit.parts.values():
        if part.kind not in ("motor", "solenoid"):
            continue
        amps = circuit.nominal / part.number("resistance")
        if amps <= METER_FUSE:
            continue
        on_the_way = {part.name}
        for one in load_routes(circuit, part.name):
            amps = min(amps, max((_smallest_fuse(circuit, route.places) for route in one.routes), default=0.0))
            on_the_way |= {name.split()[0] for route in one.routes for name in route.places}
        if amps > METER_FUSE and place in on_the_way:
            return part.name, amps
    return None


def _smallest_fuse(circuit: Circuit, places: Iterable[str]) -> float:
    """Return the smallest rating in A of the fuses on a route; infinite where there is none."""
    fuses = (circuit.parts[name] for name in places if name in circuit.parts and circuit.parts[name].kind == "fuse")
    return min((fuse.number("rating") for fuse in fuses), default=float("inf"))


def _across(circuit: Circuit, probe: Probe) -> Part | None:
    """Return the part that both leads are on, at different terminals, or None."""
    name = split_terminal(probe.red)[0]
    same = probe.red != probe.black and name == split_terminal(probe.black)[0]
    return circuit.parts.get(name) if same else None


def _contacts(part: Part) -> list[set[str]]:
    """Return the two terminals of each of a part's contacts."""
    return [{f"{part.name}:{pin}" for pin in contact.pins} for contact in part.contacts]


def _off(wiring: Wiring, *terminals: str) -> list[str]:
    """Return which of these terminals, or of their parts, have been taken off."""
    places = (place for terminal in terminals for place in (split_terminal(terminal)[0], terminal))
    return [place for place in dict.fromkeys(places) if place in wiring.unplugged]


def _caution(kind: str, level: str, **values: object) -> Caution:
    return Caution(kind, level, text(kind, **values))
