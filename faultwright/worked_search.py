"""A worked search: the best test each time, made on a machine with these faults, until no test tells more.

It knows what is wrong, so it is for afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from .circuit import Circuit
from .faults import Fault, universe
from .machine import Machine
from .meter import read
from .next_test import next_test
from .record import Action, Measured, Observed, Record
from .suspects import find_suspects

MOST_TESTS = 12
"""Tests that are made at most: a search that needs more is no example to follow."""


def complaint_of(record: Record) -> Record:
    """Return what was done before the first reading: either search begins with it."""
    return Record(record.circuit, tuple(takewhile(lambda action: not isinstance(action, Measured), record.actions)))


def worked_search(circuit: Circuit, faults: Sequence[Fault], complaint: Record) -> Record:
    """Return a record that begins with ``complaint`` and goes on with the best test after each finding.

    Each test is that of ``next_test``, made on a machine with ``faults`` and judged on what the record shows alone.
    That something is wrong is known from the complaint. On a sound machine there is nothing to search for.
    """
    if not faults:
        return complaint
    machine = Machine(circuit, faults)
    for move in complaint.moves():
        machine.make(move)
    record, left = complaint, list(universe(circuit).values())
    for _ in range(MOST_TESTS):
        left = list(find_suspects(circuit, record, left).faults.values())
        test = next_test(circuit, record, left)
        if test is None:
            break
        for move in test.candidate.moves:
            machine.make(move)
        probe = test.candidate.probe
        finding: Action = Measured(probe, read(machine, probe)) if probe else Observed(machine.seen())
        record = Record(record.circuit, (*record.actions, *test.candidate.moves, finding))
    return record
