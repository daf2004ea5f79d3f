"""The blueprint: read whole or refused whole, and a pool that the complaint shows and that is safe."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from faultwright.conditions import first_wrong
from faultwright.errors import Refused
from faultwright.faults import parse_fault, universe
from faultwright.permission import path_states
from faultwright.statements import parse_condition
from faultwright.story import Question, Sign, Story
from faultwright_autograde import blueprint as blueprint_module
from faultwright_autograde.blueprint import Blueprint
from faultwright_autograde.blueprint_file import read_blueprint
from faultwright_autograde.paper import fixed_case
from faultwright_autograde.pool import is_safe, is_shown, pool

GOOD = """paper: gate
circuit: gate-lamp.yaml
complaint:
  text: Something is wrong.
  moves: [key=on, gate=open]
"""


def written(tmp_path: Path, blueprint_path: Path, text: str) -> Path:
    """Write a blueprint beside a copy of its circuit."""
    circuit = (blueprint_path.parent / "gate-lamp.yaml").read_bytes()
    (tmp_path / "gate-lamp.yaml").write_bytes(circuit)
    path = tmp_path / "paper.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_blueprint_is_read(blueprint: Blueprint) -> None:
    """What the file says is what the blueprint holds, the rubric's defaults included."""
    assert blueprint.paper == "gate"
    assert [str(move) for move in blueprint.complaint.moves] == ["key=on", "gate=open"]
    assert blueprint.complaint.see == ("lamp", "fan")
    assert blueprint.calculation is not None
    assert blueprint.calculation.probe.red == "W5"
    assert [question.right for question in blueprint.continuity] == ["key=on and gate=open"]
    assert blueprint.safety_switches == ("B1",)
    assert sum(blueprint.rubric.weights.values()) == 100
    assert not blueprint.practice
    assert blueprint.story == Story()
    assert not blueprint.usual_signs


def test_the_format_that_the_guide_shows_is_read(tmp_path: Path) -> None:
    """The example in the module's docstring is a blueprint, apart from the file that it names."""
    lines = [line[4:] for line in (blueprint_module.__doc__ or "").splitlines() if line.startswith("    ")]
    text = "\n".join(lines)
    demo = Path(blueprint_module.__file__).parent / "demo_class" / "orchard-sprayer.yaml"
    (tmp_path / "circuits").mkdir()
    (tmp_path / "circuits" / "orchard-sprayer.yaml").write_bytes(demo.read_bytes())
    (tmp_path / "papers").mkdir()
    path = tmp_path / "papers" / "paper.yaml"
    path.write_text(text, encoding="utf-8")
    read = read_blueprint(path)
    assert read.values["W9 resistance"] == (2.0, 6.0)
    assert (read.suspects, read.tests) == ((4.0, 90.0), (1.0, 6.0))
    assert read.continuity[0].right == "float=full or test=pressed"
    assert read.story == Story(
        (Question("Did the lamp come on?", "I did not look at the lamp, the sun was on it."),),
        (
            Sign("X1", "the housing is muddy"),
            Sign("X1:1", "a green deposit", ("X1:1 resistance",), apart=True),
        ),
    )
    assert not read.usual_signs


