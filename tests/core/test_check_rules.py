"""Safety rules of published standards, asserted as logic on control circuits of a made-up depot.

*read*: the rule was read in a reprint or a summary of the standard that is named. What a rule asks of mechanics (that a
contact opens positively, that a stand swings back) is outside of a circuit file.
"""

from __future__ import annotations

import pytest

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.faults import parse_fault, universe
from faultwright.machine import Machine
from faultwright.suspects import Suspects, find_suspects

# A chaff blower: stop, start with hold-in, contactor coil. Where the stop button stands is what the rule is about.

BLOWER = """
circuit: blower
nominal: 24 V
controls:
  stop:  {{positions: [released, pressed], springs_to: released}}
  start: {{positions: [released, pressed], springs_to: released}}
parts:
  T1: {{kind: supply, voltage: 24 V}}
  F1: {{kind: fuse, rating: 2 A}}
  S1: {{kind: switch, control: stop, contacts: {{21-22: [released]}}}}
  S2: {{kind: switch, control: start, contacts: {{13-14: [pressed]}}}}
  Q1: {{kind: contactor}}
  M1: {{kind: motor, resistance: 4 Ω, running: 2 A, turns_from: 1.5 A}}
wires:
  W1: {{from: "T1:+", to: "F1:1"}}
  W2: {{from: "T1:-", to: FRAME}}
  W3: {{from: "T1:+", to: "Q1:1"}}
  W4: {{from: "Q1:2", to: "M1:1"}}
  W5: {{from: "M1:2", to: FRAME}}
{control}
behaviour:
  blows: {{motor: M1}}
"""

STOP_ON_THE_FED_SIDE = """
  W6: {from: "F1:2", to: "S1:21"}
  W7: {from: "S1:22", to: "S2:13"}
  W8: {from: "S2:14", to: "Q1:A1"}
  W9: {from: "S2:13", to: "Q1:13"}
  W10: {from: "Q1:14", to: "Q1:A1"}
  W11: {from: "Q1:A2", to: FRAME}
"""

STOP_IN_THE_RETURN = """
  W6: {from: "F1:2", to: "S2:13"}
  W7: {from: "S2:14", to: "Q1:A1"}
  W8: {from: "S2:13", to: "Q1:13"}
  W9: {from: "Q1:14", to: "Q1:A1"}
  W10: {from: "Q1:A2", to: "S1:21"}
  W11: {from: "S1:22", to: FRAME}
"""

CONTROL_WIRES = ("W6", "W7", "W8", "W9", "W10", "W11")


def blower(control: str) -> Circuit:
    """Return the blower with its control circuit wired one way or the other."""
    return parse_circuit(BLOWER.format(control=control.strip("\n")))


def blows_after(circuit: Circuit, fault: str, moves: str) -> bool:
    """Return whether the blower runs after the moves, with a fault that is there from the beginning."""
    machine = Machine(circuit, [parse_fault(fault, circuit)] if fault else [])
    for move in moves.split():
        machine.move(move)
    return machine.seen()["blows"] is True


STARTED = "start=pressed start=released"
STOPPED = f"{STARTED} stop=pressed"


@pytest.mark.parametrize("control", [STOP_ON_THE_FED_SIDE, STOP_IN_THE_RETURN])
def test_both_circuits_do_the_same_while_they_are_sound(control: str) -> None:
    """Start, hold in, stop, and no restart when the stop button is let go: nobody sees which one is wired wrongly."""
    circuit = blower(control)
    moves = ("", "start=pressed", STARTED, STOPPED, f"{STOPPED} stop=released")
    assert [blows_after(circuit, "", some) for some in moves] == [False, True, True, False, False]


def test_an_earth_fault_neither_starts_the_machine_nor_defeats_its_stop() -> None:
    """With all contacts between the switched conductor and one coil terminal, the other straight to the bonded common.

    IEC 60204-1 9.4.3.1 (read) asks for that, so that an earth fault in the control circuit starts nothing and stops
    nothing from being stopped.
    """
    circuit = blower(STOP_ON_THE_FED_SIDE)
    for wire in CONTROL_WIRES:
        fault = f"{wire} shorted to ground"
        assert not blows_after(circuit, fault, ""), fault
        assert not blows_after(circuit, fault, STOPPED), fault


