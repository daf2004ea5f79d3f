"""The electrics at given contacts: which diodes conduct, which motors turn, how warm filaments are.

Termination is bounded by construction: diode flips by :data:`MOST_FLIPS_PER_DIODE`, then by trying every
pattern; motors only ever start; filaments warm in :data:`MOST_WARMINGS` steps at most.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import product
from typing import Any, NamedTuple

from .circuit import Part
from .elimination import Program, compiled
from .errors import Mistake, Refused
from .network import OPEN, Branch, Network
from .parts import Role, lamp_resistance

MOST_FLIPS_PER_DIODE = 16

MOST_DIODES_TRIED = 12
MOST_WARMINGS = 200
FILAMENT_EXPONENT = 0.45
"""R of a filament grows with V to this power, since I ∝ V^0.55 (from memory)."""
_WARM_ENOUGH = 1e-13

_ROUNDING = 1e-14
"""Share of the sum of emfs below which a voltage is rounding, not a voltage."""


@dataclass(eq=False, slots=True)
class Settled:
    """A settled network: node voltages in V, branch conductances in S and emfs in V, and what is on.

    ``between`` is the conductance in S between the meter's leads without the meter (None without a meter).
    ``buzzing`` holds the relays that never settle; ``pattern`` the settled electrics of each round of it. ``course``
    is how the relays stood round by round on the way, from the first to the last.
    Nobody changes one that has settled: it is handed out again when the same is asked.
    """

    network: Network
    voltages: tuple[Any, ...]
    conductances: list[Any]
    emfs: list[Any]
    relays: dict[str, bool]
    blown: frozenset[str]
    turning: frozenset[int] = frozenset()
    conducting: frozenset[int] = frozenset()
    between: Any = None
    buzzing: frozenset[str] = frozenset()
    pattern: list[Settled] = field(default_factory=list)
    course: list[dict[str, bool]] = field(default_factory=list)

    def current(self, index: int) -> Any:  # noqa: ANN401 - float, or Fraction in the exact solution
        """Return the current in A through a branch, from its node ``a`` to ``b``."""
        a, b = self.network.ends[index]
        return self.conductances[index] * (self.voltages[a] + self.emfs[index] - self.voltages[b])

    def currents(self) -> tuple[Any, ...]:
        """Return the current in A through every branch of a network without a meter, from its node ``a`` to ``b``.

        Slower than :meth:`current`, and right relative to the currents at the branch's nodes where that takes the
        difference of two voltages that are nearly the same.
        """
        network = self.network
        program = compiled(len(network.names), network.ends, network.with_emf, currents=True)
        return program(self.conductances, self.emfs)

    def voltage(self, terminal: str) -> Any:  # noqa: ANN401 - float, or Fraction in the exact solution
        """Return the voltage in V of a terminal against FRAME."""
        return self.voltages[self.network.node[terminal]]


class _Diode(NamedTuple):
    """A diode's branch, from node ``a`` to ``b``; its drop in V and its conductance in S while it conducts."""

    branch: int
    a: int
    b: int
    drop: float
    closed: float


class _Motor(NamedTuple):
    """A motor that draws another current when it turns: its branch, the A it turns from, its S when turning."""

    branch: int
    a: int
    b: int
    turns_from: float
    turning: float


