"""Help in steps: given in practice alone, never from what is hidden before the end, and kept until more is done."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.faults import universe
from faultwright.misleading import misleading
from faultwright.noted_states import differing_states
from faultwright.record import Record
from faultwright.suspects import find_suspects
from faultwright_widgets.bench_session import BenchSession
from faultwright_widgets.bench_view import BenchView
from faultwright_widgets.exercise import Exercise
from tests.widgets.sprayer import CIRCUIT, bench
from tests.widgets.test_bench_view import HIDDEN, plain, send, synced

PRACTICE = Exercise(complaint="The pump does not run when the tank is full.", helps=True)
FULL = ("key=on", "float=full")
STEPS: tuple[dict[str, Any], ...] = (
    {"do": "why"},
    {"do": "differs"},
    {"do": "commit", "suspects": ["W6 open", "K1 coil open"]},
    {"do": "best"},
)
"""The four steps that come before the end."""


def session(*faults: str, exercise: Exercise = PRACTICE, answer_file: Path | None = None) -> BenchSession:
    """Return a session on the sprayer."""
    return BenchSession(bench(*faults), exercise, answer_file=answer_file)


def said(one: BenchSession, message: dict[str, Any]) -> str:
    """Send a message and return what the section says of it, or the alerts."""
    one.handle({**message, "place": "helping"})
    state = one.state()
    assert all(alert["place"] == "helping" for alert in state["alerts"])
    return " ".join(alert["text"] for alert in state["alerts"]) or state["said"].get("helping", "")


def given_by(one: BenchSession, step: str) -> dict[str, Any]:
    """Return what a step has given."""
    found: dict[str, Any] = one.state()["helping"]["given"][step]
    return found


def looked(*moves: str, fault: str = "W6 open") -> BenchSession:
    """Return a session in which moves were made and what is seen was noted."""
    one = session(fault)
    for move in moves:
        one.handle({"do": "move", "move": move})
    one.handle({"do": "observe"})
    return one


@pytest.mark.parametrize("message", [*STEPS, {"do": "replay"}])
def test_a_paper_refuses_every_step_and_its_state_holds_none(message: dict[str, Any]) -> None:
    """Without ``helps`` neither the section nor its messages exist."""
    paper = session("W6 open", exercise=Exercise(paper="routes"))
    before = paper.state()
    assert said(paper, message).startswith(f"there is no thing to do {message['do']!r}")
    assert "helping" not in before
    assert "helping" not in paper.state()


def helped(fault: str) -> list[str]:
    """Return everything synced along a day with every step of help but the last."""
    view = BenchView(bench(fault), PRACTICE)
    states = []
    for move in (*FULL, "test=pressed", "test=released"):
        send(view, {"do": "move", "move": move})
        send(view, {"do": "observe"})
    for lead, terminal in (("red", "K1:85"), ("black", "FRAME")):
        send(view, {"do": "point", "lead": lead, "terminal": terminal})
    send(view, {"do": "read"})
    for step in STEPS:
        send(view, step)
        assert view.state["alerts"] == []
        states.append(synced(view))
    send(view, {"do": "replay"})  # asked for, and not yet confirmed
    assert plain(view.state)
    return [*states, synced(view)]


def test_no_step_tells_faults_apart_that_look_alike() -> None:
    """Faults that have shown the same get byte for byte the same help, up to giving up."""
    days = [helped(fault) for fault in HIDDEN]
    assert all(one == other for one, other in pairwise(days))
    assert "7193" not in "".join(days[0])


@settings(max_examples=8, deadline=None)
@given(st.sampled_from(sorted(universe(CIRCUIT))), st.lists(st.sampled_from([*FULL, "test=pressed", "key=off"])))
def test_help_follows_from_the_record_alone(fault: str, moves: list[str]) -> None:
    """Whatever is wrong, a step gives what circuit and record give without the bench."""
    one = looked(*moves, fault=fault)
    record = one.work.bench.record
    for message in STEPS:
        one.handle(message)
    last = max(number for number, _ in record.findings())
    assert given_by(one, "why")["lines"] == misleading(CIRCUIT, Record(record.circuit, record.actions), last)
    assert given_by(one, "states")["lines"] == differing_states(CIRCUIT, record)
    left = find_suspects(CIRCUIT, record).names
    possible = [row["suspect"] for row in given_by(one, "compare")["rows"] if row["computed"].startswith("still")]
    assert sorted(possible) == sorted(left)


def test_why_is_said_of_the_last_finding_or_of_one_that_is_chosen() -> None:
    """The sentence names the finding as the table does; what is none is refused."""
    one = session("W6 open")
    assert said(one, {"do": "why"}) == "there is no finding yet: note what is seen, or take a reading"
    one = looked(*FULL)
    one.handle({"do": "observe"})
    assert said(one, {"do": "why"}).startswith("Finding 4, Seen: pump: no, lamp: off.")
    assert said(one, {"do": "why", "index": 2}).startswith("Finding 3, Seen")
    assert said(one, {"do": "why", "index": 0}).startswith("action 1 is no finding")
    assert said(one, {"do": "why", "index": "2"}) == "action '2' is no finding"


def test_suspects_are_compared_only_once_committed() -> None:
    """Each suspect of one's own is possible or cleared by its first finding; those missed come after them."""
    one = looked(*FULL)
    assert "compare" not in one.state()["helping"]["given"]
    one.handle({"do": "move", "move": "test=pressed"})
    one.handle({"do": "observe"})
    sentence = said(one, {"do": "commit", "suspects": ["W6 open", "K1 coil open", "W6 open"]})
    left = find_suspects(CIRCUIT, one.work.bench.record).names
    assert "W6 open" in left
    assert sentence == (
        f"Of your 2 suspects, still possible: 1; cleared: 1. Still possible that you did not name: {len(left) - 1}."
    )
    rows = given_by(one, "compare")["rows"]
    assert rows[0] == {"suspect": "W6 open", "yours": "named", "computed": "still possible"}
    # Finding 5: the pump runs on the button, which it could not with the coil open.
    cleared = "cleared by finding 5: Seen: pump: yes, lamp: lit"
    assert rows[1] == {"suspect": "K1 coil open", "yours": "named", "computed": cleared}
    assert {row["yours"] for row in rows[2:]} == {"not named"}
    # W6 breaks between its ends or at a joint: B1:2 and K1:86 open look the same with nothing taken apart.
    assert any("B1:2 open" in group for group in given_by(one, "compare")["groups"])


