"""Figures of parts and demands in words."""

from __future__ import annotations

import math

from recap.model.part import Part
from recap.model.requirement import Relation, Requirement, Value
from recap.units import farads, plain, si, volts

_NAMES = {
    "capacitance_f": "capacitance",
    "rated_voltage_v": "rated voltage",
    "ac_voltage_v": "AC rating",
    "upper_category_temperature_c": "upper temperature",
    "lower_category_temperature_c": "lower temperature",
    "endurance_h": "endurance",
    "estimated_life_h": "estimated life",
    "ripple_current_a": "ripple",
    "esr_ohm": "ESR",
    "lead_spacing_mm": "lead spacing",
    "lead_diameter_mm": "lead diameter",
    "diameter_mm": "diameter",
    "length_mm": "length",
    "height_with_vent_mm": "height with vent",
    "safety_class": "safety class",
    "leakage_a": "leakage",
}
_SIGNS = {Relation.AT_LEAST: "≥", Relation.AT_MOST: "≤", Relation.EXACTLY: "=", Relation.ONE_OF: ""}


def name_of(quantity: str, frequency_hz: float | None = None) -> str:
    """Return a quantity in words, with its frequency.

    >>> name_of("ripple_current_a", 100e3)
    'ripple at 100 kHz'
    """
    name = _NAMES.get(quantity, quantity.replace("_", " "))
    return name if frequency_hz is None else f"{name} at {si(frequency_hz, 'Hz')}"


def figure(value: float | str | None, unit: str) -> str:
    """Return one figure with its unit; "unknown" for none."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return "unknown"
    if isinstance(value, str):
        return value
    if unit == "F":
        return farads(value)
    if unit == "V":
        return volts(value)
    if unit in ("A", "Ω", "Hz"):
        return si(value, unit)
    return f"{plain(value)} {unit}".strip().replace("-", "−")


def demand(relation: Relation, value: Value, unit: str) -> str:
    """Return a demand as a sign and a figure.

    >>> demand(Relation.AT_LEAST, 16.0, "V"), demand(Relation.ONE_OF, (5.0, 7.5), "mm")
    ('≥ 16 V', '5 or 7.5 mm')
    """
    if isinstance(value, tuple):
        *firsts, last = (figure(item, "") for item in value)
        return (f"{', '.join(firsts)} or {last}" if firsts else last) + (f" {unit}" if unit else "")
    if isinstance(value, str):
        return value
    return f"{_SIGNS[relation]} {figure(value, unit)}".strip()


def asked(item: Requirement) -> str:
    """Return a demand in words, such as "ripple at 100 kHz at least 1.2 A"."""
    words = {Relation.AT_LEAST: "at least ", Relation.AT_MOST: "at most "}.get(item.relation, "")
    value = (
        demand(Relation.ONE_OF, item.value, item.unit)
        if isinstance(item.value, tuple)
        else figure(item.value, item.unit)
    )
    return f"{name_of(item.quantity, item.frequency_hz)} {words}{value}"


def describe(part: Part) -> str:
    """Return a part in one line, as somebody would write it down."""
    body = ""
    if part.diameter_mm is not None:
        body = (
            f"⌀{plain(part.diameter_mm)}" + (f"×{plain(part.length_mm)}" if part.length_mm is not None else "") + " mm"
        )
    items = (
        part.mpn or part.order_code,
        figure(part.capacitance_f, "F") if part.capacitance_f is not None else "",
        figure(part.rated_voltage_v, "V") if part.rated_voltage_v is not None else "",
        f"{figure(part.ac_voltage_v, 'V')} AC" if part.ac_voltage_v is not None else "",
        part.safety_class,
        part.kind or "",
        part.mounting or "",
        body,
        f"pitch {plain(part.lead_spacing_mm)} mm" if part.lead_spacing_mm is not None else "",
        f"{plain(part.upper_category_temperature_c)} °C" if part.upper_category_temperature_c is not None else "",
        f"{plain(part.endurance_h)} h" if part.endurance_h is not None else "",
        _at(part.ripple_low_a, "A", part.ripple_low_hz),
        _at(part.ripple_high_a, "A", part.ripple_high_hz),
        _at(part.esr_low_ohm, "Ω", part.esr_low_hz),
        _at(part.esr_high_ohm, "Ω", part.esr_high_hz),
    )
    return ", ".join(item for item in items if item)


def _at(value: float | None, unit: str, hz: float | None) -> str:
    if value is None:
        return ""
    return f"{si(value, unit)} at {si(hz, 'Hz')}" if hz is not None else f"{si(value, unit)} at no stated frequency"
