"""A machine in use: what each kind of part does, moves, and everything that has a history."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

import itertools

import pytest

from faultwright.circuit import FRAME
from faultwright.errors import Refused
from faultwright.machine import Machine
from faultwright.meter import VOLTS, Probe
from faultwright.moves import parse_move
from faultwright.state_table import state_table
from faultwright.watch import watch
from tests.core import depot


def volts(made: Machine, terminal: str) -> float:
    """Return the voltage of a terminal against FRAME."""
    return float(made.settled.voltage(terminal))


def seen_after(text: str, *moves: str, faults: tuple[str, ...] = ()) -> list[object]:
    """Return what the first behaviour shows after each move."""
    made = depot.machine(text, faults=faults)
    return [next(iter(made.move(move).seen.values())) for move in moves]


# Rest


def test_rest_is_where_a_machine_starts() -> None:
    """Every control in its first position, relays released, fuses sound, everything mated, nothing latched."""
    made = depot.machine(depot.MOWER)
    assert made.state == {"key": "off", "seat": "empty", "brake": "released"}
    assert made.seen() == {"cranks": False, "sparks": False, "runs": False}
    assert (made.blown, made.wiring.unplugged, made.wiring.bridges, made.wiring.loads) == (
        frozenset(),
        frozenset(),
        (),
        (),
    )


# Relays

FEED = """
circuit: relay-feed
nominal: 12 V
controls:
  feed: {positions: [none, v1, v5, v7, v9]}
parts:
  T1: {kind: supply, voltage: 12 V, resistance: 1 mΩ}
  S1: {kind: switch, control: feed, contacts: {1-2: [v1], 1-3: [v5], 1-4: [v7], 1-5: [v9]}, resistance: 1 mΩ}
  L1: {kind: resistor, resistance: 880 Ω}
  L2: {kind: resistor, resistance: 112 Ω}
  L3: {kind: resistor, resistance: 57 Ω}
  L4: {kind: resistor, resistance: 26.667 Ω}
  K1: {kind: relay, coil: 80 Ω}
wires:
  W1: {from: T1:+, to: S1:1}
  W2: {from: S1:2, to: L1:1}
  W3: {from: S1:3, to: L2:1}
  W4: {from: S1:4, to: L3:1}
  W5: {from: S1:5, to: L4:1}
  W6: {from: L1:2, to: K1:86}
  W7: {from: L2:2, to: K1:86}
  W8: {from: L3:2, to: K1:86}
  W9: {from: L4:2, to: K1:86}
  W10: {from: K1:85, to: FRAME}
  W11: {from: T1:-, to: FRAME}
behaviour:
  pulled: {relay: K1}
"""
"""The feed gives the coil about 1, 5, 7 or 9 V."""


def test_a_relay_pulls_in_at_8_v_and_drops_out_at_1_5_v() -> None:
    """In between it stays as it was (pull-in 8 V, drop-out 1.5 V of a 12 V relay: an ISO 7588-pattern datasheet)."""
    moves = ("feed=v5", "feed=v7", "feed=v9", "feed=v5", "feed=v1", "feed=v5")
    assert seen_after(FEED, *moves) == [False, False, True, True, False, False]


def test_a_relay_with_volts_of_its_own() -> None:
    """``pull_in`` and ``drop_out`` of the file count where they are given."""
    text = FEED.replace("coil: 80 Ω", "coil: 80 Ω, pull_in: 6 V, drop_out: 4 V")
    assert seen_after(text, "feed=v5", "feed=v7", "feed=v5", "feed=v1", "feed=v5") == [False, True, True, False, False]


def test_default_volts_follow_the_nominal_voltage() -> None:
    """On 24 V a relay pulls in at 16 V: 12 V over its coil are not enough."""
    text = FEED.replace("nominal: 12 V", "nominal: 24 V")
    assert seen_after(text, "feed=v9") == [False]


def test_hold_in_contact() -> None:
    """Start is let go and the contactor holds itself; stop lets it go, and it does not start again by itself.

    Low-voltage protection as in DOE-HDBK-1011/4, ES-15: the auxiliary contact bridges the start button.
    """
    moves = ("start=pressed", "start=released", "stop=pressed", "stop=released", "start=pressed")
    assert seen_after(depot.GATE, *moves) == [True, True, False, False, True]


def test_hold_in_is_lost_with_the_supply() -> None:
    """When the supply fails the contactor drops out, and start must be pressed again."""
    moves = ("start=pressed", "start=released", "unplug=T1", "mate=T1")
    assert seen_after(depot.GATE, *moves) == [True, True, False, False]


def test_without_its_hold_in_contact_it_inches() -> None:
    """The auxiliary contact stuck open: it moves only while start is pressed."""
    moves = ("start=pressed", "start=released")
    assert seen_after(depot.GATE, *moves, faults=("Q1 13-14 stuck open",)) == [True, False]


BUZZER = """
circuit: buzzer
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  K1: {kind: relay}
  P1: {kind: lamp}
  P2: {kind: lamp}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: K1:30}
  W3: {from: K1:87a, to: K1:86}
  W4: {from: K1:85, to: G1:-}
  W5: {from: K1:87, to: P1:1}
  W6: {from: P1:2, to: G1:-}
  W7: {from: S1:2, to: P2:1}
  W8: {from: P2:2, to: G1:-}
