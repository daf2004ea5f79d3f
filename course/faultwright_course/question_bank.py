"""The questions that lessons ask: one file a lesson, ``questions/03.yaml``, and which of them come back when.

Each entry has a name, the skill that it practises, what is asked, choices and why; often reasons as a second tier. Of
choices and of reasons the right one is written first; a wrong one may name the common idea that it goes with::

    - name: across-a-break
      skill: volts
      shows: {v: {circuit: shed-lamp, fault: W3 open, moves: [light=on], meter: volts, red: "S1:2", black: FRAME}}
      ask: The switch is on and the lamp stays dark. The meter shows {v} at S1:2. What does that say?
      choices: [The break is further on., {says: The lamp is fed., model: one wire is enough}]
      reasons: ["…", "…"]
      why: Up to a break everything carries the voltage of the source.

A number is never typed: ``shows`` names a reading, taken on the course's circuit when the lesson is opened, and its
name in braces stands for what the meter displays.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from faultwright.errors import Mistake, Refused
from faultwright.faults import parse_fault
from faultwright.files import read_text
from faultwright.located_yaml import Reader
from faultwright.machine import Machine
from faultwright.meter import MODES, Probe, read
from faultwright_widgets.question_session import Choice, Question

from .catalogue import HOME, course_circuit
from .texts import text

if TYPE_CHECKING:
    from ruamel.yaml.nodes import Node

LOOK_BACK = {1: 2, 3: 1, 6: 1}
"""How many lessons back, and how many questions of that lesson."""

_ENTRIES = ("name", "skill", "shows", "ask", "choices", "reasons", "why")
_SHOWN = ("circuit", "fault", "moves", "meter", "red", "black")


def numbers() -> list[str]:
    """Return the numbers of the lessons that have questions, with two digits as in the files' names."""
    return sorted(path.stem for path in (HOME / "questions").glob("*.yaml"))


@lru_cache(maxsize=64)
def questions_of(number: str) -> tuple[Question, ...]:
    """Return the questions of a lesson; none for a lesson without a file.

    Raises Refused with every mistake in the file.
    """
    path = HOME / "questions" / f"{number}.yaml"
    return read_questions(path) if path.exists() else ()


def looking_back(number: str) -> tuple[Question, ...]:
    """Return the questions that open a lesson: of the lessons one, three and six back."""
    found: list[Question] = []
    for back, count in LOOK_BACK.items():
        if int(number) >= back:
            found += _some(questions_of(f"{int(number) - back:02}"), count, back)
    return tuple(found)


def _some(questions: tuple[Question, ...], count: int, back: int) -> tuple[Question, ...]:
    """Return some questions, others the further one looks back: a question comes back in its turn."""
    first = 0 if back == 1 else len(questions) - 1 if back == 6 else len(questions) // 2  # noqa: PLR2004 - lessons back
    return questions[first : first + count]


def read_questions(path: Path) -> tuple[Question, ...]:
    """Return the questions in a file. Raises Refused with every mistake."""
    reader = Reader(path.name)
    found: dict[str, Question] = {}
    for node in reader.items(reader.compose(read_text(path)), "the file"):
        question = _question(reader, node)
        if question.name in found:
            reader.wrong(node, text("bank.twice", name=question.name))
        found[question.name] = question
    if reader.mistakes:
        raise Refused(reader.mistakes)
    return tuple(found.values())


def _question(reader: Reader, node: Node) -> Question:
    entries = reader.fields(node, "a question", _ENTRIES, ("name", "skill", "ask", "choices", "why"))
    shown = _shown(reader, entries.get("shows"))

    def said(key: str) -> str:
        return _filled(reader, entries[key], key, shown) if key in entries else ""

    def choices(key: str) -> tuple[Choice, ...]:
        if key not in entries:
            return ()
        found = tuple(_choice(reader, item, key, shown) for item in reader.items(entries[key], key))
        if len(found) < 2:  # noqa: PLR2004 - one choice is none
            reader.wrong(entries[key], text("bank.few", entry=key))
        return found

    return Question(said("name"), said("skill"), said("ask"), choices("choices"), said("why"), choices("reasons"))


def _choice(reader: Reader, node: Node, key: str, shown: Mapping[str, str]) -> Choice:
    if not hasattr(node.value, "append"):
        return Choice(_filled(reader, node, key, shown))
    entries = reader.fields(node, key, ("says", "model"), ("says", "model"))
    words = {name: _filled(reader, item, name, shown) for name, item in entries.items()}
    return Choice(words.get("says", ""), words.get("model", ""))


def _filled(reader: Reader, node: Node, what: str, shown: Mapping[str, str]) -> str:
    """Return a text with its readings put in."""
    written = " ".join((reader.text(node, what) or "").split())
    try:
        return written.format(**shown)
    except (AttributeError, KeyError, IndexError, ValueError):
        reader.wrong(node, text("bank.unknown", what=what, names=", ".join(shown) or "–"))
        return written


def _shown(reader: Reader, node: Node | None) -> dict[str, str]:
    """Return what the meter displays for each reading that a question shows."""
    found: dict[str, str] = {}
    for name, _, value in reader.table(node, "shows") if node is not None else ():
        entries = reader.fields(value, name, _SHOWN, ("circuit", "meter", "red"))
        words = {key: reader.text(item, key) or "" for key, item in entries.items() if key != "moves"}
        moves = [word for word, _ in reader.texts(entries["moves"], "moves")] if "moves" in entries else []
        try:
            found[name] = _display(words, moves)
        except Refused as refused:
            for mistake in refused.mistakes:
                reader.wrong(value, mistake.message)
    return found


def _display(words: Mapping[str, str], moves: list[str]) -> str:
    if words.get("meter") not in MODES:
        raise Refused(Mistake(text("bank.meter", modes=", ".join(MODES))))
    circuit = course_circuit(words.get("circuit", ""))
    fault = words.get("fault", "")
    machine = Machine(circuit, [parse_fault(fault, circuit)] if fault else [])
    for move in moves:
        machine.move(move)
    probe = Probe(words["meter"], words.get("red", ""), words.get("black", ""))
    return read(machine, probe).display
