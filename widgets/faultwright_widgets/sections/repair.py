"""Repairing, and proving the repair."""

from __future__ import annotations

from typing import Any

from faultwright.cautions import connected_sources
from faultwright.errors import Refused
from faultwright_widgets.messages import Doing, Message, text_in
from faultwright_widgets.proof import proof
from faultwright_widgets.texts import text
from faultwright_widgets.work import Work


class Repair:
    """A remedy at a place, and the control states looked at since."""

    def __init__(self, work: Work) -> None:
        """Take the tools; a repair in the record is the answer's remedy."""
        self.work = work
        self.doing: Doing = {"repair": self.repair}

    def repair(self, message: Message) -> None:
        """Do a remedy at a place."""
        place, remedy = text_in(message, "at"), text_in(message, "remedy")
        if not place or not remedy:
            raise Refused(text("repair.choose"))
        work = self.work
        work.meter.clear()
        connected = connected_sources(work.circuit, work.bench.machine.wiring)
        work.bench.move(f"repair={place} {remedy}")
        done = text("repair.done", place=place, remedy=remedy)
        isolate = text("repair.isolate", sources=", ".join(connected))
        work.said["repair"] = f"{isolate} {done}" if connected else done

    def state(self) -> dict[str, Any]:
        """Return the last repair and the proof so far."""
        return {
            "repair": self.work.last_repair(),
            "proof": proof(self.work.log.follow(self.work.bench.actions)),
        }
