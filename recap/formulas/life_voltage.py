"""Life against applied voltage: the published forms, which disagree more than any others."""

from __future__ import annotations

import numpy as np

from recap.formulas.life import Values


def voltage_factor(voltage_ratio: Values, exponent: float, floor_ratio: float) -> Values:
    """Life factor (V/VR)^−n, held constant below a lowest ratio and at 1 above the rating (V2, V3, V5).

    Source: jianghai-2018 (n 2.5 from 0.6 to 1.0); from-memory n 3 to 5 for large cans;
    vernica-thesis n 3.5 to 9.4.
    Parameters:
        voltage_ratio [1]: applied over rated.
        exponent [1].
        floor_ratio [1].
    Raises: nothing.
    Range: large cans; small radial parts show no gain (V1). Above the rating no life model holds.

    >>> round(voltage_factor(0.5, 2.5, 0.6), 2)
    3.59
    """
    factor = np.clip(voltage_ratio, floor_ratio, 1.0) ** -exponent
    return factor if np.ndim(factor) else float(factor)


def linear_voltage_factor(voltage_ratio: Values) -> Values:
    """Life factor 4.3 − 3.3·V/VR, 1 at full rated voltage (V4).

    Source: parler-reliability for 1 at the rated voltage; the slope is from-memory.
    Parameters:
        voltage_ratio [1]: applied over rated.
    Raises: nothing.
    Range: 0.5 to 1.

    >>> round(linear_voltage_factor(0.8), 2)
    1.66
    """
    return 4.3 - 3.3 * voltage_ratio
