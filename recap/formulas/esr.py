"""Loss of electrolytic capacitors: dissipation factor, series resistance, impedance in the cold."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def esr_ohm(dissipation_factor: ArrayLike, capacitance_f: ArrayLike, frequency_hz: ArrayLike) -> Floats:
    """Return the equivalent series resistance at the frequency of the dissipation factor, tan δ/(2π·f·C).

    Source: the series model; Cornell Dubilier, application guide (quoted) warns that a low-frequency tan δ
    overstates the ESR above a few kHz.

    Parameters:
        dissipation_factor [1]: tan δ at that frequency.
        capacitance_f [F]: capacitance at that frequency, > 0.
        frequency_hz [Hz]: where tan δ was measured, 100 or 120.

    >>> round(float(esr_ohm(0.15, 1800e-6, 120.0)), 4)
    0.1105
    """
    return np.asarray(
        np.asarray(dissipation_factor, float)
        / (2 * np.pi * np.asarray(frequency_hz, float) * np.asarray(capacitance_f, float))
    )


def dissipation_factor(esr_ohm: ArrayLike, capacitance_f: ArrayLike, frequency_hz: ArrayLike) -> Floats:
    """Return tan δ from a series resistance at the same frequency, 2π·f·C·R.

    Source: the series model, the inverse of `esr_ohm`.

    Parameters:
        esr_ohm [ohm]: series resistance at that frequency.
        capacitance_f [F]: capacitance at that frequency, > 0.
        frequency_hz [Hz]: the frequency of both.

    >>> round(float(dissipation_factor(0.1105, 1800e-6, 120.0)), 3)
    0.15
    """
    return np.asarray(2 * np.pi * np.asarray(frequency_hz, float) * np.asarray(capacitance_f, float) * esr_ohm)


def with_large_value_term(
    dissipation_factor: ArrayLike, capacitance_f: ArrayLike, added_per_1000uf: float, above_uf: float
) -> Floats:
    """Return a tan δ limit with what data sheets add for large values, in proportion to the excess.

    Source: makers' data sheets (0.02 per 1000 µF above 1000 µF; Panasonic TS-HA 0.01 above 33,000 µF).

    Parameters:
        dissipation_factor [1]: the table's tan δ.
        capacitance_f [F]: rated capacitance, > 0.
        added_per_1000uf [1]: added for each 1000 µF of excess.
        above_uf [µF]: where the addition begins.

    >>> round(float(with_large_value_term(0.16, 4700e-6, 0.02, 1000.0)), 3)
    0.234
    """
    excess_uf = np.maximum(np.asarray(capacitance_f, float) * 1e6 - above_uf, 0.0)
    return np.asarray(np.asarray(dissipation_factor, float) + added_per_1000uf * excess_uf / 1000)


def impedance_ohm(esr_ohm: ArrayLike, capacitance_f: ArrayLike, frequency_hz: ArrayLike) -> Floats:
    """Return the impedance of resistance and capacitance in series, without inductance.

    Source: the series model.

    Parameters:
        esr_ohm [ohm]: series resistance at that frequency.
        capacitance_f [F]: capacitance at that frequency, > 0.
        frequency_hz [Hz]: frequency, > 0.

    Holds well below the part's own resonance, so at 100 or 120 Hz for any electrolytic.

    >>> round(float(impedance_ohm(2.1, 100e-6, 120.0)), 1)
    13.4
    """
    reactance = 1 / (2 * np.pi * np.asarray(frequency_hz, float) * np.asarray(capacitance_f, float))
    return np.asarray(np.hypot(np.asarray(esr_ohm, float), reactance))


def cold_impedance_ohm(impedance_20c_ohm: ArrayLike, impedance_ratio: ArrayLike) -> Floats:
    """Return the impedance in the cold from the one at 20 °C and the data sheet's ratio.

    Source: makers' data sheets, the table Z(T)/Z(20 °C) at 120 Hz.

    Parameters:
        impedance_20c_ohm [ohm]: impedance at 20 °C.
        impedance_ratio [1]: largest Z(T)/Z(20 °C), ≥ 1.

    >>> float(cold_impedance_ohm(2.0, 4.0))
    8.0
    """
    return np.asarray(np.asarray(impedance_20c_ohm, float) * impedance_ratio)


def limit_at_rating(rated_voltage_v: float, ratings_v: Sequence[float], limits: Sequence[float]) -> float:
    """Return a data-sheet limit at a rating: the table's own, or the larger of its two neighbours.

    Source: our judgement; a ceiling between two rows must not be stricter than either.

    Parameters:
        rated_voltage_v [V]: rated voltage.
        ratings_v [V]: the table's ratings, rising.
        limits [–]: the table's limits, one a rating.

    Raises ValueError outside the table's ratings.

    >>> limit_at_rating(40.0, (35.0, 50.0), (0.12, 0.10))
    0.12
    """
    if not ratings_v or not ratings_v[0] <= rated_voltage_v <= ratings_v[-1]:
        raise ValueError(f"{rated_voltage_v:g} V lies outside the table")
    above = next(index for index, rating in enumerate(ratings_v) if rating >= rated_voltage_v)
    if ratings_v[above] == rated_voltage_v:
        return limits[above]
    return max(limits[above - 1], limits[above])
