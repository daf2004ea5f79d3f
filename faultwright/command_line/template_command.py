"""The command that begins a circuit of one's own: template."""

from __future__ import annotations

from pathlib import Path

import click

from .class_commands import PATH, need
from .output import JSON, options, print_json


@click.command()
@options(click.argument("folder", type=PATH), JSON)
def template(folder: Path, as_json: bool) -> None:
    """Write a small circuit, a case on it and a lesson into FOLDER, to begin your own with.

    Every line says what it is for. A file that is there is never written over.
    """
    need("lab", "ipywidgets")
    from faultwright_course.template import write_template

    found = write_template(folder)
    if as_json:
        print_json({"files": [path.as_posix() for path in found]})
        return
    for path in found:
        click.echo(f"wrote {path}")
