"""Which texts are a quantity, as patterns that JSON Schema can hold: made from what :mod:`quantities` reads.

They use only what regular expressions have everywhere: neither look-ahead nor back-references.
"""

from __future__ import annotations

import math
import re

from .quantities import NUMBER, PREFIXES, RANGES, SPELLINGS, TWO_WAYS, UNIT_NAMES, spelled_for_pint

_FRACTION = "(?:[.,][0-9]*)?"
_EXPONENT = "(?:[eE][+-]?[0-9]+)?"


def quantity_pattern(unit: str) -> str:
    """Return the pattern of a number with a unit that ``unit`` can be worked out from; no minus where none may be."""
    number = NUMBER if RANGES[unit][0] < 0 else NUMBER.replace("[+-]?", "[+]?", 1)
    return _whole(number, _units(unit))


def refused_patterns(unit: str) -> dict[str, str]:
    """Return why → the pattern of texts that :func:`quantity_pattern` lets pass and the reader surely refuses.

    A range is judged on whole numbers, and on the leading zeros of small ones, in the unit itself: no pattern can weigh
    an exponent, and a prefix would make the pattern too long to read.
    """
    least, most = RANGES[unit]
    outside = [f"[+]?{above(math.floor(most))}{_FRACTION}"]
    if least < 0:
        outside.append(f"-{above(math.floor(-least))}{_FRACTION}")
    else:
        zeros = round(-math.log10(least))
        # 9 as the first digit that counts may be rounded up to the least value.
        outside.append(f"[+]?0*[.,]{_times('0', zeros)}[0-8][0-9]*")
    found = {
        f"it must be from {least:g} {unit} to {most:g} {unit}": _whole(_either(outside), _plain_unit(unit)),
        "a comma and three digits can be read in two ways": _whole(TWO_WAYS, _units(unit)),
    }
    if least > 0:
        found["it must be more than zero"] = _whole(f"[+]?(?:0+(?:[.,]0*)?|[.,]0+){_EXPONENT}", _units(unit))
    return found


def above(number: int) -> str:
    """Return the pattern of the whole numbers greater than ``number``; zeros may lead."""
    digits = str(number)
    found = [f"[1-9][0-9]{{{len(digits)},}}"]
    for place, digit in enumerate(digits):
        if digit != "9":
            rest = _times("[0-9]", len(digits) - place - 1)
            found.append(f"{digits[:place]}[{int(digit) + 1}-9]{rest}")
    return f"0*{_either(found)}"


def _times(pattern: str, count: int) -> str:
    return f"{pattern}{{{count}}}" if count > 1 else pattern * count


def _whole(number: str, unit: str) -> str:
    return rf"^\s*{number}\s*{unit}\s*$"


def _either(patterns: list[str]) -> str:
    return f"(?:{'|'.join(patterns)})"


def _units(unit: str) -> str:
    """Return the pattern of every unit of that kind: with a prefix or none, by its sign or its name, in the plural."""
    spelled = spelled_for_pint(unit)
    # mm² is the only one with a prefix of its own; no other sign ends in the name of a unit of another kind.
    names = next(names for names in UNIT_NAMES if spelled.removesuffix("**2").endswith(names))
    prefix = _either([form for prefixes in PREFIXES for name in prefixes for form in _forms(name)])
    any_unit = f"{prefix}?{_either([form for name in names for form in (*_forms(name), *_plurals(name))])}"
    if not spelled.endswith("**2"):
        return any_unit
    return _either([f"{any_unit}{_either(_forms('**2'))}", "mm2"])


def _plain_unit(unit: str) -> str:
    """Return the pattern of the unit itself, in all its spellings."""
    return _either(_forms(spelled_for_pint(unit)))


def _plurals(name: str) -> list[str]:
    """Return the patterns of a name in the plural: pint takes an s after two letters or more."""
    return [f"{form}s" for form in _forms(name)] if len(name) > 1 and name != "ohm" else []


def _forms(plain: str) -> list[str]:
    """Return the patterns of a name as pint knows it and of its other spellings."""
    if plain == "ohm":
        return ["[oO][hH][mM][sS]?"]
    swapped = [plain.replace(known, written) for written, known in SPELLINGS]
    return [re.escape(form) for form in dict.fromkeys([plain, *swapped])]
