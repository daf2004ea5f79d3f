"""Going through a class: side by side or one after the other, stopped and taken up again, the same comes out."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Mapping
from pathlib import Path

import pytest

from faultwright_autograde import class_run
from faultwright_autograde.class_folder import open_class
from faultwright_autograde.class_marking import mark_class
from faultwright_autograde.demo import play
from faultwright_autograde.draws import Draws
from faultwright_autograde.setting import set_papers
from tests.autograde.gate import FOLDER, SECRET

NAMES = [f"bench-{number}" for number in range(1, 31)]
HABITS = ("methodical", "guesser", "measures-everything")


@pytest.fixture(scope="module")
def handed_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a class's folder with thirty answers, not marked."""
    here = tmp_path_factory.mktemp("run")
    (here / "roster.csv").write_text("\n".join(NAMES), encoding="utf-8")
    (here / "secret.key").write_bytes(SECRET)
    set_papers(FOLDER / "paper.yaml", here / "roster.csv", here / "class", here / "secret.key")
    maker = open_class(here / "class", SECRET).maker
    for number, name in enumerate(NAMES[:-1]):
        answer = play(maker.case(name), HABITS[number % 3], Draws(SECRET, name), {})
        (here / "class" / "answers" / f"{name}.json").write_text(json.dumps(answer), encoding="utf-8")
    return here


@pytest.fixture
def here(handed_in: Path, tmp_path: Path) -> Path:
    """Return a copy of that folder, which may be marked."""
    import shutil  # noqa: PLC0415 - here only

    return Path(shutil.copytree(handed_in, tmp_path / "copy"))


def written(folder: Path) -> Mapping[str, bytes]:
    """Return what marking has written, by name, but for what it keeps for itself."""
    found = [*(folder / "marks").iterdir(), *(folder / "feedback").iterdir(), folder / "marks.csv", folder / "class.html"]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def test_side_by_side_gives_the_same_bytes(here: Path, tmp_path: Path) -> None:
    """Two processes, one, and one after a class that was marked before: every file is the same."""
    mark_class(here / "class", here / "secret.key", processes=2)
    together = written(here / "class")
    mark_class(here / "class", here / "secret.key", processes=1, afresh=True)
    assert written(here / "class") == together
    mark_class(here / "class", here / "secret.key", processes=2, afresh=True)
    assert written(here / "class") == together
    assert len(together) == 2 * len(NAMES) + 2


def test_a_second_run_marks_what_has_changed(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only the answer that was handed in late is marked."""
    mark_class(here / "class", here / "secret.key", processes=1)
    answers = here / "class" / "answers"
    (answers / f"{NAMES[-1]}.json").write_bytes((answers / f"{NAMES[0]}.json").read_bytes())
    marked: list[str] = []
    mark = class_run.mark_file
    monkeypatch.setattr(class_run, "mark_file", lambda path, case: marked.append(path.stem) or mark(path, case))
    marks = mark_class(here / "class", here / "secret.key", processes=1)
    assert marked == [NAMES[-1]]
    assert marks[-1].answer == "another's paper"


def test_what_is_kept_cannot_be_changed(here: Path) -> None:
    """Neither a changed file nor another candidate's is taken: the answer is marked again."""
    mark_class(here / "class", here / "secret.key", processes=1)
    right = written(here / "class")
    kept = here / "class" / "kept"
    good, bad = kept / "bench-1.sealed", kept / "bench-2.sealed"
    bad.write_bytes(good.read_bytes())
    good.write_bytes(good.read_bytes()[:-1] + b"x")
    (kept / "bench-3.sealed").write_bytes(b"")
    mark_class(here / "class", here / "secret.key", processes=1)
    assert written(here / "class") == right


def _start(here: Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "faultwright", "mark", str(here / "class"), "--secret", str(here / "secret.key")]
    return subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8")


def _wait_for_some(folder: Path, running: subprocess.Popen[str]) -> None:
    """Wait until some, and not all, of the answers have been marked."""
    while not list((folder / "kept").glob("*.sealed")):
        assert running.poll() is None, running.communicate()
        time.sleep(0.005)


@pytest.mark.parametrize("how", [signal.SIGINT, getattr(signal, "SIGKILL", signal.SIGTERM)])
def test_a_run_that_is_stopped_goes_on(here: Path, tmp_path: Path, how: signal.Signals) -> None:
    """Stopped half-way, politely or not: nothing is half-written, what was marked is kept, a second run finishes."""
    mark_class(here / "class", here / "secret.key", processes=1)
    right = written(here / "class")
    for name in ("kept", "marks", "feedback"):
        for path in (here / "class" / name).iterdir():
            path.unlink()
    (here / "class" / "marks.csv").unlink()
    running = _start(here)
    _wait_for_some(here / "class", running)
    os.kill(running.pid, how)
    _, told = running.communicate(timeout=60)
    if how is signal.SIGINT and running.returncode != 0:
        assert "stopped; what was marked is kept, and the same command goes on from there" in told
    kept = {path.name: path.read_bytes() for path in (here / "class" / "kept").glob("*.sealed")}
    assert kept
    again = _start(here)
    out, told = again.communicate(timeout=120)
    assert again.returncode == 0, (out, told)
    assert written(here / "class") == right
    now = {path.name: path.read_bytes() for path in (here / "class" / "kept").glob("*.sealed")}
    assert {name: now[name] for name in kept} == kept
