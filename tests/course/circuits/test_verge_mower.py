"""The verge mower, the capstone: each of its circuits follows its own rule in every control state."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from faultwright.behaviour import Seen
from faultwright_course.catalogue import course_circuit
from tests.course.circuit_tables import at, drop

MOWER = course_circuit("verge-mower")
State = Mapping[str, str]


def _lamp(lit: bool) -> Seen:  # noqa: FBT001 - a rule's outcome
    return "lit" if lit else "off"


def _deck(state: State) -> bool:
    """The deck side: key on, deck on, height lowered."""
    return state["key"] == "on" and state["deck"] == "on" and state["height"] == "lowered"


# How such a machine works (common practice); each rule says when the behaviour is there.
RULES: Mapping[str, Callable[[State], Seen]] = {
    "cranks": lambda state: (
        state["key"] == "on" and state["start"] == "pressed" and state["brake"] == "on" and state["seat"] == "taken"
    ),
    "blades": lambda state: _deck(state) and state["seat"] == "taken",
    "hopper_fan": lambda state: state["key"] == "on" and state["hopper"] == "full",
    "hopper_lamp": lambda state: _lamp(state["key"] == "on" and state["hopper"] == "empty"),
    "full_lamp": lambda state: _lamp(state["key"] == "on" and state["hopper"] == "full"),
    "deck_lamp": lambda state: _lamp(_deck(state) and state["seat"] == "taken"),
    "deck_lift": lambda state: _deck(state) and state["seat"] == "taken",
    "left_side": lambda state: _lamp(state["key"] == "on" and state["lights"] != "off"),
    "right_side": lambda state: _lamp(state["key"] == "on" and state["lights"] != "off"),
    "left_work": lambda state: _lamp(state["key"] == "on" and state["lights"] == "work"),
    "right_work": lambda state: _lamp(state["key"] == "on" and state["lights"] == "work"),
    "flashes": lambda state: _lamp(state["key"] == "on" and state["beacon"] == "pressed"),
}


def test_every_behaviour_has_a_rule() -> None:
    """The machine has 40 parts and more, and nothing of it goes without a rule."""
    assert len(MOWER.parts) >= 40
    assert list(RULES) == list(MOWER.behaviour)


def test_rules_hold_in_every_control_state() -> None:
    """All control states: what is seen is what the rules say."""
    for state in MOWER.states():
        seen = at(MOWER, state).seen()
        assert seen == {name: rule(state) for name, rule in RULES.items()}, state


@pytest.mark.parametrize(
    ("red", "black", "most"), [("B1:1", "B1:2", 0.2), ("M1:2", "FRAME", 0.2), ("Q2:30", "Q2:87", 0.2)]
)
def test_sound_joints_keep_to_common_practice(red: str, black: str, most: float) -> None:
    """Everything on at once: a switch and a relay contact 0.2 V at most, the ground side 0.2 V (common practice)."""
    working = at(
        MOWER,
        MOWER.rest()
        | {
            "key": "on",
            "start": "pressed",
            "seat": "taken",
            "brake": "on",
            "deck": "on",
            "lights": "work",
            "hopper": "full",
        },
    )
    assert working.seen()["cranks"] is True
    assert drop(working, red, black) <= most
