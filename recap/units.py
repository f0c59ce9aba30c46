"""Quantities at the edge: text with a unit in, SI floats inside (°C, hours and millimetres excepted), text out."""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING

from recap.problems import RecapError

if TYPE_CHECKING:
    from pint import UnitRegistry


class NotAQuantity(RecapError):
    """The text is not a number with a fitting unit."""


@cache
def registry() -> UnitRegistry:
    """Return the one pint registry; made late because it costs about half a second."""
    from pint import UnitRegistry

    return UnitRegistry()


_QUANTITY = re.compile(r"\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")
_TEMPERATURE_UNITS = {"", "c", "°c", "℃", "degc", "deg c", "deg", "°"}
_PREFIXES = "pnuµμmkM"


def quantity(text: str, unit: str) -> float:
    """Return the text's value in `unit` (a pint unit name, or "degC"); a bare number is taken as `unit`.

    Raises NotAQuantity when the text is no number or its unit is of another kind.

    >>> quantity("5mohm", "ohm")
    0.005
    >>> quantity("105 °C", "degC")
    105.0
    """
    match = _QUANTITY.match(text)
    if not match:
        raise NotAQuantity(f'"{text}" is not a number with a unit such as {unit}')
    value, written = float(match[1].replace(",", ".")), match[2]
    if unit == "degC":
        if written.lower() not in _TEMPERATURE_UNITS:
            raise NotAQuantity(f'"{text}" is not a temperature in °C')
        return value
    if not written:
        return value
    ureg = registry()
    written = written.replace("µ", "u").replace("μ", "u").replace("Ω", "ohm").replace("Ω", "ohm")
    if len(written) == 1 and written in _PREFIXES:
        written += f"{ureg.Unit(unit):~}"
    try:
        return float(ureg.Quantity(value, written).to(unit).magnitude)
    except Exception as error:
        raise NotAQuantity(f'"{text}" is not a quantity in {unit}') from error


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

    >>> hours(2000.0), hours(131400.0)
    ('2,000 h', '131,000 h (15 years)')
    """
    if value < 8760:
        return f"{plain(value)} h"
    return f"{plain(value)} h ({plain(value / 8760, 2)} years)"
