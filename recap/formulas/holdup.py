"""How long a reservoir carries a constant power through a gap in the mains."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def hold_up_time_s(
    capacitance_f: ArrayLike, start_v: ArrayLike, end_v: ArrayLike, power_w: ArrayLike, esr_ohm: ArrayLike = 0.0
) -> Floats:
    """Return the time in which a constant power takes a reservoir from one voltage down to another.

    Source: the energy between two voltages, ½·C·(V1² − V2²) = P·t; with an ESR the same, integrated for the
    terminals at `end_v`.

    Parameters:
        capacitance_f [F]: the reservoir; use the value left at the end of life.
        start_v [V]: across the capacitor when the mains fails; the trough of the ripple at low mains is the honest one.
        end_v [V]: terminal voltage at which the converter gives up.
        power_w [W]: taken from the reservoir, output power over efficiency.
        esr_ohm [ohm]: of the reservoir.

    Raises nothing; 0 where the start is already too low. Below √(ESR·P) at the terminals no more power comes
    through the ESR, so that is the end wherever `end_v` is lower.

    >>> round(float(hold_up_time_s(64e-6, 300.0, 200.0, 100.0)) * 1e3, 1)
    16.0
    """
    farads, start, end, watts, esr = (
        np.asarray(each, float) for each in (capacitance_f, start_v, end_v, power_w, esr_ohm)
    )
    # Across the terminals v, through the load P/v: the capacitor holds v + ESR·P/v. Solve for v at the start.
    end = np.maximum(end, np.sqrt(esr * watts))
    first = (start + np.sqrt(np.maximum(start**2 - 4 * esr * watts, 0.0))) / 2
    seconds = farads * ((first**2 - end**2) / 2 - esr * watts * np.log(first / end)) / watts
    return np.asarray(np.where(first > end, seconds, 0.0))


def hold_up_capacitance_f(time_s: ArrayLike, start_v: ArrayLike, end_v: ArrayLike, power_w: ArrayLike) -> Floats:
    """Return the capacitance that carries a power through a gap, 2·P·t/(V1² − V2²).

    Source: the energy between two voltages; exact without ESR.

    Parameters:
        time_s [s]: the gap.
        start_v [V], end_v [V]: before the gap and where the converter gives up; infinite unless start > end.
        power_w [W]: taken from the reservoir.

    >>> round(float(hold_up_capacitance_f(16e-3, 300.0, 200.0, 100.0)) * 1e6)
    64
    """
    seconds, start, end, watts = (np.asarray(each, float) for each in (time_s, start_v, end_v, power_w))
    spread = start**2 - end**2
    return np.asarray(np.where(spread > 0, 2 * watts * seconds / np.where(spread > 0, spread, 1.0), np.inf))
