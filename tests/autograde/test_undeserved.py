"""What a doubter tried: marks that would have been earned without deserving them."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

from faultwright.bench import Bench
from faultwright.faults import remedies_at, universe
from faultwright.meter import VOLTS, Probe
from faultwright_autograde.case import Case
from faultwright_autograde.mark import Mark

Answer = dict[str, Any]
Marker = Callable[[Answer], Mark]


def earned(mark: Mark) -> dict[str, float]:
    """Return the marks by criterion."""
    return {criterion.name: criterion.mark for criterion in mark.criteria}


def test_claiming_everything_and_repairing_everything_does_not_pass(case: Case, right: Answer, marked: Marker) -> None:
    """To measure a little, claim all that can be and do every remedy everywhere is not to have found the fault."""
    bench = Bench(case.circuit, [case.fault])
    for control, position in list(case.circuit.states())[-1].items():
        bench.move(f"{control}={position}")
    cited = [bench.observe()]
    cited += [bench.read(Probe(VOLTS, terminal, "FRAME"))[0] for terminal in case.circuit.wired if terminal != "FRAME"]
    for move in ("rest", "unplug=G1"):
        bench.move(move)
    for place, remedies in remedies_at(case.circuit).items():
        for remedy in remedies:
            bench.move(f"repair={place} {remedy}")
    bench.move("mate=G1")
    for state in case.circuit.states():
        bench.move("rest")
        for control, position in state.items():
            bench.move(f"{control}={position}")
        bench.observe()
    greedy = {
        **right,
        "record": bench.as_json(),
        "cited": cited[:12],
        "claim": list(universe(case.circuit)),
    }
    mark = marked(greedy)
    assert not mark.passed
    assert earned(mark)["diagnosis"] <= 2
    assert earned(mark)["remedy"] <= 5


def test_a_reading_shaded_within_its_tolerance_earns_no_more(case: Case, right: Answer, marked: Marker) -> None:
    """A meter has no random error here: a value written to the edge of its tolerance must clear no suspect more."""
    bench = Bench(case.circuit, [case.fault])
    for control, position in list(case.circuit.states())[-1].items():
        bench.move(f"{control}={position}")
    index, reading = bench.read(Probe(VOLTS, "G1:+", "FRAME"))
    assert reading.value is not None
    true = {**right, "record": bench.as_json(), "cited": [index]}
    for share in (-0.95, 0.95):
        shaded = copy.deepcopy(true)
        shaded["record"]["actions"][index]["read"]["value"] = round(reading.value + share * reading.tolerance, 4)
        assert earned(marked(shaded))["evidence"] <= earned(marked(true))["evidence"]
