"""A template for a circuit of one's own, a case on it and a lesson with the case."""

from __future__ import annotations

from pathlib import Path

from faultwright.errors import Mistake, Refused
from faultwright.files import write_whole

from .catalogue import HOME
from .texts import text

TEMPLATE = HOME / "own"


def write_template(folder: Path) -> list[Path]:
    """Write the files of the template into a folder; return them.

    Raises Refused where one of them is there already, or ``folder`` is a file: nothing is written then.
    """
    sources = sorted(path for path in TEMPLATE.iterdir() if path.is_file())
    there = [Mistake(text("template.there"), path.name) for path in sources if (folder / path.name).exists()]
    if folder.is_file():
        there = [Mistake(text("template.file"), folder.name)]
    if there:
        raise Refused(there)
    found = [folder / path.name for path in sources]
    for source, path in zip(sources, found, strict=True):
        write_whole(path, source.read_bytes())
    return found
