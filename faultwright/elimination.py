"""Star-mesh elimination: node voltages by a straight-line program, compiled once per topology.

A branch from node ``a`` to node ``b`` has a conductance ``g`` in S and an emf ``e`` in V that drives
current from ``a`` to ``b``: its current is ``g·(v_a + e − v_b)``. Eliminating a node replaces the star of
its branches by the mesh between its neighbours, with conductances ``g_i·g_j/Σg`` and emfs ``e_i − e_j``.
This is Gaussian elimination written so that conductances are never subtracted (the idea of Grassmann,
Taksar and Heyman for Markov chains): an open branch is exactly 0 S, dead nodes are exactly 0 V, and
errors stay within a few units in the last place of the emfs.

The program is generated as Python source. It runs unchanged on floats and on ``fractions.Fraction``; spelled
for *lanes*, where a test of each number becomes a mask, the same program runs on numpy arrays, one element an
operating point.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

Program = Callable[[Any, Any], tuple[Any, ...]]
"""``(conductances, emfs) → (v_0, …, v_n−1, between)`` with ``v_0 = 0``; ``between`` as in :func:`compiled`.

Both arguments are looked up by branch number; emfs only for the branches that can have one.
"""

_TRIFLE = 1e-300
"""S that no circuit has: it makes the share of an open branch among open branches zero."""

_EMF_WEIGHT = 4
"""A branch with an emf takes about four times the work of one without."""


@dataclass(slots=True)
class _Link:
    """What lies between two remaining nodes ``low < high``: names of local variables; ``e`` is "" where none.

    ``i`` is the current in it, from low to high.
    """

    g: str
    e: str
    i: str


@lru_cache(maxsize=2048)
def compiled(  # noqa: PLR0913 - a topology, and how its program is to be spelled
    nodes: int,
    ends: tuple[tuple[int, int], ...],
    with_emf: frozenset[int],
    probes: tuple[int, int] | None = None,
    *,
    lanes: bool = False,
    ideal: frozenset[int] = frozenset(),
    currents: bool = False,
) -> Program:
    """Return the program for a topology of ``nodes`` nodes (node 0 is the reference).

    ``ends`` holds the two nodes of each branch, ``with_emf`` the branches that can have an emf. With
    ``probes`` the last branch is the meter between these two nodes, and the program also returns the
    conductance in S *between* them without the meter, exactly 0 where no path joins them; else None.
    ``lanes`` spells the program for arrays; there ``ideal`` holds the branches that may be infinite
    conductances, each the only such one at one of its nodes: eliminated first, that node merges into the other.

    With ``currents`` (and no probes) the program returns the current in A through every branch, from its first node
    to its second. They are shares of the currents around them, not differences of voltages: right relative to the
    currents at the branch's nodes, however small its resistance.
    """
    return _Compiler(nodes, ends, with_emf, probes, lanes=lanes, ideal=ideal).program(currents=currents)


def _letting_go(lines: list[str]) -> list[str]:
    """Return the lines with every array let go after its last use, so that those in use stay in the cache."""
    last_use = {name: number for number, line in enumerate(lines) for name in re.findall(r"\bt\d+", line)}
    found = []
    for number, line in enumerate(lines):
        gone = [name for name in dict.fromkeys(re.findall(r"\bt\d+", line)) if last_use[name] == number]
        found.append(f"{line}; del {', '.join(gone)}" if gone and not line.startswith("return") else line)
    return found


def _nonzero(total: Any) -> Any:  # noqa: ANN401 - an array; numpy is asked for only where it is there already
    """Return ``total`` with a trifle in the place of zeros, so that nothing divided by nothing is nothing."""
    return sys.modules["numpy"].maximum(total, _TRIFLE)


def _ideal_share(conductance: Any, total: Any) -> Any:  # noqa: ANN401 - as above
    """Return the share of a branch in its node's total: all of it where the branch is ideal."""
    numpy = sys.modules["numpy"]
    return numpy.where(numpy.isinf(conductance), 1.0, conductance / total)


