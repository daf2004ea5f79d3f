"""Why a finding can mislead: told from the circuit, the record and what a sound machine shows there.

Nothing here knows what is wrong, so faults that look alike in a record get the same words. The reasons are common
practice of the trade, without a source, where nothing else is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from .cautions import cautions
from .circuit import FRAME, Circuit, split_terminal
from .errors import Refused
from .faults import parse_fault
from .help_texts import text
from .machine import Machine
from .meter import (
    AMPS,
    BEEPS_BELOW,
    BLOWN,
    CONTINUITY,
    FLOATING,
    OHMS,
    OK,
    OVERLOAD,
    SCALES,
    UNSTEADY,
    VOLTS,
    Probe,
    Reading,
    agree,
    allowed,
    read,
    words_of,
)
from .noted_states import noted_states, state_words
from .parts import ENERGISED, RELEASED
from .quantities import show_quantity
from .record import Finding, Measured, Observed, Prediction, Record, discrepancy, is_repair, is_zero
from .scale import AUTO, last_digit
from .suspects import find_suspects

FLOWS = 1e-3
"""A from which current counts as load: less drops nothing that a meter shows across a joint worth mending."""
WRONG_BY = 0.05
"""Share of a sound reading within which an expected value is right: nobody works out a battery's volts closer."""
BESIDE = 10.0
"""Times a reading up to which another path counts: beyond it the reading is a tenth off at most."""

_AGAIN = (
    "supply_on",
    "on_source",
    "half",
    "harness",
    "no_supply",
    "hand_volts",
    "beside_load",
    "leads",
    "leads_alone",
    "one_point",
)
"""The cautions before a reading that also say afterwards why it misled."""


def misleading(circuit: Circuit, record: Record, index: int) -> list[str]:
    """Return, in words, why the finding at action ``index`` (from 0) can mislead; last, what it does to the suspects.

    Raises Refused where that action is no finding.
    """
    finding = dict(record.findings()).get(index)
    if finding is None:
        raise Refused(text("no_finding", number=index + 1))
    taken = _Taken(circuit, record, index, finding)
    reasons = list(dict.fromkeys([*_of_reading(taken), *_of_circumstances(taken)]))
    return [*(reasons or [text("nothing_misleads")]), _of_suspects(taken)]


@dataclass(frozen=True)
class _Taken:
    """A finding as it was taken."""

    circuit: Circuit
    record: Record
    index: int
    finding: Finding

    def before(self, count: int) -> Record:
        """Return the record's first actions."""
        return Record(self.record.circuit, self.record.actions[:count])

    def machine(self, *faults: str) -> Machine:
        """Return a machine with these faults as the moves before the finding leave it."""
        return self.machine_at(self.index, *faults)

    def machine_at(self, index: int, *faults: str) -> Machine:
        """Return a machine with these faults as the moves before an action leave it."""
        machine = Machine(self.circuit, [parse_fault(fault, self.circuit) for fault in faults])
        for move in self.before(index).moves():
            machine.make(move)
        return machine

    @cached_property
    def sound(self) -> Machine:
        """A sound machine as it stood then."""
        return self.machine()

    @cached_property
    def prediction(self) -> Prediction:
        """What a sound machine shows there."""
        return _predicted(self.finding, self.sound)


def _predicted(finding: Finding, machine: Machine) -> Prediction:
    if isinstance(finding, Measured):
        return read(machine, finding.probe)
    seen = machine.seen()
    return {name: seen[name] for name in finding.seen}


# The reading itself


def _of_reading(taken: _Taken) -> Iterator[str]:
    """Yield what the display, the places of the leads and the expected value have to do with it."""
    if not isinstance(taken.finding, Measured):
        return
    measured, sound = taken.finding, taken.prediction
    assert isinstance(sound, Reading)  # noqa: S101 - a measurement predicts a reading
    yield from _of_display(measured, sound)
    for caution in cautions(taken.sound, measured.probe):
        beeped = caution.kind == "beep" and _beeps(measured.reading)
        if caution.kind in _AGAIN or beeped:
            yield caution.text
    yield from _of_other_paths(taken, measured)
    yield from _of_no_load(taken, measured)
    yield from _of_range(measured)
    yield from _of_expectation(measured, sound)