behaviour:
  flickers: {lamp: P1}
  steady:   {lamp: P2}
  relay:    {relay: K1}
"""


def test_a_relay_that_cuts_its_own_coil_buzzes() -> None:
    """It is reported as buzzing; what changes with it is null, what does not is seen as ever; the meter is unsteady."""
    made = depot.machine(BUZZER)
    step = made.move("key=on")
    assert step.buzzes == ("K1",)
    assert step.seen == {"flickers": None, "steady": "lit", "relay": None}
    assert step.remarks() == ["K1 buzzes"]
    assert depot.measure(made, VOLTS, "K1:86", "K1:85").status == "unsteady"
    quiet = made.move("key=off")
    assert quiet.buzzes == ()
    assert quiet.seen == {"flickers": "off", "steady": "off", "relay": False}


def test_all_relays_that_must_change_change_together() -> None:
    """Two relays, each fed over the other's break contact: both pull in in the same round, so both let go, and so on."""
    made = depot.machine(
        """
circuit: rivals
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery, emf: 12 V}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  K1: {kind: relay}
  K2: {kind: relay}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: K1:30}
  W3: {from: S1:2, to: K2:30}
  W4: {from: K1:87a, to: K2:86}
  W5: {from: K2:87a, to: K1:86}
  W6: {from: K1:85, to: G1:-}
  W7: {from: K2:85, to: G1:-}
"""
    )
    assert made.move("key=on").buzzes == ("K1", "K2")


# Fuses


def fused(load: str, *ratings: str) -> str:
    """Return a circuit: battery 12 V with 0.1 Ω inside, fuses of 10 mΩ in series, a load; wires of 1 mΩ."""
    fuses = "".join(
        f"  F{number}: {{kind: fuse, rating: {rating}, resistance: 10 mΩ}}\n"
        for number, rating in enumerate(ratings, start=1)
    )
    points = ["G1:+", *(f"F{number}:{pin}" for number in range(1, len(ratings) + 1) for pin in (1, 2)), "S1:1"]
    wires = "".join(
        f'  W{number}: {{from: "{start}", to: "{end}", resistance: 1 mΩ}}\n'
        for number, (start, end) in enumerate(zip(points[::2], points[1::2], strict=True), start=1)
    )
    return f"""
circuit: fused
nominal: 12 V
controls:
  key: {{positions: [off, on]}}
parts:
  G1: {{kind: battery, emf: 12 V, resistance: 0.1 Ω}}
{fuses}  S1: {{kind: switch, control: key, contacts: {{1-2: [on]}}, resistance: 1 mΩ}}
  L1: {{kind: resistor, resistance: {load}}}
  P1: {{kind: lamp}}
wires:
{wires}  W8: {{from: "S1:2", to: "L1:1", resistance: 1 mΩ}}
  W9: {{from: "L1:2", to: "G1:-", resistance: 1 mΩ}}
  W10: {{from: "S1:1", to: "P1:1"}}
  W11: {{from: "P1:2", to: "G1:-"}}
  W12: {{from: "G1:-", to: FRAME, resistance: 1 mΩ}}
behaviour:
  lamp: {{lamp: P1}}
"""


@pytest.mark.parametrize(("load", "blown"), [("830 mΩ", ()), ("790 mΩ", ("F1",))])
def test_a_fuse_opens_from_1_35_times_its_rating(load: str, blown: tuple[str, ...]) -> None:
    """10 A: it holds 13.2 A and opens at 13.7 A (1.35 × rating: ISO 8820-3, from memory).

    The loop has 0.1 + 0.01 + 0.005 Ω and the load; the lamp beside it takes 0.37 A (5 W at 10.6 V).
    """
    made = depot.machine(fused(load, "10 A"))
    assert made.move("key=on").blown == blown


def test_the_fuse_furthest_over_its_rating_opens_first() -> None:
    """Two in series on the same current: the smaller one opens, and that saves the larger one."""
    made = depot.machine(fused("200 mΩ", "10 A", "5 A"))
    step = made.move("key=on")
    assert step.blown == ("F2",)
    assert step.remarks() == ["F2 blown"]
    assert depot.machine(fused("200 mΩ", "5 A", "10 A"), "key=on").blown == {"F1"}


def test_fuses_open_one_after_the_other() -> None:
    """Two side by side: the one with less resistance takes two thirds and opens; then the other has it all."""
    text = fused("350 mΩ", "10 A").replace("  P1:", "  F2: {kind: fuse, rating: 10 A, resistance: 20 mΩ}\n  P1:", 1)
    text = text.replace(
        "wires:",
        'wires:\n  W20: {from: "F2:1", to: "F1:1", resistance: 1 mΩ}\n  W21: {from: "F2:2", to: "F1:2", resistance: 1 mΩ}',
    )
    made = depot.machine(text)
    # 26 A: about 17 A and 9 A; alone neither would bear 26 A.
    assert made.move("key=on").blown == ("F1", "F2")
    made = depot.machine(text.replace("350 mΩ", "650 mΩ"))
    # 15.6 A: about 10.7 A and 4.9 A, and nothing opens although 15.6 A would open either.
    assert made.move("key=on").blown == ()


