"""Faultwright: find, justify and teach the diagnosis of faults in switched control circuits.

This package is the electrical core. It reads a circuit file, injects a fault, solves the circuit, moves its
controls, measures, keeps the record and tells which faults are still possible. It needs no Jupyter and no numpy.
"""

from __future__ import annotations

__version__ = "0.1.0"
