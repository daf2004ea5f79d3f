"""What the dictionary is compared with: ngspice's library in process, and stacked dense solves by numpy."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from typing import Any
from unittest.mock import patch

import numpy as np

from faultwright.assembly import build
from faultwright.circuit import Circuit
from faultwright.electrics import Settled
from faultwright.elimination import Program
from faultwright.parts import Role
from faultwright.solve import Solver

from .ngspice_shared import Ngspice

OPEN = 1e12
"""Ω that stands for an open branch in ngspice, which knows none."""


def ngspice_points(circuit: Circuit, count: int) -> float:
    """Return the s that ngspice's library takes for one point, contacts and motors given to it as settled.

    Only what differs from the point before is altered; its diodes are its own.
    """
    network = build(circuit)
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
    points = list(islice(_settled_points(solver), count))
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

    with patch("faultwright.lane_networks.compiled", program):
        yield


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
