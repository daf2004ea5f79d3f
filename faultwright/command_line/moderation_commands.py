"""Commands of moderation: second marking, agreement, amendment, signing, and marking again."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from faultwright.errors import Mistake, Refused

from .class_commands import GRADING, PATH, need
from .output import JSON, options, print_json, print_table, print_wrapped, progress

if TYPE_CHECKING:
    from faultwright_autograde.moderation.desk import Desk
    from faultwright_autograde.moderation.history import Entry

FOLDER = click.argument("folder", type=PATH)
SECRET = click.option("--secret", required=True, type=PATH, help="The class's secret.")
BY = click.option("--by", required=True, help="Who decides: a name or initials.")
REASON = click.option("--reason", required=True, help="Why, in a sentence that holds at an appeal.")


@click.group()
def moderate() -> None:
    """Second marking, agreement, amendment with reason and names, signing, and marking again to check."""


def _desk(folder: Path, secret: Path) -> Desk:
    need("grade", *GRADING)
    from faultwright_autograde.moderation.desk import open_desk

    return open_desk(folder, secret)


@moderate.command()
@options(
    FOLDER,
    SECRET,
    click.option("--least", type=click.IntRange(0, 1000), default=5, show_default=True, help="At least so many more."),
    click.option(
        "--share", type=click.FloatRange(0, 1), default=0.1, show_default=True, help="And this share of the rest."
    ),
    JSON,
)
def sample(folder: Path, secret: Path, least: int, share: float, as_json: bool) -> None:
    """Draw papers for second marking: all for a person, all near the pass mark, a random share of the rest."""
    desk = _desk(folder, secret)
    from faultwright_autograde.moderation.desk import draw_sample

    with progress("writing sheets", shown=not as_json) as tell:
        drawn = draw_sample(desk, least, share, tell)
    if as_json:
        print_json({"sheets": list(drawn.numbers)})
        return
    click.echo(
        f"{len(drawn.numbers)} blind sheets in {folder / 'moderation' / 'sheets'}; "
        f"the marks go into {folder / 'moderation' / 'second-marks.csv'}"
    )


@moderate.command()
@options(FOLDER, SECRET, JSON)
def agree(folder: Path, secret: Path, as_json: bool) -> None:
    """Say how far the second marks agree with the first."""
    desk = _desk(folder, secret)
    from faultwright_autograde.moderation.desk import agree as compare
    from faultwright_autograde.moderation.texts import text

    found = compare(desk)
    rows = {**found.by_criterion, "in all": found.total}
    if as_json:
        keys = ("pairs", "same", "mean_size", "largest", "bias")
        table = {name: {key: getattr(one, key) for key in keys} for name, one in rows.items()}
        print_json({"differences": table, "kappa": found.kappa, "concordance": found.concordance})
        return
    print_table(
        ["criterion", "pairs", "same", "mean difference", "largest", "bias"],
        [
            [name, one.pairs, f"{one.same:.0%}", f"{one.mean_size:.2f}", f"{one.largest:+g}", f"{one.bias:+.2f}"]
            for name, one in rows.items()
        ],
    )
    for name, figure in (("passing by marks, kappa (Cohen)", found.kappa), ("concordance (Lin)", found.concordance)):
        click.echo(f"{name}: {text('agree.few') if figure is None else f'{figure:.2f}'}")
    for number, one, other in found.furthest:
        click.echo(f"{number}: {one:g} and {other:g}")


@moderate.command()
@options(
    FOLDER,
    click.argument("candidate"),
    SECRET,
    click.option(
        "--mark", "marks", type=(str, float), multiple=True, metavar="CRITERION NUMBER", help="A mark; repeat it."
    ),
    click.option("--lift", is_flag=True, help="Lift what keeps it from passing besides too few marks."),
    BY,
    REASON,
    JSON,
)
def amend(
    folder: Path,
    candidate: str,
    secret: Path,
    marks: tuple[tuple[str, float], ...],
    lift: bool,
    by: str,
    reason: str,
    as_json: bool,
) -> None:
    """Propose other marks for a candidate; they count once somebody else has confirmed them."""
    desk = _desk(folder, secret)
    from faultwright_autograde.moderation import decisions

    entry = decisions.amend(
        folder,
        desk.secret,
        desk.candidates,
        candidate,
        dict(marks),
        rubric=desk.opened.blueprint.rubric,
        by=by,
        reason=reason,
        lift=lift,
    )
    _told(entry, f"amendment {entry.number} waits for a second name", as_json=as_json)


@moderate.command()
@options(FOLDER, click.argument("number", type=int), SECRET, BY, REASON, JSON)
def confirm(folder: Path, number: int, secret: Path, by: str, reason: str, as_json: bool) -> None:
    """Confirm an amendment by a second name; marks.csv shows it from then on."""
    desk = _desk(folder, secret)
    from faultwright_autograde.moderation import decisions

    entry = decisions.confirm(folder, desk.secret, desk.candidates, number, by=by, reason=reason)
    desk.write_table()
    _told(entry, f"amendment {number} counts; {folder / 'marks.csv'} is written anew", as_json=as_json)


@moderate.command()
@options(FOLDER, click.argument("number", type=int), SECRET, BY, REASON, JSON)
def reject(folder: Path, number: int, secret: Path, by: str, reason: str, as_json: bool) -> None:
    """Reject an amendment that waits."""
    desk = _desk(folder, secret)
    from faultwright_autograde.moderation import decisions

    entry = decisions.reject(folder, desk.secret, number, by=by, reason=reason)
    _told(entry, f"amendment {number} is rejected", as_json=as_json)


@moderate.command()
@options(FOLDER, SECRET, BY, REASON, JSON)
def sign(folder: Path, secret: Path, by: str, reason: str, as_json: bool) -> None:
    """Sign a class's marks: nothing changes them until the class is opened again."""
    desk = _desk(folder, secret)
    from faultwright_autograde.moderation import decisions

    entry = decisions.sign(folder, desk.secret, desk.candidates, by=by, reason=reason)
    desk.write_table()
    _told(entry, f"signed; note the last seal of the history: {entry.seal}", as_json=as_json)


