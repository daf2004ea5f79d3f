"""One folder of wheels sets up a machine without internet: the instructor's notes followed, in the slow tier."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
NOTES = (ROOT / "course" / "guides" / "instructor.md").read_text(encoding="utf-8")
SECTION = NOTES.partition("## A room without internet")[2].partition("\n## ")[0]


def lines_of(section: str) -> list[str]:
    """Return the command lines of a section."""
    return [line for block in re.findall(r"```sh\n(.*?)```", section, re.DOTALL) for line in block.splitlines()]


def test_notes_install_from_the_folder_alone() -> None:
    """What is typed in the room may ask no server."""
    gather, make, install, start = lines_of(SECTION)
    assert gather.startswith("python3 -m pip wheel --wheel-dir wheels")
    assert "--no-index --find-links wheels" in install
    assert (make, start) == ("python3 -m venv lab", "lab/bin/faultwright lab")


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="the notes' lines for a shell of Linux and macOS")
def test_a_folder_of_wheels_is_enough(tmp_path: Path) -> None:
    """The wheels gathered from the clone, installed with no index, copy the course."""
    gather, make, install, start = lines_of(SECTION)
    room = tmp_path / "room"
    room.mkdir()
    python = gather.replace("python3", sys.executable, 1).replace("wheels", str(room / "wheels"), 1)
    run(python, ROOT)
    run(make.replace("python3", sys.executable, 1), room)
    run(install, room, PIP_NO_INDEX="1", PIP_CONFIG_FILE=os.devnull)
    run(f"{start} --copy-only", room)
    assert len(list((room / "faultwright-course" / "lessons").glob("*.ipynb"))) >= 15


def run(line: str, folder: Path, **variables: str) -> None:
    """Run a line of the notes in a folder."""
    done = subprocess.run(  # noqa: S602 - the notes' own line
        line, shell=True, cwd=folder, env=os.environ | variables, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
