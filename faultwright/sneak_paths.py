"""Sneak paths: a function on, or off, against its own routes, through an element that conducts both ways.

With every part sound, in every control state settled from rest:

- a function is *on* by a sneak path where it acts although none of its own routes is closed: the current comes through
  another load, or passes a contact or a fuse against the way of its use (``intended_use.py``);
- it is *inhibited* by one where it does not act although its own routes are closed and no contact bypasses it, and
  it would act if one other load were unplugged: that load diverts the current.

With one diode open or shorted: what acts otherwise than on the sound machine, where the relays that are in do not
account for it; what follows from such a relay is named beside it. With one shared ground open: what is on by current
that feeds back through other loads; what merely loses its ground is no sneak path.

A lamp counts as on where it is dim. Points at which a relay buzzes are left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from .assembly import build
from .behaviour import plain
from .circuit import LATCHED, Behaviour, Circuit
from .current_path import NO_CURRENT, CurrentPath, CurrentPaths
from .dictionary import dictionary
from .electrics import Settled
from .faults import Fault, universe
from .intended_use import IntendedUse, is_pulled_when_on
from .network import Wiring
from .sneak_path import DIVERTED, FLOWS, INHIBITED, LOST, ON, SneakPath, SneakPaths
from .solve import Solver
from .state_table import every_state

_FOLLOWED = {
    "lamp": "lamp", "motor": "motor", "solenoid": "solenoid", "input": "input", "magneto": "magneto",
    "relay": "relay", "contactor": "relay",
}  # fmt: skip
"""Kind → the behaviour that follows it."""
_NEVER_OPENS = 1e9
"""Rating in A of a fuse that holds whatever flows."""


def sneak_paths(circuit: Circuit) -> SneakPaths:
    """Return the sneak paths of a circuit.

    Raises Refused where there are too many control states for a table.
    """
    return _Search(circuit).found()


def cases(circuit: Circuit) -> tuple[Fault, ...]:
    """Return the faults that are searched for sneak paths: a diode open or shorted, a ground open."""
    modes = {"diode": ("open", "shorted"), "ground": ("open",)}
    return tuple(
        fault
        for fault in universe(circuit).values()
        if fault.place in circuit.parts and fault.mode in modes.get(circuit.parts[fault.place].kind, ())
    )


@dataclass(frozen=True, slots=True)
class _Finding:
    """What is the same in all states of one sneak path."""

    case: Fault | None
    part: str
    on: bool
    shows: str
    path: CurrentPath


Codes = Mapping[str, Sequence[int]]
"""Load → what is seen of it in each state, in the dictionary's codes."""