def test_every_mistake_is_named_with_its_line(tmp_path: Path, blueprint_path: Path) -> None:
    """One reading finds all mistakes, each with its line, the nearest name and what is allowed."""
    text = GOOD.replace("gate=open", "gate=opened") + (
        "faults: {places: [W44], modes: [opened], names: [W4 opened]}\n"
        "values: {W4 resistance: 9 to 3}\n"
        "machine: {emf: 1 to 9}\n"
        "difficulty: {suspects: few}\n"
        "calculation: {prompt: How much?, meter: volts, red: P1:9, black: FRAME}\n"
        "continuity: [{id: feed, prompt: When?, between: [F1:2, P1:1], choices: [always, key=onn]}]\n"
        "safety_switches: [B9]\n"
        "practice: perhaps\n"
        "rubric: {pass: 600, weights: {luck: 3}}\n"
        "colour: red\n"
    )
    with pytest.raises(Refused) as refused:
        read_blueprint(written(tmp_path, blueprint_path, text))
    messages = str(refused.value)
    for line, words in (
        (5, "position 'opened'; did you mean 'open'?"),
        (6, "no place 'W44'; did you mean 'W4'?"),
        (6, "no mode 'opened'; did you mean 'open'?"),
        (6, "no fault 'W4 opened'; did you mean 'W4 open'?"),
        (7, "values of W4 resistance"),
        (8, "'9' is not a factor from 0.5 to 2"),
        (9, "difficulty: suspects is 'few'"),
        (10, "P1 has no terminal 9 (it has 1 2)"),
        (11, "no position 'onn'; did you mean 'on'?"),
        (11, "exactly one choice must be right, and 0 are; the path is there in 1 of 4 states (key=on, gate=open)"),
        (12, "no switch 'B9'"),
        (13, "practice is 'perhaps'; write yes or no"),
        (14, "pass is '600'; write a number from 0 to 100"),
        (14, "no criterion 'luck'"),
        (15, "no entry 'colour'"),
    ):
        assert re.search(rf"^paper\.yaml:{line}: .*{re.escape(words)}", messages, re.MULTILINE), words


def test_every_mistake_of_a_story_is_named_with_its_line(tmp_path: Path, blueprint_path: Path) -> None:
    """What is asked, looked at and named: one reading finds all mistakes, in whole sentences for the author."""
    text = GOOD + (
        "faults: {modes: [open]}\n"
        "ask:\n"
        "  - {question: Since when?, answer: Monday.}\n"
        "  - {question: Since when?, answer: ''}\n"
        "  - {question: Who?, anser: Me.}\n"
        "  - {question: [Who], answer: Me.}\n"
        "inspect:\n"
        "  - {at: W44, seen: a tie}\n"
        "  - {at: W4, seen: a tie, with: [W4 opened, W4 resistance]}\n"
        "  - {at: W4, seen: a tie, apart: yes}\n"
        "  - {at: S1, seen: bent, apart: maybe, with: []}\n"
        "  - {at: S1}\n"
        "usual_signs: all\n"
    )
    with pytest.raises(Refused) as refused:
        read_blueprint(written(tmp_path, blueprint_path, text))
    messages = str(refused.value).splitlines()
    assert [re.sub(r" \(allowed: .*\)$", "", message) for message in messages] == [
        "paper.yaml:9: ask: answer is empty",
        "paper.yaml:9: ask: 'Since when?' is asked twice",
        "paper.yaml:10: a question to the operator: there is no entry 'anser'; did you mean 'answer'?",
        "paper.yaml:10: a question to the operator: 'answer' is missing",
        "paper.yaml:11: ask: question must be a single word or text, not a list or a table",
        "paper.yaml:13: inspect: there is no place 'W44'; did you mean 'W4'?",
        "paper.yaml:14: inspect: with: there is no fault 'W4 opened'; did you mean 'W4 open'?",
        "paper.yaml:14: inspect: with: W4 resistance is not among the faults of this paper, so this is never seen",
        "paper.yaml:15: inspect: apart: W4 is a wire, and only a part can be unplugged",
        "paper.yaml:16: inspect: apart is 'maybe'; write yes or no",
        "paper.yaml:16: inspect: with: no fault is named; leave 'with' out for what is always to be seen",
        "paper.yaml:17: what inspection shows: 'seen' is missing",
        "paper.yaml:18: usual_signs is 'all'; write yes or no",
    ]


def test_what_is_no_list_of_a_story_is_refused(tmp_path: Path, blueprint_path: Path) -> None:
    """A table instead of a list, and a text that no bench would show whole."""
    text = GOOD + f"ask: {{question: Who?}}\ninspect: [{{at: S1, seen: {'x' * 2001}}}]\n"
    with pytest.raises(Refused) as refused:
        read_blueprint(written(tmp_path, blueprint_path, text))
    assert str(refused.value).splitlines() == [
        "paper.yaml:6: ask must be a list",
        "paper.yaml:7: inspect: seen has more than 2000 characters",
    ]


