"""What the sound machine shows is taken for machines with a fault that does nothing there, and for no others."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from faultwright import lane_readings
from faultwright.candidates import every_test
from faultwright.edits import Edits, Flow
from faultwright.fault_columns import FaultColumns
from faultwright.faults import parse_fault, universe
from faultwright.lanes import LaneWork
from faultwright.outcomes import outcome_table
from tests.core.depot import BENCH, MOWER, circuit
from tests.core.interlocks import NEUTRAL_OR_BOTH

if TYPE_CHECKING:
    from faultwright.circuit import Circuit


@pytest.mark.parametrize(
    "machine", [circuit(text) for text in (BENCH, MOWER, NEUTRAL_OR_BOTH)], ids=lambda one: one.name
)
def test_readings_are_the_same_when_each_machine_is_read(machine: Circuit, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every fault, every fifth test: the parts and what they show, with the sound machine read first and without."""
    hypotheses = [(), *((fault,) for fault in universe(machine).values())]
    tests = list(every_test(machine, most=16))[::5]
    taken: list[float] = []
    take = lane_readings._Reader.take_from_sound  # noqa: SLF001 - to see that some readings are taken, and not all

    def noted(reader: lane_readings._Reader, *asked: object) -> object:
        found = take(reader, *asked)  # type: ignore[arg-type]
        taken.append(float(found.mean()))
        return found

    monkeypatch.setattr(lane_readings._Reader, "take_from_sound", noted)  # noqa: SLF001
    shared = outcome_table(machine, hypotheses, tests)
    monkeypatch.setattr(lane_readings, "MANY", len(hypotheses) + 1)
    assert outcome_table(machine, hypotheses, tests) == shared
    assert any(0.2 < share < 1 for share in taken)


def test_a_break_is_live_where_a_current_flows_and_a_short_where_a_voltage_lies() -> None:
    """The mower at rest and ready to run: the stop wire's break, its short, and the start circuit's wire.

    By hand: at rest the key grounds the stop wire and nothing is driven, so neither a break nor a short to ground is
    live by a current; only what a magneto senses, which is not asked here, would tell them.
    """
    machine = circuit(MOWER)
    faults = [parse_fault(name, machine) for name in ("W6 open", "W6 shorted to ground", "W6 shorted to supply")]
    columns = FaultColumns(machine, faults)
    flow = Flow(columns.solver, 1, ())
    work = LaneWork(
        columns.solver,
        [machine.switch_positions(machine.rest())],
        np.array([len(faults)]),
        np.array([0]),
        watch=flow.watch,
    )
    assert [settlement.points.tolist() for settlement in work.settle()] == [[0]]
    assert [bool(flow.live(columns.edits, column)[0]) for column in range(len(faults))] == [False, False, True]
    assert not flow.live(columns.edits, len(faults))[0]
    assert columns.edits.changed[:, :3].sum(axis=0).tolist() == [1, 1, 1]


def test_what_changes_an_emf_or_sticks_is_never_judged() -> None:
    """A discharged battery and a switch that sticks count as live everywhere, also where nothing flows."""
    machine = circuit(NEUTRAL_OR_BOTH)
    names = [name for name in universe(machine) if name.endswith((" discharged", " sticking"))]
    assert len(names) > 1
    columns = FaultColumns(machine, [parse_fault(name, machine) for name in names])
    edits = Edits(columns.solver, len(names))
    assert edits.beyond.tolist() == [True] * len(names) + [False]
    assert all(Flow(columns.solver, 2, ()).live(edits, column).all() for column in range(len(names)))
