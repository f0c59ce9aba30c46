"""The life of one part at one place, with every model's own figure, what it rests on and what limited it."""

from __future__ import annotations

import math

import numpy as np

from recap.formulas.life_estimate import estimate_life
from recap.model import Basis, Input, LifeEstimate, Part
from recap.parts import reference
from recap.parts.catalogue import Columns
from recap.parts.place import Place
from recap.parts.points import estimated_life, life_conditions, life_parts
from recap.units import plain, si

NO_WEAR = "no wear that these models describe"


def life_in_place(part: Part, columns: Columns, place: Place) -> LifeEstimate | None:
    """Return the estimated life of a part, given also as columns of one row; None where its data do not tell."""
    found = estimated_life(columns, place.conditions, place.arrangement)
    low, nominal, high = (float(each[0]) for each in (found.low, found.nominal, found.high))
    if math.isnan(nominal):
        return None
    for _, asked in life_parts(columns, place.conditions):
        full = estimate_life(asked, life_conditions(place.conditions, place.arrangement), reference.models_of_life())
        figures = [(each.line, float(each.life_h[0])) for each in full.models if not np.isnan(each.life_h).any()]
        comparable = not np.isnan(asked.rated_ripple_current_a).any() and place.conditions.ripple_current_a is not None
        return LifeEstimate(
            low, nominal, high,
            model=next(line.id for line, _ in figures if line.nominal),
            basis=Basis.DOCUMENTED,
            models=tuple(dict.fromkeys((line.id, hours, line.sources[0]) for line, hours in figures)),
            inputs=(_endurance(part), *_met(place, comparable)),
            clamps=tuple(name for name, acted in full.clamps.items() if np.any(acted)),
            narrower=() if comparable else ("ripple current and the part's ripple rating at one frequency",),
        )  # fmt: skip
    return LifeEstimate(low, nominal, high, NO_WEAR, Basis.DOCUMENTED)


def _endurance(part: Part) -> Input:
    rated_c = part.endurance_temperature_c
    rated_c = part.upper_category_temperature_c if rated_c is None else rated_c
    return Input(
        "endurance of the part", f"{plain(part.endurance_h or 0, 4)} h at {plain(rated_c or 0)} °C", Basis.DOCUMENTED
    )


def _met(place: Place, comparable: bool) -> tuple[Input, ...]:
    met = place.conditions
    inputs = [Input("air near the part", f"{plain(met.ambient_temperature_c)} °C", met.ambient_basis)]
    if comparable and met.ripple_current_a is not None and met.ripple_frequency_hz is not None:
        text = f"{si(met.ripple_current_a, 'A')} at {si(met.ripple_frequency_hz, 'Hz')}"
        inputs.append(Input("ripple", text, Basis.CALCULATED))
    return tuple(inputs)
