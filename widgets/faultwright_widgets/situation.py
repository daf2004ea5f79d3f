"""How the machine stood when something was done, told from the actions alone: nothing is solved."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from faultwright.circuit import Circuit
from faultwright.machine import rewired
from faultwright.moves import NOTHING, REST, SET, Move
from faultwright.network import Wiring
from faultwright.record import Action

from .texts import text
from .words import state_words


@dataclass(frozen=True, slots=True)
class Situation:
    """How the machine stood when something was done: controls, wiring, what was disturbed, repairs so far."""

    state: Mapping[str, str]
    wiring: Wiring = field(default_factory=Wiring)
    disturbed: str = ""
    repairs: int = 0

    @property
    def untouched(self) -> bool:
        """Whether nothing is unplugged, added, exchanged for a test or disturbed."""
        return self.wiring == Wiring() and not self.disturbed

    def after(self, move: Move, circuit: Circuit) -> Situation:
        """Return the situation after a move."""
        match move.verb:
            case verb if verb == REST:
                return Situation(circuit.rest(), repairs=self.repairs)
            case verb if verb == SET:
                return replace(self, state=dict(self.state) | {move.target: move.value})
            case "disturb":
                return replace(self, disturbed="" if move.target == NOTHING else move.target)
        return replace(self, wiring=rewired(self.wiring, move), repairs=self.repairs + (move.verb == "repair"))

    def words(self, circuit: Circuit) -> str:
        """The situation in words, for a table of findings."""
        wiring = self.wiring
        touched = [
            *(text("findings.unplugged", target=target) for target in sorted(wiring.unplugged)),
            *(text("findings.substituted", target=target) for target in sorted(wiring.substituted)),
            *(text("findings.bridged", first=first, second=second) for first, second in wiring.bridges),
            *(text("findings.loaded", first=first, second=second) for first, second in wiring.loads),
            *([text("findings.disturbed", target=self.disturbed)] if self.disturbed else []),
        ]
        rest = circuit.rest()
        moved = {name: position for name, position in self.state.items() if position != rest[name]}
        return "; ".join([state_words(circuit, moved) or text("findings.at_rest"), *touched])


def situations(circuit: Circuit, actions: Iterable[Action]) -> Iterator[tuple[int, Action, Situation]]:
    """Yield each action with its number (from 0) and the situation after it."""
    situation = Situation(circuit.rest())
    for number, action in enumerate(actions):
        if isinstance(action, Move):
            situation = situation.after(action, circuit)
        yield number, action, situation


def wiring_moves(wiring: Wiring, disturbed: str) -> list[str]:
    """Return the moves that bring a machine at rest to this wiring and disturbance."""
    return [
        *(f"unplug={target}" for target in sorted(wiring.unplugged)),
        *(f"substitute={target}" for target in sorted(wiring.substituted)),
        *(f"bridge={first},{second}" for first, second in wiring.bridges),
        *(f"load={first},{second}" for first, second in wiring.loads),
        *([f"disturb={disturbed}"] if disturbed else []),
    ]
