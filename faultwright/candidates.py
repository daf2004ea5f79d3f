"""The tests worth considering on a circuit, and what they cost in the trade.

Each reachable point to FRAME and to its return, and across every wire, joint pair and part; not all pairs. Ohms with
the sources isolated, and parts in the hand. What is in reach with a part unplugged is measured with it unplugged.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from .analysis_texts import text
from .circuit import FRAME, Circuit, split_terminal
from .meter import OHMS, VOLTS, Probe
from .moves import Move, control_moves
from .parts import KINDS, SOURCES, branches, sources, terminals

LOOK, OPERATE, BACK_PROBE, UNPLUG, DISMANTLE = 1.0, 1.0, 2.0, 4.0, 8.0
"""Costs relative to a look at the machine: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A test: ``moves`` from where the machine stands, then a measurement (or, without one, a look)."""

    moves: tuple[Move, ...]
    probe: Probe | None
    cost: float

    def as_json(self) -> dict[str, Any]:
        """The test as the command line's JSON gives it; a test without a meter is a look at the machine."""
        found: dict[str, Any] = {"moves": [str(move) for move in self.moves]}
        if self.probe is None:
            return found | {"see": True, "cost": self.cost}
        found |= {"meter": self.probe.mode, "red": self.probe.red, "black": self.probe.black}
        return found | ({"alone": self.probe.alone} if self.probe.alone else {}) | {"cost": self.cost}

    def words(self) -> str:
        """Return the test in words, as a person is asked to make it."""
        if self.probe is None:
            test = text("test.look")
        else:
            kind = "test.hand" if self.probe.alone else "test.read"
            test = text(kind, meter=self.probe.mode, red=self.probe.red, black=self.probe.black, part=self.probe.alone)
        return text("test.after", moves=", ".join(map(str, self.moves)), test=test) if self.moves else test


MOST_STATES = 128
"""Control states that are all tried; more are too many to measure in, for a person and for a machine."""


def worth_reaching(circuit: Circuit, state: Mapping[str, str], most: int = MOST_STATES) -> list[dict[str, str]]:
    """Return the control states worth measuring in.

    All; with more than ``most`` of them, those one control away from ``state`` or from the one with every
    control in its last position.
    """
    controls = circuit.controls.values()
    if circuit.state_count <= most:
        return list(circuit.states())
    last = {control.name: control.positions[-1] for control in controls}
    near = [
        {**start, control.name: position}
        for start in (state, last)
        for control in controls
        for position in control.positions
    ]
    return [found for place, found in enumerate(near) if found not in near[:place]][:most]


def every_test(
    circuit: Circuit,
    start: Mapping[str, str] | None = None,
    unplugged: Collection[str] = (),
    most: int = MOST_STATES,
) -> Iterator[Candidate]:
    """Yield every test worth making, in each control state worth reaching, those with the fewest moves first.

    ``start`` is where the controls stand (at rest unless given) and ``unplugged`` what is off already. In each state a
    look, volts, ohms with the sources isolated. A part in the hand shows the same whatever the controls do: it is
    taken out once, a switch once in each position of its control, a fuse in every state, since it may have blown there.
    """
    controls = circuit.rest() if start is None else dict(start)
    tests = list(_tests_here(circuit, frozenset(unplugged)))
    done: set[tuple[Probe, tuple[str, ...]]] = set()
    for way in ways_to_states(circuit, controls, most):
        state = controls | {move.target: move.value for move in way}
        for test in tests:
            if test.probe is not None and test.probe.alone:
                case = test.probe, _decides_in_the_hand(circuit, test.probe.alone, state)
                if case in done:
                    continue
                done.add(case)
            yield Candidate((*way, *test.moves), test.probe, test.cost + OPERATE * len(way))


def ways_to_states(circuit: Circuit, start: dict[str, str], most: int = MOST_STATES) -> list[tuple[Move, ...]]:
    """Return the control moves from one state to each state worth reaching, none first."""
    every = worth_reaching(circuit, start, most)
    found = {tuple(control_moves(circuit, start, state)) for state in every} | {()}
    return sorted(found, key=lambda moves: (len(moves), [str(move) for move in moves]))


def reachable(circuit: Circuit, unplugged: Collection[str] = ()) -> tuple[str, ...]:
    """Return the terminals that can be probed with these parts unplugged, FRAME left out."""
    listed = [terminal for part in circuit.parts.values() for terminal in terminals(part)]
    return tuple(
        terminal
        for terminal in listed
        if terminal in circuit.wired and (not circuit.reach or circuit.reach.get(terminal) in {"", *unplugged})
    )


def isolation(circuit: Circuit) -> tuple[Move, ...]:
    """Return the moves that isolate every source."""
    return tuple(Move("unplug", name) for name in sources(circuit))


