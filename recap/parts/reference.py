"""What checks of parts look up: rows of data/tables turned into figures."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np

from recap.formulas.life_lines import LifeModels, Line, life_models
from recap.formulas.ripple_frequency import MultiplierSet, class_sets, multiplier_sets
from recap.model import Kind, Mounting
from recap.parts.catalogue import Floats
from recap.ruledata import number, table

FAMILIES = {
    "": "wet",  # the least hopeful of the families that dry out
    Kind.WET_ALUMINIUM.value: "wet",
    Kind.NON_POLAR_ALUMINIUM.value: "wet",
    Kind.HYBRID.value: "hybrid",
    Kind.SOLID_POLYMER.value: "polymer",
    Kind.SOLID_TANTALUM.value: "manganese-dioxide",
}
"""The family of life models by kind; kinds that are not here do not dry out."""
STYLES = {
    Mounting.AXIAL.value: "axial",
    Mounting.SMD_CAN.value: "smd",
    Mounting.SNAP_IN.value: "snap-in",
    Mounting.TWIST_LOCK.value: "snap-in",
    Mounting.SCREW.value: "screw",
}


@cache
def constant(name: str) -> float:
    """Return a row of part_constants.csv."""
    return next(float(row["value"]) for row in table("part_constants") if row["name"] == name)


@cache
def models_of_life() -> LifeModels:
    """Return the life models with their limits."""
    return life_models(table("life_models"), table("life_limits"))


@cache
def nominal_line(family: str) -> Line:
    """Return the line that converts endurance between temperatures in a family."""
    return next(line for line in models_of_life().lines if line.nominal and family in line.families)


@dataclass(frozen=True, slots=True)
class Band:
    """A range of frequencies within which a loss or impedance counts as stated at the same frequency."""

    from_hz: float
    up_to_hz: float


@cache
def bands() -> tuple[Band, ...]:
    """Return the low band around 100 and 120 Hz and the high one where switching parts are stated."""
    return tuple(
        Band(float(row["from_hz"]), number(row, "up_to_hz") or math.inf) for row in table("measuring_frequencies")
    )


def low_frequency(frequency_hz: float) -> bool:
    """Return whether a frequency is the low one, where dissipation factors are stated."""
    return bands()[0].from_hz <= frequency_hz <= bands()[0].up_to_hz


def same_frequency(stated_hz: Floats, frequency_hz: float) -> np.ndarray:
    """Return where a figure is stated at a frequency; 100 and 120 Hz count as one."""
    close = np.abs(stated_hz / frequency_hz - 1) <= constant("same_frequency")
    low = bands()[0]
    if low_frequency(frequency_hz):
        close = close | ((stated_hz >= low.from_hz) & (stated_hz <= low.up_to_hz))
    return close


def same_band(stated_hz: Floats, frequency_hz: float) -> np.ndarray:
    """Return where an ESR is stated in the band of a frequency, within which it hardly moves."""
    close = same_frequency(stated_hz, frequency_hz)
    for band in bands():
        if band.from_hz <= frequency_hz <= band.up_to_hz:
            close = close | ((stated_hz >= band.from_hz) & (stated_hz <= band.up_to_hz))
    return close


@cache
def _multiplier_sets() -> tuple[MultiplierSet, ...]:
    return multiplier_sets(table("ripple_multipliers"))


@lru_cache(maxsize=16384)
def ripple_multiplier(
    kind: str, mounting: str, rated_voltage_v: float | None, rating_hz: float, frequency_hz: float
) -> float:
    """Return what a ripple rating multiplies by at another frequency, by the class of the part; NaN without one.

    Of several sets that may stand for the class the smallest counts.
    """
    family = FAMILIES.get(kind)
    if family == "polymer":
        style = "polymer"
    elif family == "wet" and kind:
        style = STYLES.get(mounting, "radial")
    else:
        return math.nan
    sets = class_sets(_multiplier_sets(), style, rated_voltage_v, rating_hz)
    return min(each.at(frequency_hz, rating_hz) for each in sets)


def multiplier_series(kind: str, mounting: str, rated_voltage_v: float | None, rating_hz: float) -> tuple[str, ...]:
    """Return the series whose published multipliers stand for the class of a part."""
    style = "polymer" if FAMILIES.get(kind) == "polymer" else STYLES.get(mounting, "radial")
    sets = class_sets(_multiplier_sets(), style, rated_voltage_v, rating_hz)
    return tuple(dict.fromkeys(each.series for each in sets))


@cache
def _vent_clearance() -> tuple[Floats, Floats]:
    rows = table("vent_clearance")
    limits = np.array([number(row, "up_to_diameter_mm") or math.inf for row in rows])
    return limits, np.array([float(row["clearance_mm"]) for row in rows])


def vent_clearance_mm(diameter_mm: Floats) -> Floats:
    """Return the free height that cans need above their vents; NaN for an unknown diameter."""
    limits, clearances = _vent_clearance()
    found: Floats = clearances[np.minimum(np.searchsorted(limits, diameter_mm), len(limits) - 1)]
    return np.where(np.isnan(diameter_mm), np.nan, found)


def usual_lead_diameter_mm(diameter_mm: Floats) -> Floats:
    """Return the usual lead diameter of radial cans, of the next larger can of the table; NaN beyond it."""
    rows = table("lead_wires")
    limits = np.array([float(row["diameter_mm"]) for row in rows])
    leads = np.array([*(float(row["lead_diameter_mm"]) for row in rows), math.nan])
    found: Floats = leads[np.searchsorted(limits, diameter_mm)]
    return found


@cache
def conditional_kinds(original: str, role: str) -> tuple[frozenset[str], frozenset[str], str]:
    """Return the kinds that may stand in on a condition, those that need other figures, and the condition."""
    for row in table("kind_exchange"):
        if row["original"] == original and (row["roles"] == "*" or role in row["roles"].split(";")):
            others = frozenset(filter(None, row["other_figures"].split(";")))
            allowed = frozenset(row["allowed"].split(";")) - {original}
            # A condition speaks of the kinds that need other figures; where none does, of all that stand in.
            return (others or allowed if row["condition"] else frozenset()), others, row["condition"]
    return frozenset(), frozenset(), ""


@cache
def common_ratings() -> tuple[float, ...]:
    """Return the rated voltages that are commonly sold, rising, in V."""
    return tuple(float(row["rated_voltage_v"]) for row in table("rated_voltages") if row["common"] == "yes")


@cache
def cv_density(name: str) -> float:
    """Return a row of cv_density.csv."""
    return next(float(row["value"]) for row in table("cv_density") if row["quantity"] == name)


@cache
def can_heat(name: str) -> float:
    """Return a row of can_heat.csv."""
    return next(float(row["value"]) for row in table("can_heat") if row["name"] == name)
