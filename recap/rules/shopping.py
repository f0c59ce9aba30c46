"""Figures as a shop can use them: rounded to the safe side, so that what meets them meets what was demanded."""

from __future__ import annotations

import math
from collections.abc import Callable

_DIGITS = 3
_CLOSE = 1e-9  # of a step: what arithmetic leaves is no reason to go a step further


def down(value: float | None, step: float) -> float | None:
    """Return the next lower multiple of a step.

    >>> down(15.3547, 0.1), down(12.5, 0.1), down(None, 0.1)
    (15.3, 12.5, None)
    """
    if value is None:
        return None
    places = max(0, -math.floor(math.log10(step)))
    return round(math.floor(value / step + _CLOSE) * step, places)


def digits_up(value: float | None) -> float | None:
    """Return a floor with three significant digits, no lower than it was.

    >>> digits_up(0.411234), digits_up(0.55), digits_up(2.1)
    (0.412, 0.55, 2.1)
    """
    return _significant(value, math.ceil, -_CLOSE)


def digits_down(value: float | None) -> float | None:
    """Return a ceiling with three significant digits, no higher than it was.

    >>> digits_down(0.128987), digits_down(1.0), digits_down(0.0)
    (0.128, 1.0, 0.0)
    """
    return _significant(value, math.floor, _CLOSE)


def _significant(value: float | None, rounded: Callable[[float], int], close: float) -> float | None:
    if not value:
        return value
    places = _DIGITS - 1 - math.floor(math.log10(abs(value)))
    return float(round(rounded(value * 10.0**places + close) / 10.0**places, max(places, 0)))
