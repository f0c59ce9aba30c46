"""Preferred values: the E series, ladders of ratings, two parts for one."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

_CLOSE = 1e-9  # relative; a value this near a preferred one is that value


def series_around(value: float, significands: Sequence[float]) -> tuple[float, ...]:
    """Return the preferred values of the decades below, at and above a value, rising.

    Source: IEC 60063, as the caller's significands give it.

    Parameters:
        value [–]: any positive quantity.
        significands [1]: the series' values in one decade, 1 to below 10, rising.

    Raises ValueError unless the value is above zero.

    >>> series_around(50.0, (1.0, 2.2, 4.7))
    (1.0, 2.2, 4.7, 10.0, 22.0, 47.0, 100.0, 220.0, 470.0)
    """
    if not value > 0:
        raise ValueError("a preferred value is sought for something above zero")
    decade = math.floor(math.log10(value) + _CLOSE)
    return tuple(
        float(f"{significand:g}e{exponent}")
        for exponent in (decade - 1, decade, decade + 1)
        for significand in significands
    )


def nearest_preferred(value: float, significands: Sequence[float]) -> float:
    """Return the preferred value with the smallest change; the lower one of two equally near.

    Source: IEC 60063, as the caller's significands give it.

    Parameters:
        value [–]: any positive quantity.
        significands [1]: the series' values in one decade.

    Raises ValueError unless the value is above zero.

    >>> nearest_preferred(50.0, (1.0, 1.5, 2.2, 3.3, 4.7, 6.8))
    47.0
    """
    return min(series_around(value, significands), key=lambda each: (round(abs(each / value - 1), 9), each))


def next_up_preferred(value: float, significands: Sequence[float]) -> float:
    """Return the smallest preferred value that is not below a value.

    Source: IEC 60063, as the caller's significands give it.

    Parameters:
        value [–]: any positive quantity.
        significands [1]: the series' values in one decade.

    Raises ValueError unless the value is above zero.

    >>> next_up_preferred(50.0, (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)), next_up_preferred(47.0, (1.0, 2.2, 4.7))
    (68.0, 47.0)
    """
    return min(each for each in series_around(value, significands) if each >= value * (1 - _CLOSE))


def next_down_preferred(value: float, significands: Sequence[float]) -> float:
    """Return the largest preferred value that is not above a value.

    Source: IEC 60063, as the caller's significands give it.

    Parameters:
        value [–]: any positive quantity.
        significands [1]: the series' values in one decade.

    Raises ValueError unless the value is above zero.

    >>> next_down_preferred(50.0, (1.0, 1.5, 2.2, 3.3, 4.7, 6.8))
    47.0
    """
    return max(each for each in series_around(value, significands) if each <= value * (1 + _CLOSE))


def next_rating(required: float, ladder: Iterable[float]) -> float | None:
    """Return the smallest rating that suffices, or None when the ladder ends below.

    Source: a rating is an upper limit (IEC 60384-1 for rated voltage, quoted).

    Parameters:
        required [–]: what the rating must reach.
        ladder [–]: the ratings sold, in any order.

    >>> next_rating(175.0, (160.0, 180.0, 200.0)), next_rating(700.0, (630.0,))
    (180.0, None)
    """
    return min((rating for rating in ladder if rating >= required * (1 - _CLOSE)), default=None)


def in_parallel_f(*capacitances_f: float) -> float:
    """Return the capacitance of parts in parallel, their sum; the resistance of resistors in series alike.

    Source: Kirchhoff's laws.

    Parameters:
        capacitances_f [F]: the parts.

    >>> round(in_parallel_f(22.0, 10.0), 6)
    32.0
    """
    return math.fsum(capacitances_f)


def in_series_f(*capacitances_f: float) -> float:
    """Return the capacitance of parts in series; the resistance of resistors in parallel alike.

    Source: Kirchhoff's laws.

    Parameters:
        capacitances_f [F]: the parts, each > 0.

    >>> in_series_f(100.0, 100.0)
    50.0
    """
    return 1 / math.fsum(1 / each for each in capacitances_f)


def best_sum_pair(value: float, significands: Sequence[float], smallest_share: float) -> tuple[float, float]:
    """Return the two preferred values, larger first, whose sum comes nearest to a value.

    Source: IEC 60063, as the caller's significands give it; the smallest share is the caller's judgement.

    Parameters:
        value [–]: any positive quantity.
        significands [1]: the series' values in one decade.
        smallest_share [1]: least part of the value that makes the smaller one worth fitting.

    Raises ValueError unless the value is above zero.

    >>> best_sum_pair(32.0, (1.0, 1.5, 2.2, 3.3, 4.7, 6.8), 0.1)
    (22.0, 10.0)
    """
    least = value * smallest_share * (1 - _CLOSE)
    values = [each for each in series_around(value, significands) if each >= least]
    pairs = [(larger, smaller) for larger in values for smaller in values if smaller <= larger]
    return min(pairs, key=lambda pair: (round(abs(sum(pair) / value - 1), 9), pair[0] - pair[1]))


def balancing_resistor_ohm(
    rated_voltage_v: float, bus_voltage_v: float, leakage_limit_a: float, parts: int = 2
) -> float:
    """Return the largest balancing resistor across each of equal parts in series, (n·U_R − U_bus)/I_leak.

    Source: common practice; our own working for two parts of 100 µF, 350 V on 600 V gives 286 kΩ.

    Parameters:
        rated_voltage_v [V]: rated voltage of each part.
        bus_voltage_v [V]: voltage across the chain.
        leakage_limit_a [A]: leakage limit of each part, > 0.
        parts [1]: how many in series.

    Raises ValueError when the parts together are not rated for the bus.

    >>> round(balancing_resistor_ohm(350.0, 600.0, 350e-6) / 1e3)
    286
    """
    spare_v = parts * rated_voltage_v - bus_voltage_v
    if spare_v <= 0:
        raise ValueError(f"{parts} × {rated_voltage_v:g} V do not exceed {bus_voltage_v:g} V")
    return spare_v / leakage_limit_a
