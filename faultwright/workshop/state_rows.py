"""Control states chosen for paper: those in which a symptom table is filled in, and those that prove a repair."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from faultwright.behaviour import Seen, word_of
from faultwright.circuit import Circuit
from faultwright.proof import Proof, proof_of

MOST_ROWS = 16
"""Control states up to which all are on paper; of more, those that show every permission and every refusal."""


@dataclass(frozen=True, slots=True)
class StateRow:
    """A control state, and what the sound machine shows in it, reached from rest."""

    state: Mapping[str, str]
    seen: Mapping[str, Seen]

    @property
    def words(self) -> dict[str, str]:
        """What is seen, as words."""
        return {name: word_of(seen) for name, seen in self.seen.items()}

    def as_json(self) -> dict[str, object]:
        """The row as the command line's JSON gives it."""
        return {"state": dict(self.state), "seen": dict(self.seen)}


def table_rows(circuit: Circuit) -> tuple[StateRow, ...]:
    """Return the states of a symptom table on paper, in the order of the circuit's states."""
    return _rows(circuit, proof_of(circuit), [circuit.rest()])


def proof_rows(circuit: Circuit, complaint: Mapping[str, str] | None) -> tuple[StateRow, ...]:
    """Return the states that prove a repair: those that show everything, and that of the complaint."""
    return _rows(circuit, proof_of(circuit), [] if complaint is None else [complaint])


def _rows(circuit: Circuit, proof: Proof, besides: Sequence[Mapping[str, str]]) -> tuple[StateRow, ...]:
    chosen = {*proof.smallest, *(tuple(state.items()) for state in besides)}
    everything = circuit.state_count <= MOST_ROWS
    return tuple(StateRow(dict(key), seen) for key, seen in proof.table.items() if everything or key in chosen)