def test_a_range_ends_only_where_a_finding_ends_it() -> None:
    """A look bounds a resistance from below alone; volts across the coil bound it on both sides.

    The relay pulls in at 8 V of 12.6 V, so up to about (12.6 / 8 − 1) · 85 Ω = 49 Ω in series with 85 Ω it still does.
    """
    one = looked(*FULL, fault="W6 resistance 300 Ω")
    one.handle({"do": "commit", "suspects": ["W6 resistance"]})
    least = given_by(one, "compare")["rows"][0]["computed"]
    assert re.fullmatch(r"still possible, from 4[78]\.\d Ω up", least)
    for lead, terminal in (("red", "K1:86"), ("black", "FRAME")):
        one.handle({"do": "point", "lead": lead, "terminal": terminal})
    one.handle({"do": "read"})
    one.handle({"do": "commit", "suspects": ["W6 resistance"]})
    both = re.fullmatch(r"still possible, from (\d+) Ω to (\d+) Ω", given_by(one, "compare")["rows"][0]["computed"])
    assert both is not None
    assert int(both[1]) <= 300 <= int(both[2])


@pytest.mark.parametrize(
    ("suspects", "answer"),
    [
        ([], "choose at least one suspect before you commit"),
        ("W6 open", "'suspects' must be a list of faults"),
        ([["W6 open"]], "'suspects' must be a list of faults"),
        (["W6 opem"], "there is no fault 'W6 opem'; did you mean 'W6 open'?"),
    ],
)
def test_what_is_no_list_of_suspects_is_refused(suspects: object, answer: str) -> None:
    """Nothing is compared, and nothing counts as asked for."""
    one = looked(*FULL)
    assert said(one, {"do": "commit", "suspects": suspects}).startswith(answer)
    assert one.state()["helping"]["given"] == {}
    assert one.state()["helping"]["used"] == ""


