"""What forbids a fault on a real machine: a guard defeated where something can move, or a current that no fuse ends.

Common practice of the trade, without a source. Whoever puts a fault in remains responsible: the rule sees what the
circuit file says, and nothing of what lies round the machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from faultwright.can_hurt import functions_that_hurt, loads_that_hurt
from faultwright.circuit import Circuit
from faultwright.faults import Fault
from faultwright.quantities import show_quantity
from faultwright.solve import NOTABLY
from faultwright.state_table import state_table

from .control_states import state_in_words
from .standing import drawn, fuse_currents, standings
from .texts import text

SHORT_FACTOR = 3.0
"""Multiple of the most that a sound machine takes, from which an unfused current counts as a short."""


class Kind(StrEnum):
    """What is dangerous."""

    SHORT = "short"
    OVERLOAD = "overload"
    GUARD = "guard"


@dataclass(frozen=True, slots=True)
class Danger:
    """Why a fault must not be set up, in words."""

    kind: Kind
    words: str


class SetUpRule:
    """The rule for one circuit; what its sound machine does and takes is worked out once."""

    def __init__(self, circuit: Circuit) -> None:
        """Go through every state of the sound machine. Raises Refused where there are too many of them."""
        self.circuit = circuit
        self.hurting = functions_that_hurt(circuit, loads_that_hurt(circuit))
        self.rows = list(state_table(circuit))
        self.most_drawn = 0.0
        self.bears: dict[str, float] = {
            part.name: part.number("rating") for part in circuit.parts.values() if part.kind == "fuse"
        }
        for _, settled in standings(circuit):
            self.most_drawn = max(self.most_drawn, drawn(settled))
            for fuse, current in fuse_currents(settled).items():
                self.bears[fuse] = max(self.bears[fuse], current)

    def dangers(self, fault: Fault) -> tuple[Danger, ...]:
        """Return what forbids a fault, one danger of each kind; an intermittent fault counts as there for good."""
        found: dict[Kind, Danger] = {}
        permanent = replace(fault, disturbed=False)
        for danger in (*self._currents(permanent), *self._guards(permanent)):
            found.setdefault(danger.kind, danger)
        return tuple(found.values())

    def _currents(self, fault: Fault) -> Iterator[Danger]:
        """Yield unfused shorts, and fuses that carry more than they bear and do not open."""
        for state, settled in standings(self.circuit, [fault]):
            current = drawn(settled)
            if not current <= SHORT_FACTOR * self.most_drawn:
                yield Danger(Kind.SHORT, self._said("short", state, current=_amps(current)))
            for fuse, through in fuse_currents(settled).items():
                if not through <= self.bears[fuse] * NOTABLY:
                    words = {"fuse": fuse, "current": _amps(through), "bears": _amps(self.bears[fuse])}
                    yield Danger(Kind.OVERLOAD, self._said("overload", state, **words))

    def _guards(self, fault: Fault) -> Iterator[Danger]:
        """Yield what can hurt and can go on where the sound machine's cannot, whatever was done before."""
        for sound, faulty in zip(self.rows, state_table(self.circuit, [fault]), strict=True):
            for name in self.circuit.behaviour:
                if name in self.hurting and sound.seen[name] is False and faulty.seen[name] is not False:
                    yield Danger(Kind.GUARD, self._said("guard", faulty.state, behaviour=name))

    def _said(self, kind: str, state: Mapping[str, str], **words: str) -> str:
        return text(f"danger.{kind}", state=state_in_words(self.circuit, state), **words)


def _amps(current: float) -> str:
    return show_quantity(current, "A", 2)
