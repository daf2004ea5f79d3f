"""Truth tables in the fewest words: known machines, random ones, and what students say of them."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.conditions import Condition, Is, of_terms
from faultwright.errors import Refused
from faultwright.permission import behaviour_permissions, check_statement, path_states, route_permissions
from faultwright.routes import load_routes, routes_between
from faultwright.state_table import state_table
from tests.core.depot import GATE, MOWER, circuit
from tests.core.interlocks import ANY_OF_THREE, CHIPPER, NEUTRAL_OR_BOTH
from tests.core.strategies import circuits

# Machines whose permissions are known


def test_any_of_three_permits_running() -> None:
    """With the key on the machine runs in neutral, or with the clutch in, or with the stand up; that is all."""
    machine = circuit(ANY_OF_THREE)
    assert behaviour_permissions(machine)["runs"].words() == (
        "runs: when key switch on and (gear lever neutral or clutch lever in or stand up)"
    )
    held = behaviour_permissions(machine, {"key": "on"})["runs"]
    assert held.words() == "with key switch on: runs: when gear lever neutral, or clutch lever in, or stand up"
    assert held.as_json() == {
        "about": "runs",
        "given": {"key": "on"},
        "permitted": [{"gear": ["neutral"]}, {"clutch": ["in"]}, {"stand": ["up"]}],
        "certain": [{"gear": ["neutral"]}, {"clutch": ["in"]}, {"stand": ["up"]}],
        "states": [
            {
                "state": {"key": "on", "gear": gear, "clutch": clutch, "stand": stand},
                "so": gear == "neutral" or clutch == "in" or stand == "up",
            }
            for gear in ("neutral", "engaged")
            for clutch in ("out", "in")
            for stand in ("down", "up")
        ],
        "words": held.words(),
    }


def test_neutral_or_both_starts_by_one_rule_and_runs_on_by_another() -> None:
    """It starts in neutral or with clutch and stand; it runs on in neutral or with the stand up, and only if started.

    It is certain to run only where the starter cranks.
    """
    found = behaviour_permissions(circuit(NEUTRAL_OR_BOTH))
    assert found["cranks"].words() == (
        "cranks: when start button pressed and (gear lever neutral or clutch lever in and stand up)"
    )
    assert found["sparks"].words() == "sparks: when gear lever neutral, or stand up"
    assert found["runs"].words() == (
        "runs: permitted when gear lever neutral, or stand up; whatever was done before, when start button pressed "
        "and (gear lever neutral or clutch lever in and stand up)"
    )


def test_a_machine_with_hold_in_depends_on_what_was_done_before() -> None:
    """The chain permits, the start button makes certain: in between the contactor holds itself in or does not."""
    permission = behaviour_permissions(circuit(CHIPPER))["chips"]
    assert permission.words() == (
        "chips: permitted when emergency stop out and guard shut and stop button released; whatever was done before, "
        "when emergency stop out and guard shut and stop button released and start button pressed"
    )
    unknown = [dict(state) for state, so in permission.rows if so is None]
    assert unknown == [{"emergency": "out", "guard": "shut", "stop": "released", "start": "released"}]


TENT = """
circuit: tent-lamp
nominal: 12 V
controls:
  knob: {label: Knob, positions: [off, half, full]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: knob, contacts: {1-2: [half], 1-3: [full]}}
  L1: {kind: resistor, resistance: 30 Ω}
  P1: {kind: lamp, power: 5 W}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: L1:1}
  W3: {from: L1:2, to: P1:1}
  W4: {from: S1:3, to: P1:1}
  W5: {from: P1:2, to: G1:-}
behaviour:
  shines: {lamp: P1}
