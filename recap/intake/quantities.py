"""Plain numbers with a unit, as instruments show them; markings have a grammar of their own."""

from __future__ import annotations

import math
import re
import unicodedata
from functools import cache

_PREFIXES = {"": 1.0, "p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "k": 1e3, "K": 1e3, "M": 1e6, "G": 1e9}

_NAMES = {
    "farad": ("f", "fd", "farad"),
    "volt": ("v", "vdc", "vac", "vrms", "volt", "volts", "vp-p", "vpp", "v~", "vdcw", "wv", "wvdc"),
    "ampere": ("a", "arms", "amp", "amps", "adc"),
    "ohm": ("ohm", "ohms", "r", "Ω"),
    "hertz": ("hz", "c/s", "cps"),
    "kelvin": ("k", "°c", "c", "°"),
    "celsius": ("°c", "c", "degc", "deg", "°", "degrees"),
    "hour": ("h", "hr", "hrs", "hour", "hours"),
    "year": ("y", "yr", "yrs", "year", "years", "a"),
}
_WHOLE_UNITS = {
    "millimetre": {"mm": 1.0, "cm": 10.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4, "mil": 0.0254,
                   "mils": 0.0254, "thou": 0.0254},
    "fraction": {"%": 0.01, "percent": 0.01, "pct": 0.01, "per cent": 0.01},
    "farad": {"mfd": 1e-6, "ufd": 1e-6, "mmf": 1e-12, "mmfd": 1e-12, "uuf": 1e-12,
              "u": 1e-6, "n": 1e-9, "p": 1e-12},
    "hertz": {"k": 1e3, "mhz": 1e6, "m": 1e6},
    "ohm": {"m": 1e-3, "k": 1e3},
    "ampere": {"m": 1e-3, "u": 1e-6},
    "volt": {"m": 1e-3, "k": 1e3},
}  # fmt: skip
_WITHOUT_PREFIX = ("kelvin", "celsius", "hour", "year")

COLUMN_UNITS = {
    "uF": ("farad", 1e-6),
    "V": ("volt", 1.0),
    "mV": ("volt", 1e-3),
    "A": ("ampere", 1.0),
    "uA": ("ampere", 1e-6),
    "ohm": ("ohm", 1.0),
    "Hz": ("hertz", 1.0),
    "mm": ("millimetre", 1.0),
    "degC": ("celsius", 1.0),
    "K": ("kelvin", 1.0),
    "h": ("hour", 1.0),
    "year": ("year", 1.0),
    "percent": ("fraction", 0.01),
}
"""The unit of a column's bare numbers: its kind, and its size in the model's unit of that kind."""

_NUMBER_WITH_UNIT = re.compile(
    r"(?P<about>[~≈<>]?)\s*(?P<number>[+-]?(?:\d{1,3}(?:[ ']\d{3})+|\d+)?(?:[.,]\d+)*(?:e[+-]?\d{1,3})?)"
    r"\s*(?P<unit>.*?)\s*",
    re.IGNORECASE,
)
_COULD_BE_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")


class NotReadError(ValueError):
    """The text is no number with a fitting unit; `ambiguous` tells that it is two."""

    def __init__(self, message: str, ambiguous: bool = False) -> None:
        super().__init__(message)
        self.ambiguous = ambiguous


@cache
def unit_factor(unit: str, column_unit: str) -> float | None:
    """Return how many of a column's own unit one of the written unit is; None for a unit of another kind.

    >>> unit_factor("mΩ", "ohm"), unit_factor("in", "mm"), unit_factor("V", "mm")
    (0.001, 25.4, None)
    """
    factor = model_factor(unit, column_unit)
    return None if factor is None else factor / COLUMN_UNITS[column_unit][1]


@cache
def model_factor(unit: str, column_unit: str) -> float | None:
    """Return the size of a written unit in the model's unit; None for a unit of another kind."""
    if unit in COLUMN_UNITS and COLUMN_UNITS[unit][0] == COLUMN_UNITS[column_unit][0]:
        return COLUMN_UNITS[unit][1]
    kind = COLUMN_UNITS[column_unit][0]
    name = unicodedata.normalize("NFKC", unit).strip().rstrip(".").replace("μ", "u").replace("Ω", "Ω")
    whole = _WHOLE_UNITS.get(kind, {}).get(name.casefold())
    if whole is not None:
        return whole
    names = [known.casefold() for known in _NAMES.get(kind, ())]
    if name.casefold() in names:
        return 1.0
    if name and kind not in _WITHOUT_PREFIX and name[0] in _PREFIXES and name[1:].casefold() in names:
        return _PREFIXES[name[0]]
    return None


def read_quantity(text: str, unit: str, column_unit: str) -> float:
    """Return a written number in the model's unit; a bare number counts in `unit`.

    Raises NotReadError for anything else, and for a number that could be read in two ways.

    >>> read_quantity("50 mΩ", "ohm", "ohm"), read_quantity("-12", "V", "V"), read_quantity("0,5", "A", "A")
    (0.05, -12.0, 0.5)
    """
    text = unicodedata.normalize("NFKC", text).replace("−", "-").replace("–", "-").strip()
    match = _NUMBER_WITH_UNIT.fullmatch(text)
    if not match or not re.match(r"[+-]?[.,]?\d", match["number"]):
        raise NotReadError("is not a number")
    if match["about"] in ("<", ">"):
        raise NotReadError("is a bound, not a number")
    value = plain_number(match["number"])
    factor = model_factor(match["unit"] or unit, column_unit)
    if factor is None:
        raise NotReadError(f"has a unit that does not fit; {unit} is meant here")
    return tidy(value * factor)


def tidy(value: float) -> float:
    """Return a number without the dust of binary fractions.

    >>> 220 * 1e-6, tidy(220 * 1e-6)
    (0.00021999999999999998, 0.00022)
    """
    return float(f"{value:.12g}")


def plain_number(text: str) -> float:
    """Return the value of digits with a point or comma; raises NotReadError where thousands are possible too.

    >>> plain_number("1.234,5"), plain_number("22 000"), plain_number(".1")
    (1234.5, 22000.0, 0.1)
    """
    digits = text.replace(" ", "").replace("'", "")
    if _COULD_BE_THOUSANDS.fullmatch(digits):
        raise NotReadError("could be thousands or a decimal number", ambiguous=True)
    marks = [char for char in digits if char in ".,"]
    if len(set(marks)) == 2:
        if marks.count(marks[-1]) > 1:
            raise NotReadError("is not a number")
        digits = digits.replace(marks[0], "").replace(marks[-1], ".")
    elif len(marks) > 1:
        digits = digits.replace(marks[0], "")
    else:
        digits = digits.replace(",", ".")
    value = float(digits)
    if not math.isfinite(value):
        raise NotReadError("is not a finite number")
    return value
