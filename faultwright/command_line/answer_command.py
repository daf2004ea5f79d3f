"""The command on an answer that is not handed in yet: check-answer."""

from __future__ import annotations

from pathlib import Path

import click

from .output import JSON, options, print_json

PATH = click.Path(path_type=Path)


@click.command("check-answer")
@options(click.argument("paper", type=PATH), click.argument("answer", type=PATH), JSON)
def check_answer(paper: Path, answer: Path, as_json: bool) -> None:
    """Can an answer be read, and does it answer what its paper asks? Every mistake at once; nothing is marked.

    PAPER is the folder that was handed out, or a circuit file alone.
    """
    from faultwright_autograde.answer_check import check_answer as check
    from faultwright_autograde.answer_check import read_paper
    from faultwright_autograde.answer_check_texts import text

    found = check(answer, read_paper(paper))
    if as_json:
        counts = {"actions": found.actions, "findings": found.findings, "blank": list(found.blank)}
        print_json({"file": str(answer), "sound": True, **counts})
        return
    actions = text("action" if found.actions == 1 else "actions", count=found.actions)
    findings = text("finding" if found.findings == 1 else "findings", count=found.findings)
    click.echo(text("sound", file=answer.name, actions=actions, findings=findings))
    if found.blank:
        click.echo(text("blank", names=", ".join(found.blank)))
    click.echo(text("unmarked"))
