"""Speed as ratios, each measured side by side in one run: ``python -m tests.benchmarks.measure``.

Writes the tables in ``course/guides/performance.md``. The circuit is ``yard_loader.yaml``: 47 nodes, 3 diodes,
2 relays, 2 motors, 128 control states; 150 of its single faults are taken. How the cost grows is measured on ladders.
"""

from __future__ import annotations

import platform
import statistics
import time
import tracemalloc
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations, cycle, islice
from math import log

import numpy as np

from faultwright.assembly import build
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.dictionary import dictionary
from faultwright.equal_answers import equivalence_classes
from faultwright.faults import Fault, universe
from faultwright.files import write_whole
from faultwright.machine import Machine
from faultwright.meter import VOLTS, Probe, read

from . import bench_latency
from .compared import dense, ngspice_points
from .reasoning import section
from .timing import FAULTS, HERE, best, chosen, loader

REPORT = HERE.parents[1] / "course" / "guides" / "performance.md"
SAMPLE, PAIRS = 1200, 400
LADDERS = (20, 40, 80, 160)
"""Nodes of the ladders on which the growth of the cost is measured."""
MEGABYTE = 1e6


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


def fill(circuit: Circuit, faults: Iterable[Fault | tuple[Fault, ...]]) -> int:
    """Go through a dictionary, keeping nothing of it; return how many points it has."""
    return sum(len(block.faults) * len(block.states) for block in dictionary(circuit, faults))


def whole_dictionary(times: int = 5) -> float:
    """Return the s for the dictionary of all chosen faults in all states, from the faults to the behaviour."""
    circuit = loader()
    faults = chosen(circuit)
    return best(lambda: fill(circuit, faults), times)


def dense_dictionary() -> float:
    """Return the s for the same dictionary with every lane's equations put into a matrix and solved by numpy."""
    with dense():
        return whole_dictionary(times=2)


