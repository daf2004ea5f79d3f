"""The command that writes the instructor's pack: pack."""

from __future__ import annotations

from pathlib import Path

import click

from .class_commands import PATH, need
from .output import JSON, options, print_json, progress


@click.command()
@options(click.argument("folder", type=PATH), click.argument("names", nargs=-1), JSON)
def pack(folder: Path, names: tuple[str, ...], as_json: bool) -> None:
    """Write the instructor's pack of lessons (all by default) into FOLDER: notes, answers, bench cards, worksheets.

    It holds the answers: keep it away from students. Files of an earlier pack are written anew.
    """
    need("lab", "ipywidgets")
    need("grade", "jinja2")
    from faultwright_course.pack import write_pack

    with progress("writing the pack", shown=not as_json) as tell:
        found = write_pack(folder, names, tell)
    if as_json:
        print_json({"files": [path.as_posix() for path in found]})
        return
    click.echo(f"{len(found)} files in {folder}; they hold the answers, so keep them from students")
