"""Why findings mislead, and which states differ: each reason shown on a reading that a handbook would warn of.

The reasons (a floating nought, a beep across two routes, volts without load, the half of a connector that is apart) are
common practice of the trade, without a source. Their figures are worked out by hand beside each.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.bench import Bench
from faultwright.errors import Refused
from faultwright.faults import parse_fault, universe
from faultwright.help_texts import TEXTS, text
from faultwright.machine import Machine
from faultwright.meter import AMPS, CONTINUITY, OHMS, VOLTS, Probe
from faultwright.misleading import misleading
from faultwright.noted_states import differing_states
from faultwright.record import Measured, Observed, Record
from faultwright.suspects import find_suspects
from faultwright.worked_search import MOST_TESTS, complaint_of, worked_search
from tests.core.records import any_actions, record_of
from tests.core.strategies import circuits
from tests.widgets.sprayer import CIRCUIT, bench

FULL = ("key=on", "float=full")
PRESSED = ("key=on", "test=pressed")


def at(*moves: str, fault: str = "W6 open") -> Bench:
    """Return a bench after some moves."""
    found = bench(fault)
    for move in moves:
        found.move(move)
    return found


def why(work: Bench, probe: Probe, expected: float | None = None) -> list[str]:
    """Return why a reading that is taken now misleads."""
    index, _ = work.read(probe, expected=expected)
    return misleading(CIRCUIT, work.record, index)


def begins(lines: list[str], key: str) -> bool:
    """Say whether some line is the text ``key``, as far as its first placeholder or its end."""
    beginning = TEXTS[key].split("{")[0]
    assert len(beginning) > 5, key
    return any(line.startswith(beginning) for line in lines)


def test_a_floating_nought_tells_nothing_of_the_supply() -> None:
    """With key off nothing joins B1:1 to the battery, so 0.00 V there hangs in the air."""
    lines = why(at(), Probe(VOLTS, "B1:1", "FRAME"))
    assert lines[0] == text("floating", shown="0.00 V")
    assert begins(why(at(), Probe(AMPS, "W6")), "floating.amps")


def test_volts_where_nothing_flows_prove_no_current() -> None:
    """Key on, tank low: no load is on, so S1:2 shows the whole 12.60 V; with the coil on, 148 mA pass there."""
    unloaded = text("unloaded", point="S1:2", shown="12.60 V")
    assert unloaded in why(at("key=on"), Probe(VOLTS, "S1:2", "FRAME"))
    assert unloaded in why(at("key=on", fault="W2 resistance 50 Ω"), Probe(VOLTS, "S1:2", "FRAME"))
    assert not begins(why(at(*FULL, fault="P1 open"), Probe(VOLTS, "S1:2", "FRAME")), "unloaded")


def test_a_beep_across_two_routes_says_that_one_is_whole() -> None:
    """Tank full and button pressed: W4, B1, W6 and W5, S2, W7 both join S1:2 to K1:86, so it beeps with W6 open."""
    work = at("unplug=G1", "float=full", "test=pressed")
    lines = why(work, Probe(CONTINUITY, "S1:2", "K1:86"))
    routes = "W4 → B1 → W6; W5 → S2 → W7"
    assert text("two_routes", count=2, red="S1:2", black="K1:86", routes=routes) in lines
    assert begins(why(work, Probe(CONTINUITY, "B1:2", "K1:86")), "suspects.same") is True
    assert text("beside.beep", place="W6", red="B1:2", black="K1:86") in why(work, Probe(CONTINUITY, "B1:2", "K1:86"))
    # With W9 open it beeps through the cold lamp's 7.2 Ω and back through the motor's 0.9 Ω all the same.
    around = why(at("unplug=G1", fault="W9 open"), Probe(CONTINUITY, "K1:87", "X1:a1"))
    assert text("beside.beep", place="W9", red="K1:87", black="X1:a1") in around
    work.move("test=released")
    assert not any("routes join" in line for line in why(work, Probe(CONTINUITY, "S1:2", "K1:86")))
    assert not any("another path" in line for line in why(work, Probe(CONTINUITY, "S1:1", "S1:2")))


def test_ohms_of_a_part_that_another_lies_beside() -> None:
    """Beside the motor's 0.9 Ω lies the cold lamp of 12² / 2 / 10 = 7.2 Ω and its wires; lifted, there is nothing."""
    lines = why(at("unplug=G1"), Probe(OHMS, "M1:1", "M1:2"))
    assert text("beside.both", place="M1", other="7.3 Ω", red="M1:1", black="M1:2") in lines
    apart = why(at("unplug=G1", "unplug=X1"), Probe(OHMS, "M1:1", "M1:2"))
    assert not any("of both together" in line for line in apart)


