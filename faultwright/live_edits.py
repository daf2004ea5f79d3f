"""Where a second fault could do anything at all, found without putting it in: in most states nowhere.

A machine with one fault in it is brought from rest to a control state, and what flows on the way is noted (``edits``).
What an input or a magneto senses flows without a current of the machine's own; so one is sent through each of them,
and what that reaches matters too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from .dictionary import LANES
from .edits import Flow
from .fault_columns import FaultColumns
from .lane_networks import LaneSolver, Numbers, Pair, Truths
from .lanes import LaneWork, Settlement
from .network import Network
from .parts import KINDS, terminals


def live_edits(columns: FaultColumns, machines: Numbers, edits: Numbers, states: Sequence[Mapping[str, str]]) -> Truths:
    """Say whether each of the faults ``edits`` could do anything on each of the ``machines``, in each state.

    Both are numbers of faults; the shape is (machines, edits, states). It may be said of a fault that does nothing
    after all, never the other way round: of one that is not in the conductances alone, it always is.
    """
    found = np.ones((len(machines), len(edits), len(states)), dtype=bool)
    at_once = max(1, LANES // max(1, len(states)))
    for start in range(0, len(machines), at_once):
        some = machines[start : start + at_once]
        flow = _flow(columns, some, states)
        for place, fault in enumerate(edits.tolist()):
            if columns.here[fault]:
                live = flow.live(columns.edits, fault)
                found[start : start + len(some), place] = live.reshape(len(some), -1)
    return found


def _flow(columns: FaultColumns, machines: Numbers, states: Sequence[Mapping[str, str]]) -> Flow:
    """Return what flows in some machines, a point for each machine and state."""
    solver, pairs = columns.solver, list(_senses(columns.solver.network))
    flow = Flow(solver, len(machines) * len(states), {node for pair in pairs for node in pair})
    work = LaneWork(
        solver,
        [columns.circuit.switch_positions(state) for state in states],
        np.repeat(machines, len(states)),
        np.tile(np.arange(len(states)), len(machines)),
        watch=flow.watch,
    )
    for settlement in work.settle():
        for pair in pairs:
            _send_through(solver, settlement, pair, flow)
    flow.note_all(work.unsettled)
    return flow


def _senses(network: Network) -> Iterator[Pair]:
    """Yield the nodes between which a part senses: each of its own against its last."""
    for part in network.circuit.parts.values():
        if KINDS[part.kind].sensed:
            *others, last = (network.node_inside(terminal) for terminal in terminals(part))
            yield from ((node, last) for node in others)


def _send_through(solver: LaneSolver, settlement: Settlement, pair: Pair, flow: Flow) -> None:
    """Note what a current reaches that is driven between two nodes by 1 V and by nothing else."""
    lanes = settlement.lanes
    conductances = np.vstack([settlement.conductances[:, lanes], np.ones(len(lanes))])
    emfs = {index: np.zeros(len(lanes)) for index in solver.emf} | {len(conductances) - 1: np.ones(len(lanes))}
    with np.errstate(invalid="ignore"):
        *voltages, _ = solver.program((pair,), driven=True)(conductances, emfs)
    flow.note(settlement.points, voltages, conductances, emfs)