@moderate.command()
@options(FOLDER, SECRET, BY, REASON, JSON)
def reopen(folder: Path, secret: Path, by: str, reason: str, as_json: bool) -> None:
    """Open a signed class again."""
    desk = _desk(folder, secret)
    from faultwright_autograde.moderation import decisions

    _told(decisions.reopen(folder, desk.secret, by=by, reason=reason), "open again", as_json=as_json)


@moderate.command()
@options(FOLDER, SECRET, JSON)
def history(folder: Path, secret: Path, as_json: bool) -> None:
    """Show every decision in order, and check that nothing of it was changed."""
    desk = _desk(folder, secret)
    from faultwright_autograde.moderation.history import read_history

    entries = read_history(folder, desk.secret)
    looks = desk.final().looks
    if as_json:
        print_json({"history": [one.as_json() for one in entries], "for_a_person": list(looks)})
        return
    for one in entries:
        details = ", ".join(f"{key} {value}" for key, value in one.details.items() if not key.endswith("sha256"))
        print_wrapped(f"{one.number}  {one.at}  {one.by}  {one.what}  {details}: {one.reason}")
    for line in looks:
        print_wrapped(line)
    click.echo(f"{len(entries)} decisions, none changed" + (f"; last seal {entries[-1].seal}" if entries else ""))


@moderate.command()
@options(FOLDER, SECRET, JSON)
def verify(folder: Path, secret: Path, as_json: bool) -> None:
    """Mark every answer again and say whether each mark comes out the same, byte for byte."""
    desk = _desk(folder, secret)
    from faultwright_autograde.moderation.desk import mark_again

    with progress("marking again", shown=not as_json) as tell:
        found = mark_again(desk, tell)
    differing = [one for one in found if not one.same]
    if as_json:
        print_json(
            {"differ": {one.candidate: list(one.differs) for one in differing}, "same": len(found) - len(differing)}
        )
    else:
        for one in differing:
            click.echo(f"{one.candidate}: another {', '.join(one.differs)}")
        click.echo(f"{len(found) - len(differing)} of {len(found)} marks come out the same")
    if differing:
        raise Refused(Mistake(f"{len(differing)} marks do not come out the same", folder.name))


def _told(entry: Entry, line: str, *, as_json: bool) -> None:
    if as_json:
        print_json({"entry": entry.as_json(), "seal": entry.seal})
    else:
        click.echo(line)
