"""What is seen of the machine: lamps, motors, solenoids, inputs, relays, magnetos, and what latches on."""

from __future__ import annotations

from collections.abc import Mapping

from .circuit import LATCHED, Behaviour, Part
from .electrics import Settled, element_resistance, turns
from .parts import Role
from .solve import Meter, Solver

Seen = bool | str | None
"""True, false, or off / dim / lit for a lamp; None where it changes without end (a relay buzzes)."""

LAMP_DIM_FROM, LAMP_LIT_FROM = 0.15, 0.75
"""Shares of its voltage from which a lamp is dim, and lit."""


def lamp_word(share: float) -> str:
    """Return off, dim or lit for a lamp at ``share`` of its voltage."""
    return "lit" if share >= LAMP_LIT_FROM else "dim" if share >= LAMP_DIM_FROM else "off"


def word_of(seen: Seen) -> str:
    """Return something seen as a word."""
    return seen if isinstance(seen, str) else {True: "yes", False: "no", None: "unclear"}[seen]


def in_words(seen: Mapping[str, Seen]) -> str:
    """Return what is seen in one line of words."""
    return ", ".join(f"{name}: {word_of(value)}" for name, value in seen.items())


def plain(solver: Solver, settled: Settled, behaviours: Mapping[str, Behaviour]) -> dict[str, Seen]:
    """Return what is seen of every behaviour that follows a part."""
    found: dict[str, Seen] = {}
    for behaviour in behaviours.values():
        if behaviour.kind == LATCHED:
            continue
        part = solver.network.circuit.parts[behaviour.part]
        moments = {_part_seen(solver, moment, part) for moment in settled.pattern or [settled]}
        found[behaviour.name] = moments.pop() if len(moments) == 1 else None
    return found


def latched(
    behaviours: Mapping[str, Behaviour],
    seen: Mapping[str, Seen],
    before: Mapping[str, bool],
    controls: Mapping[str, str],
) -> dict[str, bool]:
    """Return the latched behaviours, in the order of the file, after a move.

    Each keeps while all of ``keeps_while`` hold, otherwise begins when all of ``starts_when`` and
    ``keeps_while`` hold.
    """
    now: dict[str, Seen] = dict(seen)
    found: dict[str, bool] = {}
    for behaviour in behaviours.values():
        if behaviour.kind != LATCHED:
            continue
        may = all(_holds(entry, now, controls) for entry in behaviour.keeps_while)
        begins = all(_holds(entry, now, controls) for entry in behaviour.starts_when)
        now[behaviour.name] = found[behaviour.name] = may and (before.get(behaviour.name, False) or begins)
    return found


def _holds(entry: str, seen: Mapping[str, Seen], controls: Mapping[str, str]) -> bool:
    control, equals, position = entry.partition("=")
    if equals:
        return controls[control] == position
    return seen[entry] is True or seen[entry] == "lit"


def _part_seen(solver: Solver, settled: Settled, part: Part) -> Seen:
    match part.kind:
        case "relay" | "contactor":
            return settled.relays[part.name]
        case "input":
            return _input(settled, part)
        case "magneto":
            return _magneto(solver, settled, part)
    return _load(solver, settled, part)


def _load(solver: Solver, settled: Settled, part: Part) -> Seen:
    branches = solver.network.branches
    index = solver.network.first_of[part.name]
    current = float(abs(settled.current(index)))
    match branches[index].role:
        case Role.LAMP:
            return lamp_word(current * element_resistance(settled, index) / part.number("voltage"))
        case Role.MOTOR:
            return turns(settled, index, branches[index])
        case Role.SOLENOID:
            return current >= part.number("pulls_from")
    return "off" if part.kind == "lamp" else False  # shorted: it takes current and does nothing


def _input(settled: Settled, part: Part) -> bool:
    """A fed input acts when the voltage at its ``in``, against its own ``-``, is on the active side."""
    network = settled.network
    plus, inside, minus = (settled.voltages[network.node_inside(f"{part.name}:{pin}")] for pin in ("+", "in", "-"))
    nodes = [network.node_inside(f"{part.name}:{pin}") for pin in ("+", "-")]
    if plus - minus < network.circuit.nominal / 2 or not network.joined(settled.conductances, *nodes):
        return False  # unfed; without a way between + and - what floats has no voltage to be fed by
    below = inside - minus < part.number("threshold")
    return bool(below if part.values["active"] == "low" else not below)


def _magneto(solver: Solver, settled: Settled, part: Part) -> bool:
    """A magneto sparks unless the circuit outside it, taken alone, grounds its primary."""
    outside = outside_conductance(solver, settled, part)
    return not outside * part.number("grounded_below") > 1


def outside_conductance(solver: Solver, settled: Settled, part: Part) -> float:
    """Return the conductance in S between a magneto's terminals without its own primary.

    Judged like an ohmmeter: its own small voltage turns no diode on.
    """
    network = solver.network
    probes = Meter(network.node_inside(f"{part.name}:stop"), network.node_inside(f"{part.name}:-"), 0.0)
    if probes.red == probes.black:
        return float("inf")
    conductances = list(settled.conductances[: len(network.branches)])
    for index, branch in enumerate(network.branches):
        if branch.role is Role.DIODE or (branch.part == part.name and branch.role is Role.PRIMARY):
            conductances[index] = 0.0
    *_, between = solver.program(probes)([*conductances, 0.0], [0.0] * (len(conductances) + 1))
    return float(between)
