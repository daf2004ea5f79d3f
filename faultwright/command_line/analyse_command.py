"""The command that gathers what can be computed of a circuit: analyse."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .output import CIRCUIT, JSON, not_over, options, print_json, print_wrapped, progress

if TYPE_CHECKING:
    from faultwright.circuit import Circuit


@click.command()
@options(
    CIRCUIT,
    click.option(
        "--only",
        multiple=True,
        metavar="SECTION",
        help="Give this section alone; repeat it. Sections: routes, truth_tables, symptoms, groups, testability, "
        "test_tree, single_faults, sneak_paths.",
    ),
    click.option(
        "--symptom",
        type=int,
        metavar="NUMBER",
        help="Give the test tree for this complaint, by its number among the symptoms, and not for the commonest.",
    ),
    click.option(
        "--statement",
        "statements",
        nargs=2,
        multiple=True,
        metavar="BEHAVIOUR STATEMENT",
        help="Say instead whether a statement about a behaviour is right in every state, or which refutes it (such as: "
        "lamp 'key=on or test=pressed'); repeat it.",
    ),
    click.option("--html", type=click.Path(path_type=Path), metavar="FILE", help="Write one page with drawings here."),
    JSON,
)
def analyse(
    circuit: Path,
    only: tuple[str, ...],
    symptom: int | None,
    statements: tuple[tuple[str, str], ...],
    html: Path | None,
    as_json: bool,
) -> None:
    """What can be known of a circuit beforehand: for whoever teaches with it.

    Routes and truth tables, the suspects of every complaint, what can be told apart and by which tests in which order,
    what each single fault permits or refuses, and sneak paths. It holds the answers: not for students.
    """
    from faultwright.analysis import analyse as analysis_of
    from faultwright.circuit_file import read_circuit
    from faultwright.files import write_whole

    read = read_circuit(circuit)
    if statements:
        if only or symptom is not None or html is not None:
            raise click.UsageError("--statement stands without --only, --symptom and --html")
        _answer(read, statements, as_json=as_json)
        return
    not_over(circuit, html, "--html")
    with progress("analysing", shown=not as_json) as tell:
        found = analysis_of(read, tell, only=only, symptom=symptom)
    if html is not None:
        from faultwright.analysis_page import analysis_page

        write_whole(html, analysis_page(found))
    if as_json:
        print_json(found.as_json() if html is None else {"file": str(html)})
    elif html is not None:
        click.echo(f"wrote {html}: {read.title}")
    else:
        for line in found.words():
            print_wrapped(line)


def _answer(circuit: Circuit, statements: Sequence[tuple[str, str]], *, as_json: bool) -> None:
    """Say of each statement whether it is right in every state; refuse with the mistakes of all."""
    from faultwright.errors import Mistake, Refused
    from faultwright.permission import Refutation, check_statement

    answers: list[tuple[str, str, Refutation | None]] = []
    mistakes: list[Mistake] = []
    for about, statement in statements:
        try:
            answers.append((about, statement, check_statement(circuit, statement, about)))
        except Refused as error:
            mistakes += error.mistakes
    if mistakes:
        raise Refused(mistakes)
    if as_json:
        found = [
            {"about": about, "statement": statement, "refuted": refuted.as_json() if refuted else None}
            for about, statement, refuted in answers
        ]
        print_json({"circuit": circuit.name, "statements": found})
        return
    for about, statement, refuted in answers:
        right = "right in every state of the controls"
        print_wrapped(f"{about}, {statement}: {refuted.words(circuit.controls) if refuted else right}")
