"""The bench: a machine with a hidden fault, the meter, and the record of everything done on it.

This is what a front end drives. It keeps the record in order and, given a file, saves it at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any, NamedTuple

from .circuit import Circuit
from .faults import Fault
from .files import read_json, write_json
from .machine import Machine, Step
from .meter import CONTINUITY, DIODE, OHMS, Probe, Reading, check_probe, read
from .moves import REST, Move, parse_move
from .record import BENCH, Action, Asked, Inspected, Measured, Observed, Record, parse_record, record_as_json
from .watch import watch
from .watch_words import watch_words


class Watched(NamedTuple):
    """What is seen after a move, the readings along it, those in words, and the last one's number in the record."""

    step: Step
    readings: list[Reading]
    words: str
    number: int


class Bench:
    """One machine on the bench. The faults are known here: a bench in the student's own kernel cannot hide them."""

    def __init__(self, circuit: Circuit, faults: Iterable[Fault] = (), *, file: Path | None = None) -> None:
        """Set the machine up at rest; with a ``file`` that holds a record, take that work up again."""
        self.circuit = circuit
        self._faults = tuple(faults)
        self.machine = Machine(circuit, self._faults)
        self.actions: list[Action] = []
        self.step: Step = self.machine.step(Move(REST))
        self.file = file
        if file is not None and file.exists():
            self.take_up(parse_record(read_json(file), circuit, file.name))

    def take_up(self, record: Record) -> None:
        """Go on from a record: make its moves again and keep all of its actions."""
        for action in record.actions:
            if isinstance(action, Move):
                self.step = self.machine.move(action)
            self.actions.append(action)

    def uncover(self) -> tuple[Fault, ...]:
        """Return the faults that were put in: for a worked search afterwards; no help before may know them."""
        return self._faults

    @property
    def record(self) -> Record:
        """The record so far."""
        return Record(self.circuit.name, tuple(self.actions))

    def _note(self, action: Action) -> int:
        self.actions.append(action)
        if self.file is not None:
            write_json(self.file, record_as_json(self.record), indent=None)
        return len(self.actions) - 1

    def move(self, move: str) -> Step:
        """Make a move, note it and return what is seen. Raises Refused for a move that does not exist."""
        parsed = parse_move(move, self.circuit)
        self.step = self.machine.move(parsed)
        self._note(parsed)
        return self.step

    def try_reading(self, probe: Probe) -> Reading:
        """Return what the meter shows without noting it: a live display."""
        return read(self.machine, probe)

    def read(self, probe: Probe, *, expected: float | None = None, note: str = "") -> tuple[int, Reading]:
        """Take a reading and note it; return its number in the record and the reading."""
        reading = read(self.machine, probe)
        return self._note_reading(probe, reading, expected, note), reading

    def watch(self, move: str, probe: Probe, *, expected: float | None = None, note: str = "") -> Watched:
        """Make a move with the eyes on the meter, and note the move, then the settled reading with what the meter did.

        The record replays as any other: what the meter did on the way stands as a note, and is no evidence. Raises
        Refused, with nothing done, for a move or a measurement that does not exist.
        """
        parsed = parse_move(move, self.circuit)
        self.step, readings = watch(self.machine, parsed, probe)
        words = watch_words(readings)
        self._note(parsed)
        noted = "; ".join(filter(None, (note, words)))
        return Watched(self.step, readings, words, self._note_reading(probe, readings[-1], expected, noted))

    def note_real(self, probe: Probe, reading: Reading, *, expected: float | None = None, note: str = "") -> int:
        """Note what a real meter showed on the real machine, standing as this one does; return its number."""
        check_probe(probe, self.circuit)
        return self._note(Measured(probe, reading, expected, BENCH, note=note))

    def _note_reading(self, probe: Probe, reading: Reading, expected: float | None, note: str) -> int:
        energised = probe.mode in (OHMS, CONTINUITY, DIODE) and not probe.alone and self.machine.delivers()
        return self._note(Measured(probe, reading, expected, energised=energised, note=note))

    def observe(self, *names: str) -> int:
        """Note what the machine is seen to do (all of it, or the named behaviours); return the number in the record."""
        seen = self.machine.seen()
        return self._note(Observed({name: seen[name] for name in (names or seen)}))

    def inspect(self, at: str, seen: str) -> int:
        """Note what inspection of a place showed; return its number in the record."""
        return self._note(Inspected(at, seen))

    def ask(self, question: str, answer: str) -> int:
        """Note what the operator was asked and answered; return its number in the record."""
        return self._note(Asked(question, answer))

    def as_json(self) -> dict[str, Any]:
        """Return the record as JSON."""
        return record_as_json(self.record)
