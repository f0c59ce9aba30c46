"""How a rectifier's forward drop rises with current, from two figures a bench or a data sheet gives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

BOLTZMANN_OVER_CHARGE_V_PER_K = 1.380649e-23 / 1.602176634e-19  # exact in the SI since 2019


@dataclass(frozen=True, slots=True)
class DiodeCurve:
    """Forward drop of one diode: v = drop + emission · ln(i / i_ref) + bulk · (i − i_ref)."""

    reference_current_a: Floats
    drop_v: Floats
    emission_v: Floats
    bulk_resistance_ohm: Floats

    def voltage(self, current_a: ArrayLike) -> Floats:
        """Return the drop at a positive current [A] in volt."""
        ratio = np.asarray(current_a, float) / self.reference_current_a
        rise = self.bulk_resistance_ohm * (ratio - 1) * self.reference_current_a
        return np.asarray(self.drop_v + self.emission_v * np.log(ratio) + rise)


def diode_curve(
    reference_current_a: ArrayLike,
    drop_v: ArrayLike,
    slope_ohm: ArrayLike,
    largest_emission_v: ArrayLike,
    smallest_emission_v: float = 1e-5,
) -> DiodeCurve:
    """Return the curve through a drop with its slope, both at one current, as a junction with a series resistance.

    A junction's own slope is emission/current, with emission = n·kT/q. As much of the slope as a junction
    can have is given to it and the rest to the bulk, so a soft 1N400x and a resistive valve both come out right.

    Source: the exponential junction law of Shockley (from memory, in every text on semiconductors); the split is
    our judgement, tried against circuit simulation.

    Parameters:
        reference_current_a [A]: where drop and slope hold, > 0.
        drop_v [V]: forward drop of one diode at that current.
        slope_ohm [ohm]: slope dv/di of one diode at that current, ≥ 0.
        largest_emission_v [V]: n·kT/q of the softest junction, see `emission_voltage`.
        smallest_emission_v [V]: keeps the corner of an ideal diode solvable.

    Raises nothing; holds for currents above zero.

    >>> curve = diode_curve(1.0, 0.9, 0.08, emission_voltage(1.8, 300.0))
    >>> round(float(curve.bulk_resistance_ohm), 4), round(float(curve.voltage(5.0)), 3)
    (0.0335, 1.109)
    """
    current, drop, slope, largest = np.broadcast_arrays(
        *(np.asarray(each, float) for each in (reference_current_a, drop_v, slope_ohm, largest_emission_v))
    )
    emission = np.clip(slope * current, smallest_emission_v, largest)
    bulk = np.maximum(slope - emission / current, 0.0)
    return DiodeCurve(current, drop, emission, bulk)


def emission_voltage(ideality: ArrayLike, junction_temperature_k: ArrayLike) -> Floats:
    """Return n·kT/q, the rise of a junction's drop for each e-fold of current, in volt.

    Source: Shockley's law (from memory); the constants are exact in the SI.

    Parameters:
        ideality [1]: n, 1 to 2.
        junction_temperature_k [K]: absolute temperature of the junction.

    >>> round(float(emission_voltage(1.0, 300.0)), 5)
    0.02585
    """
    kelvin = np.asarray(junction_temperature_k, float)
    return np.asarray(np.asarray(ideality, float) * BOLTZMANN_OVER_CHARGE_V_PER_K * kelvin)
