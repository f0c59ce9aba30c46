"""The life models of the rule data, as lines that one function can evaluate.

A line is one row of data/tables/life_models.csv: a temperature form with its ripple and voltage factors, the
parts it applies to, and where each comes from. `life_estimate` takes the lowest and the highest of those that
apply.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Line:
    """One published way to estimate life."""

    id: str  # of the temperature form
    ripple_id: str
    voltage_id: str
    title: str
    families: frozenset[str]
    styles: frozenset[str]  # empty: every style
    bases: frozenset[str]  # empty: every endurance basis
    rated_from_c: float | None
    rated_to_c: float | None
    nominal: bool
    form: str  # rule, kneed or hot-spot
    factor: float
    degrees: float
    knee_c: float
    degrees_below_knee: float
    energy_ev: float
    rated_rise_k: float
    ripple_form: str  # base, rise or none; a hot-spot line carries ripple in its temperature
    ripple_base: float
    ripple_base_over: float
    ripple_divisor: float
    credits_unused_ripple: bool
    assumes_rated_ripple: bool  # where the ripple is not known: rated ripple, else none
    voltage_exponent: float | None
    sources: tuple[str, ...]  # of the temperature form, then of ripple and voltage


@dataclass(frozen=True, slots=True)
class LifeModels:
    """Every line, and the limits put on all of them."""

    lines: tuple[Line, ...]
    ceiling_h: float
    floor_ambient_c: float
    voltage_ratio_floor: float
    divisor_hold_k: float
    core_rise_rated_k: float
    calendar_limit_years: float


def life_models(lines: Iterable[Mapping[str, str]], limits: Iterable[Mapping[str, str]]) -> LifeModels:
    """Build the models from the rows of the tables life_models and life_limits."""
    values = {row["name"]: float(row["value"]) for row in limits}
    return LifeModels(lines=tuple(_line(row) for row in lines), **values)


def _line(row: Mapping[str, str]) -> Line:
    def number(column: str) -> float:
        return float(row[column]) if row[column] else 0.0

    def limit(column: str) -> float | None:
        return float(row[column]) if row[column] else None

    if row["form"] not in ("rule", "kneed", "hot-spot") or row["ripple_form"] not in ("base", "rise", ""):
        raise ValueError(f"life model {row['id']}: unknown form {row['form']} or {row['ripple_form']}")
    return Line(
        id=row["id"],
        ripple_id=row["ripple_id"],
        voltage_id=row["voltage_id"],
        title=row["title"],
        families=frozenset(row["families"].split()),
        styles=frozenset(row["styles"].split()),
        bases=frozenset(row["bases"].split()),
        rated_from_c=limit("rated_from_c"),
        rated_to_c=limit("rated_to_c"),
        nominal=row["nominal"] == "yes",
        form=row["form"],
        factor=number("factor"),
        degrees=number("degrees"),
        knee_c=number("knee_c"),
        degrees_below_knee=number("degrees_below_knee"),
        energy_ev=number("energy_ev"),
        rated_rise_k=number("rated_rise_k"),
        ripple_form=row["ripple_form"] or "none",
        ripple_base=number("ripple_base"),
        ripple_base_over=number("ripple_base_over"),
        ripple_divisor=number("ripple_divisor"),
        credits_unused_ripple=row["unused_ripple"] == "credited",
        assumes_rated_ripple=row["ripple_if_unknown"] == "rated",
        voltage_exponent=limit("voltage_exponent"),
        sources=tuple(dict.fromkeys(row[c] for c in ("source", "ripple_source", "voltage_source") if row[c])),
    )
