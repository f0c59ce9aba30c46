"""What a can's surface can shed: from body and loss to the ripple current that warms it by a stated rise."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


def can_surface_cm2(diameter_mm: npt.ArrayLike, length_mm: npt.ArrayLike) -> Floats:
    """Return the surface of a closed cylinder.

    Source: geometry.

    Parameters:
        diameter_mm [mm]: over the sleeve.
        length_mm [mm]: of the body.

    >>> round(float(can_surface_cm2(10.0, 16.0)), 2)
    6.6
    """
    d, h = np.asarray(diameter_mm, float) / 10, np.asarray(length_mm, float) / 10
    return np.asarray(np.pi * d * h + np.pi * d**2 / 2)


def ripple_for_rise_a(
    esr_ohm: npt.ArrayLike,
    surface_cm2: npt.ArrayLike,
    rise_k: npt.ArrayLike,
    coefficient: float,
    exponent: float,
) -> Floats:
    """Return the rms current whose loss in the ESR warms the can by a rise, √(a·S^(1+b)·ΔT/ESR).

    Source: an unsigned technical note on the life of aluminium capacitors (quoted): heat transfer
    2.3e-3 · S^−0.2 W/(cm²·K).

    Parameters:
        esr_ohm [ohm]: at the frequency of the current, > 0.
        surface_cm2 [cm**2]: of the can.
        rise_k [K]: of the case over the air.
        coefficient [W/(cm**2*K)]: heat transfer at 1 cm².
        exponent [1]: of the surface, −0.2.

    Range: still air.

    >>> round(float(ripple_for_rise_a(0.1, 6.6, 5.0, 2.3e-3, -0.2)), 2)
    0.72
    """
    surface = np.asarray(surface_cm2, float)
    transfer = coefficient * surface**exponent
    return np.asarray(np.sqrt(transfer * surface * np.asarray(rise_k, float) / np.asarray(esr_ohm, float)))
