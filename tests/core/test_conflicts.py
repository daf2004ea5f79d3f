"""The smallest conflicts and the smallest sets that explain them all: worked examples and brute force."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain, combinations, product

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st

from faultwright.circuit import Circuit
from faultwright.conflicts import minimal_sets
from faultwright.faults import Fault, universe
from faultwright.machine import Machine
from faultwright.meter import VOLTS, Probe, show
from faultwright.moves import Move
from faultwright.record import Action, Measured, Observed, Record
from faultwright.suspects import find_suspects
from tests.core import depot
from tests.core.records import any_actions
from tests.core.strategies import circuits, faults

SHED = depot.circuit(depot.SHED)


def subsets(of: Sequence[int]) -> list[tuple[int, ...]]:
    """Return all subsets, the smallest first, among those of one size the one with the lowest first."""
    return list(chain.from_iterable(combinations(of, size) for size in range(len(of) + 1)))


# Three multipliers and two adders

MULTIPLIERS = {"M1": (3, 2), "M2": (2, 3), "M3": (2, 3)}
"""M1 makes X of A = 3 and C = 2, M2 makes Y of B = 2 and D = 3, M3 makes Z of C = 2 and E = 3."""
COMPONENTS = ("M1", "M2", "M3", "A1", "A2")


def consistent(trusted: Iterable[str]) -> bool:
    """Say whether some X, Y and Z agree with outputs 10 and 12 where these components work; the others do anything."""
    trusted = {*trusted}
    for values in product(range(13), repeat=3):
        x, y, z = values
        right = {name: value == a * b for (name, (a, b)), value in zip(MULTIPLIERS.items(), values, strict=True)}
        right |= {"A1": x + y == 10, "A2": y + z == 12}
        if all(right[name] for name in trusted):
            return True
    return False


def smallest(sets: Iterable[frozenset[str]]) -> set[frozenset[str]]:
    """Return the sets that hold no other."""
    listed = [*sets]
    return {one for one in listed if not any(other < one for other in listed)}


EVERY = [frozenset(some) for size in range(6) for some in combinations(COMPONENTS, size)]

POLYBOX_CONFLICTS = {frozenset({"M1", "M2", "A1"}), frozenset({"M1", "M3", "A1", "A2"})}
POLYBOX_DIAGNOSES = {frozenset({"M1"}), frozenset({"A1"}), frozenset({"M2", "M3"}), frozenset({"M2", "A2"})}
"""De Kleer & Williams, *Diagnosing multiple faults*, Artificial Intelligence 32, 1987 (from memory)."""


def test_the_polybox_from_its_equations() -> None:
    """Brute force over which components are trusted gives the published conflicts, and the diagnoses beside them."""
    assert smallest(some for some in EVERY if not consistent(some)) == POLYBOX_CONFLICTS
    assert smallest(some for some in EVERY if consistent({*COMPONENTS} - some)) == POLYBOX_DIAGNOSES


def test_the_polybox_from_its_conflicts() -> None:
    """What explains both conflicts, in the fewest components: the published diagnoses, and the conflicts from those."""
    for sets, expected in ((POLYBOX_CONFLICTS, POLYBOX_DIAGNOSES), (POLYBOX_DIAGNOSES, POLYBOX_CONFLICTS)):
        families = [[frozenset({COMPONENTS.index(name)}) for name in one] for one in sets]
        found = [frozenset(COMPONENTS[number] for number in one) for one in minimal_sets(families)]
        assert {*found} == expected
        assert len(found) == len(expected)


# Sets in general

FAMILIES = st.lists(st.lists(st.frozensets(st.integers(0, 5), max_size=3), min_size=1, max_size=4), max_size=5)


@settings(max_examples=200)
@given(FAMILIES)
def test_minimal_sets_are_those_of_brute_force(families: list[list[frozenset[int]]]) -> None:
    """Of all subsets those that hold a member of each family whole and lose that with any number less, in order."""

    def holds(chosen: Iterable[int]) -> bool:
        return all(any(one <= {*chosen} for one in family) for family in families)

    expected = [one for one in subsets(range(6)) if holds(one) and not any(holds({*one} - {less}) for less in one)]
    assert list(minimal_sets(families)) == expected


def test_nothing_to_hold() -> None:
    """No family asks for nothing; one without members can never be held."""
    assert list(minimal_sets([])) == [()]
    assert list(minimal_sets([[frozenset({1})], []])) == []


# The conflict of a record


def left(circuit: Circuit, record: Record, considered: Sequence[Fault], held: Iterable[int]) -> bool:
    """Say whether any of these faults, or a sound machine, explains some of a record's findings by themselves."""
    actions: list[Action] = [
        action
        for number, action in enumerate(record.actions)
        if not isinstance(action, Measured | Observed) or number in held
    ]
    found = find_suspects(circuit, Record(circuit.name, tuple(actions)), considered)
    return bool(found.names) or found.healthy


