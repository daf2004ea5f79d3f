"""The most that what is put in must bear, over every way in which the machine can stand with it."""

from __future__ import annotations

from dataclasses import dataclass

from faultwright.assembly import build
from faultwright.circuit import Circuit
from faultwright.faults import Fault

from .standing import standings


@dataclass(frozen=True, slots=True)
class Load:
    """The worst current in A through what a fault adds or changes, and the fuses that open in some state."""

    current: float
    blown: tuple[str, ...]

    def power(self, ohms: float) -> float:
        """Return the power in W of a resistor that carries it, by Joule's law: P = I²·R."""
        return self.current**2 * ohms


def worst_load(circuit: Circuit, fault: Fault) -> Load:
    """Return what flows at worst where a fault lies: through the branches that the sound machine does not have."""
    sound = build(circuit).branches
    most, blown = 0.0, set[str]()
    changed: list[int] = []
    for _, settled in standings(circuit, [fault]):
        if not changed:
            changed = [index for index, branch in enumerate(settled.network.branches) if branch not in sound]
        blown |= settled.blown
        most = max(most, *(abs(float(settled.current(index))) for index in changed), 0.0)
    return Load(most, tuple(sorted(blown)))


def highest_voltage(circuit: Circuit, fault: Fault, terminal: str) -> float:
    """Return the highest voltage in V against FRAME, either way round, at a terminal with a fault in the machine."""
    return max(abs(float(settled.voltage(terminal))) for _, settled in standings(circuit, [fault]))
