"""Which faults may be put into a real machine; why not; and which others teach nearly the same and may be.

On a training board nothing moves, so a guard may be defeated there. An unfused short never is set up, nor anything at
more than extra-low voltage.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from faultwright.cautions import EXTRA_LOW
from faultwright.circuit import Circuit
from faultwright.errors import Mistake, Refused
from faultwright.faults import Fault, part_of, universe
from faultwright.parts import Role, branches
from faultwright.quantities import show_quantity

from .complaint import Complaints
from .dangers import Kind, SetUpRule
from .preferred_values import E12, decades
from .set_up import Impractical, SetUp, set_up
from .texts import text

MOST_INSTEAD = 3
"""Faults that are named in another's stead."""
FURTHEST = 100.0
"""Ratio up to which another value of the same fault is looked for."""


@dataclass(frozen=True, slots=True)
class Instead:
    """A fault that may be put in where another may not, and what it has in common with that, in words."""

    fault: Fault
    words: str

    def __str__(self) -> str:
        return text("instead.one", fault=self.fault, words=self.words)


class Permission:
    """What may be set up on one circuit: on a machine that can move, or (``board``) on a board where nothing moves."""

    def __init__(self, circuit: Circuit, *, board: bool = False) -> None:
        """Take the circuit. Raises Refused where there are too many control states."""
        self.circuit, self.board = circuit, board
        self.rule = SetUpRule(circuit)

    @cached_property
    def complaints(self) -> Complaints:
        """The complaints of the circuit."""
        return Complaints(self.circuit)

    def forbidden(self, fault: Fault) -> list[str]:
        """Return why a fault must not be put in, in words; empty if nothing forbids it."""
        inside = [branch for part in self.circuit.parts.values() for branch in branches(part)]
        volts = max((branch.emf for branch in inside if branch.role is Role.SOURCE), default=0.0)
        found = [text("refused.voltage", volts=show_quantity(volts, "V"))] if volts > EXTRA_LOW else []
        dangers = self.rule.dangers(fault)
        return found + [danger.words for danger in dangers if not (self.board and danger.kind is Kind.GUARD)]

    def defeats_a_guard(self, fault: Fault) -> bool:
        """Say whether a fault defeats a guard: on a board that is allowed, and told."""
        return any(danger.kind is Kind.GUARD for danger in self.rule.dangers(fault))

    def against(self, fault: Fault) -> list[str]:
        """Return what speaks against a fault, in words: what forbids it, or that there is no practical way."""
        found = self.forbidden(fault)
        way = None if found else set_up(self.circuit, fault)
        return [way.words] if isinstance(way, Impractical) else found

    def way(self, fault: Fault) -> SetUp:
        """Return how a fault is put in. Raises Refused, with others in its stead, where it may not be or cannot."""
        self.check(fault)
        found = set_up(self.circuit, fault)
        if isinstance(found, Impractical):
            raise self._refusal("impractical", fault, [found.words])
        return found

    def check(self, fault: Fault) -> None:
        """Raise Refused, with others in its stead, where something forbids a fault."""
        reasons = self.forbidden(fault)
        if reasons:
            raise self._refusal("forbidden", fault, reasons)

    def _refusal(self, kind: str, fault: Fault, reasons: Sequence[str]) -> Refused:
        instead = text("instead.join").join(map(str, self.instead(fault))) or text("instead.none")
        told = text(f"refused.{kind}", reasons=text("refused.join").join(reasons), instead=instead)
        return Refused(Mistake(told, str(fault)))

    # Others

    def instead(self, fault: Fault) -> list[Instead]:
        """Return faults that may be put in and teach nearly the same."""
        found: list[Instead] = []
        for other, words in self._others(fault):
            if len(found) == MOST_INSTEAD:
                break
            if other.name not in {one.fault.name for one in found} and not self.against(other):
                found.append(Instead(other, words))
        return found

    def _others(self, fault: Fault) -> Iterator[tuple[Fault, str]]:
        """Yield other faults with a complaint, those that teach most nearly the same first."""
        same, *alike = self.complaints.suspects(fault)
        table = self.complaints.table(same)
        values = [replace(same, value=value) for value in _other_values(same)]
        part = part_of(fault.place)
        known = [other for other in universe(self.circuit).values() if other.name != same.name]
        ordered = sorted(alike, key=lambda other: part_of(other.place) != part)
        yield from ((other, text("instead.value")) for other in values if self.complaints.table(other) == table)
        yield from ((other, text("instead.complaint")) for other in ordered)
        yield from ((other, text("instead.other_value")) for other in values if self._shows(other))
        yield from (
            (other, text("instead.place")) for other in known if other.place == fault.place and self._shows(other)
        )
        yield from (
            (other, text("instead.part", part=part))
            for other in known
            if part_of(other.place) == part and self._shows(other)
        )

    def _shows(self, fault: Fault) -> bool:
        """Say whether anything is seen of a fault."""
        return self.complaints.table(fault) != self.complaints.sound_table


def _other_values(fault: Fault) -> list[float]:
    """Return the common values near a fault's own, the nearest first."""
    if fault.value is None:
        return []
    own = fault.value
    ratio = {ohms: max(ohms / own, own / ohms) for ohms in decades(E12)}
    return sorted((ohms for ohms in ratio if 1 < ratio[ohms] <= FURTHEST), key=ratio.__getitem__)
