"""Hypothesis strategies: random valid circuits of every part kind, and what is done on them.

A circuit is built from parts that are wired at random, biased so that current flows in most of them: every part is
wired to an earlier one, most sources stand on FRAME, and wires are short.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from hypothesis import strategies as st

from faultwright.circuit import FRAME, LATCHED, Behaviour, Circuit, Contact, Control, Part, SafetyNote, Wire
from faultwright.conductors import PLATINGS
from faultwright.faults import Fault, intermittent, remedies_at, universe
from faultwright.meter import AMPS, CONTINUITY, DIODE, OHMS, SCALES, VOLTS, Probe
from faultwright.moves import HARNESS
from faultwright.parts import ENERGISED, KINDS, RELEASED, finished, terminals
from faultwright.scale import AUTO

LETTER = dict(
    zip(
        (
            *("battery", "supply", "fuse", "switch", "relay", "contactor", "diode", "resistor"),
            *("lamp", "motor", "solenoid", "input", "magneto", "splice", "ground", "connector"),
        ),
        "GTFSKQRLPMYAUNEX",
        strict=True,
    )
)
"""Kind → a letter for names: no two kinds share one, so that a name tells the kind."""

ALL_KINDS = tuple(KINDS)
LINEAR_KINDS = ("resistor", "lamp", "solenoid", "switch", "splice", "ground", "connector", "magneto")
"""Kinds that neither switch by themselves nor change with their current (a motor without ``running`` also is one)."""

FOLLOWED = {
    "motor": "motor", "lamp": "lamp", "solenoid": "solenoid", "input": "input", "relay": "relay", "contactor": "relay",
    "magneto": "magneto",
}  # fmt: skip
"""Kind → the behaviour that follows it."""

NOMINALS = (6.0, 12.0, 24.0)


def decades(low: float, high: float) -> st.SearchStrategy[float]:
    """Return positive numbers spread evenly over the decades from 10**low to 10**high, three digits each."""
    return st.floats(low, high).map(lambda exponent: float(f"{10.0**exponent:.3g}"))


@st.composite
def circuits(
    draw: st.DrawFn,
    *,
    kinds: tuple[str, ...] = ALL_KINDS,
    least: int = 2,
    most: int = 8,
) -> Circuit:
    """Return a valid circuit: one source or two, ``least`` to ``most`` other parts of ``kinds``, controls."""
    nominal = draw(st.sampled_from(NOMINALS))
    controls = draw(_controls())
    chosen = [draw(st.sampled_from(("battery", "supply"))) for _ in range(draw(st.integers(1, 2)))]
    others = tuple(kind for kind in kinds if kind not in ("battery", "supply"))
    chosen += draw(st.lists(st.sampled_from(others), min_size=least, max_size=most))
    parts: dict[str, Part] = {}
    for number, kind in enumerate(chosen, start=1):
        name = f"{LETTER[kind]}{number}"
        parts[name] = finished(draw(_part(name, kind, controls, nominal)), nominal)
    wires = draw(_wires(parts))
    return Circuit(
        name="depot-yard",
        title="Depot yard, made up",
        nominal=nominal,
        parts=parts,
        wires=wires,
        controls=controls,
        behaviour=draw(_behaviours(parts, controls)),
        safety=draw(st.sampled_from(((), (SafetyNote("caution", "Keep clear of the blades: they coast."),)))),
        reach=draw(_reach(parts)),
        paths=draw(st.sampled_from(((), (tuple(parts),)))),
    )


@st.composite
def _controls(draw: st.DrawFn) -> dict[str, Control]:
    names = ("key", "seat", "lever")[: draw(st.integers(1, 3))]
    found = {}
    for name in names:
        positions = draw(st.sampled_from((("off", "on"), ("open", "shut"), ("low", "middle", "high"))))
        springs = draw(st.sampled_from((None, positions[0])))
        found[name] = Control(name, f"The {name}", positions, springs)
    return found


Values = st.SearchStrategy[Any]


def _properties(kind: str, nominal: float) -> dict[str, Values]:
    """Return the properties of a kind that are drawn, each with a strategy for its values."""
    contact = {"resistance": decades(-3, -1)}
    found: dict[str, dict[str, Values]] = {
        "battery": {
            "emf": st.sampled_from((nominal, nominal * 1.05)),
            "resistance": decades(-3, 0),
            "charge": st.sampled_from((100.0, 60.0)),
        },
        "supply": {"voltage": st.just(nominal), "resistance": decades(-3, -1)},
        "fuse": {"rating": decades(0, 2), **contact},
        "relay": {"coil": decades(1, 3), **contact},
        "contactor": {"coil": decades(1, 3), **contact},
        "diode": {"forward_drop": st.sampled_from((0.3, 0.6, 0.7))},
        "resistor": {"resistance": decades(-2, 4)},
        "lamp": {"power": decades(0, 2), "filament": st.sampled_from(("off", "off", "on")), "cold": decades(-1, 1)},
        "motor": {"resistance": decades(-1, 1), "running": decades(-1, 1), "turns_from": decades(-1, 1)},
        "solenoid": {"resistance": decades(0, 2), "pulls_from": decades(-2, 0)},
        "input": {
            "pull": st.sampled_from(("up", "down")),
            "pull_resistance": decades(2, 5),
            "active": st.sampled_from(("low", "high")),
            "threshold": st.sampled_from((nominal / 3, nominal / 2)),
        },
        "magneto": {"primary": decades(-1, 1), "grounded_below": decades(1, 3)},
        "splice": {"ways": st.sampled_from((2.0, 3.0, 4.0))},
        "connector": {"pins": st.sampled_from((1.0, 2.0, 3.0)), **contact},
    }
    return found.get(kind, dict(contact))


@st.composite
def _part(draw: st.DrawFn, name: str, kind: str, controls: dict[str, Control], nominal: float) -> Part:
    """Return a part that is not finished yet: about half of its properties are left to their defaults."""
    drawn = _properties(kind, nominal)
    values: dict[str, float | str] = {}
    for key, strategy in drawn.items():
        if draw(st.booleans()):
            values[key] = draw(strategy)
    control = draw(st.sampled_from(tuple(controls))) if kind == "switch" else None
    contacts: tuple[Contact, ...] = ()
    if kind == "switch":
        contacts = draw(_contacts(controls[control or ""].positions, ("1", "2", "3", "4")))
    elif kind in ("relay", "contactor") and draw(st.booleans()):
        contacts = draw(_contacts((ENERGISED, RELEASED), ("11", "12", "14", "24")))
    return Part(name, kind, values, contacts, control)


@st.composite
def _contacts(draw: st.DrawFn, words: tuple[str, ...], pins: tuple[str, ...]) -> tuple[Contact, ...]:
    """Return one contact or two, apart or with a common pin, each closed in some of ``words``."""
    first, second, third, fourth = pins
    shapes = (((first, second),), ((first, second), (first, third)), ((first, second), (third, fourth)))
    subsets = st.lists(st.sampled_from(words), min_size=1, max_size=len(words), unique=True).map(tuple)
    return tuple(Contact(pair, draw(subsets)) for pair in draw(st.sampled_from(shapes)))


@st.composite
def _wires(draw: st.DrawFn, parts: dict[str, Part]) -> dict[str, Wire]:
    """Wire each part's terminals to what is there already, so that most parts lie in a path of current."""
    pairs: list[tuple[str, str]] = []
    there = [FRAME]
    for place, part in enumerate(parts.values()):
        own = list(terminals(part))
        for count, terminal in enumerate(own):
            if place == 0 and count == 0:
                continue  # the first source's + waits for what it feeds
            if count == 0 or draw(st.integers(0, 4)):
                other = FRAME if terminal.endswith(":-") and draw(st.integers(0, 3)) else draw(st.sampled_from(there))
                pairs.append((terminal, other))
        there += own
    extra = st.tuples(st.sampled_from(there), st.sampled_from(there)).filter(lambda pair: pair[0] != pair[1])
    pairs += draw(st.lists(extra, max_size=4))
    return {f"W{number}": draw(_wire(f"W{number}", *pair)) for number, pair in enumerate(pairs, start=1)}


