"""Contacts in series hide each other: one that is stuck closed does not show while another is open.

After ISO/TR 24119 (its scope: guard contacts in series mask faults). Two guards opened together, and shut again in
whatever order, prove nothing about either.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .analysis_texts import text
from .conditions import Is
from .dictionary import dictionary
from .fault_effects import SoundMachine
from .faults import Fault, universe
from .route_sets import STOP, RouteSet
from .routes import load_routes

Contacts = tuple[tuple[str, Is], ...]
"""Contacts by place, as faults name it, each with where its control closes it."""

MOST_SETS = 3
"""Sets of routes of a load that is fed one way round: feed, return and, of an input, its signal."""


@dataclass(frozen=True, slots=True)
class MaskedFault:
    """A contact in series that is stuck closed.

    ``shows`` is the number of the first state in which it alone of them is open and a behaviour tells; while one of
    ``hidden_by`` is open as well, none does.
    """

    fault: Fault
    shows: int
    hidden_by: tuple[str, ...]


@dataclass(frozen=True)
class Series:
    """Contacts that these loads all need, and which of them hide which."""

    sound: SoundMachine
    loads: tuple[str, ...]
    contacts: tuple[str, ...]
    masked: tuple[MaskedFault, ...]

    def as_json(self) -> dict[str, object]:
        """The series as the command line's JSON gives it."""
        masked = [
            {
                "fault": one.fault.name,
                "shows_in": dict(self.sound.states[one.shows]),
                "hidden_by": list(one.hidden_by),
            }
            for one in self.masked
        ]
        return {"loads": list(self.loads), "contacts": list(self.contacts), "masked": masked}

    def words(self) -> list[str]:
        """Return the series in words, a line for each contact that another hides."""
        heading = text("masking.series", loads=", ".join(self.loads), contacts=", ".join(self.contacts))
        lines = [
            text(
                "masking.masked",
                fault=one.fault.name,
                state=self.sound.place_in_words(one.shows),
                others=" or ".join(one.hidden_by),
            )
            for one in self.masked
        ]
        return [heading, *lines]


def masked_series(sound: SoundMachine) -> tuple[Series, ...]:
    """Return the contacts in series that hide each other, for everything that can hurt and what leads to it."""
    loads: dict[Contacts, list[str]] = {}
    for load in sound.loads:
        for contacts in _in_series(sound, load):
            loads.setdefault(contacts, []).append(load)
    found = [_masked(sound, contacts, tuple(dict.fromkeys(these))) for contacts, these in loads.items()]
    return tuple(series for series in found if series.masked)


def _in_series(sound: SoundMachine, load: str) -> Iterator[Contacts]:
    """Yield the hand-operated contacts that a load needs, for each way round in which it is fed."""
    sets = load_routes(sound.circuit, load)
    together = [sets] if len(sets) <= MOST_SETS else list(zip(sets[::2], sets[1::2], strict=True))
    for ways in together:
        contacts = {
            place: need
            for routes in ways
            if not routes.unfinished and routes.purpose != STOP
            for place, need in _needed(routes)
            if need.control in sound.circuit.controls
        }
        if len({need.control for need in contacts.values()}) > 1:
            yield tuple(contacts.items())


def _needed(routes: RouteSet) -> Contacts:
    return tuple(one for one in routes.routes[0].contacts if one[0] in routes.series) if routes.routes else ()


def _masked(sound: SoundMachine, contacts: Contacts, loads: tuple[str, ...]) -> Series:
    """Hold the states in which a contact alone is open against those in which one of another control is open too."""
    known = universe(sound.circuit)
    faults = [known[f"{place} stuck closed"] for place, _ in contacts]
    open_in = {place: _open_in(sound, need) for place, need in contacts}
    masked: list[MaskedFault] = []
    for (place, need), fault, differs in zip(contacts, faults, _differs(sound, faults), strict=True):
        others = [other for other, its in contacts if its.control != need.control]
        alone = open_in[place].difference(*(open_in[other] for other in others)) & differs
        hidden_by = tuple(other for other in others if not open_in[place] & open_in[other] & differs)
        if alone and hidden_by:
            masked.append(MaskedFault(fault, min(alone), hidden_by))
    return Series(sound, loads, tuple(place for place, _ in contacts), tuple(masked))


def _open_in(sound: SoundMachine, need: Is) -> set[int]:
    return {number for number, state in enumerate(sound.states) if not need.holds(state)}


def _differs(sound: SoundMachine, faults: Sequence[Fault]) -> Iterator[set[int]]:
    """Yield for each fault the states in which any behaviour tells it from the sound machine."""
    for block in dictionary(sound.circuit, faults):
        for number in range(len(block.faults)):
            yield {state for effect in sound.effects(block, number) for state in effect.states}
