"""A case: one candidate's machine with its fault, and everything that marking needs to know of it."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from faultwright.ambiguity import cannot_be_told_apart
from faultwright.circuit import Circuit
from faultwright.circuit_writer import write_circuit
from faultwright.faults import Fault, universe
from faultwright.proof import Proof, proof_of
from faultwright.record import Action
from faultwright.story import Story

from .blueprint import Blueprint
from .evidence import Left, left_after
from .groups import numbers_among
from .pool import complaint_actions

MOST_COMPARED = 8
"""Groups up to which it is looked into whether some cannot be told from the case's own fault."""


@dataclass(frozen=True)
class Case:
    """One candidate's paper: its number, that candidate's own machine, and what is in it."""

    candidate: str
    paper: str
    blueprint: Blueprint
    circuit: Circuit
    fault: Fault
    given_groups: Mapping[str, int] | None = None
    given_suspects: Left | None = None

    @cached_property
    def circuit_text(self) -> str:
        """The candidate's circuit as a circuit file."""
        return _written(self.circuit)

    @property
    def circuit_sha256(self) -> str:
        """The hash of the candidate's circuit that every mark carries."""
        return hashlib.sha256(self.circuit_text.encode("utf-8")).hexdigest()

    @cached_property
    def complaint(self) -> tuple[Action, ...]:
        """The complaint as the operator of this machine makes it: moves, and what was seen after each."""
        return tuple(complaint_actions(self.circuit, [self.fault], self.blueprint.complaint))

    @cached_property
    def story(self) -> Story:
        """What the operator of this machine answers, and what inspection shows; its signs tell of the fault."""
        return self.blueprint.story.of(self.circuit, [self.fault], usual=self.blueprint.usual_signs)

    @cached_property
    def suspects(self) -> Left:
        """What the complaint alone leaves: as given for the whole class, so that all start alike, else worked out."""
        given = self.given_suspects
        if given is not None and self.fault.name in given.faults:
            return given
        return left_after(self.circuit, self.complaint, universe(self.circuit).values())

    @cached_property
    def groups(self) -> dict[str, int]:
        """The number of a fault's ambiguity group, by the blueprint's circuit: the same for the whole class.

        Given, it is every fault's; else that of the suspects of the complaint, as all that counts is among them.
        """
        if self.given_groups is not None:
            return dict(self.given_groups)
        names = dict.fromkeys((*self.suspects.faults, self.fault.name))
        return dict(numbers_among(self.blueprint.circuit_text, tuple(names)))

    def groups_of(self, left: Left) -> list[list[str]]:
        """Return what is left by ambiguity group, with those joined that cannot be told from this case's own fault."""
        found = left.groups(self.groups)
        if not 1 < len(found) <= MOST_COMPARED or self.fault.name not in left.faults:
            return found
        numbers = dict(self.groups)
        own = numbers[self.fault.name]
        for name, fault in left.faults.items():
            if numbers[name] != own and self._like_own(fault):
                numbers |= {other: own for other, number in self.groups.items() if number == self.groups[name]}
        return left.groups(numbers)

    def _like_own(self, fault: Fault) -> bool:
        """Compare at the value of this case's fault, so that the answer does not hang on what has been measured."""
        if fault.value is not None and self.fault.value is not None:
            fault = replace(fault, value=self.fault.value)
        return _alike(self.circuit, fault, self.fault)

    @cached_property
    def proof(self) -> Proof:
        """What a repaired machine must be seen to do and to refuse."""
        return _proof(self.circuit)


# The same for all who share a circuit.


@lru_cache(maxsize=64)
def _written(circuit: Circuit) -> str:
    return write_circuit(circuit)


@lru_cache(maxsize=64)
def _proof(circuit: Circuit) -> Proof:
    return proof_of(circuit)


@lru_cache(maxsize=4096)
def _alike(circuit: Circuit, fault: Fault, own: Fault) -> bool:
    return cannot_be_told_apart(circuit, (fault,), (own,))
