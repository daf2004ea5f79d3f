"""Readings by which an instructor knows the fault on a real bench: what each shows healthy and with the fault.

They are chosen as a student would do well to choose them: each clears as many suspects for its cost as any, judged by
the tolerance of a real bench and not by the meter's own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from faultwright.candidates import BACK_PROBE, UNPLUG, isolation, resistance_probes, voltage_probes
from faultwright.circuit import FRAME, Circuit
from faultwright.faults import Fault, part_of
from faultwright.machine import Machine
from faultwright.meter import FLOATING, VOLTS, Probe, Reading, read, words_of
from faultwright.moves import Move, control_moves
from faultwright.quantities import show_quantity
from faultwright.record import bench_tolerance

from .texts import text

MOST_READINGS = 6
"""Readings on a card; more nobody takes to see whether a fault is in."""
MOST_POINTS = 4
"""Of those, points against FRAME."""
MOST_SUSPECTS = 40
"""Suspects against which readings are chosen; a complaint that leaves more is told apart by looking first."""


@dataclass(frozen=True, slots=True)
class BenchReading:
    """A measurement after some moves from rest: what it shows on the sound machine and with the fault.

    ``clears`` are the suspects that it tells from the fault on a real bench, beyond those that earlier ones told, a
    sound machine among them.
    """

    moves: tuple[Move, ...]
    probe: Probe
    healthy: Reading
    faulty: Reading
    clears: tuple[str, ...]

    @property
    def isolated(self) -> bool:
        """Whether the sources are isolated for it."""
        return self.probe.mode != VOLTS

    def as_json(self) -> dict[str, Any]:
        """The reading as the command line's JSON gives it."""
        return {
            "moves": [str(move) for move in self.moves],
            "meter": self.probe.mode,
            "red": self.probe.red,
            "black": self.probe.black,
            "healthy": self.healthy.as_json(),
            "with_fault": self.faulty.as_json(),
            "tolerance": tolerance(self.faulty),
            "clears": list(self.clears),
        }


def tolerance(reading: Reading) -> float | None:
    """Return how far off a real bench may be, in the unit: ±(10 % + 0.3 V or 1 Ω); None without a value."""
    return None if reading.value is None else bench_tolerance(reading.value, reading.unit)


def shown(mode: str, reading: Reading) -> str:
    """Return a reading in words, as a real bench shows it with its tolerance: ``12.4 V ± 1.5 V``."""
    allowed = tolerance(reading)
    if allowed is None or reading.value is None:
        return text("reading.floating") if reading.status == FLOATING else words_of(mode, reading.status, 0.0)
    value, allowed = round(reading.value, 1), round(allowed, 1)
    if reading.unit == "V":
        return text("reading.value", value=f"{value + 0.0:.1f} V", allowed=f"{allowed:.1f} V")
    return text(
        "reading.value", value=show_quantity(value, reading.unit), allowed=show_quantity(allowed, reading.unit, 2)
    )


def told_apart(one: Reading, other: Reading) -> bool:
    """Say whether a real bench tells two readings apart: by what kind they are, or by more than both tolerances."""
    first, second = _level(one), _level(other)
    if first is None or second is None:
        return one.status != other.status
    return abs(first - second) > bench_tolerance(first, one.unit) + bench_tolerance(second, one.unit)


def _level(reading: Reading) -> float | None:
    """Return a reading's value; a floating point shows next to nothing on a real meter."""
    return 0.0 if reading.status == FLOATING else reading.value


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A measurement that could be taken: what it shows with the fault, on the sound machine and with each suspect."""

    moves: tuple[Move, ...]
    probe: Probe
    cost: float
    faulty: Reading
    healthy: Reading
    others: tuple[Reading, ...]

    def clears(self, left: Sequence[int]) -> list[int]:
        """Return which of the hypotheses that are left it tells from the fault; 0 is the sound machine."""
        return [one for one in left if told_apart(self.faulty, (self.healthy, *self.others)[one])]


@dataclass(frozen=True, slots=True)
class BenchReadings:
    """The readings for a fault in the order in which to take them, and the suspects that none of them tells from it.

    ``sound_too``: none of them tells the fault from a sound machine either.
    """

    readings: tuple[BenchReading, ...]
    alike: tuple[str, ...]
    sound_too: bool


def bench_readings(
    circuit: Circuit, fault: Fault, suspects: Sequence[Fault], state: Mapping[str, str]
) -> BenchReadings:
    """Return the readings for a fault in a control state: points against FRAME first, then what else tells more.

    ``suspects`` are the others that the complaint leaves, of whom :data:`MOST_SUSPECTS` are looked at.
    """
    others = suspects[:MOST_SUSPECTS]
    every = list(_candidates(circuit, fault, others, state))
    points = [one for one in every if one.probe.mode == VOLTS and one.probe.black == FRAME]
    left = list(range(len(others) + 1))
    found: list[BenchReading] = []
    for candidates, most in ((points, MOST_POINTS), (every, MOST_READINGS)):
        while candidates and len(found) < most:
            best = max(candidates, key=lambda one: len(one.clears(left)) / one.cost)
            cleared = best.clears(left)
            if not cleared:
                break
            names = tuple(others[one - 1].name if one else text("reading.sound") for one in cleared)
            found.append(BenchReading(best.moves, best.probe, best.healthy, best.faulty, names))
            left = [one for one in left if one not in cleared]
    return BenchReadings(tuple(found), tuple(others[one - 1].name for one in left if one), sound_too=0 in left)


def _candidates(
    circuit: Circuit, fault: Fault, others: Sequence[Fault], state: Mapping[str, str]
) -> Iterator[_Candidate]:
    """Yield volts, and ohms with the sources isolated, at the points in reach in a control state."""
    moves = _moves(circuit, fault, state)
    kinds = (((), voltage_probes(circuit), BACK_PROBE), (isolation(circuit), resistance_probes(circuit), UNPLUG))
    for isolating, probes, cost in kinds:
        way = (*moves, *isolating)
        machines = [_brought(circuit, faults, way) for faults in ((fault,), (), *((other,) for other in others))]
        for probe in probes:
            faulty, healthy, *rest = (read(machine, probe) for machine in machines)
            yield _Candidate(way, probe, cost, faulty, healthy, tuple(rest))


def _moves(circuit: Circuit, fault: Fault, state: Mapping[str, str]) -> tuple[Move, ...]:
    """Return the moves to a state, that of the fault's own control last: there a switch that sticks still stands."""
    part = circuit.parts.get(part_of(fault.place))
    own = part.control if part else None
    moves = sorted(control_moves(circuit, circuit.rest(), dict(state)), key=lambda move: move.target == own)
    return (*moves, Move("disturb", fault.place)) if fault.disturbed else tuple(moves)


def _brought(circuit: Circuit, faults: Sequence[Fault], moves: Sequence[Move]) -> Machine:
    machine = Machine(circuit, faults)
    for move in moves:
        machine.make(move)
    return machine
