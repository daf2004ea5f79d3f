"""The resistance of a wire from its area or gauge, length, conductor class and temperature.

Sources: IEC 60228 (largest resistance at 20 °C of plain copper conductors); FAA AC 43.13-1B (temperature);
IEC 60028 (annealed copper, 0.017241 Ω·mm²/m); ASTM B258 (gauge diameters, from memory).
"""

from __future__ import annotations

import math

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

MAXIMUM_OHM_PER_KM = {1: _SOLID_OR_STRANDED, 2: _SOLID_OR_STRANDED, 5: _FLEXIBLE, 6: _FLEXIBLE}
"""Class → area in mm² → Ω/km at 20 °C. IEC 60228, plain copper; the rows 1 mm² (class 1, 2), 1.5 and
4 mm² (class 5, 6) and all from 35 mm² up are from memory."""


def temperature_factor(celsius: float) -> float:
    """Return R(t)/R(20 °C) of copper: (234.5 + t)/254.5 (FAA AC 43.13-1B 11-66).

    The table printed in IEC 60228 is rounded from 250/(230 + t), which differs by 0.4 % at 90 °C.
    """
    return (234.5 + celsius) / 254.5


def gauge_area(gauge: float) -> float:
    """Return the area in mm² of a solid wire of that American gauge (ASTM B258): d = 0.127 mm · 92^((36−n)/39)."""
    diameter = 0.127 * 92 ** ((36 - gauge) / 39)
    return math.pi / 4 * float(diameter**2)


def ohm_per_metre(area: float, conductor_class: int) -> float:
    """Return Ω/m at 20 °C for ``area`` in mm².

    A size that stands in IEC 60228 has the standard's value; another is scaled from the nearest size
    (the product of resistance and area is nearly constant).
    """
    table = MAXIMUM_OHM_PER_KM[conductor_class]
    size = min(table, key=lambda standard: abs(math.log(standard / area)))
    return table[size] * size / area / 1000


def wire_resistance(
    *, length: float, area: float | None, gauge: float | None, conductor_class: int, celsius: float
) -> float:
    """Return the resistance in Ω of a wire of ``length`` m; ``gauge`` is taken as solid copper."""
    if gauge is not None:
        per_metre = COPPER / gauge_area(gauge)
    else:
        per_metre = ohm_per_metre(1.5 if area is None else area, conductor_class)
    return per_metre * length * temperature_factor(celsius)