def test_a_contact_in_the_return_is_defeated_by_one_earth_fault() -> None:
    """What IEC 60204-1 9.4.3.1 (read) forbids: the stop button in the return, and earth faults beside it defeat it."""
    circuit = blower(STOP_IN_THE_RETURN)
    defeated = [wire for wire in CONTROL_WIRES if blows_after(circuit, f"{wire} shorted to ground", STOPPED)]
    assert defeated == ["W10"]


def test_it_stops_by_de_energising() -> None:
    """Whatever opens, pressing stop leaves the blower standing: it needs no current (IEC 60204-1, read: summary)."""
    circuit = blower(STOP_ON_THE_FED_SIDE)
    opens = [name for name in universe(circuit) if name.endswith("open")]
    assert len(opens) > 20
    assert [name for name in opens if blows_after(circuit, name, STOPPED)] == []


@pytest.mark.parametrize("control_side", ["unplug=T1 mate=T1", "unplug=F1 mate=F1", "unplug=Q1:A2 mate=Q1:A2"])
def test_no_restart_by_itself(control_side: str) -> None:
    """A supply that returns, or a control circuit that closes again, starts nothing (IEC 60204-1, read: summary)."""
    circuit = blower(STOP_ON_THE_FED_SIDE)
    assert blows_after(circuit, "", STARTED)
    assert not blows_after(circuit, "", f"{STARTED} {control_side}")
    assert blows_after(circuit, "", f"{STARTED} {control_side} {STARTED}")


# A baler's two guards: two contacts each, the contacts of each channel one after the other, a module that watches both.

GUARDS = """
circuit: baler
nominal: 24 V
controls:
  front: {positions: [closed, open]}
  rear:  {positions: [closed, open]}
parts:
  T1: {kind: supply, voltage: 24 V}
  B1: {kind: switch, control: front, contacts: {11-12: [closed], 21-22: [closed]}}
  B2: {kind: switch, control: rear, contacts: {11-12: [closed], 21-22: [closed]}}
  K1: {kind: input, pull: down, active: high}
  K2: {kind: input, pull: down, active: high}
wires:
  W1:  {from: "T1:+", to: "B1:11"}
  W2:  {from: "B1:12", to: "B2:11"}
  W3:  {from: "B2:12", to: "K1:in"}
  W4:  {from: "T1:+", to: "B1:21"}
  W5:  {from: "B1:22", to: "B2:21"}
  W6:  {from: "B2:22", to: "K2:in"}
  W7:  {from: "T1:+", to: "K1:+"}
  W8:  {from: "T1:+", to: "K2:+"}
  W9:  {from: "T1:-", to: "K1:-"}
  W10: {from: "T1:-", to: "K2:-"}
  W11: {from: "T1:-", to: FRAME}
behaviour:
  one: {input: K1}
  two: {input: K2}
"""

STUCK = "B1 21-22 stuck closed"


def watch_guards(*moves: str) -> tuple[list[bool], Suspects]:
    """Open and close the guards while the front one's second contact no longer opens.

    Return whether the module's two channels disagree after each move, and what the watching leaves possible.
    """
    circuit = parse_circuit(GUARDS)
    bench = Bench(circuit, [parse_fault(STUCK, circuit)])
    differ = []
    for move in moves:
        seen = bench.move(move).seen
        differ.append(seen["one"] != seen["two"])
        bench.observe()
    return differ, find_suspects(circuit, bench.record)


def test_guard_contacts_in_series_mask_a_fault() -> None:
    """A contact that no longer opens is not seen as long as the other guard is open first (ISO/TR 24119, scope: read).

    The channels never disagree, and everything that was watched agrees with a sound machine.
    """
    differ, found = watch_guards("rear=open", "front=open", "front=closed", "rear=closed")
    assert differ == [False, False, False, False]
    assert found.healthy
    assert STUCK in found.names


def test_opening_the_second_guard_hides_what_the_first_has_shown() -> None:
    """The front guard opened alone makes the channels disagree; then the rear one takes the sign of the fault away.

    Only who watched the first move knows that the machine is not sound (ISO/TR 24119, scope: read).
    """
    differ, found = watch_guards("front=open", "rear=open", "front=closed", "rear=closed")
    assert differ == [True, False, False, False]
    assert not found.healthy
    assert STUCK in found.names
