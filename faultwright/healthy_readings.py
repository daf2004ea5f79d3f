"""Readings of a real bench, judged against the instructor's readings of the same bench while it was healthy.

A bench differs from its circuit file: the battery stands higher, a coil is not the one listed, the leads add to ohms.
What it showed where the sound machine was calculated tells by how much. What a fault would show there is not known to
differ by the same amount: a point that has gone dead does not stand higher for a fuller battery. So a deviation counts
between not at all and in full. It can keep a suspect too many, and that is the safe side.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from statistics import fmean, median

from .behaviour import in_words, word_of
from .circuit import Circuit
from .errors import Mistake, Refused
from .machine import Machine
from .meter import AMPS, CONTINUITY, DIODE, OHMS, VOLTS, Probe, Reading, allowed, read, words_of
from .record import BENCH, Measured, Observed, Record, discrepancy, gone_through

REPEATS_SHARE = 0.02
REPEATS_FLOOR = {"V": 0.05, "Ω": 0.2, "A": 0.02}
"""How well a reading on a real bench repeats: ±(2 % + this much), besides the meter's accuracy.

Temperature, the battery's charge, the tips' contact: common practice, without a source.
"""

_SUPPLY_FROM = 0.5
"""Share of nominal from which volts count as the supply's."""
_JOINT_BELOW = 1.0
"""Ω below which ohms count as those of a joint, and what they exceed it by as the leads'."""

_Standing = tuple[object, ...]


@dataclass(frozen=True)
class _Taken:
    """A reading of a record: how the machine stood, what was read, and what the sound machine shows there."""

    number: int
    standing: _Standing
    finding: Measured
    sound: Reading


@dataclass(frozen=True)
class _Known:
    """A healthy reading that shows a number where one is calculated of the sound machine; both in the unit."""

    standing: _Standing
    probe: Probe
    measured: float
    calculated: float


@dataclass(frozen=True)
class _Bench:
    """What a whole bench differs by from its file, for some modes: its supply as a ratio, its leads in Ω."""

    supply: float = 1.0
    leads: float = 0.0

    def as_in_file(self, value: float) -> float:
        """Return a value as it would be with the file's supply and with leads that were zeroed."""
        return value / self.supply - self.leads


def against_healthy(circuit: Circuit, record: Record, healthy: Record) -> Record:
    """Return a record whose readings from a real bench are judged against ``healthy``, a record of that bench sound.

    A reading is judged so where ``healthy`` has one of the same probe, with the machine standing the same (controls,
    wiring, and what is held in); the others as before. Its predictions may then differ from it

    - by what the whole bench differs by: its supply over the file's, by which volts and amps are divided (the median
      over the healthy volts of half of nominal and more), and its leads, which are taken off ohms (the median over the
      healthy ohms where a sound machine has less than 1 Ω);
    - by what the healthy reading then still differs by, in full, not at all, or anything between;
    - by the meter's accuracy, and by ±(2 % + 0.05 V, 0.2 Ω or 0.02 A) for what does not repeat.

    Raises Refused, with every mistake by its action, where ``healthy`` has no such readings or is not healthy.
    """
    known = list(_checked(circuit, healthy))
    supplied, measured = _Bench(supply=_supply(circuit, known)), _Bench(leads=_leads(known))
    bench = {VOLTS: supplied, AMPS: supplied, OHMS: measured, CONTINUITY: measured, DIODE: _Bench()}
    shown: dict[tuple[_Standing, Probe], list[_Known]] = {}
    for one in known:
        shown.setdefault((one.standing, one.probe), []).append(one)
    actions = list(record.actions)
    for taken in _taken(circuit, record):
        there = shown.get((taken.standing, taken.finding.probe))
        if there and taken.finding.reading.value is not None:
            actions[taken.number] = _judged(taken.finding, there, bench[taken.finding.probe.mode])
    return Record(record.circuit, tuple(actions))


