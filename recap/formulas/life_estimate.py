"""Estimated life of a part under its conditions: low, nominal and high over the models that apply.

Rules ask it for one position, matching for many positions against many parts: every field may be one value
or an array, and they broadcast together. Nothing in here makes text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from recap.formulas import life, life_ripple
from recap.formulas.life import Values
from recap.formulas.life_lines import LifeModels, Line
from recap.formulas.life_voltage import voltage_factor

Texts = str | NDArray[Any]
Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

UNKNOWN = float("nan")
DC_ONLY = "dc-only"


@dataclass(frozen=True, slots=True)
class LifePart:
    """What a part's data sheet or marking says about its life; NaN where it does not say.

    endurance_h [h] at rated_temperature_c [degC]; rated_ripple_current_a [A] and rated_voltage_v [V];
    family wet, polymer, hybrid or manganese-dioxide; style radial, axial, smd, snap-in or screw (with any
    other text no line that is bound to a style applies); endurance_basis endurance, useful-life or dc-only.
    """

    endurance_h: Values
    rated_temperature_c: Values
    rated_ripple_current_a: Values = UNKNOWN
    rated_voltage_v: Values = UNKNOWN
    family: Texts = "wet"
    style: Texts = "radial"
    endurance_basis: Texts = "endurance"


@dataclass(frozen=True, slots=True)
class LifeConditions:
    """How a part is used; NaN where it is not known.

    ambient_temperature_c [degC] of the air near the part; ripple_current_a [A] rms, converted to the
    frequency of the part's rating; voltage_v [V] applied.
    """

    ambient_temperature_c: Values
    ripple_current_a: Values = UNKNOWN
    voltage_v: Values = UNKNOWN


@dataclass(frozen=True, slots=True)
class ModelLife:
    """One line's own figure [h], NaN where it does not apply."""

    line: Line
    life_h: Floats


@dataclass(frozen=True, slots=True)
class LifeRange:
    """Hours by the least hopeful line, the nominal line and the most hopeful line."""

    low: Floats
    nominal: Floats
    high: Floats

    def capped(self, ceiling_h: float) -> LifeRange:
        """Return the range with nothing above the ceiling."""
        return LifeRange(*(np.minimum(each, ceiling_h) for each in (self.low, self.nominal, self.high)))


@dataclass(frozen=True, slots=True)
class LifeEstimate:
    """Hours of use until the end of life, after and before the ceiling, and what limited them.

    `clamps` says where each acted: floor-ambient (life is at least this), ceiling, voltage-floor, divisor-hold.
    `outside` says where a formula was asked beyond its range: above-rated-temperature, above-rated-ripple,
    above-rated-voltage. core_temperature_c is NaN where the ripple is not known.
    """

    estimated_life_h: LifeRange
    uncapped_h: LifeRange
    ceiling_h: float
    core_temperature_c: Floats
    models: tuple[ModelLife, ...]
    clamps: dict[str, Mask]
    outside: dict[str, Mask]


def estimate_life(
    part: LifePart, conditions: LifeConditions, models: LifeModels, *, keep_models: bool = True
) -> LifeEstimate:
    """Estimate the life of parts under conditions, each a value or an array.

    The nominal line is the ten-degree rule (ten times per 20 K for polymer) with ripple where that is known.
    Low and high are the least and the greatest of all lines for the part's family, style, class and endurance
    basis. A ripple that is not known is taken as rated by the cautious lines, as none by the hopeful ones.

    Source: data/tables/life_models.csv and life_limits.csv, each row its own.
    Parameters:
        part, conditions: see there.
        models: from `life_lines.life_models`.
        keep_models: hold each line's own figures, which costs an array for each.
    Raises: ValueError for a family without a nominal line.
    Range: see `outside` and `clamps` of the result.

    >>> from recap.formulas.life_lines import life_models
    >>> from recap.ruledata import table
    >>> models = life_models(table("life_models"), table("life_limits"))
    >>> found = estimate_life(LifePart(2000.0, 105.0), LifeConditions(65.0), models).estimated_life_h
    >>> [round(float(hours)) for hours in (found.low, found.nominal, found.high)]
    [22062, 32000, 64000]
    """
    case = _Case.of(part, conditions, models)
    lowest: Values = np.inf
    highest: Values = -np.inf
    nominal: Values = UNKNOWN
    used = []
    kept = []
    for line in models.lines:
        applies = _applies(line, part)
        if applies is False or not np.any(applies):
            continue
        used.append(line)
        hours = _line_life(line, case, models)
        lowest = np.minimum(lowest, _where(applies, hours, np.inf))
        highest = np.maximum(highest, _where(applies, hours, -np.inf))
        if line.nominal:
            nominal = _where(applies, hours, nominal)
        if keep_models:
            kept.append(ModelLife(line, np.asarray(_where(applies, hours, UNKNOWN))))
    if np.isneginf(highest).any() or np.isnan(nominal).all():
        raise ValueError(f"no life model for family {part.family} with basis {part.endurance_basis}")
    return _capped((lowest, nominal, highest), case, models, used, tuple(kept))


