"""The sentences of `recap calc life`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from recap.formulas.life_estimate import LifePart
from recap.formulas.life_lines import LifeModels
from recap.problem_codes import report
from recap.problems import Problem
from recap.units import hours, plain, si

CAUTIONS = (
    "This is wear in use of a sound part. It says nothing for a part that bulges, leaks or misses its readings, "
    "and nothing of ageing on the shelf: no published formula covers that.",
    "Makers' hours end at different criteria. Compare lives only on the same endurance basis; one part's "
    "endurance and useful life differ by 1.5 to 2.5 times.",
)

BASIS = {
    "endurance": "endurance, taken as stated with rated ripple; where the maker tests with direct voltage only, "
    "say dc-only",
    "useful-life": "the maker's useful life with rated ripple, whose limits of change are wider than those of "
    "an endurance test",
    "dc-only": "endurance with direct voltage and no ripple",
}

_NARROW = "--rated-ripple and --ripple narrow the range."
RIPPLE_UNKNOWN = {
    "wet": f"Ripple is not given: cautious models take it as rated, hopeful ones as none. {_NARROW}",
    "hybrid": f"Ripple is not given: cautious models take it as rated, hopeful ones as none. {_NARROW}",
    "polymer": "Ripple is not given and taken as within the rating.",
}

_OUTSIDE = {
    "above-rated-temperature": (
        "the ambient is above the rated temperature: no life formula holds there",
        "cool the place or take a higher temperature class",
    ),
    "above-rated-ripple": (
        "the ripple is above the rating: most makers do not allow it, and models differ widely there",
        "take a part with a higher ripple rating",
    ),
    "above-rated-voltage": (
        "the voltage is above the rating: no life formula holds there and the part may vent",
        "take a higher rated voltage",
    ),
}


def clamp_text(name: str, models: LifeModels) -> str:
    """Return what a clamp did."""
    return {
        "floor-ambient": f"cooler air counted as {plain(models.floor_ambient_c)} °C: the formulas are not "
        "extrapolated, so life is at least this",
        "ceiling": f"held at {hours(models.ceiling_h)}: no capacitor maker vouches for more, and rubber seals age",
        "voltage-floor": f"voltage below {plain(models.voltage_ratio_floor)} of the rating brings no further gain",
        "divisor-hold": "the model whose divisor depends on the core's rise keeps the divisor of "
        f"{plain(models.divisor_hold_k)} K: short of where it has no value",
    }[name]


def outside_problem(name: str) -> Problem:
    """Return the warning for a formula asked beyond its range."""
    message, hint = _OUTSIDE[name]
    return report(name, message, hint=hint)


def life_lines(result: dict[str, Any], part: LifePart, ripple_note: str) -> Iterator[str]:
    """Yield the answer for people."""
    life, uncapped = result["estimated_life_h"], result["uncapped_h"]
    at_least = "at least " if any(clamp["id"] == "floor-ambient" for clamp in result["clamps"]) else ""
    yield f"Estimated life in use: {at_least}{hours(life['nominal'])} nominal,"
    yield f"  {hours(life['low'])} by the most cautious model, {hours(life['high'])} by the most hopeful."
    if uncapped["high"] > result["ceiling_h"]:
        figures = ", ".join(plain(uncapped[end]) for end in ("low", "nominal", "high"))
        yield f"  Without the ceiling the models say {figures} h."
    if "years" in result:
        years = result["years"]
        yield (
            f"Calendar years at those hours of use: {plain(years['nominal'], 2)} nominal, {plain(years['low'], 2)} "
            f"to {plain(years['high'], 2)}; never more than the {plain(result['calendar_limit_years'])} of a seal."
        )
    yield f"From {plain(float(part.endurance_h))} h at {plain(float(part.rated_temperature_c))} °C:"
    yield f"  {BASIS[result['endurance_basis']]}."
    yield from _conditions(result, ripple_note)
    yield f"Models for {part.family}, {part.style}:"
    for model in result["models"]:
        yield f"  {model['id']:<12} {plain(model['life_h']):>11} h  {model['title']} ({model['source']})"
    for clamp in result["clamps"]:
        yield f"Limit: {clamp['text']}."
    if result["ripple_at_rating_a"] is None and part.family in RIPPLE_UNKNOWN:
        yield RIPPLE_UNKNOWN[str(part.family)]


def _conditions(result: dict[str, Any], ripple_note: str) -> Iterator[str]:
    if "ambient_temperature_c" in result:
        yield f"Ambient by the case: {plain(result['ambient_temperature_c'])} °C."
    if "equivalent_ambient_c" in result:
        yield f"The duty ages the part like a constant {plain(result['equivalent_ambient_c'])} °C."
    if result["ripple_at_rating_a"] is not None:
        yield (
            f"Ripple {si(result['ripple_at_rating_a'], 'A')}, {ripple_note}; "
            f"core about {plain(result['core_temperature_c'])} °C."
        )
