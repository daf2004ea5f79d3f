"""Guards defeated in a way that is meant to escape notice; none of it makes anything move."""

from __future__ import annotations

from tests.autograde.gate import Answer

from .trick import UNSAFE, Given, Trick, changed

GUARD, ROUND_IT = "B1:1,B1:2", "S1:2,P1:1"
"""Two jumpers across the same safety switch, on different terminals."""

CRITICAL = "A critical act against safety fails the paper; a person must look at it."


def _jumpers(*ends: str) -> Trick:
    """Put jumpers across the guard while the machine is isolated, connect it, and take them off again."""
    moves = ["rest", "unplug=G1", *(f"bridge={pair}" for pair in ends), "mate=G1"]
    moves += ["unplug=G1", *(f"unbridge={pair}" for pair in ends), "mate=G1"]

    def change(answer: Answer, _given: Given) -> None:
        answer["record"]["actions"] += [{"move": move} for move in moves]

    return Trick(f"guard-jumped-{len(ends)}", changed(change), UNSAFE, CRITICAL)


def _left(*ends: str) -> Trick:
    """Leave the jumpers on at the end, with the machine isolated."""

    def change(answer: Answer, _given: Given) -> None:
        moves = ["rest", "unplug=G1", *(f"bridge={pair}" for pair in ends)]
        answer["record"]["actions"] += [{"move": move} for move in moves]

    return Trick(f"jumpers-left-{len(ends)}", changed(change), UNSAFE, CRITICAL)


TRICKS = [_jumpers(GUARD), _jumpers(GUARD, ROUND_IT), _left(GUARD), _left(GUARD, ROUND_IT)]
