"""The second fault behind a latent one: which single fault, harmless by itself, then permits what can hurt."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from .dictionary import Block, dictionary
from .fault_effects import SoundMachine
from .faults import Fault

MOST_POINTS = 2_000_000
"""Pairs of faults × control states that are looked at; they take some seconds."""


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
    one pin. Latent faults beyond
    :data:`MOST_POINTS` are left out of what is returned. ``tell`` is told how many of how many are done.
    """
    most = MOST_POINTS // max(1, len(seconds) * len(sound.states))
    found: dict[str, tuple[SecondFault, ...]] = {}
    for done, first in enumerate(latent[:most]):
        tell(done, min(most, len(latent)))
        pairs = [(first, second) for second in seconds if not _places(first) & _places(second)]
        blocks = dictionary(sound.circuit, pairs)
        found[first.name] = tuple(chain.from_iterable(_permitting(sound, block) for block in blocks))
    return found


def _places(fault: Fault) -> set[str]:
    _, swapped, other = fault.mode.partition("swapped with ")
    return {fault.place, other} if swapped else {fault.place}


def _permitting(sound: SoundMachine, block: Block) -> list[SecondFault]:
    """Return the second faults of a block that permit something, each with the first function that they permit."""
    found: Mapping[int, SecondFault] = {}
    for name in sorted(sound.hurting):
        permitted = (block.seen[name] != 0) & (sound.block.seen[name][0] == 0)
        for pair in permitted.any(axis=1).nonzero()[0].tolist():
            second = SecondFault(block.faults[pair][1], name, int(permitted[pair].argmax()))
            found = {pair: second, **found}
    return [found[pair] for pair in sorted(found)]
