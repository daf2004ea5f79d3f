"""What is heard of relays and contactors: the armature, whatever its contacts do."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import assume, given, settings

from faultwright.machine import Machine
from tests.core import depot
from tests.core.strategies import Day, days


def heard(text: str, *moves: str, faults: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    """Return the clicks of each move."""
    machine = depot.machine(text, faults=faults)
    return [machine.move(move).clicks for move in moves]


def test_a_relay_pulls_in_and_drops_out() -> None:
    """One click in the move that feeds the coil, one in the move that cuts it off, none between."""
    moves = ("start=pressed", "start=released", "stop=pressed", "stop=released")
    assert heard(depot.GATE, *moves) == [("Q1 pulls in",), (), ("Q1 drops out",), ()]


@pytest.mark.parametrize("fault", ["Q1 13-14 stuck open", "Q1 1-2 stuck open", "Q1 1-2 stuck closed", "Q1:1 open"])
def test_the_armature_is_heard_whatever_the_contacts_do(fault: str) -> None:
    """A contact that passes nothing on, or that has welded, changes nothing of the click as the button is pressed."""
    assert heard(depot.GATE, "start=pressed", faults=(fault,)) == [("Q1 pulls in",)]


@pytest.mark.parametrize("fault", ["Q1 coil open", "Q1 coil shorted", "Q1:A1 open", "S2 stuck open", "W3 open"])
def test_what_keeps_the_coil_from_pulling_gives_no_click(fault: str) -> None:
    """No current in the winding, or a shorted winding, which has no pull: nothing is heard (common practice)."""
    assert heard(depot.GATE, "start=pressed", faults=(fault,)) == [()]


PASSING = """
circuit: passing
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 20 mΩ}
  F1: {kind: fuse, rating: 5 A}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  K1: {kind: relay, contacts: {30-87: energised}}
  K2: {kind: relay, contacts: {30-87: energised}}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:1}
  W3: {from: S1:2, to: K1:86}
  W4: {from: K1:85, to: FRAME}
  W5: {from: S1:2, to: K1:30}
  W6: {from: K1:87, to: K2:86}
  W7: {from: K2:85, to: FRAME}
  W8: {from: S1:2, to: K2:30}
  W9: {from: K2:87, to: FRAME}
  W10: {from: G1:-, to: FRAME}
"""
"""K1 takes K2, and K2 puts the feed to the frame, so that the fuse goes."""


def test_what_is_heard_on_the_way_is_in_order() -> None:
    """By hand: K1 pulls in, with it K2, which blows the fuse, and then both drop out in the same round."""
    machine = depot.machine(PASSING)
    step = machine.move("key=on")
    assert step.clicks == ("K1 pulls in", "K2 pulls in", "K1 drops out", "K2 drops out")
    assert step.blown == ("F1",)
    assert step.remarks() == [*(f"click: {click}" for click in step.clicks), "F1 blown"]
    assert step.as_json()["clicks"] == [*step.clicks]
    assert machine.move("key=off").clicks == ()


def test_a_relay_that_buzzes_is_not_counted_click_by_click() -> None:
    """A relay whose own opening contact feeds its coil buzzes, and that is all that is said of it; K2 is heard."""
    text = PASSING.replace("K1: {kind: relay, contacts: {30-87: energised}}", "K1: {kind: relay}")
    text = text.replace("W3: {from: S1:2, to: K1:86}", "W3: {from: K1:87a, to: K1:86}")
    text = text.replace("W6: {from: K1:87, to: K2:86}", "W6: {from: S1:2, to: K2:86}")
    text = text.replace("W9: {from: K2:87, to: FRAME}", "W9: {from: K2:87, to: K2:86}")
    step = depot.machine(text).move("key=on")
    assert (step.buzzes, step.clicks) == (("K1",), ("K2 pulls in",))


def test_nobody_hears_a_new_day_begin() -> None:
    """``rest`` puts everything as found; a machine whose relay is in at rest gives no click as it is set up."""
    assert heard(depot.GATE, "start=pressed", "rest") == [("Q1 pulls in",), ()]
    machine = depot.machine(depot.BENCH)
    assert machine.relays["Q1"] is True  # fed by a supply of its own, with no switch between
    assert machine.move("key=on").clicks == ()
    assert machine.move("rest").clicks == ()


def test_a_relay_that_is_exchanged_is_heard_twice() -> None:
    """The one that is pulled off drops out, the other pulls in as it is put on."""
    assert heard(depot.BENCH, "substitute=Q1") == [("Q1 drops out", "Q1 pulls in")]


@settings(max_examples=60)
@given(days(most_faults=2))
def test_clicks_lead_from_how_the_relays_stood_to_how_they_stand(day: Day) -> None:
    """Followed one by one from before a move, the clicks end where the relays are; none is of one that was there."""
    machine = Machine(day.circuit, day.faults)
    for move in day.moves:
        stood = dict(machine.relays)
        step = machine.move(move)
        assume(not step.buzzes)
        for click in step.clicks:
            relay, _, way = click.partition(" ")
            assert stood[relay] is (way == "drops out")
            stood[relay] = not stood[relay]
        assert stood == machine.relays


def test_one_machine_is_heard_without_numpy() -> None:
    """Operating, watching and substituting on one machine work where there is no numpy."""
    code = (
        "import sys\n"
        "sys.modules['numpy'] = None\n"
        "from tests.core import depot\n"
        "from faultwright.bench import Bench\n"
        "from faultwright.meter import Probe\n"
        "bench = Bench(depot.circuit(depot.GATE))\n"
        "bench.watch('start=pressed', Probe('volts', 'Q1:A1', 'FRAME'))\n"
        "bench.move('substitute=Q1')\n"
        "print(*bench.step.clicks, sep=', ')\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.stdout == "Q1 drops out, Q1 pulls in\n", done.stderr
