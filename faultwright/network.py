"""The electrical network of a circuit as it stands now: nodes and branches, ready for the solver.

Built anew from circuit, faults and what the moves have done to the wiring (unplugged, bridged, loaded).
A joint is one node: the wires that land on a terminal and the part's pin. Only where something lies
between joint and part (a broken pin, an ammeter) and the pin serves several branches, or the part judges
its own pins, does the pin get a node of its own; elsewhere the pin counts as in series with its branch.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from .circuit import FRAME, Circuit, Part, split_terminal
from .faults import Fault
from .injection import Injection, first_supply, inject
from .parts import KINDS, PartBranch, Role, branches, terminals

OPEN = 0.0
"""Conductance in S of an open branch: exactly nothing."""

JUMPER = 0.01
"""Ω of a jumper with its clips (common practice)."""

TEST_LAMP_POWER = 5.0
"""W of the test lamp at nominal voltage."""

DISCHARGED_EMF, DISCHARGED_RESISTANCE = 0.93, 10.0
"""Share of emf and multiple of the internal resistance of a discharged battery."""


@dataclass(slots=True)
class Branch:
    """A branch of the network between nodes ``a`` and ``b``.

    ``resistance`` is the element's own in Ω (None: interrupted for good), ``series`` what faults and joints
    put in series with it; ``emf`` in V drives from ``a`` to ``b``. A contact names its driver: the
    switch or relay in ``part`` and the positions in ``closed_in``.
    """

    name: str
    a: int
    b: int
    role: Role
    resistance: float | None
    part: str = ""
    series: float = 0.0
    emf: float = 0.0
    closed_in: tuple[str, ...] = ()

    def conductance(self, resistance: float | None = None) -> float:
        """Conductance in S with the element at ``resistance`` Ω (its own by default)."""
        own = self.resistance if resistance is None else resistance
        if own is None or self.resistance is None:
            return OPEN
        total = own + self.series
        return 1.0 / total if total else math.inf


@dataclass
class Wiring:
    """What moves have done to the wiring: parts, connectors or terminals taken off; jumpers and test lamps put on."""

    unplugged: frozenset[str] = frozenset()
    bridges: tuple[tuple[str, str], ...] = ()
    loads: tuple[tuple[str, str], ...] = ()


@dataclass
class Network:
    """Nodes and branches. Node 0 is FRAME. ``node`` maps every terminal to its node (the harness side).

    ``pins`` numbers the branches between a joint and the node behind it; in a network with all pins apart a
    sound one is ideal (0 Ω).
    """

    circuit: Circuit
    branches: list[Branch] = field(default_factory=list)
    names: list[str] = field(default_factory=lambda: [FRAME])
    node: dict[str, int] = field(default_factory=lambda: {FRAME: 0})
    inside: dict[str, int] = field(default_factory=dict)
    sticking: frozenset[str] = frozenset()
    pins: list[int] = field(default_factory=list)

    def node_inside(self, terminal: str) -> int:
        """Return the node that a part sees at its own pin, behind the joint."""
        return self.inside.get(terminal, self.node[terminal])

    def add_node(self, name: str) -> int:
        """Add a node and return its number."""
        self.names.append(name)
        return len(self.names) - 1

    @cached_property
    def ends(self) -> tuple[tuple[int, int], ...]:
        """The two nodes of each branch: the topology that a solver program is compiled for."""
        return tuple((branch.a, branch.b) for branch in self.branches)

    @cached_property
    def with_emf(self) -> frozenset[int]:
        """Numbers of the branches that can have an emf: sources, and diodes while they conduct."""
        return frozenset(i for i, branch in enumerate(self.branches) if branch.role in (Role.SOURCE, Role.DIODE))

    def of_role(self, *roles: Role) -> list[int]:
        """Numbers of the branches with one of these roles, in order."""
        return [i for i, branch in enumerate(self.branches) if branch.role in roles]

    def joined(self, conductances: Iterable[float], start: int, end: int) -> bool:
        """Say whether conducting branches join two nodes."""
        neighbours: dict[int, list[int]] = {}
        for (a, b), conductance in zip(self.ends, conductances, strict=False):
            if conductance:
                neighbours.setdefault(a, []).append(b)
                neighbours.setdefault(b, []).append(a)
        seen, waiting = {start}, [start]
        while waiting:
            for other in neighbours.get(waiting.pop(), ()):
                if other not in seen:
                    seen.add(other)
                    waiting.append(other)
        return end in seen


def build(  # noqa: PLR0913 - one option each for the ways in which a circuit is measured
    circuit: Circuit,
    faults: Iterable[Fault] = (),
    wiring: Wiring | None = None,
    *,
    ammeter: tuple[str, float] | None = None,
    alone: str | None = None,
    apart: bool = False,
) -> Network:
    """Return the network of a circuit with these (present) faults and this wiring.

    ``ammeter`` is a wire or a terminal and the Ω put in series there; ``alone`` a part that is measured in
    the hand: its branches only, without harness and joints. ``apart`` gives every pin that a fault could part
    from its joint a node of its own and every diode its leak and its reverse, so that most faults share one
    topology (for lanes).
    """
    return _Builder(circuit, inject(circuit, faults), wiring or Wiring(), ammeter, alone, apart=apart).network


class _Builder:
    """Puts a network together: joints, parts, wires, then what hangs on it."""

    def __init__(  # noqa: PLR0913 - as build()
        self,
        circuit: Circuit,
        edits: Injection,
        wiring: Wiring,
        ammeter: tuple[str, float] | None,
        alone: str | None,
        *,
        apart: bool,
    ) -> None:
        self.apart = apart
        self.circuit, self.edits, self.wiring = circuit, edits, wiring
        self.network = Network(circuit, sticking=frozenset(edits.sticking))
        self.opened_pins = {place for place in (*edits.broken, *wiring.unplugged) if self._is_joint(place)}
        self.pin_series = {place: value for place, value in edits.series.items() if self._is_joint(place)}
        self.ammeter, self.ammeter_resistance = ammeter or ("", 0.0)
        parts = list(circuit.parts.values()) if alone is None else [circuit.parts[alone]]
        if alone is not None:
            self.opened_pins, self.pin_series, self.wiring = set(), {}, Wiring()
        for part in parts:
            self._joints(part)
        for part in parts:
            self._part(part)
        if alone is None:
            self._wires()
        self._extras(whole=alone is None)

    def _is_joint(self, place: str) -> bool:
        """Joints are ``PART:PIN``; a connector's pins are elements of their own (``X1:2``)."""
        name, pin = split_terminal(place)
        return bool(pin) and name in self.circuit.parts and self.circuit.parts[name].kind != "connector"

    def _pin_disturbed(self, terminal: str) -> bool:
        return self.apart or terminal in self.opened_pins or terminal in self.pin_series or terminal == self.ammeter

    def _joints(self, part: Part) -> None:
        """Give every terminal its node; the ways of a splice share one unless something parts them."""
        network = self.network
        joined = KINDS[part.kind].joined
        shared = network.add_node(part.name) if joined else 0
        for terminal in terminals(part):
            if joined and not self._pin_disturbed(terminal) and part.name not in self.wiring.unplugged:
                network.node[terminal] = shared
                continue
            network.node[terminal] = network.add_node(terminal)
            if joined and part.name not in self.wiring.unplugged:
                self._pin(terminal, shared)

    def _pin(self, terminal: str, inside: int) -> None:
        """Put a branch between a joint and a node inside the part, for a pin that is not plainly joined."""
        resistance = self.pin_series.get(terminal, 0.0)
        if terminal == self.ammeter:
            resistance += self.ammeter_resistance
        broken = terminal in self.opened_pins
        node = self.network.node[terminal]
        self.network.pins.append(len(self.network.branches))
        self.network.branches.append(Branch(terminal, node, inside, Role.RESISTOR, None if broken else resistance))

    def _part(self, part: Part) -> None:
        """Add a part's branches, each with what its pins put in series."""
        network = self.network
        kind = KINDS[part.kind]
        own, sensed = branches(part), kind.sensed
        off = part.name in self.wiring.unplugged
        ends = [end for branch in own for end in (branch.a, branch.b)]
        for terminal in terminals(part):
            several = ends.count(terminal) > 1 or sensed or terminal == self.ammeter
            if not kind.joined and ((several and self._pin_disturbed(terminal)) or (sensed and off)):
                network.inside[terminal] = network.add_node(f"{terminal} inside")
                if not off:
                    self._pin(terminal, network.inside[terminal])
        for branch in own:
            # A part that judges its own pins is cut off at them; of any other the branches are opened.
            self._branch(part, branch, off=off and not sensed)

    def _branch(self, part: Part, branch: PartBranch, *, off: bool) -> None:
        network, edits = self.network, self.edits
        key = f"{part.name}:{branch.name}" if part.kind == "connector" else f"{part.name} {branch.name}".strip()
        pins = [terminal for terminal in (branch.a, branch.b) if terminal not in network.inside and terminal != FRAME]
        parted = any(pin in self.wiring.unplugged for pin in pins)
        broken = off or parted or key in edits.broken or any(pin in self.opened_pins for pin in pins)
        role, resistance, emf = branch.role, branch.resistance, branch.emf
        if key in edits.shorted:
            role, resistance = Role.RESISTOR, edits.shorted[key]
        if part.name in edits.discharged:
            emf, resistance = emf * DISCHARGED_EMF, resistance * DISCHARGED_RESISTANCE
        closed_in: tuple[str, ...] = ()
        if role is Role.CONTACT:
            closed_in = next(contact.closed_in for contact in part.contacts if contact.name == branch.name)
            if key in edits.fixed:
                role, broken = Role.RESISTOR, broken or not edits.fixed[key]
        a, b = network.node_inside(branch.a), network.node_inside(branch.b)
        backwards = part.name in edits.reversed
        series = edits.series.get(key, 0.0) + sum(self.pin_series.get(pin, 0.0) for pin in pins)
        own = None if broken else resistance
        if role is Role.DIODE and self.apart:
            network.branches.append(Branch(f"{key} reverse", b, a, role, own if backwards else None, part.name, series))
            own = None if backwards else own
        elif backwards:
            a, b = b, a
        network.branches.append(Branch(key, a, b, role, own, part.name, series, emf, closed_in))

    def _wires(self) -> None:
        network, edits = self.network, self.edits
        for wire in self.circuit.wires.values():
            start, end = (edits.swapped.get(terminal, terminal) for terminal in (wire.start, wire.end))
            series = edits.series.get(wire.name, 0.0) + (self.ammeter_resistance if wire.name == self.ammeter else 0.0)
            network.branches.append(
                Branch(
                    name=wire.name,
                    a=network.node[start],
                    b=network.node[end],
                    role=Role.RESISTOR,
                    resistance=None if wire.name in edits.broken else wire.resistance,
                    series=series,
                )
            )

    def _diodes(self) -> list[str]:
        return [part.name for part in self.circuit.parts.values() if part.kind == "diode"]

    def _extras(self, *, whole: bool) -> None:
        """Add shorts, leaks, jumpers and test lamps.

        Where one wire is shorted the branches for all such shorts are there, open, so that every such fault
        shares one topology and one compiled program.
        """
        network = self.network
        place: dict[str, tuple[str, str, float | None]] = {}
        if self.apart:
            place |= {f"{diode} leaky": (f"{diode}:A", f"{diode}:K", None) for diode in self._diodes()}
        if whole and self.edits.shorts_wire:
            supply = first_supply(self.circuit) or FRAME
            for wire in self.circuit.wires.values():
                place[f"{wire.name} shorted to ground"] = (wire.start, FRAME, None)
                place[f"{wire.name} shorted to supply"] = (wire.start, supply, None)
        place |= {name: (a, b, resistance) for name, a, b, resistance in self.edits.extra}
        for name, (a, b, own) in sorted(place.items()):
            if a in network.node and b in network.node:
                network.branches.append(Branch(name, network.node[a], network.node[b], Role.RESISTOR, own))
        for a, b in self.wiring.bridges:
            network.branches.append(Branch(f"bridge {a},{b}", network.node[a], network.node[b], Role.RESISTOR, JUMPER))
        for a, b in self.wiring.loads:
            resistance = self.circuit.nominal**2 / TEST_LAMP_POWER
            network.branches.append(
                Branch(f"load {a},{b}", network.node[a], network.node[b], Role.RESISTOR, resistance)
            )
