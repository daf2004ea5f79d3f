"""How each kind of fault is put in on real hardware, taken out again and checked: every text, to be translated here.

A text has a line for each thing to do. All of it is common practice, without a source.
"""

from __future__ import annotations

from collections.abc import Mapping

from faultwright.catalogue import reader

TEXTS: Mapping[str, str] = {
    "where.wire": "{wire} ({colour})",
    "join": ", ",
    "ends": " and ",
    # Opens
    "wire_open.parts": "insulating sleeve or cap for the lug\ncable tie",
    "wire_open.steps": "Take {wire} off {lift}; what else lands there stays on and is tightened again.\n"
    "Put the sleeve over the lug and tie it back where it touches nothing. It is the side without supply: {volts} "
    "against FRAME at most.\n"
    "The same without lifting: an insulated in-line link in {wire}, prepared beforehand and left out.",
    "wire_open.removal": "Take the sleeve off, put {wire} back on {lift} and tighten it.",
    "wire_open.check": "Isolated, ohms from {start} to {end}: under 0.5 Ω with zeroed leads, also while the wire is "
    "pulled.",
    "joint_open.parts": "insulated stud or adapter for {terminal}\ninsulating sleeve",
    "joint_open.steps": "Take everything that lands on {terminal} off it ({wires}) and join it on the insulated "
    "stud: there the student's probe goes.\n"
    "Leave the part's own pin free, under the sleeve.",
    "joint_open.removal": "Put {wires} back on {terminal} and tighten; take the stud away.",
    "joint_open.check": "Isolated, ohms from {terminal} to its lug: under 0.5 Ω with zeroed leads, also while the "
    "lug is moved.",
    "pin_open.parts": "extraction tool for the connector\ninsulating sleeve",
    "pin_open.steps": "With the extraction tool take pin {pin} out of the b half of {part}; never push it back by "
    "force.\n"
    "Sleeve it and lay it back in the shell, so that the half looks whole.",
    "pin_open.removal": "Take the sleeve off and put the pin back until it locks.",
    "pin_open.check": "Isolated, ohms from {part}:a{pin} to {part}:b{pin} with the halves mated: under 0.5 Ω, also "
    "while the wire is pulled gently.",
    "part_open.parts": "insulated in-line link for the part's own lead",
    "part_open.steps": "Put the link into {part}'s own lead, behind {terminal}, and leave it out: on the part's "
    "side of the joint, so that the part also reads open in the hand.\n"
    "If {part} has no lead of its own, put a spare with one lead cut inside its sleeve in its place.",
    "part_open.removal": "Close the link, or put the sound part back.",
    "part_open.check": "Isolated, ohms across {terminals}: what a sound {kind} has.",
    "ground_open.parts": "insulating sleeve\ncable tie",
    "ground_open.steps": "Take the ring of {wires} off the stud {part}, join what lands there, and sleeve and tie "
    "it back together.",
    "ground_open.removal": "Clean stud and ring to bare metal, put the ring back and tighten.",
    "ground_open.check": "Isolated, ohms from {part}:1 to FRAME: under 0.5 Ω with zeroed leads.",
    "fuse_open.parts": "a blown fuse of {part}'s pattern, marked inside its holder's cover",
    "fuse_open.steps": "Put the blown fuse in {part}'s place and keep the sound one with this card.",
    "fuse_open.removal": "Put the sound fuse of {rating} back; never one of another rating.",
    "fuse_open.check": "The fuse out, ohms across it: under 0.5 Ω.",
    "lamp_open.parts": "a burnt-out lamp of {part}'s pattern",
    "lamp_open.steps": "Put the burnt-out lamp in {part}'s place and keep the sound one with this card.",
    "lamp_open.removal": "Put the sound lamp back.",
    "lamp_open.check": "The lamp lights in a state in which it must.",
    "diode_open.parts": "a diode in a sleeve as {part} is, with one lead cut inside the sleeve, marked under the "
    "sleeve",
    "diode_open.steps": "Put the prepared diode in {part}'s place.",
    "diode_open.removal": "Put the sound diode back, the ring on the side of {part}:K.",
    "diode_open.check": "Diode test in the hand: its drop one way, OL the other.",
    "coil_open.parts": "a relay of {part}'s pattern with one coil lead cut inside, marked inside its cover",
    "coil_open.steps": "Put the prepared relay in {part}'s place.",
    "coil_open.removal": "Put the sound relay back.",
    "coil_open.check": "In the hand, ohms across the coil: about {coil}.",
    "contact_open.parts": "a relay of {part}'s pattern with contact {contact} insulated inside, marked inside its "
    "cover",
    "contact_open.steps": "Put the prepared relay in {part}'s place: it clicks and contact {contact} does not close.",
    "contact_open.removal": "Put the sound relay back.",
    "contact_open.check": "In the state in which the contact is closed, volts across {terminals}: under 0.2 V.",
    "switch_open.parts": "a switch of {part}'s pattern whose contact {contact} does not close, marked inside its cover",
    "switch_open.steps": "Put the prepared switch in {part}'s place; its handle must move as the sound one's does.",
    "switch_open.lift": "Without one: lift {wires} off {terminal}, sleeve it, and have the probe put to the lug.",
    "switch_open.removal": "Put the sound switch back, or the wire on its terminal.",
    "switch_open.check": "Isolated, ohms across {terminals}: under 0.2 Ω with zeroed leads where it is closed, OL "
    "where it is open, each time the control is moved.",
    # Resistors in series
    "in_line.parts": "resistor of {ohms}, {watts} or more, with insulated lugs of the wire's size\nsleeve",
    "in_line.steps": "Put the resistor in series: {where}.\n"
    "It carries {current} at worst, which makes {power}; the rating has a margin of two.",
    "in_line.removal": "Take the resistor out and join what it parted, tightened.",
    "in_line.check": "Isolated, ohms across the place: under 0.5 Ω with zeroed leads; under load, a drop under 0.2 V.",
    "in_line.wire": "between {terminal} and the lug of {wire}",
    "in_line.joint": "between the pin {terminal} and what lands there ({wires}), which is joined on an insulated "
    "stud; the student's probe goes to that stud",
    "in_line.pin": "in the lead of pin {pin} on the b half of {part}, under its sleeve",
    "in_line.ground": "between the stud {part} and the ring of what lands there ({wires}), insulated from the stud",
    "in_line.contact": "on the side of {part} itself, between its contact {contact} and {terminal}; what lands "
    "there ({wires}) goes to the resistor's far end, and so does the student's probe",
    "in_line.inside": "inside a spare {part}, in the lead of contact {contact}, since another contact shares its pins",
    "in_line.source": "in the return lead, between {terminal} and what lands there ({wires})",
    # Jumpers
    "jumper.parts": "jumper of the wire's area or more with insulated ends and a fuse of {fuse} in line",
    "jumper.blows": "With it {blown} opens at once: keep spare fuses of that rating. The jumper's own fuse stands "
    "behind it for whoever puts in too large a one.",
    "jumper.carries": "It carries {current} at worst.",
    "jumper.steps": "Screw or plug the jumper on, {between}; no clips, which slip off.\n{load}",
    "jumper.removal": "Take the jumper off at both ends and count it back into the box.",
    "jumper.check": "Isolated, ohms {between}: as on the sound machine, which is not near 0 Ω in every state.",
    "jumper.ground": "from {terminal} to a bare stud of the frame",
    "jumper.supply": "from {terminal} to {supply}, its fuse at the end of {supply}",
    "jumper.across": "across {terminals}",
    # Parts that are prepared
    "diode_shorted.parts": "a wire link with a fuse of {fuse} in line, in a sleeve as {part} is, marked under the "
    "sleeve",
    "diode_shorted.steps": "Put the link in {part}'s place.\n{load}",
    "diode_shorted.removal": "Put the sound diode back, the ring on the side of {part}:K.",
    "diode_shorted.check": "Diode test in the hand: its drop one way, OL the other.",
    "diode_reversed.parts": "no part\na mark under the sleeve",
    "diode_reversed.steps": "Turn {part} round, its ring on the side of {part}:A, and mark it under the sleeve.",
    "diode_reversed.removal": "Turn it round again, the ring on the side of {part}:K.",
    "diode_reversed.check": "Diode test from {part}:A to {part}:K, isolated: its drop; leads exchanged: OL, or what "
    "lies beside.",
    "parallel.parts": "resistor of {ohms}, {watts} or more",
    "parallel.steps": "Put the resistor across {terminals}, in the sleeve or housing of {part}.\n"
    "It carries {current} at worst, which makes {power}; the rating has a margin of two.",
    "parallel.removal": "Take the resistor off.",
    "parallel.check": "In the hand, {part} reads as a sound {kind} does.",
    "sticking.parts": "a worn switch of {part}'s pattern, or a stiff bush or weak return spring for what works it",
    "sticking.steps": "Nothing electrical is put in. Put the prepared switch in {part}'s place, or make what works "
    "it stiff: it must follow its control one move late, every time.\n"
    "No grease, paint or glue on contacts.",
    "sticking.removal": "Put the sound switch back, or free, lubricate and adjust what works it.",
    "sticking.check": "Watch the meter across {terminals} while the control is moved ten times: OL to near zero and "
    "back, cleanly.",
    "swapped.parts": "extraction tool for the connector\na photograph of the half as it was",
    "swapped.steps": "With the extraction tool exchange pins {first} and {second} in the b half of {part}.",
    "swapped.removal": "Exchange the pins back until they lock, and hold them against the photograph.",
    "swapped.check": "Isolated, ohms from {part}:a{first} to the far end of its wire: under 0.5 Ω; the same for "
    "{second}.",
    "discharged.parts": "a bench supply in place of {part}, or a sound battery\nresistor of {ohms}, {watts} or more",
    "discharged.steps": "Never a damaged or deeply discharged battery. Set the supply to {volts} with its current "
    "limit on, and put the resistor in the return lead, between {terminal} and what lands there ({wires}).\n"
    "It carries {current} at worst, which makes {power}; the rating has a margin of two.",
    "discharged.removal": "Take the resistor out and put the sound, charged battery back, return lead last.",
    "discharged.check": "At rest the battery reads what a charged one does, and under load at most a few tenths of "
    "a volt less.",
    "loose.steps": "Not for good: a small push-to-break button or a loose lug under a cover stands in the place of "
    "what is lifted or put in, so that the fault is there only while the harness is moved there.\n"
    "Where the contact that is moved opens more than a few amperes it burns: use the button's rating.",
    # Why there is no way
    "none.resistor": "no common resistor comes near {ohms}",
    "none.power": "a resistor of {ohms} there must bear {power}; none up to 50 W has a margin of two",
    "none.fuse": "a jumper there carries {current}; no common fuse carries that",
    "none.disturbed": "only opens and resistances can be made to come and go by a loose lug",
    "none.same": "both ends of the short are the same joint, {terminal}",
}


text = reader(TEXTS)


def lines(key: str, **values: object) -> tuple[str, ...]:
    """Return a text's lines with their values put in."""
    return tuple(text(key, **values).splitlines())
