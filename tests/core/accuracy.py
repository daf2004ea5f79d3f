"""Voltages and currents as this package finds them, beside ngspice's and beside exact fractions, circuit by circuit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from hypothesis import HealthCheck, Phase, assume, given, seed, settings
from hypothesis import strategies as st

from faultwright.circuit_writer import write_circuit
from faultwright.machine import Machine
from faultwright.spice import deck, deck_voltages

from . import ngspice
from .conducting import inside
from .loop_equations import Solution
from .strategies import Day

NGSPICE_RELATIVE, NGSPICE_ABSOLUTE = 1e-6, 1e-9
"""How well node voltages in V must agree with ngspice: as a share or in V, whichever is more."""
NGSPICE_ROUNDING = 1e-7
"""V that ngspice may be off by where the exact voltage is known: it leaves some 1e-13 A over at a node, of which
kilohms to FRAME make nanovolts (at 29 of 205,757 nodes, 20 nV at worst)."""
VOLTS = 1e-12
"""How far in V a voltage may be from the exact one."""
CURRENT_RELATIVE, CURRENT_ABSOLUTE = 1e-9, 1e-12
"""How far a current may be from the exact one: as a share of it or in A, whichever is more."""


@dataclass(frozen=True, slots=True)
class Found:
    """A number found in two ways, in V or A: by this package and as it should be; ``allowed`` between them."""

    place: str
    ours: float
    true: float
    error: float
    allowed: float


def voltages_by_ngspice(machines: Sequence[Machine], folder: Path) -> Iterator[list[Found]]:
    """Yield the voltages in each machine's deck; one ngspice runs all decks."""
    texts = [deck(machine) for machine in machines if deck_voltages(machine)]
    results = iter(zip(texts, ngspice.run(texts, folder), strict=True))
    for machine in machines:
        yield _in_deck(machine, *next(results)) if deck_voltages(machine) else []


def _in_deck(machine: Machine, text: str, theirs: Mapping[int, float]) -> list[Found]:
    """Compare every node of a deck.

    An island is compared against its tied node: what ngspice finds for that node itself is rounding (1 GΩ times
    what its matrix leaves over of amperes, up to 0.3 mV).
    """
    ours = deck_voltages(machine)
    assert set(theirs) == set(ours), f"the deck does not hold the nodes that it says it keeps:\n{text}"
    settled = machine.settled
    network = settled.network
    found = []
    for tied in (0, *ngspice.tied_nodes(text)):
        assert ours.get(tied, 0.0) == 0.0, f"an island is not at 0 V where the deck ties it:\n{text}"
        for node in ours:
            if node != tied and network.joined(settled.conductances, tied, node):
                true = theirs[node] - theirs.get(tied, 0.0)
                allowed = max(NGSPICE_RELATIVE * abs(true), NGSPICE_ABSOLUTE)
                found.append(Found(network.names[node], ours[node], true, abs(ours[node] - true), allowed))
    return found


def voltages_by_fractions(machine: Machine, solution: Solution) -> list[Found]:
    """Return the voltage of every terminal and pin, those of an island against the first of its points."""
    network, voltages = machine.settled.network, machine.settled.voltages
    at = network.node | {inside(terminal): node for terminal, node in network.inside.items()}
    firsts: dict[str, str] = {}
    found = []
    for point, node in at.items():  # FRAME comes first
        first = firsts.setdefault(solution.roots[point], point)
        ours = Fraction(voltages[node]) - Fraction(voltages[at[first]])
        found.append(_compared(point, ours, solution.voltages[point] - solution.voltages[first], VOLTS))
    return found


def currents_by_fractions(machine: Machine, solution: Solution) -> list[Found]:
    """Return the current of every branch; what is open carries exactly nothing."""
    settled = machine.settled
    found = []
    for branch, current in zip(settled.network.branches, settled.currents(), strict=True):
        true = solution.currents.get(branch.name, Fraction(0))
        found.append(_compared(branch.name, Fraction(current), true, CURRENT_ABSOLUTE, CURRENT_RELATIVE))
    missing = {name for name, current in solution.currents.items() if current} - {one.place for one in found}
    assert all(":" in name for name in missing), f"no branch carries what {missing} should"  # sound pins have none
    return found


def _compared(place: str, ours: Fraction, true: Fraction, absolute: float, relative: float = 0.0) -> Found:
    allowed = max(absolute, relative * float(abs(true)))
    return Found(place, float(ours), float(true), float(abs(ours - true)), allowed)


def check(found: Sequence[Found], day: Day) -> None:
    """Raise AssertionError, with all that it takes to see it again, where a number is not as it should be."""
    wrong = [one for one in found if not one.error <= one.allowed]
    if wrong:
        done = f"faults: {'; '.join(map(str, day.faults))}\nmoves: {' '.join(day.moves)}"
        raise AssertionError("\n".join([*map(str, wrong), done, write_circuit(day.circuit)]))


# Random circuits


def random_days(wanted: st.SearchStrategy[Day], count: int, number: int, known: set[str] | None = None) -> list[Day]:
    """Return ``count`` days that differ from each other and from those in ``known``, where they are noted.

    They are the same in every run for the same ``number``.
    """
    noted = set() if known is None else known
    found: list[Day] = []

    @seed(number)
    @settings(max_examples=count, phases=[Phase.generate], database=None, suppress_health_check=list(HealthCheck))
    @given(wanted)
    def collect(day: Day) -> None:
        assume(repr(day) not in noted)
        noted.add(repr(day))
        found.append(day)

    collect()
    assert len(found) == count, f"only {len(found)} of {count} circuits could be drawn"
    return found


def machine_after(day: Day) -> Machine:
    """Return the machine of a day after its moves."""
    machine = Machine(day.circuit, day.faults)
    for move in day.moves:
        machine.move(move)
    return machine
