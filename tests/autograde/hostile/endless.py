"""Work without end: more entries, actions, findings and mistakes than anybody means."""

from __future__ import annotations

from tests.autograde.gate import Answer

from .forged import REPORTED
from .trick import FORGED, HARMLESS, Given, Trick, changed, with_entries


def _small_findings(answer: Answer, _given: Given) -> None:
    reading = {"meter": "volts", "red": "P1:1", "black": "FRAME"}
    answer["record"]["actions"] += [{"read": reading | {"value": number / 1000}} for number in range(1900)]


def _to_and_fro(answer: Answer, _given: Given) -> None:
    answer["record"]["actions"] += [{"move": "key=on"}, {"move": "key=off"}] * 900


TRICKS = [
    Trick(
        "too-many-actions",
        changed(lambda answer, _given: answer["record"]["actions"].extend([{"move": "rest"}] * 2000)),
        says="{file}, record: more than 2000 actions",
    ),
    Trick("to-and-fro", changed(_to_and_fro), HARMLESS),
    Trick("many-small-findings", changed(_small_findings), FORGED, REPORTED),
    Trick(
        "many-claims",
        with_entries(claim=["W4 resistance"] * 2001),
        says="'claim' must be a list of at most 2000 names of faults",
    ),
    Trick(
        "many-wrong-claims",
        with_entries(claim=[f"W4 resist{number}" for number in range(2000)]),
        says="W4 cannot have the fault 'resist0'",
    ),
    Trick(
        "many-citations", with_entries(cited=[1] * 2001), says="'cited' must be a list of at most 2000 whole numbers"
    ),
    Trick(
        "many-unknown-entries",
        with_entries(**{f"entry{number}": 1 for number in range(50_000)}),
        says="there is no entry 'entry0'",
    ),
    Trick("long-key", with_entries(**{"k" * 900_000: 1}), says="there is no entry 'kkk"),
    Trick(
        "long-move",
        changed(lambda answer, _given: answer["record"]["actions"].append({"move": "m" * 900_000})),
        says="move 'mmm",
    ),
    Trick(
        "long-circuit",
        changed(lambda answer, _given: answer["record"].update(circuit="c" * 900_000)),
        says="the record is of circuit 'ccc",
    ),
    Trick(
        "long-note",
        changed(
            lambda answer, _given: answer["record"]["actions"].append({"inspect": {"at": "W4", "seen": "s" * 900_000}})
        ),
        HARMLESS,
    ),
]