def _of_display(measured: Measured, sound: Reading) -> Iterator[str]:
    mode, reading = measured.probe.mode, measured.reading
    zero = reading.value is not None and is_zero(measured) and sound.status == FLOATING
    if reading.status == FLOATING or zero:
        yield text("floating.amps") if mode == AMPS else text("floating", shown=_shown(measured))
    if reading.status in (UNSTEADY, BLOWN):
        yield text(reading.status)


def _of_other_paths(taken: _Taken, measured: Measured) -> Iterator[str]:
    """Yield what runs beside the place measured, worked out on a sound machine with that place out."""
    probe, reading = measured.probe, measured.reading
    if probe.mode not in (OHMS, CONTINUITY) or probe.alone or reading.value is None or probe.red == probe.black:
        return
    place = _across(taken.circuit, probe)
    if not place:
        yield from _of_two_routes(taken, probe)
        return
    other = _without(taken, place, probe)
    values = {"place": place, "red": probe.red, "black": probe.black}
    if other.value is None:
        return
    if probe.mode == CONTINUITY and _beeps(reading) and _beeps(other):
        yield text("beside.beep", **values)
    elif agree(reading, other):
        yield text("beside.same", **values)
    elif other.value <= BESIDE * reading.value:
        yield text("beside.both", **values, other=other.display)


def _without(taken: _Taken, place: str, probe: Probe) -> Reading:
    """Return what a sound machine shows with a place out: a wire open, a part taken off."""
    if place in taken.circuit.wires:
        return read(taken.machine(f"{place} open"), probe)
    machine = taken.machine()
    machine.rewire(replace(machine.wiring, unplugged=machine.wiring.unplugged | {place}))
    return read(machine, probe)


def _of_two_routes(taken: _Taken, probe: Probe) -> Iterator[str]:
    from .routes import routes_between  # it needs networkx, and few readings lie across routes  # noqa: PLC0415

    machine = taken.sound
    relays = {name: ENERGISED if machine.relays.get(name) else RELEASED for name in taken.circuit.parts}
    off = {split_terminal(place)[0] for place in machine.wiring.unplugged}
    closed = [
        route
        for route in routes_between(taken.circuit, probe.red, probe.black).routes
        if route.holds(relays | machine.state, machine.blown) and not off & {name.split()[0] for name in route.places}
    ]
    if len(closed) > 1:
        routes = "; ".join(" → ".join(route.places) for route in closed)
        yield text("two_routes", count=len(closed), red=probe.red, black=probe.black, routes=routes)


def _of_no_load(taken: _Taken, measured: Measured) -> Iterator[str]:
    """Yield that supply stands where nothing flows."""
    probe, reading = measured.probe, measured.reading
    if probe.mode != VOLTS or probe.alone or abs(reading.value or 0.0) < taken.circuit.nominal / 2:
        return
    point = probe.red if probe.red != FRAME else probe.black
    wires = taken.circuit.wired.get(point, ())
    settled = taken.sound.settled
    currents = [
        abs(float(settled.current(index)))
        for index, branch in enumerate(settled.network.branches)
        if branch.name in wires
    ]
    if max(currents, default=0.0) < FLOWS:
        yield text("unloaded", point=point, shown=_shown(measured))


def _of_range(measured: Measured) -> Iterator[str]:
    probe, reading = measured.probe, measured.reading
    if probe.range == AUTO:
        return
    scale = SCALES[probe.mode]
    name = scale.name(probe.range)
    if reading.status == OVERLOAD and probe.range < scale.last:
        yield text("over_range", range=name)
    if reading.status != OK or reading.value is None:
        return
    digit, fine = last_digit(scale.top(probe.range)), last_digit(scale.top_for(reading.value))
    if digit > fine:
        yield text("coarse", range=name, digit=show_quantity(digit, scale.unit), fine=show_quantity(fine, scale.unit))


