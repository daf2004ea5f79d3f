"""The voltage-drop profile: how the voltage falls along the path of the current through a load, joint after joint.

The path is that of the sound machine, so a profile tells nothing about a fault.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from .analysis_texts import listed
from .circuit import Circuit, split_terminal
from .current_path import CurrentPath, CurrentPaths
from .errors import Mistake, Refused, unknown
from .machine import Machine
from .moves import Move
from .routes import loads

USUAL_NOMINAL = 12.0
"""V of the machines that the usual drops are given for."""
USUAL_CONTACT, USUAL_JOINT, USUAL_GROUND_PATH = 0.3, 0.1, 0.1
"""V under load at most: a closed contact (0.2 to 0.3 V), a joint with a high current, a whole ground path.

Common practice at 12 V, without a source.
"""
_CONTACTS = ("switch", "relay", "contactor")
_JOINTS = ("connector", "splice", "ground")
WIRE = "wire"


@dataclass(frozen=True, slots=True)
class Stretch:
    """What lies between a joint of the path and the next.

    ``place`` is named as faults name it; ``kind`` is its part's, or :data:`WIRE`; ``drop`` in V on the sound machine;
    ``usual`` the most that is usual, in V (None: no figure); ``used``: here the current does its work.
    """

    place: str
    kind: str
    drop: float
    usual: float | None
    used: bool


@dataclass(frozen=True)
class DropProfile:
    """The sound machine along a path, from a source's ``+`` to its ``-``.

    ``terminals`` are the joints and ``volts`` theirs against the last, in V; ``stretches`` lie between, one fewer.
    ``machine`` is the sound one as the moves have brought it, to be read and not to be moved.
    """

    machine: Machine
    load: str
    terminals: tuple[str, ...]
    volts: tuple[float, ...]
    stretches: tuple[Stretch, ...]

    @property
    def used(self) -> tuple[int, int]:
        """The joints before and behind the load."""
        number = next(number for number, stretch in enumerate(self.stretches) if stretch.used)
        return number, number + 1

    @property
    def ground_path(self) -> int:
        """The joint from which wires, joints and grounds alone lead back to the source."""
        plain = (WIRE, *_JOINTS)
        first = len(self.stretches)
        while self.stretches[first - 1].kind in plain:
            first -= 1
        return first


def drop_profile(circuit: Circuit, load: str, moves: Iterable[Move | str] = ()) -> DropProfile:
    """Return the profile of the current through a load on the sound machine, after these moves from rest.

    Raises Refused for what is no load or no move, and where no current flows that can be followed on the diagram.
    """
    known = loads(circuit)
    if load not in known:
        raise Refused(Mistake(unknown("load", load, known), circuit.name))
    machine = Machine(circuit)
    for move in moves:
        machine.move(move)
    place = f"{load}, {'; '.join(_standing_in_words(machine)) or 'at rest'}"
    if machine.settled.buzzing:
        raise Refused(Mistake(f"there is no one voltage here: {listed(sorted(machine.settled.buzzing))} buzzes", place))
    if machine.wiring.bridges or machine.wiring.loads:
        raise Refused(Mistake("take jumpers and test lamps off first: the path is followed on the diagram", place))
    paths = CurrentPaths(circuit)
    path = paths.through(machine.settled, machine.solver.network.first_of[load])
    if path is None:
        raise Refused(
            Mistake("no current flows through it on a healthy machine: bring the machine to where it is fed", place)
        )
    return _profile(machine, load, paths, path)


def _standing_in_words(machine: Machine) -> Iterator[str]:
    """Say where the controls stand that are not at rest."""
    rest = machine.circuit.rest()
    for name, position in machine.state.items():
        if position != rest[name]:
            yield f"{name}={position}"


def _profile(machine: Machine, load: str, paths: CurrentPaths, path: CurrentPath) -> DropProfile:
    """Return the profile of a path: each place that is passed with the joints at its ends."""
    network, settled = machine.solver.network, machine.settled
    used = paths.place(network.branches[network.first_of[load]])
    terminals, places = [path.start], list[str]()
    for place, forwards in path.steps:
        ends = _ends(machine.circuit, paths, place)
        entry, leaving = ends if forwards else reversed(ends)
        if entry != terminals[-1]:  # from one way of a splice to another
            places.append(split_terminal(entry)[0])
            terminals.append(entry)
        places.append(place)
        terminals.append(leaving)
    against = settled.voltage(path.end)
    volts = tuple(float(settled.voltage(terminal) - against) for terminal in terminals)
    stretches = tuple(
        _stretch(machine.circuit, place, before - after, used=place == used)
        for place, (before, after) in zip(places, pairwise(volts), strict=True)
    )
    return DropProfile(machine, load, tuple(terminals), volts, stretches)


def _ends(circuit: Circuit, paths: CurrentPaths, place: str) -> tuple[str, str]:
    """Return both ends of a place; those of a wire are its own terminals, also where it lands on a splice."""
    if place in circuit.wires:
        return circuit.wires[place].start, circuit.wires[place].end
    return paths.passages[place].a, paths.passages[place].b


def _part(place: str) -> str:
    return split_terminal(place.partition(" ")[0])[0]


def _stretch(circuit: Circuit, place: str, drop: float, *, used: bool) -> Stretch:
    kind = WIRE if place in circuit.wires else circuit.parts[_part(place)].kind
    usual = None
    if circuit.nominal == USUAL_NOMINAL and not used:
        usual = USUAL_CONTACT if kind in _CONTACTS else USUAL_JOINT if kind in _JOINTS else None
    return Stretch(place, kind, drop, usual, used)
