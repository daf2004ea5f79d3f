"""Commands on one circuit: check, operate, table, read, faults, spice, draw."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from faultwright.errors import Mistake, Refused

from .output import (
    CIRCUIT,
    FAULT,
    JSON,
    MOVE,
    named_faults,
    not_over,
    options,
    print_json,
    print_table,
    word,
)


@click.command()
@options(click.argument("circuits", nargs=-1, required=True, type=click.Path(path_type=Path)), JSON)
def check(circuits: tuple[Path, ...], as_json: bool) -> int:
    """Is each circuit file, or file of a case, sound? Every mistake, with its place."""
    files: list[dict[str, Any]] = []
    mistakes: list[Mistake] = []
    for path in circuits:
        found: tuple[Mistake, ...] = ()
        try:
            sound = _what_is_sound(path)
        except Refused as error:
            found = error.mistakes
        else:
            if not as_json:
                click.echo(f"{path}: sound: {sound}")
        mistakes += found
        files.append({"file": str(path), "mistakes": [{"line": one.line, "message": one.message} for one in found]})
    if as_json:
        print_json({"files": files})
    for mistake in mistakes if not as_json else ():
        click.echo(str(mistake), err=True)
    return 1 if mistakes else 0


def _what_is_sound(path: Path) -> str:
    """Say what a sound file holds. Raises Refused with every mistake of one that is not."""
    from faultwright.circuit_file import parse_circuit
    from faultwright.files import read_text

    content = read_text(path)
    if not any(line.startswith("paper:") for line in content.splitlines()):
        circuit = parse_circuit(content, path.name)
        return f"{len(circuit.parts)} parts, {len(circuit.wires)} wires"
    from faultwright_autograde.blueprint_file import read_blueprint
    from faultwright_autograde.pool import pool

    blueprint = read_blueprint(path)
    kind = "a case for practice" if blueprint.practice else "a paper for a class"
    count = len(pool(blueprint))
    return f"{kind} with {count} fault{'' if count == 1 else 's'}"


@click.command()
@options(
    CIRCUIT,
    click.argument("moves", nargs=-1, metavar="MOVE..."),
    FAULT,
    click.option(
        "--watch",
        "watched",
        nargs=3,
        metavar="METER RED BLACK",
        help="Take five readings along each move, such as --watch volts K1:86 FRAME.",
    ),
    JSON,
)
def operate(
    circuit: Path,
    moves: tuple[str, ...],
    fault_names: tuple[str, ...],
    watched: tuple[str, str, str] | None,
    as_json: bool,
) -> None:
    """Make the moves in order; what is seen after each."""
    from faultwright.circuit_file import read_circuit
    from faultwright.machine import Machine
    from faultwright.meter import Probe
    from faultwright.moves import parse_move
    from faultwright.watch import watch
    from faultwright.watch_words import watch_words

    found = read_circuit(circuit)
    machine = Machine(found, named_faults(fault_names, found))
    steps: list[dict[str, Any]] = []
    rows: list[list[object]] = []
    for move in [parse_move(text, found) for text in moves or ("rest",)]:
        step, readings = watch(machine, move, Probe(*watched)) if watched else (machine.move(move), [])
        words = [watch_words(readings)] if watched else []
        during = {"during": [reading.as_json() for reading in readings], "watched": words[0]} if watched else {}
        steps.append(step.as_json() | during)
        besides = (*step.remarks(), *(one.display for one in readings), *words)
        rows.append([move, *step.seen.values(), "; ".join(besides)])
    if as_json:
        print_json({"steps": steps})
    else:
        print_table(["move", *found.behaviour, "besides"], rows)


@click.command()
@options(CIRCUIT, FAULT, JSON)
def table(circuit: Path, fault_names: tuple[str, ...], as_json: bool) -> None:
    """Every control state: what is seen."""
    from faultwright.circuit_file import read_circuit
    from faultwright.state_table import state_table

    read = read_circuit(circuit)
    rows = list(state_table(read, named_faults(fault_names, read)))
    if as_json:
        print_json({"states": [row.as_json() for row in rows]})
        return
    heads = [*read.controls, *read.behaviour, "depends on history", "buzzes"]
    cells = [
        [*row.state.values(), *row.seen.values(), " ".join(row.depends_on_history), " ".join(row.buzzes)]
        for row in rows
    ]
    print_table(heads, cells)


_MODES = ("volts", "ohms", "continuity", "diode", "amps")


@click.command()
@options(
    CIRCUIT,
    click.argument("places", nargs=-1, metavar="RED BLACK"),
    *(click.option(f"--{mode}", mode, is_flag=True, help=f"Measure {mode}.") for mode in _MODES),
    click.option("--alone", default="", metavar="PART", help="Measure the part in the hand."),
    click.option("--leads", default=0.0, type=click.FloatRange(0, 100), help="Ω of leads that were not zeroed."),
    click.option("--range", "range_name", default="auto", metavar="RANGE", help='A fixed range, such as "60 V".'),
    MOVE,
    FAULT,
    JSON,
)
def read(
    circuit: Path,
    places: tuple[str, ...],
    alone: str,
    leads: float,
    range_name: str,
    moves: tuple[str, ...],
    fault_names: tuple[str, ...],
    as_json: bool,
    **modes: bool,
) -> None:
    """What the meter shows: --volts RED BLACK, or --ohms, --continuity, --diode RED BLACK.

    --amps PLACE opens a wire or a part's first terminal and puts the meter in; --amps RED BLACK puts it across.
    """
    from faultwright.circuit_file import read_circuit
    from faultwright.machine import Machine
    from faultwright.meter import Probe
    from faultwright.meter import read as take
    from faultwright.typed_readings import parse_range

    chosen = [mode for mode, on in modes.items() if on]
    if len(chosen) != 1:
        raise click.UsageError("choose one of " + ", ".join(f"--{mode}" for mode in _MODES))
    mode = chosen[0]
    if len(places) != 2 and not (mode == "amps" and len(places) == 1):  # noqa: PLR2004 - red and black
        raise click.UsageError(
            f"--{mode} needs " + ("a place, or red and black" if mode == "amps" else "RED and BLACK")
        )
    found = read_circuit(circuit)
    machine = Machine(found, named_faults(fault_names, found))
    for move in moves:
        machine.move(move)
    black = places[1] if len(places) > 1 else ""
    reading = take(machine, Probe(mode, places[0], black, alone, leads, parse_range(mode, range_name)))
    if as_json:
        print_json(reading.as_json())
        return
    beeps = {True: ", beeps", False: ", no beep", None: ""}[reading.beeps]
    click.echo(f"{reading.display}{beeps}" + ("" if reading.status == "ok" else f" ({reading.status})"))


@click.command()
@options(CIRCUIT, click.option("--intermittent", is_flag=True, help="Add those that show only when disturbed."), JSON)
def faults(circuit: Path, intermittent: bool, as_json: bool) -> None:
    """List the fault universe: the permanent single faults that the circuit can have."""
    from faultwright.circuit_file import read_circuit
    from faultwright.faults import intermittent as when_disturbed
    from faultwright.faults import universe
    from faultwright.frequency import relative_frequency
    from faultwright.quantities import show_quantity

    read = read_circuit(circuit)
    found = list(universe(read).values())
    if intermittent:
        found += [when_disturbed(fault) for fault in found]
    defaults = [None if fault.value is None else show_quantity(fault.value, "Ω") for fault in found]
    if as_json:
        entries = [
            {
                "fault": fault.name,
                "place": fault.place,
                "mode": fault.name.removeprefix(fault.place).strip(),
                "default": default,
                "remedies": list(fault.remedies),
                "frequency": relative_frequency(fault, read).word,
                "cause": fault.cause,
            }
            for fault, default in zip(found, defaults, strict=True)
        ]
        print_json({"faults": entries})
        return
    rows = [
        [fault.name, default or "", relative_frequency(fault, read).word, ", or ".join(fault.remedies)]
        for fault, default in zip(found, defaults, strict=True)
    ]
    print_table(["fault", "value", "frequency", "remedy"], rows)


@click.command()
@options(
    CIRCUIT, MOVE, FAULT, click.option("--out", type=click.Path(path_type=Path), help="Write the deck here."), JSON
)
def spice(circuit: Path, moves: tuple[str, ...], fault_names: tuple[str, ...], out: Path | None, as_json: bool) -> None:
    """Write a deck that ngspice runs, nodes named in comments."""
    from faultwright.circuit_file import read_circuit
    from faultwright.files import write_whole
    from faultwright.machine import Machine
    from faultwright.spice import deck

    read = read_circuit(circuit)
    not_over(circuit, out)
    machine = Machine(read, named_faults(fault_names, read))
    for move in moves:
        machine.move(move)
    text = deck(machine)
    if out is not None:
        write_whole(out, text)
    if as_json:
        print_json({"deck": text} if out is None else {"file": str(out)})
    elif out is None:
        click.echo(text, nl=False)
    else:
        click.echo(f"wrote {out}")


_PAPERS = ("A4", "A3")


@click.command()
@options(
    CIRCUIT,
    click.option("--out", required=True, type=click.Path(path_type=Path), help="The SVG file to write."),
    click.option(
        "--paper",
        type=click.Choice(_PAPERS),
        help="Cut into sheets of paper: FILE-1.svg, FILE-2.svg, … or all as the pages of FILE.html.",
    ),
    MOVE,
    FAULT,
    JSON,
)
def draw(
    circuit: Path, out: Path, paper: str | None, moves: tuple[str, ...], fault_names: tuple[str, ...], as_json: bool
) -> None:
    """Draw the circuit diagram with numbered current paths.

    A fault is never drawn: --fault is checked, and the drawing stays the one a student sees.
    """
    from faultwright.circuit_file import read_circuit
    from faultwright.drawing.sheet_files import sheet_files
    from faultwright.drawing.svg import draw as diagram
    from faultwright.files import write_whole
    from faultwright.machine import Machine

    read = read_circuit(circuit)
    not_over(circuit, out)
    machine = Machine(read, named_faults(fault_names, read))
    for move in moves:
        machine.move(move)
    positions, unplugged = machine.state if moves else None, machine.wiring.unplugged
    if paper is None:
        files, remark = {out: diagram(read, positions=positions, unplugged=unplugged)}, ""
    else:
        files, remark = sheet_files(read, out, paper, positions=positions, unplugged=unplugged)
    for file, content in files.items():
        not_over(circuit, file)
        write_whole(file, content)
    if as_json:
        print_json({"file": str(out)} if paper is None else {"files": list(map(str, files))})
        return
    for file in files:
        click.echo(f"wrote {file}: {word(read.title)}")
    if remark:
        click.echo(remark)
