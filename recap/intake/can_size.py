"""Can sizes: measured ones snap to the nominal grid, and the volume tells whether a value can be true."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from recap.intake.grammar.values import in_series, known_ratings
from recap.ruledata import number, table
from recap.units import farads, plain, volts


class Fit(StrEnum):
    """Whether a capacitance and voltage suit a can."""

    PLAUSIBLE = "plausible"
    TOO_DENSE = "too dense"
    TOO_SPARSE = "too sparse"


@dataclass(frozen=True, slots=True)
class SnappedSize:
    """A nominal size found from measured ones; `because` says what was changed."""

    diameter_mm: float | None
    lead_spacing_mm: float | None
    changed: bool
    because: str


@dataclass(frozen=True, slots=True)
class SizeVerdict:
    """What the volume of a can says of its value; `suspicions` name what may have gone wrong."""

    fit: Fit
    charge_per_volume_mc_cm3: float
    volume_cm3: float
    suspicions: tuple[str, ...]
    because: str


@cache
def _limit(quantity: str) -> float:
    value = next(number(row, "value") for row in table("cv_density") if row["quantity"] == quantity)
    assert value is not None
    return value


@cache
def _grid() -> tuple[tuple[float, float | None], ...]:
    """Return diameter and lead spacing of the radial and snap-in sizes."""
    return tuple(
        (float(row["diameter_mm"]), number(row, "lead_spacing_mm"))
        for row in table("can_sizes")
        if row["style"] in ("radial", "snap-in")
    )


def snap_size(diameter_mm: float | None, lead_spacing_mm: float | None = None) -> SnappedSize:
    """Return the nominal radial size of a measured one; a sleeve adds to the diameter, never takes away.

    >>> snapped = snap_size(8.3, 3.2)
    >>> snapped.diameter_mm, snapped.lead_spacing_mm, snapped.because
    (8.0, 3.5, '8.3 mm with 3.2 mm means 8 / 3.5')
    """
    over, aside = _limit("snap_diameter_over"), _limit("snap_lead_spacing")
    tiny = 1e-9
    fitting = [
        (nominal, spacing)
        for nominal, spacing in _grid()
        if (diameter_mm is None or -tiny <= diameter_mm - nominal <= over + tiny)
        and (lead_spacing_mm is None or (spacing is not None and abs(spacing - lead_spacing_mm) <= aside + tiny))
    ]
    if not fitting or (diameter_mm is None and lead_spacing_mm is None):
        return SnappedSize(diameter_mm, lead_spacing_mm, False, "no nominal size lies near enough; kept as measured")
    best = min(fitting, key=lambda size: _distance(size, diameter_mm, lead_spacing_mm))
    nominal = best[0] if diameter_mm is not None else None
    spacing = best[1] if lead_spacing_mm is not None else None
    if (nominal, spacing) == (diameter_mm, lead_spacing_mm):
        return SnappedSize(nominal, spacing, False, "already a nominal size")
    measured = " with ".join(f"{value:g} mm" for value in (diameter_mm, lead_spacing_mm) if value is not None)
    meant = " / ".join(f"{value:g}" for value in (nominal, spacing) if value is not None)
    return SnappedSize(nominal, spacing, True, f"{measured} means {meant}")


def _distance(size: tuple[float, float | None], diameter_mm: float | None, lead_spacing_mm: float | None) -> float:
    away = abs(size[0] - diameter_mm) if diameter_mm is not None else 0.0
    return away + (abs((size[1] or 0.0) - lead_spacing_mm) if lead_spacing_mm is not None else 0.0)


def size_check(capacitance_f: float, rated_voltage_v: float, diameter_mm: float, length_mm: float) -> SizeVerdict:
    """Hold C·V against the can's volume, and say what would explain a value that cannot be true.

    >>> size_check(2200e-6, 16.0, 12.5, 20.0).fit.value
    'plausible'
    >>> size_check(22e-3, 16.0, 8.0, 11.5).suspicions[0]
    'the prefix is wrong: 22 µF would suit'
    """
    density, volume = _density(capacitance_f, rated_voltage_v, diameter_mm, length_mm)
    fit = _judge(density, volume)
    shown = f"{farads(capacitance_f)} {volts(rated_voltage_v)} in {diameter_mm:g} x {length_mm:g} mm"
    because = f"{shown} is {plain(density)} mC in each cm³"
    swapped = _swapped(capacitance_f, rated_voltage_v)
    if fit is Fit.PLAUSIBLE:
        return SizeVerdict(fit, density, volume, swapped, because)
    limit = _limit("most_charge_per_volume" if fit is Fit.TOO_DENSE else "least_charge_per_volume")
    word = "more than any can holds" if fit is Fit.TOO_DENSE else "far less than such a can holds"
    suspicions = swapped + _suspicions(capacitance_f, rated_voltage_v, diameter_mm, length_mm)
    suspicions = suspicions or ("a size or value is wrong, or the can is not what it says",)
    return SizeVerdict(fit, density, volume, suspicions, f"{because}, {word} (limit {plain(limit)})")


def _density(capacitance_f: float, rated_voltage_v: float, diameter_mm: float, length_mm: float) -> tuple[float, float]:
    volume = math.pi / 4 * diameter_mm**2 * length_mm / 1000
    return capacitance_f * rated_voltage_v * 1000 / volume, volume


def _judge(density: float, volume: float) -> Fit:
    if density > _limit("most_charge_per_volume"):
        return Fit.TOO_DENSE
    if volume > _limit("small_can_volume") and density < _limit("least_charge_per_volume"):
        return Fit.TOO_SPARSE
    return Fit.PLAUSIBLE


def _suspicions(capacitance_f: float, rated_voltage_v: float, diameter_mm: float, length_mm: float) -> tuple[str, ...]:
    """Return the slips that would make the value suit the can."""

    def suits(capacitance: float, rated: float, diameter: float = diameter_mm, length: float = length_mm) -> bool:
        return _judge(*_density(capacitance, rated, diameter, length)) is Fit.PLAUSIBLE

    found = [
        f"the prefix is wrong: {farads(capacitance_f * factor)} would suit"
        for factor in (1e-3, 1e3)
        if suits(capacitance_f * factor, rated_voltage_v)
    ]
    for factor in (0.01, 0.1, 10.0, 100.0):
        if suits(capacitance_f * factor, rated_voltage_v):
            found.append(f"a decimal point was lost: {farads(capacitance_f * factor)} would suit")
            break
    if diameter_mm > length_mm and suits(capacitance_f, rated_voltage_v, length_mm, diameter_mm):
        found.append("diameter and length are swapped")
    for factor, name in ((25.4, "the size is in inches"), (10.0, "the size is in cm")):
        if max(diameter_mm, length_mm) < 15 and suits(
            capacitance_f, rated_voltage_v, diameter_mm * factor, length_mm * factor
        ):
            found.append(name)
    return tuple(found)


def _swapped(capacitance_f: float, rated_voltage_v: float) -> tuple[str, ...]:
    """Return a suspicion when the volts are a value and the µF a rating: C·V cannot tell, for it stays the same."""
    micro = round(capacitance_f * 1e6, 6)
    if rated_voltage_v in known_ratings() or micro not in known_ratings() or not in_series(rated_voltage_v):
        return ()
    return (f"capacitance and volts are swapped: {farads(rated_voltage_v * 1e-6)} {volts(micro)} is usual",)
