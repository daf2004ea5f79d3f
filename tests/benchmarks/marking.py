"""How fast marking is: records a second, and notebooks through nbgrader beside its stock autograde, in one run.

``python -m tests.benchmarks.marking`` writes the figures in ``course/guides/marking-speed.md``. The records are
simulated.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from functools import partial
from pathlib import Path

from faultwright.faults import universe
from faultwright.files import write_whole
from faultwright.record import Record
from faultwright.situations import situations_of
from faultwright.suspects import find_suspects
from faultwright.weighing import weigh
from faultwright_autograde.answer import parse_answer
from faultwright_autograde.blueprint_file import read_blueprint
from faultwright_autograde.case import Case
from faultwright_autograde.draws import Draws
from faultwright_autograde.handed_in import mark_handed_in
from faultwright_autograde.nbgrader_bridge import grade
from faultwright_autograde.nbgrader_lessons import exercises_in, set_lesson
from faultwright_autograde.paper import PaperMaker
from faultwright_autograde.simulated.habits import play
from faultwright_course.catalogue import HOME, lesson_path, paper_path
from faultwright_course.opening import practice_case

SECRET = b"speed of marking, thirty-two byt"
REPORT = Path(__file__).resolve().parents[2] / "course" / "guides" / "marking-speed.md"

NOTES = """\
# Speed of marking

Measured in one run of one process on one core; written by `python -m tests.benchmarks.marking`. A record has some forty
actions, and is simulated. Times are this machine's.

| what | measured | aimed at |
| --- | ---: | ---: |
| one circuit for the class, first round | {first} records a second | |
| one circuit, its dictionary worked out | {known} records a second | 500 |
| each student's own wires and battery | {own} records a second | 100 |
| a notebook through `faultwright lesson mark` | {ours} ms | |
| a notebook through nbgrader's own autograding, which runs it | {stock} ms | |
| the second over the first | {ratio} | 8 |
| weighing a record, over finding its suspects one by one | {weighing} times faster | |

Where an aim on records is missed: with the dictionary worked out, a profile gives about a quarter of a record's time to
doing it once more on the student's machine, a quarter to weighing it, and the rest to reading and judging it; with own
values the machine's dictionary has to be worked out before.
"""

HABITS = ("methodical", "guesser", "cites-none", "repeats")
LESSON, EXERCISE = "06-routes-to-ground", "routes-clutch"


def class_of(count: int, *, own_values: bool) -> list[tuple[Case, str]]:
    """Return the cases of a class and the answers of simulated students, as JSON."""
    blueprint = read_blueprint(paper_path("compressor-stands-still"))
    if not own_values:
        blueprint = replace(blueprint, emf=(1.0, 1.0), length=(1.0, 1.0))
    maker = PaperMaker(blueprint, SECRET)
    found = []
    for number in range(count):
        case = maker.case(f"bench-{number}")
        answer = play(case, HABITS[number % len(HABITS)], Draws(SECRET, str(number)), {})
        found.append((case, json.dumps(answer)))
    return found


def rate(of: list[tuple[Case, str]], rounds: int = 1) -> float:
    """Return how many records are marked in a second, one after the other."""
    started = time.perf_counter()
    for _ in range(rounds):
        for case, answer in of:
            mark_handed_in(case, "answer", partial(str, answer))
    return rounds * len(of) / (time.perf_counter() - started)


def weighing_and_suspects(of: list[tuple[Case, str]], count: int = 6) -> tuple[float, float]:
    """Return the seconds for weighing some records whose situations are known, and for suspects one by one."""
    circuit = of[0][0].circuit
    records = [parse_answer(json.loads(answer), circuit).record for _, answer in of[:count]]
    short = [Record(record.circuit, record.actions[:12]) for record in records]
    situations = situations_of(circuit, universe(circuit).values())
    for record in short:
        weigh(situations, record.actions)
    started = time.perf_counter()
    for record in short:
        weigh(situations, record.actions)
    kept = time.perf_counter() - started
    started = time.perf_counter()
    for record in short:
        find_suspects(circuit, record)
    return kept, time.perf_counter() - started


def notebooks(ours: int = 100, stock: int = 8) -> tuple[float, float]:
    """Return the seconds a notebook through our path and through nbgrader's stock autograde."""
    with tempfile.TemporaryDirectory() as folder:
        course = Path(folder) / "course"
        released = set_lesson(course, lesson_path(LESSON), HOME / "papers", "", "''")
        answers = [json.dumps(play(practice_case(EXERCISE), habit, Draws(SECRET, habit), {})) for habit in HABITS[:2]]
        for number in range(ours):
            target = course / "submitted" / f"s{number:03d}" / LESSON
            shutil.copytree(released, target)
            (target / f"{EXERCISE}-answer.json").write_text(answers[number % 2], encoding="utf-8")
        started = time.perf_counter()
        grade(course, LESSON, exercises_in(HOME / "papers"))
        own = (time.perf_counter() - started) / ours
        shutil.rmtree(course / "autograded")
        for number in range(stock, ours):
            shutil.rmtree(course / "submitted" / f"s{number:03d}")
        (course / "nbgrader_config.py").write_text(
            "c = get_config()\nc.CourseDirectory.root = '.'\nc.Exchange.root = 'x'\nc.Exchange.cache = 'y'\n",
            encoding="utf-8",
        )
        environment = os.environ | {"HOME": folder, "IPYTHONDIR": folder, "JUPYTER_CONFIG_DIR": folder}
        started = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "nbgrader", "autograde", LESSON, "--force"],
            cwd=course, env=environment, capture_output=True, check=True,
        )  # fmt: skip
        return own, (time.perf_counter() - started) / stock


def main() -> None:
    """Measure, and write the guide."""
    shared, own = class_of(40, own_values=False), class_of(12, own_values=True)
    first, known = rate(shared), rate(shared, 5)
    kept, alone = weighing_and_suspects(shared)
    ours, stock = notebooks()
    figures = {
        "first": f"{first:.1f}", "known": f"{known:.0f}", "own": f"{rate(own):.1f}", "weighing": f"{alone / kept:.0f}",
        "ours": f"{ours * 1000:.0f}", "stock": f"{stock * 1000:.0f}", "ratio": f"{stock / ours:.0f}",
    }  # fmt: skip
    write_whole(REPORT, NOTES.format(**figures))


if __name__ == "__main__":
    main()