"""


def test_a_dim_lamp_does_not_count() -> None:
    """Behind 30 Ω a 12 V 5 W lamp (28.8 Ω) has half its voltage and is dim; it counts when lit, as in a latch."""
    machine = circuit(TENT)
    assert [row.seen["shines"] for row in state_table(machine)] == ["off", "dim", "lit"]
    assert behaviour_permissions(machine)["shines"].words() == "shines: when knob full"


def test_positions_of_one_control_are_one_condition() -> None:
    """The ride-on sparks with its key anywhere but off: 'on or start' is one condition, not two terms."""
    found = behaviour_permissions(circuit(MOWER))
    assert found["sparks"].permitted == (
        (Is("key", ("on", "start")), Is("seat", ("taken",))),
        (Is("key", ("on", "start")), Is("brake", ("set",))),
    )
    assert found["sparks"].words() == "sparks: when (key on or start) and (seat taken or brake set)"


def test_always_and_never_are_said_plainly() -> None:
    """A thing that no control changes is so always or never."""
    machine = circuit(ANY_OF_THREE)
    assert behaviour_permissions(machine, {"key": "off"})["runs"].words() == "with key switch off: runs: never"
    on = {"key": "on", "gear": "neutral"}
    assert (
        behaviour_permissions(machine, on)["runs"].words() == "with key switch on and gear lever neutral: runs: always"
    )


def test_unknown_given_controls_are_all_named() -> None:
    """Controls and positions that the machine has not are refused at once, with the nearest names."""
    with pytest.raises(Refused) as refused:
        behaviour_permissions(circuit(ANY_OF_THREE), {"keys": "on", "stand": "upp"})
    assert str(refused.value) == (
        "errand-cycle: there is no control 'keys'; did you mean 'key'? (allowed: key, gear, clutch, stand)\n"
        "errand-cycle: control stand: there is no position 'upp'; did you mean 'up'? (allowed: down, up)"
    )


def test_a_route_set_depends_on_the_relay_as_it_settles() -> None:
    """The motor's feed is closed where the contactor is in: held in or not, in the state between; isolated, never."""
    machine = circuit(GATE)
    sets = load_routes(machine, "M1")
    feed, back = route_permissions(machine, sets)
    assert (
        feed.words() == "feed of M1:1: permitted when stop released; whatever was done before, when stop released "
        "and start pressed"
    )
    assert back.words() == "return of M1:2: always"
    feed, back = route_permissions(machine, sets, isolated=True)
    assert feed.words() == "feed of M1:1: never"
    assert back.words() == "return of M1:2: always"


BUZZER = """
circuit: horn
nominal: 12 V
controls:
  button: {positions: [released, pressed]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: button, contacts: {1-2: [pressed]}}
  K1: {kind: relay, contacts: {30-87a: released}}
wires:
  W1: {from: G1:+, to: S1:1}
  W2: {from: S1:2, to: K1:30}
  W3: {from: K1:87a, to: K1:86}
  W4: {from: K1:85, to: G1:-}
behaviour:
  pulled: {relay: K1}
"""


def test_what_changes_without_end_is_not_known() -> None:
    """A relay fed through its own resting contact buzzes while the button is pressed: neither it nor its feed is so."""
    machine = circuit(BUZZER)
    feed, _ = route_permissions(machine, load_routes(machine, "K1"))
    for permission in (behaviour_permissions(machine)["pulled"], feed):
        assert [so for _, so in permission.rows] == [False, None]


def test_path_states_agree_with_the_routes_between() -> None:
    """Where the meter beeps on the isolated machine, the routes between the two terminals say so too."""
    machine = circuit(ANY_OF_THREE)
    (permission,) = route_permissions(machine, [routes_between(machine, "A1:in", "FRAME")], isolated=True)
    assert permission.about == "A1:in to FRAME"
    assert path_states(machine, ("A1:in", "FRAME")) == list(permission.rows)


# Laws


@given(circuits(most=6))
@settings(max_examples=40)
def test_terms_say_what_the_table_says(machine: Circuit) -> None:
    """On every random machine the terms hold in exactly the states of the table: certain, and permitted besides."""
    rows = list(state_table(machine))
    for name, permission in behaviour_permissions(machine).items():
        for row in rows:
            seen = row.seen[name]
            assert of_terms(permission.certain).holds(row.state) is (seen is True or seen == "lit")
            assert of_terms(permission.permitted).holds(row.state) is (seen is None or seen is True or seen == "lit")


# A student's statement against the machine


def test_a_right_statement_is_refuted_by_no_state() -> None:
    """Either arrangement's rule, in whatever order and words, is right in every state."""
    assert check_statement(circuit(ANY_OF_THREE), "key on and (up or in or neutral)", "runs") is None
    assert check_statement(circuit(ANY_OF_THREE), "neutral or clutch in or stand up", "runs", {"key": "on"}) is None
    text = "start=pressed and (gear=neutral or clutch=in and stand=up)"
    assert check_statement(circuit(NEUTRAL_OR_BOTH), text, "cranks") is None


