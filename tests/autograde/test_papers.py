"""Papers: each candidate's own, the same every time, and nothing in them that tells what is wrong."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from pathlib import Path

import pytest

from faultwright.circuit_file import parse_circuit, read_circuit
from faultwright.errors import Refused
from faultwright.faults import universe
from faultwright_autograde.blueprint import Blueprint, Selection
from faultwright_autograde.class_folder import open_class, open_guide, read_roster
from faultwright_autograde.draws import Draws, read_secret, secret_for
from faultwright_autograde.pages import guide_page
from faultwright_autograde.paper import PaperMaker, fixed_case, paper_as_json
from faultwright_autograde.sealing import seal, unseal
from faultwright_autograde.setting import set_papers
from tests.autograde.gate import SECRET

CLASS = [f"bench-{number}" for number in range(1, 9)]


@pytest.fixture
def roster(tmp_path: Path) -> Path:
    """Return a roster of eight benches."""
    path = tmp_path / "roster.csv"
    path.write_text("candidate\n" + "\n".join(CLASS) + "\n", encoding="utf-8")
    return path


def test_the_same_secret_gives_the_same_paper(blueprint: Blueprint, maker: PaperMaker) -> None:
    """A case follows from secret, paper and candidate alone, not from the order or the company."""
    other = PaperMaker(blueprint, SECRET)
    for candidate in reversed(CLASS):
        one, two = other.case(candidate), maker.case(candidate)
        assert (one.paper, one.fault, one.circuit_text) == (two.paper, two.fault, two.circuit_text)


def test_another_secret_gives_other_papers(blueprint: Blueprint, maker: PaperMaker) -> None:
    """Without the secret nobody can work a paper out."""
    other = PaperMaker(blueprint, SECRET[::-1])
    assert all(other.case(name).circuit_text != maker.case(name).circuit_text for name in CLASS)
    assert all(other.case(name).paper != maker.case(name).paper for name in CLASS)


def test_no_two_neighbours_share_a_machine(maker: PaperMaker) -> None:
    """Battery and wires differ from bench to bench, so a neighbour's readings do not fit; the range is kept."""
    cases = [maker.case(f"seat-{number}") for number in range(40)]
    assert len({case.circuit_text for case in cases}) == len(cases)
    assert len({case.fault.name for case in cases}) > 10
    for case in cases:
        assert 12.22 <= case.circuit.parts["G1"].number("emf") <= 12.98  # 12.6 V by 0.97 to 1.03
        if case.fault.value is not None:
            assert 4 <= case.fault.value <= 40
        assert parse_circuit(case.circuit_text) == case.circuit


def test_draws_are_even_and_their_own() -> None:
    """Shares lie in [0, 1) and spread evenly; other words give other numbers."""
    draws = Draws(SECRET, "paper", "gate", "bench-1")
    shares = [draws.share() for _ in range(4000)]
    assert min(shares) >= 0
    assert max(shares) < 1
    for low in (0.0, 0.25, 0.5, 0.75):
        assert 900 < sum(low <= share < low + 0.25 for share in shares) < 1100
    assert Draws(SECRET, "paper", "gate", "bench-2").share() != shares[0]
    assert Draws(SECRET, "ab", "c").name() != Draws(SECRET, "a", "bc").name()


def test_difficulty_bounds_the_pool(blueprint: Blueprint) -> None:
    """Only faults within the bounds are drawn, and bounds that nothing meets are a refusal."""
    few = replace(blueprint, selection=Selection(names=("W2 open", "W3 open", "P1 open")))
    needed = {
        name: PaperMaker(few, SECRET).difficulty.of(universe(few.circuit)[name])[1] for name in few.selection.names
    }
    least, most = min(needed.values()), max(needed.values())
    assert 1 <= least < most
    for bounds in ((least, least), (most, most)):
        case = PaperMaker(replace(few, tests=bounds), SECRET).case("bench-1")
        assert bounds[0] <= needed[case.fault.name] <= bounds[1]
    with pytest.raises(Refused, match="no machine within the difficulty"):
        PaperMaker(replace(blueprint, suspects=(900.0, 999.0)), SECRET).case("bench-1")


def test_setting_papers_twice_writes_the_same(blueprint_path: Path, roster: Path, tmp_path: Path) -> None:
    """A second run finds the secret and changes not a byte."""
    out, secret = tmp_path / "class", tmp_path / "keys" / "secret.key"
    set_papers(blueprint_path, roster, out, secret)
    before = {path: path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()}
    set_papers(blueprint_path, roster, out, secret)
    assert before == {path: path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()}
    assert len(read_secret(secret)) == 32
    if os.name == "posix":
        assert secret.stat().st_mode & 0o077 == 0


