"""What a merge means for the positions in it, and what the shop may change without asking."""

from __future__ import annotations

from collections.abc import Sequence

from recap.buying.candidates import drilled_mm
from recap.model import Judgement, Specification
from recap.units import farads, plain, volts


def merge_notes(members: Sequence[Sequence[Judgement]], merged: Specification) -> tuple[str, ...]:
    """Return one sentence for each way in which a line differs from what some of its positions asked for."""
    notes = []
    for judgements in members:
        spec = judgements[0].specification
        if spec is None:
            continue
        where = ", ".join(str(judgement.key) for judgement in judgements)
        if abs(merged.capacitance_f / spec.capacitance_f - 1) > 1e-6:
            change = (merged.capacitance_f / spec.capacitance_f - 1) * 100
            text = f"{change:+.0f} %".replace("-", "−")
            notes.append(f"{where}: {farads(merged.capacitance_f)} for {farads(spec.capacitance_f)} ({text})")
        if merged.rated_voltage_v > spec.rated_voltage_v:
            notes.append(f"{where}: {volts(merged.rated_voltage_v)} where {volts(spec.rated_voltage_v)} would do")
        if (drilled := drilled_mm(spec)) is not None and merged.lead_spacings_mm[:1] not in ((), (drilled,)):
            pitch = plain(merged.lead_spacings_mm[0])
            notes.append(f"{where}: form leads from {pitch} to {plain(drilled)} mm")
        if _stricter(merged.endurance_h, spec.endurance_h):
            notes.append(f"{where}: longer endurance than needed")
    return tuple(notes)


def _stricter(merged: float | None, own: float | None) -> bool:
    return merged is not None and own is not None and merged > own * (1 + 1e-9)


def may_differ(spec: Specification) -> tuple[str, ...]:
    """Return what may be changed at the counter without asking, and how far."""
    low, high = spec.capacitance_window_f
    allowed = [f"volts: higher, if the body stays within the size; never below {volts(spec.rated_voltage_v)}"]
    if high > low * (1 + 1e-9) and not spec.safety_classes:
        allowed.append(f"value: {farads(low)} to {farads(high)}")
    if spec.safety_classes:
        allowed.append("class: " + " or ".join(spec.safety_classes) + "; value unchanged")
    if spec.upper_category_temperature_c is not None:
        allowed.append(f"temperature: {plain(spec.upper_category_temperature_c)} °C or more")
    if spec.endurance_h is not None:
        allowed.append(f"endurance: {plain(spec.endurance_h)} h or more")
    if len(spec.lead_spacings_mm) > 1:
        others = ", ".join(plain(pitch) for pitch in spec.lead_spacings_mm[1:])
        allowed.append(f"lead spacing: {others} mm with formed leads")
    if len(spec.kinds) > 1:
        allowed.append("kind: ask before " + " or ".join(spec.kinds[1:]))
    allowed.append("maker: any known one; ESR and ripple compared only at the same frequency")
    return tuple(allowed)
