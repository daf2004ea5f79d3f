"""What is watched while somebody isolates and probes: the criteria with their levels, to be translated here.

All of it is common practice, without a source, but where one is named.
"""

from __future__ import annotations

from typing import NamedTuple

CRITICAL, SERIOUS, MINOR = "critical", "serious", "minor"


class Line(NamedTuple):
    """A criterion. ``needs`` names what a circuit must have for it to stand on the sheet; its words are put in."""

    level: str
    text: str
    needs: str = ""


SECTIONS: dict[str, tuple[Line, ...]] = {
    "Before anything is touched": (
        Line(SERIOUS, "Made the machine safe before operating it: {moving} cannot hurt, people are clear.", "moving"),
        Line(SERIOUS, "Looked for stored energy: springs, capacitors, pressure, raised parts."),
        Line(MINOR, "Eye protection on, jewellery off, sleeves and hair tied."),
        Line(MINOR, "Read the circuit's cautions and said which one matters for the next step."),
    ),
    "Isolating": (
        Line(CRITICAL, "Isolated before anything was unplugged, lifted or put on: {sources}.", "above_extra_low"),
        Line(SERIOUS, "Isolated before ohms, continuity and diode test, and before anything was lifted: {sources}.",
             "extra_low"),
        Line(MINOR, "Battery: return lead off first and on last, the spanner never between a terminal and the frame.",
             "batteries"),
        Line(SERIOUS, "Hung a tag at the isolating point; a personal lock where it can be locked."),
    ),
    "Proving dead": (
        Line(SERIOUS, "Proved the tester on a known live point: {known}."),
        Line(SERIOUS, "Proved the circuit dead at the place of work, and at {live}.", "live"),
        Line(SERIOUS, "Proved the tester again on the known live point."),
    ),
    "Meter and leads": (
        Line(MINOR, "Looked leads and probes over; tips shrouded but for a few millimetres; fused leads and the "
             "measurement category that the place asks for (IEC 61010-031; from memory)."),
        Line(SERIOUS, "Meter, range and sockets chosen before contact; back to volts after amps."),
        Line(SERIOUS, "No amps across a source; no ohms, continuity or diode test on a live circuit."),
        Line(SERIOUS, "No slip at the points that are live without a fuse whatever the controls do: {live}.", "live"),
        Line(MINOR, "Black lead on first and off last, one hand where it can be, the other off the frame."),
        Line(MINOR, "Back-probed along the pin from the wire's side; no insulation pierced, no socket spread."),
        Line(MINOR, "Leads held together and zeroed before ohms."),
        Line(MINOR, "Said meter, red, black, state and expected value before contact, and read the unit aloud."),
    ),
    "Connectors and joints": (
        Line(MINOR, "Unplugged {connectors} by the latch, not the wires; said which half was measured.", "connectors"),
        Line(MINOR, "Unplugged first what hides the points: {behind}.", "behind"),
        Line(MINOR, "Put wires back where they were, tight, and felt for each latch."),
    ),
    "Jumpers and guards": (
        Line(CRITICAL, "No jumper and no test lamp round a guard while the machine can move: {guards}.", "guards"),
        Line(SERIOUS, "Every jumper fused, and only with the machine made safe."),
        Line(SERIOUS, "Every jumper and test lamp off again and counted before the machine was used."),
    ),
    "At the end": (
        Line(SERIOUS, "Looked everything over before energising: nothing left off, nothing left on, people clear."),
        Line(SERIOUS, "Proved the repair in every state chosen, those in which the machine must refuse among them."),
        Line(MINOR, "Wrote each finding down as it was taken."),
    ),
}  # fmt: skip