def test_a_fuse_stays_open_until_it_is_replaced() -> None:
    """Turning the key off does not mend it; replacing it does; while the short remains it goes again."""
    made = depot.machine(fused("12 Ω", "10 A"), faults=["L1 shorted"])
    history = [
        made.move(move).blown
        for move in (
            "key=on",
            "key=off",
            "repair=F1 replace",
            "key=on",
            "key=off",
            "repair=L1 replace",
            "key=on",
            "repair=F1 replace",
        )
    ]
    assert history == [("F1",), ("F1",), (), ("F1",), ("F1",), ("F1",), ("F1",), ()]
    assert made.seen() == {"lamp": "lit"}


def test_rest_puts_sound_fuses_in_and_leaves_faults_where_they_are() -> None:
    """Starting over is a new day: fuses sound, controls at rest, and the short is still there."""
    made = depot.machine(fused("12 Ω", "10 A"), "key=on", faults=["L1 shorted"])
    assert made.move("rest").blown == ()
    assert made.move("key=on").blown == ("F1",)


def test_a_shorted_supply_has_a_physical_answer() -> None:
    """A jumper across an unfused battery: the terminal voltage falls to what the jumper takes, nothing hangs."""
    made = depot.machine(depot.SHED, "bridge=G1:+,G1:-")
    # 0.1 Ω inside, 10 mΩ the jumper; G1:- has 0.1 Ω to FRAME without current.
    assert volts(made, "G1:+") == pytest.approx(12 * 0.01 / 0.11)


def test_a_fuse_opens_in_a_moment_of_buzzing() -> None:
    """A relay that buzzes shorts the feed each time it pulls in: that is enough for the fuse, and then all is quiet."""
    text = BUZZER.replace("  P1: {kind: lamp}", "  P1: {kind: lamp, power: 1440 W, voltage: 12 V}")
    text = text.replace("  S1: {kind", "  F1: {kind: fuse, rating: 10 A}\n  S1: {kind").replace(
        "to: S1:1}", "to: F1:1}"
    )
    made = depot.machine(text.replace("wires:", "wires:\n  W20: {from: F1:2, to: S1:1}"))
    step = made.move("key=on")
    assert (step.blown, step.buzzes) == (("F1",), ())
    assert step.seen == {"flickers": "off", "steady": "off", "relay": False}


# Motors, lamps, solenoids


def motor(series: str, entries: str) -> Machine:
    """Return a motor behind a resistor on 12 V."""
    return depot.machine(
        f"""
circuit: motor
nominal: 12 V
parts:
  T1: {{kind: supply, voltage: 12 V, resistance: 1 nΩ}}
  L1: {{kind: resistor, resistance: {series}}}
  M1: {{kind: motor, {entries}}}
wires:
  W1: {{from: "T1:+", to: "L1:1", resistance: 1 nΩ}}
  W2: {{from: "L1:2", to: "M1:1", resistance: 1 nΩ}}
  W3: {{from: "M1:2", to: FRAME, resistance: 1 nΩ}}
  W4: {{from: "T1:-", to: FRAME, resistance: 1 nΩ}}
behaviour:
  turns: {{motor: M1}}
"""
    )


@pytest.mark.parametrize(
    ("series", "entries", "turns", "across"),
    [
        # Standstill 12/(1 + 2) = 4 A turns it; then it is 12 V/2 A = 6 Ω.
        ("1 Ω", "resistance: 2 Ω, running: 2 A, turns_from: 3.9 A", True, 12 * 6 / 7),
        # The same current is not enough where more is needed: it stays its winding.
        ("1 Ω", "resistance: 2 Ω, running: 2 A, turns_from: 4.1 A", False, 12 * 2 / 3),
        # Turning it draws less than turns_from and goes on turning: standstill decides.
        ("1 Ω", "resistance: 2 Ω, running: 0.5 A, turns_from: 3 A", True, 12 * 24 / 25),
        # Without running it turns and stays its winding.
        ("1 Ω", "resistance: 2 Ω, turns_from: 3 A", True, 12 * 2 / 3),
        # By default it turns from a quarter of its standstill current at nominal: 1.5 A.
        ("5.9 Ω", "resistance: 2 Ω", True, 12 * 2 / 7.9),
        ("6.1 Ω", "resistance: 2 Ω", False, 12 * 2 / 8.1),
    ],
)
def test_motor(series: str, entries: str, turns: bool, across: float) -> None:  # noqa: FBT001 - a table
    """It turns where its winding would take ``turns_from`` at standstill; turning it draws ``running`` at nominal."""
    made = motor(series, entries)
    assert made.seen() == {"turns": turns}
    assert volts(made, "M1:1") == pytest.approx(across, rel=1e-6)


@pytest.mark.parametrize(
    ("series", "word"), [("2.83 Ω", "lit"), ("2.84 Ω", "dim"), ("56.1 Ω", "dim"), ("56.2 Ω", "off")]
)
def test_lamp_words(series: str, word: str) -> None:
    """Off under 15 % of its voltage, dim to 75 %, lit from there: a 10 Ω lamp in 10.5 Ω and what is put in."""
    made = depot.machine(depot.SHED, "key=on", faults=[f"W2 resistance {series}"])
    assert made.seen() == {"lamp": word}


