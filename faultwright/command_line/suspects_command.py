"""The command that says what a record leaves possible: suspects."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .output import CIRCUIT, JSON, options, print_json, print_wrapped, progress

if TYPE_CHECKING:
    from faultwright.circuit import Circuit
    from faultwright.next_test import NextTest
    from faultwright.record import Record
    from faultwright.sequence_review import Review
    from faultwright.suspects import Suspects


@click.command()
@options(
    CIRCUIT,
    click.option("--record", "record_file", required=True, type=click.Path(path_type=Path), help="The record, JSON."),
    click.option(
        "--review", "reviewed", is_flag=True, help="Say what each finding did, and what the best search costs."
    ),
    click.option(
        "--healthy",
        "healthy_file",
        type=click.Path(path_type=Path),
        help="A record of the same bench without a fault: readings of a real meter are judged against its readings.",
    ),
    click.option("--doubles", is_flag=True, help="Look for two faults at once too; that takes a while."),
    JSON,
)
def suspects(
    circuit: Path, record_file: Path, reviewed: bool, healthy_file: Path | None, doubles: bool, as_json: bool
) -> None:
    """What the findings of a record still leave possible, and the best next test."""
    from faultwright.circuit_file import read_circuit
    from faultwright.files import read_json
    from faultwright.healthy_readings import against_healthy
    from faultwright.record import parse_record

    read = read_circuit(circuit)
    record = parse_record(read_json(record_file), read, record_file.name)
    if healthy_file is not None:
        record = against_healthy(read, record, parse_record(read_json(healthy_file), read, healthy_file.name))
    found = _reason(read, record, reviewed=reviewed, doubles=doubles, shown=not as_json)
    if as_json:
        print_json(found.as_json())
    else:
        found.print()


@dataclass(frozen=True)
class _Found:
    """What is found of a record; ``review`` and ``pairs`` where they were asked for."""

    record: Record
    suspects: Suspects
    groups: Sequence[Sequence[str]]
    best: NextTest | None
    review: Review | None
    pairs: Sequence[tuple[str, str]] | None

    def as_json(self) -> dict[str, Any]:
        found = self.suspects
        return {
            "suspects": found.names,
            "healthy": found.healthy,
            "groups": self.groups,
            "ranges": {name: list(values) for name, values in found.ranges.items()},
            "cleared": dict(found.cleared),
            "conflict": list(found.conflict),
            "next_test": self.best.as_json() if self.best else None,
            **({} if self.review is None else {"review": self.review.as_json()}),
            **({} if self.pairs is None else {"doubles": [list(pair) for pair in self.pairs]}),
        }

    def print(self) -> None:
        found = self.suspects
        if found.conflict:
            numbers = ", ".join(str(number) for number in found.conflict)
            click.echo(
                f"No single fault explains all findings; these contradict each other: actions {numbers} (from 0)"
            )
        for group in self.groups:
            first, *others = (_with_range(name, found.ranges) for name in group)
            click.echo(f"suspect: {first}")
            for other in others:
                click.echo(f"         {other} (not to be told apart from it)")
        click.echo(f"a sound machine {'also explains' if found.healthy else 'does not explain'} these findings")
        if self.pairs is not None:
            _print_pairs(self.pairs)
        if self.review is None:
            _print_cleared(self.record, found.cleared)
        else:
            click.echo("the search, finding by finding:")
            for line in self.review.words():
                print_wrapped(f"  {line}")
        if self.best:
            click.echo(f"best next test: {self.best.candidate.words()}")


def _reason(circuit: Circuit, record: Record, *, reviewed: bool, doubles: bool, shown: bool) -> _Found:
    from faultwright.ambiguity import ambiguity_groups
    from faultwright.double_suspects import find_double_suspects
    from faultwright.next_test import next_test
    from faultwright.search_review import reviewed_search
    from faultwright.suspects import find_suspects

    with progress("trying hypotheses", shown=shown) as tell:
        found = find_suspects(circuit, record, tell=tell)
    groups = ambiguity_groups(circuit, found.faults.values())
    with progress("looking for the best next test", shown=shown) as tell:
        best = next_test(circuit, record, list(found.faults.values()), healthy=found.healthy, tell=tell)
    review, pairs = None, None
    if reviewed:
        with progress("reviewing the search", shown=shown) as tell:
            review = reviewed_search(circuit, record, tell)
    if doubles:
        with progress("trying pairs", shown=shown) as tell:
            pairs = find_double_suspects(circuit, record, found, tell=tell)
    return _Found(record, found, groups, best, review, pairs)


def _with_range(name: str, ranges: Mapping[str, tuple[float, float]]) -> str:
    from faultwright.quantities import show_quantity

    return f"{name} ({' to '.join(show_quantity(end, 'Ω') for end in ranges[name])})" if name in ranges else name


def _print_pairs(pairs: Sequence[tuple[str, str]]) -> None:
    """Print the pairs that explain together what neither does, by their first."""
    from faultwright.analysis_texts import listed

    click.echo(f"two faults at once that explain these findings, neither of them alone: {len(pairs) or 'none'}")
    for first, group in groupby(pairs, key=itemgetter(0)):
        print_wrapped(f"  {first} with {listed([other for _, other in group])}")


def _print_cleared(record: Record, cleared: Mapping[str, int]) -> None:
    """Print which finding was the first to clear whom, in the order of the record."""
    from faultwright.analysis_texts import listed
    from faultwright.sequence_review import finding_in_words

    if cleared:
        click.echo("cleared by the first finding that they cannot explain (actions counted from 0):")
    for number, finding in record.findings():
        names = [name for name, by in cleared.items() if by == number]
        if names:
            print_wrapped(f"  action {number} ({finding_in_words(finding)}) clears {len(names)}: {listed(names)}")