def _judged(finding: Measured, there: list[_Known], bench: _Bench) -> Measured:
    """Return a finding with what its predictions may differ by, given the healthy readings of the same place."""
    value = finding.reading.value or 0.0
    deviation = bench.as_in_file(fmean(one.measured for one in there)) - there[0].calculated
    repeats = allowed(finding.reading) + REPEATS_SHARE * abs(value) + REPEATS_FLOOR[finding.reading.unit]
    least = bench.as_in_file(value - repeats) - max(deviation, 0.0)
    most = bench.as_in_file(value + repeats) - min(deviation, 0.0)
    return replace(finding, off=(least - value, most - value))


def _supply(circuit: Circuit, known: list[_Known]) -> float:
    """Return the bench's supply over the file's, 1 where no healthy reading tells."""
    volts = [one for one in known if one.probe.mode == VOLTS]
    ratios = [one.measured / one.calculated for one in volts if abs(one.calculated) >= _SUPPLY_FROM * circuit.nominal]
    return median(ratios) if ratios else 1.0


def _leads(known: list[_Known]) -> float:
    """Return the Ω of the bench's leads, 0 where no healthy reading tells."""
    ohms = [one for one in known if one.probe.mode in (OHMS, CONTINUITY)]
    over = [one.measured - one.calculated for one in ohms if one.calculated < _JOINT_BELOW]
    return max(median(over), 0.0) if over else 0.0


def _checked(circuit: Circuit, healthy: Record) -> Iterator[_Known]:
    """Yield the healthy readings that show a number where the sound machine does. Raises Refused where it is not so."""
    known = list(_taken(circuit, healthy))
    if not known:
        raise Refused('the healthy record holds no reading of a real meter ("source": "bench")')
    mistakes = [*_not_sound(circuit, healthy)]
    for one in known:
        if discrepancy(one.finding, one.sound) is None:
            shown, sound = (_words(one.finding.probe, reading) for reading in (one.finding.reading, one.sound))
            mistakes.append(_mistake(one.number, f"the meter shows {shown} where a sound machine shows {sound}"))
    if mistakes:
        raise Refused(mistakes)
    for one in known:
        measured, calculated = one.finding.reading.value, one.sound.value
        if measured is not None and calculated is not None:
            yield _Known(one.standing, one.finding.probe, measured, calculated)


def _words(probe: Probe, reading: Reading) -> str:
    return words_of(probe.mode, reading.status, reading.value or 0.0, probe.range)


def _mistake(number: int, message: str) -> Mistake:
    """Return what is wrong with an action of a record that should be healthy."""
    why = "the bench or the circuit file is not what it should be"
    return Mistake(f"{message}; {why}", f"healthy record, action {number + 1}")


def _not_sound(circuit: Circuit, healthy: Record) -> Iterator[Mistake]:
    """Yield what was seen of the bench that a sound machine does not do."""
    machine = Machine(circuit)
    for number, action in gone_through(machine, healthy):
        if isinstance(action, Observed):
            seen = machine.seen()
            for name in (name for name, value in action.seen.items() if seen[name] != value):
                yield _mistake(number, f"{in_words({name: action.seen[name]})}; a sound machine: {word_of(seen[name])}")


def _taken(circuit: Circuit, record: Record) -> Iterator[_Taken]:
    """Yield the readings from a real bench, with the sound machine gone through the same moves."""
    machine = Machine(circuit)
    for number, action in gone_through(machine, record):
        if isinstance(action, Measured) and action.source == BENCH:
            yield _Taken(number, _standing(machine), action, read(machine, action.probe))


def _standing(machine: Machine) -> _Standing:
    """Return all that a sound machine's readings depend on."""
    wiring = machine.wiring
    return (
        frozenset(machine.state.items()),
        wiring.unplugged,
        frozenset(frozenset(ends) for ends in wiring.bridges),
        frozenset(frozenset(ends) for ends in wiring.loads),
        frozenset(name for name, energised in machine.relays.items() if energised),
        frozenset(name for name, on in machine.latched.items() if on),
        machine.blown,
    )
