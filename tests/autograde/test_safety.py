"""Safety by level, and proof by permissions and refusals."""

from __future__ import annotations

from dataclasses import replace

import pytest

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.faults import parse_fault
from faultwright.meter import Probe
from faultwright.proof import Fact, proof_of
from faultwright_autograde.case import Case
from faultwright_autograde.safety import defeats, incidents
from faultwright_autograde.trace import trace

ROUTES = """circuit: routes
controls:
  neutral: {label: Neutral, positions: [out, in]}
  clutch: {label: Clutch, positions: [released, pulled]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse}
  K1: {kind: relay}
  B1: {kind: switch, control: neutral, contacts: {1-2: [in]}}
  B2: {kind: switch, control: clutch, contacts: {1-2: [pulled]}}
  X1: {kind: connector}
  X2: {kind: splice, ways: 3}
  E1: {kind: ground}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: K1:86}
  W3: {from: K1:85, to: X2:1}
  W4: {from: X2:2, to: X1:a1}
  W5: {from: X1:b1, to: B1:1}
  W6: {from: B1:2, to: E1:1}
  W7: {from: X2:3, to: B2:1}
  W8: {from: B2:2, to: FRAME}
  W9: {from: G1:-, to: FRAME}
behaviour:
  cranks: {relay: K1}
"""


@pytest.fixture(scope="module")
def routes() -> Circuit:
    """Return a relay that must find ground by one of two routes."""
    return parse_circuit(ROUTES)


@pytest.mark.parametrize(
    ("ends", "switches"),
    [
        (("B1:1", "B1:2"), ["B1"]),
        (("X1:a1", "FRAME"), ["B1"]),
        (("K1:85", "E1:1"), ["B1"]),
        (("X2:1", "X2:3"), []),
        (("K1:86", "F1:1"), []),
        (("K1:86", "K1:85"), []),
    ],
)
def test_a_jumper_is_found_wherever_it_goes_round_a_switch(
    routes: Circuit, ends: tuple[str, str], switches: list[str]
) -> None:
    """At the switch itself or at the far ends of its wires, plug and splice: the guard is defeated all the same."""
    assert defeats(routes, ["B1"], ends) == switches


def test_a_jumper_round_two_switches_in_a_row_defeats_both(case: Case) -> None:
    """From the fuse to the lamp both switches are gone round."""
    assert defeats(case.circuit, ["S1", "B1"], ("F1:2", "P1:1")) == ["S1", "B1"]


def levels(case: Case, *moves: str, probe: Probe | None = None) -> list[str]:
    """Return the levels of the incidents after moves and a reading."""
    bench = Bench(case.circuit, [case.fault])
    for move in moves:
        bench.move(move)
    if probe is not None:
        bench.read(probe)
    done = trace(case.circuit, case.fault, bench.record)
    return [incident.level for incident in incidents(case.circuit, ["B1"], done)]


def test_a_jumper_as_a_test_with_the_machine_safe_is_allowed(case: Case) -> None:
    """Isolated, bridged, taken away again: a test."""
    assert levels(case, "unplug=G1", "bridge=B1:1,B1:2", "unbridge=B1:1,B1:2", "mate=G1") == []


def test_a_jumper_while_the_machine_can_move_is_critical_once(case: Case) -> None:
    """It is told once, however many moves it stays, and not again when taken away before the end."""
    assert levels(case, "bridge=B1:1,B1:2", "key=on", "gate=open", "unbridge=B1:1,B1:2") == ["critical"]


def test_a_jumper_left_at_the_end_is_critical(case: Case) -> None:
    """Even with the battery off it must not stay."""
    assert levels(case, "unplug=G1", "bridge=B1:1,B1:2") == ["critical"]


def test_a_jumper_beside_the_guard_is_no_defeat(case: Case) -> None:
    """To bridge a wire is a test like any other."""
    assert levels(case, "key=on", "bridge=B1:2,P1:1") == []


@pytest.mark.parametrize("mode", ["ohms", "continuity", "diode"])
def test_dead_tests_on_an_energised_circuit_are_serious(case: Case, mode: str) -> None:
    """While a source delivers current, not only where the meter happens to show it."""
    assert levels(case, "key=on", "gate=open", probe=Probe(mode, "M1:1", "M1:2")) == ["serious"]
    assert levels(case, "unplug=G1", probe=Probe(mode, "M1:1", "M1:2")) == []
    assert levels(case, "key=on", "gate=open", probe=Probe(mode, "F1:1", "F1:2", alone="F1")) == []


def test_amps_across_a_source_are_serious(case: Case) -> None:
    """It blows the meter's fuse."""
    assert levels(case, probe=Probe("amps", "G1:+", "G1:-")) == ["serious"]


