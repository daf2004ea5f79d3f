"""A paper's blueprint: from one file, as many papers of one difficulty as a class needs.

The file is YAML beside the course's circuits. Only ``paper``, ``circuit`` and ``complaint`` are needed::

    paper: sprayer-pump                    # the paper's name: a letter, then letters, digits, '-', '_', '.'
    title: The sprayer that does not pump
    circuit: ../circuits/orchard-sprayer.yaml     # from this file's folder
    practice: no                           # yes: work at home; the paper then holds its fault, and says so
    complaint:
      text: The operator says that the pump does not work as it should with the key on and the tank full.
      moves: [key=on, float=full]          # from rest; what is seen after each move is part of the complaint
      see: [pump, lamp]                    # behaviours that the operator reports (all by default)
    faults:                                # the pool; without it: every fault that fits
      places: [K1, W9, X1:1, E1]           # a place, or a part with all its pins and contacts
      modes: [open, resistance, stuck open]       # a mode or its last words ('30-87 stuck open' is a 'stuck open')
      names: [W6 open]                     # these as well, by name
      leave_out: [G1 discharged]           # never these
    values:                                # Ω, by fault name or by mode; else half to twice the usual value
      W9 resistance: 2 Ω to 6 Ω
      resistance: 3 Ω to 30 Ω
    machine:                               # how one machine of the class differs from the next: factors
      emf: 0.97 to 1.03                    # on the battery's emf
      length: 0.8 to 1.25                  # on the length of every wire
    difficulty:
      suspects: 4 to 90                    # ambiguity groups that the complaint alone leaves
      tests: 1 to 6                        # tests that a good plan needs from there
    calculation:                           # Ohm's law: what would the meter show on a sound machine?
      prompt: What current does the relay coil take with the key on and the tank full?
      moves: [key=on, float=full]
      meter: amps                          # volts, amps or ohms, as for the meter
      red: W8                              # for amps the place that is opened, without black
    continuity:                            # each claim must hold in every state of the controls
      - id: coil-feed
        prompt: With the battery off, when is there a path from S1:2 to K1:86?
        between: [S1:2, K1:86]
        choices: [always, never, float=full, float=full or test=pressed]
    safety_switches: [S1, B1]              # a jumper across one of these defeats a guard (every switch by default)
    ask:                                   # what the operator can be asked, and the answers: one for the whole class
      - {question: Did the lamp come on?, answer: "I did not look at the lamp, the sun was on it."}
    inspect:                               # what looking at a place shows; elsewhere, from outside, nothing unusual
      - {at: X1, seen: the housing is muddy}         # a harmless oddity, there whatever is wrong
      - {at: "X1:1", seen: a green deposit, with: ["X1:1 resistance"], apart: yes}
        # with: only while one of these faults is in; apart: only while the part is unplugged
    usual_signs: no                        # yes: what the trade would see of the fault shows as well
    rubric:                                # or the name of a file that holds this table
      pass: 60                             # per cent
      weights: {diagnosis: 25, evidence: 25, citing: 5, calculation: 10, continuity: 10, remedy: 10, proof: 10,
                safety: 5}
      proof: 75                            # per cent of the proof without which no paper passes
      calculation_tolerance: 5             # per cent

A fault fits when the complaint shows it, when it lies within the difficulty, and when it could be set up safely
on a real machine: it makes nothing run that should refuse, and it is no short without a fuse. A fault that is
listed by name and does not fit is a mistake; one that is only selected by place and mode is left out. A choice of a
continuity question is ``always``, ``never``, or positions joined by ``and`` and ``or`` (``and`` binds closer);
exactly one choice must be true of the sound, isolated circuit in all control states.

What the operator answers must hold of every machine of the class, and so be silent about the fault. What inspection
shows follows from the fault, so nothing of ``inspect`` is handed out: it stays with whoever holds the fault. A sign
``with`` a fault stands in for the usual one at that place, so it also hides that: ``seen: tight and bright``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from faultwright.circuit import Circuit
from faultwright.faults import Fault, part_of
from faultwright.meter import Probe
from faultwright.moves import Move
from faultwright.story import Story

from .rubric import Rubric

Range = tuple[float, float]
"""Least and most."""


@dataclass(frozen=True, slots=True)
class Complaint:
    """What the operator says, the moves from rest that show it, and the behaviours that are reported."""

    text: str
    moves: tuple[Move, ...]
    see: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Selection:
    """Which faults are in the pool; an empty tuple of places or modes selects them all."""

    places: tuple[str, ...] = ()
    modes: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()

    @property
    def names_only(self) -> bool:
        """Whether the pool is a list of names and nothing else."""
        return bool(self.names) and not self.places and not self.modes

    def selects(self, fault: Fault) -> bool:
        """Say whether a fault is selected by place and mode, or by name."""
        if fault.name in self.left_out:
            return False
        if fault.name in self.names:
            return True
        at_place = not self.places or fault.place in self.places or part_of(fault.place) in self.places
        of_mode = not self.modes or any(is_mode(fault, mode) for mode in self.modes)
        return at_place and of_mode and not self.names_only


def is_mode(fault: Fault, mode: str) -> bool:
    """Say whether a fault has a mode, given whole or by its last words, or a swap or a short by its first."""
    return fault.mode == mode or fault.mode.endswith(f" {mode}") or fault.mode.startswith(f"{mode} ")


@dataclass(frozen=True, slots=True)
class Calculation:
    """What a sound machine would show: the question, the moves from rest, the measurement."""

    prompt: str
    moves: tuple[Move, ...]
    probe: Probe


@dataclass(frozen=True, slots=True)
class ContinuityQuestion:
    """A claim about a path between two terminals; exactly one choice is ``right``."""

    id: str
    prompt: str
    between: tuple[str, str]
    choices: tuple[str, ...]
    right: str


@dataclass(frozen=True)
class Blueprint:
    """A blueprint as read; ``text`` is its file's, ``circuit_text`` its circuit's, ``neighbours`` every file named."""

    paper: str
    title: str
    circuit: Circuit
    complaint: Complaint
    selection: Selection = Selection()
    values: Mapping[str, Range] = field(default_factory=dict)
    emf: Range = (0.97, 1.03)
    length: Range = (0.8, 1.25)
    suspects: Range = (1.0, 1e6)
    tests: Range = (0.0, 1e6)
    calculation: Calculation | None = None
    continuity: tuple[ContinuityQuestion, ...] = ()
    safety_switches: tuple[str, ...] = ()
    story: Story = field(default_factory=Story)
    usual_signs: bool = False
    rubric: Rubric = field(default_factory=Rubric)
    practice: bool = False
    place: str = "blueprint"
    text: str = ""
    circuit_text: str = ""
    neighbours: Mapping[str, str] = field(default_factory=dict)

    def value_range(self, fault: Fault) -> Range:
        """Return the values in Ω that a fault with a free value may take."""
        assert fault.value is not None  # noqa: S101 - asked of free-valued faults only
        if fault.name in self.values:
            return self.values[fault.name]
        by_mode = [found for mode, found in self.values.items() if is_mode(fault, mode)]
        return by_mode[0] if by_mode else (fault.value / 2, fault.value * 2)