@pytest.mark.parametrize("series", ["0.1 Ω", "10 Ω", "30 Ω", "80 Ω"])
def test_a_filament(series: str) -> None:
    """With ``filament: on`` its current goes with V^0.55 (from memory): 1.2 A at 12 V, more than its share below."""
    text = depot.SHED.replace("voltage: 12 V}", "voltage: 12 V, filament: on, cold: 10 mΩ}")
    made = depot.machine(text, "key=on", faults=[f"W2 resistance {series}"])
    across = volts(made, "P1:1") - volts(made, "P1:2")
    current = (12 - across) / (0.5 + float(series.removesuffix(" Ω")))
    assert current == pytest.approx(1.2 * (across / 12) ** 0.55, rel=1e-9)


def test_a_filament_is_never_colder_than_cold() -> None:
    """At next to no voltage it has its cold resistance, a tenth of the hot 10 Ω, and so has the ohmmeter."""
    text = depot.SHED.replace("voltage: 12 V}", "voltage: 12 V, filament: on}")
    made = depot.machine(text, "key=on", faults=["W2 resistance 100 kΩ"])
    assert volts(made, "P1:1") - volts(made, "P1:2") == pytest.approx(12 * 1 / (100_000 + 0.5 + 1))
    assert depot.measure(depot.machine(text, "unplug=G1"), "ohms", "P1:1", "P1:2").display == "1.0 Ω"


@pytest.mark.parametrize(("charge", "emf"), [("100 %", 12.65), ("50 %", 12.27), ("1 %", 11.89)])
def test_battery_charge(charge: str, emf: float) -> None:
    """Open-circuit voltage by state of charge: 12.65 V full to 11.89 V empty, half-way between (common practice)."""
    made = depot.machine(depot.SHED.replace("emf: 12 V", f"emf: 12.65 V, charge: {charge}"))
    assert volts(made, "G1:+") == pytest.approx(emf, abs=0.01)


@pytest.mark.parametrize(("pulls_from", "pulls"), [("0.99 A", True), ("1.01 A", False)])
def test_solenoid(pulls_from: str, pulls: bool) -> None:  # noqa: FBT001 - a table
    """It pulls from ``pulls_from``: 10 Ω take a little less than 1 A from a 10 V supply (10 mΩ inside)."""
    made = depot.machine(
        f"""
circuit: solenoid
nominal: 10 V
parts:
  T1: {{kind: supply}}
  Y1: {{kind: solenoid, resistance: 10 Ω, pulls_from: {pulls_from}}}
wires:
  W1: {{from: "T1:+", to: "Y1:1"}}
  W2: {{from: "T1:-", to: "Y1:2"}}
behaviour:
  pulls: {{solenoid: Y1}}
"""
    )
    assert made.seen() == {"pulls": pulls}


# Inputs


def module(entries: str, *, rail: str = "1 mΩ", ground: str = "1 mΩ") -> str:
    """Return an input fed over ``rail`` with 10 Ω beside it and grounded over ``ground`` with 10 Ω to + beside it.

    A switch can ground it (low), or feed it 8 V (high) from a divider.
    """
    return f"""
circuit: module
nominal: 12 V
controls:
  in: {{positions: [free, low, high]}}
parts:
  T1: {{kind: supply, voltage: 12 V, resistance: 1 mΩ}}
  S1: {{kind: switch, control: in, contacts: {{1-2: [low], 1-3: [high]}}, resistance: 1 mΩ}}
  L1: {{kind: resistor, resistance: {rail}}}
  L2: {{kind: resistor, resistance: 10 Ω}}
  L3: {{kind: resistor, resistance: {ground}}}
  L4: {{kind: resistor, resistance: 10 Ω}}
  L5: {{kind: resistor, resistance: 5 Ω}}
  L6: {{kind: resistor, resistance: 10 Ω}}
  A1: {{kind: input, {entries}}}
wires:
  W1: {{from: "T1:+", to: "L1:1", resistance: 1 mΩ}}
  W2: {{from: "L1:2", to: "A1:+", resistance: 1 mΩ}}
  W3: {{from: "A1:+", to: "L2:1", resistance: 1 mΩ}}
  W4: {{from: "L2:2", to: FRAME, resistance: 1 mΩ}}
  W5: {{from: "A1:-", to: "L3:1", resistance: 1 mΩ}}
  W6: {{from: "L3:2", to: FRAME, resistance: 1 mΩ}}
  W7: {{from: "A1:-", to: "L4:1", resistance: 1 mΩ}}
  W8: {{from: "L4:2", to: "T1:+", resistance: 1 mΩ}}
  W9: {{from: "A1:in", to: "S1:1", resistance: 1 mΩ}}
  W10: {{from: "S1:2", to: FRAME, resistance: 1 mΩ}}
  W11: {{from: "S1:3", to: "L6:1", resistance: 1 mΩ}}
  W12: {{from: "T1:+", to: "L5:1", resistance: 1 mΩ}}
  W13: {{from: "L5:2", to: "L6:1", resistance: 1 mΩ}}
  W14: {{from: "L6:2", to: FRAME, resistance: 1 mΩ}}
  W15: {{from: "T1:-", to: FRAME, resistance: 1 mΩ}}
behaviour:
  acts: {{input: A1}}
"""


