"""What inspection of a place shows, in words: every such text in one place so that it can be translated."""

from __future__ import annotations

from collections.abc import Mapping

from .catalogue import reader

TEXTS: Mapping[str, str] = {
    "nothing": "from outside, nothing unusual to be seen",
    "at": "{at}: {seen}",
    "apart": "{at}, unplugged: {seen}",
    "chafed_on_metal": "the insulation is chafed through where it lies on metal",
    "chafed_on_wire": "the insulation is chafed through where it lies on another wire",
    "pushed_back": "the pin has been pushed back and lies deeper than it should",
    "deposit": "a green deposit",
    "colours": "on the b half a {found} wire, where the diagram has {meant}",
    "element": "the element is broken through",
    "filament": "the filament is broken",
    "stiff": "moves stiffly and comes back slowly",
    "ring": "the ring that marks the cathode is at the other end than the diagram has it",
    "darkened": "darkened by heat",
    "loose": "the nut is loose and the ring does not touch the metal",
    "rust": "rust under the ring",
}


text = reader(TEXTS)
