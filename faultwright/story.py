"""The story of a case: what the operator answers when asked, and what inspection of a place shows.

An author writes both. A harmless oddity is there whatever is wrong; a sign that belongs to a fault is there as long as
the fault is, and goes with its repair. Besides, there are the *usual* signs of the trade (:func:`usual_signs`), which
an author can switch on. They are off unless asked for: a fault that is plain to see makes every test superfluous. What
is listed nowhere looks as it does from outside: nothing unusual, which is true of a sound part, and of an unsound one
in its holder or its housing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from .circuit import Circuit, split_terminal
from .errors import Refused, unknown
from .faults import Fault, part_of, remedies_at
from .machine import Machine
from .story_texts import text


@dataclass(frozen=True, slots=True)
class Question:
    """Something that can be asked of the operator, and the answer in the operator's own words."""

    ask: str
    answer: str


@dataclass(frozen=True, slots=True)
class Sign:
    """What inspection of a place shows.

    ``faults`` are the names of the faults that it belongs to: it shows while one of them is in the machine; without
    any it always shows. ``apart`` says that it shows only while the part, or that terminal, is unplugged.
    """

    at: str
    seen: str
    faults: tuple[str, ...] = ()
    apart: bool = False

    def shows(self, machine: Machine) -> bool:
        """Say whether this is to be seen on a machine as it stands now; a part that lies aside is not looked at."""
        wiring = machine.wiring
        there = not self.faults or any(_permanent(fault) in self.faults for fault in machine.faults)
        open_to_see = not self.apart or not wiring.unplugged.isdisjoint((self.at, part_of(self.at)))
        return there and open_to_see and self.at not in wiring.substituted

    def __str__(self) -> str:
        return text("apart" if self.apart else "at", at=self.at, seen=self.seen)

    def words(self, place: str) -> str:
        """Return what is seen when ``place`` is looked at: at a whole part, each pin's sign is told with the pin."""
        return self.seen if place == self.at else text("at", at=self.at, seen=self.seen)


@dataclass(frozen=True, slots=True)
class Story:
    """What the operator can be asked, and what inspection shows; with nothing in it, nothing unusual is to be seen."""

    questions: tuple[Question, ...] = ()
    signs: tuple[Sign, ...] = ()

    def answer(self, ask: str) -> str:
        """Return the operator's answer. Raises Refused for a question that cannot be asked."""
        answers = {question.ask: question.answer for question in self.questions}
        if ask not in answers:
            raise Refused(unknown("question", ask, list(answers)))
        return answers[ask]

    def look(self, place: str, machine: Machine) -> str:
        """Return what inspection of a place of this machine shows now, a part with all its pins.

        A fuse that has blown shows it, whatever the author wrote. Raises Refused for a place that is not there.
        """
        if place not in places(machine.circuit):
            raise Refused(unknown("place", place, places(machine.circuit)))
        found = [
            sign.words(place) for sign in self.signs if place in (sign.at, part_of(sign.at)) and sign.shows(machine)
        ]
        found += [text("element")] if place in machine.blown else []
        return "; ".join(dict.fromkeys(found)) or text("nothing")

    def of(self, circuit: Circuit, faults: Sequence[Fault], *, usual: bool = False) -> Story:
        """Return the story of one machine: without the signs of faults that are not in it, ``usual`` ones added.

        Where the author wrote a sign of a fault at a place, the usual one of that fault stays out of that place.
        """
        own: list[Sign] = []
        for sign in self.signs:
            named = tuple(name for name in map(_permanent, faults) if name in sign.faults)
            own += [replace(sign, faults=named)] if named or not sign.faults else []
        written = {(sign.at, name) for sign in own for name in sign.faults}
        added = [
            sign
            for fault in (faults if usual else ())
            for sign in usual_signs(circuit, fault)
            if (sign.at, _permanent(fault)) not in written
        ]
        return Story(self.questions, (*own, *added))


def places(circuit: Circuit) -> list[str]:
    """Return the places that can be inspected: parts, wires, pins and joints."""
    return list(dict.fromkeys((*circuit.parts, *circuit.wires, *remedies_at(circuit))))


def _permanent(fault: Fault) -> str:
    """Return a fault's name; one that comes and goes is to be seen where the permanent one is."""
    return f"{fault.place} {fault.mode}"


# What the trade sees

_PLUGGED = ("connector", "fuse", "input", "relay")
"""Kinds of part whose pins are seen when they are pulled apart or out; the terminals of others lie open."""

_USUAL: Mapping[tuple[str, str], tuple[str, bool]] = {
    ("wire", "shorted to ground"): ("chafed_on_metal", False),
    ("wire", "shorted to supply"): ("chafed_on_wire", False),
    ("pin", "open"): ("pushed_back", True),
    ("pin", "resistance"): ("deposit", True),
    ("joint", "resistance"): ("deposit", False),
    ("fuse", "open"): ("element", False),
    ("lamp", "open"): ("filament", False),
    ("switch", "sticking"): ("stiff", False),
    ("diode", "reversed"): ("ring", False),
    ("resistor", "open"): ("darkened", False),
    ("ground", "open"): ("loose", False),
    ("ground", "resistance"): ("rust", False),
}
"""By kind of place and mode: the text, and whether the part must be unplugged first. Common practice, without a source.

What is not listed does not show: a conductor broken or corroded inside sound insulation, a joint broken inside its
crimp, contacts and coils of a closed relay or switch, a diode that is open, shorted or leaky, brushes and windings, the
inside of a module, a battery that is discharged or worn.
"""


def usual_signs(circuit: Circuit, fault: Fault) -> list[Sign]:
    """Return what the trade would see of a fault: common practice; an empty list where nothing shows."""
    if fault.mode.startswith("swapped with "):
        return list(_exchanged(circuit, fault))
    key, apart = _USUAL.get((_kind_of_place(circuit, fault.place), fault.mode), ("", False))
    return [Sign(fault.place, text(key), (_permanent(fault),), apart)] if key else []


def _kind_of_place(circuit: Circuit, place: str) -> str:
    name, pin = split_terminal(place)
    if name in circuit.wires:
        return "wire"
    kind = circuit.parts[name].kind
    if not pin:
        return kind
    return "pin" if kind in _PLUGGED else "joint"


def _exchanged(circuit: Circuit, fault: Fault) -> Iterator[Sign]:
    """Yield what two exchanged wires show at either pin: their colours, where the diagram gives two different ones."""
    first, second = fault.place, fault.mode.removeprefix("swapped with ")
    colours = {pin: _colour(circuit, pin) for pin in (first, second)}
    if "" in colours.values() or colours[first] == colours[second]:
        return
    for pin, other in ((first, second), (second, first)):
        seen = text("colours", found=colours[other], meant=colours[pin])
        yield Sign(pin, seen, (_permanent(fault),))


def _colour(circuit: Circuit, pin: str) -> str:
    """Return the colour of the wire on the b half of a connector's pin, where there is one wire with one."""
    part, number = split_terminal(pin)
    wires = circuit.wired.get(f"{part}:b{number}", ())
    return circuit.wires[wires[0]].colour if len(wires) == 1 else ""
