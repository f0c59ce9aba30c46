"""Random failures of a unit's wet aluminium parts, as a cross-check beside the estimates of wear.

Handbook rates say nothing about the wear of old parts; they tell how often one of many sound new parts fails by
chance, and the two editions differ by a factor of four to ten.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from recap.formulas.failure_rate import (
    RateEquation,
    base_rate_217f,
    base_rate_notice_2,
    dormant_failure_rate,
    failure_rate,
    probability_of_failure,
    rate_equation,
)
from recap.model import Condition, Decision, Judgement, Kind, RandomFailures, Unit
from recap.ruledata import table

_STYLE, _OLD, _NEW, _QUALITY, _ENVIRONMENT = "cu", "217F", "217F-2", "commercial", "GB"
_HOURS_PER_YEAR = 8760.0
_USUAL_CATEGORY_C = 85.0  # of a part whose marking does not say; the coolest class, which errs to the high side


@cache
def _equation(edition: str) -> RateEquation:
    rows = table("failure_rate_equations")
    return rate_equation(next(row for row in rows if row["edition"] == edition and row["style"] == _STYLE))


@cache
def _factor(edition: str, kind: str, name: str) -> float:
    for row in table("failure_rate_factors"):
        if (row["edition"], row["style"], row["kind"], row["name"]) == (edition, _STYLE, kind, name):
            return float(row["value"])
    raise KeyError(f"{edition} {kind} {name}")


@cache
def _dormant(name: str) -> float:
    return next(float(row["value"]) for row in table("dormant_failure_rates") if row["name"] == name)


def random_failures(unit: Unit, judgements: Iterable[Judgement]) -> RandomFailures | None:
    """Return the summed rates of a unit's wet aluminium parts as planned; None where no part could be counted.

    A part to be replaced counts with its new rating and category, the others with their own.
    """
    counted, old, new = 0, 0.0, 0.0
    for judgement in judgements:
        figures = _figures(judgement) if judgement.key.unit == unit.name else None
        if figures is None:
            continue
        value, stress, category, air = figures
        for edition in (_OLD, _NEW):
            factors = _factor(edition, "quality", _QUALITY), _factor(edition, "environment", _ENVIRONMENT)
            equation = _equation(edition)
            if edition == _OLD:
                old += float(failure_rate(base_rate_217f(air, stress, category, equation), value, *factors, equation))
            else:
                new += float(failure_rate(base_rate_notice_2(air, stress, equation), value, *factors, equation))
        counted += 1
    if not counted:
        return None
    in_use = unit.use_h_per_year / _HOURS_PER_YEAR
    resting = [_dormant(name) for name in ("aluminium-wet", "lower-quality", "cycling-slope", "cycling-from")]
    dormant = counted * float(dormant_failure_rate(resting[0], resting[1], 0.0, resting[2], resting[3]))
    years = unit.years_wanted
    on = [float(probability_of_failure(rate * in_use, 1, years)) for rate in (new, old)]
    return RandomFailures(
        unit=unit.name,
        parts=counted,
        rates_per_1e6_h=(new, old),
        dormant_rate_per_1e6_h=dormant,
        probability_in_use=(on[0], on[1]),
        probability_switched_off=float(probability_of_failure(dormant * (1 - in_use), 1, years)),
        years=years,
        sources=("mil-hdbk-217f-2", "mil-hdbk-217f", "radc-tr-85-91"),
    )


def _figures(judgement: Judgement) -> tuple[float, float, float, float] | None:
    """Return value in F, stress, category and air in °C; None for other kinds, empty places and gaps."""
    position, conditions, spec = judgement.position, judgement.conditions, judgement.specification
    if position.body.kind is not Kind.WET_ALUMINIUM or Condition.EMPTY_BY_DESIGN in position.conditions:
        return None
    new = spec if judgement.meant is Decision.REPLACE else None
    value = new.capacitance_f if new else position.capacitance_f
    rated = new.rated_voltage_v if new else position.rated_voltage_v
    category = (new.upper_category_temperature_c if new else position.marked.temperature_c) or _USUAL_CATEGORY_C
    if value is None or rated is None or conditions is None or conditions.working_voltage_v is None:
        return None
    stress = min(conditions.working_voltage_v / rated, 1.0)
    return value, stress, category, min(conditions.ambient_temperature_c, category)