def test_what_is_said_before_a_reading_is_said_after_it() -> None:
    """Ohms with the battery on, and the half of a connector that is apart, as the cautions word them."""
    assert any("isolate first" in line for line in why(at("key=on"), Probe(OHMS, "M1:1", "M1:2")))
    assert any("on its b half" in line for line in why(at("unplug=X1"), Probe(VOLTS, "X1:b1", "FRAME")))
    leads = why(at("unplug=G1"), Probe(OHMS, "M1:1", "M1:2", leads=0.3))
    assert any(line.startswith("0.3 Ω of the leads") for line in leads)


def test_a_beep_proves_no_joint_for_amps() -> None:
    """40 Ω in a wire beeps (below 50 Ω), and 5 A through it would drop 200 V: the joint carries nothing."""
    lines = why(at("unplug=G1", fault="W9 resistance 40 Ω"), Probe(CONTINUITY, "K1:87", "X1:a1"))
    assert any("does not prove a joint" in line for line in lines)
    silent = why(at("unplug=G1", fault="F1 open"), Probe(CONTINUITY, "F1:1", "F1:2"))
    assert not any("does not prove a joint" in line for line in silent)


def test_a_coarse_range_loses_digits() -> None:
    """6,000 counts to 600 V have a last digit of 0.1 V; 12.6 V fits on 60 V, whose last digit is 10 mV."""
    lines = why(at(), Probe(VOLTS, "G1:+", "G1:-", range=600.0))
    assert text("coarse", range="600 V", digit="100 mV", fine="10 mV") in lines
    assert not begins(why(at(), Probe(VOLTS, "G1:+", "G1:-", range=60.0)), "coarse")
    assert text("over_range", range="6 V") in why(at(), Probe(VOLTS, "G1:+", "G1:-", range=6.0))


def test_an_expected_value_is_held_against_a_sound_machine() -> None:
    """The battery's 12.6 V at rest: 9 V was wrong by 3.6 V, and the nominal 12 V is close enough for a prediction."""
    lines = why(at(), Probe(VOLTS, "G1:+", "G1:-"), 9.0)
    assert text("expected.value", expected="9 V", sound="12.60 V", apart="3.6 V") in lines
    assert not begins(why(at(), Probe(VOLTS, "G1:+", "G1:-"), 12.0), "expected.value")
    floating = why(at(), Probe(VOLTS, "B1:1", "FRAME"), 12.6)
    assert text("expected.other", expected="12.6 V", sound="0.00 V, floating") in floating


def test_a_state_in_which_the_complaint_does_not_show() -> None:
    """The pump stands still on the float and runs on the button; readings under the button miss what is wrong."""
    work = at(*FULL)
    work.observe()
    work.move("test=pressed")
    seen = work.observe()
    pressed = "Key switch on, Pump test button pressed, Tank float full"
    lines = why(work, Probe(VOLTS, "K1:86", "FRAME"))
    assert text("well_here", state=pressed, wrong="Key switch on, Tank float full") in lines
    assert not begins(misleading(CIRCUIT, work.record, seen), "well_here")


def test_what_comes_and_goes_is_named() -> None:
    """A wire that breaks when it is disturbed shows 12 V, then nothing, in the same state."""
    work = at(*FULL, fault="W6 open when disturbed")
    probe = Probe(VOLTS, "K1:86", "FRAME")
    first, _ = work.read(probe)
    assert not begins(misleading(CIRCUIT, work.record, first), "comes_and_goes")
    work.move("disturb=W6")
    assert text("disturbed", place="W6") in why(work, probe)
    # A record from a real bench, on which it came and went without a move.
    actions = (*work.record.actions[:2], Observed({"pump": True}), Observed({"pump": False}))
    assert text("comes_and_goes", number=3) in misleading(CIRCUIT, Record(CIRCUIT.name, actions), 3)


def test_a_finding_that_every_suspect_shows_clears_nobody() -> None:
    """The same reading taken twice clears the second time nobody, and the numbers are those of the suspects."""
    work = at(*FULL)
    probe = Probe(VOLTS, "K1:86", "FRAME")
    before = find_suspects(CIRCUIT, work.record)
    first, _ = work.read(probe)
    after = find_suspects(CIRCUIT, work.record)
    counts = [len(found.faults) + found.healthy for found in (before, after)]
    said = text("suspects.fewer", before=counts[0], after=counts[1], cleared=counts[0] - counts[1])
    assert misleading(CIRCUIT, work.record, first)[-1] == said
    assert why(work, probe)[-1] == text("suspects.same", before=counts[1])


