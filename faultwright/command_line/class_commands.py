"""Commands on a class: set, mark, lab, demo."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import click

from faultwright.errors import Mistake, Refused

from .output import JSON, options, print_json

DEFAULT_FOLDER = "faultwright-course"
FOLDER = click.argument("folder", type=click.Path(path_type=Path), default=DEFAULT_FOLDER)


def _need(extra: str, *modules: str) -> None:
    """Refuse, with the line that cures it, where an optional part is not installed."""
    missing = [module for module in modules if find_spec(module) is None]
    if missing:
        raise Refused(
            Mistake(f"{', '.join(missing)} not installed; run: python -m pip install 'faultwright[{extra}]'", "set-up")
        )


@click.command("lab")
@options(
    FOLDER,
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
        print_json(
            {"folder": str(folder), **{key: [str(path) for path in getattr(done, key)] for key in ("new", "kept")}}
        )
    else:
        kept = f", {len(done.kept)} left as you have them" if done.kept else ""
        click.echo(f"{folder}: {len(done.new)} files copied{kept}")
    if copy_only:
        return 0
    _need("lab", "jupyterlab", "ipywidgets", "anywidget", "matplotlib")
    from .lab import serve

    return serve(folder, f"lessons/{lesson_names()[0]}.ipynb", browser=browser, port=port)
