"""Going through a class: side by side or one after the other, stopped and taken up again, the same comes out."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Mapping
from pathlib import Path

import pytest

from faultwright_autograde import class_run
from faultwright_autograde.case import Case
from faultwright_autograde.class_marking import mark_class
from faultwright_autograde.mark import Mark
from tests.autograde.gate import class_handed_in

NAMES = [f"bench-{number}" for number in range(1, 15)]
HABITS = ("methodical", "guesser", "measures-everything")


@pytest.fixture(scope="module")
def handed_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a class's folder with thirteen answers, not marked."""
    here = tmp_path_factory.mktemp("run")
    class_handed_in(here, {name: HABITS[number % 3] for number, name in enumerate(NAMES[:-1])} | {NAMES[-1]: ""})
    return here


@pytest.fixture
def here(handed_in: Path, tmp_path: Path) -> Path:
    """Return a copy of that folder, which may be marked."""
    return Path(shutil.copytree(handed_in, tmp_path / "copy"))


@pytest.fixture(scope="module")
def marked(handed_in: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a copy that was marked by one process."""
    found = Path(shutil.copytree(handed_in, tmp_path_factory.mktemp("marked") / "copy"))
    mark_class(found / "class", found / "secret.key", processes=1)
    return found


@pytest.fixture
def again(marked: Path, tmp_path: Path) -> Path:
    """Return a copy of that, which may be marked again."""
    return Path(shutil.copytree(marked, tmp_path / "again"))


def written(folder: Path) -> Mapping[str, bytes]:
    """Return what marking has written, by name, but for what it keeps for itself."""
    found = [
        *(folder / "marks").iterdir(),
        *(folder / "feedback").iterdir(),
        folder / "marks.csv",
        folder / "class.html",
    ]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def test_side_by_side_gives_the_same_bytes(here: Path, marked: Path) -> None:
    """Two processes and one: every file is the same, and so it is when all are marked afresh."""
    mark_class(here / "class", here / "secret.key", processes=2)
    right = written(marked / "class")
    assert written(here / "class") == right
    assert len(right) == 2 * len(NAMES) + 2
    mark_class(here / "class", here / "secret.key", processes=2, afresh=True)
    assert written(here / "class") == right


def test_a_second_run_marks_what_has_changed(again: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only the answer that was handed in late is marked."""
    answers = again / "class" / "answers"
    (answers / f"{NAMES[-1]}.json").write_bytes((answers / f"{NAMES[0]}.json").read_bytes())
    asked: list[str] = []
    mark = class_run.mark_file

    def noting(path: Path, case: Case) -> Mark:
        asked.append(path.stem)
        return mark(path, case)

    monkeypatch.setattr(class_run, "mark_file", noting)
    marks = mark_class(again / "class", again / "secret.key", processes=1)
    assert asked == [NAMES[-1]]
    assert marks[-1].answer == "another's paper"


def test_what_is_kept_cannot_be_changed(again: Path, marked: Path) -> None:
    """Neither a changed file nor another candidate's is taken: the answer is marked again."""
    kept = again / "class" / "kept"
    good, bad = kept / "bench-1.sealed", kept / "bench-2.sealed"
    bad.write_bytes(good.read_bytes())
    good.write_bytes(good.read_bytes()[:-1] + b"x")
    (kept / "bench-3.sealed").write_bytes(b"")
    mark_class(again / "class", again / "secret.key", processes=1)
    assert written(again / "class") == written(marked / "class")


def _start(here: Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "faultwright", "mark", str(here / "class"), "--secret", str(here / "secret.key")]
    return subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8")


def _wait_for_some(folder: Path, running: subprocess.Popen[str]) -> None:
    """Wait until some, and not all, of the answers have been marked."""
    while not list((folder / "kept").glob("*.sealed")):
        assert running.poll() is None, running.communicate()
        time.sleep(0.005)


@pytest.mark.parametrize("how", [signal.SIGINT, getattr(signal, "SIGKILL", signal.SIGTERM)])
def test_a_run_that_is_stopped_goes_on(here: Path, marked: Path, how: signal.Signals) -> None:
    """Stopped half-way, politely or not: nothing is half-written, what was marked is kept, a second run finishes."""
    running = _start(here)
    _wait_for_some(here / "class", running)
    os.kill(running.pid, how)
    _, told = running.communicate(timeout=60)
    assert running.returncode != 0
    if how is signal.SIGINT:
        assert "stopped; what was marked is kept, and the same command goes on from there" in told
    assert not (here / "class" / "marks.csv").exists()
    kept = {path.name: path.read_bytes() for path in (here / "class" / "kept").glob("*.sealed")}
    assert kept
    second = _start(here)
    out, told = second.communicate(timeout=120)
    assert second.returncode == 0, (out, told)
    assert written(here / "class") == written(marked / "class")
    now = {path.name: path.read_bytes() for path in (here / "class" / "kept").glob("*.sealed")}
    assert {name: now[name] for name in kept} == kept
