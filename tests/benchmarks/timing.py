"""The circuit and the faults that are measured, and how time is taken."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from faultwright.circuit import Circuit
from faultwright.circuit_file import read_circuit
from faultwright.faults import Fault, universe

HERE = Path(__file__).resolve().parent
FAULTS = 150


def loader() -> Circuit:
    """Return the circuit that is measured."""
    return read_circuit(HERE / "yard_loader.yaml")


def chosen(circuit: Circuit) -> list[Fault]:
    """Return the faults that are measured, spread over the universe."""
    known = list(universe(circuit).values())
    step = len(known) / FAULTS
    return [known[int(number * step)] for number in range(FAULTS)]


def best(work: Callable[[], object], times: int = 5) -> float:
    """Return the shortest of several runs in s: what the work takes when nothing else gets in its way."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)
