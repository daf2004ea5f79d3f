"""The calculation: ideal and meter-loaded alike, followed through, and slips of the unit named."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from faultwright.bench import Bench
from faultwright.circuit_file import parse_circuit
from faultwright.faults import universe
from faultwright.meter import Probe
from faultwright.record import Record
from faultwright_autograde.blueprint import Calculation
from faultwright_autograde.calculation import Target, judge, targets
from faultwright_autograde.case import Case
from faultwright_autograde.mark import Mark
from faultwright_autograde.trace import trace

DIVIDER = """circuit: divider
parts:
  G1: {kind: supply, voltage: 24 V}
  R1: {kind: resistor, resistance: 250 MΩ}
  R2: {kind: resistor, resistance: 250 MΩ}
wires:
  W1: {from: G1:+, to: R1:1}
  W2: {from: R1:2, to: R2:1}
  W3: {from: R2:2, to: FRAME}
  W4: {from: G1:-, to: FRAME}
"""


@pytest.mark.parametrize(
    ("given", "share", "words"),
    [
        ("146 mA", 1.0, "agrees with 146 mA"),
        ("0.146 A", 1.0, "agrees with 146 mA"),
        ("0,146 A", 1.0, "agrees with 146 mA"),
        ("150 mA", 1.0, "agrees with 146 mA"),
        ("160 mA", 0.0, "is not within 5 % of 146 mA"),
        ("-146 mA", 0.5, "the leads are the other way round"),
        ("146 A", 0.0, "Unit slip, A for mA"),
        ("0.146 mA", 0.0, "Unit slip, mA for A"),
        ("146 µA", 0.0, "Unit slip, µA for mA"),
        ("146 V", 0.0, "146 V: volts given, amps asked."),
        ("146 Ω", 0.0, "ohms given, amps asked"),
        ("146 W", 0.0, "is not in A"),
        ("146", 0.0, "has no unit"),
        ("", 0.0, "No calculation is given; the meter would show 146 mA"),
        ("NaN A", 0.0, "is not a number with a unit"),
        ("1e999 A", 0.0, "too large"),
    ],
)
def test_a_calculation_is_judged(given: str, share: float, words: str) -> None:
    """Right within the tolerance, half for the sign, nothing for a slip, which is named by its units."""
    judged = judge(given, [Target(0.146, "as the meter shows it")], "amps", 0.05)
    assert judged.share == share
    assert words in judged.verdict


def test_slips_of_ohms_are_named() -> None:
    """Kilohms where ohms are right is a slip by its name."""
    assert "Unit slip, kΩ for Ω" in judge("8 kΩ", [Target(8.0, "")], "ohms", 0.05).verdict


def test_ideal_and_loaded_are_both_right() -> None:
    """24 V, 250 MΩ and 250 MΩ: 12 V stand there, and a meter of 10 MΩ shows 0.8889 V.

    Derived from Lessons In Electric Circuits, vol. 1 ch. 8.
    """
    circuit = parse_circuit(DIVIDER)
    asked = Calculation("What stands across R2?", (), Probe("volts", "R2:1", "FRAME"))
    found = targets(circuit, asked, trace(circuit, universe(circuit)["R1 open"], Record("divider")))
    assert [target.value for target in found] == pytest.approx([0.8889, 12.0], abs=0.0005)


def test_a_recorded_source_voltage_is_followed_through(
    case: Case, right: dict[str, Any], marked: Callable[[dict[str, Any]], Mark]
) -> None:
    """Who measured 12.38 V at the battery and computes from that is right, and the verdict says from what."""
    bench = Bench(case.circuit, [case.fault])
    for move in ("key=on", "gate=open"):
        bench.move(move)
    index, reading = bench.read(Probe("volts", "G1:+", "G1:-"))
    found = targets(case.circuit, case.blueprint.calculation, trace(case.circuit, case.fault, bench.record))  # type: ignore[arg-type]
    assert reading.value is not None
    assert len(found) == 6
    # From the measured voltage without inner resistance: the drop at the terminals is in it already.
    assert found[-1].value == pytest.approx(found[0].value * reading.value / 12.6, rel=0.01)
    assert "V recorded at G1" in found[-1].basis
    answer = right | {"record": bench.as_json(), "cited": [index], "calculation": f"{found[-1].value:.4f} A"}
    assert marked(answer).by_name["calculation"].mark == 10


def test_a_forged_voltage_is_not_followed_through(case: Case) -> None:
    """A source voltage that this machine cannot show makes no calculation right."""
    bench = Bench(case.circuit, [])
    bench.move("unplug=G1")
    bench.read(Probe("volts", "G1:+", "G1:-"))
    record = bench.record
    found = targets(case.circuit, case.blueprint.calculation, trace(case.circuit, case.fault, record))  # type: ignore[arg-type]
    assert len(found) == 2
