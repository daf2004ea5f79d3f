"""Moves: everything an operator or a technician does to the machine, in one grammar.

``control=position``, ``unplug=X1`` / ``mate=X1``, ``substitute=K1`` / ``restore=K1``, ``bridge=S5:1,S5:2`` /
``unbridge=…``, ``load=X1:a1,FRAME`` / ``unload=…``, ``disturb=PLACE`` / ``disturb=nothing``, ``repair=S5 clean`` and
``rest``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .circuit import FRAME, Circuit, split_terminal
from .circuit_file import terminal_mistake
from .errors import Mistake, Refused, unknown
from .faults import remedies_at
from .part_entries import MOVE_WORDS

SET, REST, NOTHING = "set", "rest", "nothing"
SUBSTITUTE, RESTORE = "substitute", "restore"
REPLACE = "replace"
"""The remedy that puts a new part in."""

HARNESS = ("connector", "splice", "ground")
"""Kinds of part that are the harness itself. What is wrong there is mended (``faults.py``); no other part cures it."""


@dataclass(frozen=True, slots=True)
class Move:
    """One move.

    ``verb`` is ``set`` (a control), or a move word; ``target`` and ``value`` depend on it: control and
    position, part or terminal, first and second terminal, place, place and remedy.
    """

    verb: str
    target: str = ""
    value: str = ""

    def __str__(self) -> str:
        if self.verb == SET:
            return f"{self.target}={self.value}"
        if self.verb == REST:
            return REST
        joint = " " if self.verb == "repair" else ","
        return f"{self.verb}={self.target}{joint + self.value if self.value else ''}"


@lru_cache(maxsize=8192)
def parse_move(text: str, circuit: Circuit) -> Move:
    """Return the move that ``text`` writes. Raises Refused with the nearest valid name."""
    place = f"move {text!r}"
    word, equals, rest = (part.strip() for part in text.partition("="))
    if text.strip() == REST:
        return Move(REST)
    if not equals:
        raise Refused(Mistake("a move is 'rest' or word=value, such as " + _example(circuit), place))
    if rest[:1] == rest[-1:] == '"' and len(rest) > 1:
        rest = rest[1:-1].strip()
    if word in circuit.controls:
        if rest not in circuit.controls[word].positions:
            raise Refused(
                Mistake(f"control {word}: {unknown('position', rest, circuit.controls[word].positions)}", place)
            )
        return Move(SET, word, rest)
    return _parse_work(word, rest, circuit, place)


def _parse_work(word: str, rest: str, circuit: Circuit, place: str) -> Move:
    """Return the move that is none of a control: what a technician does to the machine."""
    match word:
        case "unplug" | "mate":
            return Move(word, _unpluggable(rest, circuit, place))
        case "substitute" | "restore":
            return Move(word, _exchangeable(rest, circuit, place))
        case "bridge" | "unbridge" | "load" | "unload":
            return Move(word, *_two_terminals(rest, circuit, place))
        case "disturb":
            return Move(word, rest if rest == NOTHING else _place(rest, circuit, place))
        case "repair":
            target, _, remedy = rest.partition(" ")
            return Move(word, target, _remedy(target, remedy.strip(), circuit, place))
    raise Refused(Mistake(unknown("control or move", word, [*circuit.controls, *MOVE_WORDS]), place))


def _example(circuit: Circuit) -> str:
    control = next(iter(circuit.controls.values()), None)
    return f"{control.name}={control.positions[-1]}" if control else "unplug=" + next(iter(circuit.parts), "X1")


def _unpluggable(text: str, circuit: Circuit, place: str) -> str:
    if text in circuit.parts:
        return text
    _, pin = split_terminal(text)
    message = terminal_mistake(text, circuit.parts) if pin else unknown("part or terminal", text, list(circuit.parts))
    if message:
        raise Refused(Mistake(message, place))
    return text


def substitutable(circuit: Circuit) -> list[str]:
    """Return the parts for which a known-good one can stand in: all but what belongs to the harness."""
    return [part.name for part in circuit.parts.values() if part.kind not in HARNESS]


def _exchangeable(text: str, circuit: Circuit, place: str) -> str:
    allowed = substitutable(circuit)
    if text in allowed:
        return text
    if text in circuit.parts:
        harness = f"{text} is a {circuit.parts[text].kind} and belongs to the harness: what is wrong there is mended"
        raise Refused(Mistake(f"{harness}, no known-good part takes its place (allowed: {', '.join(allowed)})", place))
    raise Refused(Mistake(unknown("part", text, allowed), place))


def _two_terminals(text: str, circuit: Circuit, place: str) -> tuple[str, str]:
    ends = [end.strip() for end in text.split(",")]
    if len(ends) != 2 or ends[0] == ends[1]:  # noqa: PLR2004 - a jumper and a test lamp have two ends
        raise Refused(Mistake(f"two different terminals are needed, such as {ends[0] or 'S5:1'},{FRAME}", place))
    mistakes = [Mistake(message, place) for end in ends if (message := terminal_mistake(end, circuit.parts))]
    if mistakes:
        raise Refused(mistakes)
    return ends[0], ends[1]


def _place(text: str, circuit: Circuit, place: str) -> str:
    allowed = list(remedies_at(circuit))
    if text not in allowed:
        raise Refused(Mistake(unknown("place", text, [NOTHING, *allowed]), place))
    return text


def _remedy(target: str, remedy: str, circuit: Circuit, place: str) -> str:
    known = remedies_at(circuit)
    if target not in known:
        raise Refused(Mistake(unknown("place", target, list(known)), place))
    if remedy not in known[target]:
        raise Refused(Mistake(f"{target}: {unknown('remedy', remedy, known[target])}", place))
    return remedy


def control_moves(circuit: Circuit, before: dict[str, str], after: dict[str, str]) -> list[Move]:
    """Return the moves that bring the controls from one state to another, in the order of the file."""
    return [Move(SET, name, after[name]) for name in circuit.controls if before[name] != after[name]]
