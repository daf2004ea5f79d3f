"""Isolating in the order of the trade: the return lead comes off first, and goes on last.

Lifting one terminal of the battery isolates, as a source delivers current over both or none. The return lead first,
since a spanner between it and the frame shorts nothing (common practice with a grounded return, without a source).
"""

from __future__ import annotations

import pytest

from faultwright.bench import Bench
from faultwright.circuit import FRAME
from faultwright.meter import CONTINUITY, LIVE, OHMS, OK, VOLTS, Probe, read
from faultwright.record import Measured
from tests.core import depot

SHED, GATE = depot.circuit(depot.SHED), depot.circuit(depot.GATE)


@pytest.mark.parametrize("lifted", ["G1:-", "G1:+", "G1"])
def test_lifting_one_terminal_of_the_battery_isolates(lifted: str) -> None:
    """Nothing delivers, nothing is lit, and ohms are no longer live: S1 by hand 0.1 Ω, beside it an open loop."""
    machine = depot.machine(depot.SHED, "key=on")
    assert machine.delivers()
    assert read(machine, Probe(OHMS, "S1:1", "S1:2")).status == LIVE
    assert machine.move(f"unplug={lifted}").seen == {"lamp": "off"}
    assert not machine.delivers()
    reading = read(machine, Probe(OHMS, "S1:1", "S1:2"))
    assert (reading.status, reading.value) == (OK, 0.1)
    assert read(machine, Probe(CONTINUITY, "S1:1", "S1:2")).beeps
    assert read(machine, Probe(VOLTS, "S1:1", FRAME)).value in (None, 0.0)


def test_with_the_return_lifted_the_feed_cannot_be_shorted_to_the_frame() -> None:
    """A jumper from + to the frame, as a spanner that slips, passes nothing: the return lead was first for that.

    With the feed lifted first and the return still on, a spanner from the battery's own + to the frame would: by hand
    12 V over 0.1 Ω in the battery, 0.1 Ω in W4 and 10 mΩ of jumper are 57 A.
    """
    machine = depot.machine(depot.SHED, "unplug=G1:-", "bridge=G1:+,FRAME")
    assert not machine.delivers()
    joined = depot.machine(depot.SHED, "bridge=G1:+,FRAME")
    source = joined.solver.network.first_of["G1"]
    assert float(joined.settled.current(source)) == pytest.approx(12 / 0.21, rel=0.01)


def test_back_on_in_the_reverse_order() -> None:
    """The lead that was first off is last on; until then nothing works, and then all does."""
    machine = depot.machine(depot.SHED, "key=on", "unplug=G1:-", "unplug=G1:+")
    assert machine.move("mate=G1:+").seen == {"lamp": "off"}
    assert not machine.delivers()
    assert machine.move("mate=G1:-").seen == {"lamp": "lit"}


def test_a_machine_that_holds_itself_in_does_not_start_by_itself() -> None:
    """Isolated, the contactor drops out; with the return lead on again the gate stands until it is started."""
    machine = depot.machine(depot.GATE, "start=pressed", "start=released")
    step = machine.move("unplug=T1:-")
    assert (step.seen, step.clicks) == ({"moves": False}, ("Q1 drops out",))
    step = machine.move("mate=T1:-")
    assert (step.seen, step.clicks) == ({"moves": False}, ())


def test_one_source_of_two_does_not_isolate() -> None:
    """The test bench has a supply of its own for Q1: only with both off is everything dead."""
    machine = depot.machine(depot.BENCH, "unplug=G1:-")
    assert machine.delivers()
    machine.move("unplug=T1:-")
    assert not machine.delivers()


def test_the_record_tells_whether_ohms_were_taken_on_a_dead_machine() -> None:
    """Before the lead is lifted the reading is noted as energised, after it is not."""
    bench = Bench(SHED)
    bench.move("key=on")
    bench.read(Probe(OHMS, "S1:1", "S1:2"))
    bench.move("unplug=G1:-")
    bench.read(Probe(OHMS, "S1:1", "S1:2"))
    assert [one.energised for one in bench.actions if isinstance(one, Measured)] == [True, False]
