"""Circuits that are drawn in tests: examples of every trick of wiring, and those of the course and the guides."""

from __future__ import annotations

from pathlib import Path

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit, read_circuit

HOUSE = Path(__file__).resolve().parents[2]

SPREADER = """
circuit: salt-spreader
title: Towed salt spreader, auger relay
nominal: 12 V
controls:
  key: {label: Key switch, positions: [off, on]}
  jog: {label: Auger jog button, positions: [released, pressed], springs_to: released}
  lid: {label: Hopper lid, positions: [open, shut]}
parts:
  G1: {kind: battery, emf: 12.6 V, resistance: 20 mΩ}
  F1: {kind: fuse, rating: 15 A}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  S2: {kind: switch, control: jog, contacts: {3-4: [pressed]}}
  B1: {kind: switch, control: lid, contacts: {1-2: [shut]}}
  K1: {kind: relay, coil: 85 Ω}
  M1: {kind: motor, resistance: 0.9 Ω, running: 5 A}
  P1: {kind: lamp, power: 2 W, voltage: 12 V}
  X1: {kind: connector, pins: 2}
  E1: {kind: ground}
wires:
  W1: {from: G1:+, to: F1:1, area: 4 mm², colour: RD}
  W2: {from: F1:2, to: S1:1, area: 2.5 mm²}
  W3: {from: F1:2, to: K1:30, area: 4 mm²}
  W4: {from: S1:2, to: B1:1, area: 1 mm²}
  W5: {from: S1:2, to: S2:3, area: 1 mm²}
  W6: {from: B1:2, to: K1:86, area: 1 mm²}
  W7: {from: S2:4, to: K1:86, area: 1 mm²}
  W8: {from: K1:85, to: E1:1, area: 1 mm²}
  W9: {from: K1:87, to: X1:a1, area: 4 mm²}
  W10: {from: X1:b1, to: M1:1, area: 4 mm²}
  W11: {from: M1:2, to: X1:b2, area: 4 mm²}
  W12: {from: X1:a2, to: E1:1, area: 4 mm²}
  W13: {from: K1:87, to: P1:1, area: 0.75 mm²}
  W14: {from: P1:2, to: E1:1, area: 0.75 mm²}
  W15: {from: G1:-, to: FRAME, area: 16 mm²}
"""

POND_PUMP = """
circuit: pond-pump
title: Pond pump, stop and start with seal-in, no ground
nominal: 24 V
controls:
  emergency: {label: Emergency stop, positions: [out, pushed in]}
  guard: {label: Coupling guard, positions: [shut, open]}
  stop: {label: Stop button, positions: [released, pressed], springs_to: released}
  start: {label: Start button, positions: [released, pressed], springs_to: released}
parts:
  G1: {kind: supply}
  F1: {kind: fuse, rating: 2 A}
  S1: {kind: switch, control: emergency, contacts: {11-12: [out]}}
  B1: {kind: switch, control: guard, contacts: {21-22: [shut]}}
  S2: {kind: switch, control: stop, contacts: {31-32: [released]}}
  S3: {kind: switch, control: start, contacts: {43-44: [pressed]}}
  K1: {kind: contactor}
  M1: {kind: motor, resistance: 4 Ω}
  P1: {kind: lamp, power: 3 W, voltage: 24 V}
  P2: {kind: lamp, power: 3 W, voltage: 24 V}
  X1: {kind: connector, pins: 4}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:11}
  W3: {from: S1:12, to: X1:a1}
  W4: {from: X1:b1, to: B1:21}
  W5: {from: B1:22, to: X1:b2}
  W6: {from: X1:a2, to: S2:31}
  W7: {from: S2:32, to: S3:43}
  W8: {from: S3:43, to: K1:13}
  W9: {from: S3:44, to: K1:14}
  W10: {from: K1:14, to: K1:A1}
  W11: {from: K1:A2, to: G1:-}
  W12: {from: F1:2, to: K1:1}
  W13: {from: K1:2, to: M1:1}
  W14: {from: M1:2, to: G1:-}
  W15: {from: S2:32, to: K1:21}
  W16: {from: K1:22, to: P1:1}
  W17: {from: P1:2, to: K1:A2}
  W18: {from: K1:2, to: P2:1}
  W19: {from: P2:2, to: P1:2}
"""

