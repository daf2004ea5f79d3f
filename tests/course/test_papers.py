"""The paper blueprints: they read, their pools are as described, and each pool's faults could be set up safely."""

from __future__ import annotations

import pytest

from faultwright.circuit import Circuit
from faultwright.circuit_file import read_circuit
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


def continuity(circuit: Circuit, state: dict[str, str], between: tuple[str, str]) -> Reading:
    """Return a continuity test on a sound machine with its battery unplugged, brought from rest to a state."""
    machine = Machine(circuit)
    machine.move("unplug=G1")
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
