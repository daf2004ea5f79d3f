"""The second fault behind a latent one: which single fault, harmless by itself, then permits what can hurt.

Neither of the two permits anything alone. So they are looked at together only in the states in which each of them
could do something beside the other, and only one of those pairs that are electrically the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from .assembly import build
from .dictionary import dictionary, settled_alone
from .fault_columns import FaultColumns
from .fault_effects import SoundMachine
from .faults import Fault
from .lane_networks import LaneSolver, Numbers, Truths
from .lane_seen import Codes, code, seen_in_lanes
from .lanes import LaneWork
from .live_edits import live_edits
from .same_columns import same_columns
from .solve import Solver

MOST_POINTS = 2_000_000
"""Pairs of faults × control states that are judged; they take a second or two."""

PAIRS = 8192
"""Pairs that are put together at once: some tens of megabytes."""


@dataclass(frozen=True, slots=True)
class SecondFault:
    """A fault that permits a behaviour behind a latent one, and the first state, by number, in which it does."""

    fault: Fault
    behaviour: str
    state: int


def second_faults(
    sound: SoundMachine,
    latent: Sequence[Fault],
    seconds: Sequence[Fault],
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> dict[str, tuple[SecondFault, ...]]:
    """Return, for each latent fault by name, which of ``seconds`` permit a function that can hurt behind it.

    ``seconds`` are faults that permit nothing alone. Two faults at one place are not paired, nor are two exchanges of
    one pin. Latent faults beyond :data:`MOST_POINTS` are left out of what is returned. ``tell`` is told how many latent
    faults of how many are done; they are done some dozens together.
    """
    most = MOST_POINTS // max(1, len(seconds) * len(sound.states))
    if not latent[:most] or not seconds:
        return {first.name: () for first in latent[:most]}
    pairing = _Pairing(sound, latent[:most], seconds)
    found: dict[str, tuple[SecondFault, ...]] = {}
    at_once = max(1, PAIRS // max(1, len(seconds)))
    for start in range(0, len(pairing.latent), at_once):
        tell(start, len(pairing.latent))
        for first, permitting in pairing.permitting(range(start, min(start + at_once, len(pairing.latent)))):
            found[first.name] = permitting
    return found


def _places(fault: Fault) -> set[str]:
    _, swapped, other = fault.mode.partition("swapped with ")
    return {fault.place, other} if swapped else {fault.place}


Permitted = Mapping[int, tuple[str, int]]
"""Which of some pairs permit something: the first function that they do, and the first state in which they do."""


class _Pairing:
    """Latent faults and second faults, both by number, and where the two of a pair matter to each other."""

    def __init__(self, sound: SoundMachine, latent: Sequence[Fault], seconds: Sequence[Fault]) -> None:
        self.sound, self.latent, self.seconds = sound, latent, seconds
        self.columns = FaultColumns(sound.circuit, [*latent, *seconds])
        every = np.arange(len(latent) + len(seconds))
        first, second = np.split(every, [len(latent)])
        self.matters = live_edits(self.columns, first, second, sound.states)
        self.matters &= live_edits(self.columns, second, first, sound.states).transpose(1, 0, 2)
        together = self.columns.can_pair(first[:, None], second)
        places = [_places(fault) for fault in self.columns.faults]
        apart = np.array([[not places[one] & places[other] for other in second] for one in first], dtype=bool)
        self.asked = apart & (self.matters.any(axis=2) | ~together)

    def permitting(self, some: range) -> Iterator[tuple[Fault, tuple[SecondFault, ...]]]:
        """Yield some of the latent faults, each with the second faults that permit something behind it."""
        first, second = np.nonzero(self.asked[some.start : some.stop])
        first += some.start
        in_lanes = self.columns.can_pair(first, second + len(self.latent))
        found: dict[tuple[int, int], tuple[str, int]] = {}
        for which, judged in ((in_lanes, self._in_lanes), (~in_lanes, self._built)):
            for pair, permitted in judged(first[which], second[which]).items():
                found[int(first[which][pair]), int(second[which][pair])] = permitted
        for number in some:
            mine = [other for one, other in sorted(found) if one == number]
            yield self.latent[number], tuple(SecondFault(self.seconds[one], *found[number, one]) for one in mine)

    def _built(self, first: Numbers, second: Numbers) -> Permitted:
        """Judge pairs whose networks are built one by one: faults at one part, or of a topology of their own."""
        found: dict[int, tuple[str, int]] = {}
        done = 0
        pairs = [(self.latent[one], self.seconds[other]) for one, other in zip(first, second, strict=True)]
        for block in dictionary(self.sound.circuit, pairs):
            found |= {done + pair: permitted for pair, permitted in self._permitted(block.seen).items()}
            done += len(block.faults)
        return found

    def _in_lanes(self, first: Numbers, second: Numbers) -> Permitted:
        """Judge pairs whose columns are put together, one of those that are the same for all of them."""
        if not len(first):
            return {}
        solver = self.columns.pairs(first, second + len(self.latent))
        same = same_columns(solver)
        _, chosen = np.unique(same, return_index=True)
        in_order = np.argsort(same, kind="stable")
        starts = np.searchsorted(same[in_order], np.arange(len(chosen)))
        matters = np.logical_or.reduceat(self.matters[first, second][in_order], starts)
        pairs = [
            (self.latent[one], self.seconds[other]) for one, other in zip(first[chosen], second[chosen], strict=True)
        ]
        permitted = self._permitted(self._seen(solver.only(chosen), pairs, matters))
        return {pair: permitted[one] for pair, one in enumerate(same.tolist()) if one in permitted}

    def _seen(self, solver: LaneSolver, pairs: Sequence[tuple[Fault, Fault]], matters: Truths) -> Mapping[str, Codes]:
        """Return what is seen of each pair in each state in which it matters; in all others nothing."""
        circuit, states = self.sound.circuit, self.sound.states
        seen = {name: np.zeros(matters.shape, dtype=np.int8) for name in circuit.behaviour}
        pair, state = np.nonzero(matters)
        work = LaneWork(solver, [circuit.switch_positions(one) for one in states], pair, state)
        for settlement in work.settle():
            for name, codes in seen_in_lanes(solver, settlement, states).items():
                seen[name][settlement.columns, settlement.states] = codes
        alone: dict[int, Solver] = {}
        for one, place in zip(pair[work.unsettled].tolist(), state[work.unsettled].tolist(), strict=True):
            if one not in alone:
                alone[one] = Solver(build(circuit, pairs[one]))
            for name, value in settled_alone(alone[one], states[place])[1].items():
                seen[name][one, place] = code(value)
        return seen

    def _permitted(self, seen: Mapping[str, Codes]) -> Permitted:
        found: dict[int, tuple[str, int]] = {}
        for name in sorted(self.sound.hurting):
            permitted = (seen[name] != 0) & (self.sound.block.seen[name][0] == 0)
            for pair in np.flatnonzero(permitted.any(axis=1)).tolist():
                found.setdefault(pair, (name, int(permitted[pair].argmax())))
        return found