@pytest.mark.parametrize(
    ("entries", "free", "low", "high"),
    [
        ("pull: up, active: low", False, True, False),
        ("pull: up, active: high", True, False, True),
        ("pull: down, active: high", False, False, True),
        ("pull: down, active: low", True, True, False),
        ("pull: up, active: low, threshold: 9 V", False, True, True),
        ("pull: down, active: high, threshold: 9 V", False, False, False),
    ],
)
def test_input(entries: str, free: bool, low: bool, high: bool) -> None:  # noqa: FBT001 - a table
    """Left free it stands at its pull; grounded at 0 V, or at 8 V, it is judged by its threshold (6 V by default)."""
    moves = ("in=free", "in=low", "in=high")
    assert seen_after(module(entries), *moves) == [free, low, high]


@pytest.mark.parametrize(("rail", "acts"), [("9.8 Ω", True), ("10.2 Ω", False)])
def test_an_input_that_is_not_fed_does_nothing(rail: str, acts: bool) -> None:  # noqa: FBT001 - a table
    """Half of nominal must stand between its + and -: 6.06 V over the divider are enough, 5.94 V are not."""
    assert seen_after(module("pull: up, active: low", rail=rail), "in=low") == [acts]


def test_the_threshold_is_against_its_own_ground() -> None:
    """With - lifted to 3 V by a bad ground, 8 V against FRAME are 5 V to the input: low."""
    lifted = module("pull: up, active: low", ground="3.333 Ω")
    assert seen_after(lifted, "in=high") == [True]
    assert volts(depot.machine(lifted, "in=high"), "A1:-") == pytest.approx(3, rel=0.01)


def test_an_unplugged_input_does_nothing() -> None:
    """In the hand a module sees nothing; its harness keeps what it has."""
    text = module("pull: up, active: low")
    assert seen_after(text, "in=low", "unplug=A1", "mate=A1", "unplug=A1:+", "mate=A1:+") == [
        True,
        False,
        True,
        False,
        True,
    ]
    # `in` lifted: it stays at its pull.
    assert seen_after(text, "in=low", "unplug=A1:in") == [True, False]


# Magneto and latches


def test_a_day_on_the_ride_on_mower() -> None:
    """It starts with the brake set and stops when nobody sits on it with the brake released.

    It runs on with start released, bears an empty seat while the brake is set, and does not start again by itself.
    """
    made = depot.machine(depot.MOWER)
    day = [
        ("seat=taken", False, False, False),
        ("brake=set", False, False, False),
        ("key=on", False, True, False),
        ("key=start", True, True, True),
        ("key=on", False, True, True),
        ("seat=empty", False, True, True),
        ("brake=released", False, False, False),
        ("seat=taken", False, True, False),
        ("key=start", False, True, False),
    ]
    for move, cranks, sparks, runs in day:
        assert made.move(move).seen == {"cranks": cranks, "sparks": sparks, "runs": runs}, move


def test_a_broken_stop_wire_means_it_will_not_stop() -> None:
    """Stop by ground: with the wire to the key open the key no longer stops the engine; a chafed one never lets it run."""
    start = ("seat=taken", "brake=set", "key=start", "key=off")
    assert depot.machine(depot.MOWER, *start, faults=["W6 open"]).seen()["runs"] is True
    assert depot.machine(depot.MOWER, *start).seen()["runs"] is False
    assert depot.machine(depot.MOWER, *start[:3], faults=["W6 shorted to ground"]).seen()["runs"] is False


@pytest.mark.parametrize(("ohms", "sparks"), [("98 Ω", False), ("101 Ω", True)])
def test_a_magneto_judges_the_circuit_outside(ohms: str, sparks: bool) -> None:  # noqa: FBT001 - a table
    """It sparks unless less than 100 Ω ground it from outside; its own primary of 1 Ω does not count."""
    made = depot.machine(
        f"""
circuit: stop
nominal: 12 V
parts:
  U1: {{kind: magneto, primary: 1 Ω}}
  L1: {{kind: resistor, resistance: {ohms}}}
wires:
  W1: {{from: "U1:stop", to: "L1:1", resistance: 0.5 Ω}}
  W2: {{from: "U1:-", to: "L1:2", resistance: 0.5 Ω}}
behaviour:
  sparks: {{magneto: U1}}
"""
    )
    assert made.seen() == {"sparks": sparks}


def test_a_magneto_that_is_unplugged_sparks() -> None:
    """Nothing outside grounds it then."""
    made = depot.machine(depot.MOWER)
    assert made.seen()["sparks"] is False
    assert made.move("unplug=U1:stop").seen["sparks"] is True
    assert made.move("mate=U1:stop").seen["sparks"] is False
    assert made.move("unplug=U1").seen["sparks"] is True


