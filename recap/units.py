"""Quantities at the edge: text with a unit in, SI floats inside (°C, hours and millimetres excepted), text out."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from recap.problems import RecapError


class NotAQuantity(RecapError):
    """The text is not a number with a fitting unit."""


@dataclass(frozen=True, slots=True)
class _Unit:
    """How a unit may be written: its names in small letters, the prefixes it takes, other units of its kind.

    Only prefixes in use are taken, so that 500MA is refused and not read as megaamperes. What is smaller than
    `least` or larger than `most` stands on no bench and is a slip of the pen.
    """

    example: str
    names: tuple[str, ...]
    prefixes: str = ""
    least: float = 0.0
    most: float = math.inf
    others: Mapping[str, float] = field(default_factory=dict)


_PER_CENT = {"%": 0.01, "percent": 0.01, "per cent": 0.01}
_LONGER = {"day": 24.0, "days": 24.0, "year": 8766.0, "years": 8766.0}
_LENGTHS = {"cm": 10.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4}
_UNITS = {
    "volt": _Unit("5V", ("v", "volt", "volts", "vdc", "vac"), "umk", 1e-6, 1e6),
    "ampere": _Unit("0.5A", ("a", "amp", "amps", "ampere", "amperes"), "pnumk", 1e-12, 1e5),
    "ohm": _Unit("4.7kohm", ("ohm", "ohms"), "umkM", 1e-6, 1e12),
    "hertz": _Unit("100kHz", ("hz", "hertz", "c/s", "cps"), "kM", 1e-2, 1e9),
    "watt": _Unit("30W", ("w", "watt", "watts"), "umk", 1e-9, 1e6),
    "farad": _Unit("470uF", ("f", "farad", "farads"), "pnum", 1e-15, 1e4),
    "hour": _Unit("2000h", ("h", "hr", "hrs", "hour", "hours"), "k", 1e-3, 1e8, _LONGER),
    "mm": _Unit("16mm", ("mm",), "", 1e-3, 1e4, _LENGTHS),
    "degC": _Unit("105C", ("c", "°c", "℃", "degc", "deg c", "deg", "°"), "", 0.0, 1e3),
    "dimensionless": _Unit("0.42", (), "", 1e-6, 1e6, _PER_CENT),
}
_LONGEST = 100  # characters of a written quantity
_POWERS = {"p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "M": 6}
_NUMBER = r"[0-9]{1,3}(?:[ \u00a0\u202f][0-9]{3})+|(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?"
_QUANTITY = re.compile(rf"\s*(?P<sign>[+\-−]?)(?P<number>{_NUMBER})\s*(?P<unit>[^\s0-9](?:.*\S)?)?\s*")
_INFIX = re.compile(r"\s*(?P<whole>[0-9]+)(?P<prefix>[RrkKM])(?P<part>[0-9]+)\s*(?:[oO]hms?|Ω)?\s*")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?P<mark>[.,])[0-9]{3}")


def quantity(text: str, unit: str) -> float:
    """Return the text's value in `unit`, one of volt, ampere, ohm, hertz, watt, farad, hour, mm, degC, dimensionless.

    A bare number is taken as `unit`. Raises NotAQuantity when the text is no number, its unit is of another kind,
    its separator may be one of thousands, or its size is beyond any bench.

    >>> quantity("5mohm", "ohm"), quantity("4k7", "ohm"), quantity("0,5 A", "ampere")
    (0.005, 4700.0, 0.5)
    >>> quantity("105 °C", "degC")
    105.0
    """
    known = _UNITS[unit]
    infix = _INFIX.fullmatch(text) if unit == "ohm" and len(text) <= _LONGEST else None
    if infix:
        power = _POWERS.get(infix["prefix"].replace("K", "k"), 0)
        value = float(f"{infix['whole']}.{infix['part']}e{power}")
    else:
        value = _value(text, known)
    return on_a_bench(value, unit, text)


def on_a_bench(value: float, unit: str, text: str) -> float:
    """Return the value that the text gave; raises NotAQuantity when nothing on a bench has that size."""
    known = _UNITS[unit]
    if value and not known.least <= abs(value) <= known.most:
        raise NotAQuantity(f'"{quoted(text)}" is beyond anything on a bench; write it such as {known.example}')
    return value


def _value(text: str, unit: _Unit) -> float:
    match = _QUANTITY.fullmatch(text) if len(text) <= _LONGEST else None
    if not match:
        raise NotAQuantity(f'"{quoted(text)}" is not a number with a unit; write it such as {unit.example}')
    number = match["number"]
    grouped = _GROUPED.fullmatch(number)
    if grouped and (grouped["mark"] == "," or "hours" in unit.names):  # 1.234 V is a meter's reading
        raise NotAQuantity(
            f'"{quoted(text)}" may mean {number.replace(",", ".")} or {re.sub("[.,]", "", number)}; '
            "write it without a separator of thousands"
        )
    power, factor = _scale(match["unit"] or "", unit, text)
    digits = re.sub(r"\s", "", number).replace(",", ".").lower()
    mantissa, _, exponent = digits.partition("e")
    value = float(f"{mantissa}e{min(int(exponent or 0), 9999) + power}") * factor
    return -value if match["sign"] in ("-", "−") else value


def _scale(written: str, unit: _Unit, text: str) -> tuple[int, float]:
    """Return the power of ten and the factor of a unit as it was written."""
    written = re.sub("[Ω\u2126]", "ohm", re.sub("[µμ]", "u", written))
    whole = written.lower()
    if not written or whole in unit.names:
        return 0, 1.0
    if whole in unit.others:
        return 0, unit.others[whole]
    prefix = {"K": "k", "U": "u"}.get(written[0], written[0])
    if prefix in unit.prefixes and (not whole[1:] or whole[1:].lstrip() in unit.names):
        return _POWERS[prefix], 1.0
    raise NotAQuantity(f'"{quoted(text)}" is not a quantity in {_named(unit)}; write it such as {unit.example}')


def _named(unit: _Unit) -> str:
    return next(name for name, known in _UNITS.items() if known is unit).replace("degC", "°C")


def quoted(text: str, longest: int = 60) -> str:
    """Return a text as a message may show it: on one line, and not too long.

    >>> quoted("4u7\\n" + "x" * 100, 10)
    '4u7 xxxxx…'
    """
    line = "".join(char if char.isprintable() else " " for char in text)
    return line if len(line) <= longest else line[: longest - 1] + "…"


_STEPS = ((1e9, "G"), (1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n"), (1e-12, "p"))


def plain(value: float, digits: int = 3) -> str:
    """Return a number with so many significant digits and no exponent, thousands set apart by commas.

    >>> plain(45254.83), plain(0.0046912), plain(12.0)
    ('45,300', '0.00469', '12')
    """
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    places = digits - 1 - math.floor(math.log10(abs(value)))
    text = f"{round(value, places):,.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def si(value: float, unit: str, digits: int = 3) -> str:
    """Return a value with the prefix that leaves one to three figures before the point.

    >>> si(0.0047, "A"), si(22.0, "V"), si(0.0, "W")
    ('4.7 mA', '22 V', '0 W')
    """
    if value == 0 or not math.isfinite(value):
        return f"{plain(value)} {unit}"
    size = abs(float(f"{value:.{digits - 1}e}"))
    factor, prefix = next(((f, p) for f, p in _STEPS if size >= f * (1 - 1e-9)), _STEPS[-1])
    return f"{plain(value / factor, digits)} {prefix}{unit}"


def farads(value: float) -> str:
    """Return a capacitance as the trade writes it: µF up to any size, nF and pF below.

    >>> farads(0.022), farads(4.7e-6), farads(1e-9)
    ('22,000 µF', '4.7 µF', '1 nF')
    """
    if value >= 0.99e-7:
        return f"{plain(value * 1e6, 4)} µF"
    return si(value, "F", 4)


def volts(value: float) -> str:
    """Return a voltage for people."""
    return f"{plain(value, 4)} V"


def hours(value: float) -> str:
    """Return a duration for people, with years where it is long.

    >>> hours(2000.0), hours(8800.0), hours(131400.0)
    ('2,000 h', '8,800 h (1 year)', '131,000 h (15 years)')
    """
    if value < 8760:
        return f"{plain(value)} h"
    years = plain(value / 8760, 2)
    return f"{plain(value)} h ({years} {'year' if years == '1' else 'years'})"