def test_the_best_test_comes_after_a_commitment() -> None:
    """Before it is refused; then it is named in words, with how it parts what is left."""
    one = looked(*FULL)
    assert said(one, {"do": "best"}) == "commit suspects of your own first"
    one.handle({"do": "commit", "suspects": ["W6 open"]})
    found = find_suspects(CIRCUIT, one.work.bench.record)
    assert f"It parts the {len(found.names)} suspects that are left into" in said(one, {"do": "best"})
    assert "R on " in given_by(one, "best")["said"]
    assert found.names != []


def test_what_was_given_is_kept_and_marked_when_more_is_done() -> None:
    """A step costs the state nothing: it stands as it was worked out, and says that something has been done since."""
    one = looked(*FULL)
    one.handle({"do": "differs"})
    first = given_by(one, "states")
    assert first["stale"] is False
    one.handle({"do": "observe"})
    assert given_by(one, "states") == first | {"stale": True}
    one.handle({"do": "differs"})
    assert given_by(one, "states")["stale"] is False
    assert one.state()["helping"]["used"] == "Asked for so far: Which control state differs? (2)."


def test_the_worked_search_needs_a_second_press() -> None:
    """Giving up is confirmed, and anything done in between takes the question back."""
    one = looked(*FULL)
    assert one.state()["helping"]["gate"] == "ask"
    sure = "This shows what is wrong with the machine. Press once more if you give up."
    assert said(one, {"do": "replay"}) == sure
    assert one.state()["helping"]["gate"] == "confirm"
    one.handle({"do": "move", "move": "key=off"})
    assert one.state()["helping"]["gate"] == "ask"
    assert said(one, {"do": "replay"}) == sure
    assert said(one, {"do": "replay"}).startswith("What was wrong: W6 open.")
    assert one.state()["helping"]["gate"] == "open"
    found = given_by(one, "replay")
    first = "Key switch on, Tank float full; Seen: pump: no, lamp: off. Clears 62 suspects; 67 left."
    assert found["yours"]["steps"] == [first]
    assert len(found["worked"]["steps"]) > 1
    # Two moves and a look at a cost of 1 each; what came after the look belongs to the search too.
    assert found["yours"]["cost"] == "Effort 4, a look at the machine being 1."


def test_the_worked_search_is_open_once_the_work_is_done(tmp_path: Path) -> None:
    """After the answer was submitted, or what is seen after a repair was noted, one press is enough."""
    one = session("W6 open", answer_file=tmp_path / "answer.json")
    one.handle({"do": "submit"})
    assert said(one, {"do": "replay"}).startswith("What was wrong: W6 open.")
    other = looked(*FULL)
    other.handle({"do": "repair", "at": "W6", "remedy": "mend the wire"})
    assert other.state()["helping"]["gate"] == "ask"
    other.handle({"do": "observe"})
    assert said(other, {"do": "replay"}).startswith("What was wrong: W6 open.")
    # The repair ends the search, so what was noted after it is no step of it.
    assert len(given_by(other, "replay")["yours"]["steps"]) == 1


def test_a_sound_machine_and_two_faults_are_replayed_too() -> None:
    """Nothing wrong, and two faults that no single one explains, give a search that ends, and no error."""
    for faults, named in (((), "nothing"), (("W6 open", "W7 open"), "W6 open, W7 open")):
        one = session(*faults)
        one.handle({"do": "replay"})
        assert said(one, {"do": "replay"}).startswith(f"What was wrong: {named}.")
        assert given_by(one, "replay")["yours"]["steps"] == []


def test_a_bench_opens_without_what_help_needs() -> None:
    """What works the help out needs numpy, and a bench that is never asked for help does not load it."""
    loads = "import sys\nimport faultwright_widgets.bench_session\nprint('numpy' in sys.modules)\n"
    root = Path(__file__).parents[2]
    done = subprocess.run([sys.executable, "-c", loads], cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_everything_given_is_plain_json() -> None:
    """Numbers and names of the computation are of Python's own types."""
    one = looked(*FULL)
    for message in (*STEPS, {"do": "replay"}, {"do": "replay"}):
        one.handle(message)
    assert plain(one.state())
    assert json.loads(json.dumps(one.state()["helping"])) == one.state()["helping"]
