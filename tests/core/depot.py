"""Small circuits of an invented groundskeeping depot, for the tests."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright.meter import Probe, Reading, read

BENCH = """
circuit: test-bench
title: One of every kind of part, each on a feed of its own
nominal: 12 V
controls:
  key:   {positions: [off, on]}
  lever: {positions: [idle, low, high]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 100 mΩ}
  T1: {kind: supply, voltage: 12 V, resistance: 100 mΩ}
  F1: {kind: fuse, rating: 10 A, resistance: 10 mΩ}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}, resistance: 10 mΩ}
  S2: {kind: switch, control: lever, contacts: {1-2: [low], 3-4: [low, high]}, resistance: 10 mΩ}
  K1: {kind: relay, coil: 80 Ω, resistance: 10 mΩ}
  Q1: {kind: contactor, coil: 100 Ω, contacts: {13-14: energised}, resistance: 10 mΩ}
  R1: {kind: diode, forward_drop: 0.6 V}
  L1: {kind: resistor, resistance: 10 Ω}
  P1: {kind: lamp, power: 12 W, voltage: 12 V}
  M1: {kind: motor, resistance: 2 Ω, running: 3 A, turns_from: 2 A}
  Y1: {kind: solenoid, resistance: 10 Ω, pulls_from: 0.6 A}
  A1: {kind: input, pull_resistance: 1 kΩ}
  U1: {kind: magneto, primary: 1 Ω}
  N1: {kind: splice, ways: 3}
  E1: {kind: ground, resistance: 10 mΩ}
  X1: {kind: connector, pins: 3, resistance: 10 mΩ}
wires:
  W1:  {from: G1:+, to: F1:1, resistance: 10 mΩ}
  W2:  {from: F1:2, to: N1:1, resistance: 10 mΩ}
  W3:  {from: G1:-, to: FRAME, resistance: 10 mΩ}
  W4:  {from: N1:2, to: S1:1, resistance: 10 mΩ}
  W5:  {from: S1:2, to: P1:1, resistance: 10 mΩ}
  W6:  {from: P1:2, to: E1:1, resistance: 10 mΩ}
  W7:  {from: N1:3, to: S2:1, resistance: 10 mΩ}
  W8:  {from: S2:1, to: S2:3, resistance: 10 mΩ}
  W9:  {from: S2:2, to: K1:86, resistance: 10 mΩ}
  W10: {from: K1:85, to: FRAME, resistance: 10 mΩ}
  W11: {from: S2:4, to: K1:30, resistance: 10 mΩ}
  W12: {from: K1:87, to: M1:1, resistance: 10 mΩ}
  W13: {from: M1:2, to: FRAME, resistance: 10 mΩ}
  W14: {from: K1:87a, to: X1:a1, resistance: 10 mΩ}
  W15: {from: X1:b1, to: Y1:1, resistance: 10 mΩ}
  W16: {from: Y1:2, to: X1:b2, resistance: 10 mΩ}
  W17: {from: X1:a2, to: FRAME, resistance: 10 mΩ}
  W18: {from: N1:3, to: A1:+, resistance: 10 mΩ}
  W19: {from: A1:-, to: FRAME, resistance: 10 mΩ}
  W20: {from: A1:in, to: S1:2, resistance: 10 mΩ}
  W21: {from: N1:2, to: R1:A, resistance: 10 mΩ}
  W22: {from: R1:K, to: L1:1, resistance: 10 mΩ}
  W23: {from: L1:2, to: FRAME, resistance: 10 mΩ}
  W24: {from: T1:+, to: Q1:A1, resistance: 10 mΩ}
  W25: {from: T1:-, to: Q1:A2, resistance: 10 mΩ}
  W26: {from: U1:stop, to: Q1:13, resistance: 10 mΩ}
  W27: {from: Q1:14, to: FRAME, resistance: 10 mΩ}
  W28: {from: U1:-, to: FRAME, resistance: 10 mΩ}
behaviour:
  lamp:    {lamp: P1}
  motor:   {motor: M1}
  valve:   {solenoid: Y1}
  sensed:  {input: A1}
  relay:   {relay: K1}
  pulled:  {relay: Q1}
  sparks:  {magneto: U1}
"""

SHED = """
circuit: shed-lamp
title: Lamp in the tool shed
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 0.1 Ω}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}, resistance: 0.1 Ω}
  P1: {kind: lamp, power: 14.4 W, voltage: 12 V}
