"""Leakage limits of electrolytic capacitors."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def leakage_limit_a(
    capacitance_f: ArrayLike,
    rated_voltage_v: ArrayLike,
    factor_per_s: float,
    offset_a: float = 0.0,
    floor_a: float = 0.0,
) -> Floats:
    """Return a leakage limit of the usual form, max(k·C·U + offset, floor).

    Data sheets print k for µA, µF and V; it has the same number for A, F and V.

    Source: makers' data sheets, for example Panasonic SU (0.01·C·V or 3 µA after 2 min).

    Parameters:
        capacitance_f [F]: rated capacitance, > 0.
        rated_voltage_v [V]: rated voltage, > 0.
        factor_per_s [1/s]: k.
        offset_a [A]: added current.
        floor_a [A]: smallest limit.

    Holds at 20 °C, at rated voltage, after the minutes that the data sheet names.

    >>> round(float(leakage_limit_a(47e-6, 40.0, 0.01)) * 1e6, 1)
    18.8
    """
    product = np.asarray(capacitance_f, float) * np.asarray(rated_voltage_v, float)
    return np.asarray(np.maximum(factor_per_s * product + offset_a, floor_a))


def root_leakage_limit_a(capacitance_f: ArrayLike, rated_voltage_v: ArrayLike, factor_a: float) -> Floats:
    """Return a leakage limit of the form that large cans use, k·√(C·U), with C in µF.

    Source: Panasonic, TS-HA data sheet (3·√(C·V) µA after 5 min).

    Parameters:
        capacitance_f [F]: rated capacitance, > 0.
        rated_voltage_v [V]: rated voltage, > 0.
        factor_a [A]: k, the current at C·U = 1 µF·V.

    >>> round(float(root_leakage_limit_a(10000e-6, 100.0, 3e-6)) * 1e3, 2)
    3.0
    """
    product_uc = np.asarray(capacitance_f, float) * 1e6 * np.asarray(rated_voltage_v, float)
    return np.asarray(factor_a * np.sqrt(product_uc))
