"""Safety: what in a record could have hurt somebody or the meter, by level.

Critical: a guard defeated where the machine can move; no isolation above extra-low voltage. Serious: ohms,
continuity or diode test on an energised circuit, amps across a source. A remark: hot work at extra-low voltage.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from faultwright.cautions import EXTRA_LOW
from faultwright.circuit import FRAME, Circuit
from faultwright.meter import AMPS, BLOWN, LIVE, Reading
from faultwright.moves import Move
from faultwright.network import Wiring
from faultwright.parts import branches, sources, terminals
from faultwright.record import Measured

from .texts import text
from .trace import DEAD_MODES, MOVING, Moment, Trace

CRITICAL, SERIOUS, MINOR = "critical", "serious", "minor"

_WORK = ("unplug", "substitute", "restore", "bridge", "load", "repair")


@dataclass(frozen=True, slots=True)
class Incident:
    """Something unsafe, in words, with its level."""

    level: str
    what: str


def incidents(circuit: Circuit, switches: Sequence[str], trace: Trace) -> list[Incident]:
    """Return what was unsafe in a record; ``switches`` are those across which a jumper defeats a guard."""
    found: list[Incident] = []
    told: set[tuple[str, str]] = set()
    for moment in trace.moments:
        found += _of_measurement(moment)
        found += _of_jumpers(circuit, switches, moment, told)
        if isinstance(moment.action, Move):
            found += _of_work(circuit, moment, moment.action)
        found += _of_running(moment, told)
    for ends in _put_on(trace.wiring):
        defeated = defeats(circuit, switches, ends, _put_on(trace.wiring))
        if defeated:
            found.append(Incident(CRITICAL, text("safety.left", ends=_ends(ends), switches=", ".join(defeated))))
    return found


def _put_on(wiring: Wiring) -> tuple[tuple[str, str], ...]:
    """Return the ends of every jumper and test lamp: current passes either."""
    return (*wiring.bridges, *wiring.loads)


def _of_running(moment: Moment, told: set[tuple[str, str]]) -> Iterator[Incident]:
    """Tell once of what runs only by what was put on, where the sound machine refuses."""
    ends = _put_on(moment.wiring)
    if moment.forced and ends and ends[-1] not in told:
        told.update(ends)
        words = {"number": moment.index + 1, "ends": ", ".join(map(_ends, ends)), "what": ", ".join(moment.forced)}
        yield Incident(CRITICAL, text("safety.forced", **words))


def _of_measurement(moment: Moment) -> Iterator[Incident]:
    action = moment.action
    if not isinstance(action, Measured):
        return
    would = moment.would
    statuses = {action.reading.status, would.status if isinstance(would, Reading) else ""}
    number = moment.index + 1
    if action.probe.mode in DEAD_MODES and not action.probe.alone and (moment.delivers or LIVE in statuses):
        yield Incident(SERIOUS, text("safety.live", number=number, meter=action.probe.mode))
    if action.probe.mode == AMPS and BLOWN in statuses:
        yield Incident(SERIOUS, text("safety.blown", number=number))


def _of_jumpers(
    circuit: Circuit, switches: Sequence[str], moment: Moment, told: set[tuple[str, str]]
) -> Iterator[Incident]:
    """Tell of a jumper once, where it was put on or where the machine with it came alive."""
    if not _put_on(moment.wiring) or not _can_move(circuit, moment.wiring):
        return
    for ends in _put_on(moment.wiring):
        # Asked once of all that is on together, and not of what was told already: a record may hold 2,000 moments.
        defeated = [] if ends in told else _defeated(circuit, tuple(switches), ends, _put_on(moment.wiring))
        if defeated:
            told.add(ends)
            words = {"number": moment.index + 1, "ends": _ends(ends), "switches": ", ".join(defeated)}
            yield Incident(CRITICAL, text("safety.bridge", **words))


def _of_work(circuit: Circuit, moment: Moment, move: Move) -> Iterator[Incident]:
    if move.verb not in _WORK or not _supplied(circuit, moment.wiring) or move.target in sources(circuit):
        return
    if circuit.nominal > EXTRA_LOW:
        yield Incident(CRITICAL, text("safety.isolation", number=moment.index + 1, move=str(move)))
    elif move.verb == "repair":
        yield Incident(MINOR, text("safety.hot_work", number=moment.index + 1, move=str(move)))


def _ends(ends: tuple[str, str]) -> str:
    return " – ".join(ends)


def _supplied(circuit: Circuit, wiring: Wiring) -> bool:
    """Say whether any source is connected; taking either terminal off isolates it."""
    return any(not {name, f"{name}:+", f"{name}:-"} & wiring.unplugged for name in sources(circuit))


def _can_move(circuit: Circuit, wiring: Wiring) -> bool:
    moving = [part.name for part in circuit.parts.values() if part.kind in MOVING]
    return _supplied(circuit, wiring) and any(name not in wiring.unplugged for name in moving)


@lru_cache(maxsize=4096)
def _defeated(
    circuit: Circuit, switches: tuple[str, ...], ends: tuple[str, str], others: tuple[tuple[str, str], ...]
) -> list[str]:
    return defeats(circuit, switches, ends, others)


def defeats(
    circuit: Circuit, switches: Sequence[str], ends: tuple[str, str], others: Sequence[tuple[str, str]] = ()
) -> list[str]:
    """Return the safety switches that a jumper goes round, together with the ``others`` that are on.

    Its ends then lie, wires, plugs and other jumpers apart, on the two sides of one switch, or of several in a row. Of
    jumpers that go the same way round each counts, as if the other were not there.
    """
    joints = _joints(circuit, [pair for pair in others if {*pair} != {*ends}], ends)
    steps: dict[str, list[tuple[str, str]]] = {}
    for name in switches:
        for contact in circuit.parts[name].contacts:
            first, second = (joints[f"{name}:{pin}"] for pin in contact.pins)
            if first != second:
                steps.setdefault(first, []).append((second, name))
                steps.setdefault(second, []).append((first, name))
    start, end = joints[ends[0]], joints[ends[1]]
    ways: dict[str, list[str]] = {start: []}
    waiting = [start]
    while waiting and end not in ways:
        here = waiting.pop(0)
        for there, name in steps.get(here, ()):
            if there not in ways:
                ways[there] = [*ways[here], name]
                waiting.append(there)
    return list(dict.fromkeys(ways.get(end, [])))


def _joints(circuit: Circuit, jumpers: Sequence[tuple[str, str]], ends: tuple[str, str]) -> dict[str, str]:
    """Map every terminal to one name for all that wires, plugs, fuses, splices, grounds and jumpers join to it.

    Jumpers that join the ``ends`` of another one to each other are left out.
    """
    joined = dict(_without_jumpers(circuit))
    for first, second in jumpers:
        if {_top(joined, first), _top(joined, second)} != {_top(joined, end) for end in ends}:
            joined[_top(joined, first)] = _top(joined, second)
    return {terminal: _top(joined, terminal) for terminal in joined}


def _top(joined: Mapping[str, str], terminal: str) -> str:
    """Return what stands for all that a terminal is joined to."""
    while joined[terminal] != terminal:
        terminal = joined[terminal]
    return terminal


@lru_cache(maxsize=64)
def _without_jumpers(circuit: Circuit) -> Mapping[str, str]:
    joined = {terminal: terminal for part in circuit.parts.values() for terminal in terminals(part)} | {FRAME: FRAME}
    for first, second in _joining(circuit):
        joined[_top(joined, first)] = _top(joined, second)
    return {terminal: _top(joined, terminal) for terminal in joined}


def _joining(circuit: Circuit) -> Iterator[tuple[str, str]]:
    for wire in circuit.wires.values():
        yield wire.start, wire.end
    for part in circuit.parts.values():
        if part.kind in ("connector", "fuse", "ground"):
            yield from ((branch.a, branch.b) for branch in branches(part))
        elif part.kind == "splice":
            ways = terminals(part)
            yield from ((ways[0], way) for way in ways[1:])
