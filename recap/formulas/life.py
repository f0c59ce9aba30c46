"""Life against temperature: the published forms, each a small function over floats or arrays.

Nothing here knows which form fits which part; that choice is made in `life_estimate` from rule data.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Values = float | NDArray[np.float64]

BOLTZMANN_EV_PER_K = 8.617333262e-5  # 2019 SI: exact in J/K and in C, so exact here but for digits
ICE_POINT_K = 273.15  # definition of the Celsius scale
HOURS_PER_YEAR = 8760.0  # 365 days, running all the time


def factor_rule(
    endurance_h: Values, rated_temperature_c: Values, temperature_c: Values, factor: float, degrees: float
) -> Values:
    """Life multiplies by a constant factor for every so many degrees below the rated temperature.

    Source: the common shape of the ten-degree rule (rubycon-3925 eq. 10), of its slower variants
    (vernica-thesis eq. 2.9) and of the rules for solid electrolytes (wurth-polymer-ebook p. 18).
    Parameters:
        endurance_h [h].
        rated_temperature_c [degC].
        temperature_c [degC].
        factor [1].
        degrees [K].
    Raises: nothing; a `degrees` of zero is a ZeroDivisionError.
    Range: that of the rule it carries.

    >>> factor_rule(2000.0, 105.0, 75.0, 2.0, 10.0)
    16000.0
    """
    return endurance_h * factor ** ((rated_temperature_c - temperature_c) / degrees)


def ten_degree_rule(endurance_h: Values, rated_temperature_c: Values, temperature_c: Values) -> Values:
    """Life doubles for every 10 K below the rated temperature (T1; with the case temperature, T2).

    Source: rubycon-3925 sec. 5-1, eq. 10; chemicon-faq-life eq. 8; with case temperature cosel-a0026.
    Parameters:
        endurance_h [h].
        rated_temperature_c [degC].
        temperature_c [degC].
    Raises: nothing.
    Range: wet parts up to the 105 °C class; close to Arrhenius' law from 60 to 95 °C, used down to 40 °C.

    >>> ten_degree_rule(1000.0, 105.0, 45.0)
    64000.0
    """
    return factor_rule(endurance_h, rated_temperature_c, temperature_c, 2.0, 10.0)


def twenty_degree_rule(endurance_h: Values, rated_temperature_c: Values, temperature_c: Values) -> Values:
    """Life of a solid conductive polymer multiplies by ten for every 20 K below the rated temperature (T8).

    Source: wurth-polymer-ebook p. 18, in words.
    Parameters:
        endurance_h [h].
        rated_temperature_c [degC].
        temperature_c [degC].
    Raises: nothing.
    Range: solid polymer only; a hybrid part behaves like a wet one. Measured energies are lower, see T3.

    >>> twenty_degree_rule(2000.0, 105.0, 65.0)
    200000.0
    """
    return factor_rule(endurance_h, rated_temperature_c, temperature_c, 10.0, 20.0)


def manganese_dioxide_life(endurance_h: Values, rated_temperature_c: Values, temperature_c: Values) -> Values:
    """Life of a solid aluminium part with manganese dioxide multiplies by ten for every 50 K (T9).

    Source: bc-122-sal-rp quick reference data, 20,000 h at 125 °C and 2,000 h at 175 °C.
    Parameters:
        endurance_h [h].
        rated_temperature_c [degC].
        temperature_c [degC].
    Raises: nothing.
    Range: stated between 125 and 175 °C; at 40 °C the same sheets promise more than 300,000 h.

    >>> manganese_dioxide_life(20000.0, 125.0, 175.0)
    2000.0
    """
    return factor_rule(endurance_h, rated_temperature_c, temperature_c, 10.0, 50.0)


def kneed_rule(
    endurance_h: Values,
    rated_temperature_c: Values,
    temperature_c: Values,
    factor: float,
    degrees: float,
    knee_c: float,
    degrees_below_knee: float,
) -> Values:
    """Apply one rule above a temperature and a slower one below it (T4).

    Source: vernica-thesis eq. 2.9 for 10 to 13 K per doubling; the knee is our-judgement.
    Parameters:
        endurance_h [h].
        rated_temperature_c [degC].
        temperature_c [degC].
        knee_c [degC].
        factor [1].
        degrees [K].
        degrees_below_knee [K].
    Raises: nothing.
    Range: as `factor_rule`.

    >>> kneed_rule(1000.0, 105.0, 61.0, 2.0, 10.0, 85.0, 12.0)
    16000.0
    """
    top = np.maximum(np.minimum(knee_c, rated_temperature_c), temperature_c)
    exponent = (rated_temperature_c - top) / degrees + (top - temperature_c) / degrees_below_knee
    life = endurance_h * factor**exponent
    return life if np.ndim(life) else float(life)


def arrhenius(endurance_h: Values, rated_hot_spot_c: Values, hot_spot_c: Values, activation_energy_ev: float) -> Values:
    """Life by Arrhenius' law between two hot-spot temperatures (T3).

    Source: teverovsky-polymer sec. I; the 0.94 eV it names for large cans is parler-life-multipliers.
    Parameters:
        endurance_h [h].
        rated_hot_spot_c [degC].
        hot_spot_c [degC].
        activation_energy_ev [eV].
    Raises: nothing.
    Range: one mechanism of failure; energies of 0.5 to 1.0 eV are in use.

    >>> round(arrhenius(5000.0, 105.0, 40.0, 0.6))
    228446
    """
    inverse = 1.0 / (hot_spot_c + ICE_POINT_K) - 1.0 / (rated_hot_spot_c + ICE_POINT_K)
    life = endurance_h * np.exp(activation_energy_ev / BOLTZMANN_EV_PER_K * inverse)
    return life if np.ndim(life) else float(life)


def equivalent_energy_ev(factor: float, warm_c: float, cool_c: float) -> float:
    """Return the activation energy at which Arrhenius' law gives a factor between two temperatures.

    Source: algebra of `arrhenius`.
    Parameters:
        factor [1].
        warm_c [degC].
        cool_c [degC].
    Raises: ZeroDivisionError when the temperatures are equal.
    Range: any.

    >>> round(equivalent_energy_ev(2.0, 105.0, 95.0), 2)
    0.83
    """
    inverse = 1.0 / (cool_c + ICE_POINT_K) - 1.0 / (warm_c + ICE_POINT_K)
    return float(BOLTZMANN_EV_PER_K * np.log(factor) / inverse)


def case_temperature_life(endurance_h: Values, rated_temperature_c: Values, case_temperature_c: Values) -> Values:
    """Life of a screw or snap-in part from its case, whose rated core stands 10 K over the rating (T6).

    Source: kendeil-useful-life.
    Parameters:
        endurance_h [h].
        rated_temperature_c [degC].
        case_temperature_c [degC].
    Raises: nothing.
    Range: large cans, useful life stated with ripple at the rated temperature.

    >>> case_temperature_life(10000.0, 85.0, 75.0)
    40000.0
    """
    return ten_degree_rule(endurance_h, rated_temperature_c + 10.0, case_temperature_c)


def hot_spot_life(
    endurance_h: Values, rated_temperature_c: Values, rated_core_rise_k: Values, hot_spot_c: Values
) -> Values:
    """Life by the ten-degree rule between hot spots, the rated one being rating plus rated rise (T7).

    Source: panasonic-ts-u p. 2 (85 °C class, rise 5 K).
    Parameters:
        endurance_h [h].
        rated_temperature_c [degC].
        hot_spot_c [degC].
        rated_core_rise_k [K].
    Raises: nothing.
    Range: square of the ripple at most twice that of the rating.

    >>> hot_spot_life(2000.0, 85.0, 5.0, 60.0)
    16000.0
    """
    return ten_degree_rule(endurance_h, rated_temperature_c + rated_core_rise_k, hot_spot_c)


def mixed_duty_life(hours: Sequence[float], lives_h: Sequence[Values]) -> Values:
    """Life under a repeated mix of conditions by the sum of life fractions (Miner).

    Source: cosel-a0057 formula 1.
    Parameters:
        hours [h]: spent under each condition in one cycle.
        lives_h [h]: under each alone.
    Raises: ValueError when the hours are not positive or the two lists differ in length.
    Range: damage that adds up regardless of order.

    >>> round(mixed_duty_life([8, 8, 8], [64000.0, 32000.0, 16000.0]))
    27429
    """
    if not hours or min(hours) <= 0:
        raise ValueError("every duty needs a positive number of hours")
    with np.errstate(divide="ignore"):  # no life at all in one stage is none in the mix
        used = sum((np.divide(h, life) for h, life in zip(hours, lives_h, strict=True)), start=0.0)
        mixed = sum(hours) / used
    return mixed if np.ndim(mixed) else float(mixed)


def equivalent_ambient_c(hours: Sequence[float], ambients_c: Sequence[float], factor: float, degrees: float) -> float:
    """Return the one ambient temperature at which a part ages as under the mix.

    Source: cosel-a0057 example 2, for the ten-degree rule.
    Parameters:
        hours [h].
        ambients_c [degC].
        factor [1].
        degrees [K].
    Raises: ValueError as `mixed_duty_life`.
    Range: that of the rule.

    >>> round(equivalent_ambient_c([8, 8, 8], [45.0, 55.0, 65.0], 2.0, 10.0), 1)
    57.2
    """
    life = mixed_duty_life(hours, [factor_rule(1.0, 0.0, ambient, factor, degrees) for ambient in ambients_c])
    return float(-degrees * np.log(life) / np.log(factor))


def years_in_use(life_h: Values, hours_per_year: Values, calendar_limit_years: Values = np.inf) -> Values:
    """Turn hours of life into calendar years at so many hours of use a year, at most the calendar limit.

    The life formulas know nothing of a part that sits switched off; the only published bound found is the age
    of the rubber seal, which the caller passes as the limit.

    Source: arithmetic; the seal's age beckhoff-ps9011 and tdk-faq-0018.
    Parameters:
        life_h [h].
        hours_per_year [h/year].
        calendar_limit_years [year].
    Raises: nothing; no use at all gives the limit.
    Range: any.

    >>> years_in_use(16000.0, 200.0, 15.0), years_in_use(16000.0, 8760.0)
    (15.0, 1.82648401826484)
    """
    with np.errstate(divide="ignore"):
        years = np.minimum(np.divide(life_h, hours_per_year), calendar_limit_years)
    return years if np.ndim(years) else float(years)
