"""The answer: what a candidate claims, cites, calculates and proposes, with the record that it rests on.

The file is JSON, written by the bench (or by hand), never by anything that marking would have to trust::

    {"version": 1, "circuit": "orchard-sprayer", "paper": "sprayer-pump-61bd1f61", "record": {…},
     "claim": ["W9 resistance"], "cited": [5, 9], "calculation": "146 mA", "continuity": {"coil-feed": "always"},
     "remedy": "W9 mend the wire", "confidence": "fairly"}

``cited`` counts the record's actions from 0. What was left blank may be empty or absent.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import Any

from faultwright.circuit import Circuit
from faultwright.errors import Mistake, Refused, unknown
from faultwright.faults import parse_fault, remedies_at
from faultwright.files import read_json
from faultwright.record import ANSWER_ENTRIES, ANSWER_VERSION, CONFIDENCES, Record, parse_record

LARGEST = 1_000_000
LONGEST_LINE = 2000
MOST_ENTRIES = 2000
LONGEST_MESSAGE = 1000
MOST_UNKNOWN = 20
"""Unknown entries that are told of: whoever wrote more did not mean an answer."""

_JUMPER = re.compile(r"\b(jumper|bridg|by-?pass)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer as read; ``claim`` holds names of faults as the universe gives them."""

    circuit: str
    paper: str
    record: Record
    claim: tuple[str, ...] = ()
    cited: tuple[int, ...] = ()
    calculation: str = ""
    continuity: Mapping[str, str] = field(default_factory=dict)
    remedy: str = ""
    confidence: str = ""


def read_answer(path: Path, circuit: Circuit) -> Answer:
    """Return the answer in a file. Raises Refused with every mistake; links, huge files and NaN are refused too."""
    return parse_answer(read_json(path, largest=LARGEST), circuit, path.name)


def parse_answer(data: Any, circuit: Circuit, place: str = "answer") -> Answer:  # noqa: ANN401 - JSON
    """Return the answer in ``data`` (parsed JSON). Raises Refused with every mistake."""
    if not isinstance(data, dict):
        raise Refused(Mistake("an answer is a table", place))
    strange = (key for key in data if key not in ANSWER_ENTRIES)
    mistakes = [
        Mistake(unknown("entry", key[:LONGEST_LINE], ANSWER_ENTRIES), place) for key in islice(strange, MOST_UNKNOWN)
    ]
    if type(data.get("version")) is not int or data["version"] != ANSWER_VERSION:
        mistakes.append(Mistake(f"'version' must be {ANSWER_VERSION}", place))
    if data.get("circuit") != circuit.name:
        given = data.get("circuit")
        shown = repr(given[:LONGEST_LINE]) if isinstance(given, str) else "no name"
        mistakes.append(Mistake(f"the answer is for circuit {shown}, not for {circuit.name!r}", place))
    lines = {key: _line(data, key, mistakes, place) for key in ("paper", "calculation", "remedy", "confidence")}
    if lines["confidence"] not in ("", *CONFIDENCES):
        mistakes.append(Mistake(unknown("confidence", lines["confidence"], CONFIDENCES), place))
    record = _record(data, circuit, mistakes, place)
    claim = _claim(data, circuit, mistakes, place)
    cited = _cited(data, record, mistakes, place)
    continuity = _continuity(data, mistakes, place)
    if not isinstance(data.get("notes", {}), dict):
        mistakes.append(Mistake("'notes' must be a table of remarks by the action's number", place))
    _check_remedy(lines["remedy"], circuit, mistakes, place)
    if mistakes or record is None:
        raise Refused(_brief(mistakes))
    return Answer(circuit.name, record=record, claim=claim, cited=cited, continuity=continuity, **lines)


def _line(data: Mapping[str, Any], key: str, mistakes: list[Mistake], place: str) -> str:
    value = data.get(key, "")
    if isinstance(value, str) and len(value) <= LONGEST_LINE:
        return _visible(value).strip()
    mistakes.append(Mistake(f"{key!r} must be text of at most {LONGEST_LINE} characters", place))
    return ""


