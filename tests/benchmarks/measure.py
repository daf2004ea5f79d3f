"""Speed as ratios, each measured side by side in one run: ``python -m tests.benchmarks.measure``.

Writes the table in ``course/guides/performance.md``. The circuit is ``yard_loader.yaml``: 47 nodes, 3 diodes, 2 relays,
2 motors, 128 control states; 150 of its single faults are taken.
"""

from __future__ import annotations

import platform
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import combinations, islice
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

from faultwright.assembly import build
from faultwright.circuit import Circuit
from faultwright.circuit_file import read_circuit
from faultwright.dictionary import dictionary
from faultwright.electrics import Settled
from faultwright.elimination import Program
from faultwright.faults import Fault, universe
from faultwright.files import write_whole
from faultwright.machine import Machine
from faultwright.meter import VOLTS, Probe, read
from faultwright.network import Network
from faultwright.parts import Role
from faultwright.solve import Solver

from .ngspice_shared import Ngspice

HERE = Path(__file__).resolve().parent
REPORT = HERE.parents[1] / "course" / "guides" / "performance.md"
FAULTS, SAMPLE, PAIRS = 150, 1200, 400
OPEN = 1e12
"""Ω that stands for an open branch in ngspice, which knows none."""


@dataclass(frozen=True, slots=True)
class Row:
    """One comparison: what, ours and the other's time in s, and the ratio that is wanted."""

    what: str
    ours: float
    other: str
    others: float
    wanted: str

    @property
    def ratio(self) -> float:
        """How many times as long the other takes."""
        return self.others / self.ours


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


def whole_dictionary() -> float:
    """Return the s for the dictionary of all chosen faults in all states, from the faults to the behaviour."""
    circuit = loader()
    faults = chosen(circuit)
    return best(lambda: sum(len(block.faults) for block in dictionary(circuit, faults)))


def ngspice_points() -> float:
    """Return the s that ngspice's library takes for one point, contacts and motors given to it as settled.

    Only what differs from the point before is altered; its diodes are its own.
    """
    network = build(loader())
    engine, solver = Ngspice(), Solver(network)
    lines = ["* yard loader"]
    for index, branch in enumerate(network.branches):
        resistance = 1 / branch.closed if branch.closed else OPEN
        if branch.role is Role.SOURCE:
            lines += [f"V{index} x{index} {branch.a} DC {branch.emf}", f"R{index} x{index} {branch.b} {resistance}"]
        elif branch.role is Role.DIODE:
            lines.append(f"D{index} {branch.a} {branch.b} silicon")
        else:
            lines.append(f"R{index} {branch.a} {branch.b} {resistance}")
    engine.load([*lines, ".model silicon D(IS=1e-12)", ".op", ".end"])
    nodes = [str(node) for node in range(1, len(network.names))]
    points = list(islice(_settled_points(solver), SAMPLE))
    start = time.perf_counter()
    before: dict[int, float] = {}
    for settled in points:
        for index, branch in enumerate(network.branches):
            if branch.role in (Role.SOURCE, Role.DIODE):
                continue
            conductance = settled.conductances[index]
            if before.get(index) != conductance:
                engine.command(f"alter R{index} = {1 / conductance if conductance else OPEN:.9g}")
                before[index] = conductance
        engine.command("op")
        engine.voltages(nodes)
        engine.command("destroy all")
    return (time.perf_counter() - start) / len(points)


def _settled_points(solver: Solver) -> Iterator[Settled]:
    """Yield settled points, state by state in order, as a dictionary goes through them."""
    circuit = solver.network.circuit
    while True:
        for state in circuit.states():
            yield solver.settle({part.name: state[part.control] for part in circuit.parts.values() if part.control}, {})


@contextmanager
def dense() -> Iterator[None]:
    """Let the lanes' equations be put into matrices and solved by numpy while this lasts."""

    def program(nodes: int, ends: tuple[tuple[int, int], ...], *_: Any, **__: Any) -> Program:  # noqa: ANN401
        return _dense_program(nodes, ends)

    with patch("faultwright.lanes.compiled", program):
        yield


def dense_dictionary() -> float:
    """Return the s for the same dictionary with every lane's equations put into a matrix and solved by numpy."""
    circuit = loader()
    faults = chosen(circuit)
    with dense():
        return best(lambda: sum(len(block.faults) for block in dictionary(circuit, faults)), times=2)


