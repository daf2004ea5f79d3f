"""The record: moves, readings and observations in the order in which they were done, and replaying it.

Widgets write it and marking replays it, so that a mark follows from what was done, not from a notebook.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import takewhile
from typing import Any

from .behaviour import Seen
from .circuit import Circuit
from .errors import Mistake, Refused, unknown
from .faults import Fault
from .machine import Machine
from .meter import FLOATING, OK, SCALES, STATUSES, Probe, Reading, allowed, check_probe, read
from .moves import Move, parse_move
from .scale import AUTO
from .story import places
from .typed_readings import typed_number, typed_status

BENCH = "bench"
"""``source`` of a reading that was taken on real hardware with a real meter."""

BENCH_SHARE = 0.10
BENCH_FLOOR = {"V": 0.3, "Ω": 1.0, "A": 0.1}
"""Tolerance of a reading from real hardware: ±(10 % + this much), and no less than the meter's own on its range."""

ANSWER_VERSION = 1
ANSWER_ENTRIES = (
    "version",
    "circuit",
    "paper",
    "record",
    "claim",
    "cited",
    "calculation",
    "continuity",
    "remedy",
    "confidence",
    "notes",
)
"""What stands in an answer: a bench writes it around its record, and marking reads it."""
RECORD_ENTRIES = ("circuit", "actions", "version")
ACTION_KINDS = ("move", "read", "see", "inspect", "ask")
READ_ENTRIES = (
    "meter",
    "red",
    "black",
    "expected",
    "value",
    "unit",
    "status",
    "source",
    "alone",
    "leads",
    "range",
    "energised",
    "note",
)
"""What stands in a record, what an action can be, and what stands in a reading."""

CONFIDENCES = ("guess", "fairly", "would sign for it")