@st.composite
def _wire(draw: st.DrawFn, name: str, start: str, end: str) -> Wire:
    colour = draw(st.sampled_from(("", "RD", "BK")))
    match draw(st.integers(0, 3)):
        case 0:
            return Wire(name, start, end, given_resistance=draw(decades(-3, 0)), colour=colour)
        case 1:
            gauge, plating = draw(st.sampled_from((10.0, 16.0, 22.0))), draw(st.sampled_from(PLATINGS))
            return Wire(name, start, end, area=None, gauge=gauge, colour=colour, plating=plating)
        case 2:
            area, length = draw(st.sampled_from((0.75, 1.0, 2.2, 4.0))), draw(st.sampled_from((0.2, 1.0, 7.5)))
            conductor_class, celsius = draw(st.sampled_from((1, 2, 5, 6))), draw(st.sampled_from((-20.0, 20.0, 75.0)))
            plating = draw(st.sampled_from(PLATINGS))
            return Wire(name, start, end, area, length, None, conductor_class, celsius, colour=colour, plating=plating)
    return Wire(name, start, end)


@st.composite
def _behaviours(draw: st.DrawFn, parts: dict[str, Part], controls: dict[str, Control]) -> dict[str, Behaviour]:
    found = {
        f"sees{part.name}": Behaviour(f"sees{part.name}", FOLLOWED[part.kind], part.name)
        for part in parts.values()
        if part.kind in FOLLOWED
    }
    if draw(st.booleans()):
        positions = [f"{control.name}={position}" for control in controls.values() for position in control.positions]
        entries = st.lists(st.sampled_from([*found, *positions]), min_size=1, max_size=2, unique=True).map(tuple)
        found["runs"] = Behaviour("runs", LATCHED, "", draw(entries), draw(entries))
    return found


