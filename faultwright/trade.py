"""What the trade knows of each mode: its usual cause, and what cures the mode *and its cause*.

All of it is common practice; there is no published source. A remedy that only mends the consequence is none: it stands
among the palliatives if the trade is tempted by it. A new fuse is one for whatever blew it, wherever that lies; what
blows a fuse is for the circuit to show, so that stands in no list.
"""

from __future__ import annotations

from typing import NamedTuple


class Trade(NamedTuple):
    """The usual cause of a mode; its remedies; palliatives help for a while at most and leave the cause."""

    cause: str
    remedies: tuple[str, ...] = ("replace",)
    palliatives: tuple[str, ...] = ()


_MEND = ("mend the wire", "replace the wire")
_INSULATE = ("insulate and reroute the wire", "replace the wire")
_MECHANICAL = ("free and lubricate", "adjust", "replace")

WIRE_BROKEN = Trade("fatigue where it bends, or pulled apart", _MEND)
WIRE_WEAK = Trade("strands corroded, or broken one by one", _MEND)
WIRE_GROUNDED = Trade("insulation chafed through on metal", _INSULATE)
WIRE_LIVE = Trade("insulation chafed through on a live wire", _INSULATE)

JOINT_OPEN = Trade("fatigue at the joint, or a pin pushed back", ("re-terminate",))
JOINT_DIRTY = Trade("corrosion, or a joint worked loose", ("clean", "re-terminate"))
SWAPPED = Trade("put together wrongly at an earlier repair", ("exchange the wires",))

SWITCH_STUCK = Trade("dirt, wear or wrong adjustment of what works it", _MECHANICAL)
SWITCH_DIRTY = Trade("dirt or corrosion on its contacts", ("clean", "replace"))
# Clean contacts do not move more easily: what works them has to be freed.
SWITCH_STICKING = Trade("dried grease or corrosion in what works it", ("free and lubricate", "replace"), ("clean",))

COIL_OPEN = Trade("winding broken by heat or shaking")
COIL_SHORTED = Trade("insulation of the winding burnt by heat")
CONTACT_OPEN = Trade("contacts burnt away by arcing")
CONTACT_WELDED = Trade("contacts welded by too much current")
CONTACT_BURNT = Trade("contacts pitted by arcing")

FUSE_OPEN = Trade("element tired, or blown by an overload that has passed")
LAMP_OPEN = Trade("filament burnt out, or shaken apart")
LAMP_SHORTED = Trade("the lamp's own contacts touching each other")
MOTOR_OPEN = Trade("brushes worn, or winding burnt through")
MOTOR_SHORTED = Trade("insulation of the winding burnt by overload")
RESISTOR_OPEN = Trade("burnt out by too much current")
RESISTOR_SHORTED = Trade("insulation broken down inside")
DIODE_OPEN = Trade("burnt through by too much current")
DIODE_SHORTED = Trade("broken down by too high a voltage")
DIODE_REVERSED = Trade("fitted the wrong way round", ("turn round",))
DIODE_LEAKY = Trade("damaged by heat or too high a voltage")
BATTERY_FLAT = Trade("something left switched on, or long not charged", ("charge", "replace"))
# A charge lifts a worn battery for a day.
BATTERY_WORN = Trade("plates sulphated or worn out with age", palliatives=("charge",))
INPUT_OPEN = Trade("damaged inside the module by too high a voltage")
