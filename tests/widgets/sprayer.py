"""A small circuit for the widgets' tests: a pump relay with two routes to its coil, a load side and a lamp."""

from __future__ import annotations

from pathlib import Path

from faultwright.bench import Bench
from faultwright.circuit_file import parse_circuit
from faultwright.faults import parse_fault

CIRCUIT = parse_circuit(
    """
circuit: orchard-sprayer
title: Towed orchard sprayer, pump relay
nominal: 12 V
safety:
  - {signal: warning, text: Isolate the battery before using ohms; keep clear of the pump coupling.}
controls:
  key:   {label: Key switch, positions: [off, on]}
  test:  {label: Pump test button, positions: [released, pressed], springs_to: released}
  float: {label: Tank float, positions: [low, full]}
parts:
  G1: {kind: battery, emf: 12.6 V, resistance: 20 mΩ}
  F1: {kind: fuse, rating: 15 A}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  S2: {kind: switch, control: test, contacts: {3-4: [pressed]}}
  B1: {kind: switch, control: float, contacts: {1-2: [full]}}
  K1: {kind: relay, coil: 85 Ω}
  M1: {kind: motor, resistance: 0.9 Ω, running: 5 A, turns_from: 3 A}
  P1: {kind: lamp, power: 2 W, voltage: 12 V}
  X1: {kind: connector, pins: 2}
  E1: {kind: ground}
wires:
  W1:  {from: "G1:+", to: F1:1, area: 4 mm², length: 0.4 m, colour: RD}
  W2:  {from: F1:2, to: S1:1, area: 2.5 mm², length: 1.2 m}
  W3:  {from: F1:2, to: K1:30, area: 4 mm², length: 1.5 m}
  W4:  {from: S1:2, to: B1:1, area: 1 mm², length: 2 m}
  W5:  {from: S1:2, to: S2:3, area: 1 mm², length: 0.3 m}
  W6:  {from: B1:2, to: K1:86, area: 1 mm², length: 2 m}
  W7:  {from: S2:4, to: K1:86, area: 1 mm², length: 0.3 m}
  W8:  {from: K1:85, to: E1:1, area: 1 mm², length: 0.5 m}
  W9:  {from: K1:87, to: X1:a1, area: 4 mm², length: 3 m}
  W10: {from: X1:b1, to: M1:1, area: 4 mm², length: 0.3 m}
  W11: {from: M1:2, to: X1:b2, area: 4 mm², length: 0.3 m}
  W12: {from: X1:a2, to: E1:1, area: 4 mm², length: 3 m}
  W13: {from: K1:87, to: P1:1, area: 0.75 mm², length: 1 m}
  W14: {from: P1:2, to: E1:1, area: 0.75 mm², length: 1 m}
  W15: {from: "G1:-", to: FRAME, area: 16 mm², length: 0.5 m}
behaviour:
  pump: {motor: M1}
  lamp: {lamp: P1}
""",
    "orchard-sprayer.yaml",
)


def bench(*faults: str, file: Path | None = None) -> Bench:
    """Return a bench with the sprayer and these faults."""
    return Bench(CIRCUIT, [parse_fault(fault, CIRCUIT) for fault in faults], file=file)
