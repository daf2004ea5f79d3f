"""The drawing as the page gets it: whole once, and then only the lines that a move has changed."""

from __future__ import annotations

from functools import lru_cache

from faultwright.circuit import Circuit
from faultwright.drawing.svg import draw
from faultwright.machine import Machine

SCOPE = "fwscope"
"""Goes before the drawing's ids; each view puts its own in its stead (``drawn.js``)."""
KEPT = 32
"""Drawings that are kept, of some 70 kB each for a large machine."""
_ALONE = ("<g ", "<desc ")
"""How a line begins that can be drawn anew alone: a symbol, or what the whole drawing shows in words."""


class Drawn:
    """The drawing of one circuit with commanded positions.

    ``whole`` is an SVG document with one element on each line; ``anew`` are the lines that have changed since, by
    their number, counted from 0. Sending 70 kB at each click and parsing them would take longer than all else.
    """

    def __init__(self, circuit: Circuit) -> None:
        """Take the circuit; nothing is drawn yet."""
        self.circuit = circuit
        self.whole = ""
        self._before: list[str] = []
        self.anew: dict[str, str] = {}
        self._shown: tuple[object, ...] = ()
        # Controls go to and fro between a few positions; a drawing takes longer than all else in a click.
        self._lines = lru_cache(KEPT)(self._drawn_lines)

    def follow(self, machine: Machine) -> None:
        """Draw the machine as it stands; only what is commanded and unplugged changes the drawing."""
        shown = (tuple(machine.state.items()), machine.wiring.unplugged)
        if shown == self._shown:
            return
        self._shown = shown
        before, lines = self._before, self._lines(*shown)
        self.anew = {str(at): line for at, line in enumerate(lines) if at >= len(before) or line != before[at]}
        if len(before) != len(lines) or not all(line.startswith(_ALONE) for line in self.anew.values()):
            self.whole, self.anew, self._before = "\n".join(lines), {}, lines

    def _drawn_lines(self, positions: tuple[tuple[str, str], ...], unplugged: frozenset[str]) -> list[str]:
        return draw(self.circuit, positions=dict(positions), unplugged=unplugged, scope=SCOPE).split("\n")