def _visible(line: str) -> str:
    """Return a line with a sign for whatever would show as nothing, or turn round what stands beside it on a page."""
    return "".join(
        "\ufffd" if unicodedata.category(letter) in ("Cc", "Cf") and letter not in "\t\n\r" else letter
        for letter in line
    )


def _brief(mistakes: Iterable[Mistake]) -> list[Mistake]:
    """Return mistakes none of which is longer than a person reads: a message may repeat what somebody wrote."""
    return [
        mistake
        if len(mistake.message) <= LONGEST_MESSAGE
        else replace(mistake, message=f"{mistake.message[:LONGEST_MESSAGE]}…")
        for mistake in mistakes
    ]


def _record(data: Mapping[str, Any], circuit: Circuit, mistakes: list[Mistake], place: str) -> Record | None:
    try:
        return parse_record(data.get("record"), circuit, f"{place}, record")
    except Refused as error:
        mistakes += error.mistakes
    return None


def _claim(data: Mapping[str, Any], circuit: Circuit, mistakes: list[Mistake], place: str) -> tuple[str, ...]:
    names = data.get("claim", [])
    if not isinstance(names, list) or len(names) > MOST_ENTRIES or not all(_is_short(name) for name in names):
        mistakes.append(Mistake(f"'claim' must be a list of at most {MOST_ENTRIES} names of faults", place))
        return ()
    found: list[str] = []
    for name in names:
        try:
            found.append(parse_fault(name, circuit).name)
        except Refused as error:
            mistakes += [Mistake(f"claim: {mistake.message}", place) for mistake in error.mistakes]
    return tuple(dict.fromkeys(found))


def _cited(data: Mapping[str, Any], record: Record | None, mistakes: list[Mistake], place: str) -> tuple[int, ...]:
    """Return the numbers cited; which of them are findings can only be told of a record that could be read."""
    numbers = data.get("cited", [])
    if not isinstance(numbers, list) or len(numbers) > MOST_ENTRIES or not all(type(entry) is int for entry in numbers):
        mistakes.append(Mistake(f"'cited' must be a list of at most {MOST_ENTRIES} whole numbers", place))
        return ()
    findings = set(numbers) if record is None else {index for index, _ in record.findings()}
    mistakes += [
        Mistake(f"'cited' names {number}, which is no finding of the record", place)
        for number in numbers
        if number not in findings
    ]
    return tuple(dict.fromkeys(numbers))


def _continuity(data: Mapping[str, Any], mistakes: list[Mistake], place: str) -> dict[str, str]:
    table = data.get("continuity", {})
    if not isinstance(table, dict) or len(table) > MOST_ENTRIES or not all(map(_is_short, (*table, *table.values()))):
        mistakes.append(Mistake("'continuity' must be a table of short texts", place))
        return {}
    return {key: " ".join(_visible(value).split()) for key, value in table.items()}


def _is_short(value: object) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST_LINE


def names_jumper(remedy: str, circuit: Circuit) -> bool:
    """Say whether a remedy is a jumper in whatever words: it can be read, and is marked as no repair."""
    place, _, what = remedy.partition(" ")
    return what not in remedies_at(circuit).get(place, ()) and bool(_JUMPER.search(remedy))


def _check_remedy(remedy: str, circuit: Circuit, mistakes: list[Mistake], place: str) -> None:
    if not remedy or names_jumper(remedy, circuit):
        return
    known = remedies_at(circuit)
    where, _, what = remedy.partition(" ")
    if where not in known:
        mistakes.append(Mistake(f"remedy: {unknown('place', where, list(known))}", place))
    elif what not in known[where]:
        mistakes.append(Mistake(f"remedy: {where}: {unknown('remedy', what, known[where])}", place))
