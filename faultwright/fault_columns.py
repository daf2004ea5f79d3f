"""Single faults side by side, each a column of one topology, and pairs of them put together without building anew."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .assembly import build
from .circuit import Circuit, split_terminal
from .edits import Edits
from .faults import Fault
from .lane_networks import LaneSolver, Numbers, Truths, warms


class FaultColumns:
    """Faults of a circuit, by number, as columns of the sound circuit's topology.

    ``here`` says which of them have that topology; the column of another is the sound circuit. Behind all faults the
    sound circuit has a column of its own, against which ``edits`` says what they change.
    """

    def __init__(self, circuit: Circuit, faults: Sequence[Fault]) -> None:
        """Build the network of each fault."""
        self.circuit, self.faults = circuit, list(faults)
        sound = build(circuit, apart=True, shorts=True)
        networks = [build(circuit, [fault], apart=True, shorts=True) for fault in faults]
        alike = [(one.ends, len(one.names)) == (sound.ends, len(sound.names)) for one in networks]
        self.here = np.array(alike, dtype=bool) & (not warms(circuit))
        columns = [place + 1 if here else 0 for place, here in enumerate(self.here.tolist())]
        shared = [one if here else sound for one, here in zip(networks, alike, strict=True)]
        self.solver = LaneSolver([sound, *shared], np.array([*columns, 0]))
        self.edits = Edits(self.solver, len(faults))
        _, self._part = np.unique([split_terminal(fault.place)[0] for fault in faults], return_inverse=True)

    def can_pair(self, first: Numbers, second: Numbers) -> Truths:
        """Say which pairs of faults :meth:`pairs` can put together: not two at one part, where one may undo another."""
        found: Truths = self.here[first] & self.here[second] & (self._part[first] != self._part[second])
        return found

    def pairs(self, first: Numbers, second: Numbers) -> LaneSolver:
        """Return a column for each pair of faults."""
        return self.solver.paired(first, second, self.edits.changed)