def test_what_is_handed_out_does_not_tell_the_fault(blueprint_path: Path, roster: Path, tmp_path: Path) -> None:
    """Paper, circuit and sheet of two candidates with different faults hold no name, value, remedy or cause of them."""
    out, secret = tmp_path / "class", tmp_path / "secret.key"
    set_papers(blueprint_path, roster, out, secret)
    opened = open_class(out, read_secret(secret))
    guide = open_guide(out, read_secret(secret))["key"]
    for candidate in CLASS:
        case = opened.maker.case(candidate)
        folder = out / "papers" / candidate
        handed = "".join(path.read_text(encoding="utf-8") for path in sorted(folder.iterdir()))
        assert str(case.fault) not in handed
        assert case.fault.name not in handed
        assert not any(remedy in handed for remedy in case.fault.remedies)
        assert case.fault.cause not in handed
        assert "frequency" not in handed
        assert "machine" not in json.loads((folder / "paper.json").read_text(encoding="utf-8"))
        assert read_circuit(folder / "circuit.yaml") == case.circuit
        assert guide[candidate]["fault"] == str(case.fault)
    sealed = (out / "guide.sealed").read_bytes()
    assert b"open" not in sealed
    assert b"resistance" not in sealed


def test_what_inspection_shows_is_sealed(blueprint: Blueprint, blueprint_path: Path, tmp_path: Path) -> None:
    """The operator's answers are handed out, the same to all; signs, even harmless ones, stand in the guide only."""
    story = (
        "ask: [{question: Since when?, answer: Since the frost.}]\n"
        "inspect:\n"
        "  - {at: W4, seen: a snail}\n"
        "  - {at: S1, seen: pinched in the hinge, with: [S1 resistance]}\n"
        "  - {at: B1, seen: sooty, with: [B1 stuck open, B1 resistance]}\n"
    )
    (tmp_path / "gate-lamp.yaml").write_bytes((blueprint_path.parent / "gate-lamp.yaml").read_bytes())
    (tmp_path / "paper.yaml").write_text(blueprint.text + story, encoding="utf-8")
    (tmp_path / "roster.csv").write_text("\n".join(CLASS), encoding="utf-8")
    out, secret = tmp_path / "class", tmp_path / "secret.key"
    secret.write_bytes(SECRET)
    set_papers(tmp_path / "paper.yaml", tmp_path / "roster.csv", out, secret)
    guide = open_guide(out, SECRET)["key"]
    told: dict[str, list[str]] = {
        "S1 resistance": ["S1: pinched in the hinge"],
        "B1 stuck open": ["B1: sooty"],
        "B1 resistance": ["B1: sooty"],
    }
    faults = {candidate: open_class(out, SECRET).maker.case(candidate).fault.name for candidate in CLASS}
    assert set(told) < set(faults.values())
    for candidate in CLASS:
        paper = (out / "papers" / candidate / "paper.json").read_text(encoding="utf-8")
        sheet = (out / "papers" / candidate / "sheet.html").read_text(encoding="utf-8")
        assert json.loads(paper)["ask"] == [{"question": "Since when?", "answer": "Since the frost."}]
        assert "<details><summary>Since when?</summary><p>Since the frost.</p></details>" in sheet
        assert not any(word in paper + sheet for word in ("snail", "pinched", "sooty"))
        assert guide[candidate]["signs"] == ["W4: a snail", *told.get(faults[candidate], [])]
    assert guide_page("Gate", guide).count("<td>W4: a snail<br>B1: sooty</td>") == 2


def test_practice_holds_its_fault_and_says_so(blueprint: Blueprint) -> None:
    """Only a blueprint that says that it is practice puts the fault into the paper, with the caution beside it."""
    case = fixed_case(replace(blueprint, practice=True), "W4 open")
    paper = paper_as_json(case)
    assert paper["machine"]["faults"] == ["W4 open"]
    assert "It is no examination." in paper["machine"]["note"]


def test_the_secret_must_lie_outside(blueprint_path: Path, roster: Path, tmp_path: Path) -> None:
    """A secret in the folder that is handed round is refused, before anything is written."""
    out = tmp_path / "class"
    for secret in (out / "secret.key", out / "deep" / ".." / "secret.key", out):
        with pytest.raises(Refused, match="the secret must lie outside class"):
            set_papers(blueprint_path, roster, out, secret)
    assert not out.exists()


def test_a_short_or_missing_secret_is_refused(tmp_path: Path) -> None:
    """Fifteen bytes keep nothing; a folder and a missing file are no secret."""
    path = tmp_path / "secret.key"
    with pytest.raises(Refused, match="no such secret file"):
        read_secret(path)
    path.write_bytes(b"x" * 15)
    with pytest.raises(Refused, match="16 to 4096 bytes; this has 15"):
        secret_for(path, tmp_path / "class")