class _Compiler:
    """Writes the program: sum parallel branches, eliminate, then substitute back."""

    def __init__(  # noqa: PLR0913 - as compiled()
        self,
        nodes: int,
        ends: tuple[tuple[int, int], ...],
        with_emf: frozenset[int],
        probes: tuple[int, int] | None,
        *,
        lanes: bool,
        ideal: frozenset[int],
    ) -> None:
        self.ideal: dict[int, set[int]] = {}
        for index in ideal:
            a, b = ends[index]
            self.ideal.setdefault(a, set()).add(b)
            self.ideal.setdefault(b, set()).add(a)
        self.lanes = lanes
        self.divisor, self.gated = ("nonzero({})", "({})*({} != 0)") if lanes else ("({} or 1)", "({}) if {} else 0")
        self.nodes = nodes
        self.probes = probes
        self.lines: list[str] = []
        self.undoing: list[str] = []
        self.currents = [f"G[{index}]*E[{index}]" if index in with_emf else "0" for index in range(len(ends))]
        self.counter = 0
        self.links: list[dict[int, _Link]] = [{} for _ in range(nodes)]
        self.meter = len(ends) - 1 if probes else None
        parallel: dict[tuple[int, int], list[tuple[int, bool]]] = {}
        for index, (a, b) in enumerate(ends):
            if a != b and index != self.meter:
                parallel.setdefault((min(a, b), max(a, b)), []).append((index, a < b))
        for (low, high), members in parallel.items():
            for index, forward in members:
                sign = "" if forward else "-"
                emf = f"{sign}E[{index}]" if index in with_emf else ""
                self.currents[index] = sign + self._join(low, high, f"G[{index}]", emf)

    def program(self, *, currents: bool) -> Program:
        back: list[str] = []
        kept = {0, *(self.probes or ())}
        waiting = {node: self._cost(node) for node in range(self.nodes) if node not in kept}
        while waiting:
            node = min(waiting, key=waiting.__getitem__)
            del waiting[node]
            neighbours = set(self.links[node])
            back.append(self._eliminate(node))
            # A cost follows from the links at a node and between its neighbours: it can change this far, not farther.
            near = neighbours.union(*(self.links[other] for other in neighbours - {0}))
            waiting |= {other: self._cost(other) for other in near & waiting.keys()}
        between = "None"
        if self.probes:
            between = self._between(*self.probes)
            red, black = self.probes
            if red != black:
                low, high = min(red, black), max(red, black)
                sign = "" if red > black else "-"  # the meter's emf drives out of its red lead
                self._join(low, high, f"G[{self.meter}]", f"{sign}E[{self.meter}]")
            back += [self._eliminate(node) for node in dict.fromkeys(self.probes) if node]
        values = ", ".join(f"v{node}" for node in range(self.nodes))
        body = [*self.lines, "v0 = 0", *reversed(back), f"return ({values}, {between})"]
        if currents:
            body = [*self.lines, *reversed(self.undoing), f"return ({', '.join(self.currents)},)"]
        if self.lanes:
            body = _letting_go(body)
        source = "def solve(G, E):\n " + "\n ".join(body) + "\n"
        scope: dict[str, Any] = {"nonzero": _nonzero, "ideal_share": _ideal_share}
        exec(compile(source, "<star-mesh program>", "exec"), scope)  # noqa: S102 - our own text, from integers only
        program: Program = scope["solve"]
        return program

    def _merges_late(self, node: int) -> int:
        """Nodes with one ideal branch come first; one that several lead to comes after all of those."""
        return {1: 0, 0: 1}.get(len(self.ideal.get(node, ())), 2)

    def _new(self, expression: str) -> str:
        self.counter += 1
        name = f"t{self.counter}"
        self.lines.append(f"{name} = {expression}")
        return name

    def _new_current(self) -> str:
        self.counter += 1
        return f"i{self.counter}"

    def _join(self, low: int, high: int, g: str, e: str) -> str:
        """Put a branch in parallel with what lies between the two nodes; ``e`` drives from low to high.

        Return the name of the branch's current, from low to high.
        """
        own = self._new_current()
        old = self.links[low].get(high)
        if old is None:
            self.links[low][high] = self.links[high][low] = _Link(g, self._new(e) if e else "", own)
            return own
        total, emf = self._new(f"{old.g} + {g}"), ""
        divisor = self.divisor.format(total)
        if old.e or e:
            driven = " + ".join(f"{cond}*({emf})" for cond, emf in ((old.g, old.e), (g, e)) if emf)
            emf = self._new(f"({driven})/{divisor}")
        whole = self._new_current()
        self.links[low][high] = self.links[high][low] = _Link(total, emf, whole)
        # Each takes its share, and what the one's emf drives round through the other.
        for name, cond, emf_in, other, other_emf in ((old.i, old.g, old.e, g, e), (own, g, e, old.g, old.e)):
            around = f" + {other}*(({emf_in or 0}) - ({other_emf or 0}))" if emf_in or other_emf else ""
            self.undoing.append(f"{name} = {cond}/{divisor}*({whole}{around})")
        return own

    def _cost(self, node: int) -> tuple[int, int, int]:
        neighbours = list(self.links[node].items())
        cost = 0
        for place, (first, one) in enumerate(neighbours):
            for second, other in neighbours[place + 1 :]:
                old = self.links[first].get(second)
                cost += _EMF_WEIGHT if one.e or other.e or (old and old.e) else 1
        return self._merges_late(node), cost, node

    def _towards(self, node: int, neighbour: int) -> str:
        """Return the emf that drives from ``neighbour`` to ``node``, as an expression ("" where none)."""
        link = self.links[node][neighbour]
        if not link.e:
            return ""
        return link.e if neighbour < node else f"-{link.e}"

    def _eliminate(self, node: int) -> str:
        """Replace the node's star by its mesh; return the line that gives its voltage afterwards."""
        neighbours = sorted(self.links[node])
        merging = self.ideal.pop(node, set())
        for other in merging:
            self.ideal[other].discard(node)
        if not neighbours:
            return f"v{node} = 0"
        if len(neighbours) == 1:
            # A single way in: no current flows, so the node stands at its neighbour's voltage, exactly;
            # an open way in leaves it floating, at 0 by convention.
            only = neighbours[0]
            link = self.links[node][only]
            emf = self._towards(node, only)
            self.undoing.append(f"{link.i} = 0")
            del self.links[only][node]
            term = f"v{only} + {emf}" if emf else f"v{only}"
            return f"v{node} = {self.gated.format(term, link.g)}"
        total = self._new(self.divisor.format(" + ".join(self.links[node][other].g for other in neighbours)))
        share = {
            other: self._new(
                f"ideal_share({self.links[node][other].g}, {total})" if other in merging
                else f"{self.links[node][other].g}/{total}"
            )
            for other in neighbours
        }  # fmt: skip
        emf_in = {other: self._towards(node, other) for other in neighbours}
        star = {other: self.links[node][other].g for other in neighbours}
        place_of_undoing = len(self.undoing)
        flows: dict[int, list[str]] = {other: [] for other in neighbours}
        for other in neighbours:
            del self.links[other][node]
        for place, low in enumerate(neighbours):
            for high in neighbours[place + 1 :]:
                parts = [emf_in[low] or "", f"-({emf_in[high]})" if emf_in[high] else ""]
                emf = " ".join(part for part in parts if part)
                # An ideal branch gives its share and takes the other's conductance: infinity times nothing is none.
                one, other = (high, low) if high in merging else (low, high)
                flow = self._join(low, high, self._new(f"{share[one]}*{star[other]}"), emf)
                flows[low].append(f"+ {flow}")
                flows[high].append(f"- {flow}")
        self.undoing[place_of_undoing:place_of_undoing] = [
            f"{self.links[node][other].i} = {'' if other < node else '-'}({' '.join(flows[other])})"
            for other in neighbours
        ]
        terms = [
            f"{share[other]}*(v{other} + {emf_in[other]})" if emf_in[other] else f"{share[other]}*v{other}"
            for other in neighbours
            if other or emf_in[other]
        ]
        return f"v{node} = " + (" + ".join(terms) or "0")

    def _between(self, red: int, black: int) -> str:
        """Return the conductance between the probes, when only they and the reference are left."""
        if red == black:
            return "None"
        direct = self.links[red].get(black)
        over = [self.links[node].get(0) for node in (red, black)]
        found = direct.g if direct else "0"
        if red and black and over[0] and over[1]:
            total = self.divisor.format(f"{over[0].g} + {over[1].g}")
            found += f" + {over[0].g}*{over[1].g}/{total}"
        return self._new(found)
