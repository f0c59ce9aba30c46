"""What makes a part doubtful: claims beyond its technology, readings against its marking, long storage."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from recap.formulas.can import can_surface_cm2, ripple_for_rise_a
from recap.intake.notation import read_marking
from recap.model import Kind, Part
from recap.parts import reference
from recap.parts.catalogue import Catalogue, Columns, Floats
from recap.parts.points import Mask, endurance_h
from recap.ruledata import number, table
from recap.units import farads, plain, si

_FOIL = frozenset({k.value for k in (Kind.WET_ALUMINIUM, Kind.NON_POLAR_ALUMINIUM, Kind.HYBRID, Kind.SOLID_POLYMER)})
_WET = frozenset({Kind.WET_ALUMINIUM.value, Kind.NON_POLAR_ALUMINIUM.value})
USUAL_TOLERANCE = 0.2  # of electrolytics where a part states none: era_tolerance.csv, today's row


@dataclass(frozen=True, slots=True)
class Doubt:
    """One way in which parts may be doubtful: where it holds, and the sentence about one of them."""

    id: str
    title: str
    holds: Callable[[Columns], Mask]
    says: Callable[[Part], str]


def volume_cm3(parts: Columns) -> Floats:
    """Return the volume of the can."""
    return math.pi / 4 * parts.number("diameter_mm") ** 2 * parts.number("length_mm") / 1000


def charge_density(parts: Columns) -> Floats:
    """Return the rated charge for each volume of can, in mC/cm³."""
    with np.errstate(divide="ignore"):
        return parts.number("capacitance_f") * parts.number("rated_voltage_v") * 1000 / volume_cm3(parts)


def _too_dense(parts: Columns) -> Mask:
    return parts.word("kind").among(_FOIL) & (charge_density(parts) > reference.cv_density("most_charge_per_volume"))


def ripple_limit_a(parts: Columns, end: str) -> Floats:
    """Return what the can's surface and the ESR stated beside the rating carry at the class's rated rise, in A."""
    hot = parts.number("upper_category_temperature_c") >= reference.can_heat("hot_class_from")
    rise = np.where(hot, reference.can_heat("rise_105"), reference.can_heat("rise_85"))
    surface = can_surface_cm2(parts.number("diameter_mm"), parts.number("length_mm"))
    resistance = parts.number(f"esr_{end}_ohm")
    if end == "low":
        loss = parts.number("dissipation_factor") / (2 * math.pi * 120 * parts.number("capacitance_f"))
        resistance = np.where(np.isnan(resistance), loss, resistance)
    heat = reference.can_heat("coefficient"), reference.can_heat("exponent")
    return ripple_for_rise_a(resistance, surface, rise, *heat)


def _too_much_ripple(parts: Columns) -> Mask:
    most = reference.constant("ripple_over_surface")
    low, high = (parts.number(f"ripple_{end}_a") > most * ripple_limit_a(parts, end) for end in ("low", "high"))
    return np.asarray(low | high)


def longest_h(diameter_mm: Floats) -> Floats:
    """Return the longest endurance that usual families claim in a diameter."""
    rows = table("endurance_by_size")
    limits = np.array([number(row, "up_to_diameter_mm") or math.inf for row in rows])
    hours = np.array([float(row["longest_h"]) for row in rows])
    return np.where(
        np.isnan(diameter_mm), np.nan, hours[np.minimum(np.searchsorted(limits, diameter_mm), len(rows) - 1)]
    )


def _too_long(parts: Columns) -> Mask:
    at = float(table("endurance_by_size")[0]["temperature_c"])
    most = reference.constant("endurance_over_family") * longest_h(parts.number("diameter_mm"))
    return parts.word("kind").among(_WET) & (endurance_h(parts, at) > most)


def _density(parts: Columns) -> Floats:
    return parts.number("weight_g") / volume_cm3(parts)


def _too_light(parts: Columns) -> Mask:
    return parts.word("kind").among(_FOIL) & (_density(parts) < reference.constant("least_density"))


def _off_marking(parts: Columns) -> Mask:
    ratio = parts.number("measured_capacitance_f") / parts.number("capacitance_f") - 1
    low = np.nan_to_num(parts.number("tolerance_low"), nan=-USUAL_TOLERANCE)
    high = np.nan_to_num(parts.number("tolerance_high"), nan=USUAL_TOLERANCE)
    return (ratio < low - 1e-9) | (ratio > high + 1e-9)


def made_in(date_code: str) -> int | None:
    """Return the year of a date code, None where it tells none."""
    best = read_marking(date_code, "date").best if date_code else None
    return int(best.date[:4]) if best is not None and best.date else None


def _stored_too_long(parts: Columns) -> Mask:
    newest = date.today().year - _fresh_years()
    return parts.word("date_code").mapped(lambda code: (made_in(code) or 9999) < newest, False).astype(bool)


def _fresh_years() -> float:
    return next(float(row["stored_up_to_y"]) for row in table("reform_procedures") if row["history"] == "unused")


def _storage_advice(part: Part) -> str:
    made = made_in(part.date_code) or date.today().year
    stored = date.today().year - made
    rows = [row for row in table("reform_procedures") if row["history"] == "unused"]
    row = next(r for r in rows if number(r, "stored_up_to_y") is None or stored <= float(r["stored_up_to_y"]))
    steps = ", ".join(f"{float(fraction):.0%}" for fraction in row["voltage_fraction"].split())
    return (
        f"date code {part.date_code} reads as {made}: about {stored} years stored. Reform it before use (at {steps} "
        f"of its rating, {row['minutes']} min each) and measure it; a leak-prone series leaks unused as well"
    )


def _one(part: Part) -> Catalogue:
    return Catalogue.of([part])


def _dense_words(part: Part) -> str:
    found, most = float(charge_density(_one(part))[0]), reference.cv_density("most_charge_per_volume")
    return f"{plain(found)} mC in each cm³ of can, where {plain(most)} is beyond what is made: misread or fake"


def _ripple_words(part: Part) -> str:
    columns, most = _one(part), reference.constant("ripple_over_surface")
    for end in ("low", "high"):
        claimed, limit = getattr(part, f"ripple_{end}_a"), float(ripple_limit_a(columns, end)[0])
        if claimed is not None and claimed > most * limit:
            return (
                f"ripple {si(claimed, 'A')} is {plain(claimed / limit, 2)} times what this can's surface carries at "
                f"the stated loss ({si(limit, 'A')}): check its frequency and its maker"
            )
    return ""


def _endurance_words(part: Part) -> str:
    usual = float(longest_h(np.array([part.diameter_mm], float))[0])
    return (
        f"endurance {plain(part.endurance_h or 0)} h, where long-life families of this diameter claim {plain(usual)} h"
    )


def _light_words(part: Part) -> str:
    found = plain(float(_density(_one(part))[0]), 2)
    return (
        f"{plain(part.weight_g or 0)} g is {found} g/cm³ of can: a full one weighs more; a smaller one may sit inside"
    )


def _measured_words(part: Part) -> str:
    measured, marked = part.measured_capacitance_f or 0.0, part.capacitance_f or 1.0
    off = f"{measured / marked - 1:+.0%}".replace("-", "−")
    return f"measured {farads(measured)} against {farads(marked)} marked ({off}), outside its tolerance"


DOUBTS = (
    Doubt("charge-density", "more charge in the can than is made", _too_dense, _dense_words),
    Doubt("ripple-claim", "ripple beyond the can's surface", _too_much_ripple, _ripple_words),
    Doubt("endurance-claim", "endurance out of family", _too_long, _endurance_words),
    Doubt("weight", "too light for its size", _too_light, _light_words),
    Doubt("measured", "measured outside its tolerance", _off_marking, _measured_words),
    Doubt("storage", "stored for years", _stored_too_long, _storage_advice),
)


def suspicions(part: Part) -> tuple[str, ...]:
    """Return what makes one part doubtful, in sentences."""
    columns = _one(part)
    return tuple(doubt.says(part) for doubt in DOUBTS if bool(doubt.holds(columns)[0]))


def doubtful(parts: Columns) -> Iterator[tuple[Doubt, Mask]]:
    """Yield each kind of doubt with where it holds."""
    for doubt in DOUBTS:
        holds = doubt.holds(parts)
        if holds.any():
            yield doubt, holds
