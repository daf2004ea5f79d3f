"""Values from one end of what a file may hold to the other, side by side: all stays finite, and the meter answers."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.circuit_writer import write_circuit
from faultwright.dictionary import dictionary
from faultwright.faults import universe
from faultwright.machine import Machine
from faultwright.meter import MODES, Probe, read
from faultwright.parts import KINDS
from faultwright.quantities import RANGES

from .legal import all_finite, check_reading
from .strategies import all_terminals, circuits, decades, faults, moves, probes


def in_range(unit: str) -> st.SearchStrategy[float]:
    """Return values of a unit from the least to the most that a file may hold, the ends among them."""
    least, most = RANGES[unit]
    if least <= 0:
        return st.floats(least, most)
    between = decades(math.log10(least), math.log10(most)).map(lambda value: min(max(value, least), most))
    return st.one_of(st.sampled_from((least, most)), between)


@st.composite
def extreme_circuits(draw: st.DrawFn) -> Circuit:
    """Return a circuit about half of whose values lie anywhere in what a file may hold."""
    circuit = draw(circuits(most=7))
    parts = {}
    for part in circuit.parts.values():
        values = dict(part.values)
        for prop in KINDS[part.kind].properties:
            if prop.unit in RANGES and draw(st.booleans()):
                values[prop.name] = draw(in_range(prop.unit))
        if "pull_in" in values and float(values["drop_out"]) >= float(values["pull_in"]):
            values["pull_in"], values["drop_out"] = 8.0, 1.5
        parts[part.name] = replace(part, values=values)
    wires = {
        wire.name: replace(wire, given_resistance=draw(in_range("Ω"))) if draw(st.booleans()) else wire
        for wire in circuit.wires.values()
    }
    return replace(circuit, parts=parts, wires=wires)


@settings(max_examples=150)
@given(extreme_circuits(), st.data())
def test_whatever_a_file_may_hold_every_reading_is_legal(circuit: Circuit, data: st.DataObject) -> None:
    """From 1 nΩ to 1 TΩ side by side, with any faults and moves, all is finite and every mode of the meter answers."""
    assert parse_circuit(write_circuit(circuit)) == circuit
    present = [
        fault if fault.value is None else replace(fault, value=data.draw(in_range("Ω")))
        for fault in data.draw(st.lists(faults(circuit), max_size=2))
    ]
    found = Machine(circuit, present)
    for move in data.draw(st.lists(moves(circuit), max_size=5)):
        json.dumps(found.move(move).as_json(), allow_nan=False)
    all_finite(found)
    red, black = data.draw(st.lists(st.sampled_from(all_terminals(circuit)), min_size=2, max_size=2, unique=True))
    for probe in (*(Probe(mode, red, black) for mode in MODES), *data.draw(st.lists(probes(circuit), max_size=3))):
        check_reading(read(found, probe))


@settings(max_examples=40)
@given(extreme_circuits(), st.data())
def test_whatever_a_file_may_hold_the_dictionary_is_finite(circuit: Circuit, data: st.DataObject) -> None:
    """Many points at once, with one fault or two each: every voltage is finite in every state."""
    single = st.sampled_from(list(universe(circuit).values()))
    chosen = data.draw(st.lists(st.tuples(single) | st.tuples(single, single), min_size=1, max_size=5))
    for block in dictionary(circuit, chosen):
        assert np.isfinite(block.voltages).all()
