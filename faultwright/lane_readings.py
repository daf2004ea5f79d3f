"""Readings of machines in step: volts, ohms and continuity in lanes, each point a machine with the leads somewhere.

What lanes do not do is read off one machine after the other: amps, the diode test, a part in the hand.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .circuit import split_terminal
from .in_step import Lanes, Machines
from .lane_meter import Shown, from_readings, nothing_shown, show_each
from .lane_networks import Floats, LaneSolver, Numbers
from .lanes import Leads, Settlement
from .meter import CONTINUITY, FLOATING, INPUT_RESISTANCE, LIVE, LIVE_FROM, OHMS, STATUSES, VOLTS, Probe, Reading, read

_NO_PATH = 1e-12
"""Share of the meter's own emf below which what it misses across its leads is rounding: no current flows at all."""

_TRIFLE = 1e-6
"""V across the meter below which it is looked whether a closed path runs through it at all."""


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
            unsettled = _read_in_lanes(machines, lanes, shown, mine, numbers, probes, which)
            one_by_one[unsettled] = True
    rest = np.flatnonzero(one_by_one)
    shown.put(rest, from_readings(mode, _one_by_one(machines, numbers[rest], [probes[place] for place in which[rest]])))
    return shown


def _read_in_lanes(  # noqa: PLR0913, PLR0917 - which readings, of what, and where they go
    machines: Machines,
    lanes: Lanes,
    shown: Shown,
    mine: Numbers,
    numbers: Numbers,
    probes: Sequence[Probe],
    which: Numbers,
) -> Numbers:
    """Put what is read in these lanes into ``shown``; return the readings that do not settle there."""
    solver, mode = lanes.solver, probes[0].mode
    pairs = [(solver.network.node[probe.red], solver.network.node[probe.black]) for probe in probes]
    distinct = tuple(dict.fromkeys(pairs))
    pair = np.array([distinct.index(one) for one in pairs])[which[mine]]
    leads = np.array([probe.leads for probe in probes])[which[mine]]
    work = machines.work(lanes, numbers[mine], Leads(distinct, pair, 1 / INPUT_RESISTANCE, passive=mode != VOLTS))
    for settlement in work.settle():
        points = settlement.points
        ends = np.array(distinct)[pair[points]]
        volts = np.array(settlement.voltages)[:, settlement.lanes]
        across = volts[ends[:, 0], np.arange(len(points))] - volts[ends[:, 1], np.arange(len(points))]
        here = mine[points]
        if mode == VOLTS:
            shown.put(here, show_each(mode, across))
            idle = np.flatnonzero((np.abs(across) < _TRIFLE) & (ends[:, 0] != ends[:, 1]))
            open_ones = _outside(solver, settlement, idle, distinct, pair[points[idle]]) == 0
            _set_status(shown, here[idle[open_ones]], FLOATING)
            continue
        outside = _outside(solver, settlement, np.arange(len(points)), distinct, pair[points])
        with np.errstate(divide="ignore"):
            shown.put(here, show_each(mode, leads[points] + np.where(ends[:, 0] == ends[:, 1], 0.0, 1 / outside)))
        _set_status(shown, here[np.abs(across) > LIVE_FROM], LIVE)
    return mine[work.unsettled]


def _outside(
    solver: LaneSolver, settlement: Settlement, some: Numbers, pairs: tuple[tuple[int, int], ...], pair: Numbers
) -> Floats:
    """Return the conductance in S between the leads without the meter, 0 where no path joins them.

    An emf of 1 V in the meter's own branch is all that drives: what is missing of it across the leads is what the
    current outside costs.
    """
    conductances = settlement.conductances[:, settlement.lanes[some]]
    emfs = {index: np.zeros(len(some)) for index in solver.emf}
    first = len(solver.network.ends)
    emfs |= {first + number: (pair == number).astype(float) for number in range(len(pairs))}
    with np.errstate(invalid="ignore"):
        *voltages, _ = solver.program(pairs, driven=True)(conductances, emfs)
    volts = np.array([np.broadcast_to(one, len(some)) for one in voltages])
    ends = np.array(pairs)[pair]
    across = np.abs(volts[ends[:, 0], np.arange(len(some))] - volts[ends[:, 1], np.arange(len(some))])
    missing = np.maximum(1 - across, 0.0)
    with np.errstate(divide="ignore"):
        return np.where(missing < _NO_PATH, 0.0, missing / across / INPUT_RESISTANCE)


def _set_status(shown: Shown, where: Numbers, status: str) -> None:
    shown.status[where] = STATUSES.index(status)
    for numbers in (shown.value, shown.tolerance, shown.resolution):
        numbers[where] = np.nan


def _one_by_one(machines: Machines, numbers: Numbers, probes: Sequence[Probe]) -> list[Reading]:
    """Read machines one after the other; those that stand alike where the meter looks share a reading."""
    known: dict[object, Reading] = {}
    found = []
    for number, probe in zip(numbers.tolist(), probes, strict=True):
        standing = machines.standing(number)
        key: object = number, probe
        if probe.alone:
            own = tuple(fault for fault in standing.faults if split_terminal(fault.place)[0] == probe.alone)
            key = probe, own, standing.positions().get(probe.alone), probe.alone in standing.blown
        if key not in known:
            known[key] = read(standing, probe)
        found.append(known[key])
    return found