VERGE_MOWER = """
circuit: verge-mower
title: 'Verge mower: starting & stopping <interlock> of the "north" yard'
nominal: 12 V
controls:
  key: {label: Key switch, positions: [off, run, start], springs_to: run}
  seat: {label: Seat switch, positions: [empty, occupied]}
  brake: {label: Parking brake, positions: [off, set]}
  deck: {label: Cutting deck lever, positions: [up, engaged]}
  lights: {label: Lighting switch, positions: [off, side, head]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse, rating: 20 A}
  F2: {kind: fuse, rating: 7.5 A}
  S1: {kind: switch, control: key, contacts: {30-15: [run, start], 30-50: [start], M-G: [off]}}
  S2: {kind: switch, control: seat, contacts: {1-2: [occupied], 3-4: [empty]}}
  S3: {kind: switch, control: brake, contacts: {1-2: [set], 1-3: [off]}}
  S4: {kind: switch, control: deck, contacts: {1-2: [up], 3-4: [engaged]}}
  S5: {kind: switch, control: lights, contacts: {1-2: [side, head], 1-3: [head]}}
  K1: {kind: relay}
  K2: {kind: relay, contacts: {30-87: energised, 31-88: energised, 32-89a: released}}
  M1: {kind: motor, resistance: 0.05 Ω}
  Y1: {kind: solenoid}
  Y2: {kind: solenoid, resistance: 3 Ω}
  A1: {kind: input, pull: up}
  A2: {kind: input, pull: down, active: high}
  T1: {kind: magneto}
  D1: {kind: diode}
  D2: {kind: diode}
  D3: {kind: diode}
  P1: {kind: lamp, power: 21 W}
  P2: {kind: lamp}
  P3: {kind: lamp}
  P4: {kind: lamp, power: 2 W}
  R1: {kind: resistor, resistance: 470 Ω}
  SP1: {kind: splice, ways: 5}
  X1: {kind: connector, pins: 6}
  E1: {kind: ground}
  E2: {kind: ground}
wires:
  W1: {from: G1:+, to: F1:1, area: 16 mm², colour: RD}
  W2: {from: F1:2, to: S1:30, area: 4 mm², colour: RD}
  W3: {from: F1:2, to: K1:30, area: 10 mm², colour: RD}
  W4: {from: K1:87, to: M1:1, area: 10 mm²}
  W5: {from: M1:2, to: E1:1, area: 10 mm²}
  W6: {from: S1:50, to: S2:1, colour: WH-RD}
  W7: {from: S2:2, to: S3:1}
  W8: {from: S3:2, to: S4:1}
  W9: {from: S4:2, to: X1:a1}
  W10: {from: X1:b1, to: K1:86}
  W11: {from: K1:85, to: E1:1}
  W12: {from: S1:15, to: F2:1}
  W13: {from: F2:2, to: SP1:1}
  W14: {from: SP1:2, to: Y1:1}
  W15: {from: SP1:3, to: S5:1}
  W16: {from: SP1:4, to: A1:+}
  W17: {from: S5:2, to: P2:1}
  W18: {from: S5:3, to: X1:a3}
  W19: {from: X1:b3, to: P1:1}
  W20: {from: P2:2, to: E2:1}
  W21: {from: P1:2, to: E2:1}
  W22: {from: Y1:2, to: E1:1}
  W23: {from: A1:in, to: S2:3}
  W24: {from: S2:4, to: E2:1}
  W25: {from: A1:-, to: E1:1}
  W26: {from: T1:stop, to: S1:M}
  W27: {from: S1:G, to: E1:1}
  W28: {from: T1:-, to: FRAME}
  W29: {from: G1:-, to: FRAME, gauge: 6 AWG}
  W30: {from: D1:K, to: K1:86}
  W31: {from: D1:A, to: K1:85}
  W32: {from: S3:3, to: D2:A}
  W33: {from: D2:K, to: P3:1}
  W34: {from: P3:2, to: E2:1}
  W35: {from: S4:3, to: SP1:5}
  W36: {from: S4:4, to: K2:86}
  W37: {from: K2:85, to: E1:1}
  W38: {from: F1:2, to: K2:30}
  W39: {from: K2:87, to: Y2:1}
  W40: {from: Y2:2, to: E1:1}
  W41: {from: K2:31, to: SP1:4}
  W42: {from: K2:88, to: R1:1}
  W43: {from: R1:2, to: P4:1}
  W44: {from: P4:2, to: P3:2}
  W45: {from: A2:+, to: F2:2}
  W46: {from: A2:in, to: R1:2}
  W47: {from: A2:-, to: E2:1}
  W48: {from: D3:K, to: Y2:1}
  W49: {from: D3:A, to: Y2:2}
"""

