"""Suspects by symptom: every complaint that a single fault can give, and the faults that give exactly that.

The symptom table of a machine is what is seen in every control state, each reached from rest in one move. Faults with
the same symptom table are one entry; those with the sound machine's own are its entry 0, for nobody will complain.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import fsum
from typing import Any

from .analysis_texts import text
from .behaviour import Seen, word_of
from .circuit import Circuit
from .conditions import of_terms, written
from .dictionary import Block, dictionary
from .errors import Mistake, Refused
from .families import Hypothesis
from .faults import universe
from .lane_seen import seen_of
from .outcomes import shares_of
from .some_states import states_in_words, terms_of
from .state_table import every_state

AS_SOUND = 0
"""The number of what nobody complains of."""


@dataclass(frozen=True, slots=True)
class Difference:
    """What is seen of a behaviour where the sound machine shows something else, in which states by number.

    ``always``: in every state in which the sound machine shows that.
    """

    behaviour: str
    sound: Seen
    seen: Seen
    states: tuple[int, ...]
    always: bool


@dataclass(frozen=True)
class Symptom:
    """One symptom table, told by its differences from the sound machine's, and the suspects, the commonest first.

    ``share`` is their share of all faults and the sound machine, by how often each is met in the trade.
    """

    circuit: Circuit
    number: int
    differences: tuple[Difference, ...]
    suspects: tuple[Hypothesis, ...]
    share: float

    @property
    def names(self) -> list[str]:
        """The faults by name, the commonest first."""
        return [hypothesis[0].name for hypothesis in self.suspects if hypothesis]

    def as_json(self) -> dict[str, Any]:
        """The symptom as the command line's JSON gives it."""
        return {
            "number": self.number,
            "differences": [self._difference_as_json(difference) for difference in self.differences],
            "suspects": self.names,
            "healthy": () in self.suspects,
            "share": round(self.share, 4),
        }

    def _difference_as_json(self, difference: Difference) -> dict[str, Any]:
        terms = terms_of(self.circuit, difference.states)
        return {
            "behaviour": difference.behaviour,
            "sound": difference.sound,
            "seen": difference.seen,
            "when": None if terms is None else written(of_terms(terms)),
            "states": len(difference.states),
        }

    def complaint(self) -> list[str]:
        """Return in words what is seen otherwise than on the sound machine, what changes in the same states together.

        Without a difference: that nothing is seen to be wrong.
        """
        together: dict[str, list[str]] = {}
        for one in self.differences:
            words = text(
                "symptoms.difference", behaviour=one.behaviour, sound=word_of(one.sound), seen=word_of(one.seen)
            )
            together.setdefault(self._when(one), []).append(words)
        lines = [text("symptoms.when", when=when, differences=", ".join(some)) for when, some in together.items()]
        return lines or [text("symptoms.as_sound")]

    def _when(self, difference: Difference) -> str:
        if difference.always:
            return text("single.always")
        return states_in_words(self.circuit, difference.states)

    def words(self) -> list[str]:
        """Return the symptom in words: its number and what is seen, then who is suspected."""
        key = "symptoms.suspect" if len(self.names) == 1 else "symptoms.suspects"
        return [
            text("symptoms.entry", number=self.number, complaint="; ".join(self.complaint())),
            "   " + text(key, count=len(self.names), names=", ".join(self.names) or text("symptoms.nobody")),
        ]


@dataclass(frozen=True)
class Symptoms:
    """All symptoms by number: first that of the sound machine, then the complaints, the commonest first."""

    circuit: Circuit
    entries: tuple[Symptom, ...]

    @property
    def complaints(self) -> tuple[Symptom, ...]:
        """The symptoms in which something is seen to be wrong."""
        return self.entries[AS_SOUND + 1 :]

    def find(self, number: int) -> Symptom:
        """Return the symptom of a number. Raises Refused where there is none."""
        last = len(self.entries) - 1
        if not 0 <= number <= last:
            raise Refused(Mistake(f"there is no symptom {number} (allowed: 0 to {last})", self.circuit.name))
        return self.entries[number]

    def as_json(self) -> list[dict[str, Any]]:
        """The symptoms as the command line's JSON gives them."""
        return [entry.as_json() for entry in self.entries]

    def words(self) -> list[str]:
        """Return the index of complaints in words; what nobody complains of comes last."""
        listed = (*self.complaints, self.entries[AS_SOUND])
        return [text("symptoms.note"), *(line for entry in listed for line in entry.words())]


Codes = Mapping[str, Sequence[int]]
"""Behaviour → its code in each state, as in the dictionary."""


def symptoms(circuit: Circuit) -> Symptoms:
    """Return the symptoms that a circuit's single faults give. Raises Refused where there are too many states."""
    states = list(every_state(circuit))
    hypotheses: list[Hypothesis] = [(), *((fault,) for fault in universe(circuit).values())]
    shares = dict(zip(hypotheses, shares_of(hypotheses, circuit), strict=True))
    alike: dict[tuple[bytes, ...], list[Hypothesis]] = {}
    codes_of: dict[tuple[bytes, ...], Codes] = {}
    for block in dictionary(circuit, hypotheses, states):
        for row, hypothesis in enumerate(block.faults):
            table = tuple(codes[row].tobytes() for codes in block.seen.values())
            alike.setdefault(table, []).append(hypothesis)
            codes_of.setdefault(table, _codes(block, row))
    (as_sound, nobodys), *complaints = alike.items()
    complaints.sort(key=lambda entry: -fsum(shares[one] for one in entry[1]))
    return Symptoms(
        circuit,
        tuple(
            Symptom(
                circuit,
                number,
                tuple(_differences(circuit, codes_of[as_sound], codes_of[table])),
                tuple(sorted(suspects, key=lambda one: -shares[one])),
                fsum(shares[one] for one in suspects),
            )
            for number, (table, suspects) in enumerate([(as_sound, nobodys), *complaints])
        ),
    )


def _codes(block: Block, row: int) -> Codes:
    return {name: codes[row].tolist() for name, codes in block.seen.items()}


def _differences(circuit: Circuit, sound: Codes, codes: Codes) -> Iterator[Difference]:
    """Yield what differs, behaviour by behaviour, and for each what is shown instead of what."""
    for name, behaviour in circuit.behaviour.items():
        changes: dict[tuple[int, int], list[int]] = {}
        for state, pair in enumerate(zip(sound[name], codes[name], strict=True)):
            if pair[0] != pair[1]:
                changes.setdefault(pair, []).append(state)
        for (was, now), states in changes.items():
            always = len(states) == sound[name].count(was)
            yield Difference(name, seen_of(was, behaviour), seen_of(now, behaviour), tuple(states), always)
