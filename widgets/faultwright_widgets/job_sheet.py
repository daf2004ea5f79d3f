"""The fixed part of a bench: controls, places, terminals, questions and texts, as plain JSON for the front end.

Everything here follows from the circuit alone, so nothing here can tell one fault from another.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from faultwright.circuit import FRAME, Circuit, Control
from faultwright.errors import Mistake, Refused, unknown
from faultwright.faults import part_of, remedies_at, universe
from faultwright.meter import MODES
from faultwright.moves import substitutable
from faultwright.parts import sources, terminals
from faultwright.record import CONFIDENCES
from faultwright.story import places

from .exercise import Exercise
from .texts import TEXTS, text

_ASKED = ("calculation", "continuity")


def job_sheet(circuit: Circuit, exercise: Exercise, *, kept: bool = False) -> dict[str, Any]:
    """Return the fixed part of the bench as plain JSON; ``kept`` says that a file keeps the work."""
    return {
        "texts": dict(TEXTS),
        "title": circuit.title or circuit.name,
        "complaint": exercise.complaint,
        "asks": [question.ask for question in exercise.story.questions],
        "safety": [{"signal": note.signal, "text": note.text} for note in circuit.safety],
        "controls": [_control(control) for control in circuit.controls.values()],
        "terminals": _terminals(circuit),
        "places": fault_places(circuit),
        "parts": list(circuit.parts),
        "substitutable": substitutable(circuit),
        "inspectable": places(circuit),
        "sources": list(sources(circuit)),
        "openings": [*circuit.wires, *(part.name for part in circuit.parts.values() if part.kind != "splice")],
        "modes": list(MODES),
        "confidences": list(CONFIDENCES),
        "questions": _questions(exercise.questions, circuit),
        "required": list(exercise.required),
        "helps": exercise.helps,
        "kept": kept,
    }


def springing(control: Control) -> tuple[str, ...]:
    """Return the positions from which a control springs back: those behind the one that it springs to."""
    if control.springs_to is None:
        return ()
    return control.positions[control.positions.index(control.springs_to) + 1 :]


def _control(control: Control) -> dict[str, Any]:
    return {
        "name": control.name,
        "label": control.label or control.name,
        "positions": list(control.positions),
        "springing": list(springing(control)),
        "springs_to": control.springs_to or "",
    }


def probe_points(circuit: Circuit) -> list[str]:
    """Return the terminals that a lead can reach: those that the circuit lists, otherwise all, and the frame."""
    listed = circuit.reach or [terminal for part in circuit.parts.values() for terminal in terminals(part)]
    return list(dict.fromkeys([*listed, FRAME]))


def _terminals(circuit: Circuit) -> list[dict[str, str]]:
    return [{"name": terminal, "says": _terminal_words(circuit, terminal)} for terminal in probe_points(circuit)]


def _terminal_words(circuit: Circuit, terminal: str) -> str:
    """Return what stands at a terminal: the kind of its part and the wires that land there."""
    if terminal == FRAME:
        return ""
    return ", ".join([circuit.parts[part_of(terminal)].kind, *circuit.wired.get(terminal, ())])


def fault_places(circuit: Circuit) -> list[dict[str, Any]]:
    """Return every place with the faults and the remedies that it can have."""
    modes: dict[str, list[str]] = {}
    for fault in universe(circuit).values():
        modes.setdefault(fault.place, []).append(fault.mode)
    remedies = remedies_at(circuit)
    return [
        {
            "name": place,
            "says": _place_words(circuit, place),
            "modes": modes.get(place, []),
            "remedies": list(remedies[place]),
        }
        for place in remedies
    ]


def _place_words(circuit: Circuit, place: str) -> str:
    if place in circuit.wires:
        wire = circuit.wires[place]
        return f"{wire.start} – {wire.end}"
    return circuit.parts[part_of(place)].kind


def _choice_words(choice: str, circuit: Circuit) -> str:
    """Return a choice with each ``control=position`` in the controls' own words: ``Gear lever: neutral or …``."""

    def words(found: re.Match[str]) -> str:
        control = circuit.controls.get(found[1])
        if control is None or found[2] not in control.positions:
            return found[0]
        return text("conclusion.choice", label=control.label or control.name, position=found[2])

    return re.sub(r"([\w-]+)=([\w-]+)", words, choice)


def _questions(questions: Mapping[str, Any], circuit: Circuit) -> dict[str, Any]:
    """Check what an exercise's author wrote, and return it whole."""
    wrong = [unknown("question", key, _ASKED) for key in questions if key not in _ASKED]
    calculation, continuity = questions.get("calculation"), questions.get("continuity", [])
    if calculation is not None and "prompt" not in calculation:
        wrong.append("the calculation needs a 'prompt'")
    for number, question in enumerate(continuity, start=1):
        missing = [key for key in ("id", "prompt") if key not in question]
        if missing:
            wrong.append(f"continuity question {number} needs {' and '.join(map(repr, missing))}")
    if wrong:
        raise Refused([Mistake(message, "questions") for message in wrong])
    return {
        "calculation": None if calculation is None else {"prompt": calculation["prompt"]},
        "continuity": [
            {
                "id": entry["id"],
                "prompt": entry["prompt"],
                "choices": [
                    {"value": choice, "words": _choice_words(choice, circuit)} for choice in entry.get("choices", [])
                ],
            }
            for entry in continuity
        ],
    }
