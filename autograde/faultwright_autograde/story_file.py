"""Reading what a blueprint says of asking and looking, every mistake located. The format stands in ``blueprint.py``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from faultwright.circuit import Circuit
from faultwright.errors import unknown
from faultwright.faults import universe
from faultwright.located_yaml import Reader
from faultwright.record import LONGEST_TEXT
from faultwright.story import Question, Sign, Story, places

from .blueprint import Selection

if TYPE_CHECKING:
    from ruamel.yaml.nodes import Node


def read_story(reader: Reader, ask: Node | None, inspect: Node | None, circuit: Circuit, selection: Selection) -> Story:
    """Return the story at the nodes of ``ask`` and ``inspect``; mistakes go to the reader."""
    return Story(_questions(reader, ask), _signs(reader, inspect, circuit, selection))


def _questions(reader: Reader, node: Node | None) -> tuple[Question, ...]:
    found: dict[str, Question] = {}
    for item in reader.items(node, "ask") if node is not None else []:
        entries = reader.fields(item, "a question to the operator", ("question", "answer"), ("question", "answer"))
        words = {key: _told(reader, value, f"ask: {key}") for key, value in entries.items()}
        question = Question(words.get("question", ""), words.get("answer", ""))
        if question.ask and question.ask in found:
            reader.wrong(entries["question"], f"ask: {question.ask!r} is asked twice")
        found[question.ask] = question
    return tuple(found.values())


def _signs(reader: Reader, node: Node | None, circuit: Circuit, selection: Selection) -> tuple[Sign, ...]:
    found: list[Sign] = []
    for item in reader.items(node, "inspect") if node is not None else []:
        entries = reader.fields(item, "what inspection shows", ("at", "seen", "with", "apart"), ("at", "seen"))
        at = reader.text(entries["at"], "inspect: at") if "at" in entries else None
        if at is not None and at not in places(circuit):
            reader.wrong(entries["at"], f"inspect: {unknown('place', at, places(circuit))}")
        apart = reader.yes(entries.get("apart"), "inspect: apart")
        if apart and at in circuit.wires:
            reader.wrong(entries["apart"], f"inspect: apart: {at} is a wire, and only a part can be unplugged")
        seen = _told(reader, entries["seen"], "inspect: seen") if "seen" in entries else ""
        found.append(Sign(at or "", seen, _faults(reader, entries.get("with"), circuit, selection), apart))
    return tuple(found)


def _faults(reader: Reader, node: Node | None, circuit: Circuit, selection: Selection) -> tuple[str, ...]:
    """Return the faults that a sign belongs to; each must be one that this paper can have."""
    known = universe(circuit)
    named = reader.texts(node, "inspect: with") if node is not None else []
    if node is not None and not named:
        reader.wrong(node, "inspect: with: no fault is named; leave 'with' out for what is always to be seen")
    for name, item in named:
        if name not in known:
            reader.wrong(item, f"inspect: with: {unknown('fault', name, list(known))}")
        elif not selection.selects(known[name]):
            reader.wrong(item, f"inspect: with: {name} is not among the faults of this paper, so this is never seen")
    return tuple(name for name, _ in named)


def _told(reader: Reader, node: Node, what: str) -> str:
    """Return a text for a person, on one line."""
    written = reader.text(node, what)
    if written is None:
        return ""
    text = " ".join(written.split())
    if not text:
        reader.wrong(node, f"{what} is empty")
    if len(text) > LONGEST_TEXT:
        reader.wrong(node, f"{what} has more than {LONGEST_TEXT} characters")
    return text
