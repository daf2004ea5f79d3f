"""A student at the lesson's exercise, played through the bench's messages, so that the answer file is a real one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from faultwright.circuit import Circuit
from faultwright.moves import control_moves
from faultwright_course.opening import Opened, open_case

ANSWER = "routes-clutch-answer.json"


def do(opened: Opened, *messages: dict[str, Any]) -> None:
    """Send messages to the bench; none may be refused."""
    for message in messages:
        opened.view.session.handle(message)
        assert opened.view.session.alerts == [], message


def moves(opened: Opened, line: str) -> None:
    """Make the moves in a line."""
    do(opened, *({"do": "move", "move": move} for move in line.split()))


def volts(opened: Opened, red: str, black: str, expected: str) -> int:
    """Predict, read volts, and return the number of the finding in the record."""
    do(
        opened,
        {"do": "point", "terminal": red, "lead": "red"},
        {"do": "point", "terminal": black, "lead": "black"},
        {"do": "predict", "field": "suspect", "text": "the clutch route"},
        {"do": "predict", "field": "expected", "text": expected},
        {"do": "read"},
    )
    return len(opened.bench.actions) - 1


def every_state(opened: Opened, circuit: Circuit) -> None:
    """Note what is seen in every control state, each reached from rest."""
    for state in circuit.states():
        moves(opened, "rest")
        moves(opened, " ".join(str(move) for move in control_moves(circuit, circuit.rest(), state)))
        do(opened, {"do": "observe"})


def conclude(opened: Opened, claim: str, cited: Sequence[int], continuity: str, **fields: str) -> None:
    """Fill in the answer form; ``fields`` are the calculation and the remedy."""
    do(
        opened,
        {"do": "claim", "fault": claim, "on": True},
        *({"do": "cite", "index": index, "on": True} for index in cited),
        {"do": "continuity", "id": "enable-line", "text": continuity},
        *({"do": "answer", "field": field, "text": text} for field, text in fields.items()),
        {"do": "answer", "field": "confidence", "text": "fairly"},
    )


def works_well(folder: Path) -> Opened:
    """Operate, narrow the clutch route down to the plug's pin, repair, prove every state, and fill in every part."""
    opened = open_case("routes-clutch", answer_file=folder / ANSWER)
    moves(opened, "key=on start=pressed")
    do(opened, {"do": "observe"})
    moves(opened, "start=released clutch=pulled gear=engaged")
    do(opened, {"do": "observe"})
    moves(opened, "start=pressed")
    do(opened, {"do": "observe"})
    behind = volts(opened, "X1:b3", "FRAME", "0.002 V")
    across = volts(opened, "X1:a3", "X1:b3", "11 V")
    do(opened, {"do": "repair", "at": "X1:3", "remedy": "re-terminate"})
    every_state(opened, opened.circuit)
    conclude(
        opened,
        "X1:3 resistance",
        (behind, across),
        "clutch=pulled or stand=raised",
        calculation="141 mA",
        remedy="X1:3 re-terminate",
    )
    do(opened, {"do": "submit"})
    return opened


def works_badly(folder: Path) -> Opened:
    """Blame the clutch switch, slip a unit, forget the diode and leave a jumper for a repair."""
    opened = open_case("routes-clutch", answer_file=folder / ANSWER)
    moves(opened, "key=on gear=engaged clutch=pulled start=pressed")
    found = volts(opened, "K1:in", "FRAME", "0 V")
    moves(opened, "bridge=S3:1,S3:2")
    conclude(
        opened,
        "S3 stuck open",
        (found,),
        "gear=neutral or clutch=pulled or stand=raised",
        calculation="141 A",
        remedy="S3 replace",
    )
    do(opened, {"do": "submit"})
    return opened