def test_latches_stand_in_the_order_of_the_file() -> None:
    """A later latch sees what an earlier one has just become, a lamp counts when lit (not when dim)."""
    text = (
        depot.SHED
        + "  first:  {starts_when: [lamp], keeps_while: [key=on]}\n  second: {starts_when: [first], keeps_while: [first]}\n"
    )
    made = depot.machine(text)
    assert made.move("key=on").seen == {"lamp": "lit", "first": True, "second": True}
    assert made.move("key=off").seen == {"lamp": "off", "first": False, "second": False}
    dim = depot.machine(text, "key=on", faults=["W2 resistance 10 Ω"])
    assert dim.seen() == {"lamp": "dim", "first": False, "second": False}


def test_a_latch_keeps_what_no_longer_starts_it() -> None:
    """It begins when starts_when and keeps_while hold and then lasts as long as keeps_while alone."""
    text = (
        depot.SHED.replace("parts:", "  flap: {positions: [shut, open]}\nparts:")
        + "  armed: {starts_when: [lamp], keeps_while: [flap=open]}\n"
    )
    made = depot.machine(text)
    moves = ("key=on", "flap=open", "key=off", "flap=shut", "flap=open")
    assert [made.move(move).seen["armed"] for move in moves] == [False, True, True, False, False]


# Moves on the wiring

TRAILER = """
circuit: trailer-light
nominal: 12 V
parts:
  G1: {kind: battery, emf: 12 V}
  X1: {kind: connector, pins: 2}
  N1: {kind: splice, ways: 3}
  P1: {kind: lamp}
  P2: {kind: lamp}
wires:
  W1: {from: G1:+, to: X1:a1}
  W2: {from: X1:b1, to: N1:1}
  W3: {from: N1:2, to: P1:1}
  W4: {from: N1:3, to: P2:1}
  W5: {from: P1:2, to: X1:b2}
  W6: {from: P2:2, to: X1:b2}
  W7: {from: X1:a2, to: G1:-}
  W8: {from: G1:-, to: FRAME}
behaviour:
  left:  {lamp: P1}
  right: {lamp: P2}
"""


@pytest.mark.parametrize(
    ("what", "left", "right", "live", "dead"),
    [
        ("X1", "off", "off", "X1:a1", "X1:b1"),
        ("X1:a1", "off", "off", "X1:a1", "X1:b1"),
        ("X1:b1", "off", "off", "X1:a1", "X1:b1"),
        ("P1", "off", "lit", "P1:1", "P1:2"),
        ("P1:1", "off", "lit", "P1:1", "P1:2"),
        ("N1:2", "off", "lit", "N1:1", "N1:2"),
        ("N1", "off", "off", "N1:1", "N1:2"),
        ("G1", "off", "off", "", "X1:a1"),
        ("G1:+", "off", "off", "", "X1:a1"),
        ("G1:-", "off", "off", "", "X1:a1"),
    ],
)
def test_unplugging(what: str, left: str, right: str, live: str, dead: str) -> None:
    """A connector, a part, one terminal: the harness side keeps what feeds it; plugged in again all is as before."""
    made = depot.machine(TRAILER)
    before = made.settled.voltages
    step = made.move(f"unplug={what}")
    assert step.seen == {"left": left, "right": right}
    if live:
        assert volts(made, live) > 11.5
    assert abs(volts(made, dead)) < 0.5
    assert made.move(f"mate={what}").seen == {"left": "lit", "right": "lit"}
    assert made.settled.voltages == before


def test_jumper() -> None:
    """A jumper (10 mΩ) lights the lamp over an open switch; taking it off, named either way round, ends that."""
    made = depot.machine(depot.SHED)
    assert made.move("bridge=S1:1,S1:2").seen == {"lamp": "lit"}
    assert volts(made, "S1:1") - volts(made, "S1:2") == pytest.approx(12 / 10.41 * 0.01)
    assert made.move("bridge=S1:2,S1:1").seen == {"lamp": "lit"}
    assert made.move("unbridge=S1:2,S1:1").seen == {"lamp": "off"}


def test_test_lamp() -> None:
    """5 W at nominal, 28.8 Ω: it is lit on a feed that can work, and off on one with 40 Ω... in between it is dim."""
    made = depot.machine(depot.SHED)
    assert made.move("load=S1:1,FRAME").test_lamps == {"S1:1,FRAME": "lit"}
    # Battery, W1 and W4 in series with it, 0.3 Ω.
    assert volts(made, "S1:1") == pytest.approx(12 * 28.8 / 29.1, rel=1e-3)
    assert made.move("load=S1:2,FRAME").test_lamps == {"S1:1,FRAME": "lit", "S1:2,FRAME": "off"}
    assert made.move("unload=FRAME,S1:1").test_lamps == {"S1:2,FRAME": "off"}
    weak = depot.machine(depot.SHED, "load=S1:1,FRAME", faults=["W1 resistance 28.5 Ω"])
    assert weak.step(parse_move("rest", weak.circuit)).test_lamps == {"S1:1,FRAME": "dim"}


