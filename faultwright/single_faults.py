"""The single-fault sheet: does the machine refuse or permit what it must not, for each single fault, and what shows it.

Item, failure mode, effect, detection and severity are terms of IEC 60812 (from memory); the classes of severity are
this toolkit's own. A fault of a free value stands at its default, and once more at :data:`HIGH` where it then does what
no other fault does; as a rule it is then as good as a break at the same place, which has a row of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

from .analysis_texts import text
from .circuit import Circuit
from .conditions import of_terms, written
from .dictionary import dictionary
from .fault_effects import Change, Effect, Level, Revealed, SoundMachine
from .faults import Fault, universe
from .masking import Series, masked_series
from .second_faults import SecondFault, second_faults
from .some_states import terms_of

DISCLAIMER = "Teaching aid. Not a safety assessment to ISO 12100, ISO 13849 or IEC 62061."

HIGH = 100_000.0
"""Ω of a joint that shows full voltage on a meter and lets nothing work."""


class Severity(IntEnum):
    """The class of a fault, worst first."""

    PERMITS_UNSEEN = 1
    PERMITS_SEEN_IN_ROUTINE_CHECK = 2
    PERMITS_SEEN_IN_USE = 3
    REFUSES = 4
    MISLEADS = 5
    LATENT = 6

    @property
    def words(self) -> str:
        """The class in words."""
        return text(f"single.severity.{int(self)}")


@dataclass(frozen=True, slots=True)
class Row:
    """One fault. ``seconds`` are the faults that permit something behind it; None where they were not looked for.

    ``label`` is the fault's name, with its value where that is not the default.
    """

    label: str
    fault: Fault
    effects: tuple[Effect, ...]
    revealed: Revealed | None
    severity: Severity
    seconds: tuple[SecondFault, ...] | None = None


@dataclass(frozen=True)
class Sheet:
    """The rows, worst first and then in the order of the file, and the contacts in series that hide each other."""

    sound: SoundMachine
    rows: tuple[Row, ...]
    series: tuple[Series, ...]

    @property
    def headings(self) -> tuple[str, ...]:
        """The headings of the table."""
        return tuple(text(f"single.heading.{name}") for name in ("item", "mode", "effect", "detection", "severity"))

    @property
    def cells(self) -> list[tuple[str, ...]]:
        """The table: for each row its cells in words, as many as there are headings."""
        return [
            (
                row.fault.place,
                row.label.removeprefix(f"{row.fault.place} "),
                self._effects(row),
                self._detection(row),
                self._severity(row),
            )
            for row in self.rows
        ]

    def _effects(self, row: Row) -> str:
        return self.sound.effects_in_words(row.effects) or text("single.none")

    def _detection(self, row: Row) -> str:
        if row.revealed is None:
            return text("single.not_revealed")
        state = self.sound.place_in_words(row.revealed.state)
        seen = self.sound.seen_in_words(row.revealed.effect)
        return text("single.revealed", level=row.revealed.level.words, state=state, seen=seen)

    def _severity(self, row: Row) -> str:
        return f"{int(row.severity)} {row.severity.words}"

    def as_json(self) -> dict[str, object]:
        """The sheet as the command line's JSON gives it."""
        return {
            "disclaimer": DISCLAIMER,
            "notes": self.notes,
            "faults": [self._row_as_json(row) for row in self.rows],
            "second_faults_not_looked_for": [row.fault.name for row in self._left_out()],
            "series": [series.as_json() for series in self.series],
        }

    def _row_as_json(self, row: Row) -> dict[str, object]:
        revealed = row.revealed
        return {
            "fault": row.fault.name,
            "place": row.fault.place,
            "mode": row.fault.mode,
            "value": row.fault.value,
            "severity": int(row.severity),
            "severity_words": row.severity.words,
            "effects": [self._effect_as_json(effect) for effect in row.effects],
            "shown_by": None if revealed is None else revealed.level.words,
            "shown_in": None if revealed is None else dict(self.sound.states[revealed.state]),
            "behind_it": None if row.seconds is None else [self._second_as_json(second) for second in row.seconds],
        }

    def _effect_as_json(self, effect: Effect) -> dict[str, object]:
        terms = terms_of(self.sound.circuit, effect.states)
        return {
            "behaviour": effect.behaviour,
            "change": effect.change.value,
            "once_begun": effect.once_begun,
            "when": None if terms is None else written(of_terms(terms)),
            "states": len(effect.states),
        }

    def _second_as_json(self, second: SecondFault) -> dict[str, object]:
        state = dict(self.sound.states[second.state])
        return {"fault": second.fault.name, "permits": second.behaviour, "state": state}

    def words(self) -> list[str]:
        """Return the sheet in words: class by class, faults with the same effect and detection together."""
        lines = [DISCLAIMER, *self.notes]
        if not self.sound.circuit.behaviour:
            return [*lines, text("single.no_behaviour")]
        for severity in Severity:
            rows = [row for row in self.rows if row.severity is severity]
            if rows:
                lines.append(text("single.class", number=int(severity), severity=severity.words, count=len(rows)))
                lines += self._alike(rows)
        return lines + self.further()

    @property
    def notes(self) -> list[str]:
        """What is to be known of the sheet, in words."""
        return [text(f"single.note.{name}") for name in ("terms", "states", "levels")]

    def further(self) -> list[str]:
        """Return what two faults at once do, in words: behind a latent one, and where one hides the other."""
        return [*self._behind(), *(line for series in self.series for line in series.words())]

    def _alike(self, rows: Sequence[Row]) -> list[str]:
        """Return a line for the rows that read alike: their faults, what they do, what shows them."""
        together: dict[tuple[str, str], list[str]] = {}
        for row in rows:
            together.setdefault((self._effects(row), self._detection(row)), []).append(row.label)
        return [
            text("single.line", faults=", ".join(names), effect=effect, detection=detection)
            for (effect, detection), names in together.items()
        ]

    def _behind(self) -> list[str]:
        """Return a line for each way in which a second fault permits something behind a latent one."""
        lines: list[str] = []
        for row in self.rows:
            together: dict[tuple[str, int], list[str]] = {}
            for second in row.seconds or ():
                together.setdefault((second.behaviour, second.state), []).append(second.fault.name)
            for (behaviour, state), names in together.items():
                where = self.sound.place_in_words(state)
                faults = ", ".join(names)
                lines.append(text("single.behind", first=row.fault.name, faults=faults, about=behaviour, state=where))
        if self._left_out():
            lines.append(text("single.left_out", faults=", ".join(row.fault.name for row in self._left_out())))
        return lines

    def _left_out(self) -> list[Row]:
        return [row for row in self.rows if row.severity is Severity.LATENT and row.seconds is None]


