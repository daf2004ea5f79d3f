"""The ambiguity groups of a circuit, worked out once: which faults no measurement worth making tells apart."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from faultwright.ambiguity import ambiguity_groups
from faultwright.circuit_file import parse_circuit
from faultwright.faults import universe


@lru_cache(maxsize=16)
def group_numbers(circuit_text: str) -> Mapping[str, int]:
    """Return the number of every fault's group, free values at their usual ones, of the circuit in ``circuit_text``."""
    return numbers_among(circuit_text, tuple(universe(parse_circuit(circuit_text))))


@lru_cache(maxsize=64)
def numbers_among(circuit_text: str, names: tuple[str, ...]) -> Mapping[str, int]:
    """Return the numbers of the groups of some faults, as :func:`group_numbers` parts them; few take less time."""
    circuit = parse_circuit(circuit_text)
    faults = universe(circuit)
    groups = ambiguity_groups(circuit, [faults[name] for name in names])
    return {name: number for number, group in enumerate(groups) for name in group}