def test_a_test_lamp_tells_a_feed_that_cannot_work() -> None:
    """Behind 100 kΩ the meter shows nearly full voltage and the test lamp stays off."""
    made = depot.machine(depot.SHED, faults=["W1 resistance 100 kΩ"])
    reading = depot.measure(made, VOLTS, "S1:1", FRAME)
    assert reading.value is not None
    assert reading.value > 11.8
    assert made.move("load=S1:1,FRAME").test_lamps == {"S1:1,FRAME": "off"}


def test_a_press_and_hold_control_is_released_by_its_own_move() -> None:
    """It stays pressed until its own move lets it go, whatever else is moved."""
    made = depot.machine(depot.GATE, "start=pressed")
    assert made.move("stop=pressed").state == {"stop": "pressed", "start": "pressed"}
    assert made.move("start=released").state == {"stop": "pressed", "start": "released"}


def test_a_repair_lasts_over_rest_and_a_jumper_does_not() -> None:
    """Repairs are for good; what was bridged, loaded or unplugged is put back at rest."""
    made = depot.machine(depot.SHED, "bridge=S1:1,S1:2", "unplug=P1", faults=["S1 stuck open"])
    made.move("rest")
    assert (made.wiring.bridges, made.wiring.unplugged) == ((), frozenset())
    assert made.move("key=on").seen == {"lamp": "off"}
    made.move("repair=S1 adjust")
    made.move("rest")
    assert made.move("key=on").seen == {"lamp": "lit"}


def test_the_same_repair_twice_and_at_a_sound_place_does_no_harm() -> None:
    """A remedy where nothing is wrong changes nothing."""
    made = depot.machine(depot.SHED, "key=on")
    before = made.settled.voltages
    for _ in range(2):
        made.move("repair=W2 mend the wire")
        assert made.settled.voltages == before


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("key=on", "key=on"),
        (" key = on ", "key=on"),
        ("unplug=P1", "unplug=P1"),
        ("unplug=P1:1", "unplug=P1:1"),
        ("bridge=S1:1, S1:2", "bridge=S1:1,S1:2"),
        ("load=S1:1,FRAME", "load=S1:1,FRAME"),
        ("disturb=W2", "disturb=W2"),
        ("disturb=nothing", "disturb=nothing"),
        ('repair="S1 free and lubricate"', "repair=S1 free and lubricate"),
        ("repair=S1 clean", "repair=S1 clean"),
        ("rest", "rest"),
    ],
)
def test_moves_are_written_as_they_are_read(text: str, written: str) -> None:
    """Blanks and quotes do not matter; what is written reads back as the same move."""
    found = depot.circuit(depot.SHED)
    move = parse_move(text, found)
    assert str(move) == written
    assert parse_move(str(move), found) == move


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "a move is 'rest' or word=value, such as key=on"),
        ("key", "a move is 'rest' or word=value, such as key=on"),
        ("kee=on", "there is no control or move 'kee'; did you mean 'key'? (allowed: key, unplug, mate, substitute, restore, bridge, unbridge, load, unload, disturb, repair, rest)"),
        ("key=onn", "control key: there is no position 'onn'; did you mean 'on'? (allowed: off, on)"),
        ("key=", "control key: there is no position '' (allowed: off, on)"),
        ("unplug=P2", "there is no part or terminal 'P2' (allowed: G1, S1, P1)"),
        ("unplug=P1:3", "P1 has no terminal 3 (it has 1 2)"),
        ("unplug=FRAME", "there is no part or terminal 'FRAME' (allowed: G1, S1, P1)"),
        ("bridge=S1:1", "two different terminals are needed, such as S1:1,FRAME"),
        ("bridge=S1:1,S1:1", "two different terminals are needed, such as S1:1,FRAME"),
        ("bridge=S1:1,S1:2,P1:1", "two different terminals are needed, such as S1:1,FRAME"),
        ("load=S1:9,FRAME", "S1 has no terminal 9 (it has 1 2)"),
        ("disturb=W9", "there is no place 'W9' (allowed: nothing, W1, W2, W3, W4, G1, G1:+, G1:-, S1, S1:1, S1:2, P1, P1:1, P1:2)"),
        ("repair=W9 clean", "there is no place 'W9' (allowed: W1, W2, W3, W4, G1, G1:+, G1:-, S1, S1:1, S1:2, P1, P1:1, P1:2)"),
        ("repair=S1 cleen", "S1: there is no remedy 'cleen'; did you mean 'clean'? (allowed: free and lubricate, adjust, replace, clean)"),
        ("repair=S1", "S1: there is no remedy '' (allowed: free and lubricate, adjust, replace, clean)"),
    ],
)  # fmt: skip
def test_a_move_that_cannot_be_made(text: str, message: str) -> None:
    """Each refusal gives the move, what is wrong and what is allowed; the machine is left as it was."""
    made = depot.machine(depot.SHED, "key=on")
    before = made.settled.voltages, dict(made.state)
    with pytest.raises(Refused) as refused:
        made.move(text)
    assert str(refused.value) == f"move {text!r}: {message}"
    assert (made.settled.voltages, made.state) == before


# The table of all control states


