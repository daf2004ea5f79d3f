"""What a lesson shows besides the bench: the drawing, the symptom table and a case worked through.

Every number in them is computed when the lesson runs. Reasons stand in plain collapsible blocks, so that they can be
left closed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from faultwright.behaviour import Seen
from faultwright.circuit import Circuit
from faultwright.drawing.svg import draw
from faultwright.faults import parse_fault
from faultwright.machine import Machine
from faultwright.meter import FLOATING, Probe, Reading, read
from faultwright.moves import SET, Move, control_moves, parse_move

from .texts import text

_WORDS: Mapping[Seen, str] = {True: text("seen.yes"), False: text("seen.no"), None: text("seen.endless")}
_SCROLL = '<div style="overflow-x:auto">'


@dataclass(frozen=True, slots=True, repr=False)
class Shown:
    """A piece of HTML that a notebook shows."""

    html: str

    def __repr__(self) -> str:
        """A short text; the HTML can be long."""
        return f"Shown({len(self.html)} characters of HTML)"

    def _repr_html_(self) -> str:
        return self.html


def drawing(circuit: Circuit) -> Shown:
    """Return the circuit diagram, its contacts at rest."""
    return Shown(f"{_SCROLL}{draw(circuit, scope=f'lesson-{circuit.name}')}</div>")


def symptom_table(circuit: Circuit, summary: str, **fixed: str) -> Shown:
    """Return what a sound machine is seen to do in every control state, behind ``summary``.

    ``fixed`` holds controls at one position, which then have no column.
    """
    free = [control for control in circuit.controls.values() if control.name not in fixed]
    heads = [control.label for control in free] + [name.replace("_", " ") for name in circuit.behaviour]
    rows = [
        [*(state[control.name] for control in free), *(_words(seen) for seen in _at(circuit, state).seen().values())]
        for state in circuit.states()
        if fixed.items() <= state.items()
    ]
    return Shown(f"<details><summary>{escape(summary)}</summary>{_table(heads, rows)}</details>")


def _at(circuit: Circuit, state: Mapping[str, str]) -> Machine:
    machine = Machine(circuit)
    for move in control_moves(circuit, machine.state, dict(state)):
        machine.move(move)
    return machine


def _words(seen: Seen) -> str:
    return seen if isinstance(seen, str) else _WORDS[seen]


@dataclass(frozen=True, slots=True)
class WorkedStep:
    """A step of a worked case: the moves (parted by ``;``), what is then looked at, and why.

    ``look`` is a measurement, or names the behaviours that are watched; empty where only something is done.
    """

    moves: str
    look: Probe | tuple[str, ...]
    why: str


def worked_case(circuit: Circuit, fault: str, steps: Sequence[WorkedStep]) -> Shown:
    """Return a case worked through: each step with what a sound machine would show and what this one shows.

    Raises Refused for a fault, a move or a terminal that the circuit does not have.
    """
    sound, faulty = Machine(circuit), Machine(circuit, [parse_fault(fault, circuit)])
    rows = []
    for number, step in enumerate(steps, start=1):
        moves = [parse_move(move, circuit) for move in step.moves.split(";") if move.strip()]
        for move in moves:
            sound.move(move)
            faulty.move(move)
        operate = ", ".join(_move_words(circuit, move) for move in moves) or text("worked.as_before")
        rows.append([str(number), operate, _looked_at(step.look), _shown(sound, step.look), _shown(faulty, step.look)])
    body = "".join(
        f"{_row('td', row)}<tr class='fw-why'><td></td><td colspan='4' style='text-align:left'>"
        f"<details open><summary>{escape(text('worked.why'))}</summary>{escape(step.why)}</details></td></tr>"
        for row, step in zip(rows, steps, strict=True)
    )
    head = _row("th", [text(f"worked.{column}") for column in ("step", "operate", "look", "expected", "found")])
    switch = _reasons_switch(f"fw-why-{circuit.name}-{fault}".replace(" ", "-").replace(":", "-"))
    table = f"<table style='text-align:left'><thead>{head}</thead><tbody>{body}</tbody></table>"
    return Shown(f"<div>{switch}{_SCROLL}{table}</div></div>")


def _reasons_switch(name: str) -> str:
    """Return a box to tick that shows or hides every reason of the table beside it, without any script.

    Reasons help at first and are in the way later (van Gog and others 2006, 2008).
    """
    return (
        f"<style>#{name}:not(:checked) ~ div .fw-why {{ display: none; }}</style>"
        f"<input type='checkbox' id='{name}' checked data-lm-suppress-shortcuts='true'>"
        f"<label for='{name}'> {escape(text('worked.reasons'))}</label>"
    )


def _move_words(circuit: Circuit, move: Move) -> str:
    """Return a move in the words on the machine: ``Key switch on``, ``repair B2: free and lubricate``."""
    if move.verb == SET:
        return f"{circuit.controls[move.target].label} {move.value}"
    if move.verb == "repair":
        return text("move.repair", place=move.target, remedy=move.value)
    return f"{move.verb} {' to '.join(end for end in (move.target, move.value) if end)}".strip()


def _looked_at(look: Probe | tuple[str, ...]) -> str:
    if isinstance(look, Probe):
        what = text("worked.measured", mode=look.mode, red=look.red, black=look.black)
        return text("worked.in_hand", what=what, part=look.alone) if look.alone else what
    return ", ".join(name.replace("_", " ") for name in look)


def _shown(machine: Machine, look: Probe | tuple[str, ...]) -> str:
    if isinstance(look, Probe):
        return _reading(read(machine, look))
    seen = machine.seen()
    return ", ".join(f"{name.replace('_', ' ')}: {_words(seen[name])}" for name in look)


def _reading(reading: Reading) -> str:
    return text("worked.floating", display=reading.display) if reading.status == FLOATING else reading.display


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    body = "".join(_row("td", row) for row in rows)
    return f"{_SCROLL}<table><thead>{_row('th', heads)}</thead><tbody>{body}</tbody></table></div>"


def _row(cell: str, texts: Sequence[str]) -> str:
    return "<tr>" + "".join(f"<{cell} style='text-align:left'>{escape(words)}</{cell}>" for words in texts) + "</tr>"
