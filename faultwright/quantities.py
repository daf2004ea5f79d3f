"""Numbers with units: what a person writes becomes a float in V, A, Ω, W, m, mm² or °C.

The units are those of this trade only, so a typing slip is refused and not taken for some unit of
another trade. Parsing and conversion are pint's.
"""

from __future__ import annotations

import math
import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from .errors import Refused

if TYPE_CHECKING:
    import pint

UNITS = ("V", "A", "Ω", "W", "m", "mm²", "°C", "%")

RANGES = {
    "Ω": (1e-9, 1e12),
    "V": (1e-3, 1e5),
    "A": (1e-6, 1e6),
    "W": (1e-6, 1e6),
    "m": (1e-3, 1e5),
    "mm²": (1e-3, 1e3),
    "°C": (-60.0, 250.0),
    "%": (1.0, 100.0),
}
"""Least and most that a circuit may hold: far beyond any machine of this trade, within what the solver is exact in."""

EXAMPLES = {
    "Ω": "85 Ω",
    "V": "12 V",
    "A": "5 A",
    "W": "21 W",
    "m": "0.4 m",
    "mm²": "2.5 mm²",
    "°C": "20 °C",
    "%": "5 %",
}

# What may be written, for pint and for patterns: names that mean the same → what pint is told of them. pint takes a
# name of two letters or more with an s as well.
PREFIXES = {
    ("nano", "n"): "1e-9",
    ("micro", "µ", "u"): "1e-6",
    ("milli", "m"): "1e-3",
    ("centi", "c"): "1e-2",
    ("kilo", "k"): "1e3",
    ("mega", "M"): "1e6",
}
UNIT_NAMES = {
    ("meter", "m", "metre"): "[length]",
    ("volt", "V"): "[voltage]",
    ("ampere", "A", "amp"): "[current]",
    ("ohm", "Ω"): "volt / ampere",
    ("watt", "W"): "volt * ampere",
    ("degree", "degC"): "[temperature]",
    ("percent", "pct"): "[share]",
}
SPELLINGS = (
    ("\u2126", "Ω"),
    ("\u03bc", "µ"),
    ("²", "**2"),
    ("mm2", "mm**2"),
    ("°C", "degC"),
    ("%", "pct"),
)
"""The trade's spellings, each with the one that pint is told. ``ohm`` besides is taken in capitals too."""

NUMBER = r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?"
TWO_WAYS = r"[+-]?[1-9][0-9]{0,2},[0-9]{3}"
"""A thousand or a decimal comma: nobody can tell."""

_QUANTITY = re.compile(rf"\s*({NUMBER})\s*(\S(?:.*\S)?)?\s*")
_UNIT = re.compile(r"[A-Za-zµΩ]+(?:\*\*2)?")


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint  # pint takes a while to import, and a command that parses nothing need not wait  # noqa: PLC0415

    prefixes = [f"{names[0]}- = {value} = {'- = '.join(names[1:])}-" for names, value in PREFIXES.items()]
    units = [" = ".join((names[0], meaning, *names[1:])) for names, meaning in UNIT_NAMES.items()]
    return pint.UnitRegistry([*prefixes, *units])


def spelled_for_pint(unit: str) -> str:
    """Bring the trade's spellings to the one that the definitions use."""
    for written, plain in SPELLINGS:
        unit = unit.replace(written, plain)
    return re.sub("ohms?$", "Ω", unit, flags=re.IGNORECASE)


@lru_cache(maxsize=4096)
def parse_quantity(text: str, unit: str) -> float:
    """Return ``text`` (``"20 mΩ"``, ``"12,4 V"``) as a float in ``unit``, one of :data:`UNITS`.

    Raises :class:`~faultwright.errors.Refused` where the text is no finite number with a unit of that kind.
    """
    wanted = f"a number with a unit, such as {EXAMPLES[unit]!r}"
    found = _QUANTITY.fullmatch(text)
    if not found:
        raise Refused(f"{text!r} is not {wanted}")
    number, written = found.groups()
    if not written:
        raise Refused(f"{text!r} has no unit; write {wanted}")
    if re.fullmatch(TWO_WAYS, number):
        raise Refused(f"{text!r} can be read in two ways; write the number without a comma")
    value = float(number.replace(",", "."))
    spelled = spelled_for_pint(written)
    if not _UNIT.fullmatch(spelled):
        raise Refused(f"{text!r}: {written!r} is not a unit; write {wanted}")
    import pint  # noqa: PLC0415 - as in _registry

    try:
        value = float(_registry().Quantity(value, spelled).to(spelled_for_pint(unit)).magnitude)
    except pint.UndefinedUnitError:
        raise Refused(f"{text!r}: {written!r} is not a unit; write {wanted}") from None
    except pint.DimensionalityError:
        raise Refused(f"{text!r} is not in {unit}; write {wanted}") from None
    if not math.isfinite(value):
        raise Refused(f"{text!r} is too large; write {wanted}")
    return value


def write_quantity(value: float, unit: str) -> str:
    """Return ``value`` with ``unit`` so that :func:`parse_quantity` gives back the very same float."""
    return f"{value!r} {unit}"


def show_quantity(value: float, unit: str, digits: int = 3) -> str:
    """Return ``value`` for a person: three significant digits and a fitting prefix (``2.5 kΩ``).

    >>> show_quantity(0.02, "Ω")
    '20 mΩ'
    """
    if value == 0 or not math.isfinite(value) or unit not in ("V", "A", "Ω", "W"):
        return f"{value:.{digits}g} {unit}"
    rounded = float(f"{value:.{digits}g}")
    for scale, prefix in ((1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ")):
        if abs(rounded) >= scale:
            return f"{_plain(rounded / scale, digits)} {prefix}{unit}"
    return f"{rounded:g} {unit}"


def _plain(value: float, digits: int) -> str:
    """Format without an exponent and without trailing zeros."""
    text = f"{value:.{digits}g}"
    return f"{float(text):g}"
