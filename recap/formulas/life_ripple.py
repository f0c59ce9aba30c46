"""Self-heating by ripple and what it does to life: the published forms."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from recap.formulas.life import Values


def core_rise(rated_core_rise_k: Values, ripple_ratio: Values) -> Values:
    """Return the rise of the core over the ambient, which goes with the square of the ripple.

    Source: panasonic-ts-u p. 2; rubycon-life-formula.
    Parameters:
        rated_core_rise_k [K]: at rated ripple.
        ripple_ratio [1]: of actual to rated, same frequency.
    Raises: nothing.
    Range: constant ESR; both currents at the frequency of the rating.

    >>> core_rise(5.0, 2.0)
    20.0
    """
    return rated_core_rise_k * ripple_ratio * ripple_ratio


def core_rise_from_loss(
    currents_a: Sequence[Values], esr_ohm: Sequence[Values], thermal_resistance_k_per_w: Values
) -> Values:
    """Return the core rise from the loss of several ripple components and the thermal resistance (R7).

    Source: vernica-thesis eq. 2.7 and 2.8.
    Parameters:
        currents_a [A]: , rms of each component.
        esr_ohm [ohm]: at each component's frequency.
        thermal_resistance_k_per_w [K/W].
    Raises: ValueError when the lists differ in length.
    Range: steady state.

    >>> round(core_rise_from_loss([2.0, 1.0], [0.05, 0.02], 20.0), 6)
    4.4
    """
    loss_w = sum((i * i * esr for i, esr in zip(currents_a, esr_ohm, strict=True)), start=0.0)
    return loss_w * thermal_resistance_k_per_w


def ripple_factor(
    core_rise_k: Values,
    rated_core_rise_k: Values,
    base: float,
    base_over_rating: float,
    divisor: float,
    reference_rise_k: Values | None = None,
) -> Values:
    """Life factor base^((reference rise − rise)/divisor), with another base above the rating (R1, R2, R3).

    The reference rise is the rated one where the endurance was stated with rated ripple (R2, R3), and nought
    where it was stated with direct voltage only (R1).

    Source: elna-2023 eq. 3 and 4 (R1, K = 2 within the rating); jianghai-2018 (R2, Ki = 2, above rating 4);
    the divisor 5 of R3 is from-memory.
    Parameters:
        core_rise_k [K].
        rated_core_rise_k [K].
        reference_rise_k [K].
        base [1].
        base_over_rating [1].
        divisor [K].
    Raises: nothing.
    Range: 105 °C class with a rated rise of 3.5 to 5 K, 85 °C class 3.5 to 10 K.

    >>> round(ripple_factor(20.0, 5.0, 2.0, 4.0, 10.0), 3)
    0.125
    """
    reference = rated_core_rise_k if reference_rise_k is None else reference_rise_k
    within = (reference - np.minimum(core_rise_k, rated_core_rise_k)) / divisor
    over = np.maximum(core_rise_k - rated_core_rise_k, 0.0) / divisor
    factor = base**within * base_over_rating**-over
    return factor if np.ndim(factor) else float(factor)


def ripple_factor_by_rise(core_rise_k: Values, rated_core_rise_k: Values, divisor_held_from_k: float) -> Values:
    """Life factor 2^(rated/(10 − rated/4) − rise/(10 − rise/4)), whose divisor depends on the rise (R4).

    The published form has no value at a rise of 40 K and turns back above. Here the divisor keeps, for greater
    rises, the value it has at `divisor_held_from_k`, so that more ripple never lengthens life.

    Source: rubycon-life-formula; holding the divisor is our-judgement.
    Parameters:
        core_rise_k [K].
        rated_core_rise_k [K].
        divisor_held_from_k [K].
    Raises: ValueError where the divisor would be held at nothing, from 40 K on.
    Range: rated rise 3.5, 5 or 10 K by series; endurance stated with rated ripple.

    >>> round(ripple_factor_by_rise(20.0, 5.0, 20.0), 3), round(ripple_factor_by_rise(30.0, 5.0, 20.0), 3)
    (0.093, 0.023)
    """
    if divisor_held_from_k >= 40.0:
        raise ValueError("the form is singular at a core rise of 40 K: hold its divisor from less")
    rated = rated_core_rise_k / (10.0 - 0.25 * np.minimum(rated_core_rise_k, divisor_held_from_k))
    actual = core_rise_k / (10.0 - 0.25 * np.minimum(core_rise_k, divisor_held_from_k))
    factor = 2.0 ** (rated - actual)
    return factor if np.ndim(factor) else float(factor)


def ambient_from_case(case_temperature_c: Values, core_rise_k: Values, core_to_case_ratio: Values) -> Values:
    """Return the ambient temperature from the case; a wide can's case rises less than its core.

    Source: rubycon-life-formula, table of ratios by diameter (data/tables/core_to_case_ratio.csv).
    Parameters:
        case_temperature_c [degC].
        core_rise_k [K].
        core_to_case_ratio [1].
    Raises: nothing.
    Range: the bottom of radial cans, and of snap-in cans up to 25 mm.

    >>> ambient_from_case(60.0, 5.5, 1.1)
    55.0
    """
    return case_temperature_c - core_rise_k / core_to_case_ratio


def core_to_case_ratio(diameter_mm: float, from_mm: Sequence[float], ratios: Sequence[float]) -> float:
    """Return the ratio of core to case rise for a can, that of the widest tabled can which is no wider.

    Source: rubycon-life-formula (data/tables/core_to_case_ratio.csv).
    Parameters:
        diameter_mm [mm].
        from_mm [mm]: least diameter of each row, rising.
        ratios [1].
    Raises: nothing.
    Range: 4 to 35 mm; wider cans take the last ratio.

    >>> core_to_case_ratio(16.0, [0.0, 10.0, 16.0], [1.0, 1.1, 1.2])
    1.2
    """
    return float(ratios[int(np.searchsorted(from_mm, diameter_mm, side="right")) - 1])


def equivalent_ripple(currents_a: Sequence[Values], multipliers: Sequence[Values]) -> Values:
    """Return the rms sum of ripple components, each divided by its frequency multiplier.

    Source: technical-note-life eq. 4.6; jianghai-trade-article.
    Parameters:
        currents_a [A]: rms.
        multipliers [1]: relative to the frequency of the rating.
    Raises: ValueError when the lists differ in length.
    Range: components of different frequencies.

    >>> equivalent_ripple([3.0, 4.8], [1.0, 1.2])
    5.0
    """
    squares = sum(((i / f) ** 2 for i, f in zip(currents_a, multipliers, strict=True)), start=0.0)
    root = np.sqrt(squares)
    return root if np.ndim(root) else float(root)


def frequency_multiplier(frequency_hz: Values, table_hz: Sequence[float], table_multipliers: Sequence[float]) -> Values:
    """Interpolate a ripple multiplier over the logarithm of frequency, level beyond the table's ends.

    Source: our-judgement between points; the points are the makers' (data/tables/ripple_multipliers.csv).
    Parameters:
        frequency_hz [Hz].
        table_hz [Hz]: , rising.
        table_multipliers [1].
    Raises: nothing.
    Range: the table's; beyond the ends it is held.

    >>> round(frequency_multiplier(60.0, [50.0, 120.0], [0.81, 1.0]), 3)
    0.85
    """
    found = np.interp(np.log(frequency_hz), np.log(table_hz), table_multipliers)
    return found if np.ndim(found) else float(found)
