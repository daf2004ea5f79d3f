"""What a record shows of wrong models and of habits worth a talk: told only where the record itself shows it.

The wrong models are those of the concept test of Engelhardt and Beichner (American Journal of Physics 72, 2004; from
memory): current is used up, one wire is enough, local and sequential reasoning. Nothing here costs a mark.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from faultwright.circuit import FRAME, split_terminal
from faultwright.meter import FLOATING, VOLTS, Reading
from faultwright.moves import REPLACE, Move
from faultwright.parts import sources
from faultwright.proof import is_on
from faultwright.record import Measured, Observed
from faultwright_autograde.answer import Answer, names_jumper
from faultwright_autograde.case import Case
from faultwright_autograde.trace import DEAD_MODES, Moment, Trace

from .texts import text

MANY_AGAIN, LONG_WALK, FEW_EXPECTED = 3, 4, 3
"""Repeated measurements, readings in a row along a path, and expected values, from which on they are told of."""


@dataclass(frozen=True)
class Work:
    """One candidate's work as it was marked."""

    case: Case
    answer: Answer
    done: Trace

    def readings(self) -> Iterator[tuple[Moment, Measured]]:
        """Yield the readings that were made before the fault was gone."""
        for moment in self.done.moments[: self.done.cure]:
            if isinstance(moment.action, Measured):
                yield moment, moment.action


def _live_ohms(work: Work) -> str:
    for moment, reading in work.readings():
        if reading.probe.mode in DEAD_MODES and not reading.probe.alone and moment.delivers:
            return text("model.live_ohms", number=moment.index + 1)
    return ""


def _no_load(work: Work) -> str:
    """Full voltage at a resistive fault, where nothing flows, and then something else claimed."""
    fault, nominal = work.case.fault, work.case.circuit.nominal
    if fault.value is None or any(name == fault.name for name in work.answer.claim) or not work.answer.claim:
        return ""
    for moment, reading in work.readings():
        value = reading.reading.value
        at = split_terminal(reading.probe.red)[0]
        behind = fault.place.partition(":")[0]
        if reading.probe.mode == VOLTS and at == behind and value is not None and value > 0.95 * nominal:
            return text("model.no_load", number=moment.index + 1)
    return ""


def _fuse_first(work: Work) -> str:
    fuses = {part.name for part in work.case.circuit.parts.values() if part.kind == "fuse"}
    for moment in work.done.moments[: work.done.cure]:
        move = moment.action
        if isinstance(move, Move) and move.verb == "repair" and move.target in fuses and move.value == REPLACE:
            return text("model.fuse_first", number=moment.index + 1)
    return ""


def _jumper(work: Work) -> str:
    remedy = work.answer.remedy
    return text("model.jumper") if remedy and names_jumper(remedy, work.case.circuit) else ""


def _suspicion(work: Work) -> str:
    own = {work.case.fault.place}
    places = [
        moment.action.target
        for moment in work.done.moments
        if isinstance(moment.action, Move) and moment.action.verb == "repair" and moment.action.target not in own
    ]
    found = list(dict.fromkeys(places))
    return text("model.suspicion", places=", ".join(found[:4])) if len(found) >= MANY_AGAIN else ""


def _again(work: Work) -> str:
    count = sum(moment.again for moment, _ in work.readings())
    return text("model.again", count=count) if count >= MANY_AGAIN else ""


def _used_up(work: Work) -> str:
    """Amps expected to fall from one place of a path to the next, each time, where they are the same."""
    expected = [
        (moment.index + 1, reading.expected)
        for moment, reading in work.readings()
        if reading.probe.mode == "amps" and reading.expected is not None and not reading.probe.black
    ]
    values = [value for _, value in expected]
    falling = all(two < 0.9 * one for one, two in pairwise(values))
    if len(values) < FEW_EXPECTED or not falling:
        return ""
    return text("model.used_up", numbers=", ".join(str(number) for number, _ in expected))


_BEHIND = {
    "lamp": ("2",), "motor": ("2",), "solenoid": ("2",), "resistor": ("2",), "relay": ("85", "86"),
    "contactor": ("A1", "A2"), "input": ("in", "-"), "ground": ("1",), "diode": ("K",),
}  # fmt: skip
"""Kind → pins at which one looks at the way back, or may do so."""


def _feed_only(work: Work) -> str:
    """Volts only, black on the return of the source all the time, and never at the way back of anything."""
    back = {FRAME, *(f"{name}:-" for name in sources(work.case.circuit))}
    taken = [reading.probe for _, reading in work.readings()]
    if len(taken) < FEW_EXPECTED or any(probe.mode != VOLTS or probe.black not in back for probe in taken):
        return ""
    parts = work.case.circuit.parts.values()
    behind = {f"{part.name}:{pin}" for part in parts for pin in _BEHIND.get(part.kind, ())}
    return "" if behind & {probe.red for probe in taken} else text("model.feed_only")


def _one_end(work: Work) -> str:
    """Readings that go from a terminal to the one at the other end of a wire or a part, one after the other."""
    circuit = work.case.circuit
    wired = {frozenset((wire.start, wire.end)) for wire in circuit.wires.values()}
    longest = row = 0
    before = ""
    for _, reading in work.readings():
        red = reading.probe.red
        part = split_terminal(red)[0]
        near = frozenset((before, red)) in wired or (before != red and split_terminal(before)[0] == part)
        row = row + 1 if before and near else 1
        longest, before = max(longest, row), red
    return text("model.one_end", count=longest) if longest >= LONG_WALK else ""


def _no_reading(work: Work) -> str:
    return text("model.no_reading") if work.answer.claim and not list(work.readings()) else ""


def _no_refusal(work: Work) -> str:
    looks = [moment for moment in work.done.moments if moment.cured and isinstance(moment.action, Observed)]
    shown = [value for moment in looks if isinstance(moment.action, Observed) for value in moment.action.seen.values()]
    return text("model.no_refusal") if shown and all(map(is_on, shown)) else ""


def _floating(work: Work) -> str:
    for moment, reading in work.readings():
        would = moment.would
        floats = isinstance(would, Reading) and would.status == FLOATING
        if floats and moment.index in work.answer.cited and reading.reading.value == 0:
            return text("model.floating", number=moment.index + 1)
    return ""


RECOGNISED: Mapping[str, Callable[[Work], str]] = {
    "live_ohms": _live_ohms,
    "no_load": _no_load,
    "fuse_first": _fuse_first,
    "jumper": _jumper,
    "suspicion": _suspicion,
    "again": _again,
    "used_up": _used_up,
    "feed_only": _feed_only,
    "one_end": _one_end,
    "no_reading": _no_reading,
    "no_refusal": _no_refusal,
    "floating": _floating,
}
"""What is looked for, by name; each returns its words, or nothing."""


def recognised(work: Work) -> dict[str, str]:
    """Return what a candidate's record shows, by name, with its words."""
    return {name: told for name, look in RECOGNISED.items() if (told := look(work))}