def double_faults() -> tuple[float, float]:
    """Return the s a point of single faults and of pairs, the latter over a sample of pairs."""
    circuit = loader()
    faults = chosen(circuit)
    states = len(list(circuit.states()))
    every = _every_pair(faults)
    pairs = every[:: len(every) // PAIRS][:PAIRS]
    single = best(lambda: fill(circuit, faults)) / (len(faults) * states)
    double = best(lambda: fill(circuit, pairs), 3) / (len(pairs) * states)
    return single, double


def _every_pair(faults: list[Fault]) -> list[tuple[Fault, ...]]:
    return list(combinations(faults, 2))


def all_double_faults() -> tuple[int, int, float, float]:
    """Return points, classes of equal answers, s, and the most MB in use, for all pairs of the chosen faults."""
    circuit = loader()
    pairs = _every_pair(chosen(circuit))
    start = time.perf_counter()
    points = fill(circuit, pairs)
    taken = time.perf_counter() - start
    tracemalloc.start()
    classes = len(equivalence_classes(dictionary(circuit, pairs)))
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return points, classes, taken, most / MEGABYTE


def toggle() -> tuple[float, float, float]:
    """Return the s from one toggle to a new reading, its probes fixed: in a state seen before and in one that is new.

    The third is one dense solve of the same order.
    """
    circuit = loader()
    probe = Probe(VOLTS, "K2:86", "FRAME")
    machine = Machine(circuit)
    for move in ("key=on", "seat=taken", "lever=neutral"):
        machine.move(move)
    order = len(machine.solver.network.names) - 1
    matrix, right = np.random.default_rng(1).random((order, order)) + order * np.eye(order), np.ones(order)

    def toggles() -> None:
        for position in ("on", "off") * 100:
            machine.move(f"pump={position}")
            read(machine, probe)

    def first_visits() -> float:
        fresh = Machine(circuit)
        read(fresh, probe)
        walk = list(_one_control_at_a_time(circuit))
        start = time.perf_counter()
        for move in walk:
            fresh.move(move)
            read(fresh, probe)
        return (time.perf_counter() - start) / len(walk)

    def solves() -> None:
        for _ in range(200):
            np.linalg.solve(matrix, right)

    return best(toggles) / 200, min(first_visits() for _ in range(5)), best(solves) / 200


def _one_control_at_a_time(circuit: Circuit) -> Iterator[str]:
    """Yield moves that lead through every control state once, each toggling one control (a Gray code)."""
    state, controls = dict(circuit.rest()), list(circuit.controls.values())
    for number in range(1, 2 ** len(controls)):
        control = controls[(number & -number).bit_length() - 1]
        position = next(one for one in control.positions if one != state[control.name])
        state[control.name] = position
        yield f"{control.name}={position}"


def moving_a_probe() -> float:
    """Return the s of a reading at a pair of points that was never probed before."""
    machine = Machine(loader())
    points = [terminal for terminal in machine.solver.network.node if terminal != "FRAME"]
    pairs = [Probe(VOLTS, red, black) for red, black in zip(points, points[7:], strict=False)]
    start = time.perf_counter()
    for probe in pairs:
        read(machine, probe)
    return (time.perf_counter() - start) / len(pairs)


def ladder(nodes: int) -> Circuit:
    """Return a circuit of about so many nodes: lamps with a switch each, between two rails of wires in series."""
    rungs = nodes // 4
    controls = [f"  s{number}: {{positions: [off, on]}}" for number in range(1, rungs + 1)]
    parts, wires = ["  G1: {kind: battery}"], []
    plus, minus = "G1:+", "G1:-"
    for number in range(1, rungs + 1):
        parts.append(f"  S{number}: {{kind: switch, control: s{number}, contacts: {{1-2: [on]}}}}")
        parts.append(f"  P{number}: {{kind: lamp, power: 5 W}}")
        wires.append(f"  W{3 * number - 2}: {{from: '{plus}', to: 'S{number}:1'}}")
        wires.append(f"  W{3 * number - 1}: {{from: 'S{number}:2', to: 'P{number}:1'}}")
        wires.append(f"  W{3 * number}: {{from: 'P{number}:2', to: '{minus}'}}")
        plus, minus = f"S{number}:1", f"P{number}:2"
    wires.append("  W0: {from: 'G1:-', to: FRAME}")
    text = ["circuit: ladder", "nominal: 12 V", "controls:", *controls, "parts:", *parts, "wires:", *wires]
    return parse_circuit("\n".join(text))


def cost_per_point() -> list[tuple[int, float, float]]:
    """Return nodes, s a point in lanes, and s of one pass of the program for one point alone, for the ladders."""
    found = []
    for wanted in LADDERS:
        circuit = ladder(wanted)
        states = list(islice(circuit.states(), 32))
        faults = list(islice(cycle(universe(circuit).values()), 512))
        lanes = best(lambda: sum(len(block.faults) for block in dictionary(circuit, faults, states)), 3)  # noqa: B023
        solver, settled = Machine(circuit).solver, Machine(circuit).settled
        program = solver.program(None)
        alone = best(lambda: [program(settled.conductances, settled.emfs) for _ in range(100)])  # noqa: B023
        found.append((len(solver.network.names), lanes / (len(states) * len(faults)), alone / 100))
    return found


def growth(costs: list[tuple[float, float]]) -> float:
    """Return the power of the number of nodes with which a cost grows: the slope of the line through the logarithms."""
    return statistics.linear_regression([log(nodes) for nodes, _ in costs], [log(cost) for _, cost in costs]).slope


def rows() -> list[Row]:
    """Return every comparison, measured now."""
    circuit = loader()
    points = FAULTS * len(list(circuit.states()))
    ours = whole_dictionary()
    single, double = double_faults()
    seen_before, new, solved = toggle()
    return [
        Row(
            f"dictionary, {points:,} points",
            ours,
            "ngspice in process",
            ngspice_points(circuit, SAMPLE) * points,
            "≥ 50",
        ),
        Row(f"dictionary, {points:,} points", ours, "stacked dense solves", dense_dictionary(), "≥ 8"),
        Row("one point of a double fault", double, "of a single fault", single, "≥ 1/3"),
        Row(
            "one toggle to a reading, state seen before", seen_before, "one dense solve of that order", solved, "≥ 1/2"
        ),
        Row("one toggle to a reading, state new", new, "one dense solve of that order", solved, ""),
        Row("reading at a new pair of points", moving_a_probe(), "what is allowed", 0.01, "≥ 1"),
    ]


def report(found: list[Row]) -> str:
    """Return the page with the tables."""
    network = build(loader())
    points, classes, taken, most = all_double_faults()
    costs = cost_per_point()
    in_lanes, alone = growth([(nodes, lanes) for nodes, lanes, _ in costs]), growth([(n, one) for n, _, one in costs])
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
        "(relays, fuses, behaviour) and then a reading; a solver remembers what has settled, so a state that was seen",
        "before with the same relays costs no solving. A new state takes seven to eight passes of the program: diodes,",
        "relays and motors find their state first without and then with the meter.",
        "",
        f"All {points:,} points of all pairs of those faults: {taken:.1f} s, at most {most:.0f} MB in use while their",
        f"{classes:,} classes of equal answers are found (150 MB is aimed at).",
        "",
        "How the cost grows, on ladders of lamps with a switch each between two rails:",
        "",
        "| nodes | a point in lanes | one pass for one point alone |",
        "| --- | --- | --- |",
        *(f"| {nodes} | {_time(lanes)} | {_time(one)} |" for nodes, lanes, one in costs),
        "",
        f"Between {costs[0][0]} and {costs[-1][0]} nodes the cost grows with the power {in_lanes:.2f} of the number of",
        f"nodes in lanes, and {alone:.2f} for one point alone.",
        "",
        *section(),
        *bench_latency.section(),
    ]
    return "\n".join(lines)


def _time(seconds: float) -> str:
    return f"{seconds * 1e3:.3g} ms" if seconds >= 1e-3 else f"{seconds * 1e6:.3g} µs"


if __name__ == "__main__":
    text = report(rows())
    write_whole(REPORT, text)
    print(text)  # noqa: T201 - what the command is for
