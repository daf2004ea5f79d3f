"""The demonstration: a made-up class from papers to marks, with simulated students of different habits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import as_file, files
from pathlib import Path

from faultwright.errors import Mistake, Refused
from faultwright.files import write_json, write_whole

from .class_folder import ANSWERS, open_class
from .class_marking import mark_class
from .draws import Draws, secret_for
from .setting import Progress, set_papers, silent
from .simulated.habits import play
from .simulated.work import Answer

CLASS: Mapping[str, str] = {
    "bench-01": "methodical",
    "bench-02": "copier",
    "bench-03": "measures-everything",
    "bench-04": "guesser",
    "bench-05": "unit-slip",
    "bench-06": "unsafe",
    "bench-07": "methodical",
    "bench-08": "lucky-guesser",
    "bench-09": "measures-everything",
    "bench-10": "methodical",
}
"""Benches and habits. A copier copies from the bench before."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the short table: bench, habit, marks, and whether it passed."""

    candidate: str
    habit: str
    mark: float
    maximum: float
    passed: bool


def run_demo(out: Path | str, progress: Progress = silent, *, blueprint: Path | str | None = None) -> list[Row]:
    """Set papers for a made-up class, play its students, mark them; return a row for each bench.

    Leaves ``class/`` (papers, answers, marks, feedback pages, class picture), ``marks.csv`` and, outside the class's
    folder, the secret. Raises Refused where ``out`` holds something else.
    """
    out = Path(out)
    _check_free(out)
    if blueprint is not None:
        return _run(out, Path(blueprint), progress)
    with as_file(files("faultwright_autograde") / "demo_class") as folder:
        return _run(out, folder / "paper.yaml", progress)


def _check_free(out: Path) -> None:
    known = {"class", "secret.key", "roster.csv", "marks.csv"}
    if out.exists() and (not out.is_dir() or {entry.name for entry in out.iterdir()} - known):
        raise Refused(Mistake("this is no empty folder and no earlier demonstration; choose another one", out.name))


def _run(out: Path, blueprint: Path, progress: Progress) -> list[Row]:
    steps = 3 * len(CLASS)
    folder, secret = out / "class", out / "secret.key"
    write_whole(out / "roster.csv", "candidate\n" + "".join(f"{candidate}\n" for candidate in CLASS))
    set_papers(
        blueprint, out / "roster.csv", folder, secret, lambda done, _of, what: progress(done, steps, f"paper {what}")
    )
    _play(folder, secret, lambda done, _of, what: progress(len(CLASS) + done, steps, f"student {what}"))
    marks = mark_class(
        folder, secret, lambda done, _of, what: progress(2 * len(CLASS) + done, steps, f"mark {what}"), habits=CLASS
    )
    write_whole(out / "marks.csv", (folder / "marks.csv").read_bytes())
    progress(steps, steps, "")
    return [Row(one.candidate, CLASS[one.candidate], one.mark, one.maximum, one.passed) for one in marks]


def _play(folder: Path, secret: Path, progress: Progress) -> None:
    """Let every student work at a bench of its own and hand in."""
    key = secret_for(secret, folder)
    maker = open_class(folder, key).maker
    before: Answer = {}
    for number, (candidate, habit) in enumerate(CLASS.items()):
        progress(number, len(CLASS), f"{candidate} ({habit})")
        case = maker.case(candidate)
        before = play(case, habit, Draws(key, "luck", candidate), before)
        write_json(folder / ANSWERS / f"{candidate}.json", before)
