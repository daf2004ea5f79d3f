"""The guides work as written: their files, their commands with what comes back, and their Python, top to bottom."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from faultwright.analysis import SECTIONS
from faultwright.circuit_file import read_circuit
from faultwright.parts import KINDS
from faultwright_autograde.blueprint_file import read_blueprint
from faultwright_autograde.draws import Draws
from faultwright_autograde.nbgrader_course import open_course
from faultwright_autograde.simulated.habits import play
from faultwright_course.catalogue import HOME, circuit_path
from faultwright_course.opening import practice_case
from tests.course.guide import GUIDES, Follower, agrees, blocks
from tests.course.part_table import part_table
from tests.course.student import works_badly, works_well


@pytest.fixture
def follower(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Follower:
    """Return somebody who works in the root of a clone that has nothing but the course."""
    clone = tmp_path / "clone"
    for folder in ("papers", "circuits"):
        shutil.copytree(HOME / folder, clone / "course" / "faultwright_course" / folder)
    monkeypatch.chdir(clone)
    return Follower(capsys)


def test_lines_are_compared_strictly() -> None:
    """A line more, a line less or another word is not as expected; only ``…`` stands for other lines."""
    assert agrees(["a", "…", "c"], ["a", "b", "b", "c"])
    assert agrees(["a", "…"], ["a"])
    assert not agrees(["a"], ["a", "b"])
    assert not agrees(["a", "b"], ["a"])
    assert not agrees(["a.c"], ["abc"])


def test_authoring_guide_followed(follower: Follower) -> None:
    """From the copied circuit to a blueprint of one's own and a bench: every command prints what the guide shows."""
    shutil.copy(circuit_path("compressor"), "my-machine.yaml")
    for language, body in blocks("authoring"):
        follower.follow(language, body)
    assert follower.commands >= 11
    blueprint = read_blueprint("my-case.yaml")
    assert blueprint.calculation is not None
    assert blueprint.continuity[0].right == "key=on and run=pressed and pressure=low"
    assert blueprint.safety_switches == ("S2", "B1")
    assert [sign.at for sign in blueprint.story.signs] == ["X1", "Q1", "Q1:85"]
    assert follower.names["work"].view.session.file.path == Path("my-practice-answer.json")
    ride_on = read_circuit("ride-on.yaml")
    assert ride_on.controls["key"].springs_to == "run"
    assert ride_on.reach == {"S1:3": "", "B1:1": "", "X1:a1": "X1"}


def test_first_circuit_guide_followed(follower: Follower) -> None:
    """From an empty file over its two slips to a marked exercise, with what comes back at each step."""
    for number, (language, body) in enumerate(blocks("first-circuit")):
        if body.startswith("$ faultwright mark"):
            case = practice_case("pump-case.yaml")
            answer = play(case, "methodical", Draws(b"whoever follows the guide", "pump"), {})
            Path("pump-case-answer.json").write_text(json.dumps(answer), encoding="utf-8")
        follower.follow(language, body)
        if number == 1:
            put_right(Path("pump.yaml"), {"hihg": "high", "M1:3": "M1:2"})
    assert follower.commands == 7
    page = Path("pump-case-answer-feedback.html").read_text(encoding="utf-8")
    assert "W4 open is named" in page


def put_right(path: Path, slips: dict[str, str]) -> None:
    """Put the slips of a file right."""
    content = path.read_text(encoding="utf-8")
    for slip, right in slips.items():
        assert content.count(slip) == 1
        content = content.replace(slip, right)
    path.write_text(content, encoding="utf-8")


def test_analysis_guide_followed(follower: Follower) -> None:
    """Every command on the course's compressor prints what the guide shows, and the page is there."""
    for language, body in blocks("analysis"):
        follower.follow(language, body)
    assert follower.commands == 5
    assert Path("compressor.html").is_file()
    guide = (GUIDES / "analysis.md").read_text(encoding="utf-8")
    assert re.findall(r"^\| `(\w+)` \|", guide, re.MULTILINE) == [*SECTIONS, *SECTIONS]


def test_authoring_guide_lists_every_kind() -> None:
    """The guide's table of part kinds is the one that the kinds give (run ``part_table.py`` to print it anew)."""
    assert (GUIDES / "authoring.md").read_text(encoding="utf-8").endswith("\n\n" + part_table())
    assert all(f"\n| {name} | " in part_table() for name in KINDS)


def test_examiners_guide_followed(follower: Follower) -> None:
    """From the clone's root the examiner's commands set and mark a class; the secret is outside of the clone."""
    for language, body in blocks("examiner"):
        follower.follow(language, body)
    assert follower.commands == 2
    assert Path("../class.key").is_file()
    assert sorted(path.name for path in Path("class/papers").iterdir()) == ["bench-1", "bench-2", "bench-3"]
    assert Path("class/marks.csv").is_file()


# nbgrader's own gradebook code sets SQLAlchemy off; nothing of ours can change that.
@pytest.mark.filterwarnings("ignore:Object of type <Submitted:sqlalchemy.exc.SAWarning")
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_instructors_guide_followed(follower: Follower) -> None:
    """The lesson handed out, taken back from three students, marked and given back, by the guide's own lines."""
    hand_out, mark = (block for block in blocks("instructor") if block[0] == "console")
    follower.follow(*hand_out)
    released = Path("our-course/release/06-routes-to-ground")
    assert [path.name for path in released.iterdir()] == ["06-routes-to-ground.ipynb"]
    for student, work in (("bench-1", works_well), ("bench-2", works_badly), ("bench-3", None)):
        folder = Path("submissions") / student
        shutil.copytree(released, folder)
        if work is not None:
            work(folder)
    follower.follow(*mark)
    for student in ("bench-1", "bench-2", "bench-3"):
        assert list((Path("our-course/feedback") / student / "06-routes-to-ground").glob("*.html"))
        assert Path("our-course/autograded", student, "06-routes-to-ground", "routes-clutch-marks.html").is_file()
    with open_course(Path("our-course")).gradebook as gradebook:
        scores = {
            student: gradebook.find_submission_notebook("06-routes-to-ground", "06-routes-to-ground", student).score
            for student in ("bench-1", "bench-2", "bench-3")
        }
    assert (scores["bench-1"], scores["bench-3"]) == (100, 0)
    assert 0 < scores["bench-2"] < 40


def test_meter_guide_followed(follower: Follower, capsys: pytest.CaptureFixture[str]) -> None:
    """Ranges, leads, cautions and healthy readings come out as the guide says."""
    shutil.copy(circuit_path("compressor"), "my-machine.yaml")
    told = ""
    for language, body in blocks("meter"):
        follower.follow(language, body)
        told += capsys.readouterr().out if language == "python" else ""
    assert follower.commands == 8
    assert told.startswith("serious The supply is connected (G1): isolate first.")
    assert "minor Other paths may run beside B1" in told
