"""The commands on one circuit: what they print with and without ``--json``, exit codes, and refusals as a whole."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from faultwright.command_line import main
from faultwright.faults import universe
from tests.core import depot

CIRCUIT_COMMANDS = ("check", "operate", "table", "read", "faults", "suspects", "analyse", "spice", "draw", "schema")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder with the shed, the mower and a record of the shed with the lamp off at 12 V."""
    (tmp_path / "shed.yaml").write_text(depot.SHED, encoding="utf-8")
    (tmp_path / "mower.yaml").write_text(depot.MOWER, encoding="utf-8")
    reading = {"meter": "volts", "red": "P1:1", "black": "P1:2", "value": 12.0, "unit": "V", "status": "ok"}
    actions = [{"move": "key=on"}, {"see": {"lamp": "off"}}, {"read": reading}]
    record = {"circuit": "shed-lamp", "actions": actions}
    (tmp_path / "record.json").write_text(json.dumps(record), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


class Ran:
    """What a command printed and how it ended."""

    def __init__(self, capture: pytest.CaptureFixture[str], *arguments: str) -> None:
        """Run the command."""
        self.code = main(arguments)
        self.out, self.err = capture.readouterr()

    @property
    def json(self) -> Any:  # noqa: ANN401 - JSON
        """The printed JSON of a command that went well."""
        assert (self.code, self.err) == (0, "")
        return json.loads(self.out)

    @property
    def lines(self) -> list[str]:
        """The printed lines of a command that went well, without blanks at their ends."""
        assert (self.code, self.err) == (0, "")
        return [line.rstrip() for line in self.out.splitlines()]


Capture = pytest.CaptureFixture[str]

SECTIONS = "routes, truth_tables, symptoms, groups, testability, test_tree, single_faults, sneak_paths"


# What each command gives


def test_check(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """Sound files are counted; a wrong one gives every mistake with its place and exit 1."""
    assert Ran(capsys, "check", "shed.yaml", "mower.yaml").lines == [
        "shed.yaml: sound: 3 parts, 4 wires",
        "mower.yaml: sound: 6 parts, 11 wires",
    ]
    assert Ran(capsys, "check", "shed.yaml", "--json").json == {"files": [{"file": "shed.yaml", "mistakes": []}]}


def test_check_of_a_wrong_file(folder: Path, capsys: Capture) -> None:
    """Messages on the error stream, sound files beside them on the other; as JSON line and message apart."""
    (folder / "wrong.yaml").write_text(
        depot.SHED.replace("to: S1:1", "to: S1:7").replace("14.4 W", "14.4"), encoding="utf-8"
    )
    ran = Ran(capsys, "check", "wrong.yaml", "shed.yaml")
    assert (ran.code, ran.out) == (1, "shed.yaml: sound: 3 parts, 4 wires\n")
    assert ran.err.splitlines() == [
        "wrong.yaml:10: power of P1: '14.4' has no unit; write a number with a unit, such as '21 W'",
        "wrong.yaml:12: wire W1 ends at S1:7, but S1 has no terminal 7 (it has 1 2)",
    ]
    ran = Ran(capsys, "check", "wrong.yaml", "shed.yaml", "--json")
    assert (ran.code, ran.err) == (1, "")
    assert json.loads(ran.out) == {
        "files": [
            {
                "file": "wrong.yaml",
                "mistakes": [
                    {
                        "line": 10,
                        "message": "power of P1: '14.4' has no unit; write a number with a unit, such as '21 W'",
                    },
                    {"line": 12, "message": "wire W1 ends at S1:7, but S1 has no terminal 7 (it has 1 2)"},
                ],
            },
            {"file": "shed.yaml", "mistakes": []},
        ]
    }


def test_operate(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """What is seen after each move, in order; a fault changes it; without a move it is the machine at rest."""
    arguments = ("operate", "shed.yaml", "key=on", "key=off", "--fault", "W2 resistance 10 Ω")
    assert Ran(capsys, *arguments).lines == [
        "move     lamp  besides",
        "-------  ----  -------",
        "key=on   dim",
        "key=off  off",
    ]
    steps = Ran(capsys, *arguments, "--json").json["steps"]
    assert [(step["move"], step["state"], step["seen"]) for step in steps] == [
        ("key=on", {"key": "on"}, {"lamp": "dim"}),
        ("key=off", {"key": "off"}, {"lamp": "off"}),
    ]
    assert Ran(capsys, "operate", "shed.yaml", "--json").json["steps"][0]["seen"] == {"lamp": "off"}


def test_operate_with_several_faults(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """``--fault`` can be repeated."""
    faults = ("--fault", "S1 stuck closed", "--fault", "W2 resistance")
    assert Ran(capsys, "operate", "shed.yaml", *faults, "--json").json["steps"][0]["seen"] == {"lamp": "dim"}


def test_operate_watching_the_meter(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """``--watch`` adds five readings along each move, and what the meter did in words."""
    watch = ("--watch", "volts", "P1:1", "P1:2")
    (step,) = Ran(capsys, "operate", "shed.yaml", "key=on", *watch, "--json").json["steps"]
    assert [reading["display"] for reading in step["during"]] == ["0.0 mV", "0.0 mV", "11.43 V", "11.43 V", "11.43 V"]
    assert step["watched"] == "goes over once, cleanly"
    (line,) = Ran(capsys, "operate", "shed.yaml", "key=on", *watch).lines[2:]
    assert line == "key=on  lit   0.0 mV; 0.0 mV; 11.43 V; 11.43 V; 11.43 V; goes over once, cleanly"


def test_operate_with_a_known_good_part(folder: Path, capsys: Capture) -> None:
    """A switch is substituted and restored as any move is made; a part of the harness is refused in words."""
    moves = ("key=on", "substitute=S1", "restore=S1")
    assert Ran(capsys, "operate", "shed.yaml", *moves, "--fault", "S1 stuck open").lines == [
        "move           lamp  besides",
        "-------------  ----  -------",
        "key=on         off",
        "substitute=S1  lit",
        "restore=S1     off",
    ]
    (folder / "bench.yaml").write_text(depot.BENCH, encoding="utf-8")
    refused = Ran(capsys, "operate", "bench.yaml", "substitute=X1", "--json")
    assert refused.code == 1
    assert json.loads(refused.out)["error"] == (
        "move 'substitute=X1': X1 is a connector and belongs to the harness: what is wrong there is mended, no "
        "known-good part takes its place "
        "(allowed: G1, T1, F1, S1, S2, K1, Q1, R1, L1, P1, M1, Y1, A1, U1)"
    )


def test_operate_tells_what_is_heard(folder: Path, capsys: Capture) -> None:
    """A relay that pulls in clicks, in ``besides`` and in JSON, though its contact is stuck and nothing is seen of it."""
    (folder / "gate.yaml").write_text(depot.GATE, encoding="utf-8")
    arguments = ("operate", "gate.yaml", "start=pressed", "--fault", "Q1 13-14 stuck open")
    (line,) = Ran(capsys, *arguments).lines[2:]
    assert line.endswith("click: Q1 pulls in")
    (step,) = Ran(capsys, *arguments, "--json").json["steps"]
    assert step["clicks"] == ["Q1 pulls in"]


def test_table(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """A row for every control state; what depends on history is null and named."""
    states = Ran(capsys, "table", "mower.yaml", "--json").json["states"]
    assert len(states) == 12
    assert states[5] == {
        "state": {"key": "on", "seat": "empty", "brake": "set"},
        "seen": {"cranks": False, "sparks": True, "runs": None},
        "depends_on_history": ["runs"],
        "buzzes": [],
    }
    lines = Ran(capsys, "table", "mower.yaml").lines
    assert lines[0] == "key    seat   brake     cranks  sparks  runs  depends on history  buzzes"
    assert lines[7] == "on     empty  set       no      yes     -     runs"
    assert len(lines) == 14


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (("--move", "key=on", "--volts", "P1:1", "P1:2"), "11.43 V"),
        (("--volts", "P1:1", "P1:2"), "0.0 mV"),
        (("--move", "key=on", "--amps", "W2"), "1.142 A"),
        (("--amps", "W2"), "0.00 A (floating)"),
        (("--amps", "S1:1", "S1:2"), "1.153 A"),
        (("--amps", "G1:+", "G1:-"), "---- (blown)"),
        (("--ohms", "S1:1", "S1:2"), "---- (live)"),
        (("--move", "unplug=G1", "--ohms", "S1:1", "S1:2"), "OL (overload)"),
        (("--move", "unplug=G1", "--continuity", "S1:2", "P1:1"), "0.1 Ω, beeps"),
        (("--move", "unplug=G1", "--continuity", "S1:1", "S1:2"), "OL, no beep (overload)"),
        (("--move", "unplug=G1", "--diode", "S1:2", "P1:1"), "0.000 V"),
        (("--ohms", "P1:1", "P1:2", "--alone", "P1", "--leads", "0.3"), "1.3 Ω"),
        (("--move", "key=on", "--volts", "S1:1", "S1:2", "--range", "600 V"), "0.1 V"),
        (("--move", "key=on", "--volts", "S1:1", "S1:2", "--range", "600 mV"), "114.3 mV"),
        (("--move", "key=on", "--volts", "P1:1", "P1:2", "--range", "6 V"), "OL (overload)"),
        (("--move", "key=on", "--volts", "P1:1", "P1:2", "--range", "auto"), "11.43 V"),
        (("--ohms", "P1:1", "P1:2", "--alone", "P1", "--fault", "P1 open"), "OL (overload)"),
    ],
)
def test_read(folder: Path, capsys: Capture, arguments: tuple[str, ...], line: str) -> None:  # noqa: ARG001
    """Every meter mode, amps in series and across, a part in the hand, leads; the status where it is not ok."""
    assert Ran(capsys, "read", "shed.yaml", *arguments).lines == [line]
    found = Ran(capsys, "read", "shed.yaml", *arguments, "--json").json
    assert line.startswith(found["display"])
    assert found["status"] in (line.partition("(")[2].removesuffix(")") or "ok")


def test_read_as_json(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """Value, unit, display, status and tolerance, and nothing else but ``beeps``."""
    arguments = ("read", "shed.yaml", "--move", "key=on", "--volts", "P1:1", "P1:2", "--json")
    assert Ran(capsys, *arguments).json == {
        "value": 11.43,
        "unit": "V",
        "display": "11.43 V",
        "status": "ok",
        "tolerance": 0.08,
    }


def test_faults(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """The universe by name with default, remedies, frequency and cause; ``--intermittent`` adds all when disturbed."""
    entries = Ran(capsys, "faults", "shed.yaml", "--json").json["faults"]
    assert [entry["fault"] for entry in entries] == list(universe(depot.circuit(depot.SHED)))
    assert entries[:2] == [
        {
            "fault": "W1 open",
            "place": "W1",
            "mode": "open",
            "default": None,
            "remedies": ["mend the wire", "replace the wire"],
            "frequency": "common",
            "cause": "fatigue where it bends, or pulled apart",
        },
        {
            "fault": "W1 resistance",
            "place": "W1",
            "mode": "resistance",
            "default": "12 Ω",
            "remedies": ["mend the wire", "replace the wire"],
            "frequency": "common",
            "cause": "strands corroded, or broken one by one",
        },
    ]
    both = Ran(capsys, "faults", "shed.yaml", "--intermittent", "--json").json["faults"]
    assert len(both) == 2 * len(entries)
    assert both[len(entries)]["fault"] == "W1 open when disturbed"
    lines = Ran(capsys, "faults", "shed.yaml").lines
    assert len(lines) == len(entries) + 2
    assert lines[3] == "W1 resistance         12 Ω    common      mend the wire, or replace the wire"


def test_suspects(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """What is left, in groups, with ranges and the best next test, under the names of ``faults``."""
    found = Ran(capsys, "suspects", "shed.yaml", "--record", "record.json", "--json").json
    assert found["suspects"] == ["P1 open", "P1:1 open", "P1:1 resistance", "P1:2 open", "P1:2 resistance"]
    assert found["healthy"] is False
    assert found["groups"] == [["P1 open"], ["P1:1 open", "P1:2 open"], ["P1:1 resistance", "P1:2 resistance"]]
    low, high = found["ranges"]["P1:1 resistance"]
    assert low == pytest.approx(6 / 0.085 - 10.5, rel=1e-3)
    assert high == 1e7
    assert found["cleared"]["S1 stuck closed"] == 1
    assert found["cleared"]["W2 open"] == 2
    assert found["cleared"].keys() == universe(depot.circuit(depot.SHED)).keys() - {*found["suspects"]}
    assert found["conflict"] == []
    assert found["next_test"]["splits"] == sorted(found["next_test"]["splits"], reverse=True)
    lines = Ran(capsys, "suspects", "shed.yaml", "--record", "record.json").lines
    assert lines[:6] == [
        "suspect: P1 open",
        "suspect: P1:1 open",
        "         P1:2 open (not to be told apart from it)",
        "suspect: P1:1 resistance (60.1 Ω to 10 MΩ)",
        "         P1:2 resistance (60.1 Ω to 10 MΩ) (not to be told apart from it)",
        "a sound machine does not explain these findings",
    ]
    assert lines[-1].startswith("best next test: ")


def test_suspects_against_healthy_readings(folder: Path, capsys: Capture) -> None:
    """A lamp of 30 W where the file has 14.4 W: its current fits no lamp of the file, and does against healthy readings."""
    amps = {"meter": "amps", "red": "W2", "unit": "A", "status": "ok", "source": "bench"}
    record = {"circuit": "shed-lamp", "actions": [{"move": "key=on"}, {"read": amps | {"value": 2.24}}]}
    (folder / "healthy.json").write_text(json.dumps(record), encoding="utf-8")
    plain = Ran(capsys, "suspects", "shed.yaml", "--record", "healthy.json", "--json").json
    against = ("suspects", "shed.yaml", "--healthy", "healthy.json", "--record")
    assert plain["healthy"] is False
    assert Ran(capsys, *against, "healthy.json", "--json").json["healthy"] is True
    refused = Ran(capsys, "suspects", "shed.yaml", "--record", "healthy.json", "--healthy", "record.json")
    assert (refused.code, refused.err.strip()) == (
        1,
        'the healthy record holds no reading of a real meter ("source": "bench")',
    )


def test_suspects_of_a_contradiction(folder: Path, capsys: Capture) -> None:
    """Findings that nothing explains are named by their numbers, and no test is proposed."""
    record = {"circuit": "shed-lamp", "actions": [{"see": {"lamp": "lit"}}, {"see": {"lamp": "off"}}]}
    (folder / "odd.json").write_text(json.dumps(record), encoding="utf-8")
    found = Ran(capsys, "suspects", "shed.yaml", "--record", "odd.json", "--json").json
    assert found == {
        "suspects": [],
        "healthy": False,
        "groups": [],
        "ranges": {},
        "cleared": found["cleared"],
        "conflict": [0, 1],
        "next_test": None,
    }
    assert found["cleared"].keys() == universe(depot.circuit(depot.SHED)).keys()
    first, second, *_cleared = Ran(capsys, "suspects", "shed.yaml", "--record", "odd.json").lines
    assert first == "No single fault explains all findings; these contradict each other: actions 0, 1 (from 0)"
    assert second == "a sound machine does not explain these findings"


def test_a_search_is_reviewed(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """Asked for, each finding is told with what it did, and the cost beside that of the best search on average."""
    asked = ("suspects", "shed.yaml", "--record", "record.json")
    assert "review" not in Ran(capsys, *asked, "--json").json
    review = Ran(capsys, *asked, "--review", "--json").json["review"]
    assert [one["verdict"] for one in review["findings"]] == ["cleared", "cleared"]
    assert review["left"] == ["P1 open", "P1:1 open", "P1:1 resistance", "P1:2 open", "P1:2 resistance"]
    assert review["cost"] == 4  # a move, a look, and volts at a point that is reached from behind
    lines = Ran(capsys, *asked, "--review").lines
    start = lines.index("the search, finding by finding:")
    assert lines[start + 1].startswith("  look: lamp: off; cleared ")
    assert "cleared by the first finding that they cannot explain (actions counted from 0):" not in lines


def test_two_faults_at_once(folder: Path, capsys: Capture) -> None:
    """Asked for, pairs are named that explain a record together: two dark lamps at a good battery."""
    battery = {"meter": "volts", "red": "G1:+", "black": "G1:-", "value": 12.0, "unit": "V", "status": "ok"}
    dark = {"see": {"left_lamp": "off", "right_lamp": "off"}}
    actions = [{"move": "left=on"}, {"move": "right=on"}, dark, {"read": battery}]
    (folder / "lamps.yaml").write_text(depot.TWO_LAMPS, encoding="utf-8")
    (folder / "dark.json").write_text(json.dumps({"circuit": "two-lamps", "actions": actions}), encoding="utf-8")
    asked = ("suspects", "lamps.yaml", "--record", "dark.json")
    assert "doubles" not in Ran(capsys, *asked, "--json").json
    found = Ran(capsys, *asked, "--doubles", "--json").json
    assert found["suspects"] == []
    assert ["W3 open", "W6 open"] in found["doubles"]
    lines = Ran(capsys, *asked, "--doubles").lines
    head = f"two faults at once that explain these findings, neither of them alone: {len(found['doubles'])}"
    assert lines[2] == head
    assert lines[3].startswith("  W1 open with W2 open, W2 resistance, W4 open, ")
    single = ("suspects", "shed.yaml", "--record", "record.json", "--doubles")
    assert "two faults at once that explain these findings, neither of them alone: none" in Ran(capsys, *single).lines


ANALYSED = """
Analysis of Lamp in the tool shed
For whoever teaches with this circuit: it tells what an exercise asks. It teaches method and
    authorises no repair; local codes, the maker's manual and licensed practice come first.

Routes
======
P1:1 of P1 is fed by one route
   G1:+ → W1 → S1 → W2 → P1:1: key on
   in every route, so all are needed: S1
P1:2 of P1 is returned by one route
   P1:2 → W3 → G1:-: always

Truth tables
============
lamp: when key on

Suspects by symptom
===================
What is seen in every state of the controls, each reached from rest in one move, is held against the
    sound machine; what takes other moves to see is not in it. Faults that are seen alike stand
    together, the commonest complaint first, by how often its faults are met in the trade.
1. always: lamp off instead of lit
   15 suspects: W1 open, W2 open, G1:+ open, G1:- open, S1 stuck open, S1 sticking, S1:1 open, S1:2
       open, W3 open, P1:1 open, P1:2 open, P1 open, W3 shorted to supply, W4 shorted to supply, P1
       shorted
2. always: lamp dim instead of lit
   12 suspects: W1 resistance, W2 resistance, G1:+ resistance, G1:- resistance, S1 resistance, S1:1
       resistance, S1:2 resistance, W1 shorted to ground, W2 shorted to ground, W3 resistance, P1:1
       resistance, P1:2 resistance
3. always: lamp lit instead of off
   2 suspects: S1 stuck closed, W2 shorted to supply
0. nothing is seen to be wrong
   7 suspects: G1 discharged, W4 open, W4 resistance, G1 resistance, W3 shorted to ground, W4
       shorted to ground, W1 shorted to supply

Ambiguity groups
================
The tests are those worth making from rest, in 16 states of the controls at most: looks at the
    machine, readings, parts in the hand.
not told from the sound machine by any of these tests: W1 shorted to supply, W4 shorted to ground
ambiguity group: G1:+ open, G1:- open
ambiguity group: G1:+ resistance, G1:- resistance
ambiguity group: S1:1 open, S1:2 open
ambiguity group: S1:1 resistance, S1:2 resistance
ambiguity group: P1:1 open, P1:2 open
ambiguity group: P1:1 resistance, P1:2 resistance
faults that stand alone: 22

Test tree
=========
After symptom 3, always: lamp lit instead of off
The best tree: no other costs less on average
Cost 2.00 on average, a look at the machine being 1; 1.00 tests on average, 1 at worst
volts S1:1 to FRAME
  11.77 V → S1 stuck closed
  11.88 V → W2 shorted to supply
"""

CLEARED = """
  action 1 (look: lamp: off) clears 10: W1 shorted to ground, W1 shorted to supply, W2 shorted to
      ground, W2 shorted to supply, W3 shorted to ground, W4 open, W4 resistance, W4 shorted to
      ground, G1 discharged, S1 stuck closed
  action 2 (volts P1:1 to P1:2: 12.00 V) clears 21: W1 open, W1 resistance, W2 open, W2 resistance,
      W3 open, W3 resistance, W3 shorted to supply, W4 shorted to supply, G1 resistance, G1:+ open,
      G1:+ resistance, G1:- open, and 9 more
"""


def test_analyse(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """Sections under their headings, in lines of 100 letters at most, and the tree that was asked for."""
    sections = ("routes", "truth_tables", "symptoms", "groups", "test_tree")
    only = [word for name in sections for word in ("--only", name)]
    assert Ran(capsys, "analyse", "shed.yaml", *only, "--symptom", "3").lines == ANALYSED.strip().splitlines()


def test_analyse_as_json(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """Every section by its name; with --only those asked for; each as its own kind of thing."""
    found = Ran(capsys, "analyse", "shed.yaml", "--json").json
    assert list(found) == ["circuit", *SECTIONS.split(", "), "refused"]
    assert [len(found[name]) for name in ("routes", "truth_tables", "symptoms", "sneak_paths")] == [2, 1, 4, 0]
    assert found["truth_tables"][0]["words"] == "lamp: when key on"
    assert ["S1:1 open", "S1:2 open"] in found["groups"]["groups"]
    assert found["groups"]["undetected"] == ["W1 shorted to supply", "W4 shorted to ground"]
    assert [level["up_to"] for level in found["testability"]["levels"]] == ["look", "volts", "ohms", "hand"]
    assert found["test_tree"]["symptom"] == 1
    assert found["single_faults"]["disclaimer"].startswith("Teaching aid.")
    assert found["refused"] == {}
    only = Ran(capsys, "analyse", "shed.yaml", "--only", "symptoms", "--json").json
    assert only == {"circuit": "shed-lamp", "symptoms": found["symptoms"], "refused": {}}


def test_statements_are_checked(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """A statement that is right in every state, and one with the first state that refutes it; mistakes all at once."""
    right, wrong = ("--statement", "lamp", "key=on"), ("--statement", "lamp", "always")
    assert Ran(capsys, "analyse", "shed.yaml", *right).lines == ["lamp, key=on: right in every state of the controls"]
    found = Ran(capsys, "analyse", "shed.yaml", *right, "--statement", "lamp", "key=off", "--json").json
    refuted = {"about": "lamp", "state": {"key": "off"}, "says": True, "does": False}
    assert found == {
        "circuit": "shed-lamp",
        "statements": [
            {"about": "lamp", "statement": "key=on", "refuted": None},
            {"about": "lamp", "statement": "key=off", "refuted": refuted},
        ],
    }
    done = Ran(capsys, "analyse", "shed.yaml", "--statement", "lump", "key=on", "--statement", "lamp", "kay=on")
    assert done.code == 1
    assert done.err.splitlines() == [
        "shed-lamp: there is no behaviour 'lump'; did you mean 'lamp'? (allowed: lamp)",
        "statement 'kay=on': there is no control 'kay'; did you mean 'key'? (allowed: key)",
    ]
    assert Ran(capsys, "analyse", "shed.yaml", *wrong, "--only", "groups").code == 2


def test_analyse_onto_a_page(folder: Path, capsys: Capture) -> None:
    """The page stands where it was asked for, and only its name is printed."""
    lines = Ran(capsys, "analyse", "shed.yaml", "--only", "routes", "--html", "pages/shed.html").lines
    assert lines == [f"wrote {Path('pages/shed.html')}: Lamp in the tool shed"]
    assert (folder / "pages" / "shed.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    arguments = ("analyse", "shed.yaml", "--only", "routes", "--html", "shed.html", "--json")
    assert Ran(capsys, *arguments).json == {"file": "shed.html"}


def test_what_cleared_a_suspect(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """Finding by finding, first those that clear on sight; of many names the first twelve and how many more."""
    lines = Ran(capsys, "suspects", "shed.yaml", "--record", "record.json").lines
    start = lines.index("cleared by the first finding that they cannot explain (actions counted from 0):")
    assert lines[start + 1 : -1] == CLEARED.strip("\n").splitlines()


def test_spice(folder: Path, capsys: Capture) -> None:
    """The deck on the screen, in JSON, or in a file."""
    lines = Ran(capsys, "spice", "shed.yaml", "--move", "key=on").lines
    assert lines[0] == "* shed-lamp: Lamp in the tool shed"
    assert lines[-1] == ".end"
    assert Ran(capsys, "spice", "shed.yaml", "--move", "key=on", "--json").json["deck"].splitlines() == lines
    assert Ran(capsys, "spice", "shed.yaml", "--move", "key=on", "--out", "shed.cir").lines == ["wrote shed.cir"]
    assert (folder / "shed.cir").read_text(encoding="utf-8").splitlines() == lines
    assert Ran(capsys, "spice", "shed.yaml", "--out", "shed.cir", "--json").json == {"file": "shed.cir"}


def test_draw(folder: Path, capsys: Capture) -> None:
    """A whole SVG file; a fault is checked and never drawn."""
    assert Ran(capsys, "draw", "shed.yaml", "--out", "sound.svg").lines == ["wrote sound.svg: Lamp in the tool shed"]
    faulty = ("draw", "shed.yaml", "--out", "faulty.svg", "--fault", "W2 open", "--json")
    assert Ran(capsys, *faulty).json == {"file": "faulty.svg"}
    drawn = (folder / "sound.svg").read_bytes()
    assert ET.fromstring(drawn).tag == "{http://www.w3.org/2000/svg}svg"  # noqa: S314 - our own file
    assert (folder / "faulty.svg").read_bytes() == drawn


# Refusals: exit 1, one clear message, nothing written

SHED_PLACES = "G1, S1, P1, FRAME"

REFUSED = [
    (("spice", "shed.yaml", "--out", "shed.yaml"), "shed.yaml: --out is the circuit file itself; choose another name"),
    (("draw", "shed.yaml", "--out", "./shed.yaml"), "shed.yaml: --out is the circuit file itself; choose another name"),
    (("read", "shed.yaml", "--ohms", "P1:1", "P1:2", "--leads", "nan"), "meter: leads have from 0 Ω to 100 Ω"),
    (("read", "shed.yaml", "--volts", "P1:1", "FRAME", "--range", "50 V"), "there is no range of 50 V on volts; did you mean 60 V? (allowed: 600 mV, 6 V, 60 V, 600 V, 1000 V)"),
    (("read", "shed.yaml", "--continuity", "P1:1", "FRAME", "--range", "600 Ω"), "continuity has one range only; leave the range on auto"),
    (("read", "shed.yaml", "--amps", "G1", "--alone", "G1"), "meter: a part in the hand carries no current; measure amps where it is fitted"),
    (("operate", "shed.yaml", "kee=on"), "move 'kee=on': there is no control or move 'kee'; did you mean 'key'? (allowed: key, unplug, mate, substitute, restore, bridge, unbridge, load, unload, disturb, repair, rest)"),
    (("operate", "shed.yaml", "key=on", "key=of"), "move 'key=of': control key: there is no position 'of'; did you mean 'off'? (allowed: off, on)"),
    (("operate", "shed.yaml", "key=on", "--fault", "W2 opne"), "fault 'W2 opne': W2 cannot have the fault 'opne'; did you mean 'W2 open'? (allowed: open, resistance, shorted to ground, shorted to supply)"),
    (("operate", "shed.yaml", "key=on", "--watch", "volt", "P1:1", "P1:2"), "meter: there is no meter mode 'volt'; did you mean 'volts'? (allowed: volts, amps, ohms, continuity, diode)"),
    (("table", "shed.yaml", "--fault", "W9 open"), "fault 'W9 open': there is no place 'W9' that can have a fault"),
    (("read", "shed.yaml", "--volts", "P1:3", "FRAME"), "meter: P1 has no terminal 3 (it has 1 2)"),
    (("read", "shed.yaml", "--volts", "P9:1", "FRAME"), f"meter: there is no part 'P9' (allowed: {SHED_PLACES})"),
    (("read", "shed.yaml", "--move", "unplug=X1", "--ohms", "P1:1", "FRAME"), "move 'unplug=X1': there is no part or terminal 'X1' (allowed: G1, S1, P1)"),
    (("read", "shad.yaml", "--volts", "P1:1", "FRAME"), "shad.yaml: there is no such file; did you mean 'shed.yaml'?"),
    (("faults", "shad.yaml"), "shad.yaml: there is no such file; did you mean 'shed.yaml'?"),
    (("suspects", "shed.yaml", "--record", "recor.json"), "recor.json: there is no such file; did you mean 'record.json'?"),
    (("suspects", "mower.yaml", "--record", "record.json"), "record.json: the record is of circuit 'shed-lamp', not of 'ride-on'"),
    (("suspects", "shed.yaml", "--record", "half.json"), "half.json:1: this is not whole JSON (Unterminated string starting at, column 47)"),
    (("suspects", "shed.yaml", "--record", "nan.json"), "nan.json: NaN is not a number that can be used"),
    (("suspects", "shed.yaml", "--record", "odd.json"), "odd.json, action 2: move 'key=onn': control key: there is no position 'onn'; did you mean 'on'? (allowed: off, on)"),
    (("analyse", "shad.yaml"), "shad.yaml: there is no such file; did you mean 'shed.yaml'?"),
    (("analyse", "shed.yaml", "--only", "test-tree"), f"there is no section 'test-tree'; did you mean 'test_tree'? (allowed: {SECTIONS})"),
    (("analyse", "shed.yaml", "--symptom", "4", "--html", "out.file"), "shed-lamp: there is no symptom 4 (allowed: 0 to 3)"),
    (("analyse", "shed.yaml", "--html", "./shed.yaml"), "shed.yaml: --html is the circuit file itself; choose another name"),
    (("spice", "shed.yaml", "--move", "key", "--out", "out.file"), "move 'key': a move is 'rest' or word=value, such as key=on"),
    (("draw", "shed.yaml", "--fault", "W9 open", "--out", "out.file"), "fault 'W9 open': there is no place 'W9' that can have a fault"),
    (("draw", "tabs.yaml", "--out", "out.file"), "tabs.yaml:2: this is not YAML: found character '\\t' that cannot start any token"),
]  # fmt: skip


@pytest.mark.parametrize(("arguments", "message"), REFUSED)
def test_a_refusal_is_one_clear_message(
    folder: Path, capsys: Capture, arguments: tuple[str, ...], message: str
) -> None:
    """Wrong move, terminal, fault, file, record: the place, what is wrong, the nearest name; exit 1; no file touched."""
    (folder / "half.json").write_text('{"circuit": "shed-lamp", "actions": [{"move": "key=', encoding="utf-8")
    (folder / "nan.json").write_text('{"circuit": "shed-lamp", "actions": [NaN]}', encoding="utf-8")
    odd = {"circuit": "shed-lamp", "actions": [{"move": "key=on"}, {"move": "key=onn"}]}
    (folder / "odd.json").write_text(json.dumps(odd), encoding="utf-8")
    (folder / "tabs.yaml").write_text("circuit: shed\n\tparts: {}\n", encoding="utf-8")
    (folder / "out.file").write_text("as it was", encoding="utf-8")
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    ran = Ran(capsys, *arguments)
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == message + "\n"
    ran = Ran(capsys, *arguments, "--json")
    assert (ran.code, ran.err) == (1, "")
    assert json.loads(ran.out) == {"error": message}
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_a_wrong_circuit_file_is_refused_with_every_mistake(folder: Path, capsys: Capture) -> None:
    """Not only ``check`` gives all of them, one a line."""
    (folder / "wrong.yaml").write_text(
        depot.SHED.replace("to: S1:1", "to: S1:7").replace("14.4 W", "14.4"), encoding="utf-8"
    )
    ran = Ran(capsys, "table", "wrong.yaml")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.splitlines() == [
        "wrong.yaml:10: power of P1: '14.4' has no unit; write a number with a unit, such as '21 W'",
        "wrong.yaml:12: wire W1 ends at S1:7, but S1 has no terminal 7 (it has 1 2)",
    ]


def test_a_place_that_cannot_be_written(folder: Path, capsys: Capture) -> None:
    """A folder of the output's name, or a file where a folder is needed, is a refusal and leaves nothing behind."""
    (folder / "taken").mkdir()
    for out in ("taken", "shed.yaml/out.svg"):
        before = sorted(path.name for path in folder.iterdir())
        ran = Ran(capsys, "draw", "shed.yaml", "--out", out)
        assert (ran.code, ran.out) == (1, "")
        assert ran.err.startswith(f"{Path(out).name}: cannot be written: ")
        assert sorted(path.name for path in folder.iterdir()) == before


# Usage: exit 2


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("frobnicate",), "No such command 'frobnicate'."),
        (("check",), "Missing argument 'CIRCUITS...'."),
        (("read", "shed.yaml", "P1:1", "P1:2"), "choose one of --volts, --ohms, --continuity, --diode, --amps"),
        (("read", "shed.yaml", "--volts", "--ohms", "P1:1", "P1:2"), "choose one of --volts, --ohms, --continuity, --diode, --amps"),
        (("read", "shed.yaml", "--volts", "P1:1"), "--volts needs RED and BLACK"),
        (("read", "shed.yaml", "--amps", "P1:1", "P1:2", "W1"), "--amps needs a place, or red and black"),
        (("suspects", "shed.yaml"), "Missing option '--record'."),
        (("draw", "shed.yaml"), "Missing option '--out'."),
        (("table", "shed.yaml", "--volts"), "No such option '--volts'."),
    ],
)  # fmt: skip
def test_wrong_usage(folder: Path, capsys: Capture, arguments: tuple[str, ...], message: str) -> None:  # noqa: ARG001
    """A command that does not exist, an argument too few or too many: the usage, and exit 2."""
    ran = Ran(capsys, *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.splitlines()[-1] == f"Error: {message}"
    assert ran.err.startswith("Usage: faultwright")


@pytest.mark.parametrize("command", CIRCUIT_COMMANDS)
def test_every_command_has_help_and_json(capsys: Capture, command: str) -> None:
    """``--help`` says what a command does and that it has ``--json``."""
    ran = Ran(capsys, command, "--help")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith(f"Usage: faultwright {command}")
    assert "--json" in ran.out


# As a program of its own


def run(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run the program as a person does."""
    return subprocess.run(
        [sys.executable, "-m", "faultwright", *arguments],
        check=False,
        capture_output=True,
        cwd=cwd,
        encoding="utf-8",
        timeout=60,
    )


def test_as_a_program(folder: Path) -> None:
    """Output, error stream and exit code of the real thing, in a file with Ω; no traceback."""
    well = run("read", "shed.yaml", "--ohms", "P1:1", "P1:2", "--alone", "P1", cwd=folder)
    assert (well.returncode, well.stdout.splitlines(), well.stderr) == (0, ["1.0 Ω"], "")
    refused = run("operate", "shed.yaml", "key=onn", cwd=folder)
    assert (refused.returncode, refused.stdout) == (1, "")
    assert refused.stderr.splitlines() == [
        "move 'key=onn': control key: there is no position 'onn'; did you mean 'on'? (allowed: off, on)"
    ]
    usage = run("operate", cwd=folder)
    assert (usage.returncode, usage.stdout) == (2, "")
    assert "Traceback" not in usage.stderr


@pytest.mark.parametrize("arguments", [["--help"], ["read", "--help"], ["--version"]])
def test_help_is_light(arguments: list[str]) -> None:
    """Help and version load neither the units nor YAML nor numpy nor anything of Jupyter."""
    heavy = ("pint", "ruamel", "ruamel.yaml", "numpy", "matplotlib", "IPython", "jupyterlab", "nbgrader", "ipywidgets")
    program = (
        "import sys\n"
        "from faultwright.command_line import main\n"
        f"code = main({arguments!r})\n"
        f"print([name for name in {heavy!r} if name in sys.modules], code, file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], check=True, capture_output=True, encoding="utf-8", timeout=60
    )
    assert done.stderr.splitlines() == ["[] 0"]


def test_one_machine_needs_no_numpy(folder: Path) -> None:
    """Operating and measuring one machine work where there is no numpy (pint takes it along where there is one)."""
    program = (
        "import sys\n"
        "sys.modules['numpy'] = None\n"
        "from faultwright.command_line import main\n"
        "main(['operate', 'shed.yaml', 'key=on'])\n"
        "main(['read', 'shed.yaml', '--move', 'key=on', '--fault', 'P1 open', '--volts', 'P1:1', 'P1:2'])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], check=True, capture_output=True, cwd=folder, encoding="utf-8", timeout=60
    )
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] == "12.00 V"
