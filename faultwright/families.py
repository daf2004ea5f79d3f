"""Families: hypotheses that differ in the values of their faults only share one network, built with 0 Ω for each."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .assembly import build
from .circuit import Circuit
from .faults import Fault
from .network import Network, Wiring

Hypothesis = tuple[Fault, ...]
"""Faults that are there together, their values set; none is the sound machine."""


@dataclass(frozen=True)
class Family:
    """The network of a family, and which branches each fault's value adds to, in order; none where it has no value."""

    network: Network
    valued: tuple[tuple[int, ...], ...]


def family_of(circuit: Circuit, faults: Hypothesis, wiring: Wiring, *, for_lanes: bool) -> Family:
    """Return the family of some faults, whatever their values; ``for_lanes`` in the topology that most faults share."""

    def built(of: Hypothesis) -> Network:
        return build(circuit, of, wiring, apart=for_lanes, shorts=for_lanes)

    free = tuple(replace(fault, value=None if fault.value is None else 0.0) for fault in faults)
    network = built(free)
    valued = []
    for place, fault in enumerate(free):
        one = network
        if fault.value is not None:
            one = built((*free[:place], replace(fault, value=1.0), *free[place + 1 :]))
        valued.append(tuple(_differing(network, one)))
    return Family(network, tuple(valued))


def _differing(network: Network, other: Network) -> list[int]:
    """Return the branches that have another resistance in another network of the same topology."""
    pairs = zip(network.branches, other.branches, strict=True)
    return [
        index
        for index, (one, two) in enumerate(pairs)
        if one is not two and (one.resistance, one.series) != (two.resistance, two.series)
    ]
