"""What rectifier, fuse and switch bear when an empty reservoir is switched on, and how a new value changes it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def inrush_peak_a(peak_v: ArrayLike, resistance_ohm: ArrayLike) -> Floats:
    """Return the highest switch-on current into an empty reservoir, V/R at the crest of the mains.

    Source: Ohm's law; an empty capacitor is a short at first.

    Parameters:
        peak_v [V]: crest of the source, at high mains.
        resistance_ohm [ohm]: source, thermistor (cold), rectifier slope and ESR together, > 0.

    Holds where the reservoir is not charged within a small part of a half cycle; smaller ones draw less.

    >>> float(inrush_peak_a(325.0, 5.0))
    65.0
    """
    return np.asarray(np.asarray(peak_v, float) / np.asarray(resistance_ohm, float))


def inrush_i2t_a2s(capacitance_f: ArrayLike, peak_v: ArrayLike, resistance_ohm: ArrayLike) -> Floats:
    """Return the I²t of charging an empty reservoir from a steady crest, C·V²/(2·R).

    Source: the exponential charging of a capacitor, ∫i²dt; exact for a steady source, high for a sine.

    Parameters:
        capacitance_f [F]: the reservoir; two in series count as their series value.
        peak_v [V]: crest of the source.
        resistance_ohm [ohm]: all in the charging path, > 0.

    >>> round(float(inrush_i2t_a2s(100e-6, 325.0, 5.0)), 2)
    1.06
    """
    farads, volts, ohm = (np.asarray(each, float) for each in (capacitance_f, peak_v, resistance_ohm))
    return np.asarray(farads * volts**2 / (2 * ohm))


@dataclass(frozen=True, slots=True)
class InrushChange:
    """New over original: 1 means nothing changes."""

    peak: Floats
    i2t: Floats


def inrush_change(
    original_capacitance_f: ArrayLike,
    new_capacitance_f: ArrayLike,
    resistance_ohm: ArrayLike,
    original_esr_ohm: ArrayLike = 0.0,
    new_esr_ohm: ArrayLike = 0.0,
) -> InrushChange:
    """Return how a new reservoir changes the switch-on peak and I²t that rectifier and switch once bore.

    Source: the ratio of `inrush_peak_a` and of `inrush_i2t_a2s`.

    Parameters:
        original_capacitance_f [F], new_capacitance_f [F]: the reservoir.
        resistance_ohm [ohm]: in the charging path without the capacitor, > 0.
        original_esr_ohm [ohm], new_esr_ohm [ohm]: of the reservoir; a lower one raises both.

    >>> change = inrush_change(100e-6, 220e-6, 5.0)
    >>> float(change.peak), round(float(change.i2t), 2)
    (1.0, 2.2)
    """
    resistance = np.asarray(resistance_ohm, float)
    peak = (resistance + np.asarray(original_esr_ohm, float)) / (resistance + np.asarray(new_esr_ohm, float))
    farads = np.asarray(new_capacitance_f, float) / np.asarray(original_capacitance_f, float)
    return InrushChange(np.asarray(peak), np.asarray(farads * peak))
