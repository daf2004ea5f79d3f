"""Interlocks of an invented depot whose routes and permissions are known beforehand, arranged as the trade does."""

from __future__ import annotations

ANY_OF_THREE = """
circuit: errand-cycle
title: Errand cycle, any of three is enough
nominal: 12 V
controls:
  key:    {label: Key switch, positions: [off, on]}
  gear:   {label: Gear lever, positions: [neutral, engaged]}
  clutch: {label: Clutch lever, positions: [out, in], springs_to: out}
  stand:  {label: Stand, positions: [down, up]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  B1: {kind: switch, control: gear, contacts: {1-2: [neutral]}}
  S2: {kind: switch, control: clutch, contacts: {1-2: [in]}}
  B2: {kind: switch, control: stand, contacts: {1-2: [up]}}
  A1: {kind: input}
  N1: {kind: splice, ways: 4}
  X1: {kind: connector, pins: 2}
  E1: {kind: ground}
wires:
  W1:  {from: G1:+, to: F1:1}
  W2:  {from: F1:2, to: S1:1}
  W3:  {from: S1:2, to: A1:+}
  W4:  {from: A1:in, to: N1:1}
  W5:  {from: N1:2, to: B1:1}
  W6:  {from: B1:2, to: FRAME}
  W7:  {from: N1:3, to: X1:a1}
  W8:  {from: X1:b1, to: S2:1}
  W9:  {from: S2:2, to: X1:b2}
  W10: {from: X1:a2, to: E1:1}
  W11: {from: N1:4, to: B2:1}
  W12: {from: B2:2, to: E1:1}
  W13: {from: A1:-, to: FRAME}
  W14: {from: G1:-, to: FRAME}
behaviour:
  runs: {input: A1}
"""
"""Enable by ground: the input is grounded in neutral, or with the clutch in, or with the stand up."""

NEUTRAL_OR_BOTH = """
circuit: parcel-cycle
title: Parcel cycle, starts in neutral or with clutch and stand
nominal: 12 V
controls:
  gear:   {label: Gear lever, positions: [neutral, engaged]}
  clutch: {label: Clutch lever, positions: [out, in], springs_to: out}
  stand:  {label: Stand, positions: [down, up]}
  start:  {label: Start button, positions: [released, pressed], springs_to: released}
parts:
  G1: {kind: battery}
  F1: {kind: fuse}
  S1: {kind: switch, control: start, contacts: {13-14: [pressed]}}
  Q1: {kind: relay, contacts: {30-87: energised}}
  M1: {kind: motor}
  A1: {kind: input}
  R1: {kind: diode}
  R2: {kind: diode}
  B1: {kind: switch, control: gear, contacts: {1-2: [neutral]}}
  S2: {kind: switch, control: clutch, contacts: {1-2: [in]}}
  B2: {kind: switch, control: stand, contacts: {1-2: [up]}}
wires:
  W1:  {from: G1:+, to: F1:1}
  W2:  {from: F1:2, to: S1:13}
  W3:  {from: S1:14, to: Q1:86}
  W4:  {from: Q1:85, to: R1:A}
  W5:  {from: R1:K, to: B1:1}
  W6:  {from: Q1:85, to: S2:1}
  W7:  {from: S2:2, to: B2:1}
  W8:  {from: B1:2, to: FRAME}
  W9:  {from: B2:2, to: FRAME}
  W10: {from: F1:2, to: A1:+}
  W11: {from: A1:-, to: FRAME}
  W12: {from: A1:in, to: B2:1}
  W13: {from: B2:1, to: R2:A}
  W14: {from: R2:K, to: B1:1}
  W15: {from: G1:+, to: Q1:30}
  W16: {from: Q1:87, to: M1:1}
  W17: {from: M1:2, to: FRAME}
  W18: {from: G1:-, to: FRAME}
behaviour:
  cranks: {motor: M1}
  sparks: {input: A1}
  runs:   {starts_when: [cranks, sparks], keeps_while: [sparks]}
"""
"""It cranks in neutral, or with the clutch in and the stand up; it runs on in neutral or with the stand up."""

CHIPPER = """
circuit: wood-chipper
title: Wood chipper, stop chain with hold-in contact
nominal: 24 V
controls:
  emergency: {label: Emergency stop, positions: [out, pushed]}
  guard:     {label: Guard, positions: [open, shut]}
  stop:      {label: Stop button, positions: [released, pressed], springs_to: released}
  start:     {label: Start button, positions: [released, pressed], springs_to: released}
parts:
  T1: {kind: supply, voltage: 24 V}
  S1: {kind: switch, control: emergency, contacts: {11-12: [out]}}
  B1: {kind: switch, control: guard, contacts: {13-14: [shut]}}
  S2: {kind: switch, control: stop, contacts: {21-22: [released]}}
  S3: {kind: switch, control: start, contacts: {13-14: [pressed]}}
  Q1: {kind: contactor}
  M1: {kind: motor, resistance: 4 Ω, running: 2 A, turns_from: 1.5 A}
wires:
  W1:  {from: T1:+, to: S1:11}
  W2:  {from: S1:12, to: B1:13}
  W3:  {from: B1:14, to: S2:21}
  W4:  {from: S2:22, to: S3:13}
  W5:  {from: S3:14, to: Q1:A1}
  W6:  {from: S2:22, to: Q1:13}
  W7:  {from: Q1:14, to: Q1:A1}
  W8:  {from: Q1:A2, to: FRAME}
  W9:  {from: T1:+, to: Q1:1}
  W10: {from: Q1:2, to: M1:1}
  W11: {from: M1:2, to: FRAME}
  W12: {from: T1:-, to: FRAME}
behaviour:
  chips: {motor: M1}
"""
"""All of the stop chain is needed; after that the start button, or the contactor's own hold-in contact."""

WINCH = """
circuit: trailer-winch
title: Winch motor, reversed by two change-over contacts
nominal: 12 V
controls:
  lever: {positions: [hold, haul, pay]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: lever, contacts: {3-1: [haul], 3-2: [hold, pay]}}
  S2: {kind: switch, control: lever, contacts: {3-1: [pay], 3-2: [hold, haul]}}
  M1: {kind: motor}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: G1:+, to: S2:1}
  W3: {from: S1:3, to: M1:1}
  W4: {from: S2:3, to: M1:2}
  W5: {from: S1:2, to: FRAME}
  W6: {from: S2:2, to: FRAME}
  W7: {from: G1:-, to: FRAME}
behaviour:
  turns: {motor: M1}
"""
"""Fed at one end to haul and at the other to pay out; never through a contact closed in another position."""
