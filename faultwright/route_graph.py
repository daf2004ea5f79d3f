"""The diagram as a graph: what leads from where to where, and every way through it that visits no place twice."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

import networkx as nx

from .circuit import Circuit, Part, split_terminal
from .conditions import Is, relay_key
from .parts import ENERGISED, KINDS, RELEASED, PartBranch, Role, branches

LOAD_FROM = 0.5
"""Ω from which a resistor counts as a load; below that it is a shunt or a length of wire: common practice."""

_LOADS = (Role.COIL, Role.LAMP, Role.MOTOR, Role.SOLENOID, Role.PULL, Role.PRIMARY)


@dataclass(frozen=True, slots=True)
class Passage:
    """Something that a route can pass, from node ``a`` to node ``b`` and, unless it is ``one_way``, back.

    ``place`` is named as faults name it (``W7``, ``X1:2``, ``K1 30-87``); ``load`` is the part that uses the current
    on the way; ``need`` is where a contact's control or relay must be.
    """

    place: str
    a: str
    b: str
    role: Role
    one_way: bool = False
    load: str = ""
    need: Is | None = None


Leg = tuple[Passage, str]
"""One step of a route: what is passed, and the node behind it."""


def node(circuit: Circuit, terminal: str) -> str:
    """Return the node of a terminal: all ways of a splice are one."""
    name, _ = split_terminal(terminal)
    return name if name in circuit.parts and KINDS[circuit.parts[name].kind].joined else terminal


def passages(circuit: Circuit) -> Iterator[Passage]:
    """Yield every wire and every branch of every part."""
    for wire in circuit.wires.values():
        yield Passage(wire.name, node(circuit, wire.start), node(circuit, wire.end), Role.RESISTOR)
    for part in circuit.parts.values():
        for branch in branches(part):
            need = _need(circuit, part, branch)
            if need is None or need.positions:
                one_way = branch.role in (Role.DIODE, Role.SOURCE)
                load = part.name if _is_load(part, branch) else ""
                ends = node(circuit, branch.a), node(circuit, branch.b)
                yield Passage(_place(part, branch), *ends, branch.role, one_way, load, need)


def _need(circuit: Circuit, part: Part, branch: PartBranch) -> Is | None:
    """Return where a contact's control or relay must be; None for what is no contact, or one that is always closed."""
    if branch.role is not Role.CONTACT:
        return None
    closed_in = next(contact.closed_in for contact in part.contacts if contact.name == branch.name)
    known = circuit.controls[part.control].positions if part.control else (ENERGISED, RELEASED)
    if set(known) <= set(closed_in):
        return None
    return Is(part.control or relay_key(part), closed_in)


def _is_load(part: Part, branch: PartBranch) -> bool:
    return branch.role in _LOADS or (part.kind == "resistor" and branch.resistance >= LOAD_FROM)


def _place(part: Part, branch: PartBranch) -> str:
    if part.kind == "connector":
        return f"{part.name}:{branch.name}"
    alone = len(part.contacts) == 1 and part.control is not None
    return part.name if alone or not branch.name else f"{part.name} {branch.name}"


def ways(usable: Iterable[Passage], start: str, end: str, past: Collection[str] = ()) -> Iterator[tuple[Leg, ...]]:
    """Yield every way from ``start`` to ``end`` that visits no node twice and none of ``past``."""
    if start == end:
        yield ()
        return
    graph = nx.MultiDiGraph()
    graph.add_nodes_from((start, end))
    for passage in usable:
        if passage.a not in past and passage.b not in past and passage.a != passage.b:
            graph.add_edge(passage.a, passage.b, passage=passage)
            if not passage.one_way:
                graph.add_edge(passage.b, passage.a, passage=passage)
    for edges in nx.all_simple_edge_paths(worth_walking(graph, start, end), start, end):
        yield tuple((graph.edges[edge]["passage"], edge[1]) for edge in edges)


def worth_walking(graph: nx.MultiDiGraph, start: str, end: str) -> nx.MultiDiGraph:
    """Return the part of the graph without blind alleys: where a way from start to end can lie at all.

    That is the block that start and end would share if they were joined, and in it what can be come to from the start
    and left from to the end.
    """
    joined = nx.Graph(graph)
    joined.add_edge(start, end)
    block = next(nodes for nodes in nx.biconnected_components(joined) if {start, end} <= nodes)
    onward = nx.descendants(graph.subgraph(block - {end}), start)
    back = nx.ancestors(graph.subgraph(block - {start}), end)
    return graph.subgraph((onward & back) | {start, end})