wires:
  W1: {from: G1:+, to: S1:1, resistance: 0.1 Ω}
  W2: {from: S1:2, to: P1:1, resistance: 0.1 Ω}
  W3: {from: P1:2, to: G1:-, resistance: 0.1 Ω}
  W4: {from: G1:-, to: FRAME, resistance: 0.1 Ω}
behaviour:
  lamp: {lamp: P1}
"""
"""A 10 Ω lamp in a loop with 0.5 Ω: 12/10.5 A."""

MOWER = """
circuit: ride-on
title: Ride-on mower, engine stop
nominal: 12 V
controls:
  key:   {positions: [off, on, start], springs_to: on}
  seat:  {positions: [empty, taken]}
  brake: {positions: [released, set]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: key, contacts: {B-S: [start], M-G: [off]}}
  S2: {kind: switch, control: seat, contacts: {1-2: [empty]}}
  S3: {kind: switch, control: brake, contacts: {1-2: [released], 3-4: [set]}}
  Y1: {kind: solenoid, resistance: 1 Ω}
  U1: {kind: magneto}
wires:
  W1: {from: G1:+, to: S1:B}
  W2: {from: S1:S, to: S3:3}
  W3: {from: S3:4, to: Y1:1}
  W4: {from: Y1:2, to: FRAME}
  W5: {from: G1:-, to: FRAME}
  W6: {from: U1:stop, to: S1:M}
  W7: {from: S1:G, to: FRAME}
  W8: {from: U1:stop, to: S2:1}
  W9: {from: S2:2, to: S3:1}
  W10: {from: S3:2, to: FRAME}
  W11: {from: U1:-, to: FRAME}
behaviour:
  cranks: {solenoid: Y1}
  sparks: {magneto: U1}
  runs:   {starts_when: [cranks], keeps_while: [sparks]}
"""
"""It cranks with the brake set; leaving the seat with the brake released, or the key at off, grounds the magneto."""

GATE = """
circuit: yard-gate
title: Yard gate, motor contactor with hold-in contact
nominal: 24 V
controls:
  stop:  {positions: [released, pressed], springs_to: released}
  start: {positions: [released, pressed], springs_to: released}
parts:
  T1: {kind: supply, voltage: 24 V}
  S1: {kind: switch, control: stop, contacts: {21-22: [released]}}
  S2: {kind: switch, control: start, contacts: {13-14: [pressed]}}
  Q1: {kind: contactor}
  M1: {kind: motor, resistance: 4 Ω, running: 2 A, turns_from: 1.5 A}
wires:
  W1: {from: T1:+, to: S1:21}
  W2: {from: S1:22, to: S2:13}
  W3: {from: S2:14, to: Q1:A1}
  W4: {from: S1:22, to: Q1:13}
  W5: {from: Q1:14, to: Q1:A1}
  W6: {from: Q1:A2, to: FRAME}
  W7: {from: T1:+, to: Q1:1}
  W8: {from: Q1:2, to: M1:1}
  W9: {from: M1:2, to: FRAME}
  W10: {from: T1:-, to: FRAME}
behaviour:
  moves: {motor: M1}
"""

TWO_LAMPS = """
circuit: two-lamps
title: Two lamps in the seed store, each with a switch
nominal: 12 V
controls:
  left:  {positions: [off, on]}
  right: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V, resistance: 50 mΩ}
  S1: {kind: switch, control: left, contacts: {1-2: [on]}}
  S2: {kind: switch, control: right, contacts: {3-4: [on]}}
  P1: {kind: lamp, power: 10 W}
  P2: {kind: lamp, power: 10 W}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: G1:+, to: S2:3}
  W3: {from: S1:2, to: P1:1}
  W4: {from: S2:4, to: P2:1}
  W5: {from: P1:2, to: G1:-}
  W6: {from: P2:2, to: G1:-}
  W7: {from: G1:-, to: FRAME}
behaviour:
  left_lamp: {lamp: P1}
  right_lamp: {lamp: P2}
"""
"""Two loops that share nothing but the battery: no single fault darkens both and leaves the battery good."""


@cache
def circuit(text: str) -> Circuit:
    """Return the circuit in a text; each is read once."""
    return parse_circuit(text)


def machine(text: str, *moves: str, faults: Iterable[str] = ()) -> Machine:
    """Return a machine with these faults after these moves."""
    found = circuit(text)
    made = Machine(found, [parse_fault(fault, found) for fault in faults])
    for move in moves:
        made.move(move)
    return made


def measure(made: Machine, mode: str, red: str, black: str = "") -> Reading:
    """Return what the meter shows."""
    return read(made, Probe(mode, red, black))
