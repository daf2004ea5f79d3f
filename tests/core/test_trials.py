"""Trials: what each finding says of every hypothesis at every value tried, and who is let go on the way."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.faults import parse_fault, universe
from faultwright.machine import Machine
from faultwright.meter import FLOATING, LIVE, OHMS, OVERLOAD, VOLTS, Probe, show
from faultwright.moves import Move
from faultwright.record import BENCH, Measured, Observed, Record, discrepancy, replay
from faultwright.trials import ABOVE, AGREES, BELOW, LEAST, LET_GO, MOST, OTHERWISE, Outcome, Trial, trial_of, try_out
from tests.core import depot
from tests.core.records import any_actions, record_of
from tests.core.strategies import circuits, faults

SHED = depot.circuit(depot.SHED)


def by_replay(circuit: Circuit, record: Record, trial: Trial) -> list[list[int]]:
    """Return on which side of each finding a trial lies at each of its values, replayed one by one."""
    rows = []
    for value in trial.values():
        predictions = replay(circuit, trial.at(value), record)[0]
        sides = [discrepancy(finding, one) for (_, finding), one in zip(record.findings(), predictions, strict=True)]
        rows.append([OTHERWISE if side is None else side for side in sides])
    return [list(row) for row in zip(*rows, strict=True)]


def given_up(signs: np.ndarray, low: int) -> bool:
    """Say whether some finding has the same against it at both ends of a stretch: on one side, or of one kind."""
    return any(one == other != AGREES for one, other in signs[:, low : low + 2].tolist())


def bordering(outcome: Outcome, column: int) -> list[int]:
    """Return the lower columns of the stretches, of the same trial, that a column is an end of."""
    inner = set(outcome.start.tolist())
    return [low for low in (column - 1, column) if low >= 0 and low + 1 not in inner]


@settings(max_examples=30)
@given(circuits(most=5), st.data())
def test_signs_are_those_of_replay(circuit: Circuit, data: st.DataObject) -> None:
    """Whatever was done and found, true or not, each column's sign is the side that replaying it gives."""
    machine = Machine(circuit, data.draw(st.lists(faults(circuit), max_size=2)))
    record = record_of(circuit, data.draw(any_actions(machine)))
    singles = [trial_of(fault) for fault in data.draw(st.lists(faults(circuit), max_size=3))]
    one, other = (data.draw(faults(circuit)) for _ in range(2))
    pair = Trial((other,), one) if one.value is not None and one.name != other.name else Trial((other,))
    trials = [Trial(()), *singles, pair]
    outcome = try_out(circuit, record, trials, let_go=False)
    for number, trial in enumerate(trials):
        signs = outcome.signs[:, outcome.start[number] : outcome.start[number + 1]]
        expected = by_replay(circuit, record, trial)
        assert outcome.values[outcome.start[number] : outcome.start[number + 1]].tolist() == trial.values()
        assert signs.tolist() == expected, trial
        event(f"signs {sorted({sign for row in expected for sign in row})}")


@settings(max_examples=30)
@given(circuits(most=5), st.data())
def test_only_who_is_out_is_let_go(circuit: Circuit, data: st.DataObject) -> None:
    """Who is not let go has the same signs; who is had a finding against it, and one against each stretch beside."""
    machine = Machine(circuit, data.draw(st.lists(faults(circuit), max_size=2)))
    record = record_of(circuit, data.draw(any_actions(machine, most=8)))
    tried = [*machine.faults, *data.draw(st.lists(faults(circuit), max_size=4))]
    trials = [trial_of(None), *(trial_of(fault) for fault in tried)]
    left, full = try_out(circuit, record, trials), try_out(circuit, record, trials, let_go=False)
    assert not (full.signs == LET_GO).any()
    gone = left.signs == LET_GO
    assert (left.signs[~gone] == full.signs[~gone]).all()
    for finding, column in np.argwhere(gone).tolist():
        event("let go")
        before = full.signs[:finding]
        assert (before[:, column] != AGREES).any()
        assert all(given_up(before, low) for low in bordering(left, column))
    for number in range(len(trials)):
        every = range(len(left.findings))
        assert left.agreeing(number, every) == full.agreeing(number, every)
        assert left.stretches(number) == full.stretches(number)


def test_stands_are_the_machines_at_each_finding() -> None:
    """The machines that are left stand at each finding as they did then, although they went on."""
    actions = (
        Observed({"lamp": "off"}),
        Move("set", "key", "on"),
        Measured(Probe(VOLTS, "P1:1", "P1:2"), show(VOLTS, 8.0)),
        Move("set", "key", "off"),
        Observed({"lamp": "off"}),
    )
    trials = [trial_of(fault) for fault in universe(SHED).values()]
    outcome = try_out(SHED, Record(SHED.name, actions), trials)
    assert [stand.states[0]["key"] for stand in outcome.stands] == ["off", "on", "off"]
    lengths = [len(stand.hypothesis) for stand in outcome.stands]
    assert lengths[0] == len(outcome.values)
    assert lengths[0] > lengths[1] > lengths[2]