class _Search:
    """Looks through all cases and states of one circuit."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.states = list(every_state(circuit))
        self.positions = [circuit.switch_positions(state) for state in self.states]
        self.paths = CurrentPaths(circuit)
        solver = Solver(build(circuit))
        self.sound = [solver.settle(positions, {}) for positions in self.positions]
        self.use = IntendedUse(self.paths, zip(self.states, self.sound, strict=True))
        self.watched = {
            part.name: Behaviour(part.name, _FOLLOWED[part.kind], part.name)
            for part in circuit.parts.values()
            if part.kind in _FOLLOWED
        }
        self.names: dict[str, str] = {one.part: one.name for one in circuit.behaviour.values() if one.kind != LATCHED}
        self.states_of: dict[_Finding, list[int]] = {}
        self.follows: dict[_Finding, dict[str, None]] = {}
        self.unplugged: dict[str, Solver] = {}
        parts = {
            name: replace(part, values={**part.values, "rating": _NEVER_OPENS}) if part.kind == "fuse" else part
            for name, part in circuit.parts.items()
        }
        self.fuses_hold = replace(circuit, parts=parts)

    def found(self) -> SneakPaths:
        """Return what is found, in the order of the cases."""
        sound: Codes = {}
        for block in dictionary(replace(self.circuit, behaviour=self.watched), [(), *cases(self.circuit)]):
            for row, faults in enumerate(block.faults):
                codes = {load: block.seen[load][row].tolist() for load in self.watched}
                if faults:
                    self._with_fault(faults[0], codes, sound)
                else:
                    sound = codes
                    self._with_every_part_sound(sound)
        return SneakPaths(tuple(self._told(finding) for finding in self.states_of))

    def _told(self, finding: _Finding) -> SneakPath:
        path = finding.path
        loads = (self.paths.passages[place].load for place, _ in path.steps)
        return SneakPath(
            circuit=self.circuit,
            case=finding.case,
            function=self._name(finding.part),
            part=finding.part,
            kind=ON if finding.on else INHIBITED,
            shows=finding.shows,
            path=path,
            backwards=self.use.backwards(path),
            through=tuple(load for load in loads if load not in ("", finding.part, *self.use.in_line)),
            states=tuple(self.states[number] for number in self.states_of[finding]),
            follows=tuple(self._name(part) for part in self.follows[finding]),
        )

    def _name(self, part: str) -> str:
        return self.names.get(part, part)

    def _note(self, finding: _Finding, state: int, follows: Sequence[str] = ()) -> None:
        self.states_of.setdefault(finding, []).append(state)
        self.follows.setdefault(finding, {}).update(dict.fromkeys(follows))

    def _works(self, load: str, code: int) -> bool:
        """Say whether a load is worked as its own routes work it: driven, or an input pulled, a magneto stopped."""
        part = self.circuit.parts[load]
        inverted = part.kind == "magneto" or (part.kind == "input" and not is_pulled_when_on(part))
        return (code > 0) != inverted

    # With every part sound

    def _with_every_part_sound(self, codes: Codes) -> None:
        for number, (state, settled) in enumerate(zip(self.states, self.sound, strict=True)):
            if settled.buzzing:
                continue
            standing = self.use.standing(state, settled.relays, settled.blown)
            for load in self.watched:
                works, serves = self._works(load, codes[load][number]), standing.serves(load)
                if load not in self.use.judged or serves in (None, works):
                    continue
                path = self._way_through(settled, load) if works else self._diverted(number, load)
                if path is not None:
                    shows = FLOWS if works else DIVERTED
                    self._note(_Finding(None, load, codes[load][number] > 0, shows, path), number)

    def _way_through(self, settled: Settled, load: str) -> CurrentPath | None:
        if self.circuit.parts[load].kind == "magneto":
            return self.paths.conducting(settled, f"{load}:stop", f"{load}:-")
        return self.paths.through(settled, settled.network.first_of[load])

    def _diverted(self, number: int, load: str) -> CurrentPath | None:
        """Return the path through the load that diverts another's current: that one acts if it is unplugged."""
        settled = self.sound[number]
        for other, behaviour in self.watched.items():
            if other == load or behaviour.kind == "relay":
                continue
            if abs(float(settled.current(settled.network.first_of[other]))) < NO_CURRENT:
                continue
            if other not in self.unplugged:
                self.unplugged[other] = Solver(build(self.circuit, wiring=Wiring(unplugged=frozenset({other}))))
            solver = self.unplugged[other]
            without = solver.settle(self.positions[number], {})
            seen = plain(solver, without, {load: self.watched[load]})[load]
            if without.relays == settled.relays and self._works(load, int(seen not in (None, False, "off"))):
                return self._way_through(settled, other)
        return None

    # With a fault

    def _with_fault(self, fault: Fault, codes: Codes, sound: Codes) -> None:
        """Find what acts otherwise than on the sound machine and is not accounted for by a relay that does."""
        solver = Solver(build(self.circuit, [fault]))
        holding = Solver(build(self.fuses_hold, [fault]))
        for number, state in enumerate(self.states):
            changed = [load for load in self.watched if _differ(codes[load][number], sound[load][number])]
            if not changed:
                continue
            settled = solver.settle(self.positions[number], {})
            standing = self.use.standing(state, settled.relays, self.sound[number].blown)
            works = {load: self._works(load, codes[load][number]) for load in changed}
            follows = [load for load in changed if load in self.use.judged and standing.serves(load) == works[load]]
            own = [load for load in changed if load not in follows]
            if not own:  # relays that hold themselves in: which of them came first is not told
                own, follows = changed, []
            if self.circuit.parts[fault.place].kind == "ground":
                own = [load for load in own if works[load]]
            for load in own:
                with_it = follows if self.watched[load].kind == "relay" else ()
                path, shows = self._way_through(settled, load), FLOWS
                if not works[load] and fault.mode == "shorted":
                    held = holding.settle(self.positions[number], {})
                    path, shows = self.paths.through(held, held.network.first_of[fault.place]), DIVERTED
                if path is None:
                    path, shows = self._way_through(self.sound[number], load), LOST
                if path is not None:
                    self._note(_Finding(fault, load, codes[load][number] > 0, shows, path), number, with_it)


def _differ(code: int, sound: int) -> bool:
    """Say whether a load acts in one case and not in the other; where it changes without end that is not told."""
    return min(code, sound) >= 0 and (code > 0) != (sound > 0)
