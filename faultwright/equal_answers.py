"""Equal answers: faults that the dictionary cannot tell apart, whatever is measured in whatever control state."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator

import numpy as np

from .dictionary import Block
from .faults import Fault

SAME_WITHIN = 1e-6
"""V within which two voltages count as equal: far below what a meter shows, far above rounding."""

Faults = tuple[Fault, ...]


def equivalence_classes(blocks: Iterable[Block]) -> list[list[Faults]]:
    """Return the faults of a dictionary in classes of equal voltages and behaviour, in the dictionary's order.

    Blocks are let go one by one: of each fault only two digests are kept.
    """
    classes: dict[int, list[Faults]] = {}
    class_of: dict[bytes, int] = {}
    for number, (faults, digests) in enumerate(_digests(blocks)):
        found = sorted({class_of[digest] for digest in digests if digest in class_of})
        mine = found[0] if found else number
        classes.setdefault(mine, []).append(faults)
        for other in found[1:]:
            classes[mine] += classes.pop(other)
            class_of |= {digest: mine for digest, its in class_of.items() if its == other}
        class_of |= dict.fromkeys(digests, mine)
    return list(classes.values())


def _digests(blocks: Iterable[Block]) -> Iterator[tuple[Faults, tuple[bytes, bytes]]]:
    """Yield each fault with the digests of its answers rounded on two grids, half a step apart.

    Two answers that are the same but for rounding can fall on either side of a step of one grid, hardly of both.
    """
    for block in blocks:
        for fault, faults in enumerate(block.faults):
            seen = b"".join(codes[fault].tobytes() for codes in block.seen.values()) + block.buzzing[fault].tobytes()
            steps = block.voltages[fault] / SAME_WITHIN
            near, between = (np.floor(steps + shift).astype(np.int64).tobytes() for shift in (0.25, 0.75))
            yield faults, (hashlib.sha256(b"0" + seen + near).digest(), hashlib.sha256(b"1" + seen + between).digest())
