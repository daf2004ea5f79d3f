"""What is said before a reading that could hurt somebody or the meter, or that would mean nothing."""

from __future__ import annotations

from collections.abc import Mapping

from .catalogue import reader

TEXTS: Mapping[str, str] = {
    # Ohms, continuity, diode test
    "supply_on": "The supply is connected ({sources}): isolate first. On a live circuit ohms, continuity and diode "
    "test mean nothing and can harm the meter.",
    "on_source": "{part} is a source of its own: ohms, continuity and diode test mean nothing on it and can harm the "
    "meter.",
    "beside": "Other paths may run beside {part}: lift one end of it, or the reading is of all of them together.",
    "leads": "{ohms} of the leads stand in this reading. Put the leads together and zero the meter first.",
    "leads_alone": "Both leads are on one point, so the meter shows the leads alone: that is how they are zeroed.",
    "beep": "A beep does not prove a joint that must carry amps: measure its voltage drop under load.",
    # Amps
    "straight_across": "Straight across a supply: on amps the meter is nearly a short, and its fuse goes. Amps go in "
    "series with a load.",
    "bridges_switch": "Across {part} the meter on amps is a jumper: on a machine that can move it defeats a guard. "
    "Isolate what moves, or measure volts across it.",
    "joins": "Between two points the meter on amps is a jumper: what it feeds can start. Amps go in series, where "
    "the circuit is opened.",
    "beside_load": "On amps the meter lies beside {part} and takes the current past it, so nothing is learnt of "
    "{part}. Amps go in series.",
    "starts_high": "{part} may take {amps} through {place}, and the meter bears {most}: its fuse goes. Measure the "
    "voltage drop, or use a clamp.",
    "too_much": "More than {most} flows here on a sound machine, so the meter's fuse goes. Measure the voltage drop, "
    "or use a clamp.",
    # Volts
    "no_supply": "No source is connected, so there is nothing to read on {meter}.",
    "hand_volts": "A part in the hand has no supply, so volts tell nothing of it. Measure its ohms, or volts where "
    "it is fitted.",
    # Any mode
    "one_point": "Both leads are on one point: the meter shows nought whatever is wrong.",
    "half": "{part} is apart, and {terminal} is on its {half} half: say which half was measured.",
    "harness": "{part} is off, so the lead on {terminal} is on the harness, not on the part. Say so beside the "
    "reading.",
    "running": "The machine runs ({what}): keep hands, leads and sleeves clear of what moves. Place the leads with "
    "the machine at rest.",
    "high_voltage": "{nominal} is above extra-low voltage: for authorised people only, supervised, with fused leads "
    "and a meter of the measurement category that IEC 61010 asks for.",
}


text = reader(TEXTS)