def single_faults(circuit: Circuit, tell: Callable[[int, int], None] = lambda _done, _of: None) -> Sheet:
    """Return the single-fault sheet of a circuit; without behaviours it is empty.

    ``tell`` is told how many of how many latent faults have been paired with a second one. Raises Refused where there
    are too many control states.
    """
    sound = SoundMachine(circuit)
    if not circuit.behaviour:
        return Sheet(sound, (), ())
    known = universe(circuit)
    rows = list(_rows(sound, known))
    free = [replace(fault, value=HIGH) for fault in known.values() if fault.value is not None]
    high = {str(fault): fault for fault in free}
    seen = {row.effects for row in rows}
    rows += [row for row in _rows(sound, high) if row.effects not in seen]
    place = {fault.name: number for number, fault in enumerate(known.values())}
    rows.sort(key=lambda row: (row.severity, place[row.fault.name]))
    return Sheet(sound, _with_seconds(sound, rows, tell), masked_series(sound))


def _rows(sound: SoundMachine, faults: Mapping[str, Fault]) -> Iterator[Row]:
    """Yield the row of each fault, by its label."""
    labels = iter(faults)
    for block in dictionary(sound.circuit, faults.values()):
        for number, (fault,) in enumerate(block.faults):
            effects = sound.effects(block, number) or sound.effects_once_begun(fault)
            revealed = sound.revealed(effects)
            yield Row(next(labels), fault, effects, revealed, _severity(sound, effects, revealed))


def _severity(sound: SoundMachine, effects: Sequence[Effect], revealed: Revealed | None) -> Severity:
    if revealed is None:
        return Severity.LATENT
    changes = {effect.change for effect in effects if effect.behaviour in sound.hurting}
    if Change.PERMITTED in changes:
        return {
            Level.ORDINARY: Severity.PERMITS_SEEN_IN_USE,
            Level.ROUTINE: Severity.PERMITS_SEEN_IN_ROUTINE_CHECK,
            Level.EVERY: Severity.PERMITS_UNSEEN,
        }[revealed.level]
    return Severity.REFUSES if changes else Severity.MISLEADS


def _with_seconds(sound: SoundMachine, rows: Sequence[Row], tell: Callable[[int, int], None]) -> tuple[Row, ...]:
    latent = [row.fault for row in rows if row.severity is Severity.LATENT]
    harmless = [row.fault for row in rows if row.severity >= Severity.REFUSES]
    found: Mapping[str, tuple[SecondFault, ...]] = second_faults(sound, latent, harmless, tell)
    return tuple(replace(row, seconds=found.get(row.fault.name)) for row in rows)
