"""Options that several commands share, and how they print."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol, TypeVar

import click

from faultwright.circuit import Circuit
from faultwright.errors import Mistake, Refused
from faultwright.faults import Fault, parse_fault

Command = TypeVar("Command", bound=Callable[..., Any])

WIDTH = 100
"""Letters in a line of words; a table is as wide as it must be."""

CIRCUIT = click.argument("circuit", type=click.Path(path_type=Path))
JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
FAULT = click.option(
    "--fault", "fault_names", multiple=True, metavar="FAULT", help="A fault, PLACE MODE [VALUE]; repeat it."
)
MOVE = click.option("--move", "moves", multiple=True, metavar="MOVE", help="A move made first; repeat it.")


def options(*decorators: Callable[[Command], Command]) -> Callable[[Command], Command]:
    """Put several click decorators on a command."""

    def decorate(command: Command) -> Command:
        for decorator in reversed(decorators):
            command = decorator(command)
        return command

    return decorate


def named_faults(names: Iterable[str], circuit: Circuit) -> list[Fault]:
    """Return the faults that ``--fault`` names."""
    return [parse_fault(name, circuit) for name in names]


def not_over(circuit: Path, out: Path | None, option: str = "--out") -> None:
    """Refuse to write over the circuit that was read."""
    if out is not None and out.resolve() == circuit.resolve():
        raise Refused(Mistake(f"{option} is the circuit file itself; choose another name", out.name))


def print_json(content: object) -> None:
    """Print JSON, a line at a time where it is long."""
    click.echo(json.dumps(content, ensure_ascii=False, indent=1, allow_nan=False))


def word(value: object) -> str:
    """Return a seen value as a person reads it."""
    return (
        {True: "yes", False: "no", None: "-"}.get(value, str(value)) if isinstance(value, bool | None) else str(value)
    )


def print_wrapped(line: str) -> None:
    """Print a line in as many as it takes; those after the first stand further in than it begins."""
    indent = " " * (len(line) - len(line.lstrip()) + 4)
    lines = textwrap.wrap(line, WIDTH, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False)
    click.echo("\n".join(lines))


def print_table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Print rows in columns as wide as their widest entry."""
    lines = [list(heads), *([word(cell) for cell in row] for row in rows)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(heads))]
    for number, line in enumerate(lines):
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip())
        if number == 0:
            click.echo("  ".join("-" * width for width in widths))


class Tell(Protocol):
    """What long work calls: how many of how many are done, and what comes next."""

    def __call__(self, done: int, of: int, what: str = "", /) -> None:
        """Tell."""


@contextmanager
def progress(label: str, *, shown: bool) -> Iterator[Tell]:
    """Yield what long work calls to show a bar on the error stream; nothing shows where that is no terminal."""
    hidden = not shown or not sys.stderr.isatty()
    with click.progressbar(
        length=1, label=label, file=sys.stderr, item_show_func=lambda what: what, hidden=hidden
    ) as bar:

        def tell(done: int, of: int, what: str = "", /) -> None:
            bar.length = of
            bar.update(done - bar.pos, what)

        yield tell
