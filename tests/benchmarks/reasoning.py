"""What reasoning takes, beside the dictionary of the same circuit: suspects, next test, a whole analysis.

The records are a student's who works well: a working day with four looks, then the best next test, until there are ten
findings; where no test splits what is left, another voltage is read.
"""

from __future__ import annotations

import random
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from faultwright.analysis import analyse
from faultwright.bench import Bench
from faultwright.candidates import voltage_probes
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.dictionary import dictionary
from faultwright.faults import Fault
from faultwright.next_test import NextTest, next_test
from faultwright.record import Record
from faultwright.suspects import Suspects, find_suspects

from .timing import FAULTS, best, chosen, loader

DAY = ("key=on", "seat=taken", "brake=on", "start=pressed", "start=released", "pump=on", "lights=on")
LOOKS = (0, 3, 5, 6)
FINDINGS = 10
FAULTS_TAKEN = 14
GROUPS = 6


@dataclass(frozen=True, slots=True)
class Ratio:
    """What reasoning on one record took, in single-fault dictionaries, and how many suspects it left."""

    fault: str
    left: int
    suspects: float
    next_test: float


def ten_findings(circuit: Circuit, fault: Fault, faults: Sequence[Fault], chance: random.Random) -> Record:
    """Return the record of a student who works well on a machine with a fault."""
    bench = Bench(circuit, [fault])
    for number, words in enumerate(DAY):
        bench.move(words)
        if number in LOOKS:
            bench.observe()
    points = list(voltage_probes(circuit))
    while sum(1 for _ in bench.record.findings()) < FINDINGS:
        test = _next(circuit, bench.record, find_suspects(circuit, bench.record, faults))
        for move in test.candidate.moves if test else ():
            bench.move(str(move))
        probe = test.candidate.probe if test else chance.choice(points)
        if probe is None:
            bench.observe()
        else:
            bench.read(probe)
    return bench.record


def _next(circuit: Circuit, record: Record, left: Suspects) -> NextTest | None:
    return next_test(circuit, record, list(left.faults.values()), healthy=left.healthy)


def ratios() -> tuple[float, list[Ratio]]:
    """Return the s of one single-fault dictionary and what suspects and next test took, over a sample of faults."""
    circuit = loader()
    faults = chosen(circuit)
    whole = best(lambda: sum(len(block.faults) for block in dictionary(circuit, faults)))
    chance = random.Random(4)  # noqa: S311 - the same sample every time
    found = []
    for fault in chance.sample(faults, FAULTS_TAKEN):
        record = ten_findings(circuit, fault, faults, chance)
        left = find_suspects(circuit, record, faults)
        finding = best(lambda: find_suspects(circuit, record, faults))  # noqa: B023 - called at once
        choosing = best(lambda: _next(circuit, record, left), 3)  # noqa: B023
        found.append(Ratio(fault.name, len(left.names) + left.healthy, finding / whole, choosing / whole))
    return whole, found


def forty_parts() -> Circuit:
    """Return a circuit of more than forty parts: groups of fuse, switch, relay, load, diode, plug and ground."""
    controls = ["  key: {positions: [off, on]}"]
    parts = [
        "  G1: {kind: battery}",
        "  F0: {kind: fuse, rating: 60 A}",
        "  S0: {kind: switch, control: key, contacts: {1-2: [on]}}",
    ]
    wires = ["  W1: {from: 'G1:+', to: 'F0:1'}", "  W2: {from: 'F0:2', to: 'S0:1'}", "  W3: {from: 'G1:-', to: FRAME}"]
    behaviour = []
    for group in range(1, GROUPS + 1):
        controls.append(f"  lever{group}: {{positions: [out, in]}}")
        load = "motor, resistance: 0.8 Ω, running: 5 A, turns_from: 3 A" if group % 2 else "lamp, power: 21 W"
        parts += [
            f"  F{group}: {{kind: fuse, rating: 20 A}}",
            f"  S{group}: {{kind: switch, control: lever{group}, contacts: {{1-2: [in]}}}}",
            f"  K{group}: {{kind: relay, coil: 85 Ω}}",
            f"  R{group}: {{kind: diode}}",
            f"  X{group}: {{kind: connector, pins: 1}}",
            f"  M{group}: {{kind: {load}}}",
            f"  E{group}: {{kind: ground}}",
        ]
        ends = [
            ("F0:2", f"F{group}:1"), (f"F{group}:2", f"K{group}:30"), ("S0:2", f"S{group}:1"),
            (f"S{group}:2", f"R{group}:A"), (f"R{group}:K", f"K{group}:86"), (f"K{group}:85", f"E{group}:1"),
            (f"K{group}:87", f"X{group}:a1"), (f"X{group}:b1", f"M{group}:1"), (f"M{group}:2", f"E{group}:1"),
        ]  # fmt: skip
        wires += [
            f"  W{10 * group + number}: {{from: '{start}', to: '{end}'}}" for number, (start, end) in enumerate(ends)
        ]
        behaviour.append(f"  works{group}: {{{'motor' if group % 2 else 'lamp'}: M{group}}}")
    return parse_circuit(
        "\n".join([
            "circuit: forty-parts", "nominal: 12 V", "controls:", *controls, "parts:", *parts, "wires:", *wires,
            "behaviour:", *behaviour,
        ])
    )  # fmt: skip


def whole_analysis() -> tuple[int, int, float]:
    """Return parts, control states, and the s of a whole analysis of a circuit of more than forty parts."""
    circuit = forty_parts()
    taken = best(lambda: analyse(circuit).as_json(), 1)
    return len(circuit.parts), circuit.state_count, taken


def section() -> list[str]:
    """Return the section of the page on reasoning."""
    whole, found = ratios()
    parts, states, taken = whole_analysis()
    suspects = [one.suspects for one in found]
    choosing = [one.next_test for one in found if one.left > 1]
    return [
        "## Reasoning",
        "",
        f"In dictionaries of {FAULTS} single faults ({whole * 1e3:.3g} ms each), for records of ten findings:",
        "",
        "| the fault | suspects left | finding the suspects | the best next test |",
        "| --- | --- | --- | --- |",
        *(f"| {one.fault} | {one.left} | {one.suspects:.2f} | {one.next_test:.2f} |" for one in found),
        "",
        f"Finding the suspects takes {statistics.median(suspects):.2f} dictionaries (median; at most",
        f"{max(suspects):.2f}; 1 is aimed at); choosing the next test, where more than one suspect is left,",
        f"{statistics.median(choosing):.2f} (at most {max(choosing):.2f}; 2 is aimed at). Each is taken on a circuit",
        "that is known already: its programs are compiled and its machines at rest are kept. Values that are free are",
        "sought between 1 mΩ and 10 MΩ.",
        "",
        f"A whole `faultwright analyse` of {parts} parts in {states} control states takes {taken:.2g} s.",
        "",
    ]
