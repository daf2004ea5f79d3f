"""The resistance of a wire from its area or gauge, length, conductor class, plating and temperature.

Sources: IEC 60228 (largest resistance at 20 °C of plain and of tinned copper conductors); FAA AC 43.13-1B
(temperature; tinned stranded wire by gauge); IEC 60028 (annealed copper, 0.017241 Ω·mm²/m); ASTM B258 (gauge
diameters, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

COPPER = 0.017241
"""Resistivity of annealed copper at 20 °C in Ω·mm²/m (IEC 60028, 100 % IACS)."""

_SOLID_OR_STRANDED = {
    0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 4.0: 4.61, 6.0: 3.08,
    10.0: 1.83, 16.0: 1.15, 25.0: 0.727, 35.0: 0.524, 50.0: 0.387,
}  # fmt: skip
_FLEXIBLE = {
    0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30,
    10.0: 1.91, 16.0: 1.21, 25.0: 0.780, 35.0: 0.554, 50.0: 0.386,
}  # fmt: skip
_SOLID_OR_STRANDED_TINNED = {
    0.5: 36.7, 0.75: 24.8, 1.0: 18.2, 1.5: 12.2, 2.5: 7.56, 4.0: 4.70, 6.0: 3.11,
    10.0: 1.84, 16.0: 1.16, 25.0: 0.734, 35.0: 0.529, 50.0: 0.391,
}  # fmt: skip
_FLEXIBLE_TINNED = {
    0.5: 40.1, 0.75: 26.7, 1.0: 20.0, 1.5: 13.7, 2.5: 8.21, 4.0: 5.09, 6.0: 3.39,
    10.0: 1.95, 16.0: 1.24, 25.0: 0.795, 35.0: 0.565, 50.0: 0.393,
}  # fmt: skip

_Table = Mapping[int, Mapping[float, float]]

MAXIMUM_OHM_PER_KM: _Table = {1: _SOLID_OR_STRANDED, 2: _SOLID_OR_STRANDED, 5: _FLEXIBLE, 6: _FLEXIBLE}
"""Class → area in mm² → Ω/km at 20 °C of plain copper (IEC 60228, read in reprints)."""
TINNED_MAXIMUM_OHM_PER_KM: _Table = {
    1: _SOLID_OR_STRANDED_TINNED, 2: _SOLID_OR_STRANDED_TINNED, 5: _FLEXIBLE_TINNED, 6: _FLEXIBLE_TINNED,
}  # fmt: skip
"""The same of tinned copper (IEC 60228, read in reprints; it prints class 1 up to 16 mm² only)."""

TINNED_OHM_PER_1000_FEET = {
    24: 28.40, 22: 16.20, 20: 9.88, 18: 6.23, 16: 4.81, 14: 3.06, 12: 2.02, 10: 1.26,
    8: 0.70, 6: 0.44, 4: 0.28, 2: 0.18, 1: 0.15, 0: 0.12,
}  # fmt: skip
"""Gauge → largest Ω/1000 ft at 20 °C of tinned stranded wire (FAA AC 43.13-1B Table 11-9, read in a reprint)."""
FOOT = 0.3048
"""m."""

PLAIN, TINNED = "plain", "tinned"
PLATINGS = (PLAIN, TINNED)


def temperature_factor(celsius: float) -> float:
    """Return R(t)/R(20 °C) of copper: (234.5 + t)/254.5 (FAA AC 43.13-1B 11-66).

    The table printed in IEC 60228 is rounded from 250/(230 + t), which differs by 0.4 % at 90 °C.
    """
    return (234.5 + celsius) / 254.5


def gauge_area(gauge: float) -> float:
    """Return the area in mm² of a solid wire of that American gauge (ASTM B258): d = 0.127 mm · 92^((36−n)/39)."""
    diameter = 0.127 * 92 ** ((36 - gauge) / 39)
    return math.pi / 4 * float(diameter**2)


def ohm_per_metre(area: float, conductor_class: int, plating: str = PLAIN) -> float:
    """Return Ω/m at 20 °C for ``area`` in mm².

    A size that stands in IEC 60228 has the standard's value; another is scaled from the nearest size
    (the product of resistance and area is nearly constant).
    """
    table = (TINNED_MAXIMUM_OHM_PER_KM if plating == TINNED else MAXIMUM_OHM_PER_KM)[conductor_class]
    size = min(table, key=lambda standard: abs(math.log(standard / area)))
    return table[size] * size / area / 1000


def gauge_ohm_per_metre(gauge: float, plating: str = PLAIN) -> float:
    """Return Ω/m at 20 °C by gauge: solid copper, or tinned stranded wire (a gauge not in its table is scaled)."""
    if plating == TINNED:
        size = min(TINNED_OHM_PER_1000_FEET, key=lambda standard: abs(standard - gauge))
        return TINNED_OHM_PER_1000_FEET[size] * gauge_area(size) / gauge_area(gauge) / (1000 * FOOT)
    return COPPER / gauge_area(gauge)


def wire_resistance(  # noqa: PLR0913 - all that a wire's resistance comes from
    *,
    length: float,
    area: float | None,
    gauge: float | None,
    conductor_class: int,
    celsius: float,
    plating: str = PLAIN,
) -> float:
    """Return the resistance in Ω of a wire of ``length`` m; a gauge leaves no choice of class."""
    if gauge is not None:
        per_metre = gauge_ohm_per_metre(gauge, plating)
    else:
        per_metre = ohm_per_metre(1.5 if area is None else area, conductor_class, plating)
    return per_metre * length * temperature_factor(celsius)
