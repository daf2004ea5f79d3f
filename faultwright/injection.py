"""What faults change in a circuit, gathered in one object that the network is built from.

Faults edit elements; conductances are then summed anew. Nothing is ever subtracted to undo a fault.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from .circuit import FRAME, Circuit
from .faults import COIL_SHORT, SHORT, Fault
from .parts import branches, sources


@dataclass
class Injection:
    """The edits, keyed by place: a wire, ``PART``, ``PART CONTACT``, ``X1:2`` or a joint ``PART:PIN``.

    ``series`` in Ω; ``shorted`` the resistance in Ω that takes the element's place; ``fixed`` holds contacts
    that no longer move (True: closed); ``shorts`` of wires ``(name, start, end, Ω)``, by the terminal where the wire
    starts and where the short ends.
    """

    broken: set[str] = field(default_factory=set)
    series: dict[str, float] = field(default_factory=dict)
    shorted: dict[str, float] = field(default_factory=dict)
    fixed: dict[str, bool] = field(default_factory=dict)
    sticking: set[str] = field(default_factory=set)
    discharged: set[str] = field(default_factory=set)
    reversed: set[str] = field(default_factory=set)
    leaky: set[str] = field(default_factory=set)
    swapped: dict[str, str] = field(default_factory=dict)
    shorts: list[tuple[str, str, str, float]] = field(default_factory=list)

    def add_series(self, place: str, value: float) -> None:
        """Put ``value`` Ω in series at a place; two such faults add up."""
        self.series[place] = self.series.get(place, 0.0) + value


def inject(circuit: Circuit, faults: Iterable[Fault]) -> Injection:
    """Return what ``faults`` change; their values are in place already (``parse_fault`` sets defaults)."""
    edits = Injection()
    for fault in faults:
        _inject_one(edits, circuit, fault)
    return edits


def first_supply(circuit: Circuit) -> str | None:
    """Return the ``+`` terminal of the first source, where a wire shorted to supply ends."""
    return next((f"{name}:+" for name in sources(circuit)), None)


def _inject_one(edits: Injection, circuit: Circuit, fault: Fault) -> None:  # noqa: C901 - one flat case a mode
    place, value = fault.place, fault.value or 0.0
    part = circuit.parts.get(place)
    key, mode = place, fault.mode
    if part is not None:
        key, mode = _element(part.name, mode, [branch.name for branch in branches(part)])
    match mode:
        case "open" if part is not None and part.kind == "input":
            edits.broken.add(f"{place}:in")  # cut off at the pin, so that the pull inside stays with it
        case "open":
            edits.broken.add(key)
        case "resistance":
            edits.add_series(key, value)
        case "stuck open" | "stuck closed":
            edits.fixed[key] = mode == "stuck closed"
        case "sticking":
            edits.sticking.add(place)
        case "shorted":
            edits.shorted[key] = COIL_SHORT if key.endswith(" coil") else SHORT
        case "discharged":
            edits.discharged.add(place)
        case "reversed":
            edits.reversed.add(place)
        case "leaky":
            edits.leaky.add(place)
        case "shorted to ground" | "shorted to supply":
            end = FRAME if mode == "shorted to ground" else first_supply(circuit) or FRAME
            edits.shorts.append((f"{place} {mode}", circuit.wires[place].start, end, SHORT))
        case _:
            _swap(edits, place, mode.removeprefix("swapped with "))


def _element(part: str, mode: str, names: list[str]) -> tuple[str, str]:
    """Return the element that a part's fault lies in, and the plain mode.

    ``K1`` with ``30-87 stuck open`` gives ``K1 30-87`` and ``stuck open``.
    """
    for name in names:
        if name and mode.startswith(f"{name} "):
            return f"{part} {name}", mode.removeprefix(f"{name} ")
    only = names[0] if len(names) == 1 else ""
    return (f"{part} {only}" if only else part), mode


def _swap(edits: Injection, first: str, second: str) -> None:
    """Exchange what lands on the ``b`` half of two pins of a connector."""
    ends = []
    for place in (first, second):
        connector, _, pin = place.partition(":")
        ends.append(f"{connector}:b{pin}")
    edits.swapped[ends[0]], edits.swapped[ends[1]] = ends[1], ends[0]
