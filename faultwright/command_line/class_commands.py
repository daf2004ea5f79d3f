"""Commands on a class: set, mark, lab, demo."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import click

from faultwright.errors import Mistake, Refused

from .output import JSON, options, print_json, print_table, progress

GRADING = ("cryptography", "jinja2", "matplotlib")
DEFAULT_FOLDER = "faultwright-course"
PATH = click.Path(path_type=Path)
SECRET = click.option(
    "--secret", required=True, type=PATH, help="The secret's file; keep it outside the class's folder."
)


CASE = click.option("--case", type=PATH, help="The file of the case, where it is none of the course's.")


def need(extra: str, *modules: str) -> None:
    """Refuse, with the line that cures it, where an optional part is not installed."""
    missing = [module for module in modules if find_spec(module) is None]
    if missing:
        raise Refused(
            Mistake(f"{', '.join(missing)} not installed; run: python -m pip install 'faultwright[{extra}]'", "set-up")
        )


@click.command("set")
@options(
    click.argument("blueprint", type=PATH),
    click.option("--for", "roster", required=True, type=PATH, help="The roster: a candidate's number or name a line."),
    click.option("--out", required=True, type=PATH, help="The class's folder."),
    SECRET,
    JSON,
)
def set_papers(blueprint: Path, roster: Path, out: Path, secret: Path, as_json: bool) -> None:
    """Set a paper for every candidate: papers, sheets and a sealed guide.

    The same secret gives the same papers. A secret that is not there yet is made.
    """
    need("grade", *GRADING)
    from faultwright_autograde.setting import set_papers as set_them

    with progress("setting papers", shown=not as_json) as tell:
        handed = set_them(blueprint, roster, out, secret, tell)
    if as_json:
        entries = [{"candidate": one.candidate, "paper": one.paper, "folder": str(one.folder)} for one in handed]
        print_json({"papers": entries})
        return
    click.echo(f"{len(handed)} papers in {out}; the secret is {secret}: without it nobody can mark, so keep it safe")


@click.command()
@options(
    click.argument("folder", type=PATH),
    click.option("--secret", type=PATH, help="The class's secret; practice has none."),
    click.option(
        "--processes", type=click.IntRange(1, 256), help="How many mark side by side; as many as there are processors."
    ),
    click.option("--afresh", is_flag=True, help="Mark again what an earlier run has marked."),
    CASE,
    JSON,
)
def mark(
    folder: Path, secret: Path | None, processes: int | None, afresh: bool, case: Path | None, as_json: bool
) -> None:
    """Mark every answer of a class: marks.csv, feedback pages, a class report.

    A run that was stopped goes on where it ended, and a later one marks the answers that have changed since.

    With the answer file of a practice exercise instead of a folder: its mark, and a feedback page beside it.
    """
    need("grade", *GRADING)
    if case is not None and folder.is_dir():
        raise click.UsageError("--case goes with the answer file of a practice exercise")
    if case is not None or folder.is_file():
        _mark_practice(folder, case, as_json=as_json)
        return
    if secret is None:
        raise click.UsageError("marking a class needs --secret")
    from faultwright_autograde.class_marking import mark_class, summary_line

    with progress("marking", shown=not as_json) as tell:
        try:
            marks = mark_class(folder, secret, tell, processes=processes, afresh=afresh)
        except KeyboardInterrupt:
            raise Refused("stopped; what was marked is kept, and the same command goes on from there") from None
    if as_json:
        print_json({"marks": [one.as_json() for one in marks]})
        return
    heads = ["candidate", "mark", "maximum", "passed", "answer", "for a person"]
    print_table(
        heads, [[one.candidate, one.mark, one.maximum, one.passed, one.answer, one.for_a_person] for one in marks]
    )
    click.echo(f"marks, feedback pages and the class report are in {folder}; {summary_line(marks)}")


def _mark_practice(answer: Path, case: Path | None, *, as_json: bool) -> None:
    """Mark an answer to an exercise for practice; its fault is no secret, and neither is its mark."""
    from faultwright.files import write_whole
    from faultwright_autograde.pages import feedback_page
    from faultwright_autograde.practice import mark_practice, paper_of, practice_case
    from faultwright_course.catalogue import paper_path

    blueprint = case or paper_path(paper_of(answer))
    one = mark_practice(answer, blueprint)
    page = answer.with_name(f"{answer.stem}-feedback.html")
    write_whole(page, feedback_page(one, practice_case(blueprint)))
    if as_json:
        print_json(one.as_json())
        return
    print_table(["criterion", "mark", "maximum"], [[found.name, found.mark, found.maximum] for found in one.criteria])
    click.echo(
        f"{one.mark:g} of {one.maximum:g}, {'passed' if one.passed else 'not passed'}; the reasons are in {page}"
    )


@click.command()
@options(
    click.argument("folder", type=PATH, default=DEFAULT_FOLDER),
    click.option("--browser/--no-browser", default=True, help="Open the first lesson in a browser."),
    click.option("--port", type=click.IntRange(1, 65535), help="The port; a free one by default."),
    click.option("--copy-only", is_flag=True, help="Copy the course into the folder and stop."),
    JSON,
)
def lab(folder: Path, browser: bool, port: int | None, copy_only: bool, as_json: bool) -> int:
    """Copy the course into FOLDER (never over your own work) and open it in JupyterLab."""
    from faultwright_course.catalogue import copy_course, lesson_names

    folder = folder.resolve()
    done = copy_course(folder)
    if as_json:
        paths = {key: [str(path) for path in getattr(done, key)] for key in ("new", "kept")}
        print_json({"folder": str(folder), **paths})
    else:
        kept = f", {len(done.kept)} left as you have them" if done.kept else ""
        click.echo(f"{folder}: {len(done.new)} files copied{kept}")
    if copy_only:
        return 0
    need("lab", "jupyterlab", "ipywidgets", "anywidget", "matplotlib")
    from .lab import serve

    return serve(folder, f"lessons/{lesson_names()[0]}.ipynb", browser=browser, port=port)


@click.command()
@options(
    click.option("--out", type=PATH, default="faultwright-demo", show_default=True, help="The folder to fill."), JSON
)
def demo(out: Path, as_json: bool) -> None:
    """Run the whole chain on a made-up class of simulated students, within a minute."""
    need("grade", *GRADING)
    from faultwright_autograde.demo import run_demo

    with progress("made-up class", shown=not as_json) as tell:
        rows = run_demo(out, tell)
    if as_json:
        keys = ("candidate", "habit", "mark", "maximum", "passed")
        print_json({"folder": str(out), "rows": [{key: getattr(row, key) for key in keys} for row in rows]})
        return
    print_table(
        ["candidate", "habit", "mark", "maximum", "passed"],
        [[row.candidate, row.habit, row.mark, row.maximum, row.passed] for row in rows],
    )
    click.echo(f"papers, answers, feedback pages, class picture and marks.csv are in {out} (simulated students)")
