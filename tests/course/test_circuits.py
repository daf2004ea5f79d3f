"""The course's circuits: what each does in every control state, as somebody who repairs such machines expects it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from faultwright.candidates import worth_reaching
from faultwright.circuit import Circuit, split_terminal
from faultwright.circuit_file import read_circuit
from faultwright.faults import Fault, universe
from faultwright.machine import Machine
from faultwright.meter import Probe, read
from faultwright.moves import control_moves
from faultwright_course.catalogue import circuit_names, circuit_path
from tests.course.circuit_tables import Row, after, at, check_table, drop
from tests.tiers import large_ones_slow

CIRCUITS = {name: read_circuit(circuit_path(name)) for name in circuit_names()}
RUNABOUT, COMPRESSOR = CIRCUITS["runabout"], CIRCUITS["compressor"]


# Printed expectations: how interlocks of this kind work (common practice). Columns of the runabout: neutral lamp,
# cranks, sparks, runs; "runs" is after the moves from rest that lead there, the start button last.
RUNABOUT_TABLE = (
    Row({"key": "off"}, ("off", False, False, False), "nothing is fed"),
    Row(
        {"key": "on", "gear": "neutral", "start": "released"},
        ("lit", False, True, False),
        "the neutral switch grounds the lamp, and through R1 the enable line; nobody cranks",
    ),
    Row(
        {"key": "on", "gear": "neutral", "start": "pressed"},
        ("lit", True, True, True),
        "the start relay finds ground through R1 and the neutral switch, whatever clutch and stand do",
    ),
    Row(
        {"key": "on", "gear": "engaged", "clutch": "released", "stand": "down"},
        ("off", False, False, False),
        "every route is open: it must refuse, start button pressed or not",
    ),
    Row(
        {"key": "on", "gear": "engaged", "clutch": "pulled", "start": "released"},
        ("off", False, True, False),
        "the clutch switch grounds the enable line; R1 keeps that ground from the lamp",
    ),
    Row(
        {"key": "on", "gear": "engaged", "clutch": "pulled", "start": "pressed"},
        ("off", True, True, True),
        "the clutch route alone is enough",
    ),
    Row(
        {"key": "on", "gear": "engaged", "clutch": "released", "stand": "raised", "start": "released"},
        ("off", False, True, False),
        "the stand switch grounds the enable line; R1 keeps that ground from the lamp",
    ),
    Row(
        {"key": "on", "gear": "engaged", "clutch": "released", "stand": "raised", "start": "pressed"},
        ("off", True, True, True),
        "the stand route alone is enough: it cranks in gear, hence the warning about the driven wheel",
    ),
)

# Columns of the compressor: compressor, relay, lamp.
COMPRESSOR_TABLE = (
    Row({"key": "off"}, (False, False, "off"), "the control side is not fed"),
    Row({"key": "on", "run": "released"}, (False, False, "off"), "hold to run: the button is up"),
    Row({"key": "on", "run": "pressed", "pressure": "low"}, (True, True, "lit"), "all three in series are closed"),
    Row({"key": "on", "run": "pressed", "pressure": "full"}, (False, False, "off"), "the pressure switch has opened"),
)

TABLES = {"runabout": RUNABOUT_TABLE, "compressor": COMPRESSOR_TABLE}


@pytest.mark.parametrize("name", TABLES)
def test_truth_table(name: str) -> None:
    """A sound machine does in every control state what its printed table says, and each state stands there once."""
    check_table(CIRCUITS[name], TABLES[name])


def test_every_circuit_has_a_table() -> None:
    """No circuit goes without a printed expectation, here or in a file of its own; each is called as its file is."""
    here = Path(__file__).parent / "circuits"
    others = {path.stem.removeprefix("test_").replace("_", "-") for path in here.glob("test_*.py")}
    assert set(TABLES) | others == set(CIRCUITS)
    assert all(circuit.name == name for name, circuit in CIRCUITS.items())


def test_runabout_stops_when_the_last_route_is_lost() -> None:
    """With the stand down and a gear in, letting the clutch go stops the engine, and pulling it again starts nothing.

    So the machine cannot move off with its stand down, as 2009/78/EC Annex I and EU 168/2013 ask (memory).
    """
    machine = Machine(RUNABOUT)
    assert after(machine, "key=on gear=engaged clutch=pulled start=pressed start=released")["runs"] is True
    assert after(machine, "clutch=released")["runs"] is False
    assert after(machine, "clutch=pulled")["runs"] is False


def test_runabout_runs_on_while_one_route_is_left() -> None:
    """A running engine runs on into gear with the clutch pulled or the stand up; the key stops it."""
    machine = Machine(RUNABOUT)
    assert after(machine, "key=on start=pressed start=released")["runs"] is True
    for move in ("clutch=pulled", "gear=engaged", "stand=raised", "clutch=released"):
        assert after(machine, move)["runs"] is True, move
    assert after(machine, "key=off")["runs"] is False


def test_runabout_diode_steers() -> None:
    """R1 open loses the neutral route alone; R1 shorted is a sneak path: pulling the clutch lights the neutral lamp."""
    faults = universe(RUNABOUT)
    neutral = RUNABOUT.rest() | {"key": "on", "start": "pressed"}
    clutch = neutral | {"gear": "engaged", "clutch": "pulled"}
    lost = at(RUNABOUT, neutral, faults["R1 open"]).seen()
    assert (lost["neutral_lamp"], lost["cranks"]) == ("lit", False)
    assert at(RUNABOUT, clutch, faults["R1 open"]).seen()["cranks"] is True
    assert at(RUNABOUT, clutch).seen()["neutral_lamp"] == "off"
    assert at(RUNABOUT, clutch, faults["R1 shorted"]).seen()["neutral_lamp"] == "lit"


def test_runabout_enable_line_voltages() -> None:
    """The enable line stands at supply with every route open, a diode's drop over ground in neutral, else at ground.

    12.6 V open circuit less nothing (no current flows into the input's pull-up), then 0.6 V of R1 (derived).
    """
    probe = Probe("volts", "K1:in", "FRAME")
    on = RUNABOUT.rest() | {"key": "on"}
    for state, volts in (
        (on | {"gear": "engaged"}, 12.6),
        (on, 0.6),
        (on | {"gear": "engaged", "clutch": "pulled"}, 0.0),
        (on | {"gear": "engaged", "stand": "raised"}, 0.0),
    ):
        value = read(at(RUNABOUT, state), probe).value
        assert value == pytest.approx(volts, abs=0.03), state


@pytest.mark.parametrize("fault", ["W19 open", "K1:- open", "XE1 open"])
def test_runabout_unit_without_its_return_is_dead(fault: str) -> None:
    """An ignition unit that is fed but not returned gives no spark, although its input is at ground in neutral."""
    on = RUNABOUT.rest() | {"key": "on"}
    assert at(RUNABOUT, on).seen()["sparks"] is True
    assert at(RUNABOUT, on, universe(RUNABOUT)[fault]).seen()["sparks"] is False


def test_sound_joints_keep_to_common_practice() -> None:
    """Under load a sound ground path drops 0.1 V at most, a switch contact 0.2 V, one side of a cranking path 0.5 V.

    Common practice at 12 V.
    """
    running = at(COMPRESSOR, {"key": "on", "run": "pressed", "pressure": "low"})
    assert drop(running, "M1:2", "FRAME") <= 0.1
    assert drop(running, "Q1:30", "Q1:87") <= 0.2
    assert drop(running, "S1:1", "S1:2") <= 0.2
    assert drop(running, "G1:+", "M1:1") <= 0.5
    cranking = at(RUNABOUT, RUNABOUT.rest() | {"key": "on", "start": "pressed"})
    assert drop(cranking, "G1:+", "M1:1") <= 0.5
    assert drop(cranking, "M1:2", "G1:-") <= 0.1
    assert drop(cranking, "G1:+", "G1:-") >= 9.6  # a battery that cranks


def test_compressor_coil_returns_straight_to_ground() -> None:
    """Every contact of the compressor stands on the fed side of the coil; the runabout is enabled by ground.

    The first is what IEC 60204-1 9.4.3.1 asks of an earthed control circuit (read).
    """
    (return_wire,) = [COMPRESSOR.wires[name] for name in COMPRESSOR.wired["Q1:85"]]
    assert split_terminal(return_wire.end)[0] == "XE1"
    (return_wire,) = [RUNABOUT.wires[name] for name in RUNABOUT.wired["Q1:85"]]
    assert split_terminal(return_wire.end)[0] == "X2"


def some_states(circuit: Circuit) -> list[dict[str, str]]:
    """Return all control states of a circuit; of a large one those near rest and near everything moved."""
    return [*worth_reaching(circuit, circuit.rest(), MOST_STATES)]


def shown(circuit: Circuit, *faults: Fault) -> list[object]:
    """Return what is seen in the states, and in each again when what springs back has been let go."""
    found: list[object] = []
    for state in some_states(circuit):
        machine = at(circuit, state, *faults)
        found.append(machine.seen())
        for control in circuit.controls.values():
            if control.springs_to:
                machine.move(f"{control.name}={control.springs_to}")
        found.append(machine.seen())
    return found


MOST_STATES = 160

LETTERS = {
    "battery": "G", "fuse": "F", "switch": "SBF", "relay": "Q", "diode": "R", "lamp": "P", "motor": "M", "input": "K",
    "connector": "X", "splice": "X", "ground": "X", "contactor": "Q", "supply": "G", "resistor": "R",
    "solenoid": "M", "magneto": "T",
}  # fmt: skip
"""Class letters of IEC 81346-2 for the kinds of part in use (memory)."""


@pytest.mark.parametrize("name", CIRCUITS)
def test_parts_carry_the_letters_of_iec_81346(name: str) -> None:
    """Parts are lettered by IEC 81346-2, wires W, and colours are words of IEC 60757."""
    circuit = CIRCUITS[name]
    for part in circuit.parts.values():
        assert part.name[0] in LETTERS[part.kind], part.name
    assert all(re.fullmatch(r"W\d+", wire) for wire in circuit.wires)
    colours = {"BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK"}
    assert {wire.colour for wire in circuit.wires.values()} <= colours


@pytest.mark.parametrize("name", CIRCUITS)
def test_every_circuit_warns_and_tells_its_sources(name: str) -> None:
    """Each circuit has a warning, says that local rules come first, and says where its values come from."""
    circuit = CIRCUITS[name]
    assert "warning" in {note.signal for note in circuit.safety}
    assert any("local codes" in note.text.lower() for note in circuit.safety)
    text = circuit_path(name).read_text(encoding="utf-8")
    valued = [
        line for line in text.splitlines() if re.search(r"\{kind: (battery|fuse|relay|motor|input|diode|lamp)", line)
    ]
    assert valued
    assert all("#" in line for line in valued)


@pytest.mark.parametrize("circuit", large_ones_slow(CIRCUITS.values()))
def test_every_fault_can_be_operated_and_cured(circuit: Circuit) -> None:
    """Each single fault can be put in and operated in every control state, and each of its remedies cures it.

    Cured means that the machine then does what a sound one does.
    """
    states = some_states(circuit)
    last = states[-1]
    sound = at(circuit, last).seen()
    for fault in universe(circuit).values():
        for state in states:
            machine = at(circuit, state, fault)
            assert list(machine.seen()) == list(circuit.behaviour)
        for remedy in fault.remedies:
            machine = at(circuit, last, fault)
            machine.move(f"repair={fault.place} {remedy}")
            machine.move("rest")
            for move in control_moves(circuit, machine.state, last):
                machine.move(move)
            assert machine.seen() == sound, f"{fault} after {remedy}"


@pytest.mark.parametrize("name", CIRCUITS)
def test_faults_show(name: str) -> None:
    """Most faults that open something change what the machine is seen to do: the circuit is worth diagnosing."""
    circuit = CIRCUITS[name]
    sound = shown(circuit)
    opens = [fault for fault in universe(circuit).values() if fault.mode.endswith("open")]
    shows = [fault for fault in opens if shown(circuit, fault) != sound]
    assert len(shows) >= 0.9 * len(opens)
