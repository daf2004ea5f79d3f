"""The command that gathers what can be computed of a circuit: analyse."""

from __future__ import annotations

from pathlib import Path

import click

from .output import CIRCUIT, JSON, not_over, options, print_json, print_wrapped, progress


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
    click.option("--html", type=click.Path(path_type=Path), metavar="FILE", help="Write one page with drawings here."),
    JSON,
)
def analyse(circuit: Path, only: tuple[str, ...], symptom: int | None, html: Path | None, as_json: bool) -> None:
    """What can be known of a circuit beforehand: for whoever teaches with it.

    Routes and truth tables, the suspects of every complaint, what can be told apart and by which tests in which order,
    what each single fault permits or refuses, and sneak paths. It holds the answers: not for students.
    """
    from faultwright.analysis import analyse as analysis_of
    from faultwright.circuit_file import read_circuit
    from faultwright.files import write_whole

    read = read_circuit(circuit)
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
