"""Checking an answer before it is handed in: every mistake at once, and nothing that follows from the fault."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from faultwright.circuit_file import read_circuit
from faultwright.command_line import main
from faultwright.files import write_json
from faultwright_autograde.answer_check import Checked, check_answer, read_paper
from faultwright_autograde.case import Case
from faultwright_autograde.paper import paper_as_json
from tests.autograde.gate import FOLDER, Answer, mark_json


@pytest.fixture
def paper(tmp_path: Path, case: Case) -> Path:
    """Return a paper's folder as it is handed out."""
    folder = tmp_path / "bench-1"
    write_json(folder / "paper.json", paper_as_json(case))
    (folder / "circuit.yaml").write_text((FOLDER / "gate-lamp.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    return folder


@pytest.fixture
def checked(paper: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Any:  # noqa: ANN401
    """Return a function that checks an answer with the command and returns its exit code and what it printed."""

    def check(answer: object, *more: str) -> tuple[int, list[str]]:
        path = tmp_path / "bench-1.json"
        path.write_text(json.dumps(answer), encoding="utf-8")
        code = main(["check-answer", str(paper), str(path), *more])
        out, err = capsys.readouterr()
        return code, (err if code else out).splitlines()

    return check


def test_a_sound_answer(checked: Any, right: Answer) -> None:  # noqa: ANN401
    """How much was done and found, and nothing of whether it is right."""
    assert checked(right) == (
        0,
        [
            "bench-1.json: sound: 24 actions, 14 findings",
            "Nothing was marked: whether it is right only marking tells.",
        ],
    )


def test_what_was_left_blank(checked: Any, right: Answer) -> None:  # noqa: ANN401
    """Blank is no mistake, but worth a look before handing in."""
    few = {key: right[key] for key in ("version", "circuit", "paper", "record")}
    code, lines = checked(few)
    assert code == 0
    assert lines[1] == "left blank: claim, cited, calculation, continuity, remedy"
    assert json.loads("\n".join(checked(few, "--json")[1])) ["blank"] == [
        "claim", "cited", "calculation", "continuity", "remedy",
    ]  # fmt: skip


def test_every_mistake_at_once(checked: Any, right: Answer) -> None:  # noqa: ANN401
    """Slips of every kind come together, each with its place and what is allowed."""
    right["record"]["actions"].append({"move": "gate=opne"})
    wrong = right | {
        "paper": "gat",
        "claim": ["W4 resistanse"],
        "calculation": "12 apples",
        "continuity": {"feed": "key=on and gate=opn", "fed": "always"},
        "remedy": "W4 mend",
    }
    code, lines = checked(wrong)
    assert code == 1
    assert lines == [
        (
            "bench-1.json, record, action 25: move 'gate=opne': control gate: there is no position 'opne'; did you "
            "mean 'open'? (allowed: shut, open)"
        ),
        (
            "bench-1.json: claim: W4 cannot have the fault 'resistanse'; did you mean 'W4 resistance'? (allowed: open, "
            "resistance, shorted to ground, shorted to supply)"
        ),
        (
            "bench-1.json: remedy: W4: there is no remedy 'mend' (allowed: mend the wire, replace the wire, insulate "
            "and reroute the wire)"
        ),
        "bench-1.json: 'paper' is 'gat'; the paper in bench-1 is 'gate'",
        "bench-1.json: calculation: '12 apples' is not a number with a unit, such as '12 mA' or '0.012 A'",
        (
            "bench-1.json: continuity: feed: there is no choice 'key=on and gate=opn'; did you mean 'key=on "
            "and gate=open'? (allowed: always, never, key=on, key=on and gate=open)"
        ),
        "bench-1.json: continuity: there is no question 'fed'; did you mean 'feed'? (allowed: feed)",
    ]


def test_a_circuit_alone_is_enough(tmp_path: Path, right: Answer) -> None:
    """Practice has no paper's folder: then only the answer itself is checked."""
    path = tmp_path / "answer.json"
    write_json(path, right | {"paper": "another", "continuity": {"else": "always"}})
    assert check_answer(path, read_paper(FOLDER / "gate-lamp.yaml")) == Checked(24, 14, ())


def test_it_tells_nothing_of_the_fault(checked: Any, right: Answer, case: Case) -> None:  # noqa: ANN401
    """A wrong claim, a wrong remedy and forged findings are as sound as right ones: that is for marking to tell."""
    told = checked(right)
    wrong = right | {
        "claim": ["W3 open"],
        "remedy": "F1 replace",
        "calculation": "3 A",
        "continuity": {"feed": "never"},
    }
    wrong["record"]["actions"][4]["read"]["value"] = 1.5
    assert checked(wrong) == told
    assert mark_json(wrong, case).mark < 50


def test_a_folder_that_is_no_paper(tmp_path: Path, checked: Any, right: Answer, paper: Path) -> None:  # noqa: ANN401
    """What the folder lacks is said."""
    write_json(paper / "paper.json", {"paper": "gate"})
    code, lines = checked(right)
    assert (code, lines) == (
        1,
        [
            (
                "bench-1/paper.json: this is no paper as it was handed out; "
                "it needs a paper.json with 'paper' and 'questions'"
            )
        ],
    )
    assert read_circuit(paper / "circuit.yaml").name == "gate-lamp"
    assert tmp_path == paper.parent


@pytest.mark.parametrize(
    "written", ["1.75 A", "1.75A", "1,75 A", "1750 mA", "1750mA", "1750,0 mA", " 1.75  A ", "+1.75 amp"]
)
def test_a_quantity_is_read_however_it_is_written(checked: Any, right: Answer, case: Case, written: str) -> None:  # noqa: ANN401
    """Prefix, comma and space are the writer's: checking takes each, and marking gives each the same."""
    answer = right | {"calculation": written}
    assert checked(answer)[0] == 0
    calculation = mark_json(answer, case).by_name["calculation"]
    assert calculation.mark == calculation.maximum == 10


def test_an_expectation_is_a_number_in_the_unit(checked: Any, right: Answer) -> None:  # noqa: ANN401
    """A record holds numbers alone: text with a unit is refused where it stands, with what is allowed."""
    right["record"]["actions"][4]["read"]["expected"] = "12 mA"
    assert checked(right) == (
        1,
        ["bench-1.json, record, action 5: 'expected' must be a number or null"],
    )
