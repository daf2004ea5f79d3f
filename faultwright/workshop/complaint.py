"""The complaint: what an operator would tell of a machine with a fault, and who gives exactly that complaint.

It follows from the symptom table alone, so two faults with the same symptom table have the same complaint.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from faultwright.behaviour import word_of
from faultwright.circuit import Circuit
from faultwright.dictionary import Block, dictionary
from faultwright.fault_effects import SoundMachine
from faultwright.faults import Fault, universe
from faultwright.lane_seen import seen_of

from .control_states import state_in_words
from .texts import text

Table = tuple[tuple[int, ...], ...]
"""What is seen of each behaviour in each control state, as codes of the dictionary."""


@dataclass(frozen=True, slots=True)
class Complaint:
    """What an operator tells. ``state`` is where it is first seen; None where no state shows anything."""

    words: tuple[str, ...]
    state: Mapping[str, str] | None


class Complaints:
    """The complaints of one circuit; its symptom tables are worked out once."""

    def __init__(self, circuit: Circuit) -> None:
        """Work out what the sound machine does. Raises Refused where there are too many control states."""
        self.circuit = circuit
        self.sound = SoundMachine(circuit)

    def of(self, fault: Fault) -> Complaint:
        """Return the complaint that a fault gives; an intermittent one gives it now and then."""
        permanent = replace(fault, disturbed=False)
        block = next(dictionary(self.circuit, [permanent]))
        effects = self.sound.effects(block, 0) or self.sound.effects_once_begun(permanent)
        revealed = self.sound.revealed(effects)
        if revealed is None:
            return Complaint((text("complaint.none"),), None)
        state = self.sound.states[revealed.state]
        where = state_in_words(self.circuit, state)
        if revealed.effect.once_begun:
            seen = [self.sound.seen_in_words(effect) for effect in effects if revealed.state in effect.states]
            said = text("complaint.begun", state=where, seen=text("join").join(seen))
        else:
            table = {name: codes[0, revealed.state] for name, codes in block.seen.items()}
            said = text("complaint.seen", state=where, seen=text("join").join(self._otherwise(table, revealed.state)))
        return Complaint((text("complaint.now_and_then"), said) if fault.disturbed else (said,), state)

    def _otherwise(self, table: Mapping[str, int], state: int) -> Iterator[str]:
        """Yield what is seen otherwise than on the sound machine in a state."""
        for name, behaviour in self.circuit.behaviour.items():
            sound, now = int(self.sound.block.seen[name][0, state]), int(table[name])
            if sound != now:
                seen, meant = (word_of(seen_of(code, behaviour)) for code in (now, sound))
                yield text("complaint.otherwise", behaviour=name, seen=seen, meant=meant)

    # Who gives the same complaint

    def suspects(self, fault: Fault) -> tuple[Fault, ...]:
        """Return the faults with exactly the same symptom table, this one first and then in the order of the file."""
        permanent = replace(fault, disturbed=False)
        table = self.table(permanent)
        others = [other for other, its in self._tables.items() if its == table and other.name != permanent.name]
        return (permanent, *others)

    def table(self, fault: Fault) -> Table:
        """Return the symptom table of a permanent fault."""
        return self._tables[fault] if fault in self._tables else next(self._worked_out([fault]))[1]

    @cached_property
    def sound_table(self) -> Table:
        """The symptom table of the sound machine."""
        return _rows_of(self.sound.block, 0)

    @cached_property
    def _tables(self) -> Mapping[Fault, Table]:
        return dict(self._worked_out(list(universe(self.circuit).values())))

    def _worked_out(self, faults: list[Fault]) -> Iterator[tuple[Fault, Table]]:
        for block in dictionary(self.circuit, faults):
            for row, (fault,) in enumerate(block.faults):
                yield fault, _rows_of(block, row)


def _rows_of(block: Block, row: int) -> Table:
    return tuple(tuple(codes[row].tolist()) for codes in block.seen.values())
