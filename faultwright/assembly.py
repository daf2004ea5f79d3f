"""Putting a network together from circuit, faults and what the moves have done to the wiring.

A joint is one node: the wires that land on a terminal and the part's pin. Only where something lies
between joint and part (a broken pin, an ammeter) and the pin serves several branches, or the part judges
its own pins, does the pin get a node of its own; elsewhere the pin counts as in series with its branch.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from .circuit import FRAME, Circuit, Part, Wire, split_terminal
from .faults import LEAK, Fault
from .injection import Injection, first_supply, inject
from .network import Branch, Network, Wiring
from .parts import KINDS, PartBranch, Role, branches, terminals

JUMPER = 0.01
"""Ω of a jumper with its clips (common practice)."""

_LEAK = "leaky"

TEST_LAMP_POWER = 5.0
"""W of the test lamp at nominal voltage."""

DISCHARGED_EMF, DISCHARGED_RESISTANCE = 0.93, 10.0
"""Share of emf and multiple of the internal resistance of a discharged battery."""


def build(  # noqa: PLR0913 - one option each for the ways in which a circuit is measured
    circuit: Circuit,
    faults: Iterable[Fault] = (),
    wiring: Wiring | None = None,
    *,
    ammeter: tuple[str, float] | None = None,
    alone: str | None = None,
    apart: bool = False,
    shorts: bool = False,
) -> Network:
    """Return the network of a circuit with these (present) faults and this wiring.

    ``ammeter`` is a wire or a terminal and the Ω put in series there; ``alone`` a part that is measured in
    the hand: its branches only, without harness and joints. ``apart`` gives every pin that a fault could part
    from its joint a node of its own and every diode its leak and its reverse, so that most faults share one
    topology (for lanes); ``shorts`` puts in the branches of all shorts too, open, so that those share it as well.
    """
    edits = inject(circuit, faults)
    if alone is not None:
        return _Builder(circuit, edits, Wiring(), None, apart=False).in_the_hand(circuit.parts[alone])
    return _Builder(circuit, edits, wiring or Wiring(), ammeter, apart=apart).whole(shorts=shorts)


@dataclass(frozen=True)
class _Sound:
    """The network of a sound circuit, and where in it the branches of each part and wire stand.

    Networks with faults are made from it: what faults leave alone is shared. ``wires`` maps a part to the wires
    that land on it; ``shorts`` are the branches for the shorts of all wires, open.
    """

    network: Network
    sections: Mapping[str, tuple[int, int]]
    wires: Mapping[str, tuple[str, ...]]
    shorts: tuple[Branch, ...]


@lru_cache(maxsize=64)
def _sound(circuit: Circuit, *, apart: bool) -> _Sound:
    builder = _Builder(circuit, Injection(), Wiring(), None, apart=apart)
    builder.lay_nodes()
    network = builder.network
    sections: dict[str, tuple[int, int]] = {}
    wires: dict[str, tuple[str, ...]] = {}
    for name in (*circuit.parts, *circuit.wires):
        start = len(network.branches)
        network.branches += builder.section(name)
        sections[name] = (start, len(network.branches))
    for wire in circuit.wires.values():
        for part in {split_terminal(wire.start)[0], split_terminal(wire.end)[0]}:
            wires[part] = (*wires.get(part, ()), wire.name)
    return _Sound(network, sections, wires, tuple(builder.open_shorts()))


class _Builder:
    """Puts a network together: joints, parts, wires, then what hangs on it."""

    def __init__(
        self,
        circuit: Circuit,
        edits: Injection,
        wiring: Wiring,
        ammeter: tuple[str, float] | None,
        *,
        apart: bool,
    ) -> None:
        self.circuit, self.edits, self.wiring, self.apart = circuit, edits, wiring, apart
        self.network = Network(circuit, sticking=frozenset(edits.sticking))
        self.opened_pins = {place for place in (*edits.broken, *wiring.unplugged) if self._is_joint(place)}
        self.pin_series = {place: value for place, value in edits.series.items() if self._is_joint(place)}
        self.ammeter, self.ammeter_resistance = ammeter or ("", 0.0)

    def whole(self, *, shorts: bool) -> Network:
        """Return the network of the whole circuit, made from the sound one and what differs from it."""
        network, sound = self.network, _sound(self.circuit, apart=self.apart)
        network.names, network.node = list(sound.network.names), dict(sound.network.node)
        network.inside = dict(sound.network.inside)
        network.branches = list(sound.network.branches)
        # New nodes are numbered from the front of the file, branches put in from its back, where numbers still hold.
        for (start, stop), own in reversed([(sound.sections[name], self.section(name)) for name in self._touched()]):
            network.branches[start:stop] = own
        if shorts or self.edits.shorts:
            same_nodes = len(network.names) == len(sound.network.names)
            self._add_shorts(sound.shorts if same_nodes else self.open_shorts())
        self._add_jumpers()
        return network

    def section(self, name: str) -> Sequence[Branch]:
        """Return the branches of a part or a wire."""
        if name in self.circuit.parts:
            return self.part(self.circuit.parts[name])
        return [self.wire(self.circuit.wires[name])]

    def in_the_hand(self, part: Part) -> Network:
        """Return the network of a part without harness and joints: faults in the part only."""
        self.opened_pins, self.pin_series = set(), {}
        self._lay(part)
        self.network.branches += self.part(part)
        return self.network

    def lay_nodes(self) -> None:
        """Give every terminal of the circuit its node."""
        for part in self.circuit.parts.values():
            self._lay(part)

    def _lay(self, part: Part) -> None:
        """Give every terminal its node; the ways of a splice share one."""
        network = self.network
        shared = network.add_node(part.name) if KINDS[part.kind].joined else 0
        for terminal in terminals(part):
            network.node[terminal] = shared or network.add_node(terminal)

    def _touched(self) -> list[str]:
        """Return the parts and wires at which faults, moves or the ammeter change anything, in the file's order."""
        edits, sound = self.edits, _sound(self.circuit, apart=self.apart)
        places = (
            *edits.broken, *edits.series, *edits.shorted, *edits.fixed, *edits.discharged, *edits.reversed,
            *edits.leaky, *edits.swapped, *self.wiring.unplugged, self.ammeter,
        )  # fmt: skip
        names = {split_terminal(place.partition(" ")[0])[0] for place in places}
        names |= {wire for name in names for wire in sound.wires.get(name, ())}
        return sorted(names & sound.sections.keys(), key=lambda name: (sound.sections[name], name))

    def _is_joint(self, place: str) -> bool:
        """Joints are ``PART:PIN``; a connector's pins are elements of their own (``X1:2``)."""
        name, pin = split_terminal(place)
        return bool(pin) and name in self.circuit.parts and self.circuit.parts[name].kind != "connector"

    def _pin_disturbed(self, terminal: str) -> bool:
        return terminal in self.opened_pins or terminal in self.pin_series or terminal == self.ammeter

    def _pin(self, terminal: str, inside: int) -> Branch:
        """Return the branch between a joint and a node inside the part, for a pin that is not plainly joined."""
        resistance = self.pin_series.get(terminal, 0.0)
        if terminal == self.ammeter:
            resistance += self.ammeter_resistance
        own = None if terminal in self.opened_pins else resistance
        return Branch(terminal, self.network.node[terminal], inside, Role.RESISTOR, own, pin=True)

    def part(self, part: Part) -> list[Branch]:
        """Return a part's branches, each with what its pins put in series."""
        if KINDS[part.kind].joined:
            return self._splice(part)
        found: list[Branch] = []
        network = self.network
        own, sensed = self._own_branches(part), KINDS[part.kind].sensed
        off = part.name in self.wiring.unplugged
        # A leak that is not there needs no node of its own to branch off from.
        there = [branch for branch in own if branch.name != _LEAK or part.name in self.edits.leaky]
        ends = [end for branch in there for end in (branch.a, branch.b)]
        for terminal in terminals(part):
            several = ends.count(terminal) > 1 or sensed or terminal == self.ammeter
            # A leak seldom meets a broken pin: diodes get such nodes then only, and share one topology otherwise.
            apart = self._pin_disturbed(terminal) or (self.apart and part.kind != "diode")
            if (several and apart) or (sensed and off):
                if terminal not in network.inside:
                    network.inside[terminal] = network.add_node(f"{terminal} inside")
                if not off:
                    found.append(self._pin(terminal, network.inside[terminal]))
        # A part that judges its own pins is cut off at them; of any other the branches are opened.
        for branch in own:
            found += self._branch(part, branch, off=off and not sensed)
        return found

    def _own_branches(self, part: Part) -> tuple[PartBranch, ...]:
        """Return what lies inside a part: beside a leaky diode its leak, with all pins apart beside every diode."""
        own = branches(part)
        if part.kind == "diode" and (self.apart or part.name in self.edits.leaky):
            return (*own, PartBranch(_LEAK, f"{part.name}:A", f"{part.name}:K", Role.RESISTOR, LEAK))
        return own

    def _splice(self, part: Part) -> list[Branch]:
        """Part the ways of a splice that something has come between from their common node."""
        network = self.network
        found = []
        shared = _sound_node(network, part)
        off = part.name in self.wiring.unplugged
        for terminal in terminals(part):
            if self._pin_disturbed(terminal) or self.apart or off:
                if network.node[terminal] == shared:
                    network.node[terminal] = network.add_node(terminal)
                if not off:
                    found.append(self._pin(terminal, shared))
        return found

    def _branch(self, part: Part, branch: PartBranch, *, off: bool) -> list[Branch]:
        network, edits = self.network, self.edits
        key = f"{part.name}:{branch.name}" if part.kind == "connector" else f"{part.name} {branch.name}".strip()
        pins = [terminal for terminal in (branch.a, branch.b) if terminal not in network.inside and terminal != FRAME]
        parted = any(pin in self.wiring.unplugged for pin in pins)
        broken = off or parted or key in edits.broken or any(pin in self.opened_pins for pin in pins)
        broken |= branch.name == _LEAK and part.name not in edits.leaky
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
        series = edits.series.get(key, 0.0) + sum(self.pin_series.get(pin, 0.0) for pin in pins)
        own = None if broken else resistance
        backwards = part.name in edits.reversed
        if branch.role is Role.DIODE and self.apart:
            reverse = Branch(f"{key} reverse", b, a, branch.role, own if backwards else None, part.name, series)
            return [reverse, Branch(key, a, b, role, None if backwards else own, part.name, series)]
        if backwards:
            a, b = b, a
        return [Branch(key, a, b, role, own, part.name, series, emf, closed_in)]

    def wire(self, wire: Wire) -> Branch:
        """Return a wire's branch."""
        edits = self.edits
        start, end = (self.network.node[edits.swapped.get(terminal, terminal)] for terminal in (wire.start, wire.end))
        series = edits.series.get(wire.name, 0.0) + (self.ammeter_resistance if wire.name == self.ammeter else 0.0)
        own = None if wire.name in edits.broken else wire.resistance
        return Branch(wire.name, start, end, Role.RESISTOR, own, series=series)

    def _add_shorts(self, open_ones: Iterable[Branch]) -> None:
        """Add the branches for the shorts of all wires, open, but those that are there closed.

        So every short of a wire shares one topology and one compiled program. A short lies where the wire's end lands.
        """
        network = self.network
        found = {branch.name: branch for branch in open_ones}
        for name, start, end, own in self.edits.shorts:
            lands = self.edits.swapped.get(start, start)
            found[name] = Branch(name, network.node[lands], network.node[end], Role.RESISTOR, own)
        network.branches += found.values()

    def open_shorts(self) -> Iterator[Branch]:
        """Yield the branches for the shorts of all wires, open."""
        node, supply = self.network.node, first_supply(self.circuit) or FRAME
        for wire in self.circuit.wires.values():
            for word, end in (("ground", FRAME), ("supply", supply)):
                name = f"{wire.name} shorted to {word}"
                yield Branch(name, node[wire.start], node[end], Role.RESISTOR, None)

    def _add_jumpers(self) -> None:
        """Add what moves have put on: jumpers and test lamps."""
        network = self.network
        lamp = self.circuit.nominal**2 / TEST_LAMP_POWER
        for word, pairs, resistance in (("bridge", self.wiring.bridges, JUMPER), ("load", self.wiring.loads, lamp)):
            for a, b in pairs:
                branch = Branch(f"{word} {a},{b}", network.node[a], network.node[b], Role.RESISTOR, resistance)
                network.branches.append(branch)


def _sound_node(network: Network, part: Part) -> int:
    """Return the common node of a splice's ways."""
    return network.names.index(part.name)
