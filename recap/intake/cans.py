"""What the can's size says about the other cells of its row."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from recap.intake.can_size import Fit, size_check, snap_size
from recap.intake.readings import Finding, Reading
from recap.model import WET_KINDS, Kind, Mounting, Role
from recap.units import farads

GRID_MOUNTINGS = (Mounting.RADIAL, Mounting.SNAP_IN)
SIZED_KINDS = (*WET_KINDS, Kind.UNKNOWN)


def settle(reading: Reading, fields: Mapping[str, Any]) -> Reading:
    """Choose among the readings of a capacitance by the can's size, where only one of them can be true."""
    size = _size(fields)
    if size is None or len(reading.alternatives) < 2 or fields.get("body.kind", Kind.UNKNOWN) not in SIZED_KINDS:
        return reading
    possible = [value for value in reading.alternatives if size_check(value, *size).fit is Fit.PLAUSIBLE]
    if len(possible) != 1:
        return reading
    chosen = possible[0]
    others = " or ".join(farads(value) for value in reading.alternatives)
    because = f"of {others} only {farads(chosen)} suits a can of {size[1]:g} x {size[2]:g} mm"
    finding = Finding("likely-reading", f"taken as {farads(chosen)}: {because}", "correct it if that is wrong")
    kept = tuple(item for item in reading.findings if item.code == "date-damage")
    return replace(
        reading, value=chosen, shown=farads(chosen), certainty="likely", because=because, findings=(*kept, finding)
    )


def snap(fields: dict[str, Any]) -> Finding | None:
    """Put the nominal size in the place of a measured one and say so."""
    mounting = fields.get("body.mounting", Mounting.UNKNOWN)
    diameter, spacing = fields.get("body.diameter_mm"), fields.get("body.lead_spacing_mm")
    both = diameter is not None and spacing is not None
    if mounting not in GRID_MOUNTINGS and not (mounting is Mounting.UNKNOWN and both):
        return None
    if fields.get("body.kind", Kind.UNKNOWN) not in SIZED_KINDS or (diameter is None and spacing is None):
        return None
    snapped = _snapped(diameter, spacing)
    if not snapped.changed:
        return None
    for name, value in (("diameter_mm", snapped.diameter_mm), ("lead_spacing_mm", snapped.lead_spacing_mm)):
        if value is not None:
            fields[f"body.{name}"] = value
    return Finding("size-snapped", snapped.because)


def check(fields: Mapping[str, Any], sections: tuple[float, ...] = ()) -> Finding | None:
    """Say when capacitance, volts and size cannot all be true."""
    kind = fields.get("body.kind", Kind.UNKNOWN)
    size = _size(fields)
    value = sum(sections) if sections else fields.get("marked.capacitance_f")
    double_layer = fields.get("role") is Role.BACKUP
    if size is None or value is None or kind not in SIZED_KINDS or double_layer:
        return None
    return _doubt(kind, value, *size)


@lru_cache(maxsize=65536)
def _doubt(kind: Kind, value: float, volts: float, diameter: float, length: float) -> Finding | None:
    verdict = size_check(value, volts, diameter, length)
    if verdict.fit is Fit.TOO_SPARSE and kind is Kind.UNKNOWN:
        return None
    if verdict.fit is Fit.PLAUSIBLE and not verdict.suspicions:
        return None
    return Finding("size-doubt", verdict.because, "; ".join(verdict.suspicions[:2]))


def _size(fields: Mapping[str, Any]) -> tuple[float, float, float] | None:
    values = (fields.get("marked.rated_voltage_v"), fields.get("body.diameter_mm"), fields.get("body.length_mm"))
    return None if any(value is None for value in values) else values  # type: ignore[return-value]


_snapped = lru_cache(maxsize=4096)(snap_size)
