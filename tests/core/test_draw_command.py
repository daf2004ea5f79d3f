"""``faultwright draw``: on a screen and on paper, and never a trace of a fault."""

# ruff: noqa: E501 - a message stands as a whole in one line

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from faultwright.circuit_file import read_circuit
from faultwright.command_line import main
from faultwright.command_line.circuit_commands import draw as command
from faultwright.drawing.cutting import SIZES
from faultwright.drawing.svg import draw
from faultwright.faults import universe

from .drawn_circuits import HOUSE

COMPRESSOR = HOUSE / "course/faultwright_course/circuits/compressor.yaml"
LOADER = HOUSE / "tests/benchmarks/yard_loader.yaml"
Capture = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder with two circuits."""
    shutil.copy(COMPRESSOR, tmp_path / "compressor.yaml")
    shutil.copy(LOADER, tmp_path / "loader.yaml")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def ran(capture: Capture, *arguments: str) -> tuple[int, str, str]:
    """Run a command; return its code and what it printed."""
    code = main(arguments)
    out, err = capture.readouterr()
    return code, out, err


MOVES = ("--move", "key=on", "--move", "unplug=X1")


@pytest.mark.parametrize("options", [(), MOVES, ("--paper", "A4"), ("--paper", "A4", *MOVES)])
def test_no_fault_changes_the_drawing(folder: Path, capsys: Capture, options: tuple[str, ...]) -> None:
    """With every fault of the universe the file is the same to the byte as that of the sound machine."""
    assert ran(capsys, "draw", "compressor.yaml", "--out", "sound.svg", *options)[0] == 0
    sound = (folder / "sound.svg").read_bytes()
    names = list(universe(read_circuit(folder / "compressor.yaml")))
    assert len(names) > 50
    for name in names:
        code, _, err = ran(capsys, "draw", "compressor.yaml", "--out", "faulty.svg", "--fault", name, *options)
        assert (code, err) == (0, "")
        assert (folder / "faulty.svg").read_bytes() == sound, name


def test_two_faults_and_one_that_comes_and_goes_change_nothing_either(folder: Path, capsys: Capture) -> None:
    """``--fault`` is taken more than once, and with ``when disturbed``."""
    ran(capsys, "draw", "compressor.yaml", "--out", "sound.svg", *MOVES)
    faults = ("--fault", "W1 open when disturbed", "--fault", "F1 open")
    assert ran(capsys, "draw", "compressor.yaml", "--out", "faulty.svg", *MOVES, *faults)[0] == 0
    assert (folder / "faulty.svg").read_bytes() == (folder / "sound.svg").read_bytes()


def test_without_paper_one_file_is_written(folder: Path, capsys: Capture) -> None:
    """The drawing for a screen is what ``draw`` returns for the circuit."""
    assert ran(capsys, "draw", "loader.yaml", "--out", "loader.svg", "--json") == (
        0, '{\n "file": "loader.svg"\n}\n', "",
    )  # fmt: skip
    assert (folder / "loader.svg").read_text(encoding="utf-8") == draw(read_circuit(folder / "loader.yaml"))


def test_on_paper_each_sheet_is_a_file(folder: Path, capsys: Capture) -> None:
    """Each is named as it is written, in words and as JSON."""
    names = ["loader-1.svg", "loader-2.svg", "loader-3.svg"]
    code, out, err = ran(capsys, "draw", "loader.yaml", "--out", "loader.svg", "--paper", "A4")
    assert (code, err) == (0, "")
    assert out.splitlines() == [f"wrote {name}: Yard loader, start and work circuits" for name in names]
    assert sorted(file.name for file in folder.glob("*.svg")) == names
    code, out, err = ran(capsys, "draw", "loader.yaml", "--out", "loader.svg", "--paper", "A4", "--json")
    assert (code, err, json.loads(out)) == (0, "", {"files": names})


def test_all_sheets_come_as_one_page(folder: Path, capsys: Capture) -> None:
    """With an ``.html`` name there is one file, whatever the number of sheets."""
    assert ran(capsys, "draw", "loader.yaml", "--out", "loader.html", "--paper", "A4") == (
        0, "wrote loader.html: Yard loader, start and work circuits\n", "",
    )  # fmt: skip
    assert (folder / "loader.html").read_text(encoding="utf-8").count("<section>") == 3


def test_the_command_takes_every_size_of_paper() -> None:
    """Its choices, which load nothing, are those that a diagram can be cut for."""
    (option,) = [option for option in command.params if option.name == "paper"]
    assert set(getattr(option.type, "choices", ())) == set(SIZES)


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (("--out", "pump.pdf", "--paper", "A4"), 1, "pump.pdf: name an .svg file (one for each sheet) or an .html file (one page for each sheet)"),
        (("--out", "compressor.yaml", "--paper", "A4"), 1, "compressor.yaml: --out is the circuit file itself; choose another name"),
        (("--out", "pump.svg", "--paper", "A5"), 2, "Invalid value for '--paper': 'A5' is not one of 'A4', 'A3'."),
    ],
)  # fmt: skip
def test_what_cannot_be_written_is_refused(
    folder: Path, capsys: Capture, arguments: tuple[str, ...], code: int, message: str
) -> None:
    """The message says what is allowed, and nothing is written."""
    before = sorted(folder.iterdir())
    ended, _, err = ran(capsys, "draw", "compressor.yaml", *arguments)
    assert ended == code
    assert message in err
    assert sorted(folder.iterdir()) == before
