"""Operating the machine: its controls, everything else that is done to it, and what it is seen to do."""

from __future__ import annotations

from typing import Any

from faultwright.cautions import connected_sources
from faultwright_widgets.messages import Doing, Message, text_in
from faultwright_widgets.texts import text
from faultwright_widgets.words import across_a_switch, notices, plain_name, seen_level, seen_words, wiring_rows
from faultwright_widgets.work import Work

_HANDS_IN = ("substitute", "restore", "bridge")
"""Moves for which a technician isolates the sources first."""


class Operate:
    """The machine's controls and wiring."""

    def __init__(self, work: Work) -> None:
        """Stand at the machine."""
        self.work = work
        self.doing: Doing = {"move": self.move, "observe": self.observe}

    def move(self, message: Message) -> None:
        """Make a move."""
        meter, machine, move = self.work.meter, self.work.bench.machine, text_in(message, "move")
        before, connected = machine.wiring.bridges, connected_sources(self.work.circuit, machine.wiring)
        if meter.watching and move.partition("=")[0] in self.work.circuit.controls:
            meter.watch(move)
        else:
            meter.clear()
            self.work.bench.move(move)
        added = [pair for pair in machine.wiring.bridges if pair not in before]
        said = []
        if connected and move.partition("=")[0] in _HANDS_IN:
            said.append(text("operate.isolate_first", sources=", ".join(connected)))
        if any(across_a_switch(self.work.circuit, *pair) for pair in added):
            said.append(text("operate.bridged_switch"))
        if said:
            self.work.said["operate"] = " ".join(said)

    def observe(self, _message: Message) -> None:
        """Note everything that is seen."""
        self.work.bench.observe()

    def state(self) -> dict[str, Any]:
        """Return the controls, what is seen, and how the machine is wired now."""
        step, machine = self.work.bench.step, self.work.bench.machine
        return {
            "controls": dict(machine.state),
            "seen": [
                {
                    "name": name,
                    "label": plain_name(name),
                    "words": seen_words(value),
                    "kind": self.work.circuit.behaviour[name].kind,
                    "level": seen_level(value),
                }
                for name, value in step.seen.items()
            ],
            "notices": notices(step),
            "wiring": wiring_rows(machine, step.test_lamps),
            "unplugged": sorted(machine.wiring.unplugged),
        }
