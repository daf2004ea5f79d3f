"""Every way in which a machine with a fault can stand: in all control states, whatever was done before.

What is set up on a real machine is left alone with students, so each of these ways counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from faultwright.assembly import build
from faultwright.circuit import Circuit
from faultwright.electrics import Settled
from faultwright.faults import Fault
from faultwright.parts import Role
from faultwright.solve import Solver
from faultwright.state_table import every_state, ways_to_settle


def standings(circuit: Circuit, faults: Iterable[Fault] = ()) -> Iterator[tuple[Mapping[str, str], Settled]]:
    """Yield each control state with each way to stand in it; a relay that buzzes gives a way for each moment.

    A fuse that a fault blows has opened. Faults count as present, intermittent ones too. Raises Refused where there
    are too many control states.
    """
    solver = Solver(build(circuit, faults))
    for state in every_state(circuit):
        for settled in ways_to_settle(solver, state):
            yield from ((state, moment) for moment in settled.pattern or [settled])


def drawn(settled: Settled) -> float:
    """Return the current in A that the sources deliver together."""
    return sum(abs(float(settled.current(index))) for index in settled.network.by_role[Role.SOURCE])


def fuse_currents(settled: Settled) -> dict[str, float]:
    """Return the current in A through each fuse."""
    network = settled.network
    return {network.branches[index].part: abs(float(settled.current(index))) for index in network.by_role[Role.FUSE]}
