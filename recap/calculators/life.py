"""Estimated life of a capacitor at its temperature, ripple and voltage, with each model's own figure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any

import numpy as np

from recap.calculators.answer import Answer
from recap.calculators.inputs import above_zero, of_any_sign
from recap.calculators.life_inputs import (
    duty_stages,
    rated_ripple_current,
    ripple_current,
    ripple_in_rating_terms,
    ripple_multiplier,
)
from recap.calculators.life_words import CAUTIONS, clamp_text, life_lines, outside_problem
from recap.formulas.life import equivalent_ambient_c, years_in_use
from recap.formulas.life_duty import estimate_life_on_duty
from recap.formulas.life_estimate import (
    UNKNOWN,
    LifeConditions,
    LifeEstimate,
    LifePart,
    LifeRange,
    estimate_life,
)
from recap.formulas.life_lines import LifeModels, Line, life_models
from recap.formulas.life_ripple import ambient_from_case, core_rise, core_to_case_ratio
from recap.problems import Problem
from recap.ruledata import table
from recap.units import NotAQuantity, quoted

FAMILIES = ("wet", "polymer", "hybrid", "manganese-dioxide")
STYLES = ("radial", "axial", "smd", "snap-in", "screw")
BASES = ("endurance", "useful-life", "dc-only")


@cache
def models() -> LifeModels:
    """Return the life models of the rule data."""
    return life_models(table("life_models"), table("life_limits"))


def life(
    endurance: str,
    rated_temperature: str,
    *,
    ambient: str | None = None,
    duty: str | None = None,
    case_temperature: str | None = None,
    diameter: str | None = None,
    rated_ripple: str | None = None,
    ripple: Sequence[str] = (),
    multipliers: Sequence[str] = (),
    rated_voltage: str | None = None,
    voltage: str | None = None,
    family: str = "wet",
    style: str = "radial",
    endurance_basis: str = "endurance",
    hours_per_year: str | None = None,
) -> Answer:
    """Return the estimated life in hours, low, nominal and high, capped and not, and what limited it.

    Give the ambient temperature, a duty such as "8h@45C,8h@55C", or a temperature measured on the case: with a
    known ripple and diameter the ambient follows from it, else the case itself counts as the ambient. Ripple
    needs the rated ripple; both may carry a frequency, "0.6A@100kHz". `multipliers` are the part's own for
    ripple, "1.4@10kHz"; else its class stands in. Without a ripple the nominal figure is the plain ten-degree
    rule (twenty-degree for polymer).
    """
    places = sum(place is not None for place in (ambient, duty, case_temperature))
    _check(places == 1, "give one of an ambient temperature, a duty or a case temperature")
    _check(not ripple or rated_ripple is not None, "a ripple needs the rated ripple to be held against")
    _check(voltage is None or rated_voltage is not None, "a voltage needs the rated voltage to be held against")
    if duty is not None:
        stages = duty_stages(duty)
    else:
        stages = [(1.0, of_any_sign(ambient or case_temperature or "", "degC", "temperature"))]
    rated_v = above_zero(rated_voltage, "volt", "rated voltage") if rated_voltage is not None else None
    rating = rated_ripple_current(rated_ripple) if rated_ripple is not None else None
    rated_c = of_any_sign(rated_temperature, "degC", "rated temperature")
    _check(40 <= rated_c <= 250, f'"{quoted(rated_temperature)}" is no rated temperature of a capacitor in °C')
    _check(all(-60 <= each <= 250 for _, each in stages), "an ambient temperature lies between −60 and 250 °C")

    ripple_a, ripple_note = UNKNOWN, ""
    ripple_problems: tuple[Problem, ...] = ()
    if rating and ripple:
        components = [ripple_current(each) for each in ripple]
        own = [ripple_multiplier(each) for each in multipliers]
        ripple_a, ripple_note, ripple_problems = ripple_in_rating_terms(
            components, rating, own, "polymer" if family == "polymer" else style, rated_v
        )
    part = LifePart(
        endurance_h=above_zero(endurance, "hour", "endurance"),
        rated_temperature_c=rated_c,
        rated_ripple_current_a=rating.amount if rating else UNKNOWN,
        rated_voltage_v=rated_v or UNKNOWN,
        family=family,
        style=style,
        endurance_basis=endurance_basis,
    )
    if case_temperature:
        wide_mm = above_zero(diameter, "mm", "diameter") if diameter is not None else None
        stages = [(1.0, _ambient_from_case(stages[0][1], part, ripple_a, wide_mm))]
    applied_v = above_zero(voltage, "volt", "voltage") if voltage is not None else UNKNOWN
    conditions = [(hours, LifeConditions(air_c, ripple_a, applied_v)) for hours, air_c in stages]
    if duty:
        found = estimate_life_on_duty(part, conditions, models())
    else:
        found = estimate_life(part, conditions[0][1], models())

    result = _result(found, ripple_a, applied_v)
    result["endurance_basis"] = endurance_basis
    result["ripple_at_rating_a"] = _plain(ripple_a)
    if case_temperature:
        result["ambient_temperature_c"] = stages[0][1]
    if duty:
        result["equivalent_ambient_c"] = _equivalent_ambient(stages, found)
    if hours_per_year is not None:
        yearly = above_zero(hours_per_year, "hour", "hours of use a year")
        result["years"] = _years(found.estimated_life_h, yearly)
        result["calendar_limit_years"] = models().calendar_limit_years
    outside = tuple(outside_problem(name) for name, there in found.outside.items() if np.any(there))
    sources = tuple(dict.fromkeys(source for model in found.models for source in model.line.sources))
    return Answer(
        result=result,
        lines=tuple(life_lines(result, part, ripple_note)),
        sources=(*sources, "beckhoff-ps9011", "nichicon-8101"),
        cautions=CAUTIONS,
        problems=(*ripple_problems, *outside),
    )


def _check(holds: object, otherwise: str) -> None:
    if not holds:
        raise NotAQuantity(otherwise)


def _ambient_from_case(case_c: float, part: LifePart, ripple_a: float, diameter_mm: float | None) -> float:
    """Take the rise of the case from its temperature where ripple and diameter tell it, else take the case."""
    if math.isnan(ripple_a) or diameter_mm is None:
        return case_c
    rows = table("core_to_case_ratio")
    ratio = core_to_case_ratio(
        diameter_mm, [float(row["diameter_from_mm"]) for row in rows], [float(row["ratio"]) for row in rows]
    )
    rise_k = core_rise(models().core_rise_rated_k, ripple_a / part.rated_ripple_current_a)
    return float(ambient_from_case(case_c, rise_k, ratio))


def _result(found: LifeEstimate, ripple_a: float, applied_v: float) -> dict[str, Any]:
    return {
        "estimated_life_h": _range(found.estimated_life_h),
        "uncapped_h": _range(found.uncapped_h),
        "ceiling_h": found.ceiling_h,
        "core_temperature_c": _plain(found.core_temperature_c),
        "models": _distinct(
            {
                "id": _id(model.line, ripple_a, applied_v),
                "title": model.line.title,
                "life_h": float(model.life_h),
                "source": model.line.sources[0],
                "further_sources": list(model.line.sources[1:]),
            }
            for model in found.models
        ),
        "clamps": [
            {"id": name, "text": clamp_text(name, models())} for name, acted in found.clamps.items() if np.any(acted)
        ],
    }


def _distinct(figures: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Drop a line that only repeats another, as two ripple models do where no ripple is known."""
    return list({(each["id"], each["life_h"]): each for each in reversed(list(figures))}.values())[::-1]


def _id(line: Line, ripple_a: float, applied_v: float) -> str:
    ripple_counts = not (math.isnan(ripple_a) and line.assumes_rated_ripple)
    voltage_counts = not math.isnan(applied_v)
    used = (line.id, line.ripple_id if ripple_counts else "", line.voltage_id if voltage_counts else "")
    return "+".join(filter(None, used))


def _equivalent_ambient(stages: Sequence[tuple[float, float]], found: LifeEstimate) -> float:
    rule = next(model.line for model in found.models if model.line.nominal)
    held = [max(air_c, models().floor_ambient_c) for _, air_c in stages]
    return equivalent_ambient_c([hours for hours, _ in stages], held, rule.factor, rule.degrees)


def _years(lives: LifeRange, yearly_h: float) -> dict[str, float]:
    limit = models().calendar_limit_years
    return {name: float(years_in_use(hours, yearly_h, limit)) for name, hours in _range(lives).items()}


def _range(lives: LifeRange) -> dict[str, float]:
    return {"low": float(lives.low), "nominal": float(lives.nominal), "high": float(lives.high)}


def _plain(value: Any) -> float | None:
    return None if math.isnan(float(value)) else float(value)
