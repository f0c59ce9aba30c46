"""Life estimates in words: hours, years of this unit's use, what they rest on and what would narrow them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from recap.formulas.life import years_in_use
from recap.model import LifeEstimate
from recap.ruledata import table
from recap.sources import cite
from recap.units import plain

NOT_ESTIMATED = "not estimated"

_CLAMPS = {
    "floor-ambient": "cooler air counts as {floor_ambient_c} °C: no formula is extrapolated, life is at least this",
    "ceiling": "held at {ceiling_h} h: no capacitor maker vouches for more, and rubber seals age",
    "voltage-floor": "voltage below {voltage_ratio_floor} of the rating brings no further gain",
    "divisor-hold": "the divisor that follows the core's rise is held at {divisor_hold_k} K, short of where it ends",
}


@dataclass(frozen=True, slots=True)
class Years:
    """Calendar years at the unit's hours of use; never more than the seal's age."""

    low: float
    nominal: float
    high: float
    use_h_per_year: float
    limit: float

    @property
    def limited(self) -> bool:
        """Whether the age of the seal, not wear, ends some of them."""
        return self.high >= self.limit


@cache
def _limits() -> dict[str, float]:
    return {row["name"]: float(row["value"]) for row in table("life_limits")}


def seal_years() -> float:
    """Return the age that a seal is trusted for."""
    return _limits()["calendar_limit_years"]


def years(estimate: LifeEstimate, use_h_per_year: float) -> Years:
    """Return an estimate in calendar years."""
    limit = seal_years()
    ends = (estimate.low_h, estimate.nominal_h, estimate.high_h)
    low, nominal, high = (float(years_in_use(end, use_h_per_year, limit)) for end in ends)
    return Years(low, nominal, high, use_h_per_year, limit)


def hours_text(estimate: LifeEstimate) -> str:
    """Return low, nominal and high in hours."""
    return f"{_h(estimate.nominal_h)} h, between {_h(estimate.low_h)} and {_h(estimate.high_h)} h"


def years_text(estimate: LifeEstimate, use_h_per_year: float) -> str:
    """Return the same in years at the hours of use, and whether the seal is what ends them.

    >>> from recap.model import Basis
    >>> years_text(LifeEstimate(2000.0, 4000.0, 8000.0, "T1", Basis.ASSUMED), 400.0)
    '10 years at 400 h a year, between 5 and 15; the most is limited by the age of the seal'
    """
    found = years(estimate, use_h_per_year)
    use = f"at {plain(use_h_per_year)} h a year"
    if found.low >= found.limit:
        return f"{_y(found.limit)} {use}, limited by the age of the seal rather than by wear"
    text = f"{_y(found.nominal)} {use}, between {plain(found.low, 2)} and {plain(found.high, 2)}"
    if found.nominal >= found.limit:
        return f"{text}; limited by the age of the seal, but for the least"
    return f"{text}; the most is limited by the age of the seal" if found.limited else text


def brief(estimate: LifeEstimate, use_h_per_year: float) -> str:
    """Return range, nominal figure, model, basis and years in one line.

    >>> from recap.model import Basis
    >>> brief(LifeEstimate(2000.0, 4000.0, 8000.0, "T1", Basis.ASSUMED), 400.0)
    '2,000 to 8,000 h, nominal 4,000 (T1, assumed); 5 to 15 years, seal'
    """
    ends = f"{_h(estimate.low_h)} to {_h(estimate.high_h)} h, nominal {_h(estimate.nominal_h)}"
    return f"{ends} ({estimate.model}, {estimate.basis}); {years_brief(estimate, use_h_per_year)}"


def years_brief(estimate: LifeEstimate, use_h_per_year: float) -> str:
    """Return the years in few words; "seal" where its age and not wear ends them."""
    found = years(estimate, use_h_per_year)
    ends = f"{plain(found.low, 2)} to " if found.low < found.high else ""
    return f"{ends}{_y(found.high)}{', seal' if found.limited else ''}"


def model_text(model: str) -> str:
    """Return a model's id with its name, as far as it is one of the table's.

    >>> model_text("T1+R4"), model_text("T4 12 K"), model_text("a hunch")
    ('ten-degree rule, T1+R4', '12 K per doubling below 85 °C, T4 12 K', 'a hunch')
    """
    name = model_name(model)
    return f"{name}, {model}" if name else model


def model_name(model: str) -> str:
    """Return what kind of formula a model is; nothing for one that the table does not know."""
    form = model.split("+")[0]
    return next((row["title"].split(", ")[0] for row in table("life_models") if row["id"] == form), "")


def inputs_text(estimate: LifeEstimate) -> str:
    """Return what the estimate starts from, each with its basis."""
    return ", ".join(str(item) for item in estimate.inputs) or f"inputs not kept ({estimate.basis})"


def clamp_texts(estimate: LifeEstimate) -> list[str]:
    """Return what limited the figures."""
    numbers = {name: plain(value) for name, value in _limits().items()}
    return [_CLAMPS[clamp].format(**numbers) if clamp in _CLAMPS else clamp for clamp in estimate.clamps]


def model_lines(estimate: LifeEstimate) -> list[str]:
    """Return each model's own figure with its source, the shortest life first, as rows that line up."""
    rows = [(_h(life_h), model, model_name(model), source) for model, life_h, source in by_life(estimate)]
    wide, long = (max((len(row[column]) for row in rows), default=0) for column in (0, 1))
    return [f"{figure:>{wide}} h  {model:<{long}}  {name}; {cite(source)}" for figure, model, name, source in rows]


def by_life(estimate: LifeEstimate) -> Iterable[tuple[str, float, str]]:
    """Return the models' figures, the least hopeful first."""
    return sorted(estimate.models, key=lambda model: model[1])


def _h(value: float) -> str:
    return plain(value)


def _y(value: float) -> str:
    text = plain(value, 2)
    return f"{text} year" if text == "1" else f"{text} years"
