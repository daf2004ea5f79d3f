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
    from faultwright.schema_shapes import written

    if answer:
        from faultwright_autograde.answer_schema import answer_schema

        made = written(answer_schema())
    else:
        from faultwright.circuit_schema import circuit_schema

        made = written(circuit_schema())
    if out is None:
        click.echo(made, nl=False)
        return
    write_whole(out, made)
    if as_json:
        print_json({"file": str(out)})
    else:
        click.echo(f"wrote {out}")
