"""Bringing back the oxide of a wet aluminium capacitor: current limit and series resistor."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def stock_current_limit_a(accept_leakage_a: ArrayLike, factor: float, floor_a: float) -> Floats:
    """Return the current limit for stock of known quality, max(factor · leakage limit, floor).

    Source: KEMET, PEH169 data sheet A4035, p. 5 (twice the leakage limit or 5 mA, the larger).

    Parameters:
        accept_leakage_a [A]: the part's leakage limit, > 0.
        factor [1]: limit over leakage.
        floor_a [A]: smallest limit.

    Raises nothing; not for used or undated parts.

    >>> float(stock_current_limit_a(453e-6, 2.0, 5e-3))
    0.005
    """
    return np.maximum(np.asarray(accept_leakage_a, float) * factor, floor_a)


def used_current_limit_a(accept_leakage_a: ArrayLike, factor: float, small_a: float, large_a: float) -> Floats:
    """Return the current limit for a used or undated part, the small or the large one by its size.

    A part counts as small while the stock rule's factor times its leakage limit stays within the small limit.

    Source: our judgement.

    Parameters:
        accept_leakage_a [A]: the part's leakage limit, > 0.
        factor [1]: limit over leakage.
        small_a [A]: largest current into a small part.
        large_a [A]: largest current into a large part.

    >>> [float(used_current_limit_a(leakage, 2.0, 1e-3, 5e-3)) for leakage in (453e-6, 0.01)]
    [0.001, 0.005]
    """
    return np.where(np.asarray(accept_leakage_a, float) * factor <= small_a, small_a, large_a)


def series_resistor_ohm(voltage_v: ArrayLike, current_limit_a: ArrayLike) -> Floats:
    """Return the resistor that keeps even a shorted part within the current limit, U/I.

    Source: Ohm's law.

    Parameters:
        voltage_v [V]: highest voltage applied.
        current_limit_a [A]: limit, > 0.

    >>> float(series_resistor_ohm(450.0, 5e-3))
    90000.0
    """
    return np.asarray(np.asarray(voltage_v, float) / np.asarray(current_limit_a, float))