def test_a_table_without_history() -> None:
    """Every control state once, the last control changing fastest, rest first."""
    rows = list(state_table(depot.circuit(depot.MOWER)))
    assert [tuple(row.state.values()) for row in rows[:3]] == [
        ("off", "empty", "released"),
        ("off", "empty", "set"),
        ("off", "taken", "released"),
    ]
    assert len(rows) == 12
    cranking = [tuple(row.state.values()) for row in rows if row.seen["cranks"]]
    assert cranking == [("start", "empty", "set"), ("start", "taken", "set")]


def test_what_depends_on_history_is_null_and_named() -> None:
    """An engine that may run or stand is null; in states that start or stop it, it is known."""
    for row in state_table(depot.circuit(depot.MOWER)):
        sparks = row.seen["sparks"]
        if not sparks:
            assert row.seen["runs"] is False
        elif row.seen["cranks"]:
            assert row.seen["runs"] is True
        else:
            assert row.seen["runs"] is None
        assert row.depends_on_history == (("runs",) if row.seen["runs"] is None else ())


def test_a_hold_in_contact_depends_on_history() -> None:
    """With both buttons released the gate moves or stands; pressed they decide, and stop wins."""
    rows = {tuple(row.state.values()): row for row in state_table(depot.circuit(depot.GATE))}
    assert rows["released", "released"].depends_on_history == ("moves",)
    assert rows["released", "released"].seen == {"moves": None}
    assert rows["released", "pressed"].seen == {"moves": True}
    assert rows["pressed", "released"].seen == {"moves": False}
    assert rows["pressed", "pressed"].seen == {"moves": False}
    assert all(row.buzzes == () for row in rows.values())


def test_a_table_names_relays_that_buzz() -> None:
    """Where no position of the relay lasts it buzzes; what flickers with it is null and named as not known."""
    off, on = state_table(depot.circuit(BUZZER))
    assert (off.buzzes, on.buzzes) == ((), ("K1",))
    assert on.seen == {"flickers": None, "steady": "lit", "relay": None}
    assert on.depends_on_history == ("flickers", "relay")
    assert off.seen == {"flickers": "off", "steady": "off", "relay": False}


def test_a_sticking_switch_depends_on_history() -> None:
    """A sticking contact may stand in either position in every state of the table."""
    found = depot.machine(depot.SHED, faults=["S1 sticking"])
    rows = list(state_table(found.circuit, found.faults))
    assert [row.seen for row in rows] == [{"lamp": None}, {"lamp": None}]


def test_the_table_agrees_with_the_machine_in_every_state() -> None:
    """What a table gives as known is what a machine shows that is brought there from rest, in any order of moves."""
    for text in (depot.MOWER, depot.GATE, depot.BENCH, BUZZER, TRAILER):
        found = depot.circuit(text)
        for row in state_table(found):
            for controls in (list(row.state), list(row.state)[::-1]):
                made = Machine(found)
                for control in controls:
                    made.move(f"{control}={row.state[control]}")
                for name, seen in made.seen().items():
                    assert name in row.depends_on_history or row.seen[name] == seen


def test_a_table_that_would_be_too_large_is_refused() -> None:
    """13 controls of two positions are 8,192 states: more than anybody reads."""
    controls = "".join(f"  c{number}: {{positions: [off, on]}}\n" for number in range(13))
    found = depot.circuit(f"circuit: big\ncontrols:\n{controls}parts: {{}}\nwires: {{}}\n")
    with pytest.raises(Refused, match=r"^big: 8192 control states; a table may have 4096 at most$"):
        list(state_table(found))


# Watching the meter along a move


def displays(fault: str, move: str = "key=on", start: tuple[str, ...] = ()) -> list[float]:
    """Return five readings of volts at the lamp along a move."""
    made = depot.machine(depot.SHED, *start, faults=[fault] if fault else [])
    return [round(reading.value or 0.0) for reading in watch(made, move, Probe(VOLTS, "P1:1", "P1:2"))[1]]


def test_a_sound_contact_changes_once() -> None:
    """Five readings along the move: before, and from half-way on as it then stays."""
    assert displays("") == [0, 0, 11, 11, 11]
    assert displays("", "key=off", ("key=on",)) == [11, 11, 0, 0, 0]


def test_a_sticking_contact_changes_late() -> None:
    """It does not follow in the move of its control, and in the next one it arrives at the very end."""
    assert displays("S1 sticking") == [0, 0, 0, 0, 0]
    assert displays("S1 sticking", "disturb=nothing", ("key=on",)) == [0, 0, 0, 0, 11]


def test_a_dirty_contact_flickers_and_always_the_same_way() -> None:
    """A contact with resistance changes more than once; the pattern is fixed, so that a record can be replayed."""
    first = displays("S1 resistance 1 Ω")
    changes = sum(one != other for one, other in itertools.pairwise(first))
    assert changes >= 3
    assert displays("S1 resistance 1 Ω") == first


def test_watching_ends_as_the_move_does() -> None:
    """The step and the machine after watching are those of the same move without a meter."""
    watched, moved = (depot.machine(depot.GATE, faults=["S2 resistance 3 Ω"]) for _ in range(2))
    step, _ = watch(watched, "start=pressed", Probe(VOLTS, "M1:1", FRAME))
    assert step == moved.move("start=pressed")
    assert watched.settled.voltages == moved.settled.voltages
