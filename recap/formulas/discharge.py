"""What a charged capacitor holds and how a resistor takes it out."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def stored_energy_j(capacitance_f: ArrayLike, voltage_v: ArrayLike) -> Floats:
    """Return the energy of a charged capacitor, ½·C·V².

    Source: the definition of capacitance; exact for a constant capacitance.

    Parameters:
        capacitance_f [F]: capacitance, > 0.
        voltage_v [V]: voltage across it, of either sign.

    >>> round(float(stored_energy_j(100e-6, 325.0)), 2)
    5.28
    """
    return np.asarray(0.5 * np.asarray(capacitance_f, float) * np.square(np.asarray(voltage_v, float)))


def time_constant_s(capacitance_f: ArrayLike, resistance_ohm: ArrayLike) -> Floats:
    """Return R·C, the time in which the voltage falls to 37 %.

    Source: the exponential discharge of an ideal capacitor; IEC 60950-1 cl. 2.1.1.7 uses the same 37 %.

    Parameters:
        capacitance_f [F]: capacitance, > 0.
        resistance_ohm [ohm]: discharge resistor, > 0.

    >>> round(float(time_constant_s(470e-6, 4700.0)), 3)
    2.209
    """
    return np.asarray(np.asarray(capacitance_f, float) * np.asarray(resistance_ohm, float))


def voltage_after_v(voltage_v: ArrayLike, time_s: ArrayLike, time_constant_s: ArrayLike) -> Floats:
    """Return the voltage that is left after a time, V0·e^(−t/τ).

    Source: the exponential discharge of an ideal capacitor.

    Parameters:
        voltage_v [V]: voltage at the start.
        time_s [s]: time since, ≥ 0.
        time_constant_s [s]: R·C, > 0.

    Holds for an ideal capacitor; wet aluminium then creeps back up, see `rebound_v`.

    >>> round(float(voltage_after_v(325.0, 1.0, 1.0)), 1)
    119.6
    """
    return np.asarray(np.asarray(voltage_v, float) * np.exp(-np.asarray(time_s, float) / time_constant_s))


def discharge_time_s(voltage_v: ArrayLike, to_v: ArrayLike, time_constant_s: ArrayLike) -> Floats:
    """Return the time from one voltage down to another, τ·ln(V0/V1); zero when already there.

    Source: the exponential discharge of an ideal capacitor.

    Parameters:
        voltage_v [V]: voltage at the start, ≥ 0.
        to_v [V]: voltage to reach, > 0.
        time_constant_s [s]: R·C, > 0.

    >>> round(float(discharge_time_s(400.0, 60.0, 470e-6 * 4700.0)), 2)
    4.19
    """
    ratio = np.maximum(np.asarray(voltage_v, float) / np.asarray(to_v, float), 1.0)
    return np.asarray(time_constant_s * np.log(ratio))


def initial_power_w(voltage_v: ArrayLike, resistance_ohm: ArrayLike) -> Floats:
    """Return the power in the resistor at the moment of contact, V²/R.

    Source: Ohm's law.

    Parameters:
        voltage_v [V]: voltage at the start.
        resistance_ohm [ohm]: discharge resistor, > 0.

    >>> round(float(initial_power_w(325.0, 2200.0)), 0)
    48.0
    """
    return np.asarray(np.square(np.asarray(voltage_v, float)) / np.asarray(resistance_ohm, float))


def pulse_rating_w(
    initial_power_w: ArrayLike, time_constant_s: ArrayLike, overload: float, overload_s: float
) -> Floats:
    """Return the least power rating of a resistor that takes one discharge.

    The power falls as e^(−2t/τ). The rating must reach the initial power over the allowed overload, and the
    power must be back within the rating when the allowed time is over.

    Source: the exponential discharge; overload and its time come from the caller (our judgement).

    Parameters:
        initial_power_w [W]: V²/R.
        time_constant_s [s]: R·C, > 0.
        overload [1]: allowed power over rating, ≥ 1.
        overload_s [s]: how long.

    Holds for a single discharge from cold, not for repeated ones.

    >>> round(float(pulse_rating_w(107.0, 0.705, 5.0, 1.0)), 1)
    21.4
    """
    initial = np.asarray(initial_power_w, float)
    later = initial * np.exp(-2 * overload_s / np.asarray(time_constant_s, float))
    return np.asarray(np.maximum(initial / overload, later))


def rebound_v(voltage_v: ArrayLike, absorbed_fraction: ArrayLike) -> Floats:
    """Return the voltage that may come back after a discharge through dielectric absorption.

    Source: Wikipedia, Aluminum electrolytic capacitor (10 to 15 % of the old voltage for wet aluminium).

    Parameters:
        voltage_v [V]: voltage before the discharge.
        absorbed_fraction [1]: part that may return.

    >>> float(rebound_v(400.0, 0.15))
    60.0
    """
    return np.asarray(np.asarray(voltage_v, float) * absorbed_fraction)
