"""Large made-up machines, as a depot would build them: fused feeds, series of contacts, loads, shared returns.

The random strategies of ``strategies.py`` give small circuits that differ in every value. Here only the wiring
matters, and it is that of a machine of up to some sixty parts: changeover contacts with both throws in use, relays and
contactors with many contacts spread over the machine, connectors with several pins, splices, several sources.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from hypothesis import strategies as st

from faultwright.circuit import FRAME, Circuit, Contact, Control, Part, Wire
from faultwright.parts import ENERGISED, RELEASED, finished, terminals

CONTROLS = {
    "key": Control("key", "Key switch", ("off", "run", "start"), "run"),
    "seat": Control("seat", "Seat", ("empty", "taken")),
    "start": Control("start", "Start button", ("released", "pressed"), "released"),
    "lever": Control("lever", "Drive lever of the sweeper", ("neutral", "forward", "back")),
    "lights": Control("lights", "Work lights", ("off", "on")),
}
NOMINAL = 24.0

Way = tuple[str, str]
"""A way through a part: the terminal where the current goes in, and the one where it comes out."""


def large_circuit(seed: int, most: int = 60, *, tangled: int = 0) -> Circuit:
    """Return a machine of ``most`` parts or one less; ``tangled`` wires more join terminals at random."""
    return _Builder(Random(seed), most).built(tangled)  # noqa: S311 - no secret


def large_circuits(least: int = 30, most: int = 60) -> st.SearchStrategy[Circuit]:
    """Return large machines, some of them with a few wires that no machine would have."""
    return st.builds(
        lambda seed, parts, tangled: large_circuit(seed, parts, tangled=tangled),
        st.integers(0, 2**32 - 1),
        st.integers(least, most),
        st.sampled_from((0, 0, 2, 6)),
    )


class _Builder:
    """Adds branches from supply to return until the machine has its parts."""

    def __init__(self, random: Random, most: int) -> None:
        self.random, self.most = random, most
        self.parts: dict[str, Part] = {}
        self.wires: dict[str, Wire] = {}
        self.free: list[Way] = []
        """Contacts and connector pins that are there and not wired yet."""
        self.feeds: list[str] = []
        self.returns: list[str] = [FRAME]

    def built(self, tangled: int) -> Circuit:
        self.sources()
        while len(self.parts) < self.most:
            self.branch()
        # What relays and connectors still offer is used too, most of it.
        for way in [way for way in self.free if self.random.random() < 0.8]:
            self.join(self.pick(self.feeds), way[0])
            self.join(way[1], self.pick([*self.feeds, *self.returns]))
        places = [terminal for part in self.parts.values() for terminal in terminals(part)]
        for _ in range(tangled):
            self.join(*self.random.sample(places, 2))
        return Circuit("depot-machine", "Depot machine, made up", NOMINAL, self.parts, self.wires, CONTROLS)

    def pick(self, listed: Sequence[str]) -> str:
        return self.random.choice(listed)

    def add(
        self,
        letter: str,
        kind: str,
        values: dict[str, float | str] | None = None,
        contacts: tuple[Contact, ...] = (),
        control: str | None = None,
    ) -> str:
        name = f"{letter}{1 + sum(part.startswith(letter) for part in self.parts)}"
        self.parts[name] = finished(Part(name, kind, values or {}, contacts, control), NOMINAL)
        return name

    def join(self, start: str, end: str) -> None:
        if start == end:
            return
        name = f"W{1 + len(self.wires)}"
        colour = self.pick(("", "RD", "BK", "GN-YE"))
        self.wires[name] = Wire(name, start, end, area=self.random.choice((0.75, 1.5, 2.5, 16.0)), colour=colour)

    @property
    def room(self) -> int:
        return self.most - len(self.parts)

    # Supply and return

    def sources(self) -> None:
        """One source or several, side by side on the rails or in series, each with fuses; grounds and splices."""
        for number in range(self.random.choice((1, 1, 2, 3))):
            name = self.add("G", "battery" if number == 0 else self.pick(("battery", "supply")))
            self.join(f"{name}:-", FRAME if number == 0 else self.pick((FRAME, "G1:-", "G1:+")))
            for _ in range(self.random.randint(1, 3)):
                fuse = self.add("F", "fuse")
                self.join(f"{name}:+", f"{fuse}:1")
                self.feeds.append(f"{fuse}:2")
        for _ in range(self.random.randint(1, 3)):
            ground = self.add("E", "ground")
            self.returns.append(f"{ground}:1")
        if self.random.random() < 0.5:
            self.splice(self.pick(self.feeds), self.feeds)
        if self.random.random() < 0.5:
            self.splice(self.pick(self.returns), self.returns)

    def splice(self, origin: str, places: list[str]) -> None:
        ways = self.random.randint(3, 6)
        name = self.add("X9", "splice", {"ways": float(ways)})
        self.join(origin, f"{name}:1")
        places += [f"{name}:{way}" for way in range(2, ways + 1)]

    # Branches

    def branch(self) -> None:
        """Some contacts in series, then a load, then the return; some branches start in the middle of another."""
        here = self.pick(self.feeds)
        for _ in range(min(self.random.choice((0, 1, 1, 2, 3)), self.room - 1)):
            way = self.way()
            self.join(here, way[0])
            here = way[1]
            if self.random.random() < 0.3:
                self.feeds.append(here)
        if self.room:
            self.load(here)

    def way(self) -> Way:
        """Return a way through a contact: one that waits to be used, or a new one."""
        if self.free and self.random.random() < 0.5:
            return self.free.pop(self.random.randrange(len(self.free)))
        match self.random.randrange(8):
            case 0:
                name = self.add("R", "diode")
                return f"{name}:A", f"{name}:K"
            case 1:
                name = self.add("X", "connector", {"pins": float(self.random.randint(2, 6))})
                pairs = [(f"{name}:a{pin}", f"{name}:b{pin}") for pin in range(1, int(self.parts[name].number("pins")))]
                self.free += [pair if self.random.random() < 0.6 else pair[::-1] for pair in pairs[1:]]
                return pairs[0]
            case 2:
                name = self.add("F", "fuse")
                return f"{name}:1", f"{name}:2"
        return self.switch()

    def switch(self) -> Way:
        """Return a way through a new switch: one contact, a changeover contact, two apart, or a selector."""
        control = self.pick(tuple(CONTROLS))
        positions = CONTROLS[control].positions
        shapes = ((("1", "2"),), (("1", "2"),), (("1", "2"), ("1", "3")), (("13", "14"), ("21", "22")),
                  (("C", "1"), ("C", "2"), ("C", "3")), (("1", "2"), ("1", "3"), ("4", "5")))  # fmt: skip
        contacts = tuple(Contact(pins, (self.pick(positions),)) for pins in self.random.choice(shapes))
        name = self.add("S", "switch", {}, contacts, control)
        ways = [(f"{name}:{one}", f"{name}:{other}") for one, other in (contact.pins for contact in contacts)]
        common = ways[0][0]
        self.feeds += [end for start, end in ways[1:] if start == common]
        self.free += [way for way in ways[1:] if way[0] != common]
        return ways[0]

    def load(self, here: str) -> None:
        """End a branch: a load, or a relay whose contacts others will use; now and then a diode across it."""
        back = self.pick(self.returns)
        kind = self.pick(
            ("lamp", "lamp", "motor", "solenoid", "resistor", "relay", "relay", "contactor", "input", "magneto")
        )
        match kind:
            case "relay" | "contactor":
                letter, pins = ("K", ("86", "85")) if kind == "relay" else ("Q", ("A1", "A2"))
                name = self.add(letter, kind, {}, self.contacts(kind))
                self.offer(self.parts[name])
                start, end = (f"{name}:{pin}" for pin in pins)
            case "input":
                name = self.add("A", kind, {"pull": self.pick(("up", "down"))})
                self.join(self.pick(self.feeds), f"{name}:+")
                start, end = f"{name}:in", f"{name}:-"
            case "magneto":
                name = self.add("T", kind)
                start, end = f"{name}:stop", f"{name}:-"
            case _:
                letter = {"lamp": "P", "motor": "M", "solenoid": "Y", "resistor": "R"}[kind]
                name = self.add(letter, kind)
                start, end = f"{name}:1", f"{name}:2"
        self.join(here, start)
        self.join(end, back)
        if self.room and self.random.random() < 0.2:
            diode = self.add("R", "diode")
            self.join(f"{diode}:K", start)
            self.join(f"{diode}:A", end)

    def contacts(self, kind: str) -> tuple[Contact, ...]:
        """Return the contacts of a relay: its usual ones, or up to six."""
        count = self.random.choice((0, 0, 2, 4, 6))
        found = []
        for number in range(1, count + 1):
            state = self.random.choice((ENERGISED, ENERGISED, RELEASED))
            found.append(
                Contact((f"{number}3", f"{number}4") if kind == "contactor" else (f"{number}1", f"{number}4"), (state,))
            )
            if kind == "relay" and self.random.random() < 0.3:
                found.append(Contact((f"{number}1", f"{number}2"), (RELEASED if state == ENERGISED else ENERGISED,)))
        return tuple(found)

    def offer(self, part: Part) -> None:
        """Let later branches use a relay's contacts; the other throw of a changeover contact is a feed."""
        seen: set[str] = set()
        for contact in part.contacts:
            common, throw = (f"{part.name}:{pin}" for pin in contact.pins)
            if common in seen:
                self.feeds.append(throw)
            else:
                self.free.append((common, throw))
            seen.add(common)