@dataclass(frozen=True, slots=True)
class _Case:
    """The inputs in the shape the formulas want."""

    endurance_h: Values
    rated_c: Values
    ambient_c: Values  # held at the floor
    true_ambient_c: Values
    ripple_ratio: Values
    voltage_ratio: Values
    reference_square: Values  # of the ripple ratio that the endurance was stated with
    square_else_reference: Values  # of the ripple ratio; where that is not known, the reference
    square_else_none: Values
    known_voltage_ratio: Values  # 1 where it is not known

    @classmethod
    def of(cls, part: LifePart, conditions: LifeConditions, models: LifeModels) -> _Case:
        ambient = conditions.ambient_temperature_c
        ripple_ratio = np.divide(conditions.ripple_current_a, part.rated_ripple_current_a)
        voltage_ratio = np.divide(conditions.voltage_v, part.rated_voltage_v)
        square = ripple_ratio * ripple_ratio
        reference = _where(_among(part.endurance_basis, frozenset((DC_ONLY,))), 0.0, 1.0)
        return cls(
            endurance_h=part.endurance_h,
            rated_c=part.rated_temperature_c,
            ambient_c=np.maximum(ambient, models.floor_ambient_c),
            true_ambient_c=ambient,
            ripple_ratio=ripple_ratio,
            voltage_ratio=voltage_ratio,
            reference_square=reference,
            square_else_reference=np.where(np.isnan(square), reference, square),
            square_else_none=np.where(np.isnan(square), 0.0, square),
            known_voltage_ratio=np.where(np.isnan(voltage_ratio), 1.0, voltage_ratio),
        )


def _applies(line: Line, part: LifePart) -> bool | Mask:
    applies = _among(part.family, line.families) & _among(part.style, line.styles)
    applies = applies & _among(part.endurance_basis, line.bases)
    if line.rated_from_c is not None:
        applies = applies & (part.rated_temperature_c >= line.rated_from_c)
    if line.rated_to_c is not None:
        applies = applies & (part.rated_temperature_c <= line.rated_to_c)
    return applies


def _among(texts: Texts, allowed: frozenset[str]) -> bool | Mask:
    if not allowed:
        return True
    return texts in allowed if isinstance(texts, str) else np.isin(texts, list(allowed))


def _where(chosen: bool | Mask, values: Values, otherwise: Values) -> Values:
    """Choose as numpy does, without its cost for a single case."""
    if isinstance(chosen, bool):
        return values if chosen else otherwise
    return np.where(chosen, values, otherwise)


def _line_life(line: Line, case: _Case, models: LifeModels) -> Values:
    rise, reference = _rises(line, case)
    if line.form == "hot-spot":
        rated_hot_spot_c, hot_spot_c = case.rated_c + reference, case.ambient_c + rise
        hours = life.arrhenius(case.endurance_h, rated_hot_spot_c, hot_spot_c, line.energy_ev)
    elif line.form == "kneed":
        hours = life.kneed_rule(
            case.endurance_h,
            case.rated_c,
            case.ambient_c,
            line.factor,
            line.degrees,
            line.knee_c,
            line.degrees_below_knee,
        )
    else:
        hours = life.factor_rule(case.endurance_h, case.rated_c, case.ambient_c, line.factor, line.degrees)
    if line.ripple_form == "base":
        hours = hours * life_ripple.ripple_factor(
            rise, line.rated_rise_k, line.ripple_base, line.ripple_base_over, line.ripple_divisor, reference
        )
    elif line.ripple_form == "rise":
        hours = hours * life_ripple.ripple_factor_by_rise(rise, line.rated_rise_k, models.divisor_hold_k)
    if line.voltage_exponent is not None:
        ratio = case.known_voltage_ratio
        hours = hours * voltage_factor(ratio, line.voltage_exponent, models.voltage_ratio_floor)
    return hours


def _rises(line: Line, case: _Case) -> tuple[Values, Values]:
    """Return the core rise in use and the one that the endurance was stated with."""
    square = case.square_else_reference if line.assumes_rated_ripple else case.square_else_none
    if not line.credits_unused_ripple:
        square = np.maximum(square, case.reference_square)
    return line.rated_rise_k * square, line.rated_rise_k * case.reference_square


def _capped(
    lives: tuple[Values, Values, Values],
    case: _Case,
    models: LifeModels,
    used: Sequence[Line],
    kept: tuple[ModelLife, ...],
) -> LifeEstimate:
    ratio, floor = case.ripple_ratio, models.voltage_ratio_floor
    rise = life_ripple.core_rise(models.core_rise_rated_k, ratio)
    uses_voltage = any(line.voltage_exponent is not None for line in used)
    uses_hold = any(line.ripple_form == "rise" for line in used)
    uncapped = LifeRange(*(np.asarray(each, float) for each in lives))
    return LifeEstimate(
        estimated_life_h=uncapped.capped(models.ceiling_h),
        uncapped_h=uncapped,
        ceiling_h=models.ceiling_h,
        core_temperature_c=np.asarray(case.true_ambient_c + rise),
        models=kept,
        clamps={
            "floor-ambient": np.asarray(case.true_ambient_c < models.floor_ambient_c),
            "ceiling": uncapped.high > models.ceiling_h,
            "voltage-floor": np.asarray((case.voltage_ratio < floor) & uses_voltage),
            "divisor-hold": np.asarray((rise > models.divisor_hold_k) & uses_hold),
        },
        outside={
            "above-rated-temperature": np.asarray(case.true_ambient_c > case.rated_c),
            "above-rated-ripple": np.asarray(ratio > 1.0),
            "above-rated-voltage": np.asarray(case.voltage_ratio > 1.0),
        },
    )
