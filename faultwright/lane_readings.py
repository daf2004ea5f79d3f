"""Readings of machines in step: volts, ohms and continuity in lanes, each point a machine with the leads somewhere.

Many faults show nothing in most places. So the sound machine is read first, and what it shows is taken for each machine
with a fault that does nothing there (``edits``), without reading that.

What lanes do not do is read off one machine after the other: amps, the diode test, a part in the hand.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .circuit import split_terminal
from .edits import Edits, Flow
from .in_step import Lanes, Machines, Standing
from .lane_meter import Shown, from_readings, nothing_shown, show_each
from .lane_networks import Floats, Numbers, Pair, Truths
from .lanes import Leads, Settlement, used_rows
from .machine import Machine
from .meter import CONTINUITY, FLOATING, INPUT_RESISTANCE, LIVE, LIVE_FROM, OHMS, STATUSES, VOLTS, Probe, Reading, read

_NO_PATH = 1e-12
"""Share of the meter's own emf below which what it misses across its leads is rounding: no current flows at all."""

_TRIFLE = 1e-6
"""V across the meter below which it is looked whether a closed path runs through it at all."""

MANY = 16
"""Machines that went the same way from which on it pays to read the sound one of them first."""


def read_each(machines: Machines, probe: Probe) -> Shown:
    """Return what the meter shows on every one of the machines."""
    everyone = np.arange(len(machines.hypothesis))
    return readings(machines, everyone, [probe], np.zeros(len(everyone), dtype=np.intp))


def readings(machines: Machines, numbers: Numbers, probes: Sequence[Probe], which: Numbers) -> Shown:
    """Return what the meter shows: reading ``i`` is taken on machine ``numbers[i]`` at ``probes[which[i]]``.

    All probes have the same mode.
    """
    mode = probes[0].mode
    shown = nothing_shown(mode, len(numbers))
    one_by_one = np.ones(len(numbers), dtype=bool)
    in_circuit = np.array([mode in (VOLTS, OHMS, CONTINUITY) and not probe.alone for probe in probes])[which]
    for lanes in machines.lanes:
        mine = np.flatnonzero(in_circuit & np.isin(numbers, machines.in_lanes(lanes, np.unique(numbers))))
        if len(mine):
            one_by_one[mine] = False
            reader = _Reader(machines, lanes, probes)
            if min(lanes.solver.closed.shape[1], len(probes)) >= MANY:
                mine = mine[~reader.take_from_sound(shown, mine, numbers[mine], which[mine])]
            unsettled = reader.read(shown, mine, numbers[mine], which[mine])
            one_by_one[mine[unsettled]] = True
    rest = np.flatnonzero(one_by_one)
    shown.put(rest, from_readings(mode, _one_by_one(machines, numbers[rest], [probes[place] for place in which[rest]])))
    return shown


