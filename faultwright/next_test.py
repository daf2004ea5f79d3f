"""The best next test: most expected information for its cost, among the safe ones.

Each suspect counts by how often such a fault is met in the trade (``frequency``). A test splits the suspects into those
that would show the same; the expected information is the entropy of that split in bits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .candidates import (
    BACK_PROBE,
    DISMANTLE,
    LOOK,
    OPERATE,
    UNPLUG,
    Candidate,
    hand_probes,
    isolation,
    resistance_probes,
    sources,
    voltage_probes,
    worth_reaching,
)
from .circuit import Circuit
from .faults import Fault
from .frequency import priors
from .machine import Machine
from .meter import OK, Reading, agree, read
from .moves import Move, control_moves
from .record import Record, replay

Outcomes = Sequence[Reading | Mapping[str, Any]]
"""What each hypothesis would show: readings, or what is seen."""

MOST_STATES = 16
"""Control states tried for the next test; a person does not go through more of them for one reading."""


@dataclass(frozen=True, slots=True)
class NextTest:
    """A test and what it is worth: expected information in bits, its cost, how many suspects each part holds."""

    candidate: Candidate
    bits: float
    parts: tuple[int, ...]

    def as_json(self) -> dict[str, Any]:
        """The test as the command line's JSON gives it; a test without a meter is a look at the machine."""
        probe = self.candidate.probe
        found: dict[str, Any] = {"moves": [str(move) for move in self.candidate.moves]}
        if probe is None:
            found["see"] = True
        else:
            found |= {"meter": probe.mode, "red": probe.red, "black": probe.black}
            found |= {"alone": probe.alone} if probe.alone else {}
        return found | {"bits": round(self.bits, 3), "cost": self.candidate.cost, "splits": list(self.parts)}


def next_test(
    circuit: Circuit,
    record: Record,
    faults: Sequence[Fault],
    *,
    healthy: bool = False,
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> NextTest | None:
    """Return the best next test after a record, or None where no test splits what is left.

    ``faults`` are the suspects, their free values set; ``healthy`` adds the sound machine to them;
    ``tell`` is told how many of how many control states have been looked at.
    """
    hypotheses: list[tuple[Fault, ...]] = [(fault,) for fault in faults] + ([()] if healthy else [])
    if len(hypotheses) < 2:  # noqa: PLR2004 - one suspect need not be split
        return None
    shares = priors([*faults, *([None] if healthy else [])], circuit)
    best: NextTest | None = None
    for candidate, outcomes in _all_tests(circuit, record, hypotheses, tell):
        test = _worth(candidate, outcomes, shares)
        if best is None or test.bits / test.candidate.cost > best.bits / best.candidate.cost + 1e-9:
            best = test
    return best if best is not None and best.bits > 0 else None


def _all_tests(
    circuit: Circuit,
    record: Record,
    hypotheses: Sequence[tuple[Fault, ...]],
    tell: Callable[[int, int], None],
) -> Iterator[tuple[Candidate, Outcomes]]:
    """Yield every test in every state worth reaching, energised first, then isolated, with what each would show."""
    start = replay(circuit, (), record)[1]
    ways = list(_ways(circuit, start.state))
    for number, moves in enumerate(ways):
        tell(number, len(ways))
        machines = [_machine_after(circuit, faults, record, moves) for faults in hypotheses]
        way = OPERATE * len(moves)
        yield Candidate(moves, None, LOOK + way), [machine.seen() for machine in machines]
        if not set(sources(circuit)) & machines[0].wiring.unplugged:
            for probe in voltage_probes(circuit):
                yield Candidate(moves, probe, BACK_PROBE + way), [read(machine, probe) for machine in machines]
        isolating = tuple(move for move in isolation(circuit) if move.target not in machines[0].wiring.unplugged)
        for machine in machines:
            for move in isolating:
                machine.move(move)
        dead = (*moves, *isolating)
        cost = BACK_PROBE + way + UNPLUG * len(isolating)
        for probe in resistance_probes(circuit):
            yield Candidate(dead, probe, cost), [read(machine, probe) for machine in machines]
        for probe in hand_probes(circuit):
            yield Candidate(dead, probe, cost + DISMANTLE), [read(machine, probe) for machine in machines]


def _ways(circuit: Circuit, state: dict[str, str]) -> Iterator[tuple[Move, ...]]:
    """Yield the control moves to each state worth reaching, none first."""
    every = worth_reaching(circuit, state, MOST_STATES)
    ways = {tuple(control_moves(circuit, state, other)) for other in every} | {()}
    yield from sorted(ways, key=lambda moves: (len(moves), [str(move) for move in moves]))


def _machine_after(circuit: Circuit, faults: tuple[Fault, ...], record: Record, moves: Sequence[Move]) -> Machine:
    machine = replay(circuit, faults, Record(record.circuit, tuple(record.moves())))[1]
    for move in moves:
        machine.move(move)
    return machine


def _worth(candidate: Candidate, outcomes: Outcomes, shares: Sequence[float]) -> NextTest:
    parts = split(outcomes)
    likely = [sum(shares[index] for index in part) for part in parts]
    # One part tells nothing, although its share may fall short of 1 by rounding.
    bits = -sum(share * math.log2(share) for share in likely) if len(parts) > 1 else 0.0
    return NextTest(candidate, bits, tuple(sorted(map(len, parts), reverse=True)))


def split(outcomes: Outcomes) -> list[list[int]]:
    """Return the parts into which outcomes fall, by index; readings within tolerance of each other go together."""
    alike: dict[str, list[int]] = {}
    numbers: list[tuple[Reading, int]] = []
    for index, outcome in enumerate(outcomes):
        if isinstance(outcome, Reading) and outcome.status == OK:
            numbers.append((outcome, index))
        else:
            key = outcome.status if isinstance(outcome, Reading) else repr(sorted(outcome.items()))
            alike.setdefault(key, []).append(index)
    parts = list(alike.values())
    numbers.sort(key=lambda number: number[0].value or 0.0)
    last: Reading | None = None
    for reading, index in numbers:
        if last is not None and agree(last, reading):
            parts[-1].append(index)
        else:
            parts.append([index])
        last = reading
    return parts
