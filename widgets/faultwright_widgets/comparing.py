"""Suspects, tests and searches in a person's words: what practice holds beside what the person did."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from faultwright.ambiguity import ambiguity_groups
from faultwright.analysis_texts import MOST_NAMED
from faultwright.candidates import Candidate
from faultwright.circuit import Circuit
from faultwright.faults import universe
from faultwright.moves import REST, SET, Move
from faultwright.quantities import show_quantity
from faultwright.record import Measured, Observed, Record
from faultwright.sequence_review import search_cost
from faultwright.suspects import Suspects, find_suspects
from faultwright.trials import MOST

from .texts import text
from .words import finding_words, state_words, what_was_measured


def compared(circuit: Circuit, record: Record, mine: Sequence[str], found: Suspects) -> dict[str, Any]:
    """Return a person's suspects beside those that a record leaves: a sentence, remarks, rows, groups."""
    possible = [name for name in mine if name in found.faults]
    missed = [name for name in found.faults if name not in mine]
    said = text(
        "helping.compare_said",
        yours=len(mine),
        possible=len(possible),
        cleared=len(mine) - len(possible),
        missed=len(missed),
    )
    remarks = [text("helping.compare_sound")] if found.healthy else []
    if found.conflict:
        numbers = ", ".join(str(number + 1) for number in found.conflict)
        remarks.append(text("helping.compare_conflict", numbers=numbers))
    rows = [
        {
            "suspect": name,
            "yours": text("helping.yours" if name in mine else "helping.missed"),
            "computed": _computed(record, found, name),
        }
        for name in [*mine, *missed]
    ]
    groups = [" · ".join(group) for group in ambiguity_groups(circuit, found.faults.values()) if len(group) > 1]
    return {"said": said, "remarks": remarks, "rows": rows, "groups": groups}


def _computed(record: Record, found: Suspects, name: str) -> str:
    if name in found.cleared:
        number = found.cleared[name]
        what, display = finding_words(record.actions[number])
        return text("helping.cleared", number=number + 1, what=what, shown=display)
    if name in found.ranges:
        least, most = found.ranges[name]
        # Where no finding bounds the value, the range ends where values are sought, which says nothing.
        key = "helping.possible_from" if most >= MOST else "helping.possible_range"
        return text(key, least=show_quantity(least, "Ω"), most=show_quantity(most, "Ω"))
    return text("helping.possible")


def words_of_test(circuit: Circuit, candidate: Candidate) -> str:
    """Return a test as a person is asked to make it."""
    test = what_was_measured(candidate.probe) if candidate.probe else text("helping.test_look")
    moves = moves_words(circuit, candidate.moves)
    return text("helping.test", moves=moves, test=test) if moves else test


def moves_words(circuit: Circuit, moves: Iterable[Move]) -> str:
    """Return moves in words, in their order."""
    return ", ".join(_move_words(circuit, move) for move in moves)


def _move_words(circuit: Circuit, move: Move) -> str:
    if move.verb == SET:
        return state_words(circuit, {move.target: move.value})
    if move.verb == REST:
        return text("findings.at_rest")
    target = "–".join(end for end in (move.target, move.value) if end)
    return text("helping.move", verb=move.verb, target=target)


def search_words(circuit: Circuit, record: Record) -> dict[str, Any]:
    """Return a search up to its first repair, finding by finding: what each cleared, how many were left, the effort."""
    search = record.search()
    cleared: dict[int, list[str]] = {}
    for name, number in find_suspects(circuit, search).cleared.items():
        cleared.setdefault(number, []).append(name)
    left = len(universe(circuit))
    steps, moves = [], list[Move]()
    for number, action in enumerate(search.actions):
        if isinstance(action, Move):
            moves.append(action)
        if isinstance(action, Measured | Observed):
            names = cleared.get(number, [])
            left -= len(names)
            verdict = _verdict(names)
            what, display = finding_words(action)
            step = text("helping.replay_step", what=what, shown=display, verdict=verdict, left=left)
            before = moves_words(circuit, moves)
            steps.append(text("helping.replay_moves", moves=before, step=step) if before else step)
            moves = []
    return {"steps": steps, "cost": text("helping.replay_cost", cost=f"{search_cost(search):g}")}


def _verdict(names: Sequence[str]) -> str:
    """Return whom a finding clears: by name as far as a line holds them, otherwise how many."""
    if not names:
        return text("helping.replay_nobody")
    if len(names) > MOST_NAMED:
        return text("helping.replay_many", count=len(names))
    return text("helping.replay_cleared", names=", ".join(names))