class _Reader:
    """A meter on machines that share lanes."""

    def __init__(self, machines: Machines, lanes: Lanes, probes: Sequence[Probe]) -> None:
        self.machines, self.lanes, self.solver = machines, lanes, lanes.solver
        self.mode, self.leads = probes[0].mode, np.array([probe.leads for probe in probes])
        self.range = np.array([probe.range for probe in probes])
        node = lanes.solver.network.node
        pairs = [(node[probe.red], node[probe.black]) for probe in probes]
        self.pairs: tuple[Pair, ...] = tuple(dict.fromkeys(pairs))
        number = {pair: place for place, pair in enumerate(self.pairs)}
        self.pair = np.array([number[pair] for pair in pairs])
        self.ends = np.array(self.pairs)

    def take_from_sound(self, shown: Shown, where: Numbers, numbers: Numbers, which: Numbers) -> Truths:
        """Put what the sound machine shows into ``shown`` where another shows the same; say for which."""
        machines, way = self.machines, self.machines.way[numbers]
        sound = machines.sound_ones(self.lanes)
        taken: Truths = sound[way] >= 0
        taken[taken] = machines.stand_alike(numbers[taken], sound[way[taken]])
        if not taken.any():
            return taken
        # One reading of the sound machine for each way and each probe there, whatever number of machines went that way.
        cases, case = np.unique(way[taken] * len(self.pair) + which[taken], return_inverse=True)
        gone, asked = np.divmod(cases, len(self.pair))
        model = nothing_shown(self.mode, len(cases))
        flow = Flow(self.solver, len(cases), self.ends.ravel().tolist())
        unsettled = self.read(model, np.arange(len(cases)), sound[gone], asked, flow)
        edits = Edits(self.solver, int(self.lanes.column_of[machines.hypothesis[sound[gone[0]]]]))
        live = np.array([flow.live(edits, column) for column in range(self.solver.closed.shape[1])])
        live[:, unsettled] = True
        column = self.lanes.column_of[machines.hypothesis[numbers[taken]]]
        same = ~live[column, case]
        shown.put(where[taken][same], model.taken(case[same]))
        taken[taken] = same
        return taken

    def read(
        self, shown: Shown, where: Numbers, numbers: Numbers, which: Numbers, flow: Flow | None = None
    ) -> list[int]:
        """Put readings into ``shown``, at ``where``; note what flows. Return which of them lanes cannot tell.

        They do not settle there; or several pairs of leads lie across joints without resistance, and elimination comes
        to nothing times infinity.
        """
        pair = self.pair[which]
        leads = Leads(self.pairs, pair, 1 / INPUT_RESISTANCE, passive=self.mode != VOLTS)
        work = self.machines.work(self.lanes, numbers, leads, flow.watch if flow else None)
        untold: list[int] = []
        for settlement in work.settle():
            points, every = settlement.points, np.arange(len(settlement.points))
            red, black = self.ends[pair[points]].T
            volts = np.array(settlement.voltages)[:, settlement.lanes]
            across = volts[red, every] - volts[black, every]
            here = where[points]
            if self.mode == VOLTS:
                shown.put(here, show_each(self.mode, across, self.range[which[points]]))
                doubtful = np.full(len(points), fill_value=True) if flow else np.abs(across) < _TRIFLE
                doubtful = np.flatnonzero(doubtful & (red != black))
                outside = self._outside(settlement, doubtful, pair[points[doubtful]], flow)
                _set_status(shown, here[doubtful[outside == 0]], FLOATING)
                untold += points[doubtful[np.isnan(outside)]].tolist()
                continue
            outside = self._outside(settlement, every, pair[points], flow)
            with np.errstate(divide="ignore"):
                true = self.leads[which[points]] + np.where(red == black, 0.0, 1 / outside)
            shown.put(here, show_each(self.mode, true, self.range[which[points]]))
            _set_status(shown, here[np.abs(across) > LIVE_FROM], LIVE)
            untold += points[np.isnan(true)].tolist()
        return [*work.unsettled, *untold]

    def _outside(self, settlement: Settlement, some: Numbers, pair: Numbers, flow: Flow | None) -> Floats:
        """Return the conductance in S between the leads without the meter, 0 where no path joins them.

        An emf of 1 V in the meter's own branch is all that drives: what is missing of it across the leads is what the
        current outside costs. What flows is noted as if it were an ampere, far above rounding.
        """
        solver, every = self.solver, np.arange(len(some))
        conductances = settlement.conductances[:, settlement.lanes[some]]
        emfs = {index: np.zeros(len(some)) for index in solver.emf}
        first = len(solver.network.ends)
        used = set(pair.tolist())
        driving = {
            first + number: (pair == number).astype(float) if number in used else 0.0
            for number in range(len(self.pairs))
        }
        rows = used_rows(conductances, first, first + pair)
        with np.errstate(invalid="ignore"):
            *voltages, _ = solver.program(self.pairs, driven=True)(rows, {**emfs, **driving})
        volts = np.array([np.broadcast_to(one, len(some)) for one in voltages])
        if flow is not None:
            flow.note(settlement.points[some], list(volts * INPUT_RESISTANCE), conductances, emfs)
        red, black = self.ends[pair].T
        across = np.abs(volts[red, every] - volts[black, every])
        missing = np.maximum(1 - across, 0.0)
        with np.errstate(divide="ignore"):
            return np.where(missing < _NO_PATH, 0.0, missing / across / INPUT_RESISTANCE)


def _set_status(shown: Shown, where: Numbers, status: str) -> None:
    shown.status[where] = STATUSES.index(status)
    for numbers in (shown.value, shown.tolerance, shown.resolution, shown.true):
        numbers[where] = np.nan


def _one_by_one(machines: Machines, numbers: Numbers, probes: Sequence[Probe]) -> list[Reading]:
    """Read machines one after the other; those that stand alike where the meter looks share a reading."""
    known: dict[object, Reading] = {}
    standing: dict[int, Standing | Machine] = {}
    found = []
    for number, probe in zip(numbers.tolist(), probes, strict=True):
        if number not in standing:
            standing[number] = machines.standing(number)
        one = standing[number]
        key: object = number, probe
        if probe.alone:
            own = tuple(fault for fault in one.faults if split_terminal(fault.place)[0] == probe.alone)
            key = probe, own, one.positions().get(probe.alone), probe.alone in one.blown
        if key not in known:
            known[key] = read(one, probe)
        found.append(known[key])
    return found
