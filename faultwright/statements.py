"""Reading statements about the controls, such as ``clutch pulled and (stand up or gear=neutral)``.

A control's position is written ``control=position``, ``control position`` or ``label position``, or by the position
alone where no other control has it. ``not`` binds closest, then ``and``, then ``or``; brackets group; ``always`` and
``never`` hold everywhere and nowhere. A position whose own words would be read otherwise stands in double quotes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from .circuit import Circuit, Control
from .conditions import ALWAYS, AND, NEVER, NOT, OR, Condition, Every, Expression, Is, Not, Some, written
from .errors import MOST_LISTED, Mistake, Refused, nearest, unknown

MOST_LETTERS = 2000
"""Longest statement that is read: more than anybody says of one machine."""
MOST_BRACKETS = 50
"""Brackets that may stand inside one another."""
MOST_SHOWN = 60
"""Letters of a statement that stand before each mistake in it."""

_TOKEN = re.compile(r'[()]|(?:"[^"]*"|[^\s()"]|")+')
_LINKS = ("=", " ", " is ")
"""What may stand between a control and its position."""


def parse_condition(text: str, circuit: Circuit) -> Condition:
    """Return the condition that ``text`` writes. Raises Refused with every mistake and the nearest names."""
    words = " ".join(text.split())
    if len(words) > MOST_LETTERS:
        raise Refused(Mistake(f"it has {len(words)} letters; {MOST_LETTERS} at most are read", "statement"))
    reader = _Reader(circuit)
    expression = reader.read(_joined(_TOKEN.findall(words)))
    if reader.mistakes:
        shown = words if len(words) <= MOST_SHOWN else f"{words[:MOST_SHOWN]}…"
        raise Refused([Mistake(message, f"statement {shown!r}") for message in dict.fromkeys(reader.mistakes)])
    return Condition(words, expression)


def _joined(tokens: Iterable[str]) -> list[str]:
    """Join the words of a position that stand side by side: ``Clutch``, ``lever``, ``pulled`` are one."""
    found: list[str] = []
    apart = True
    for token in tokens:
        sign = token in ("(", ")") or token.casefold() in (AND, OR, NOT)
        if sign or apart:
            found.append(token.casefold() if sign else token)
        else:
            found[-1] += f" {token}"
        apart = sign
    return found


@dataclass(slots=True)
class _Level:
    """What has been read inside one pair of brackets: ways joined by 'or', each of parts joined by 'and'."""

    ways: list[list[Expression]] = field(default_factory=lambda: [[]])
    negate: bool = False

    def add(self, part: Expression) -> None:
        self.ways[-1].append(Not(part) if self.negate else part)
        self.negate = False

    def closed(self) -> Expression:
        ways: list[Expression] = [way[0] if len(way) == 1 else Every(tuple(way)) for way in self.ways]
        return ways[0] if len(ways) == 1 else Some(tuple(ways))


class _Reader:
    """Reads a statement word by word and notes every mistake on the way."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.mistakes: list[str] = []
        self.told = False
        self.phrases = _phrases(circuit)

    def read(self, tokens: Sequence[str]) -> Expression:
        """Return what the tokens say; where mistakes are noted it means nothing."""
        levels = [_Level()]
        before, wants = "", True  # wants: a position, a 'not' or a bracket must come next
        for token in tokens:
            if wants == (token in (AND, OR, ")")):
                self._out_of_place(before, token, wants=wants)
            self._take(levels, token)
            if len(levels) > MOST_BRACKETS + 1:
                self.mistakes.append(f"brackets stand more than {MOST_BRACKETS} deep inside one another")
                return Every()
            before, wants = token, token in (AND, OR, NOT, "(")
        if wants:
            self.mistakes.append(f"nothing stands after {before!r}" if before else f"it is empty{self._how()}")
        if len(levels) > 1:
            self.mistakes.append("a '(' is not closed")
        return levels[0].closed()

    def _take(self, levels: list[_Level], token: str) -> None:
        """Put one token where it belongs."""
        match token:
            case "(":
                levels.append(_Level())
            case ")" if len(levels) == 1:
                self.mistakes.append("a ')' has no '(' before it")
            case ")":
                inner = levels.pop().closed()
                levels[-1].add(inner)
            case "or":
                levels[-1].ways.append([])
            case "not":
                levels[-1].negate = not levels[-1].negate
            case "and":
                pass  # parts of one way stand side by side
            case _:
                levels[-1].add(self._position(token))

    def _out_of_place(self, before: str, token: str, *, wants: bool) -> None:
        if not wants:
            self.mistakes.append(f"'and' or 'or' is missing between {before!r} and {token!r}")
        elif before:
            self.mistakes.append(f"nothing stands between {before!r} and {token!r}")
        else:
            self.mistakes.append(f"nothing stands before {token!r}")

    def _position(self, words: str) -> Expression:
        """Return what names a control's position, or note why it does not."""
        phrase = _folded(words)
        if phrase in (ALWAYS, NEVER):
            return Every() if phrase == ALWAYS else Some()
        meant = self.phrases.get(phrase, ())
        if len(meant) > 1:
            meant = tuple(one for one in meant if written(one) == words) or meant
        if len(meant) != 1:
            self.mistakes.append(self._ambiguous(words, meant) if meant else self._unknown(words))
            return Every()
        return meant[0]

    def _ambiguous(self, words: str, meant: Sequence[Is]) -> str:
        ways = [written(one) for one in meant]
        return f"{words!r} can be read in {len(ways)} ways; write {', '.join(ways[:-1])} or {ways[-1]}"

    def _unknown(self, words: str) -> str:
        controls = self.circuit.controls
        phrase = _folded(words)
        named = {_folded(name): control for control in controls.values() for name in (control.label, control.name)}
        if phrase in named:
            control = named[phrase]
            return (
                f"{words!r} is a control, not a position; write {' or '.join(written(one) for one in _each(control))}"
            )
        if "=" in words:
            name, _, position = (part.strip() for part in words.partition("="))
            if _folded(name) not in named:
                return unknown("control", name, list(controls))
            control = named[_folded(name)]
        else:
            begins = [name for name in named if phrase.startswith(f"{name} ")]
            if not begins:
                guess = nearest(phrase, self.phrases)
                hint = f"; did you mean {guess!r}?" if guess else ""
                return f"{words!r} is no position of a control{hint}{self._how()}"
            longest = max(begins, key=len)
            position, control = phrase.removeprefix(longest).strip(), named[longest]
        return f"control {control.name}: {unknown('position', position, control.positions)}"

    def _how(self) -> str:
        """Say once what can be written: several mistakes are shown together."""
        if self.told:
            return ""
        self.told = True
        positions = [written(one) for control in self.circuit.controls.values() for one in _each(control)]
        listed = ", ".join(positions[:MOST_LISTED])
        more = f", and {len(positions) - MOST_LISTED} more" if len(positions) > MOST_LISTED else ""
        return f" (write always, never, or positions joined by and, or, not and brackets: {listed or 'none'}{more})"


def _each(control: Control) -> tuple[Is, ...]:
    return tuple(Is(control.name, (position,)) for position in control.positions)


def _folded(words: str) -> str:
    """Return words as they are compared: small letters, no quotes, no space round '='."""
    return re.sub(r"\s*=\s*", "=", " ".join(words.replace('"', "").casefold().split()))


@lru_cache(maxsize=64)
def _phrases(circuit: Circuit) -> Mapping[str, tuple[Is, ...]]:
    """Return every way to name a position, and which positions it can mean."""
    found: dict[str, tuple[Is, ...]] = {}
    for control in circuit.controls.values():
        for one in _each(control):
            (position,) = one.positions
            named = [f"{name}{link}{position}" for name in (control.name, control.label) for link in _LINKS]
            for phrase in dict.fromkeys(_folded(words) for words in (position, *named)):
                found[phrase] = (*found.get(phrase, ()), one)
    return found
