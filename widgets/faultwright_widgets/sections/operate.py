"""Operating the machine: its controls, everything else that is done to it, and what it is seen to do."""

from __future__ import annotations

from typing import Any

from faultwright.behaviour import Seen
from faultwright_widgets.messages import Doing, Message, text_in
from faultwright_widgets.texts import text
from faultwright_widgets.words import across_a_switch, notices, plain_name, seen_words, wiring_rows
from faultwright_widgets.work import Work


class Operate:
    """The machine's controls and wiring."""

    def __init__(self, work: Work) -> None:
        """Stand at the machine."""
        self.work = work
        self.doing: Doing = {"move": self.move, "observe": self.observe}

    def move(self, message: Message) -> None:
        """Make a move."""
        meter, machine, move = self.work.meter, self.work.bench.machine, text_in(message, "move")
        before = machine.wiring.bridges
        if meter.watching and move.partition("=")[0] in self.work.circuit.controls:
            meter.watch(move)
        else:
            meter.clear()
            self.work.bench.move(move)
        added = [pair for pair in machine.wiring.bridges if pair not in before]
        if any(across_a_switch(self.work.circuit, *pair) for pair in added):
            self.work.said["operate"] = text("operate.bridged_switch")

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
                    "level": _level(value),
                }
                for name, value in step.seen.items()
            ],
            "notices": notices(step),
            "wiring": wiring_rows(machine, step.test_lamps),
            "unplugged": sorted(machine.wiring.unplugged),
        }


def _level(value: Seen) -> str:
    """Return how far something is on, for its picture: off, dim or on; unsteady where it changes without end."""
    if value is None:
        return "unsteady"
    return {"off": "off", "dim": "dim", "lit": "on", False: "off", True: "on"}[value]
