"""The command that says what a record leaves possible: suspects."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .output import CIRCUIT, JSON, options, print_json, print_wrapped, progress

if TYPE_CHECKING:
    from faultwright.record import Record

MOST_NAMED = 12
"""Faults that a line names; of more their number is given."""


@click.command()
@options(
    CIRCUIT,
    click.option("--record", "record_file", required=True, type=click.Path(path_type=Path), help="The record, JSON."),
    JSON,
)
def suspects(circuit: Path, record_file: Path, as_json: bool) -> None:
    """What the findings of a record still leave possible, and the best next test."""
    from faultwright.ambiguity import ambiguity_groups
    from faultwright.circuit_file import read_circuit
    from faultwright.files import read_json
    from faultwright.next_test import next_test
    from faultwright.quantities import show_quantity
    from faultwright.record import parse_record
    from faultwright.suspects import find_suspects

    read = read_circuit(circuit)
    record = parse_record(read_json(record_file), read, record_file.name)
    with progress("trying hypotheses", shown=not as_json) as tell:
        found = find_suspects(read, record, tell=tell)
    groups = ambiguity_groups(read, found.faults.values())
    with progress("looking for the best next test", shown=not as_json) as tell:
        best = next_test(read, record, list(found.faults.values()), healthy=found.healthy, tell=tell)
    if as_json:
        print_json(
            {
                "suspects": found.names,
                "healthy": found.healthy,
                "groups": groups,
                "ranges": {name: list(values) for name, values in found.ranges.items()},
                "cleared": dict(found.cleared),
                "conflict": list(found.conflict),
                "next_test": best.as_json() if best else None,
            }
        )
        return
    if found.conflict:
        numbers = ", ".join(str(number) for number in found.conflict)
        click.echo(f"No single fault explains all findings; these contradict each other: actions {numbers} (from 0)")
    for group in groups:
        names = [f"{name} ({' to '.join(show_quantity(v, 'Ω') for v in found.ranges[name])})" if name in found.ranges
                 else name for name in group]  # fmt: skip
        click.echo(f"suspect: {names[0]}")
        for name in names[1:]:
            click.echo(f"         {name} (not to be told apart from it)")
    click.echo(f"a sound machine {'also explains' if found.healthy else 'does not explain'} these findings")
    _print_cleared(record, found.cleared)
    if best:
        click.echo(f"best next test: {_in_words(best.as_json())}")


def _print_cleared(record: Record, cleared: Mapping[str, int]) -> None:
    """Print which finding was the first to clear whom, in the order of the record."""
    from faultwright.sequence_review import finding_in_words

    if cleared:
        click.echo("cleared by the first finding that they cannot explain (actions counted from 0):")
    for number, finding in record.findings():
        names = [name for name, by in cleared.items() if by == number]
        if names:
            more = f", and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
            listed = ", ".join(names[:MOST_NAMED]) + more
            print_wrapped(f"  action {number} ({finding_in_words(finding)}) clears {len(names)}: {listed}")


def _in_words(test: dict[str, Any]) -> str:
    moves = "".join(f"{move}, then " for move in test["moves"])
    if "meter" not in test:
        return f"{moves}look what the machine does"
    return f"{moves}{test['meter']} {test['red']} to {test['black']}" + (
        f", {test['alone']} in the hand" if "alone" in test else ""
    )
