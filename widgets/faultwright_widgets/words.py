"""Findings, readings and steps in a person's words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from faultwright.behaviour import Seen
from faultwright.circuit import Circuit
from faultwright.machine import Machine, Step
from faultwright.meter import AMPS, CONTINUITY, FLOATING, OK, OVERLOAD, Probe, Reading
from faultwright.moves import NOTHING
from faultwright.quantities import show_quantity
from faultwright.record import Action, Measured, Observed

from .texts import text


def seen_words(value: Seen) -> str:
    """Return what a behaviour is seen to do: ``yes`` or ``no``, for a lamp ``off``, ``dim`` or ``lit``."""
    if value is None:
        return text("seen.endless")
    return text(f"seen.{value if isinstance(value, str) else str(value).lower()}")


def seen_level(value: Seen) -> str:
    """Return how far something is on, for its picture: off, dim or on; unsteady where it changes without end."""
    if value is None:
        return "unsteady"
    return {"off": "off", "dim": "dim", "lit": "on", False: "off", True: "on"}[value]


def all_seen_words(seen: Mapping[str, Seen]) -> str:
    """Return everything noted at once: ``neutral lamp: lit, cranks: no``."""
    return ", ".join(f"{plain_name(name)}: {seen_words(value)}" for name, value in seen.items())


def plain_name(name: str) -> str:
    """Return a name of the circuit file as a person reads it: ``neutral lamp``."""
    return name.replace("_", " ")


def as_written(typed: str, known: Sequence[str]) -> str:
    """Return the name meant by what was typed, where only capitals tell it from exactly one that is known."""
    alike = [name for name in known if name.casefold() == typed.casefold()]
    return alike[0] if typed not in known and len(alike) == 1 else typed


def notices(step: Step) -> list[str]:
    """Return what else is noticed after a move: relays that click or buzz, and fuses that have gone."""
    return [
        *(text("seen.clicks", click=click) for click in step.clicks),
        *(text("seen.buzzes", part=part) for part in step.buzzes),
        *(text("seen.blown", part=part) for part in step.blown),
    ]


def what_was_measured(probe: Probe) -> str:
    """Return a measurement in words: meter mode and where the leads are."""
    mode = text(f"mode.{probe.mode}")
    if probe.mode == AMPS and not probe.black:
        what = text("findings.series", mode=mode, red=probe.red)
    else:
        what = text("findings.reading", mode=mode, red=probe.red, black=probe.black)
    return text("findings.alone", what=what, part=probe.alone) if probe.alone else what


def shown(reading: Reading) -> str:
    """Return what the meter shows, as text; a reading taken up from a file may lack its display."""
    if reading.display:
        return reading.display
    return {OVERLOAD: "OL", FLOATING: show_quantity(0.0, reading.unit)}.get(reading.status, "----")


def finding_words(finding: Action) -> tuple[str, str]:
    """Return what was looked at or measured, and what it showed."""
    if isinstance(finding, Measured):
        return what_was_measured(finding.probe), shown(finding.reading)
    assert isinstance(finding, Observed)  # noqa: S101 - a finding is one of the two
    return text("findings.seen"), all_seen_words(finding.seen)


def remarks(probe: Probe, reading: Reading, *, energised: bool = False) -> list[str]:
    """Return what the trade says about a reading: its status, the beep, and a source left on."""
    found = [] if reading.status == OK else [text(f"status.{reading.status}")]
    if reading.beeps is not None and probe.mode == CONTINUITY:
        found.append(text("status.beeps" if reading.beeps else "status.silent"))
    if energised:
        found.append(text("status.energised"))
    return found


def state_words(circuit: Circuit, state: Mapping[str, str]) -> str:
    """Return a control state in the machine's own words: ``Key switch on, Tank float low``."""
    return ", ".join(f"{circuit.controls[name].label} {position}" for name, position in state.items())


def across_a_switch(circuit: Circuit, first: str, second: str) -> bool:
    """Say whether a jumper lies across an operated contact, at its own terminals or at the wires' far ends."""
    ends = {_joined_by_wires(circuit, first), _joined_by_wires(circuit, second)}
    return any(
        {_joined_by_wires(circuit, f"{part.name}:{pin}") for pin in contact.pins} == ends
        for part in circuit.parts.values()
        if part.control is not None
        for contact in part.contacts
    )


def _joined_by_wires(circuit: Circuit, terminal: str) -> frozenset[str]:
    """Return the terminals that wires alone join to this one, itself included."""
    found, new = {terminal}, {terminal}
    while new:
        ends = [{wire.start, wire.end} for wire in circuit.wires.values()]
        new = {end for pair in ends if pair & new for end in pair} - found
        found |= new
    return frozenset(found)


def wiring_rows(machine: Machine, test_lamps: Mapping[str, str]) -> list[dict[str, str]]:
    """Return what has been done to the wiring, in words, each with its undoing; ``lamp`` is for its picture."""
    found = []
    for target in sorted(machine.wiring.unplugged):
        whole = target in machine.circuit.parts
        says = text("wiring.unplugged" if whole else "wiring.lifted", target=target)
        undo = text("wiring.mate" if whole else "wiring.join", target=target)
        found.append({"words": says, "undo": undo, "move": f"mate={target}"})
    for target in sorted(machine.wiring.substituted):
        says = text("wiring.substituted", target=target)
        found.append({"words": says, "undo": text("wiring.restore", target=target), "move": f"restore={target}"})
    for first, second in machine.wiring.bridges:
        says = text("wiring.bridge", first=first, second=second)
        found.append({"words": says, "undo": text("wiring.unbridge"), "move": f"unbridge={first},{second}"})
    for first, second in machine.wiring.loads:
        lamp = test_lamps.get(f"{first},{second}", "off")
        says = text("wiring.load", first=first, second=second, lamp=seen_words(lamp))
        move = f"unload={first},{second}"
        found.append({"words": says, "undo": text("wiring.unload"), "move": move, "lamp": seen_level(lamp)})
    if machine.disturbed:
        says = text("wiring.disturbed", target=machine.disturbed)
        found.append({"words": says, "undo": text("wiring.leave"), "move": f"disturb={NOTHING}"})
    return found
