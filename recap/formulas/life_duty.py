"""Estimated life under a repeated mix of conditions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from recap.formulas.life import mixed_duty_life
from recap.formulas.life_estimate import (
    Floats,
    LifeConditions,
    LifeEstimate,
    LifePart,
    LifeRange,
    ModelLife,
    estimate_life,
)
from recap.formulas.life_lines import LifeModels


def estimate_life_on_duty(
    part: LifePart, duty: Sequence[tuple[float, LifeConditions]], models: LifeModels
) -> LifeEstimate:
    """Estimate the life under a repeated mix of conditions, line by line, by the sum of life fractions.

    Source: cosel-a0057 for the sum.
    Parameters:
        part: as `estimate_life`.
        duty: hours [h] and conditions of each stage of a cycle.
        models: from `life_lines.life_models`.
    Raises: ValueError as `estimate_life`, and when an hour is not positive.
    Range: stages long enough for the part to reach its temperature.
    """
    hours = [stage_hours for stage_hours, _ in duty]
    stages = [estimate_life(part, conditions, models) for _, conditions in duty]

    def mixed(lives: Sequence[Floats]) -> Floats:
        return np.asarray(mixed_duty_life(hours, lives))

    ranges = [stage.uncapped_h for stage in stages]
    uncapped = LifeRange(
        low=mixed([each.low for each in ranges]),
        nominal=mixed([each.nominal for each in ranges]),
        high=mixed([each.high for each in ranges]),
    )
    by_line = zip(*(stage.models for stage in stages), strict=True)
    clamps = {name: np.any([stage.clamps[name] for stage in stages], axis=0) for name in stages[0].clamps}
    outside = {name: np.any([stage.outside[name] for stage in stages], axis=0) for name in stages[0].outside}
    return LifeEstimate(
        estimated_life_h=uncapped.capped(models.ceiling_h),
        uncapped_h=uncapped,
        ceiling_h=models.ceiling_h,
        core_temperature_c=np.average([stage.core_temperature_c for stage in stages], axis=0, weights=hours),
        models=tuple(ModelLife(same[0].line, mixed([each.life_h for each in same])) for same in by_line),
        clamps=clamps | {"ceiling": uncapped.high > models.ceiling_h},
        outside=outside,
    )