def test_findings_that_contradict_each_other_are_said_to() -> None:
    """No single fault lets the pump run and stand still in one state."""
    actions = (
        *at(*FULL).record.actions,
        Observed({"pump": True}),
        Observed({"pump": False}),
        Observed({"pump": False}),
    )
    record = Record(CIRCUIT.name, actions)
    assert misleading(CIRCUIT, record, 3)[-1] == text("suspects.conflict")
    assert misleading(CIRCUIT, record, 4)[-1] == text("suspects.none_before")


@settings(max_examples=6, deadline=None)
@given(st.data())
def test_what_is_said_of_a_finding_does_not_change_afterwards(data: st.DataObject) -> None:
    """On any circuit with any record each finding gets whole sentences, the same whatever is done after it."""
    circuit = data.draw(circuits())
    record = record_of(circuit, data.draw(any_actions(Machine(circuit))))
    for number, _ in record.findings():
        lines = misleading(circuit, record, number)
        assert all(line.endswith((".", "!")) and "{" not in line for line in lines)
        assert lines == misleading(circuit, Record(record.circuit, record.actions[: number + 1]), number)
    assert differing_states(circuit, record) != []


def test_only_a_finding_can_mislead() -> None:
    """A move is refused, with the number that the person sees."""
    with pytest.raises(Refused, match=r"^action 1 is no finding; a reading or a note of what is seen is one$"):
        misleading(CIRCUIT, at("key=on").record, 0)


def test_the_states_that_differ_are_held_side_by_side() -> None:
    """First the state to look at next is named; once it has been noted, the control that parts the two."""
    work = at(*FULL)
    work.observe()
    wrong = (
        "In Key switch on, Tank float full a sound machine has pump: yes, lamp: lit; you have noted pump: no, lamp: "
        "off (finding 3)."
    )
    pressed = "Key switch on, Pump test button pressed, Tank float full"
    between = "Pump test button (released or pressed)"
    sound = "pump: yes, lamp: lit"
    assert differing_states(CIRCUIT, work.record) == [
        wrong,
        text("states.look", state=pressed, sound=sound, between=between),
    ]
    work.move("test=pressed")
    work.observe()
    assert differing_states(CIRCUIT, work.record) == [
        wrong,
        text("states.well", state=pressed, sound=sound, number=5, between=between),
    ]


def test_where_nothing_differs_states_are_named_to_look_at() -> None:
    """Of 8 states three run the pump: those come first. After a repair what was noted before it counts no more."""
    work = at("key=on")
    work.observe()
    lines = differing_states(CIRCUIT, work.record)
    assert lines[0] == text("states.nothing", since="")
    assert [line.endswith("pump: yes, lamp: lit.") for line in lines[1:]] == [True, True, True, False]
    work.move("float=full")
    work.observe()
    assert differing_states(CIRCUIT, work.record)[0] != lines[0]
    work.move("repair=W6 mend the wire")
    assert differing_states(CIRCUIT, work.record)[0] == text("states.nothing", since=text("states.since"))
    for state in CIRCUIT.states():
        for name, position in state.items():
            if work.machine.state[name] != position:
                work.move(f"{name}={position}")
        work.observe()
    assert differing_states(CIRCUIT, work.record)[-1] == text("states.all_noted")


@pytest.mark.parametrize("fault", ["W6 open", "W8 resistance 300 Ω", "K1 coil open", "M1 shorted", "F1 open"])
def test_a_worked_search_finds_the_fault(fault: str) -> None:
    """It begins with the complaint and ends with the fault among suspects that no test tells apart further."""
    work = at(*FULL, fault=fault)
    work.observe()
    complaint = complaint_of(work.record)
    faults = [parse_fault(fault, CIRCUIT)]
    found = worked_search(CIRCUIT, faults, complaint)
    assert found.actions[: len(complaint.actions)] == complaint.actions
    left = find_suspects(CIRCUIT, found)
    assert faults[0].name in left.names
    assert len(left.names) <= 3 < len(find_suspects(CIRCUIT, complaint).names) < len(universe(CIRCUIT))
    assert sum(1 for _ in found.findings()) < MOST_TESTS


def test_the_complaint_ends_at_the_first_reading() -> None:
    """What a person did before the meter came out is common to both searches."""
    work = at(*FULL)
    work.observe()
    work.read(Probe(VOLTS, "K1:86", "FRAME"))
    work.move("rest")
    assert complaint_of(work.record).actions == work.record.actions[:3]
    assert isinstance(work.record.actions[3], Measured)