def check_conflict(circuit: Circuit, record: Record, considered: Sequence[Fault]) -> tuple[int, ...]:
    """Check that no smaller set of findings, and no earlier one of the size, leaves nothing; return the conflict."""
    numbers = [number for number, _ in record.findings()]
    found = find_suspects(circuit, record, considered)
    if found.names or found.healthy:
        assert found.conflict == ()
        return ()
    against = (held for held in subsets(numbers) if not left(circuit, record, considered, held))
    assert found.conflict == next(against)
    return found.conflict


def volts(red: str, black: str, value: float) -> Measured:
    """Return a reading of volts."""
    return Measured(Probe(VOLTS, red, black), show(VOLTS, value))


ON = Move("set", "key", "on")


@pytest.mark.parametrize(
    ("actions", "size"),
    [
        ((ON, Observed({"lamp": "lit"}), volts("G1:+", "G1:-", 12.0), Observed({"lamp": "off"})), 2),
        ((ON, volts("S1:1", "S1:2", 4.0), volts("P1:2", "G1:-", 4.0), Observed({"lamp": "off"})), 2),
        ((ON, volts("P1:1", "P1:2", 48.0), Observed({"lamp": "lit"})), 1),
        ((Observed({"lamp": "off"}), ON, Observed({"lamp": "dim"}), volts("G1:+", "FRAME", 12.0)), 0),
        # One value of a crimp for each, none for all three: 8 V on the lamp is 4.5 Ω, the others are 9.5 Ω and 19.5 Ω.
        ((ON, volts("P1:1", "P1:2", 8.0), volts("P1:1", "P1:2", 6.0), volts("P1:1", "P1:2", 4.0)), 2),
        # 12 V at both ends of the switch and 12 V over the lamp, dark: no single thing.
        ((ON, volts("P1:1", "P1:2", 12.0), volts("S1:2", "FRAME", 0.0), Observed({"lamp": "off"})), 2),
    ],
)
def test_no_smaller_conflict(actions: tuple[Action, ...], size: int) -> None:
    """Brute force over all subsets of the findings of a record of the shed's lamp, with its whole universe."""
    conflict = check_conflict(SHED, Record(SHED.name, actions), list(universe(SHED).values()))
    assert len(conflict) == size


@settings(max_examples=20)
@given(circuits(most=3), st.data())
def test_no_smaller_conflict_on_random_circuits(circuit: Circuit, data: st.DataObject) -> None:
    """Whatever was found, true or not: the conflict is the smallest, and the earliest of its size."""
    known = list(universe(circuit).values())
    places = data.draw(st.lists(st.integers(0, len(known) - 1), max_size=5, unique=True))
    considered = [known[place] for place in places]
    actions = data.draw(any_actions(Machine(circuit, (data.draw(faults(circuit)),)), most=6))
    record = Record(circuit.name, actions)
    assume(sum(1 for _ in record.findings()) <= 4)
    event(f"conflict of {len(check_conflict(circuit, record, considered))}")
