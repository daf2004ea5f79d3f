"""Published motor controllers, moved through what their source says that they do, sentence by sentence.

DOE-HDBK-1011/4, module ES-15 (US Department of Energy, public domain; read). Its alternating current is direct current
here: the logic is the same. M is the contactor Q1, its contact M the main contact 1-2, Ma the contact 13-14.
"""

from __future__ import annotations

from faultwright.circuit_file import parse_circuit
from faultwright.machine import Machine
from faultwright.meter import Probe, read

CONTROLLER = """
circuit: controller
nominal: 24 V
controls:
  line:  {{positions: [normal, low, lower]}}
  stop:  {{positions: [released, pressed], springs_to: released}}
  start: {{positions: {start}}}
parts:
  V1: {{kind: supply, voltage: 24 V}}
  V2: {{kind: supply, voltage: 3.2 V}}
  V3: {{kind: supply, voltage: 2.8 V}}
  S0: {{kind: switch, control: line, contacts: {{1-4: [normal], 2-4: [low], 3-4: [lower]}}}}
  S1: {{kind: switch, control: stop, contacts: {{1-2: [released]}}}}
  S2: {{kind: switch, control: start, contacts: {{3-4: [pressed]}}}}
  Q1: {{kind: contactor, drop_out: 3 V, contacts: {{1-2: energised, 13-14: energised}}}}
  M1: {{kind: motor, resistance: 2 Ω}}
wires:
  W1: {{from: "V1:+", to: "S0:1"}}
  W2: {{from: "V2:+", to: "S0:2"}}
  W3: {{from: "V3:+", to: "S0:3"}}
  W4: {{from: "V1:-", to: FRAME}}
  W5: {{from: "V2:-", to: FRAME}}
  W6: {{from: "V3:-", to: FRAME}}
  W7: {{from: "S0:4", to: "S1:1"}}
  W8: {{from: "S1:2", to: "S2:3"}}
  W9: {{from: "S2:4", to: "Q1:A1"}}
  W10: {{from: "Q1:A2", to: FRAME}}
  W11: {{from: "S0:4", to: "Q1:1"}}
  W12: {{from: "Q1:2", to: "M1:1"}}
  W13: {{from: "M1:2", to: FRAME}}
{hold_in}
behaviour:
  coil:  {{relay: Q1}}
  motor: {{motor: M1}}
"""
"""On ``low`` the line gives the coil a little more than its drop-out value, on ``lower`` a little less."""

HOLD_IN = """  W14: {from: "S2:3", to: "Q1:13"}
  W15: {from: "Q1:14", to: "S2:4"}"""


def low_voltage_protection() -> Machine:
    """Return the LVP controller: a start button with Ma across it."""
    return Machine(parse_circuit(CONTROLLER.format(hold_in=HOLD_IN, start="[released, pressed], springs_to: released")))


def low_voltage_release() -> Machine:
    """Return the LVR controller: a start switch that stays where it is put, and no hold-in contact."""
    return Machine(parse_circuit(CONTROLLER.format(hold_in="", start="[off, pressed]")))


def after(machine: Machine, *moves: str) -> tuple[object, object]:
    """Return whether coil M is energised and whether the motor turns, after the moves."""
    for move in moves:
        machine.move(move)
    seen = machine.seen()
    return seen["coil"], seen["motor"]


def across_start(machine: Machine) -> float:
    """Return the volts across the start button."""
    value = read(machine, Probe("volts", "S2:3", "S2:4")).value
    assert value is not None
    return value


ON, OFF = (True, True), (False, False)


def test_lvp_start_energises_m_which_closes_m_and_ma() -> None:
    """Pushing START energises coil M; M closes and the motor runs; Ma closes and carries the circuit with it."""
    machine = low_voltage_protection()
    assert after(machine) == OFF
    assert across_start(machine) > 23  # Ma is open: the button has the line across it
    assert after(machine, "start=pressed") == ON
    machine.move("unplug=S2")  # with the button out of the circuit Ma alone holds
    assert after(machine) == ON


def test_lvp_ma_shunts_the_open_start_button() -> None:
    """When START is released the circuit stays complete, because Ma remains closed and shunts the open button."""
    machine = low_voltage_protection()
    assert after(machine, "start=pressed", "start=released") == ON
    assert across_start(machine) < 0.05


def test_lvp_low_voltage_drops_m_out_and_start_must_be_pushed_again() -> None:
    """At its drop-out value M drops out, M and Ma open; when the voltage returns START must be pushed to restart."""
    machine = low_voltage_protection()
    after(machine, "start=pressed", "start=released")
    assert after(machine, "line=low")[0] is True
    assert after(machine, "line=normal") == ON
    assert after(machine, "line=lower") == OFF
    assert across_start(machine) > 2.7  # Ma is open again
    assert after(machine, "line=normal") == OFF
    assert across_start(machine) > 23
    assert after(machine, "start=pressed", "start=released") == ON


def test_lvp_stop_de_energises_m() -> None:
    """Depressing STOP de-energises M, which opens M and Ma; letting STOP go starts nothing."""
    machine = low_voltage_protection()
    after(machine, "start=pressed", "start=released")
    assert after(machine, "stop=pressed") == OFF
    assert after(machine, "stop=released") == OFF
    assert across_start(machine) > 23


def test_lvr_run_energises_m() -> None:
    """With the start switch in Run coil M is energised, M closes and the motor runs."""
    machine = low_voltage_release()
    assert after(machine) == OFF
    assert after(machine, "start=pressed") == ON


def test_lvr_picks_up_by_itself() -> None:
    """On low voltage M drops out and the motor stops; when normal voltage is restored the motor starts by itself."""
    machine = low_voltage_release()
    after(machine, "start=pressed")
    assert after(machine, "line=lower") == OFF
    assert after(machine, "line=normal") == ON


def test_lvr_has_no_hold_in() -> None:
    """Nothing bridges the start switch: M follows it."""
    assert after(low_voltage_release(), "start=pressed", "start=off") == OFF
