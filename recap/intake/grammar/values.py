"""What values and ratings exist: the knowledge that settles one reading against another."""

from __future__ import annotations

import math
from functools import cache

from recap.ruledata import table

HOTTEST_CLASSES_C = frozenset({55, 60, 65, 70, 75, 80, 85, 90, 95, 100, 105, 110, 115, 120, 125, 130})
HOTTEST_CLASSES_C |= {135, 140, 145, 150, 155, 175, 200}
USUAL_CLASSES_C = frozenset({85, 105, 125})
COLDEST_CLASSES_C = frozenset({-10, -20, -25, -30, -40, -55, -65})
# Ratings of double-layer backup parts, which no electrolytic carries.
DOUBLE_LAYER_V = frozenset({2.3, 2.7, 5.5})


@cache
def todays_ratings() -> frozenset[float]:
    """Return the rated voltages sold today."""
    return frozenset(float(row["rated_voltage_v"]) for row in table("rated_voltages"))


@cache
def common_ratings() -> frozenset[float]:
    """Return the rated voltages every maker sells."""
    return frozenset(float(row["rated_voltage_v"]) for row in table("rated_voltages") if row["common"] == "yes")


@cache
def known_ratings() -> frozenset[float]:
    """Return today's ratings and those no longer made."""
    return todays_ratings() | {float(row["rated_voltage_v"]) for row in table("obsolete_voltages")}


@cache
def _significands(series: str) -> frozenset[int]:
    digits = 100 if series in ("E48", "E96", "E192") else 10
    return frozenset(round(float(row["significand"]) * digits) for row in table("e_series") if row["series"] == series)


def in_series(value: float, series: str = "E12") -> bool:
    """Return whether the significant figures of a value stand in an E series.

    >>> in_series(4700.0), in_series(16.0)
    (True, False)
    """
    if value <= 0:
        return False
    scaled = value / 10.0 ** math.floor(math.log10(value)) * 10
    return abs(scaled - round(scaled)) < 1e-6 and round(scaled) % 100 in _significands(series)


# Round values of the time before the E series ruled.
_OLD_FIGURES = frozenset({10, 12, 15, 16, 20, 24, 25, 30, 32, 40, 50, 60, 64, 80})


def is_old_value(value: float) -> bool:
    """Return whether a value was usual before the E series."""
    if value <= 0:
        return False
    scaled = value / 10.0 ** math.floor(math.log10(value)) * 10
    return abs(scaled - round(scaled)) < 1e-6 and round(scaled) in _OLD_FIGURES


@cache
def diameters_mm() -> frozenset[float]:
    """Return the can diameters of the size table."""
    return frozenset(float(row["diameter_mm"]) for row in table("can_sizes"))


@cache
def shortest_mm(diameter_mm: float) -> float | None:
    """Return the shortest can made in a diameter, or None where the table has no such diameter."""
    heights = [float(row["shortest_mm"]) for row in table("can_sizes") if float(row["diameter_mm"]) == diameter_mm]
    return min(heights) if heights else None


@cache
def pitch_mm(diameter_mm: float) -> float | None:
    """Return the nominal lead spacing of a radial can, or None where the table has none."""
    found = [
        float(row["lead_spacing_mm"])
        for row in table("can_sizes")
        if row["style"] == "radial" and float(row["diameter_mm"]) == diameter_mm
    ]
    return found[0] if found else None


@cache
def tolerance_letters() -> dict[str, tuple[float, float]]:
    """Return the tolerance in per cent that each letter stands for."""
    return {row["letter"]: (float(row["minus_pct"]), float(row["plus_pct"])) for row in table("tolerance_letters")}


@cache
def _voltage_letters() -> dict[str, tuple[str, str]]:
    return {row["letter"]: (row["multiplier"], row["alone_v"]) for row in table("voltage_codes")}


def coded_voltage(code: str) -> float | None:
    """Return the rated voltage of a two-character code or a chip's single letter, or None.

    >>> coded_voltage("1C"), coded_voltage("0J"), coded_voltage("V")
    (16.0, 6.3, 35.0)
    """
    multiplier, alone = _voltage_letters().get(code[-1].upper(), ("", ""))
    if len(code) == 1:
        return float(alone) if alone else None
    return round(float(multiplier) * 10.0 ** int(code[0]), 9) if multiplier else None