def test_repairing_with_the_source_on_is_a_remark(case: Case) -> None:
    """At extra-low voltage it costs nothing, and is said."""
    assert levels(case, "repair=W4 mend the wire") == ["minor"]
    assert levels(case, "unplug=G1", "repair=W4 mend the wire") == []
    bench = Bench(case.circuit, [case.fault])
    bench.move("repair=W4 mend the wire")
    [found] = incidents(case.circuit, ["B1"], trace(case.circuit, case.fault, bench.record))
    assert found.what == (
        "move 1: repair=W4 mend the wire was done with the supply on. At extra-low voltage that costs no marks; "
        "still, take the return lead off before any repair and put it back last"
    )


def test_no_isolation_above_extra_low_voltage_is_critical(case: Case) -> None:
    """The same act at 110 V DC fails."""
    high = replace(case.circuit, nominal=110.0)
    bench = Bench(high, [case.fault])
    bench.move("repair=W4 mend the wire")
    found = incidents(high, ["B1"], trace(high, case.fault, bench.record))
    assert [incident.level for incident in found] == ["critical"]


def test_parallel_routes_each_permit_and_together_refuse(routes: Circuit) -> None:
    """Each route is shown where it alone carries, the refusal where none does: three states of four are enough."""
    proof = proof_of(routes)
    assert proof.facts == {Fact("cranks", control, on) for control in ("neutral", "clutch") for on in (True, False)}
    assert len(proof.smallest) == 3
    both = (("neutral", "in"), ("clutch", "pulled"))
    assert both not in proof.smallest
    assert proof.shows(dict(both), {"cranks": True}) == frozenset()


def test_a_false_look_shows_nothing(routes: Circuit) -> None:
    """What a sound machine would not show in a state is no proof of it."""
    proof = proof_of(routes)
    state = {"neutral": "in", "clutch": "released"}
    assert proof.shows(state, {"cranks": True}) == {Fact("cranks", "neutral", on=True)}
    assert proof.shows(state, {"cranks": False}) == frozenset()


RELAY = """circuit: hoist
controls:
  key: {label: Key, positions: [off, on]}
  guard: {label: Guard, positions: [open, shut]}
parts:
  G1: {kind: battery}
  F1: {kind: fuse, rating: 20 A}
  S1: {kind: switch, control: key, contacts: {1-2: [on]}}
  B1: {kind: switch, control: guard, contacts: {1-2: [shut]}}
  K1: {kind: relay}
  M1: {kind: motor, resistance: 1 Ω, running: 4 A, turns_from: 3 A}
wires:
  W1: {from: G1:+, to: F1:1}
  W2: {from: F1:2, to: S1:1}
  W3: {from: S1:2, to: B1:1}
  W4: {from: B1:2, to: K1:86}
  W5: {from: K1:85, to: G1:-}
  W6: {from: F1:2, to: K1:30}
  W7: {from: K1:87, to: M1:1}
  W8: {from: M1:2, to: G1:-}
behaviour:
  lifts: {motor: M1}
"""


def hoisted(moves: list[str], fault: str = "W4 open") -> list[tuple[str, str]]:
    """Return level and words of what is unsafe in these moves on the hoist."""
    circuit = parse_circuit(RELAY)
    broken = parse_fault(fault, circuit)
    bench = Bench(circuit, [broken])
    for move in moves:
        bench.move(move)
    found = incidents(circuit, ["S1", "B1"], trace(circuit, broken, bench.record))
    return [(one.level, one.what) for one in found]


@pytest.mark.parametrize(
    "moves",
    [
        ["bridge=K1:30,K1:87"],
        ["bridge=F1:2,M1:1"],
        ["bridge=B1:1,K1:87a", "bridge=K1:87a,B1:2"],
        ["load=S1:1,S1:2"],
        ["key=on", "bridge=K1:30,K1:87", "unbridge=K1:30,K1:87"],
    ],
)
def test_a_guard_defeated_in_whatever_way_is_critical(moves: list[str]) -> None:
    """Past the guard at the load, by a chain of jumpers over a spare terminal, or by a test lamp: all the same."""
    assert "critical" in [level for level, _ in hoisted(moves)]


def test_a_jumper_where_the_machine_is_meant_to_run_is_a_test() -> None:
    """With key on and guard shut a sound machine lifts: a jumper at the relay then shows the load side, no more."""
    found = hoisted(["key=on", "guard=shut", "bridge=K1:30,K1:87", "unbridge=K1:30,K1:87"])
    assert [level for level, _ in found] == []
