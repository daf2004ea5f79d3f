"""The commands card, worksheet, observation and register: what they print, write and refuse."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

import json
import shutil
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from faultwright.command_line import main
from faultwright_course.catalogue import circuit_path

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder with the compressor, on a clock that stands still."""
    shutil.copy(circuit_path("compressor"), tmp_path / "compressor.yaml")
    monkeypatch.chdir(tmp_path)
    still = datetime(2026, 3, 2, 8, 15, tzinfo=timezone(timedelta(hours=1)))
    monkeypatch.setattr("faultwright.workshop.register.local_time", lambda: still)
    return tmp_path


def run(capsys: Capture, *arguments: str, code: int = 0) -> str:
    """Run a command and return what it prints: on the error stream where it refuses."""
    assert main(arguments) == code
    out, err = capsys.readouterr()
    assert (err if code == 0 else out) == ""
    return (err if code else out).rstrip()


def as_json(capsys: Capture, *arguments: str) -> Any:  # noqa: ANN401 - JSON
    """Run a command with --json and return what it prints."""
    return json.loads(run(capsys, *arguments, "--json"))


PUT_IN = ("register", "put-in", "depot.json", "compressor.yaml", "--bench", "3", "--by", "KM", "--fault")


def test_card(folder: Path, capsys: Capture) -> None:
    """The page is written, and the JSON has what is on it."""
    line = run(capsys, "card", "compressor.yaml", "--fault", "W6 open", "--out", "card.html")
    assert line == "wrote card.html: bench card for W6 open, Trailer compressor, hold-to-run; it names the fault"
    assert "W6 open" in (folder / "card.html").read_text(encoding="utf-8")
    found = as_json(capsys, "card", "compressor.yaml", "--fault", "W6 open", "--out", "card.html")
    assert found["set_up"]["parts"] == ["insulating sleeve or cap for the lug", "cable tie"]
    assert found["readings"][1]["red"] == "Q1:86"
    assert found["readings"][1]["healthy"]["value"] == pytest.approx(12.4, abs=0.1)
    assert len(found["proof"]) == 8
    assert set(found) == {
        "file", "circuit", "fault", "asked", "board", "set_up", "cautions", "complaint", "suspects", "readings",
        "not_told_apart", "proof",
    }  # fmt: skip