def _dense_program(nodes: int, ends: tuple[tuple[int, int], ...]) -> Program:
    """Return a program that solves nodal equations lane by lane, stacked: 1 pS to FRAME keeps opens regular."""

    def solve(conductances: Any, emfs: Any) -> tuple[Any, ...]:  # noqa: ANN401 - as Program
        lanes = len(conductances[0])
        matrix = np.zeros((lanes, nodes, nodes))
        driven = np.zeros((lanes, nodes, 1))
        for index, (a, b) in enumerate(ends):
            conductance = conductances[index]
            matrix[:, a, a] += conductance
            matrix[:, b, b] += conductance
            matrix[:, a, b] -= conductance
            matrix[:, b, a] -= conductance
            if index in emfs:
                driven[:, a, 0] -= conductance * emfs[index]
                driven[:, b, 0] += conductance * emfs[index]
        matrix[:, range(nodes), range(nodes)] += 1e-12
        voltages = np.linalg.solve(matrix[:, 1:, 1:], driven[:, 1:])[:, :, 0]
        return (np.zeros(lanes), *(np.ascontiguousarray(voltages[:, node]) for node in range(nodes - 1)), None)

    return solve


def double_faults() -> tuple[float, float]:
    """Return the s a point of single faults and of pairs, the latter over a sample of pairs."""
    circuit = loader()
    faults = chosen(circuit)
    states = len(list(circuit.states()))
    every = list(combinations(faults, 2))
    pairs = every[:: len(every) // PAIRS][:PAIRS]
    single = best(lambda: sum(len(block.faults) for block in dictionary(circuit, faults))) / (len(faults) * states)
    double = best(lambda: sum(len(block.faults) for block in dictionary(circuit, pairs)), 3) / (len(pairs) * states)
    return single, double


def toggle() -> tuple[float, float]:
    """Return the s from one toggle to a new reading, and of one dense solve of the same order."""
    machine = Machine(loader())
    for move in ("key=on", "seat=taken", "lever=neutral"):
        machine.move(move)
    probe = Probe(VOLTS, "K2:86", "FRAME")
    order = len(machine.solver.network.names) - 1
    matrix, right = np.random.default_rng(1).random((order, order)) + order * np.eye(order), np.ones(order)

    def toggles() -> None:
        for position in ("on", "off") * 100:
            machine.move(f"pump={position}")
            read(machine, probe)

    def solves() -> None:
        for _ in range(200):
            np.linalg.solve(matrix, right)

    return best(toggles) / 200, best(solves) / 200


def rows() -> list[Row]:
    """Return every comparison, measured now."""
    circuit = loader()
    points = FAULTS * len(list(circuit.states()))
    ours = whole_dictionary()
    single, double = double_faults()
    toggled, solved = toggle()
    return [
        Row(f"dictionary, {points:,} points", ours, "ngspice in process", ngspice_points() * points, "≥ 50"),
        Row(f"dictionary, {points:,} points", ours, "stacked dense solves", dense_dictionary(), "≥ 8"),
        Row("one point of a double fault", double, "of a single fault", single, "≥ 1/3"),
        Row("one toggle to a new reading", toggled, "one dense solve of that order", solved, "≥ 1/2"),
    ]


def report(found: list[Row]) -> str:
    """Return the page with the table."""
    network: Network = build(loader())
    lines = [
        "# Performance",
        "",
        "Ratios measured side by side in one run of one process; written by",
        "`python -m tests.benchmarks.measure`. Absolute times are this machine's:",
        f"{platform.machine()}, Python {platform.python_version()}, numpy {np.__version__}.",
        "",
        f"The circuit: {len(network.names)} nodes, {len(network.branches)} branches, 3 diodes, 2 relays, 2 motors,",
        f"128 control states, {FAULTS} faults.",
        "",
        "| what | ours | compared with | its time | ratio | aimed at |",
        "| --- | --- | --- | --- | --- | --- |",
        *(
            f"| {row.what} | {_time(row.ours)} | {row.other} | {_time(row.others)} | {row.ratio:.2g} | {row.wanted} |"
            for row in found
        ),
        "",
        "ngspice is given contacts and motors as they have settled and alters only what differs from the point",
        f"before, over {SAMPLE:,} points; its diodes are exponential. The dense solves settle the same diodes, motors,",
        "relays and fuses by the same rules, with 1 pS to FRAME at every node. A toggle is a whole move of the machine",
        "(relays, fuses, behaviour) and then a reading.",
        "",
    ]
    return "\n".join(lines)


def _time(seconds: float) -> str:
    return f"{seconds * 1e3:.3g} ms" if seconds >= 1e-3 else f"{seconds * 1e6:.3g} µs"


if __name__ == "__main__":
    text = report(rows())
    write_whole(REPORT, text)
    print(text)  # noqa: T201 - what the command is for