def test_another_folder_is_never_written_over(blueprint_path: Path, roster: Path, tmp_path: Path) -> None:
    """A folder with something else in it, or with another set of papers, is left alone."""
    out, secret = tmp_path / "class", tmp_path / "secret.key"
    out.mkdir()
    (out / "work.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match="not empty and holds no papers"):
        set_papers(blueprint_path, roster, out, secret)
    other = tmp_path / "other"
    set_papers(blueprint_path, roster, other, secret)
    for name in ("gate-lamp.yaml", "paper.yaml"):
        text = (blueprint_path.parent / name).read_text(encoding="utf-8")
        (tmp_path / name).write_text(text.replace("W5, S1", "W5, W6, S1"), encoding="utf-8")
    with pytest.raises(Refused, match="another set of papers"):
        set_papers(tmp_path / "paper.yaml", roster, other, secret)
    assert [path.name for path in out.iterdir()] == ["work.txt"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nobody in the roster"),
        ("bench-1\nbench 2\n", "roster.csv:2: 'bench 2' is no id"),
        ("../../etc\n", "is no id"),
        ("=1+1\n", "is no id"),
        ("con\n", "is no id"),
        ("bench-1\nBench-1\n", "roster.csv:2: 'Bench-1' is there twice"),
        ("\n".join(f"b{number}" for number in range(1001)), "more than 1000 candidates"),
    ],
)
def test_a_wrong_roster_is_refused(tmp_path: Path, text: str, words: str) -> None:
    """Ids that are no file names, twice the same, nobody: each is told with its line."""
    path = tmp_path / "roster.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(Refused) as refused:
        read_roster(path)
    assert words in str(refused.value)


def test_a_roster_may_be_a_list_or_a_table(tmp_path: Path) -> None:
    """One id a line, or the first column under a heading; remarks and empty lines are passed over."""
    path = tmp_path / "roster.csv"
    path.write_text("# spring class\nid,room\nbench-1,a\n\nbench-2,b\n", encoding="utf-8")
    assert read_roster(path) == ("bench-1", "bench-2")


def test_what_is_sealed_opens_with_its_secret_only() -> None:
    """Another secret, a changed byte and a file that was never sealed are refused alike."""
    content = b"what is in each machine: W4 open" * 9
    sealed = seal(content, SECRET)
    assert unseal(sealed, SECRET, "guide") == content
    assert seal(content, SECRET) == sealed
    for wrong, secret in ((sealed, SECRET[::-1]), (sealed[:-1] + b"\x00", SECRET), (content, SECRET), (b"", SECRET)):
        with pytest.raises(Refused, match="sealed with another secret, or changed since"):
            unseal(wrong, secret, "guide")


def test_a_changed_class_file_is_refused(blueprint_path: Path, roster: Path, tmp_path: Path) -> None:
    """The sealed guide vouches for blueprint and roster: whoever edits them is found out."""
    out, secret = tmp_path / "class", tmp_path / "secret.key"
    set_papers(blueprint_path, roster, out, secret)
    path = out / "class.json"
    path.write_text(path.read_text(encoding="utf-8").replace("bench-1", "bench-9"), encoding="utf-8")
    with pytest.raises(Refused, match="changed after the papers were set"):
        open_class(out, read_secret(secret))


def test_papers_that_were_handed_out_are_not_lost(tmp_path: Path, blueprint_path: Path) -> None:
    """Setting again with another secret, or without somebody who has a paper, is refused and changes nothing."""
    roster = tmp_path / "roster.csv"
    roster.write_text("bench-01\nbench-02\n", encoding="utf-8")
    out, secret, other = tmp_path / "class", tmp_path / "one.key", tmp_path / "two.key"
    set_papers(blueprint_path, roster, out, secret)
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    with pytest.raises(Refused, match="sealed with another secret"):
        set_papers(blueprint_path, roster, out, other)
    roster.write_text("bench-01\n", encoding="utf-8")
    with pytest.raises(Refused, match="holds papers of bench-02, who would be left out"):
        set_papers(blueprint_path, roster, out, secret)
    assert {path: path.read_bytes() for path in out.rglob("*") if path.is_file()} == before


def test_an_interrupted_setting_can_be_done_again(tmp_path: Path, blueprint_path: Path) -> None:
    """Without its guide, as after a kill, the folder is set again with the same papers."""
    roster = tmp_path / "roster.csv"
    roster.write_bytes(b"bench-01\rbench-02\r")  # the line ends of old spreadsheets
    out, secret = tmp_path / "class", tmp_path / "one.key"
    set_papers(blueprint_path, roster, out, secret)
    whole = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    (out / "guide.sealed").unlink()
    (out / "papers" / "bench-02" / "sheet.html").unlink()
    set_papers(blueprint_path, roster, out, secret)
    assert {path: path.read_bytes() for path in out.rglob("*") if path.is_file()} == whole