def _of_expectation(measured: Measured, sound: Reading) -> Iterator[str]:
    expected, unit = measured.expected, sound.unit
    if expected is None or (sound.status == FLOATING and expected == 0):
        return
    words = {"expected": show_quantity(expected, unit), "sound": words_of(measured.probe.mode, sound.status, 0.0)}
    if sound.value is None:
        yield text("expected.other", **words)
    elif abs(expected - sound.value) > max(allowed(sound), WRONG_BY * abs(sound.value)):
        apart = show_quantity(abs(expected - sound.value), unit)
        yield text("expected.value", **words | {"sound": sound.display, "apart": apart})


# When it was found


def _of_circumstances(taken: _Taken) -> Iterator[str]:
    if taken.sound.disturbed:
        yield text("disturbed", place=taken.sound.disturbed)
    yield from _of_coming_and_going(taken)
    yield from _of_other_states(taken)
    if discrepancy(taken.finding, taken.prediction) == 0:
        yield text("sound_same")


def _of_coming_and_going(taken: _Taken) -> Iterator[str]:
    """Yield the last finding before this one that is of the same in the same state, and differs."""
    for number, other in reversed(list(taken.before(taken.index).findings())):
        if not _of_the_same(taken.finding, other) or _repaired_since(taken, number):
            continue
        then = taken.machine_at(number)
        if _stands(then) != _stands(taken.sound) or _predicted(taken.finding, then) != taken.prediction:
            continue
        if _differ(taken.finding, other):
            yield text("comes_and_goes", number=number + 1)
            return


def _of_the_same(one: Finding, other: Finding) -> bool:
    if isinstance(one, Measured) and isinstance(other, Measured):
        return one.probe == other.probe and one.source == other.source
    return isinstance(one, Observed) and isinstance(other, Observed)


def _differ(one: Finding, other: Finding) -> bool:
    if isinstance(one, Measured) and isinstance(other, Measured):
        return discrepancy(one, other.reading) != 0
    assert isinstance(one, Observed)  # noqa: S101 - of the same kind
    assert isinstance(other, Observed)  # noqa: S101 - of the same kind
    return any(one.seen[name] != other.seen[name] for name in one.seen if name in other.seen)


def _repaired_since(taken: _Taken, number: int) -> bool:
    between = taken.record.actions[number : taken.index]
    return any(map(is_repair, between))


def _stands(machine: Machine) -> tuple[object, ...]:
    return tuple(machine.state.items()), machine.wiring, machine.disturbed


def _of_other_states(taken: _Taken) -> Iterator[str]:
    """Yield that in this state all that was noted is right, and in another is not; to look there was no mistake."""
    if not isinstance(taken.finding, Measured):
        return
    noted = noted_states(taken.circuit, taken.before(taken.index + 1))
    wrong = [one for one in noted if one.wrong]
    here = [one for one in noted if one.state == taken.sound.state and not one.wrong]
    if wrong and here:
        states = [state_words(taken.circuit, one.state) for one in (here[0], wrong[-1])]
        yield text("well_here", state=states[0], wrong=states[1])


# What it does to the suspects


def _of_suspects(taken: _Taken) -> str:
    before = find_suspects(taken.circuit, taken.before(taken.index))
    after = find_suspects(taken.circuit, taken.before(taken.index + 1))
    counts = [len(found.faults) + found.healthy for found in (before, after)]
    if not counts[0]:
        return text("suspects.none_before")
    if not counts[1]:
        return text("suspects.conflict")
    key = "suspects.same" if counts[0] == counts[1] else "suspects.fewer"
    return text(key, before=counts[0], after=counts[1], cleared=counts[0] - counts[1])


# Small things


def _across(circuit: Circuit, probe: Probe) -> str:
    """Return the wire or the part that both leads lie across, or nothing."""
    ends = {probe.red, probe.black}
    wire = next((wire.name for wire in circuit.wires.values() if {wire.start, wire.end} == ends), "")
    names = {split_terminal(end)[0] for end in ends}
    return wire or (names.pop() if len(names) == 1 else "")


def _beeps(reading: Reading) -> bool:
    return reading.value is not None and reading.value < BEEPS_BELOW


def _shown(measured: Measured) -> str:
    reading = measured.reading
    return reading.display or words_of(measured.probe.mode, reading.status, reading.value or 0.0)
