"""Commands for faults on real machines: card, worksheet, observation, register."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .output import CIRCUIT, JSON, not_over, options, print_json, print_wrapped, progress

if TYPE_CHECKING:
    from faultwright.circuit import Circuit
    from faultwright.workshop.refusals import Permission
    from faultwright.workshop.register import Entry, Register

PATH = click.Path(path_type=Path)
FAULT = click.option("--fault", "fault_name", metavar="FAULT", required=True, help="The fault, PLACE MODE [VALUE].")
BOARD = click.option(
    "--board", is_flag=True, help="On a training board where nothing moves: there a guard may be defeated."
)
OUT = click.option("--out", type=PATH, required=True, help="The page to write, HTML for A4.")
FILE = click.argument("file", type=PATH)
NUMBER = click.argument("number", type=int)
BY = click.option("--by", required=True, metavar="INITIALS", help="Your initials.")


@click.command()
@options(
    CIRCUIT,
    click.option("--fault", "fault_name", metavar="FAULT", help="The fault, PLACE MODE [VALUE]."),
    BOARD,
    click.option("--out", type=PATH, help="The page to write, HTML for A4."),
    JSON,
)
def card(circuit: Path, fault_name: str | None, board: bool, out: Path | None, as_json: bool) -> None:
    """Write a bench card: how a fault is put into a real machine, and what to expect. For the instructor alone.

    Refused are unfused shorts, and faults that defeat a guard where something can move; others are named instead.
    Without --fault: which faults may be put in, with which parts, and why the rest may not.
    """
    from faultwright.circuit_file import read_circuit
    from faultwright.faults import parse_fault
    from faultwright.files import write_whole
    from faultwright.workshop.refusals import Permission

    if (fault_name is None) != (out is None):
        raise click.UsageError("--fault and --out go together; without both, all faults are listed")
    read = read_circuit(circuit)
    permission = Permission(read, board=board)
    if fault_name is None or out is None:
        _list_faults(permission, read, as_json=as_json)
        return
    from faultwright.workshop.card import bench_card
    from faultwright.workshop.papers import card_page

    not_over(circuit, out)
    found = bench_card(permission, parse_fault(fault_name, read))
    write_whole(out, card_page(found))
    if as_json:
        print_json({"file": str(out), **found.as_json()})
    else:
        click.echo(f"wrote {out}: bench card for {found.way.fault}, {read.title}; it names the fault")


def _list_faults(permission: Permission, circuit: Circuit, *, as_json: bool) -> None:
    """Print which faults may be put in, with their parts, and why the others may not."""
    from faultwright.faults import universe
    from faultwright.workshop.set_up import SetUp, set_up

    faults = list(universe(circuit).values())
    entries: list[dict[str, Any]] = []
    with progress("judging faults", shown=not as_json) as tell:
        for done, fault in enumerate(faults):
            tell(done, len(faults))
            why_not = permission.against(fault)
            way = None if why_not else set_up(circuit, fault)
            parts = list(way.parts) if isinstance(way, SetUp) else []
            entries.append({"fault": str(fault), "may": not why_not, "parts": parts, "why_not": why_not})
    if as_json:
        print_json({"circuit": circuit.name, "board": permission.board, "faults": entries})
        return
    for may, heading in ((True, "may be put in"), (False, "not")):
        some = [entry for entry in entries if entry["may"] is may]
        click.echo(f"{heading}: {len(some)}")
        for entry in some:
            told: list[str] = entry["parts"] if may else entry["why_not"]
            print_wrapped(f"  {entry['fault']}: {'; '.join(told)}")


@click.command()
@options(CIRCUIT, FAULT, BOARD, OUT, JSON)
def worksheet(circuit: Path, fault_name: str, board: bool, out: Path, as_json: bool) -> None:
    """Write a student's worksheet for the complaint that a fault gives. It does not tell the fault.

    Faults with the same complaint have the same worksheet. It is refused where the fault may not be put in.
    """
    from faultwright.circuit_file import read_circuit
    from faultwright.faults import parse_fault
    from faultwright.files import write_whole
    from faultwright.workshop.papers import worksheet_page
    from faultwright.workshop.refusals import Permission
    from faultwright.workshop.worksheet import worksheet as sheet_for

    read = read_circuit(circuit)
    not_over(circuit, out)
    permission = Permission(read, board=board)
    way = permission.way(parse_fault(fault_name, read))
    found = sheet_for(read, permission.complaints.of(way.fault))
    write_whole(out, worksheet_page(found))
    if as_json:
        print_json({"file": str(out), **found.as_json()})
    else:
        click.echo(f"wrote {out}: worksheet, {read.title}")


@click.command()
@options(click.argument("circuit", type=PATH, required=False), OUT, JSON)
def observation(circuit: Path | None, out: Path, as_json: bool) -> None:
    """Write a sheet on which isolation and probe handling are ticked by whoever watches.

    With CIRCUIT its own sources, live points, plugs and guards are named. Nothing is added up.
    """
    from faultwright.circuit_file import read_circuit
    from faultwright.files import write_whole
    from faultwright.workshop.observation import observation_sheet
    from faultwright.workshop.papers import observation_page

    read = read_circuit(circuit) if circuit else None
    if circuit:
        not_over(circuit, out)
    found = observation_sheet(read)
    write_whole(out, observation_page(found))
    if as_json:
        print_json({"file": str(out), **found.as_json()})
    else:
        click.echo(f"wrote {out}: observation sheet, {read.title if read else 'any circuit'}")


# The fault register


@click.group()
def register() -> None:
    """Keep the fault register: what is in which machine, and that it was taken out and proved.

    FILE is plain JSON; put-in begins it. Nothing in it is ever changed or deleted. Before use of a machine look whether
    anything is still in: register show.
    """


@register.command("put-in")
@options(
    FILE,
    CIRCUIT,
    FAULT,
    click.option("--bench", required=True, metavar="BENCH", help="The bench's number or short name."),
    BY,
    BOARD,
    click.option("--beside", is_flag=True, help="Although the bench has a fault in, or one that is not proved yet."),
    JSON,
)
def put_in(
    file: Path, circuit: Path, fault_name: str, bench: str, by: str, board: bool, beside: bool, as_json: bool
) -> None:
    """Enter a fault that is put into a machine; it gets the next number."""
    from faultwright.circuit_file import read_circuit
    from faultwright.faults import parse_fault
    from faultwright.workshop.refusals import Permission
    from faultwright.workshop.register import local_time, sign

    read = read_circuit(circuit)
    not_over(circuit, file, "FILE")
    fault = parse_fault(fault_name, read)
    Permission(read, board=board).check(fault)
    signed = sign(by, local_time())
    changed = _change(file, lambda old: old.put_in(bench, read.name, str(fault), signed, board=board, beside=beside))
    _told(file, changed.entries[-1], as_json=as_json)


@register.command("taken-out")
@options(FILE, NUMBER, BY, JSON)
def taken_out(file: Path, number: int, by: str, as_json: bool) -> None:
    """Enter that the fault of a NUMBER is out; then prove it."""
    from faultwright.workshop.register import local_time, sign

    _must_exist(file)
    signed = sign(by, local_time())
    _told(file, _change(file, lambda old: old.taken_out(number, signed)).find(number), as_json=as_json)


@register.command("proved")
@options(FILE, NUMBER, BY, click.option("--checked", required=True, metavar="WORDS", help="What was checked."), JSON)
def proved(file: Path, number: int, by: str, checked: str, as_json: bool) -> None:
    """Enter that the machine of a NUMBER is proved sound again; only then is it struck out."""
    from faultwright.workshop.register import local_time, sign

    _must_exist(file)
    signed = sign(by, local_time(), checked)
    _told(file, _change(file, lambda old: old.proved(number, signed)).find(number), as_json=as_json)


@register.command("show")
@options(FILE, click.option("--out", type=PATH, help="Write one page, HTML for A4, here."), JSON)
def show(file: Path, out: Path | None, as_json: bool) -> None:
    """Show what is still in, what is out and not proved, and what is struck out."""
    from faultwright.files import write_whole
    from faultwright.workshop.papers import register_page
    from faultwright.workshop.register import Standing
    from faultwright.workshop.register_file import read_register

    found = read_register(file)
    if out is not None:
        not_over(file, out)
        write_whole(out, register_page(found, file.name))
    if as_json:
        numbers = {f"{standing}": [entry.number for entry in found.that_are(standing)] for standing in Standing}
        written = {} if out is None else {"file": str(out)}
        print_json({**written, **numbers, "entries": [entry.as_json() for entry in found.entries]})
    elif out is not None:
        click.echo(f"wrote {out}: {len(found.that_are(Standing.IN))} still in")
    else:
        for line in found.words():
            print_wrapped(line)


def _must_exist(file: Path) -> None:
    """Refuse a register that is not there before it is begun by mistake."""
    from faultwright.files import read_text
    from faultwright.workshop.register_file import LARGEST

    read_text(file, largest=LARGEST)


def _change(file: Path, change: Callable[[Register], Register]) -> Register:
    from faultwright.workshop.register_file import change_register

    return change_register(file, change)


def _told(file: Path, entry: Entry, *, as_json: bool) -> None:
    if as_json:
        print_json({"file": str(file), "entry": entry.as_json()})
    else:
        click.echo(entry.words())
