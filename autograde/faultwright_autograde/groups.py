"""The ambiguity groups of a whole circuit, worked out once: which faults no measurement worth making tells apart."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from faultwright.ambiguity import ambiguity_groups
from faultwright.circuit_file import parse_circuit
from faultwright.faults import universe


@lru_cache(maxsize=16)
def group_numbers(circuit_text: str) -> Mapping[str, int]:
    """Return the number of every fault's group, free values at their usual ones, of the circuit in ``circuit_text``."""
    circuit = parse_circuit(circuit_text)
    groups = ambiguity_groups(circuit, universe(circuit).values())
    return {name: number for number, names in enumerate(groups) for name in names}
