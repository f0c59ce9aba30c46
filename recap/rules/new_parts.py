"""What new parts show, as data sheets and tables say: loss, leakage, heat, sizes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from recap.formulas import can, esr, leakage
from recap.model import Kind, Mounting
from recap.ruledata import Row, number, table
from recap.units import plain

_TAN_DELTA_SERIES = {
    Mounting.SNAP_IN: "panasonic-ts-ha",
    Mounting.SCREW: "panasonic-ts-ha",
    Mounting.TWIST_LOCK: "panasonic-ts-ha",
    Mounting.SMD_CAN: "smd-series-mf",
}


def esr_series(mounting: Mounting, kind: Kind) -> str:
    """Return the data sheet whose dissipation factors stand for a body: a general-purpose one of its form."""
    if kind is Kind.NON_POLAR_ALUMINIUM:
        return "teapo-sn"
    return _TAN_DELTA_SERIES.get(mounting, "panasonic-su")


@cache
def _tan_delta(series: str) -> tuple[tuple[float, ...], tuple[float, ...], float, float]:
    rows = [row for row in table("tan_delta") if row["series"] == series]
    added, above = number(rows[0], "added_per_1000uf"), number(rows[0], "above_uf")
    return (
        tuple(float(row["rated_voltage_v"]) for row in rows),
        tuple(float(row["tan_delta"]) for row in rows),
        added or 0.0,
        above or 0.0,
    )


def esr_ceiling(series: str, capacitance_f: float, rated_voltage_v: float, frequency_hz: float = 120.0) -> float:
    """Return the largest ESR of a new part in Ω, from the series' tan δ; ratings beyond its ends take the end's."""
    ratings, limits, added, above = _tan_delta(series)
    rating = min(max(rated_voltage_v, ratings[0]), ratings[-1])
    factor = esr.limit_at_rating(rating, ratings, limits)
    if added:
        factor = float(esr.with_large_value_term(factor, capacitance_f, added, above))
    return float(esr.esr_ohm(factor, capacitance_f, frequency_hz))


def vent_clearance_words() -> str:
    """Return the table of vent clearances in words."""
    rows = [(number(row, "up_to_diameter_mm"), plain(float(row["clearance_mm"]))) for row in table("vent_clearance")]
    named = [f"{clear} mm " + ("above" if limit is None else f"up to ⌀{plain(limit)}") for limit, clear in rows]
    return ", ".join(named)


@cache
def upper_categories_c() -> tuple[float, ...]:
    """Return the upper category temperatures that parts are sold with, rising, in °C."""
    return tuple(float(row["upper_category_temperature_c"]) for row in table("upper_categories"))


@cache
def widest_can_mm(mounting: Mounting) -> float:
    """Return the widest can of the size table in a mounting, 0 where the table has none."""
    widths = [float(row["diameter_mm"]) for row in table("can_sizes") if row["style"] == mounting]
    return max(widths, default=0.0)


@cache
def vent_clearance_mm(diameter_mm: float) -> float:
    """Return the free height that a can of this diameter needs above its vent."""
    for row in table("vent_clearance"):
        limit = number(row, "up_to_diameter_mm")
        if limit is None or diameter_mm <= limit:
            return float(row["clearance_mm"])
    raise AssertionError("the table ends with an open row")


@dataclass(frozen=True, slots=True)
class FrequencyBand:
    """The frequency at which data sheets state a figure, and the readings that count as taken there."""

    frequency_hz: float
    from_hz: float
    up_to_hz: float

    def holds(self, frequency_hz: float) -> bool:
        """Return whether a reading at this frequency belongs to the band."""
        return self.from_hz <= frequency_hz <= self.up_to_hz


@cache
def frequency_band(name: str) -> FrequencyBand:
    """Return the band "low" (100 and 120 Hz) or "high" (where switching parts are stated)."""
    row = next(row for row in table("measuring_frequencies") if row["band"] == name)
    highest = number(row, "up_to_hz")
    return FrequencyBand(float(row["frequency_hz"]), float(row["from_hz"]), math.inf if highest is None else highest)


@cache
def esr_window() -> tuple[float, float, str]:
    """Return the ESR window that an ESR-sensitive regulator usually needs, in Ω, and its source."""
    row = table("esr_windows")[0]
    return float(row["lowest_ohm"]), float(row["highest_ohm"]), row["source"]


@cache
def _can_heat(name: str) -> float:
    return next(float(row["value"]) for row in table("can_heat") if row["name"] == name)


def hot_class(category_c: float | None) -> bool:
    """Return whether an upper category temperature belongs to the class with the smaller rated rise."""
    return category_c is not None and category_c >= _can_heat("hot_class_from")


def rated_rise_k(hot_class: bool) -> float:
    """Return the core rise that rated ripple stands for, in K: of 105 °C parts or of 85 °C parts."""
    return _can_heat("rise_105" if hot_class else "rise_85")


def ripple_from_size(esr_ohm: float, diameter_mm: float, length_mm: float, hot_class: bool) -> float:
    """Return the ripple current in A that a can of this size and ESR carries at its rated rise."""
    surface = can.can_surface_cm2(diameter_mm, length_mm)
    heat = _can_heat("coefficient"), _can_heat("exponent")
    return float(can.ripple_for_rise_a(esr_ohm, surface, rated_rise_k(hot_class), *heat))


@cache
def film_volume_cm3(capacitance_f: float, rated_voltage_v: float) -> float:
    """Return the volume that a metallised film part of this charge usually takes; none is smaller for fewer volts."""
    row = next(row for row in table("usual_can") if row["kind"] == Kind.FILM)
    charge_mc = capacitance_f * max(rated_voltage_v, _lowest_film_v()) * 1000
    return max(charge_mc / float(row["charge_per_volume_mc_cm3"]), float(row["smallest_volume_cm3"]))


def _lowest_film_v() -> float:
    return next(float(row["value"]) for row in table("cv_density") if row["quantity"] == "lowest_film_rating")


@cache
def high_frequency_share() -> float:
    """Return the part of the 120 Hz ESR ceiling that good parts show at 100 kHz."""
    return next(
        float(row["value"]) for row in table("bench_constants") if row["name"] == "esr_high_frequency_fraction"
    )


@cache
def lead_diameter_mm(diameter_mm: float) -> float | None:
    """Return the usual lead diameter of a radial can, from the next larger can of the table."""
    for row in table("lead_wires"):
        if diameter_mm <= float(row["diameter_mm"]):
            return float(row["lead_diameter_mm"])
    return None


@cache
def radial_spacings_mm() -> tuple[float, ...]:
    """Return the lead spacings that radial cans are sold with, rising."""
    return tuple(sorted({float(r["lead_spacing_mm"]) for r in table("can_sizes") if r["style"] == "radial"}))


@dataclass(frozen=True, slots=True)
class LeakageLimit:
    """How a class of new parts limits leakage: a current, the formula in words, and the source."""

    limit_a: float
    words: str
    source: str


@cache
def leakage_limit(kind: Kind, mounting: Mounting, capacitance_f: float, rated_voltage_v: float) -> LeakageLimit:
    """Return the leakage limit of a new part of this kind and form."""
    row = _leakage_row(kind, mounting, rated_voltage_v)
    root, factor = number(row, "root_a"), float(row["factor_per_s"])
    offset, floor = float(row["offset_a"]), float(row["floor_a"])
    if root is not None:
        limit = float(leakage.root_leakage_limit_a(capacitance_f, rated_voltage_v, root))
        return LeakageLimit(limit, f"{plain(root * 1e6)}·√(C·V) µA", row["source"])
    limit = float(leakage.leakage_limit_a(capacitance_f, rated_voltage_v, factor, offset, floor))
    words = f"{plain(factor)}·C·V" + (f" + {plain(offset * 1e6)}" if offset else "") + " µA"
    return LeakageLimit(limit, words + (f" or {plain(floor * 1e6)} µA" if floor else ""), row["source"])


def _leakage_row(kind: Kind, mounting: Mounting, rated_voltage_v: float) -> Row:
    rows = {row["id"]: row for row in table("leakage_limits")}
    if kind is Kind.SOLID_TANTALUM:
        return rows["solid-tantalum"]
    if kind is Kind.NON_POLAR_ALUMINIUM:
        return rows["non-polar-smd" if mounting is Mounting.SMD_CAN else "non-polar-radial"]
    if mounting in (Mounting.SNAP_IN, Mounting.SCREW, Mounting.TWIST_LOCK):
        return rows["snap-in"]
    highest = number(rows["general"], "up_to_v")
    return rows["general" if highest is None or rated_voltage_v <= highest else "high-voltage"]
