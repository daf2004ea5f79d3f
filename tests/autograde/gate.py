"""The gate lamp: a small class for these tests, with records that are worked by hand."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from faultwright.bench import Bench
from faultwright.errors import Refused
from faultwright.meter import Probe
from faultwright_autograde.answer import parse_answer
from faultwright_autograde.case import Case
from faultwright_autograde.class_folder import open_class
from faultwright_autograde.draws import Draws
from faultwright_autograde.mark import Mark
from faultwright_autograde.marking import mark
from faultwright_autograde.setting import set_papers
from faultwright_autograde.simulated.habits import play

FOLDER = Path(__file__).parent / "gate_lamp"
SECRET = b"a secret of the tests, 32 bytes."

COMPLAINT = ("key=on", "gate=open")
HALF = (("volts", "B1:1", "FRAME"),)
DECIDING = (*HALF, ("volts", "P1:2", "FRAME"), ("volts", "P1:1", "FRAME"), ("volts", "B1:2", "FRAME"))
REPAIR = ("unplug=G1", "repair=W4 mend the wire", "rest")
PROOF = ("key=on", "gate=open", "gate=shut", "key=off", "gate=open")

Answer = dict[str, Any]
Probes = Sequence[tuple[str, str, str]]


def worked(case: Case, probes: Probes, moves: Sequence[str] = ()) -> Answer:
    """Return a record: the complaint repeated, some readings, then moves with a look after each."""
    bench = Bench(case.circuit, [case.fault])
    for move in COMPLAINT:
        bench.move(move)
        bench.observe()
    for mode, red, black in probes:
        bench.read(Probe(mode, red, black))
    for move in moves:
        bench.move(move)
        bench.observe()
    return bench.as_json()


def right_answer(case: Case) -> Answer:
    """Return an answer to the case of a dirty joint in W4 that is right in everything."""
    return {
        "version": 1,
        "circuit": case.circuit.name,
        "paper": case.paper,
        "record": worked(case, DECIDING, (*REPAIR, *PROOF)),
        "claim": ["W4 resistance"],
        "cited": [4, 5, 6, 7],
        "calculation": "1.75 A",
        "continuity": {"feed": "key=on and gate=open"},
        "remedy": "W4 mend the wire",
        "confidence": "fairly",
    }


def class_handed_in(here: Path, habits: Mapping[str, str]) -> Path:
    """Set papers of the gate lamp for these candidates and write the answers of their habits; return the folder.

    A candidate without a habit hands nothing in. The secret is in ``secret.key`` beside the folder.
    """
    (here / "roster.csv").write_text("\n".join(habits), encoding="utf-8")
    (here / "secret.key").write_bytes(SECRET)
    folder = here / "class"
    set_papers(FOLDER / "paper.yaml", here / "roster.csv", folder, here / "secret.key")
    maker = open_class(folder, SECRET).maker
    for name, habit in habits.items():
        if habit:
            answer = play(maker.case(name), habit, Draws(SECRET, name), {})
            (folder / "answers" / f"{name}.json").write_text(json.dumps(answer), encoding="utf-8")
    return folder


def mark_json(answer: Answer, case: Case) -> Mark:
    """Mark an answer as its JSON would be marked."""
    try:
        return mark(parse_answer(json.loads(json.dumps(answer)), case.circuit), case, case.blueprint.rubric)
    except Refused as refused:
        return mark(refused, case, case.blueprint.rubric)