def test_card_lists_the_faults(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """Without --fault: which may be put in and with what, and why the others may not."""
    lines = run(capsys, "card", "compressor.yaml").splitlines()
    assert lines[0].startswith("may be put in: ")
    assert "  W6 open: insulating sleeve or cap for the lug; cable tie" in lines
    found = {one["fault"]: one for one in as_json(capsys, "card", "compressor.yaml")["faults"]}
    assert found["W6 open"]["may"] is True
    assert found["B1 stuck closed"]["may"] is False
    assert "a guard is defeated" in found["B1 stuck closed"]["why_not"][0]
    on_board = {one["fault"]: one for one in as_json(capsys, "card", "compressor.yaml", "--board")["faults"]}
    assert on_board["B1 stuck closed"]["may"] is True
    assert on_board["W1 shorted to ground"]["may"] is False


def test_worksheet_is_the_same_for_faults_with_one_complaint(folder: Path, capsys: Capture) -> None:
    """W6 open and the fuse give one complaint, so one file to the byte; the lamp's fault gives another."""
    pages = {}
    for number, fault in enumerate(("W6 open", "F1 open", "P1 open")):
        run(capsys, "worksheet", "compressor.yaml", "--fault", fault, "--out", f"{number}.html")
        pages[fault] = (folder / f"{number}.html").read_bytes()
    assert pages["W6 open"] == pages["F1 open"] != pages["P1 open"]
    found = as_json(capsys, "worksheet", "compressor.yaml", "--fault", "W6 open", "--out", "0.html")
    assert "W6" not in json.dumps(found)


def test_observation(folder: Path, capsys: Capture) -> None:
    """With a circuit or for any."""
    assert run(capsys, "observation", "--out", "any.html") == "wrote any.html: observation sheet, any circuit"
    found = as_json(capsys, "observation", "compressor.yaml", "--out", "own.html")
    assert found["circuit"] == "compressor"
    assert {one["level"] for one in found["criteria"]} == {"critical", "serious", "minor"}
    assert "G1:+, F1:1" in (folder / "own.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("command", ["card", "worksheet"])
def test_what_must_not_be_put_in_gets_no_paper(folder: Path, capsys: Capture, command: str) -> None:
    """A guard and an unfused short: exit 1, the reason and others; nothing is written."""
    message = run(capsys, command, "compressor.yaml", "--fault", "B1 stuck closed", "--out", "no.html", code=1)
    assert message.startswith("B1 stuck closed: this must not be put into a real machine: with key switch on")
    assert "Instead: B1 stuck open (the same place, another complaint)" in message
    message = run(capsys, command, "compressor.yaml", "--fault", "W1 shorted to ground", "--out", "no.html", code=1)
    assert "490 A flow and no fuse opens: an unfused short" in message
    assert not (folder / "no.html").exists()


def test_register_from_in_to_proved(folder: Path, capsys: Capture) -> None:
    """Each step prints the entry's line; what is still in stands first."""
    assert run(capsys, *PUT_IN, "W6 open") == "1  bench 3, compressor: W6 open, in since 2026-03-02 08:15+01:00 KM"
    assert run(capsys, "register", "show", "depot.json").splitlines()[0] == "STILL IN: 1"
    assert run(capsys, "register", "taken-out", "depot.json", "1", "--by", "KM") == (
        "1  bench 3, compressor: W6 open, out since 2026-03-02 08:15+01:00 KM, not proved (put in 2026-03-02 08:15+01:00 KM)"
    )
    found = as_json(capsys, "register", "proved", "depot.json", "1", "--by", "TB", "--checked", "all 8 states")
    assert found["entry"]["proved"] == {"at": "2026-03-02T08:15:00+01:00", "by": "TB", "checked": "all 8 states"}
    shown = as_json(capsys, "register", "show", "depot.json")
    assert (shown["in"], shown["out"], shown["proved"]) == ([], [], [1])
    assert run(capsys, "register", "show", "depot.json", "--out", "depot.html") == "wrote depot.html: 0 still in"
    assert "<s>W6 open</s>" in (folder / "depot.html").read_text(encoding="utf-8")


def test_register_refuses(folder: Path, capsys: Capture) -> None:
    """Dangerous faults, a bench that is not free, steps out of order, wrong files: exit 1, and the file stays as it was."""
    run(capsys, *PUT_IN, "W6 open")
    before = (folder / "depot.json").read_bytes()
    for arguments, message in (
        ((*PUT_IN, "B1 stuck closed"), "B1 stuck closed: this must not be put into a real machine"),
        ((*PUT_IN, "W5 open"), "bench 3: entry 1, W6 open, is still in"),
        ((*PUT_IN, "W99 open"), "fault 'W99 open': there is no place 'W99'"),
        (("register", "proved", "depot.json", "1", "--by", "KM", "--checked", "all"), "entry 1: W6 open is still in"),
        (("register", "taken-out", "depot.json", "11", "--by", "KM"), "there is no open entry '11'; did you mean '1'? (allowed: 1)"),
        (("register", "taken-out", "depto.json", "1", "--by", "KM"), "depto.json: there is no such file; did you mean 'depot.json'?"),
        (("register", "show", "compressor.yaml"), "compressor.yaml:1: this is not whole JSON"),
        (("card", "compressor.yaml", "--fault", "W6 open", "--out", "compressor.yaml"), "compressor.yaml: --out is the circuit file itself"),
    ):  # fmt: skip
        assert run(capsys, *arguments, code=1).startswith(message)
    assert main([*PUT_IN, "W5 open", "--json"]) == 1
    assert "is still in" in json.loads(capsys.readouterr().out)["error"]
    assert (folder / "depot.json").read_bytes() == before
    assert run(capsys, *PUT_IN, "W5 open", "--beside").startswith("2  bench 3")


def test_a_board_is_noted(folder: Path, capsys: Capture) -> None:  # noqa: ARG001
    """What goes on a board alone says so in the register."""
    line = run(capsys, *PUT_IN, "B1 stuck closed", "--board")
    assert line == "1  bench 3, compressor: B1 stuck closed, in since 2026-03-02 08:15+01:00 KM (board)"


@pytest.mark.parametrize(
    "arguments",
    [
        ("card", "compressor.yaml", "--fault", "W6 open"),
        ("card", "compressor.yaml", "--out", "card.html"),
        ("worksheet", "compressor.yaml", "--fault", "W6 open"),
        ("observation",),
        ("register", "taken-out", "depot.json", "one", "--by", "KM"),
        ("register", "put-in", "depot.json", "compressor.yaml", "--fault", "W6 open", "--by", "KM"),
    ],
)
def test_wrong_usage(folder: Path, capsys: Capture, arguments: tuple[str, ...]) -> None:  # noqa: ARG001
    """Options that are missing or do not go together: exit 2."""
    assert main(arguments) == 2
    assert "Usage: faultwright" in capsys.readouterr().err


@pytest.mark.parametrize(
    "command",
    [("card",), ("worksheet",), ("observation",), *(("register", one) for one in ("put-in", "taken-out", "proved", "show"))],
    ids=" ".join,
)  # fmt: skip
def test_help_and_json(capsys: Capture, command: tuple[str, ...]) -> None:
    """Each command says what it does and takes --json."""
    told = run(capsys, *command, "--help")
    assert told.startswith(f"Usage: faultwright {' '.join(command)}")
    assert "--json" in told
