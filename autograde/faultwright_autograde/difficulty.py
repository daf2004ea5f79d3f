"""Difficulty: how many groups a complaint leaves, and how many tests a good plan needs from there.

Judged on the blueprint's own circuit with the fault at the middle of its values, so that it is a property of the
paper and not of the draw.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.faults import Fault, universe
from faultwright.next_test import NextTest, next_test
from faultwright.suspects import find_suspects

from .blueprint import Blueprint
from .evidence import Left, left_after
from .pool import complaint_actions, middle_value

MOST_IN_MIND = 8
"""Suspects that a plan compares at once: one of a group, spread over those that are left."""

MOST_TESTS = 12


@dataclass
class Difficulty:
    """Judges the faults of one blueprint, each once."""

    blueprint: Blueprint
    groups: Mapping[str, int]
    _judged: dict[str, tuple[int, int]] = field(default_factory=dict)
    _left: dict[str, Left] = field(default_factory=dict)

    def fits(self, fault: Fault) -> bool:
        """Say whether a fault lies within the bounds of the blueprint."""
        blueprint = self.blueprint
        least, most = blueprint.suspects
        if not least <= len(self.suspects(fault).groups(self.groups)) <= most:
            return False
        least, most = blueprint.tests
        if (least, most) == Blueprint.tests:
            return True
        return least <= self.of(fault)[1] <= most

    def of(self, fault: Fault) -> tuple[int, int]:
        """Return the groups that the complaint leaves and the tests that a good plan needs from there."""
        if fault.name not in self._judged:
            suspects = self.suspects(fault)
            tests = _tests_needed(self.blueprint, middle_value(self.blueprint, fault), suspects, self.groups)
            self._judged[fault.name] = len(suspects.groups(self.groups)), tests
        return self._judged[fault.name]

    def suspects(self, fault: Fault) -> Left:
        """Return what the complaint alone leaves; many faults show the same, and that is worked out once."""
        circuit = self.blueprint.circuit
        actions = complaint_actions(circuit, [middle_value(self.blueprint, fault)], self.blueprint.complaint)
        key = repr(actions)
        if key not in self._left:
            self._left[key] = left_after(circuit, actions, universe(circuit).values())
        return self._left[key]


def _tests_needed(blueprint: Blueprint, fault: Fault, suspects: Left, groups: Mapping[str, int]) -> int:
    circuit = blueprint.circuit
    bench = Bench(circuit, [fault])
    for move in blueprint.complaint.moves:
        bench.move(str(move))
        bench.observe(*blueprint.complaint.see)
    left = suspects
    for count in range(MOST_TESTS):
        if len(left.groups(groups)) <= 1:
            return count
        test = best_test(circuit, bench, left, groups)
        if test is None:
            return count
        do_test(bench, test)
        left = left_after(circuit, bench.actions, left.faults.values())
    return MOST_TESTS


def best_test(circuit: Circuit, bench: Bench, left: Left, groups: Mapping[str, int]) -> NextTest | None:
    """Return the best next test for what is left, judged on as many suspects as one keeps in mind.

    Free values are taken at one that is possible; where no test splits the suspects so, at their least, then at
    their most.
    """
    firsts = [left.faults[names[0]] for names in left.groups(groups) if names[0] in left.faults]
    step = max(1.0, len(firsts) / MOST_IN_MIND)
    chosen = [firsts[int(index * step)] for index in range(min(len(firsts), MOST_IN_MIND))]
    test = next_test(circuit, bench.record, chosen, healthy=left.healthy)
    if test is not None:
        return test
    ranges = find_suspects(circuit, bench.record, chosen, with_conflict=False).ranges
    for end in (0, 1):
        faults = [replace(fault, value=ranges[fault.name][end]) if fault.name in ranges else fault for fault in chosen]
        test = next_test(circuit, bench.record, faults, healthy=left.healthy)
        if test is not None:
            return test
    return None


def do_test(bench: Bench, test: NextTest) -> int:
    """Make a test's moves and take it; return the number of the finding in the record."""
    for move in test.candidate.moves:
        bench.move(str(move))
    if test.candidate.probe is None:
        return bench.observe()
    return bench.read(test.candidate.probe)[0]