def test_a_wrong_statement_is_refuted_by_the_first_state() -> None:
    """The rule of the one arrangement is wrong on the other: with the clutch in and the stand down it does not run."""
    machine = circuit(NEUTRAL_OR_BOTH)
    found = check_statement(machine, "neutral or clutch in or stand up", "sparks")
    assert found is not None
    assert found.as_json() == {
        "about": "sparks",
        "state": {"gear": "engaged", "clutch": "in", "stand": "down", "start": "released"},
        "says": True,
        "does": False,
    }
    assert found.words(machine.controls) == (
        "with gear lever engaged and clutch lever in and stand down and start button released the statement says that "
        "it is so (sparks), and on the machine it is not"
    )
    other = check_statement(machine, "neutral", "sparks")
    assert other is not None
    assert other.words(machine.controls) == (
        "with gear lever engaged and clutch lever out and stand up and start button released the statement says that "
        "it is not so (sparks), and on the machine it is"
    )


def test_what_depends_on_history_refutes_only_what_is_said_of_permission() -> None:
    """That it runs with the start button pressed is no wrong table; as a rule of what permits running it is.

    Nor may a rule of permission hold where the machine never runs.
    """
    machine = circuit(NEUTRAL_OR_BOTH)
    starts = "start pressed and (neutral or clutch in and stand up)"
    assert check_statement(machine, starts, "runs") is None
    found = check_statement(machine, starts, "runs", permits=True)
    assert found is not None
    assert found.words(machine.controls) == (
        "with gear lever neutral and clutch lever out and stand down and start button released the statement says that "
        "it is not so (runs), and on the machine it can be, after what was done before"
    )
    assert check_statement(machine, "neutral or stand up", "runs", permits=True) is None
    wrong = check_statement(machine, "always", "runs", permits=True)
    assert wrong is not None
    assert (wrong.says, wrong.does) == (True, False)


def test_mistakes_in_all_that_was_written_come_together() -> None:
    """An unknown behaviour, an unknown position held, and what is wrong with the statement are told at once."""
    with pytest.raises(Refused) as refused:
        check_statement(circuit(GATE), "stop released and", "move", {"start": "pressd"})
    assert str(refused.value) == (
        "yard-gate: control start: there is no position 'pressd'; did you mean 'pressed'? (allowed: released, "
        "pressed)\n"
        "yard-gate: there is no behaviour 'move'; did you mean 'moves'? (allowed: moves)\n"
        "statement 'stop released and': nothing stands after 'and'"
    )


@given(st.data())
@settings(max_examples=40)
def test_a_statement_is_refuted_exactly_where_it_differs(data: st.DataObject) -> None:
    """For random statements about random machines the first state that differs is found, or none does."""
    machine = data.draw(circuits(most=4))
    permissions = behaviour_permissions(machine)
    terms = st.lists(st.sampled_from([
        Is(control.name, (position,)) for control in machine.controls.values() for position in control.positions
    ]), max_size=2).map(tuple)  # fmt: skip
    expression = of_terms(tuple(data.draw(st.lists(terms, max_size=2))))
    for permission in permissions.values():
        differing = [state for state, so in permission.rows if so not in (None, expression.holds(state))]
        found = permission.check(Condition("drawn", expression))
        assert (None if found is None else found.state) == (differing[0] if differing else None)


# What it costs to start


@pytest.mark.parametrize(
    ("code", "heavy"),
    [
        ("import faultwright", {"networkx", "sympy"}),
        ("import faultwright.command_line", {"networkx", "sympy"}),
        ("import faultwright.permission, faultwright.statements", {"networkx", "sympy", "numpy"}),
        ("import faultwright.routes", {"sympy", "numpy"}),
    ],
)
def test_libraries_are_loaded_only_where_they_are_used(code: str, heavy: set[str]) -> None:
    """Only tracing routes loads the library for graphs; nothing loads the one that the tests compare with."""
    listing = f"{code}\nimport sys\nprint(*sorted({heavy!r} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", listing], capture_output=True, check=True, encoding="utf-8")
    assert done.stdout.split() == []


def test_the_help_is_shown_without_the_library_for_graphs() -> None:
    """``faultwright --help`` runs to its end with networkx and sympy made impossible to import."""
    code = (
        "import sys; sys.modules.update(networkx=None, sympy=None); sys.argv = ['faultwright', '--help']; "
        "from faultwright.command_line import main; main()"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False, encoding="utf-8")
    assert (done.returncode, done.stderr) == (0, "")
    assert "Usage" in done.stdout
