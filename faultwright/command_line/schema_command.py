"""The command on the formats of the circuit file and of the answer: schema."""

from __future__ import annotations

from pathlib import Path

import click

from .output import JSON, options, print_json


@click.command()
@options(
    click.option("--answer", is_flag=True, help="The schema of the answer with its record instead."),
    click.option("--out", type=click.Path(path_type=Path), help="Write the schema here."),
    JSON,
)
def schema(answer: bool, out: Path | None, as_json: bool) -> None:
    """Print the JSON Schema of the circuit file, for an editor; it is JSON with and without --json."""
    from faultwright.files import write_whole

    if answer:
        from faultwright_autograde.answer_schema import write_schema
    else:
        from faultwright.circuit_schema import write_schema
    if out is None:
        click.echo(write_schema(), nl=False)
        return
    write_whole(out, write_schema())
    if as_json:
        print_json({"file": str(out)})
    else:
        click.echo(f"wrote {out}")
