"""Operating: what the pictures show, what is heard, and the remark about isolating first."""

from __future__ import annotations

from typing import Any

import pytest

from faultwright.behaviour import Seen
from faultwright_widgets.bench_session import BenchSession
from faultwright_widgets.words import seen_level
from tests.widgets.sprayer import bench


def after(*moves: str, fault: str = "") -> dict[str, Any]:
    """Return the state after moves."""
    session = BenchSession(bench(*filter(None, [fault])))
    for move in moves:
        session.handle({"do": "move", "move": move, "place": "operate"})
    return session.state()


@pytest.mark.parametrize(
    ("seen", "level"),
    [(True, "on"), (False, "off"), ("lit", "on"), ("dim", "dim"), ("off", "off"), (None, "unsteady")],
)
def test_a_picture_shows_how_far_something_is_on(seen: Seen, level: str) -> None:
    """Everything that can be seen has its picture, also what changes without end."""
    assert seen_level(seen) == level


def test_pictures_go_by_the_kind_of_behaviour() -> None:
    """The front end is told what kind each behaviour is, and its level changes with the machine."""
    assert [(item["kind"], item["level"]) for item in after()["seen"]] == [("motor", "off"), ("lamp", "off")]
    running = after("key=on", "float=full")["seen"]
    assert [(item["kind"], item["level"]) for item in running] == [("motor", "on"), ("lamp", "on")]


def test_the_test_lamp_is_pictured_in_the_list_of_the_wiring() -> None:
    """It is lit across the supply and off where nothing feeds it; nothing else in the list has a lamp."""
    rows = after("load=K1:30,FRAME", "load=K1:86,FRAME", "unplug=X1")["wiring"]
    assert [row.get("lamp", "") for row in rows] == ["", "on", "off"]


def test_a_click_and_a_fuse_that_has_gone_are_said() -> None:
    """The relay is heard to pull in; a short blows the fuse, and the next move says nothing of either."""
    assert after("key=on", "float=full")["notices"] == ["A click: K1 pulls in"]
    assert "Fuse F1 has gone" in after("key=on", fault="W4 shorted to ground")["notices"]
    assert after("key=on", "float=full", "test=pressed")["notices"] == []


ISOLATE = "Isolate first: this was done with G1 connected."


@pytest.mark.parametrize("move", ["substitute=K1", "bridge=K1:30,K1:87"])
@pytest.mark.parametrize("fault", ["", "W6 open", "W4 shorted to ground"])
def test_exchanging_and_bridging_with_a_source_connected_is_remarked_on(move: str, fault: str) -> None:
    """The remark goes by what is seen to be connected: whatever is wrong, it is said alike, and the move is made."""
    state = after(move, fault=fault)
    assert state["said"]["operate"] == ISOLATE
    assert len(state["wiring"]) == 1


@pytest.mark.parametrize("isolated", ["unplug=G1", "unplug=G1:+", "unplug=G1:-"])
def test_with_the_source_isolated_nothing_is_remarked(isolated: str) -> None:
    """A source is isolated when it is off, or one of its terminals."""
    assert after(isolated, "substitute=K1")["said"] == {}


def test_putting_the_old_part_back_is_an_exchange_too() -> None:
    """So is the jumper's remark joined to that of one across a switch."""
    assert after("unplug=G1", "substitute=K1", "mate=G1", "restore=K1")["said"]["operate"] == ISOLATE
    said = after("bridge=S1:1,S1:2")["said"]["operate"]
    assert said.startswith(f"{ISOLATE} A jumper across a switch is a test")


@pytest.mark.parametrize("move", ["unplug=K1", "load=K1:30,FRAME", "disturb=W7", "key=on"])
def test_other_moves_are_not_remarked_on(move: str) -> None:
    """Controls, a test lamp, a look for a loose joint need the supply, and unplugging is how one isolates."""
    assert after(move)["said"] == {}
