"""Commands on lessons beside nbgrader: hand out, mark; and a look at one's own answer at home."""

from __future__ import annotations

from pathlib import Path

import click

from faultwright.errors import Refused

from .class_commands import CASE, PATH, need
from .output import JSON, options, print_json, print_table, progress

GRADING = ("cryptography", "jinja2", "nbgrader")
FOLDER = click.argument("folder", type=PATH)
_PAPERS = "from faultwright_course.catalogue import HOME", "HOME / 'papers'"
"""How the configuration that nbgrader reads says where the blueprints are."""


@click.group()
def lesson() -> None:
    """Hand out the course's lessons through nbgrader and take them back, without running what a student wrote."""


@lesson.command("hand-out")
@options(FOLDER, click.argument("names", nargs=-1), JSON)
def hand_out(folder: Path, names: tuple[str, ...], as_json: bool) -> None:
    """Hand out lessons (all of them by default) from the course FOLDER; nbgrader's own commands work there as well."""
    need("grade", *GRADING)
    from faultwright_autograde.nbgrader_lessons import set_lesson
    from faultwright_course.catalogue import HOME, lesson_names, lesson_path

    wanted = [lesson_path(name) for name in names or lesson_names()]
    for notebook in wanted:
        set_lesson(folder, notebook, HOME / "papers", *_PAPERS)
    released = [(folder / "release" / notebook.stem).as_posix() for notebook in wanted]
    if as_json:
        print_json({"released": released})
        return
    for path in released:
        click.echo(f"{path}: give this folder's notebook to the students")


@lesson.command("mark")
@options(
    FOLDER,
    click.argument("name"),
    click.option("--from", "given", type=PATH, help="A folder of submissions, one folder a student, taken in first."),
    JSON,
)
def mark(folder: Path, name: str, given: Path | None, as_json: bool) -> None:
    """Mark every submission of a lesson: gradebook, nbgrader's feedback pages, marks-NAME.csv, grades.csv."""
    need("grade", *GRADING)
    from faultwright_autograde.nbgrader_lessons import exercises_in, mark_lesson, take_in
    from faultwright_course.catalogue import HOME, lesson_path

    lesson_path(name)
    exercises = exercises_in(HOME / "papers")
    left = list(take_in(folder, name, given, list(exercises)).left) if given else []
    with progress("marking", shown=not as_json) as tell:
        found = mark_lesson(folder, name, exercises, tell)
    rows = [
        [one.student, exercise, each.mark, each.passed, each.answer]
        for one in found
        for exercise, each in one.marks.items()
    ]
    remarks = [*left, *(f"{one.student}: {remark}" for one in found for remark in one.remarks)]
    if as_json:
        keys = ("candidate", "exercise", "mark", "passed", "answer")
        print_json({"marks": [dict(zip(keys, row, strict=True)) for row in rows], "remarks": remarks})
        return
    print_table(["candidate", "exercise", "mark", "passed", "answer"], rows)
    for remark in remarks:
        click.echo(remark)
    click.echo(f"marks-{name}.csv, grades.csv and feedback/ are in {folder}")


@click.command("self-check")
@options(click.argument("answer", type=PATH), CASE, JSON)
def self_check(answer: Path, case: Path | None, as_json: bool) -> None:
    """Say what an answer to an exercise for practice has and what it lacks, without the solution."""
    need("grade", "jinja2")
    from faultwright_autograde.practice import paper_of, practice_case
    from faultwright_autograde.self_check import check_yourself
    from faultwright_course.catalogue import paper_names, paper_path

    paper = paper_of(answer)
    if case is None and paper not in paper_names():
        raise Refused(
            f"{answer.name}: paper {paper!r} is no exercise of the course; a class's papers are marked with the class"
        )
    lines = check_yourself(answer, practice_case(case or paper_path(paper)))
    if as_json:
        print_json({"paper": paper, "told": list(lines)})
        return
    for line in lines:
        click.echo(f"- {line}")
