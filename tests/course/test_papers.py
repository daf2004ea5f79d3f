"""The paper blueprints: they read, their pools are as described, and each pool's faults could be set up safely."""

from __future__ import annotations

import re

import pytest

from faultwright.candidates import isolation
from faultwright.circuit import Circuit
from faultwright.circuit_file import read_circuit
from faultwright.faults import universe
from faultwright.machine import Machine
from faultwright.meter import OVERLOAD, Probe, Reading, read
from faultwright.moves import control_moves
from faultwright.statements import parse_condition
from faultwright_autograde.blueprint_file import read_blueprint
from faultwright_autograde.paper import PaperMaker
from faultwright_autograde.pool import is_safe, is_shown, middle_value, pool
from faultwright_course.catalogue import circuit_path, paper_names, paper_path
from faultwright_course.opening import practice_case

BLUEPRINTS = {name: read_blueprint(paper_path(name)) for name in paper_names()}


@pytest.mark.parametrize("name", BLUEPRINTS)
def test_blueprint_reads(name: str) -> None:
    """A blueprint has no mistake, is called as its file is, and is made of a circuit of the course."""
    blueprint = BLUEPRINTS[name]
    assert blueprint.paper == name
    assert blueprint.circuit == read_circuit(circuit_path(blueprint.circuit.name))
    assert "\x07" not in blueprint.complaint.text
    assert sum(blueprint.rubric.weights.values()) == 100


def test_class_paper_has_room_for_a_class() -> None:
    """The paper for a class draws from many more faults than a class has benches next to each other."""
    found = pool(BLUEPRINTS["compressor-stands-still"])
    assert len(found) >= 30
    assert {fault.mode.rpartition(" ")[2] for fault in found} == {"open", "resistance"}
    assert "M1 open" not in [fault.name for fault in found]


def test_class_paper_differs_from_bench_to_bench() -> None:
    """No two of a dozen benches have the same machine and fault, and the same secret gives the same papers again."""
    benches = [f"bench-{number:02}" for number in range(1, 13)]
    blueprint = BLUEPRINTS["compressor-stands-still"]
    maker = PaperMaker(blueprint, b"only-for-this-test")
    cases = [maker.case(bench) for bench in benches]
    assert len({(str(case.fault), case.circuit_sha256) for case in cases}) == len(benches)
    assert len({case.fault.name for case in cases}) > len(benches) / 2
    again = PaperMaker(blueprint, b"only-for-this-test", maker.groups)
    assert [(str(again.case(case.candidate).fault), again.case(case.candidate).circuit_sha256) for case in cases] == [
        (str(case.fault), case.circuit_sha256) for case in cases
    ]


@pytest.mark.parametrize("name", [name for name, blueprint in BLUEPRINTS.items() if blueprint.practice])
def test_practice_fault_fits_its_complaint(name: str) -> None:
    """A practice case's fault is shown by its complaint and could be set up safely on a real machine."""
    case = practice_case(name)
    assert case.fault == middle_value(case.blueprint, case.fault)
    assert is_shown(case.circuit, case.fault, case.blueprint.complaint)
    assert is_safe(case.circuit, case.fault)


def test_complaint_of_the_bad_joint_is_true() -> None:
    """What the operator says of the clutch route holds: it does not crank there, yet the engine runs on there."""
    case = practice_case("routes-clutch")
    machine = Machine(case.circuit, [case.fault])
    for move in ("key=on", "gear=engaged", "clutch=pulled", "start=pressed"):
        machine.move(move)
    assert machine.seen()["cranks"] is False
    machine = Machine(case.circuit, [case.fault])
    for move in ("key=on", "start=pressed", "start=released", "clutch=pulled", "gear=engaged"):
        machine.move(move)
    assert machine.seen()["runs"] is True
    # By Ohm's law: 12.6 V · 600/(600 + 4700) Ω at the input, under its threshold of 6 V (derived).
    assert read(machine, Probe("volts", "K1:in", "FRAME")).value == pytest.approx(1.43, abs=0.02)


def test_complaint_of_the_lost_diode_is_true() -> None:
    """With R1 open the lamp is lit in neutral and nothing cranks there; with the clutch pulled it cranks."""
    case = practice_case("routes-neutral")
    machine = Machine(case.circuit, [case.fault])
    for move in ("key=on", "start=pressed"):
        machine.move(move)
    assert (machine.seen()["neutral_lamp"], machine.seen()["cranks"]) == ("lit", False)
    assert machine.move("clutch=pulled").seen["cranks"] is True


