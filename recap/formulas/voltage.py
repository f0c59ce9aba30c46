"""What voltage a capacitor may meet: peaks, high mains, an unloaded rail, surges."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def peak_voltage_v(dc_v: ArrayLike, ripple_vpp: ArrayLike) -> Floats:
    """Return the peak of a DC level with ripple on it, |DC| + ripple/2, which must not pass the rating.

    Source: IEC 60384-1 (quoted); Nippon Chemi-Con, Precautions and guidelines, Applying voltage.

    Parameters:
        dc_v [V]: mean, of either sign.
        ripple_vpp [V]: ripple from peak to peak, ≥ 0, taken as even about the mean.

    >>> float(peak_voltage_v(-12.0, 1.0))
    12.5
    """
    return np.asarray(np.abs(np.asarray(dc_v, float)) + np.asarray(ripple_vpp, float) / 2)


def peak_of_sine(voltage_vrms: float) -> float:
    """Return the crest of a sine, √2 times its rms value [V].

    Source: the definition of the rms value.

    Parameters:
        voltage_vrms [V]: rms value.

    >>> round(peak_of_sine(264.0), 1)
    373.4
    """
    return math.sqrt(2.0) * voltage_vrms


def unloaded_winding_peak_v(
    winding_vrms: ArrayLike,
    high_mains_fraction: ArrayLike = 0.0,
    regulation_fraction: ArrayLike = 0.0,
    stack: ArrayLike = 1.0,
) -> Floats:
    """Return the DC on a reservoir that nothing loads, √2 · V rms with high mains and the winding's own rise.

    Source: the peak of a sine; diode drops are left out, which errs to the high side.

    Parameters:
        winding_vrms [V]: loaded winding voltage, rms, per half for a centre tap.
        high_mains_fraction [1]: how far the mains may rise, 0.10 for +10 %.
        regulation_fraction [1]: how far the winding rises unloaded.
        stack [1]: 1, or 2 across both capacitors of a doubler.

    >>> round(float(unloaded_winding_peak_v(264.0)), 0)
    373.0
    """
    loaded = np.sqrt(2.0) * np.asarray(winding_vrms, float) * np.asarray(stack, float)
    return np.asarray(loaded * (1 + np.asarray(high_mains_fraction)) * (1 + np.asarray(regulation_fraction)))


def worst_rail_v(
    nominal_v: ArrayLike,
    tolerance: ArrayLike = 0.0,
    unloaded_rise: ArrayLike = 0.0,
    high_mains_fraction: ArrayLike = 0.0,
) -> Floats:
    """Return the highest size of a rail's DC, its nominal value with tolerance, unloaded rise and high mains.

    A regulated rail has a tolerance and neither rise nor mains; an unregulated one the reverse.

    Source: our judgement on how they combine; the figures come from the caller's table.

    Parameters:
        nominal_v [V]: nominal loaded rail, of either sign.
        tolerance [1]: fraction above nominal when regulated.
        unloaded_rise [1]: fraction that the rail rises when its load is away.
        high_mains_fraction [1]: fraction that the mains may be high.

    >>> round(float(worst_rail_v(-17.0, unloaded_rise=0.25, high_mains_fraction=0.10)), 2)
    23.38
    """
    size = np.abs(np.asarray(nominal_v, float)) * (1 + np.asarray(tolerance))
    return np.asarray(size * (1 + np.asarray(unloaded_rise)) * (1 + np.asarray(high_mains_fraction)))


def rail_window_v(nominal_v: ArrayLike, tolerance: ArrayLike) -> tuple[Floats, Floats]:
    """Return the limits of a rail by size, the smaller first, signs kept.

    Source: Intel, ATX Power Supply Design Guide 0.9, table 3, states its rails so.

    Parameters:
        nominal_v [V]: nominal rail, of either sign.
        tolerance [1]: fraction to either side.

    >>> tuple(round(float(limit), 2) for limit in rail_window_v(-12.0, 0.10))
    (-10.8, -13.2)
    """
    nominal, fraction = np.asarray(nominal_v, float), np.asarray(tolerance, float)
    return np.asarray(nominal * (1 - fraction)), np.asarray(nominal * (1 + fraction))


def surge_voltage_v(rated_voltage_v: ArrayLike, ratio: ArrayLike) -> Floats:
    """Return the surge voltage of a rating.

    Source: IEC 60384-1 and 60384-4, quoted (aluminium 1.15 up to 315 V, 1.10 above).

    Parameters:
        rated_voltage_v [V]: rated voltage.
        ratio [1]: surge over rated voltage.

    >>> round(float(surge_voltage_v(450.0, 1.10)), 1)
    495.0
    """
    return np.asarray(np.asarray(rated_voltage_v, float) * np.asarray(ratio, float))