class Electrics:
    """The diodes, motors and filaments of one network."""

    def __init__(self, network: Network) -> None:
        """Sort the branches by what they do."""
        self.network = network
        branches, by_role = network.branches, network.by_role
        self.diodes = [
            _Diode(index, branches[index].a, branches[index].b, part.number("forward_drop"), branches[index].closed)
            for index, part in self._parts(Role.DIODE)
            if branches[index].resistance is not None
        ]
        self.motors = [
            _Motor(
                index, branches[index].a, branches[index].b, part.number("turns_from"),
                branches[index].conductance(network.circuit.nominal / part.number("running")),
            )
            for index, part in self._parts(Role.MOTOR)
            if part.number("running")
        ]  # fmt: skip
        self.filaments = [
            (index, part)
            for index, part in self._parts(Role.LAMP)
            if part.values["filament"] == "on" and branches[index].resistance is not None
        ]
        self.conductances = [OPEN if branch.role is Role.DIODE else branch.closed for branch in branches]
        self.passive_conductances = list(self.conductances)
        for index in by_role[Role.LAMP]:
            cold = network.circuit.parts[branches[index].part].number("cold")
            self.passive_conductances[index] = branches[index].conductance(cold)
        self.emfs = [branch.emf for branch in branches]
        self.rounding = rounding(sum(abs(emf) for emf in self.emfs))
        self._conducted: frozenset[int] = frozenset()

    def _parts(self, role: Role) -> list[tuple[int, Part]]:
        network = self.network
        return [(index, network.circuit.parts[network.branches[index].part]) for index in network.by_role[role]]

    def settle(self, program: Program, settled: Settled, meter_emf: float, *, passive: bool) -> None:
        """Settle at the conductances and emfs that ``settled`` holds: all diodes off, all motors still.

        The diodes are tried first as they conducted when last settled: which conduct in the end follows from the
        circuit alone. ``passive`` says that a meter's own source is all there is: motors stand still, lamps are cold.
        """
        least = self.rounding + _ROUNDING * abs(meter_emf)
        for diode in self.diodes:
            if diode.branch in self._conducted:
                _set_diode(settled, diode, on=True)
        for _ in range(MOST_WARMINGS + len(self.motors)):
            self._settle_diodes(program, settled, least)
            if passive or not (self._start_motors(settled) or self._warm_filaments(settled)):
                break
        self._let_go_of_idle_diodes(program, settled, least)
        self._conducted = settled.conducting

    def _start_motors(self, settled: Settled) -> bool:
        """Start the motors that stand still with enough current to turn and draw another current then."""
        volts, conductances = settled.voltages, settled.conductances
        starting = [
            motor
            for motor in self.motors
            if abs(conductances[motor.branch] * (volts[motor.a] - volts[motor.b])) >= motor.turns_from
            and motor.branch not in settled.turning
        ]
        for motor in starting:
            conductances[motor.branch] = motor.turning
            settled.turning |= {motor.branch}
        return bool(starting)

    def _warm_filaments(self, settled: Settled) -> bool:
        """Bring every filament to the resistance of its voltage; say whether any is still on its way.

        I ∝ V^0.55, so R ∝ V^0.45: each step takes less than half of the way that is left to go.
        """
        warming = False
        for index, lamp in self.filaments:
            now = element_resistance(settled, index)
            share = float(abs(settled.current(index))) * now / lamp.number("voltage")
            after = max(lamp.number("cold"), lamp_resistance(lamp) * share**FILAMENT_EXPONENT)
            if abs(after - now) > _WARM_ENOUGH * now:
                settled.conductances[index] = self.network.branches[index].conductance(after)
                warming = True
        return warming

    def _settle_diodes(self, program: Program, settled: Settled, least: float) -> None:
        """Flip the first wrong diode until none is (Murty's least-index rule).

        After a bounded number of flips try every pattern; over 4,000 random circuits that was never needed.
        Raises Refused, naming the diodes, where none fits or there are too many to try.
        """
        _run(program, settled)
        for _ in range(MOST_FLIPS_PER_DIODE * len(self.diodes) + 1):
            wrong = next((diode for diode in self.diodes if _is_wrong(settled, diode, least)), None)
            if wrong is None:
                return
            _set_diode(settled, wrong, on=wrong.branch not in settled.conducting)
            _run(program, settled)
        count = len(self.diodes)
        for pattern in product((False, True), repeat=count) if count <= MOST_DIODES_TRIED else ():
            for diode, on in zip(self.diodes, pattern, strict=True):
                _set_diode(settled, diode, on=on)
            _run(program, settled)
            if not any(_is_wrong(settled, diode, least) for diode in self.diodes):
                return
        names = ", ".join(self.network.branches[diode.branch].part for diode in self.diodes)
        raise Refused(Mistake(f"these diodes find no state in which all agree: {names}", self.network.circuit.name))

    def _let_go_of_idle_diodes(self, program: Program, settled: Settled, least: float) -> None:
        """At zero current a diode is off: open those that conduct nothing, so that floating is seen as such."""
        if not settled.conducting:
            return
        volts = settled.voltages
        idle = [
            diode
            for diode in self.diodes
            if diode.branch in settled.conducting and abs(volts[diode.a] - diode.drop - volts[diode.b]) <= least
        ]
        for diode in idle:
            _set_diode(settled, diode, on=False)
        if idle:
            _run(program, settled)


def _run(program: Program, settled: Settled) -> None:
    found = program(settled.conductances, settled.emfs)
    settled.voltages, settled.between = found[:-1], found[-1]


def _set_diode(settled: Settled, diode: _Diode, *, on: bool) -> None:
    settled.conductances[diode.branch] = diode.closed if on else OPEN
    settled.emfs[diode.branch] = -diode.drop if on else 0.0
    settled.conducting = settled.conducting | {diode.branch} if on else settled.conducting - {diode.branch}


def _is_wrong(settled: Settled, diode: _Diode, least: float) -> bool:
    """Say whether a diode's state contradicts its voltage: off above its drop, or on with current backwards."""
    excess = settled.voltages[diode.a] - settled.voltages[diode.b] - diode.drop
    return bool(excess < -least if diode.branch in settled.conducting else excess > least)


def rounding(emfs: float) -> float:
    """Return the V below which a voltage is rounding, where all emfs together are ``emfs`` V."""
    return _ROUNDING * (1 + emfs)


def element_resistance(settled: Settled, index: int) -> float:
    """Return the resistance in Ω that a branch's element has now, without what is in series; 0 if interrupted."""
    conductance = float(settled.conductances[index])
    return 1 / conductance - settled.network.branches[index].series if conductance else 0.0


def turns(settled: Settled, index: int, branch: Branch) -> bool:
    """Say whether a motor turns: it has started, or takes enough current where it only has a winding."""
    motor = settled.network.circuit.parts[branch.part]
    return index in settled.turning or abs(settled.current(index)) >= motor.number("turns_from")
