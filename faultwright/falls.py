"""Readings along a path of the current, held against the voltage-drop profile of the sound machine.

They are those of a record, which tell what was measured and no more, or those that the meter shows on a machine, joint
by joint. The stretch with the largest unexpected drop is where to look.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from .drop_profile import DropProfile
from .machine import Machine
from .meter import OK, VOLTS, Probe, Reading, read, show
from .record import Measured, Record, agreeing_values, discrepancy, gone_through


@dataclass(frozen=True, slots=True)
class Fall:
    """A reading from one joint of the path to a later one, by their numbers, and what the sound machine shows there.

    ``finding`` is turned so that red lies before black.
    """

    first: int
    last: int
    finding: Measured
    healthy: Reading

    @property
    def reading(self) -> Reading:
        """What the meter showed."""
        return self.finding.reading

    @property
    def differs(self) -> bool:
        """Whether this is not what the sound machine shows."""
        return discrepancy(self.finding, self.healthy) != 0


def falls_on(profile: DropProfile, machine: Machine) -> list[Fall]:
    """Return what the meter shows on a machine as it stands: each joint against the last, and across each stretch."""
    last = len(profile.terminals) - 1
    pairs = dict.fromkeys([*((number, last) for number in range(last)), *pairwise(range(last + 1))])
    found = []
    for first, second in pairs:
        probe = Probe(VOLTS, profile.terminals[first], profile.terminals[second])
        found.append(Fall(first, second, Measured(probe, read(machine, probe)), read(profile.machine, probe)))
    return found


def falls_in(profile: DropProfile, record: Record) -> list[Fall]:
    """Return the volts of a record that were taken between joints of the path, the last of each measurement.

    Taken while the machine stood as in the profile, as far as a sound one tells, and before the first repair.
    """
    numbers = {terminal: number for number, terminal in enumerate(profile.terminals)}
    sound = Machine(profile.machine.circuit)
    found: dict[tuple[int, int], Fall] = {}
    for _, action in gone_through(sound, record.search()):
        if isinstance(action, Measured) and _stands_alike(sound, profile.machine):
            probe = action.probe
            if probe.mode == VOLTS and not probe.alone and {probe.red, probe.black} <= numbers.keys():
                fall = _fall(profile, numbers, action)
                found[fall.first, fall.last] = fall
    return list(found.values())


def _stands_alike(one: Machine, other: Machine) -> bool:
    return (one.state, one.wiring, one.disturbed, one.relays) == (
        other.state, other.wiring, other.disturbed, other.relays,
    )  # fmt: skip


def _fall(profile: DropProfile, numbers: Mapping[str, int], finding: Measured) -> Fall:
    """Return a reading as one from an earlier joint to a later: turned, where the leads lie the other way round."""
    probe, reading = finding.probe, finding.reading
    first, last = numbers[probe.red], numbers[probe.black]
    if first > last:
        first, last = last, first
        probe = replace(probe, red=probe.black, black=probe.red)
        if reading.value is not None:
            reading = replace(reading, value=-reading.value, display=show(VOLTS, -reading.value, probe.range).display)
        off = finding.off and (-finding.off[1], -finding.off[0])
        finding = replace(finding, probe=probe, reading=reading, off=off)
    return Fall(first, last, finding, read(profile.machine, probe))


@dataclass(frozen=True, slots=True)
class Unexpected:
    """A stretch from one joint to a later over which more voltage falls than on the sound machine, both in V."""

    first: int
    last: int
    drop: float
    expected: float


@dataclass(frozen=True, slots=True)
class _Span:
    """What falls between two joints, what would on the sound machine, and how far off that may be, in V."""

    first: int
    last: int
    drop: float
    expected: float
    margin: float

    @property
    def excess(self) -> float:
        return self.drop - self.expected


def largest_unexpected(falls: Sequence[Fall]) -> Unexpected | None:
    """Return the shortest stretch that holds the largest unexpected drop; None where every reading is as it should be.

    A stretch was measured across, or lies between two readings with the same black lead. What falls short elsewhere,
    over the load above all, falls here: so only drops that are too large count.
    """
    spans = [span for span in _spans(falls) if span.excess > span.margin]
    if not spans:
        return None
    worst = max(spans, key=lambda span: span.excess)
    as_large = [span for span in spans if span.excess >= worst.excess - worst.margin - span.margin]
    found = min(as_large, key=lambda span: (span.last - span.first, span.margin))
    return Unexpected(found.first, found.last, found.drop, found.expected)


def _spans(falls: Iterable[Fall]) -> Iterator[_Span]:
    """Yield every reading that shows a number, and the difference of each two neighbours with the same black lead."""
    by_black: dict[int, list[_Span]] = {}
    for fall in falls:
        if fall.reading.status == OK and fall.healthy.value is not None and fall.reading.value is not None:
            least, most = agreeing_values(fall.finding)
            span = _Span(fall.first, fall.last, fall.reading.value, fall.healthy.value, (most - least) / 2)
            by_black.setdefault(fall.last, []).append(span)
            yield span
    for spans in by_black.values():
        for one, other in pairwise(sorted(spans, key=lambda span: span.first)):
            drop, expected = one.drop - other.drop, one.expected - other.expected
            yield _Span(one.first, other.first, drop, expected, one.margin + other.margin)
