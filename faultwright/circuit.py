"""The circuit as its author wrote it: parts, wires, controls and what the machine does.

A description holds no voltages and no history; those belong to a machine (``machine.py``). Terminals
are written ``PART:PIN`` (IEC 61666); ``FRAME`` is the machine's metal.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from itertools import product
from math import prod
from typing import TYPE_CHECKING, cast

from . import conductors

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

FRAME = "FRAME"


@dataclass(frozen=True, slots=True)
class Control:
    """Something the operator moves; ``positions[0]`` is its position at rest."""

    name: str
    label: str
    positions: tuple[str, ...]
    springs_to: str | None = None


@dataclass(frozen=True, slots=True)
class Contact:
    """A contact between two pins, closed in the named positions (or ``energised`` / ``released``)."""

    pins: tuple[str, str]
    closed_in: tuple[str, ...]

    @property
    def name(self) -> str:
        """The contact as the trade writes it: ``13-14``."""
        return "-".join(self.pins)


class _Key:
    """A description that holds tables and is a key all the same: what follows from it is remembered by it.

    A frozen dataclass makes a hash of its own unless it takes this one over by name.
    """

    def _fields(self) -> dict[str, object]:
        return {field.name: getattr(self, field.name) for field in fields(cast("DataclassInstance", self))}

    @cached_property
    def _content_hash(self) -> int:
        values = self._fields().values()
        return hash(tuple(frozenset(value.items()) if isinstance(value, Mapping) else value for value in values))

    def __hash__(self) -> int:
        """Hash by content, worked out once."""
        return self._content_hash

    def __getstate__(self) -> dict[str, object]:
        """Return the fields alone: a hash holds in one process only."""
        return self._fields()


@dataclass(frozen=True)
class Part(_Key):
    """A part of the machine. ``values`` holds every property of its kind, in base units, defaults included."""

    name: str
    kind: str
    values: Mapping[str, float | str] = field(default_factory=dict)
    contacts: tuple[Contact, ...] = ()
    control: str | None = None

    __hash__ = _Key.__hash__

    def number(self, key: str) -> float:
        """Return a numeric property (Ω, V, A, W)."""
        return float(self.values[key])


@dataclass(frozen=True)
class Wire:
    """A wire between two terminals; ``start`` is its ``from`` end. Area in mm², length in m, °C."""

    name: str
    start: str
    end: str
    area: float | None = 1.5
    length: float = 1.0
    gauge: float | None = None
    conductor_class: int = 5
    temperature: float = 20.0
    given_resistance: float | None = None
    colour: str = ""
    plating: str = conductors.PLAIN

    @cached_property
    def resistance(self) -> float:
        """The wire's resistance in Ω: as given, or from area, length, class, plating and temperature."""
        if self.given_resistance is not None:
            return self.given_resistance
        return conductors.wire_resistance(
            length=self.length,
            area=self.area,
            gauge=self.gauge,
            conductor_class=self.conductor_class,
            celsius=self.temperature,
            plating=self.plating,
        )


LATCHED = "latched"


@dataclass(frozen=True, slots=True)
class Behaviour:
    """Something the machine is seen to do.

    ``kind`` is the kind of part it follows (``motor``, ``lamp`` …) with ``part`` its name, or
    ``latched`` with the entries that start and keep it.
    """

    name: str
    kind: str
    part: str = ""
    starts_when: tuple[str, ...] = ()
    keeps_while: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SafetyNote:
    """A caution with its signal word (ISO 3864-2: danger, warning, caution, notice)."""

    signal: str
    text: str


@dataclass(frozen=True)
class Circuit(_Key):
    """A whole circuit. ``reach`` maps a terminal to what must be unplugged before it can be probed (or ``""``)."""

    name: str
    title: str
    nominal: float
    parts: Mapping[str, Part]
    wires: Mapping[str, Wire]
    controls: Mapping[str, Control] = field(default_factory=dict)
    behaviour: Mapping[str, Behaviour] = field(default_factory=dict)
    safety: tuple[SafetyNote, ...] = ()
    reach: Mapping[str, str] = field(default_factory=dict)
    paths: tuple[tuple[str, ...], ...] = ()

    __hash__ = _Key.__hash__

    @cached_property
    def wired(self) -> Mapping[str, tuple[str, ...]]:
        """Terminal → the names of the wires that land there; only terminals with a wire."""
        landing: dict[str, tuple[str, ...]] = {}
        for wire in self.wires.values():
            for terminal in dict.fromkeys((wire.start, wire.end)):
                landing[terminal] = (*landing.get(terminal, ()), wire.name)
        return landing

    def rest(self) -> dict[str, str]:
        """Return every control in its first position."""
        return {control.name: control.positions[0] for control in self.controls.values()}

    def switch_positions(self, state: Mapping[str, str]) -> dict[str, str]:
        """Return each switch's position where the controls stand as in ``state``: its control's."""
        return {part.name: state[part.control] for part in self.parts.values() if part.control is not None}

    @property
    def state_count(self) -> int:
        """How many combinations of control positions there are."""
        return prod(len(control.positions) for control in self.controls.values())

    @property
    def latched(self) -> tuple[str, ...]:
        """The behaviours that latch on, by name."""
        return tuple(one.name for one in self.behaviour.values() if one.kind == LATCHED)

    def states(self) -> Iterator[dict[str, str]]:
        """Yield every combination of control positions, the last control changing fastest, rest first."""
        for positions in product(*(control.positions for control in self.controls.values())):
            yield dict(zip(self.controls, positions, strict=True))


def split_terminal(terminal: str) -> tuple[str, str]:
    """Return part and pin of ``PART:PIN``; the pin is empty for a bare name such as ``FRAME``."""
    part, _, pin = terminal.partition(":")
    return part, pin