@st.composite
def _reach(draw: st.DrawFn, parts: dict[str, Part]) -> dict[str, str]:
    if draw(st.integers(0, 4)):
        return {}
    listed = [terminal for part in parts.values() for terminal in terminals(part)]
    chosen = draw(st.lists(st.sampled_from(listed), unique=True, min_size=1, max_size=4))
    return {terminal: draw(st.sampled_from(("", *parts))) for terminal in chosen}


# What is done on a circuit


def permanent_faults(circuit: Circuit) -> st.SearchStrategy[Fault]:
    """Return faults of the universe, free values drawn from 10 mΩ to 1 MΩ."""
    plain = st.sampled_from(list(universe(circuit).values()))
    return st.tuples(plain, decades(-2, 6)).map(
        lambda pair: pair[0] if pair[0].value is None else _valued(pair[0], pair[1])
    )


def _valued(fault: Fault, value: float) -> Fault:
    return Fault(fault.place, fault.mode, value, fault.disturbed, fault.remedies)


def faults(circuit: Circuit) -> st.SearchStrategy[Fault]:
    """Return faults of the universe, one in four of them present only when disturbed."""
    return st.tuples(permanent_faults(circuit), st.integers(0, 3)).map(
        lambda pair: intermittent(pair[0]) if pair[1] == 0 else pair[0]
    )


def control_move(circuit: Circuit) -> st.SearchStrategy[str]:
    """Return moves of the operator."""
    listed = [f"{control.name}={position}" for control in circuit.controls.values() for position in control.positions]
    return st.sampled_from(listed)


def all_terminals(circuit: Circuit) -> list[str]:
    """Return every terminal of the circuit, and FRAME."""
    return [FRAME, *(terminal for part in circuit.parts.values() for terminal in terminals(part))]


def exchanges(circuit: Circuit) -> st.SearchStrategy[str]:
    """Return moves that put a known-good part in the place of one, or the circuit's own back."""
    parts = [part.name for part in circuit.parts.values() if part.kind not in HARNESS]
    return st.tuples(st.sampled_from(("substitute", "restore")), st.sampled_from(parts)).map("=".join)


def moves(circuit: Circuit) -> st.SearchStrategy[str]:
    """Return moves of every verb but ``repair`` and ``rest``."""
    two = st.lists(st.sampled_from(all_terminals(circuit)), min_size=2, max_size=2, unique=True).map(",".join)
    unpluggable = [*circuit.parts, *(terminal for terminal in all_terminals(circuit) if terminal != FRAME)]
    return st.one_of(
        control_move(circuit),
        control_move(circuit),
        st.tuples(st.sampled_from(("unplug", "mate")), st.sampled_from(unpluggable)).map("=".join),
        exchanges(circuit),
        st.tuples(st.sampled_from(("bridge", "unbridge", "load", "unload")), two).map("=".join),
        st.sampled_from(["nothing", *remedies_at(circuit)]).map(lambda place: f"disturb={place}"),
    )


def probes(
    circuit: Circuit, modes: tuple[str, ...] = (VOLTS, AMPS, OHMS, CONTINUITY, DIODE)
) -> st.SearchStrategy[Probe]:
    """Return measurements of every mode between two terminals, amps in series, and parts in the hand."""
    two = st.lists(st.sampled_from(all_terminals(circuit)), min_size=2, max_size=2, unique=True)
    across = st.tuples(st.sampled_from(modes), two).map(lambda pair: Probe(pair[0], pair[1][0], pair[1][1]))
    kinds = [across, across]
    if AMPS in modes:
        kinds.append(st.sampled_from([*circuit.wires, *circuit.parts]).map(lambda place: Probe(AMPS, place)))
    if OHMS in modes:
        kinds.append(st.sampled_from(list(circuit.parts.values())).map(_in_the_hand))
    return st.one_of(kinds)


def on_any_range(probe: Probe) -> st.SearchStrategy[Probe]:
    """Return the same measurement on auto, or on one of its mode's ranges."""
    return st.sampled_from((AUTO, AUTO, *SCALES[probe.mode].ranges())).map(lambda full: replace(probe, range=full))


def _in_the_hand(part: Part) -> Probe:
    own = terminals(part)
    return Probe(OHMS, own[0], own[-1] if len(own) > 1 else FRAME, alone=part.name)


@dataclass(frozen=True)
class Day:
    """A circuit, the faults in it and the moves that are made."""

    circuit: Circuit
    faults: tuple[Fault, ...] = ()
    moves: tuple[str, ...] = field(default=())


@st.composite
def days(  # noqa: PLR0913 - one option each for what is wanted
    draw: st.DrawFn,
    *,
    kinds: tuple[str, ...] = ALL_KINDS,
    most_parts: int = 8,
    least_faults: int = 0,
    most_faults: int = 1,
    most_moves: int = 4,
) -> Day:
    """Return a circuit with faults and a list of moves."""
    circuit = draw(circuits(kinds=kinds, most=most_parts))
    chosen = draw(st.lists(faults(circuit), min_size=least_faults, max_size=most_faults))
    return Day(circuit, tuple(chosen), tuple(draw(st.lists(moves(circuit), max_size=most_moves))))
