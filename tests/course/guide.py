"""Following a guide from top to bottom in a folder: its files are written, its commands and its Python are run.

A block whose first line is ``# NAME`` is a file; ``# NAME, added`` goes on at its end. JSON has no comments, so there
that line is left out. In a ``console`` block a line ``$ faultwright …`` is run and what it prints compared with the
lines below it, where ``…`` stands for any lines.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from faultwright.command_line import main

if TYPE_CHECKING:
    import pytest

GUIDES = Path(__file__).resolve().parents[2] / "course" / "guides"
_BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_FILE = re.compile(r"# ([\w.-]+\.\w+)(, added)?")


def blocks(name: str) -> Iterator[tuple[str, str]]:
    """Yield language and body of each fenced block of a guide."""
    for found in _BLOCK.finditer((GUIDES / f"{name}.md").read_text(encoding="utf-8")):
        yield found[1], found[2]


class Follower:
    """Somebody who does in the current folder what a guide says, block by block."""

    def __init__(self, capture: pytest.CaptureFixture[str]) -> None:
        self.capture = capture
        self.names: dict[str, Any] = {}
        self.commands = 0

    def follow(self, language: str, body: str) -> None:
        """Do what one block says; a block that nobody could follow fails."""
        if language == "console":
            self._run(body)
        elif language == "python":
            exec(compile(body, "guide", "exec"), self.names)  # noqa: S102 - the guide's own example
        else:
            named = _FILE.fullmatch(body.partition("\n")[0])
            assert named, f"no file's name in the first line: {body[:80]}"
            with Path(named[1]).open("a" if named[2] else "w", encoding="utf-8") as file:
                file.write(body.partition("\n")[2] if named[1].endswith(".json") else body)

    def _run(self, body: str) -> None:
        """Run the commands of a block, each with the lines that must come back."""
        assert body.startswith("$ "), body
        for part in body.removeprefix("$ ").split("\n$ "):
            line, _, expected = part.partition("\n")
            program, *arguments = shlex.split(line)
            assert program == "faultwright", line
            self.capture.readouterr()
            code = main(arguments)
            out, err = self.capture.readouterr()
            printed = [row.rstrip() for row in (err if code else out).splitlines()]
            assert agrees(expected.splitlines(), printed), f"{line}\n" + "\n".join(printed)
            self.commands += 1


def agrees(expected: list[str], printed: list[str]) -> bool:
    """Say whether lines are as expected; ``…`` alone on a line stands for any number of lines."""
    pattern = "".join(r"(?:.*\n)*" if row == "…" else re.escape(row) + r"\n" for row in expected)
    return bool(re.fullmatch(pattern, "".join(f"{row}\n" for row in printed)))