def test_what_is_tried_of_a_fault() -> None:
    """A fault without a value is one column; one with is tried from 1 mΩ to 10 MΩ, its own value among them, rising."""
    broken, weak = (parse_fault(name, SHED) for name in ("W2 open", "W2 resistance 4.5 Ω"))
    assert trial_of(None) == Trial(())
    assert trial_of(broken) == Trial((broken,))
    assert (trial_of(broken).values(), trial_of(broken).at(0.0)) == ([0.0], (broken,))
    trial = trial_of(weak)
    values = trial.values()
    assert trial == Trial((), weak)
    assert values == sorted({*values})
    assert (values[0], values[-1]) == (LEAST, MOST) == (1e-3, 1e7)
    assert 4.5 in values
    assert max(high / low for low, high in itertools.pairwise(values)) < 3.17  # half a decade
    assert trial.at(7.0) == (replace(weak, value=7.0),)
    assert Trial((broken,), weak).names == ("W2 open", "W2 resistance")
    assert Trial((broken,), weak).at(7.0) == (broken, replace(weak, value=7.0))
    within = Trial((), weak, within=(2.0, 8.0)).values()
    assert (within[0], within[-1]) == (2.0, 8.0)
    assert within == sorted(within)


def test_told_how_far() -> None:
    """Whoever waits is told how many of how many actions are done."""
    told: list[tuple[int, int]] = []
    actions = (Move("set", "key", "on"), Observed({"lamp": "lit"}), Observed({"lamp": "lit"}))
    try_out(SHED, Record(SHED.name, actions), [trial_of(None)], lambda done, of: told.append((done, of)))
    assert told == [(0, 3), (1, 3), (2, 3)]


def test_machines_at_rest_are_kept_but_not_worn() -> None:
    """A second record of the same trials starts from rest again, whatever the first one did."""
    trials = [trial_of(fault) for fault in universe(SHED).values()]
    on = Record(SHED.name, (Move("set", "key", "on"), Move("repair", "W2", "mend the wire"), Observed({"lamp": "lit"})))
    off = Record(SHED.name, (Observed({"lamp": "off"}), Move("set", "key", "on"), Observed({"lamp": "off"})))
    first = try_out(SHED, off, trials, let_go=False)
    try_out(SHED, on, trials, let_go=False)
    again = try_out(SHED, off, trials, let_go=False)
    assert (first.signs == again.signs).all()
    assert {AGREES} < {*first.signs.ravel().tolist()}


def test_who_may_yet_explain_is_not_let_go() -> None:
    """By hand: 8.0 V on the lamp is 4.5 Ω in its feed, between two values tried; both go on to the next finding."""
    readings = [Measured(Probe(VOLTS, "P1:1", "P1:2"), show(VOLTS, 8.0))] * 3
    record = Record(SHED.name, (Move("set", "key", "on"), *readings))
    outcome = try_out(SHED, record, [trial_of(parse_fault("W2 resistance", SHED))])
    left = [outcome.values[column] for column in np.flatnonzero(outcome.signs[-1] != LET_GO)]
    assert left == pytest.approx([10**0.5, 10.0])
    assert outcome.signs[-1][outcome.signs[-1] != LET_GO].tolist() == [ABOVE, BELOW]
    assert outcome.stretches(0) == [pytest.approx((10**0.5, 10.0))]


def test_each_kind_of_finding() -> None:
    """By hand on the shed's lamp, sound and with its feed broken: numbers, nought that floats, OL, live, and a look."""
    trials = [trial_of(None), trial_of(parse_fault("W2 open", SHED)), trial_of(parse_fault("W4 open", SHED))]

    def signs(finding: Measured | Observed, *moves: Move) -> list[int]:
        return [int(sign) for sign in try_out(SHED, Record(SHED.name, (*moves, finding)), trials).signs[-1]]

    on, off = Move("set", "key", "on"), Move("unplug", "G1")
    lamp = Probe(VOLTS, "P1:1", "FRAME")
    blank = replace(show(VOLTS, 0.0), value=None)
    assert signs(Measured(lamp, show(VOLTS, 11.5)), on) == [AGREES, BELOW, OTHERWISE]
    assert signs(Measured(lamp, show(VOLTS, 0.0)), on) == [ABOVE, AGREES, AGREES]  # without its frame the lead floats
    assert signs(Measured(lamp, show(VOLTS, 0.1)), on) == [ABOVE, BELOW, OTHERWISE]
    assert signs(Measured(lamp, replace(blank, status=FLOATING)), on) == [OTHERWISE, OTHERWISE, AGREES]
    assert signs(Measured(lamp, show(VOLTS, 10.6), source=BENCH), on) == [AGREES, BELOW, OTHERWISE]
    assert signs(Measured(lamp, show(VOLTS, 10.0), source=BENCH), on) == [ABOVE, BELOW, OTHERWISE]
    ohms = Probe(OHMS, "S1:2", "P1:1")
    open_ones = replace(show(OHMS, 0.0), value=None, status=OVERLOAD)
    assert signs(Measured(ohms, open_ones), off) == [OTHERWISE, AGREES, OTHERWISE]
    assert signs(Measured(ohms, replace(open_ones, status=LIVE)), on) == [AGREES, AGREES, AGREES]
    assert signs(Observed({"lamp": "lit"}), on) == [AGREES, BELOW, AGREES]
    assert signs(Observed({"lamp": "dim"}), on) == [ABOVE, BELOW, ABOVE]
    assert signs(Observed({"lamp": None}), on) == [ABOVE, BELOW, ABOVE]