MOST_ACTIONS = 2000
LARGEST_NUMBER = 1e12
LONGEST_TEXT = 2000


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading in a record: where, what was expected beforehand (in the reading's unit), what was shown.

    ``off`` says how far from the value shown, in the unit, the least and the most predicted value lie that agree with
    it, where the bench's healthy readings decide that (``healthy_readings.py``). No record's JSON holds it.
    """

    probe: Probe
    reading: Reading
    expected: float | None = None
    source: str = ""
    energised: bool = False
    note: str = ""
    off: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Observed:
    """What was seen of some behaviours."""

    seen: Mapping[str, Seen]


@dataclass(frozen=True, slots=True)
class Inspected:
    """What inspection of a place showed, in words. It says nothing about the electrics."""

    at: str
    seen: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What the operator was asked, and the answer. It says nothing about the electrics."""

    question: str
    answer: str


Action = Move | Measured | Observed | Inspected | Asked
Finding = Measured | Observed


@dataclass(frozen=True, slots=True)
class Record:
    """What was done on a machine with this circuit, in order."""

    circuit: str
    actions: tuple[Action, ...] = ()

    def findings(self) -> Iterator[tuple[int, Finding]]:
        """Yield every reading and observation with its number in the list of actions (from 0)."""
        for index, action in enumerate(self.actions):
            if isinstance(action, Measured | Observed):
                yield index, action

    def one_by_one(self) -> tuple[Record, tuple[int, ...]]:
        """Return the record with a finding for every single thing seen, and the number of each finding in this one."""
        actions: list[Action] = []
        numbers: list[int] = []
        for number, action in enumerate(self.actions):
            single: list[Action] = [action]
            if isinstance(action, Observed):
                single = [Observed({name: seen}) for name, seen in action.seen.items()]
            actions += single
            numbers += [number] * len(single) if isinstance(action, Measured | Observed) else []
        return Record(self.circuit, tuple(actions)), tuple(numbers)

    def search(self) -> Record:
        """Return the record up to its first repair."""
        return Record(self.circuit, tuple(takewhile(lambda action: not is_repair(action), self.actions)))

    def moves(self) -> Iterator[Move]:
        """Yield the moves."""
        return (action for action in self.actions if isinstance(action, Move))


def is_repair(action: Action) -> bool:
    """Say whether an action is a repair."""
    return isinstance(action, Move) and action.verb == "repair"


# Reading and writing


def parse_record(data: Any, circuit: Circuit, place: str = "record") -> Record:  # noqa: ANN401 - JSON
    """Return the record in ``data`` (parsed JSON). Raises Refused with every mistake, located by action."""
    if not isinstance(data, dict):
        raise Refused(Mistake("a record is a table with 'circuit' and 'actions'", place))
    mistakes = [Mistake(unknown("entry", key, RECORD_ENTRIES), place) for key in data if key not in RECORD_ENTRIES]
    if data.get("circuit") != circuit.name:
        raise Refused(Mistake(f"the record is of circuit {data.get('circuit')!r}, not of {circuit.name!r}", place))
    actions = data.get("actions")
    if not isinstance(actions, list):
        raise Refused([*mistakes, Mistake("'actions' must be a list", place)])
    if len(actions) > MOST_ACTIONS:
        raise Refused([*mistakes, Mistake(f"more than {MOST_ACTIONS} actions", place)])
    found: list[Action] = []
    for number, entry in enumerate(actions, start=1):
        try:
            found.append(_parse_action(entry, circuit))
        except Refused as error:
            at = f"{place}, action {number}"
            mistakes.extend(
                Mistake(f"{mistake.place}: {mistake.message}" if mistake.place else mistake.message, at)
                for mistake in error.mistakes
            )
    if mistakes:
        raise Refused(mistakes)
    return Record(circuit.name, tuple(found))


def _parse_action(entry: Any, circuit: Circuit) -> Action:  # noqa: ANN401 - JSON
    if not isinstance(entry, dict) or len(entry) != 1 or next(iter(entry)) not in ACTION_KINDS:
        raise Refused(f"an action is a table with one of: {', '.join(ACTION_KINDS)}")
    kind, content = next(iter(entry.items()))
    if kind == "move":
        if not isinstance(content, str):
            raise Refused("a move is text")
        return parse_move(content, circuit)
    if not isinstance(content, dict):
        raise Refused(f"{kind!r} must be a table")
    if kind == "see":
        return _parse_observed(content, circuit)
    if kind == "ask":
        return _parse_asked(content)
    if kind == "inspect":
        return _parse_inspected(content, circuit)
    # Records of a class repeat each other. True is 1 and 1.0 to a dictionary, and not to this reader.
    given = tuple((key, value, type(value)) for key, value in content.items())
    plain = all(isinstance(value, str | int | float | None) for value in content.values())
    return _same_measured(given, circuit) if plain else _parse_measured(content, circuit)


@lru_cache(maxsize=8192)
def _same_measured(given: tuple[tuple[str, Any, type], ...], circuit: Circuit) -> Measured:
    return _parse_measured({key: value for key, value, _ in given}, circuit)


def _parse_observed(content: dict[str, Any], circuit: Circuit) -> Observed:
    wrong = [unknown("behaviour", name, list(circuit.behaviour)) for name in content if name not in circuit.behaviour]
    wrong += [
        f"{name} is {value!r}; it must be {_allowed_seen(circuit, name)}"
        for name, value in content.items()
        if name in circuit.behaviour and not _can_be_seen(circuit, name, value)
    ]
    if wrong:
        raise Refused([Mistake(message) for message in wrong])
    return Observed(dict(content))


def _can_be_seen(circuit: Circuit, name: str, value: object) -> bool:
    if value is None:
        return True
    return value in ("off", "dim", "lit") if circuit.behaviour[name].kind == "lamp" else isinstance(value, bool)


def _allowed_seen(circuit: Circuit, name: str) -> str:
    return "off, dim or lit" if circuit.behaviour[name].kind == "lamp" else "true or false"


def _parse_inspected(content: dict[str, Any], circuit: Circuit) -> Inspected:
    if set(content) != {"at", "seen"} or not all(isinstance(text, str) for text in content.values()):
        raise Refused("an inspection has 'at' and 'seen', both text")
    if content["at"] not in places(circuit):
        raise Refused(unknown("place", content["at"], [*circuit.parts, *circuit.wires]))
    return Inspected(content["at"], content["seen"][:LONGEST_TEXT])


def _parse_asked(content: dict[str, Any]) -> Asked:
    if set(content) != {"question", "answer"} or not all(isinstance(text, str) for text in content.values()):
        raise Refused("what was asked has 'question' and 'answer', both text")
    return Asked(content["question"][:LONGEST_TEXT], content["answer"][:LONGEST_TEXT])


def _parse_measured(content: dict[str, Any], circuit: Circuit) -> Measured:
    wrong = [unknown("entry", key, READ_ENTRIES) for key in content if key not in READ_ENTRIES]
    texts = ("meter", "red", "black", "unit", "status", "source", "alone", "note")
    wrong += [f"{key!r} must be text" for key in texts if not isinstance(content.get(key, ""), str)]
    numbers = ("expected", "value", "leads", "range")
    wrong += [f"{key!r} must be a number or null" for key in numbers if not _is_number_or_null(content.get(key))]
    if _is_number_or_null(content.get("leads")) and (content.get("leads") or 0) < 0:
        wrong.append("'leads' must not be less than zero")
    if content.get("range") == 0:
        wrong.append("'range' must be a range of the meter; leave it out where it chooses its range itself")
    if not isinstance(content.get("energised", False), bool):
        wrong.append("'energised' must be true or false")
    if wrong:
        raise Refused([Mistake(message) for message in wrong])
    probe = Probe(
        content.get("meter", ""),
        content.get("red", ""),
        content.get("black", ""),
        content.get("alone", ""),
        float(content.get("leads") or 0.0),
        float(content.get("range") or AUTO),
    )
    check_probe(probe, circuit)
    return Measured(
        probe,
        _parse_reading(content, probe),
        content.get("expected"),
        content.get("source", ""),
        content.get("energised", False),
        content.get("note", "")[:LONGEST_TEXT],
    )


def _is_number_or_null(value: object) -> bool:
    """Say whether a value is null or a number that a meter could be asked about: no NaN, nothing astronomical."""
    if value is None:
        return True
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= LARGEST_NUMBER


def _parse_reading(content: dict[str, Any], probe: Probe) -> Reading:
    unit = SCALES[probe.mode].unit
    status, value = content.get("status", OK), content.get("value")
    wrong = []
    if content.get("unit", unit) != unit:
        wrong.append(f"{probe.mode} is read in {unit}, not in {content['unit']!r}")
    if status not in STATUSES:
        wrong.append(unknown("status", status, STATUSES))
    elif (status == OK) != (value is not None):
        wrong.append(f"status {status!r} goes {'with a value' if status == OK else 'without a value'}")
    if content.get("source", "") not in ("", BENCH):
        wrong.append(unknown("source", content["source"], [BENCH]))
    if wrong:
        raise Refused([Mistake(message) for message in wrong])
    if value is None:
        return typed_status(probe.mode, status, probe.range)
    return typed_number(probe.mode, float(value), probe.range)


def action_as_json(action: Action) -> dict[str, Any]:
    """Return one action as a record's JSON writes it."""
    match action:
        case Move():
            return {"move": str(action)}
        case Observed():
            return {"see": dict(action.seen)}
        case Inspected():
            return {"inspect": {"at": action.at, "seen": action.seen}}
        case Asked():
            return {"ask": {"question": action.question, "answer": action.answer}}
    probe, reading = action.probe, action.reading
    entry: dict[str, Any] = {"meter": probe.mode, "red": probe.red}
    entry |= {"black": probe.black} if probe.black else {}
    entry |= {"alone": probe.alone} if probe.alone else {}
    entry |= {"leads": probe.leads} if probe.leads else {}
    entry |= {"range": probe.range} if probe.range != AUTO else {}
    entry |= {"expected": action.expected, "value": reading.value, "unit": reading.unit, "status": reading.status}
    entry |= {"source": action.source} if action.source else {}
    entry |= {"energised": True} if action.energised else {}
    entry |= {"note": action.note} if action.note else {}
    return {"read": entry}


def record_as_json(record: Record) -> dict[str, Any]:
    """Return a record as JSON; :func:`parse_record` gives the same record back."""
    return {"circuit": record.circuit, "version": 1, "actions": [action_as_json(action) for action in record.actions]}


# Replaying


Prediction = Reading | Mapping[str, Seen]


def replay(circuit: Circuit, faults: Iterable[Fault], record: Record) -> tuple[list[Prediction], Machine]:
    """Return what each finding of the record would have been with these faults, and the machine as it then stands."""
    machine = Machine(circuit, faults)
    predictions: list[Prediction] = []
    for _, action in gone_through(machine, record):
        match action:
            case Measured():
                predictions.append(read(machine, action.probe))
            case Observed():
                seen = machine.seen()
                predictions.append({name: seen[name] for name in action.seen})
    return predictions, machine


def gone_through(machine: Machine, record: Record) -> Iterator[tuple[int, Action]]:
    """Make a record's moves on a machine, and yield each action with its number (from 0) when the machine stands so."""
    for number, action in enumerate(record.actions):
        if isinstance(action, Move):
            machine.make(action)
        yield number, action


_LAMP_ORDER = {"off": 0, "dim": 1, "lit": 2, False: 0, True: 2, None: 1}


def discrepancy(finding: Finding, prediction: Prediction) -> int | None:
    """Compare a finding with what a hypothesis predicts.

    0 where they agree, else the side on which the prediction lies (−1 below, +1 above), or None where they
    differ in kind (an OL against a number).
    """
    if isinstance(finding, Observed):
        assert isinstance(prediction, Mapping)  # noqa: S101 - replay() pairs them so
        differing = [name for name, seen in finding.seen.items() if prediction[name] != seen]
        if not differing:
            return 0
        first = differing[0]
        return 1 if _LAMP_ORDER[prediction[first]] > _LAMP_ORDER[finding.seen[first]] else -1
    assert isinstance(prediction, Reading)  # noqa: S101 - replay() pairs them so
    if finding.reading.value is None:
        return 0 if finding.reading.status == prediction.status else None
    if prediction.value is None:
        return 0 if prediction.status == FLOATING and is_zero(finding) else None
    least, most = agreeing_values(finding)
    return -1 if prediction.value < least else 1 if prediction.value > most else 0


def agreeing_values(finding: Measured) -> tuple[float, float]:
    """Return the least and the most predicted value, in the unit, that agree with a reading that shows a number."""
    value = finding.reading.value or 0.0
    if finding.off is not None:
        return value + finding.off[0], value + finding.off[1]
    most = allowed(finding.reading)
    if finding.source == BENCH:
        most = max(most, bench_tolerance(value, finding.reading.unit))
    return value - most, value + most


def bench_tolerance(value: float, unit: str) -> float:
    """Return how far off a reading from real hardware may be, in the unit: ±(10 % + 0.3 V, 1 Ω or 0.1 A)."""
    return BENCH_SHARE * abs(value) + BENCH_FLOOR[unit]


def is_zero(finding: Measured) -> bool:
    """Say whether a reading is the zero that floating displays; a real meter is seldom at rest on it."""
    if finding.source != BENCH:
        return finding.reading.value == 0
    least, most = agreeing_values(finding)
    return least <= 0 <= most