@pytest.mark.parametrize("name", BLUEPRINTS)
def test_a_story_gives_no_fault_away(name: str) -> None:
    """Each paper has something to ask and something odd to see; what the operator says names no place and no mode."""
    blueprint = BLUEPRINTS[name]
    assert len(blueprint.story.questions) >= 2
    assert [sign for sign in blueprint.story.signs if not sign.faults]
    words = {re.escape(word) for fault in universe(blueprint.circuit).values() for word in (fault.place, fault.mode)}
    named = re.compile(rf"\b({'|'.join(sorted(words))})\b")
    for question in blueprint.story.questions:
        assert not named.search(question.answer), question


def test_operator_of_the_lost_diode_tells_the_truth() -> None:
    """With R1 open the engine runs in neutral while the clutch is pulled, and stops when the lever is let go."""
    case = practice_case("routes-neutral")
    assert "I let go, and it dies" in case.story.answer("Once it runs, does it keep running?")
    machine = Machine(case.circuit, [case.fault])
    for move in ("key=on", "clutch=pulled", "start=pressed", "start=released"):
        machine.move(move)
    assert machine.seen()["runs"] is True
    assert machine.move("clutch=released").seen["runs"] is False


def test_bad_joint_is_seen_in_the_open_plug_only() -> None:
    """In the clutch paper X1 looks dusty while it is mated; apart, its third pin shows what the meter has found."""
    case = practice_case("routes-clutch")
    machine = Machine(case.circuit, [case.fault])
    assert case.story.look("X1", machine) == "road dirt on the housing; the lock is shut"
    machine.move("unplug=X1")
    assert case.story.look("X1:3", machine) == "a green deposit on the pin"


def test_class_paper_is_as_hard_for_all_to_look_at() -> None:
    """What inspection shows in the paper for a class is the same whatever the fault: no machine is easier."""
    story = BLUEPRINTS["compressor-stands-still"].story
    assert not [sign for sign in story.signs if sign.faults]
    assert not BLUEPRINTS["compressor-stands-still"].usual_signs


def continuity(circuit: Circuit, state: dict[str, str], between: tuple[str, str]) -> Reading:
    """Return a continuity test on a sound machine with its sources unplugged, brought from rest to a state."""
    machine = Machine(circuit)
    for move in isolation(circuit):
        machine.move(move)
    for move in control_moves(circuit, machine.state, state):
        machine.move(move)
    return read(machine, Probe("continuity", *between))


@pytest.mark.parametrize("name", BLUEPRINTS)
def test_continuity_question_is_what_the_meter_does(name: str) -> None:
    """In every control state the right choice says whether the meter beeps; the question asks for the beep."""
    blueprint = BLUEPRINTS[name]
    for question in blueprint.continuity:
        assert "beep" in question.prompt
        right = parse_condition(question.right, blueprint.circuit)
        for state in blueprint.circuit.states():
            assert continuity(blueprint.circuit, state, question.between).beeps is right.holds(state), state


def test_enable_line_is_silent_but_not_open_through_the_diode() -> None:
    """What the paper's remark and the lesson say: in neutral alone the meter shows 4.7 kΩ, or 88 Ω with start pressed.

    The pull-up of 4.7 kΩ and the lamp's cold filament of 4.8 Ω in series; with the start button pressed the coil's
    85 Ω lies beside the pull-up (derived). With every route open there is no way at all.
    """
    (question,) = BLUEPRINTS["routes-clutch"].continuity
    circuit = BLUEPRINTS["routes-clutch"].circuit
    assert question.right == "clutch=pulled or stand=raised"
    others = {"clutch": "released", "stand": "down"}
    for state in circuit.states():
        reading = continuity(circuit, state, question.between)
        if not others.items() <= state.items():
            assert reading.value == pytest.approx(0.1, abs=0.05), state
        elif state["gear"] == "engaged":
            assert reading.status == OVERLOAD, state
        else:
            ohms = 85 * 4700 / 4785 + 4.8 if state["start"] == "pressed" else 4700 + 4.8
            assert reading.value == pytest.approx(ohms, rel=0.003), state