SCRAP_BENCH = """
circuit: scrap-bench
controls:
  rotary: {label: A very long label for the rotary selector of the seed drill that nobody reads, positions: [a, b, c]}
parts:
  G1: {kind: battery}
  G2: {kind: battery}
  G3: {kind: supply, voltage: 5 V}
  S1: {kind: switch, control: rotary, contacts: {1-2: [a], 2-3: [b], 1-3: [c], 4-5: [a, b]}}
  S2: {kind: switch, control: rotary, contacts: {C-1: [a], C-2: [b], C-3: [c], C-4: []}}
  D1: {kind: diode}
  D2: {kind: diode}
  D3: {kind: diode}
  D4: {kind: diode}
  P1: {kind: lamp}
  P2: {kind: lamp}
  P3: {kind: lamp}
  F9: {kind: fuse}
  X1: {kind: connector, pins: 3}
  SP1: {kind: splice, ways: 4}
  K1: {kind: relay, contacts: {85-87: energised, 30-87: energised}}
  E1: {kind: ground}
  E2: {kind: ground}
wires:
  W1: {from: G1:-, to: G2:+}
  W2: {from: G1:+, to: D1:A}
  W2b: {from: G1:+, to: D1:A}
  W3: {from: D1:A, to: D2:K}
  W4: {from: D1:K, to: P1:1}
  W5: {from: D3:K, to: P1:1}
  W6: {from: D2:A, to: P1:2}
  W7: {from: D4:A, to: P1:2}
  W8: {from: D3:A, to: D4:K}
  W9: {from: D4:K, to: G2:-}
  W10: {from: P2:1, to: P2:2}
  W11: {from: P2:1, to: G1:+}
  W12: {from: S1:1, to: G1:+}
  W13: {from: S1:2, to: S2:C}
  W14: {from: S2:1, to: SP1:1}
  W15: {from: S2:2, to: SP1:2}
  W16: {from: SP1:3, to: G2:-}
  W17: {from: F9:1, to: F9:2}
  W18: {from: S1:3, to: P3:2}
  W19: {from: P3:1, to: G2:-}
  W20: {from: E1:1, to: FRAME}
  W21: {from: K1:86, to: K1:30}
  W22: {from: K1:85, to: X1:a1}
  W23: {from: X1:b1, to: X1:b2}
  W24: {from: G3:+, to: G3:-}
"""

LIVE_FRAME = """
circuit: gate-lamp
title: Old tractor, plus to frame, horn and gate lamp
controls:
  horn: {label: Horn button, positions: [released, pressed], springs_to: released}
parts:
  G1: {kind: battery, emf: 6.3 V}
  S1: {kind: switch, control: horn, contacts: {1-2: [pressed]}}
  Y1: {kind: solenoid}
  P1: {kind: lamp}
  E1: {kind: ground}
wires:
  W1: {from: G1:+, to: FRAME}
  W2: {from: G1:-, to: S1:1}
  W3: {from: S1:2, to: Y1:2}
  W4: {from: Y1:1, to: E1:1}
  W5: {from: P1:1, to: FRAME}
  W6: {from: P1:2, to: G1:-}
"""

SPARE_FUSE = """
circuit: yard-lights
title: Yard lights with a spare fuse that ends nowhere
controls:
  lights: {label: Yard switch, positions: [off, on]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse}
  S1: {kind: switch, control: lights, contacts: {1-2: [on]}}
  P1: {kind: lamp}
  P2: {kind: lamp}
  F2: {kind: fuse}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:1}
  W3: {from: S1:2, to: P1:1}
  W4: {from: P1:2, to: G1:-}
  W5: {from: F1:2, to: P2:1}
  W6: {from: P2:2, to: G1:-}
  W7: {from: F1:2, to: F2:1}
"""

EXAMPLES = {
    circuit.name: circuit
    for circuit in map(parse_circuit, (SPREADER, POND_PUMP, VERGE_MOWER, SCRAP_BENCH, LIVE_FRAME, SPARE_FUSE))
}


def drawn_circuits() -> dict[str, Circuit]:
    """Return the examples, every circuit of the course, the demonstration class and the benchmarks, and the guide's."""
    folders = ("course/faultwright_course/circuits", "autograde/faultwright_autograde/demo_class",
               "tests/autograde/gate_lamp", "tests/benchmarks")  # fmt: skip
    files = [file for folder in folders for file in sorted((HOUSE / folder).glob("*.yaml"))]
    read = {f"{file.parent.name}/{file.stem}": read_circuit(file) for file in files if _holds_a_circuit(file)}
    guide = (HOUSE / "course/guides/authoring.md").read_text(encoding="utf-8")
    read["guides/ride-on"] = parse_circuit(guide.partition("```yaml\n# ride-on.yaml\n")[2].partition("```")[0])
    return EXAMPLES | read


def _holds_a_circuit(file: Path) -> bool:
    return any(line.startswith("circuit:") for line in file.read_text(encoding="utf-8").splitlines()) and not any(
        line.startswith("paper:") for line in file.read_text(encoding="utf-8").splitlines()
    )
