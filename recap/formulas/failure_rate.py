"""Random failures of aluminium electrolytics by the military handbook, in use and switched off.

These are not wear-out: a cross-check for units of many parts, beside the estimated life.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from recap.formulas.life import BOLTZMANN_EV_PER_K, HOURS_PER_YEAR, Values

HANDBOOK_ICE_POINT_K = 273.0  # the handbook adds 273, not 273.15


@dataclass(frozen=True, slots=True)
class RateEquation:
    """The constants of one edition for one style, a row of data/tables/failure_rate_equations.csv."""

    edition: str
    style: str
    base_per_1e6_h: float
    stress_scale: float
    stress_exponent: float
    temperature_coefficient: float
    temperature_exponent: float
    reference_k: float
    energy_ev: float
    reference_c: float
    capacitance_coefficient: float
    capacitance_exponent: float
    source: str


def rate_equation(row: Mapping[str, str]) -> RateEquation:
    """Read one row of the table; an empty cell is a constant that the edition does not use."""
    words = {"edition", "style", "source"}
    fields: dict[str, Any] = {name: text if name in words else float(text or 0) for name, text in row.items()}
    return RateEquation(**fields)


def base_rate_217f(
    temperature_c: Values, stress: Values, rated_temperature_c: Values, equation: RateEquation
) -> Values:
    """Base failure rate of the 1991 edition, λb = A·[(S/Ns)^3 + 1]·exp(B·((T + 273)/Tr)^G).

    Source: mil-hdbk-217f sec. 10.14 (CU/CUR) and 10.15 (CE), as restated by programs.
    Parameters:
        temperature_c [degC]: ambient.
        stress [1]: direct voltage plus peak alternating voltage over rated voltage.
        rated_temperature_c [degC]: 85, 105 or 125 for CU/CUR; CE has a fixed reference.
        equation: constants.
    Raises: nothing.
    Range: up to the rated temperature.

    >>> from recap.ruledata import table
    >>> cu = rate_equation(table("failure_rate_equations")[0])
    >>> round(base_rate_217f(40.0, 0.5, 85.0, cu), 4)
    0.0684
    """
    reference = equation.reference_k or rated_temperature_c + HANDBOOK_ICE_POINT_K
    heat = ((temperature_c + HANDBOOK_ICE_POINT_K) / reference) ** equation.temperature_exponent
    strain = (stress / equation.stress_scale) ** equation.stress_exponent + 1.0
    rate = equation.base_per_1e6_h * strain * np.exp(equation.temperature_coefficient * heat)
    return rate if np.ndim(rate) else float(rate)


def base_rate_notice_2(temperature_c: Values, stress: Values, equation: RateEquation) -> Values:
    """Base, temperature and stress factors of Notice 2, λb·exp[−(Ea/k)(1/T − 1/298)]·[(S/0.6)^5 + 1].

    Source: mil-hdbk-217f-2, as restated by a program and checked with its printed tables.
    Parameters:
        temperature_c [degC]: ambient.
        stress [1]: direct voltage plus peak alternating voltage over rated voltage.
        equation: constants.
    Raises: nothing.
    Range: 20 to 120 °C.

    >>> from recap.ruledata import table
    >>> round(base_rate_notice_2(25.0, 0.0, rate_equation(table("failure_rate_equations")[2])), 5)
    0.00012
    """
    reference_k = equation.reference_c + HANDBOOK_ICE_POINT_K
    inverse = 1.0 / (temperature_c + HANDBOOK_ICE_POINT_K) - 1.0 / reference_k
    heat = np.exp(-equation.energy_ev / BOLTZMANN_EV_PER_K * inverse)
    strain = (stress / equation.stress_scale) ** equation.stress_exponent + 1.0
    rate = equation.base_per_1e6_h * heat * strain
    return rate if np.ndim(rate) else float(rate)


def failure_rate(
    base_rate_per_1e6_h: Values,
    capacitance_f: Values,
    quality: Values,
    environment: Values,
    equation: RateEquation,
) -> Values:
    """Failure rate of a part, the base rate times the factors of capacitance, quality and environment.

    Source: mil-hdbk-217f and mil-hdbk-217f-2.
    Parameters:
        base_rate_per_1e6_h [1/(1e6 h)]: from `base_rate_217f` or `base_rate_notice_2`.
        capacitance_f [F].
        quality [1]: factor by quality level, data/tables/failure_rate_factors.csv.
        environment [1]: factor by environment, the same table.
        equation: constants of the same edition.
    Raises: nothing.
    Range: random failures only, not wear-out.

    >>> from recap.ruledata import table
    >>> cu = rate_equation(table("failure_rate_equations")[0])
    >>> round(failure_rate(base_rate_217f(40.0, 0.6, 85.0, cu), 1000e-6, 10.0, 2.0, cu), 2)
    2.2
    """
    size = equation.capacitance_coefficient * (capacitance_f * 1e6) ** equation.capacitance_exponent
    return base_rate_per_1e6_h * size * quality * environment


def dormant_failure_rate(
    base_rate_per_1e6_h: Values,
    quality: Values,
    cycles_per_1000_h: Values,
    cycling_slope: float,
    cycling_from: float,
) -> Values:
    """Failure rate of a part that sits switched off, with a factor for the switching-on itself.

    Source: radc-tr-85-91 sec. 5.2.7; the unit of the cycling rate is from-memory.
    Parameters:
        base_rate_per_1e6_h [1/(1e6 h)]: data/tables/dormant_failure_rates.csv.
        quality [1].
        cycles_per_1000_h [1/(1000 h)]: power cycles.
        cycling_slope [1000 h].
        cycling_from [1/(1000 h)]: rarer cycles count as none.
    Raises: nothing.
    Range: random failures; the drift of a part on the shelf is in no published model.

    >>> round(dormant_failure_rate(0.0064, 5.3, 2.0, 0.16, 0.3), 4)
    0.0448
    """
    counts = np.asarray(cycles_per_1000_h) >= cycling_from
    cycling = np.where(counts, 1.0 + cycling_slope * cycles_per_1000_h, 1.0)
    rate = base_rate_per_1e6_h * quality * cycling
    return rate if np.ndim(rate) else float(rate)


def probability_of_failure(rate_per_1e6_h: Values, parts: Values, years: Values) -> Values:
    """Probability that at least one of many parts fails at random within some calendar years.

    Source: the exponential law of a constant failure rate.
    Parameters:
        rate_per_1e6_h [1/(1e6 h)]: of one part.
        parts [1].
        years [year].
    Raises: nothing.
    Range: constant failure rate.

    >>> round(probability_of_failure(0.0064, 100, 10.0), 3)
    0.055
    """
    expected = rate_per_1e6_h * 1e-6 * HOURS_PER_YEAR * parts * years
    chance = -np.expm1(-np.asarray(expected))
    return chance if np.ndim(chance) else float(chance)
