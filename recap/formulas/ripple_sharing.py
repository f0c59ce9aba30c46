"""How capacitors in parallel on one rail share its ripple current."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def shared_ripple(
    harmonics_a: ArrayLike,
    frequencies_hz: ArrayLike,
    capacitance_f: ArrayLike,
    esr_ohm: ArrayLike,
    inductance_h: ArrayLike = 0.0,
) -> Floats:
    """Return each capacitor's rms current at each frequency, as (capacitors, frequencies).

    Source: current division between admittances, Kirchhoff's laws.

    Parameters:
        harmonics_a [A]: rms current into the whole bank at each frequency.
        frequencies_hz [Hz]: of those currents, > 0.
        capacitance_f [F]: of each capacitor.
        esr_ohm [ohm]: of each capacitor, or of each at each frequency as (capacitors, frequencies).
        inductance_h [H]: of each capacitor's leads and the track to it.

    Raises nothing; a sum over frequencies is the root of the sum of squares along the last axis. Phases differ, so
    the shares may add up to more than the whole.

    >>> shared_ripple([1.0], [100.0], [1000e-6, 3000e-6], [0.0, 0.0]).round(3).tolist()
    [[0.25], [0.75]]
    """
    omega = 2 * np.pi * np.asarray(frequencies_hz, float)
    farads = np.asarray(capacitance_f, float)[:, None]
    henry = np.broadcast_to(np.asarray(inductance_h, float), (len(farads),))[:, None]
    esr = np.asarray(esr_ohm, float)
    esr = esr if esr.ndim == 2 else np.broadcast_to(esr, (len(farads),))[:, None]
    admittance = 1 / (esr + 1j * (omega * henry - 1 / (omega * farads)))
    return np.asarray(np.abs(admittance / admittance.sum(axis=0)) * np.asarray(harmonics_a, float))
