"""Findings, readings and steps in a person's words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import count

from faultwright.behaviour import Seen
from faultwright.circuit import Circuit
from faultwright.machine import Machine, Step
from faultwright.meter import AMPS, CONTINUITY, FLOATING, OK, OVERLOAD, Probe, Reading
from faultwright.moves import NOTHING, REST, SET, Move
from faultwright.network import Wiring
from faultwright.quantities import show_quantity
from faultwright.record import Action, Inspected, Measured, Observed

from .texts import text


def seen_words(value: Seen) -> str:
    """Return what a behaviour is seen to do: ``yes`` or ``no``, for a lamp ``off``, ``dim`` or ``lit``."""
    if value is None:
        return text("seen.endless")
    return text(f"seen.{value if isinstance(value, str) else str(value).lower()}")


def all_seen_words(seen: Mapping[str, Seen]) -> str:
    """Return everything noted at once: ``neutral lamp: lit, cranks: no``."""
    return ", ".join(f"{plain_name(name)}: {seen_words(value)}" for name, value in seen.items())


def plain_name(name: str) -> str:
    """Return a name of the circuit file as a person reads it: ``neutral lamp``."""
    return name.replace("_", " ")


def notices(step: Step) -> list[str]:
    """Return what else is noticed after a move: relays that buzz and fuses that have gone."""
    return [text("seen.buzzes", part=part) for part in step.buzzes] + [
        text("seen.blown", part=part) for part in step.blown
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


@dataclass(frozen=True, slots=True)
class Situation:
    """How the machine stood when something was done: controls, wiring, what was disturbed, repairs so far."""

    state: Mapping[str, str]
    wiring: Wiring
    disturbed: str
    repairs: int

    @property
    def untouched(self) -> bool:
        """Whether nothing is unplugged, added or disturbed."""
        return self.wiring == Wiring() and not self.disturbed

    def words(self, circuit: Circuit) -> str:
        """The situation in words, for a table of findings."""
        wiring = self.wiring
        touched = [
            *(text("findings.unplugged", target=target) for target in sorted(wiring.unplugged)),
            *(text("findings.bridged", first=first, second=second) for first, second in wiring.bridges),
            *(text("findings.loaded", first=first, second=second) for first, second in wiring.loads),
            *([text("findings.disturbed", target=self.disturbed)] if self.disturbed else []),
        ]
        rest = circuit.rest()
        moved = {name: position for name, position in self.state.items() if position != rest[name]}
        return "; ".join([state_words(circuit, moved) or text("findings.at_rest"), *touched])


def situations(circuit: Circuit, actions: Iterable[Action]) -> Iterator[tuple[int, Action, Situation]]:
    """Yield each action with its number (from 0) and the situation after it, without solving anything."""
    state, wiring, disturbed, repairs = circuit.rest(), Wiring(), "", 0
    for number, action in zip(count(), actions, strict=False):
        if isinstance(action, Move):
            pair = (action.target, action.value)
            match action.verb:
                case verb if verb == REST:
                    state, wiring, disturbed = circuit.rest(), Wiring(), ""
                case verb if verb == SET:
                    state = state | {action.target: action.value}
                case "disturb":
                    disturbed = "" if action.target == NOTHING else action.target
                case "repair":
                    repairs += 1
                case _:
                    wiring = _rewired(wiring, action.verb, pair)
        yield number, action, Situation(state, wiring, disturbed, repairs)


def _rewired(wiring: Wiring, verb: str, pair: tuple[str, str]) -> Wiring:
    unplugged, bridges, loads = wiring.unplugged, wiring.bridges, wiring.loads
    match verb:
        case "unplug":
            unplugged |= {pair[0]}
        case "mate":
            unplugged -= {pair[0]}
        case "bridge" | "unbridge":
            bridges = _changed(bridges, pair, put_on=verb == "bridge")
        case "load" | "unload":
            loads = _changed(loads, pair, put_on=verb == "load")
    return Wiring(unplugged, bridges, loads)


def _changed(pairs: tuple[tuple[str, str], ...], pair: tuple[str, str], *, put_on: bool) -> tuple[tuple[str, str], ...]:
    others = tuple(other for other in pairs if {*other} != {*pair})
    if put_on:
        return pairs if len(others) < len(pairs) else (*pairs, pair)
    return others


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


def wiring_moves(wiring: Wiring, disturbed: str) -> list[str]:
    """Return the moves that bring a machine at rest to this wiring and disturbance."""
    return [
        *(f"unplug={target}" for target in sorted(wiring.unplugged)),
        *(f"bridge={first},{second}" for first, second in wiring.bridges),
        *(f"load={first},{second}" for first, second in wiring.loads),
        *([f"disturb={disturbed}"] if disturbed else []),
    ]


def wiring_rows(machine: Machine, test_lamps: Mapping[str, str]) -> list[dict[str, str]]:
    """Return what has been done to the wiring, in words, each with the move that undoes it."""
    found = []
    for target in sorted(machine.wiring.unplugged):
        whole = target in machine.circuit.parts
        says = text("wiring.unplugged" if whole else "wiring.lifted", target=target)
        undo = text("wiring.mate" if whole else "wiring.join", target=target)
        found.append({"words": says, "undo": undo, "move": f"mate={target}"})
    for first, second in machine.wiring.bridges:
        says = text("wiring.bridge", first=first, second=second)
        found.append({"words": says, "undo": text("wiring.unbridge"), "move": f"unbridge={first},{second}"})
    for first, second in machine.wiring.loads:
        lamp = seen_words(test_lamps.get(f"{first},{second}", "off"))
        says = text("wiring.load", first=first, second=second, lamp=lamp)
        found.append({"words": says, "undo": text("wiring.unload"), "move": f"unload={first},{second}"})
    if machine.disturbed:
        says = text("wiring.disturbed", target=machine.disturbed)
        found.append({"words": says, "undo": text("wiring.leave"), "move": f"disturb={NOTHING}"})
    return found


def finding_rows(circuit: Circuit, actions: Iterable[Action]) -> list[dict[str, object]]:
    """Return the findings and repairs of a record as rows of plain text.

    ``index`` counts the record's actions from 0, as an answer cites them; ``number`` from 1, as a person reads them.
    """
    rows: list[dict[str, object]] = []
    for index, action, situation in situations(circuit, actions):
        row: dict[str, object] = {
            "index": index,
            "number": index + 1,
            "state": situation.words(circuit),
            "expected": "",
            "shown": "",
            "remarks": [],
            "citable": True,
        }
        match action:
            case Measured(probe, reading, expected, source, energised, note):
                what = what_was_measured(probe)
                row["what"] = text("findings.real", what=what) if source else what
                row["expected"] = note if expected is None else _with_note(show_quantity(expected, reading.unit), note)
                row["shown"] = shown(reading)
                row["remarks"] = remarks(probe, reading, energised=energised)
            case Observed(seen):
                row["what"] = text("findings.seen")
                row["shown"] = all_seen_words(seen)
            case Inspected(at, seen):
                row |= {"what": text("findings.inspected", at=at), "shown": seen, "citable": False}
            case Move(verb="repair", target=place, value=remedy):
                row |= {"what": text("findings.repair", place=place, remedy=remedy), "citable": False}
            case _:
                continue
        rows.append(row)
    return rows


def _with_note(expected: str, note: str) -> str:
    return f"{expected} ({note})" if note else expected