def voltage_probes(circuit: Circuit, unplugged: Collection[str] = ()) -> Iterator[Probe]:
    """Yield volts of every reachable point to FRAME, then across every wire and every part's branches."""
    points = reachable(circuit, unplugged)
    yield from (Probe(VOLTS, terminal, FRAME) for terminal in points)
    yield from (Probe(VOLTS, red, black) for red, black in _pairs(circuit) if {red, black} <= {*points})


def return_probes(circuit: Circuit, unplugged: Collection[str] = ()) -> Iterator[Probe]:
    """Yield volts of every reachable point to the first source's ``-``, where nothing joins that to FRAME.

    Without the pairs that :func:`voltage_probes` yields already: what is across the source itself and its wires.
    """
    points = reachable(circuit, unplugged)
    minus = f"{next(iter(sources(circuit)), '')}:-"
    if minus in points and minus not in _joined_to_frame(circuit):
        across = [{*pair} for pair in _pairs(circuit)]
        others = [terminal for terminal in points if terminal != minus and {terminal, minus} not in across]
        yield from (Probe(VOLTS, terminal, minus) for terminal in others)


def resistance_probes(circuit: Circuit, unplugged: Collection[str] = ()) -> Iterator[Probe]:
    """Yield ohms across every wire and every part's branches, for a machine that is isolated."""
    points = {*reachable(circuit, unplugged), FRAME}
    yield from (Probe(OHMS, red, black) for red, black in _pairs(circuit) if {red, black} <= points)


def hand_probes(circuit: Circuit) -> Iterator[Probe]:
    """Yield ohms across every branch of a part in the hand; sources and fixed joints are left where they are."""
    for part in circuit.parts.values():
        if part.kind in (*SOURCES, "ground", "splice", "input"):
            continue
        for branch in branches(part):
            yield Probe(OHMS, branch.a, branch.b, alone=part.name)


_Probes = Callable[[Circuit, Collection[str]], Iterator[Probe]]
"""What yields the measurements on a circuit with these parts unplugged."""


def _tests_here(circuit: Circuit, off: frozenset[str]) -> Iterator[Candidate]:
    """Yield the tests of one control state, each with its moves and cost from that state on."""
    yield Candidate((), None, LOOK)
    if not off & {*sources(circuit)}:
        yield from _measured(circuit, voltage_probes, off, (), BACK_PROBE)
        yield from _measured(circuit, return_probes, off, (), BACK_PROBE)
    isolating = tuple(move for move in isolation(circuit) if move.target not in off)
    cost = BACK_PROBE + UNPLUG * len(isolating)
    yield from _measured(circuit, resistance_probes, off.union(sources(circuit)), isolating, cost)
    for probe in hand_probes(circuit):
        yield Candidate(isolating, probe, cost + DISMANTLE)


def _measured(
    circuit: Circuit, probes: _Probes, off: frozenset[str], moves: tuple[Move, ...], cost: float
) -> Iterator[Candidate]:
    """Yield what can be measured as it is, then what can be with one more part unplugged; no source for that."""
    plain = list(probes(circuit, off))
    yield from (Candidate(moves, probe, cost) for probe in plain)
    for part in dict.fromkeys(circuit.reach.values()):
        if part and part not in off and part not in sources(circuit):
            unplugging = (*moves, Move("unplug", part))
            for probe in probes(circuit, off | {part}):
                if probe not in plain:
                    yield Candidate(unplugging, probe, cost + UNPLUG)


def _decides_in_the_hand(circuit: Circuit, name: str, state: Mapping[str, str]) -> tuple[str, ...]:
    """Return which positions of the controls decide what a part shows in the hand."""
    part = circuit.parts[name]
    if part.kind == "fuse":
        return tuple(state.values())
    return (state[part.control],) if part.control is not None else ()


def _joined_to_frame(circuit: Circuit) -> set[str]:
    """Return the terminals that wires, splices, mated connectors and grounds alone join to FRAME."""
    links = [{wire.start, wire.end} for wire in circuit.wires.values()]
    for part in circuit.parts.values():
        if KINDS[part.kind].joined:
            links.append({*terminals(part)})
        elif part.kind in ("ground", "connector"):
            links += [{branch.a, branch.b} for branch in branches(part)]
    joined, more = set[str](), {FRAME}
    while more:
        joined |= more
        more = {terminal for link in links if link & joined for terminal in link} - joined
    return joined


def _pairs(circuit: Circuit) -> Iterator[tuple[str, str]]:
    """Both ends of every wire and of every branch inside a part, each pair once."""
    seen: set[frozenset[str]] = set()
    for wire in circuit.wires.values():
        yield from _once(seen, wire.start, wire.end)
    for part in circuit.parts.values():
        for branch in branches(part):
            if split_terminal(branch.b)[1]:
                yield from _once(seen, branch.a, branch.b)


def _once(seen: set[frozenset[str]], red: str, black: str) -> Iterator[tuple[str, str]]:
    if frozenset((red, black)) not in seen:
        seen.add(frozenset((red, black)))
        yield red, black
