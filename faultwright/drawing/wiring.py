"""How wires run: bars and the stubs that join them to terminals.

Every wire is drawn on its own way between its own two terminals. Wires that share a terminal share the
bar of that terminal (the *hub*); the other end of each is a stub of its own, which carries its label. So
a break in a wire cuts on paper exactly what it cuts on the machine.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from faultwright.circuit import FRAME, Circuit

from .elements import Drawn, End
from .paths import Arrangement
from .text import width, wire_label

LANE = 10
"""How far to the left of its terminal a second wire leaves, in pixels."""


@dataclass(eq=False)
class Stub:
    """What leaves ``end`` for a bar. ``lane`` 0 goes straight, higher ones to the left by ``offset`` pixels.

    ``wire`` is the wire that this stub alone carries, empty for a hub's stub and for a link.
    """

    end: End
    bar: Bar
    lane: int
    wire: str = ""
    label: str = ""
    offset: float = 0.0


@dataclass(eq=False)
class Bar:
    """A horizontal line at the level of its net, with the stub of its hub and one stub for each wire or link."""

    hub: Stub = field(init=False)
    level: int
    children: list[Stub] = field(default_factory=list)

    @property
    def stubs(self) -> tuple[Stub, ...]:
        """Every stub, the hub's first."""
        return (self.hub, *self.children)

    @property
    def is_frame(self) -> bool:
        """Whether the bar is the machine's metal."""
        return self.hub.end.terminal == FRAME


@dataclass(frozen=True, slots=True)
class _Edge:
    name: str
    label: str
    ends: tuple[End, End]

    def far(self, end: End) -> End:
        return self.ends[1] if self.ends[0] == end else self.ends[0]


def wire_up(
    circuit: Circuit, drawn: Drawn, arrangement: Arrangement
) -> tuple[tuple[Bar, ...], Mapping[End, Sequence[Stub]]]:
    """Return the bars, and the stubs of each end in the order of their lanes."""
    edges = [_Edge(wire.name, wire_label(wire), (End(wire.start), End(wire.end))) for wire in circuit.wires.values()]
    edges += [_Edge("", "", pair) for pair in drawn.links]
    by_net: dict[int, list[_Edge]] = defaultdict(list)
    for edge in edges:
        by_net[arrangement.net[edge.ends[0]]].append(edge)
    lowered = {end for ends in arrangement.bottoms for end in ends}
    wiring = _Wiring({end for element in drawn.elements if element.is_source for end in element.ends})
    for node, inside in by_net.items():
        wiring.net(inside, arrangement.level[node], lowered)
    wiring.spread()
    return tuple(wiring.bars), wiring.stubs


class _Wiring:
    """Collects the bars, net by net."""

    def __init__(self, rails: set[End]) -> None:
        self.rails = rails
        self.bars: list[Bar] = []
        self.stubs: dict[End, list[Stub]] = defaultdict(list)
        self.hubs: dict[End, Bar] = {}

    def net(self, edges: Sequence[_Edge], level: int, lowered: set[End]) -> None:
        """Draw one net as a tree of stars from its busiest terminal; wires that close a ring come last."""
        at: dict[End, list[_Edge]] = defaultdict(list)
        for edge in edges:
            for end in edge.ends:
                at[end].append(edge)
        # The frame is its own bar; otherwise most wires first, then a source, then an end that feeds from above.
        root = max(at, key=lambda end: (end == End(FRAME), len(at[end]), end in self.rails, end in lowered))
        reached, done, waiting = {root}, set[int](), deque([root])
        while waiting:
            end = waiting.popleft()
            for edge in at[end]:
                other = edge.far(end)
                if other not in reached:
                    reached.add(other)
                    done.add(id(edge))
                    waiting.append(other)
                    self.join(edge, end, level)
        for edge in edges:
            if id(edge) not in done:
                self.join(edge, edge.ends[0], level)

    def join(self, edge: _Edge, hub: End, level: int) -> None:
        """Draw one wire as a child of the bar of ``hub``."""
        bar = self.hubs.get(hub)
        if bar is None:
            bar = self.hubs[hub] = Bar(level)
            bar.hub = self.stub(hub, bar)
            self.bars.append(bar)
        bar.children.append(self.stub(edge.far(hub), bar, edge.name, edge.label))

    def stub(self, end: End, bar: Bar, wire: str = "", label: str = "") -> Stub:
        found = Stub(end, bar, len(self.stubs[end]), wire, label)
        self.stubs[end].append(found)
        return found

    def spread(self) -> None:
        """Set the offsets, so that labels of further stubs find room to the left of each."""
        for stubs in self.stubs.values():
            reach = 0.0
            for stub in stubs[1:]:
                stub.offset = reach + LANE
                reach = stub.offset + (round(width(stub.label)) + 8 if stub.label else 0)