def test_a_case_has_its_own_story(tmp_path: Path, blueprint_path: Path) -> None:
    """Each candidate's case holds the oddities and the signs of its own fault; the usual ones where asked for."""
    text = GOOD + (
        "inspect:\n  - {at: B1, seen: a snail}\n  - {at: B1, seen: loose screw, with: [B1:1 open, B1:2 open]}\n"
    )
    told = read_blueprint(written(tmp_path, blueprint_path, text))
    usual = read_blueprint(written(tmp_path, blueprint_path, text + "usual_signs: yes\n"))
    snail = Sign("B1", "a snail")
    assert fixed_case(told, "B1:2 open").story.signs == (snail, Sign("B1", "loose screw", ("B1:2 open",)))
    assert fixed_case(told, "F1 open").story.signs == (snail,)
    assert fixed_case(usual, "F1 open").story.signs == (
        snail,
        Sign("F1", "the element is broken through", ("F1 open",)),
    )


def test_a_wrong_circuit_is_told_with_the_blueprint(tmp_path: Path, blueprint_path: Path) -> None:
    """A mistake in the circuit is located in the circuit, and the blueprint's line that names it is told too."""
    path = written(tmp_path, blueprint_path, GOOD)
    circuit = tmp_path / "gate-lamp.yaml"
    circuit.write_text(circuit.read_text(encoding="utf-8").replace("P1:1,", "P1:7,"), encoding="utf-8")
    with pytest.raises(Refused, match=r"paper\.yaml:2: circuit 'gate-lamp\.yaml'(.|\n)*P1 has no terminal 7"):
        read_blueprint(path)


def test_the_pool_holds_only_what_the_complaint_shows(blueprint: Blueprint) -> None:
    """Each fault of the pool changes what is seen in the complaint, and is selected; W6 and W1 are not selected."""
    names = [fault.name for fault in pool(blueprint)]
    assert "W4 open" in names
    assert not {"W6 open", "W1 open"} & set(names)
    assert all(is_shown(blueprint.circuit, fault, blueprint.complaint) for fault in pool(blueprint))


@pytest.mark.parametrize(
    ("fault", "safe"),
    [("W4 open", True), ("B1 stuck closed", False), ("W1 shorted to ground", False), ("W4 shorted to ground", True)],
)
def test_no_guard_is_defeated_and_no_unfused_short_set_up(blueprint: Blueprint, fault: str, safe: bool) -> None:  # noqa: FBT001
    """A stuck guard makes the fan run with the gate shut; a short before the fuse is unfused, one behind is not."""
    assert is_safe(blueprint.circuit, parse_fault(fault, blueprint.circuit)) is safe


def test_a_named_fault_that_does_not_fit_is_a_mistake(tmp_path: Path, blueprint_path: Path) -> None:
    """The author is told that the complaint does not show the fault, or that it could not be set up safely."""
    text = GOOD.replace("[key=on, gate=open]", "[gate=open]") + "faults: {names: [W4 open, B1 stuck closed]}\n"
    with pytest.raises(Refused) as refused:
        pool(read_blueprint(written(tmp_path, blueprint_path, text)))
    assert "W4 open cannot be in the pool, for the complaint does not show it" in str(refused.value)


def test_conditions_bind_and_before_or(blueprint: Blueprint) -> None:
    """'and' binds closer than 'or', and a claim counts as true only if it holds in every state."""
    circuit = blueprint.circuit
    either = parse_condition("key=off or key=on and gate=open", circuit)
    assert either.holds({"key": "off", "gate": "shut"})
    assert not either.holds({"key": "on", "gate": "shut"})
    states = path_states(circuit, ("B1:1", "B1:2"))
    assert len(states) == 4
    assert first_wrong(parse_condition("gate=open", circuit), states) is None
    assert first_wrong(parse_condition("gate=open and key=on", circuit), states) is not None


def test_without_a_selection_every_fitting_fault_is_in_the_pool(tmp_path: Path, blueprint_path: Path) -> None:
    """The default pool is the universe without what is not shown or not safe."""
    read = read_blueprint(written(tmp_path, blueprint_path, GOOD))
    names = {fault.name for fault in pool(read)}
    fitting = {
        name
        for name, fault in universe(read.circuit).items()
        if is_shown(read.circuit, fault, read.complaint) and is_safe(read.circuit, fault)
    }
    assert names == fitting
    assert {"W6 open", "M1 open", "F1 open"} <= names
