"""Resistors that stand in for a rail's boards."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def load_resistance_ohm(rail_v: ArrayLike, current_a: ArrayLike) -> Floats:
    """Return the resistor that draws a current from a rail of either sign, |V|/I.

    Source: Ohm's law.

    Parameters:
        rail_v [V]: rail voltage, of either sign.
        current_a [A]: current to draw, > 0.

    >>> float(load_resistance_ohm(-12.0, 0.4))
    30.0
    """
    return np.asarray(np.abs(np.asarray(rail_v, float)) / np.asarray(current_a, float))


def load_power_w(rail_v: ArrayLike, resistance_ohm: ArrayLike) -> Floats:
    """Return the power in a load resistor, V²/R.

    Source: Ohm's law.

    Parameters:
        rail_v [V]: rail voltage, of either sign.
        resistance_ohm [ohm]: load resistor, > 0.

    >>> round(float(load_power_w(12.0, 30.0)), 3)
    4.8
    """
    return np.asarray(np.square(np.asarray(rail_v, float)) / np.asarray(resistance_ohm, float))


def required_rating_w(power_w: ArrayLike, margin: ArrayLike) -> Floats:
    """Return the power rating that leaves a resistor at the wanted part of its rating.

    Source: Rome Laboratory, Reliability Toolkit, topic D1 (resistors at 50 % of their rating: margin 2).

    Parameters:
        power_w [W]: power in the resistor.
        margin [1]: rating over power, ≥ 1.

    >>> float(required_rating_w(4.8, 2.0))
    9.6
    """
    return np.asarray(np.asarray(power_w, float) * margin)
