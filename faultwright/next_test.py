"""The best next test: most expected information for its cost, among the safe ones.

Each suspect counts by how often such a fault is met in the trade (``frequency``). A test splits the suspects into those
that would show the same; the expected information is the entropy of that split in bits.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from .candidates import Candidate, every_test
from .circuit import Circuit
from .families import Hypothesis
from .faults import Fault
from .machine import Machine
from .outcomes import OutcomeTable, outcome_table
from .record import Record

MOST_STATES = 16
"""Control states tried for the next test; a person does not go through more of them for one reading."""


_ALIKE = 1e-9
"""Bits per cost within which tests count as equally good; the first of them is taken."""


@dataclass(frozen=True, slots=True)
class NextTest:
    """A test and what it is worth: expected information in bits, its cost, how many suspects each part holds."""

    candidate: Candidate
    bits: float
    parts: tuple[int, ...]

    def as_json(self) -> dict[str, Any]:
        """The test as the command line's JSON gives it, and how many suspects each part holds."""
        return self.candidate.as_json() | {"bits": round(self.bits, 3), "splits": list(self.parts)}


def next_test(
    circuit: Circuit,
    record: Record,
    faults: Sequence[Fault],
    *,
    healthy: bool = False,
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> NextTest | None:
    """Return the best next test after a record, or None where no test splits what is left.

    ``faults`` are the suspects, their free values set; ``healthy`` adds the sound machine to them;
    ``tell`` is told how many of how many tests have been tried.
    """
    hypotheses: list[Hypothesis] = [(fault,) for fault in faults] + ([()] if healthy else [])
    if len(hypotheses) < 2:  # noqa: PLR2004 - one suspect need not be split
        return None
    table = outcomes_from_here(circuit, record, hypotheses, tell)
    bits = information(table)
    worth = bits / [test.cost for test in table.tests]
    best = int(np.flatnonzero(worth >= worth.max() - _ALIKE)[0])
    if bits[best] <= 0:
        return None
    sizes = np.bincount(table.parts[best])
    return NextTest(table.tests[best], float(bits[best]), tuple(sorted(sizes.tolist(), reverse=True)))


def outcomes_from_here(
    circuit: Circuit,
    record: Record,
    hypotheses: Sequence[Hypothesis],
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> OutcomeTable:
    """Return what every test worth making would show, from where the moves of a record have brought the machine."""
    moves = list(record.moves())
    now = Machine(circuit)
    for move in moves:
        now.make(move)
    tests = every_test(circuit, now.state, now.wiring.unplugged, MOST_STATES)
    return outcome_table(circuit, hypotheses, tests, moves, tell)


def information(table: OutcomeTable) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return the expected information in bits of every test: the entropy of its split."""
    parts = np.array(table.parts)
    likely = np.zeros(parts.shape)
    np.add.at(likely, (np.arange(len(parts))[:, None], parts), np.array(table.shares))
    # One part tells nothing, although its share may fall short of 1 by rounding.
    several = (likely > 0).sum(axis=1) > 1
    with np.errstate(divide="ignore", invalid="ignore"):
        bits = -np.where(likely > 0, likely * np.log2(likely), 0.0).sum(axis=1)
    return np.where(several, bits, 0.0)
