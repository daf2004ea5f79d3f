"""Descriptions as keys: equal ones are one key in a process, and nothing of that is carried to another."""

from __future__ import annotations

import pickle
from dataclasses import replace

from hypothesis import given, settings

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.circuit_writer import write_circuit
from tests.core.strategies import circuits


@settings(max_examples=20)
@given(circuits())
def test_equal_circuits_have_equal_hashes(circuit: Circuit) -> None:
    """A circuit written and read again is the same key; with another nominal voltage it is another."""
    again = parse_circuit(write_circuit(circuit))
    assert again == circuit
    assert hash(again) == hash(circuit)
    assert hash(replace(circuit, nominal=circuit.nominal + 1)) != hash(circuit)


@settings(max_examples=20)
@given(circuits())
def test_a_hash_stays_in_its_process(circuit: Circuit) -> None:
    """What is pickled for another process holds no hash: there, names hash to other numbers."""
    hash(circuit)
    for described in (circuit, *circuit.parts.values()):
        sent = pickle.loads(pickle.dumps(described))  # noqa: S301 - pickled on the same line
        assert sent == described
        assert "_content_hash" not in vars(sent)
