"""Read what is written on a capacitor or in a list."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from recap.calculators.answer import Answer
from recap.intake.notation import Certainty, Marking, Reading, read_marking
from recap.units import farads, hours, plain, quoted, volts

SAFETY = "A mains capacitor (class X or Y, or an AC rating) is never replaced by an electrolytic."


def marking(texts: Sequence[str]) -> Answer:
    """Return the readings of each text, likeliest first, or the reason why there is none."""
    found = [read_marking(text) for text in texts]
    lines = [line for entry in found for line in _lines(entry)]
    mains = any(reading.ac for entry in found for reading in entry.readings)
    return Answer(
        result=[_fields(entry) for entry in found],
        lines=tuple(lines),
        cautions=(SAFETY,) if mains else (),
    )


def _fields(entry: Marking) -> dict[str, Any]:
    mains = any(reading.ac for reading in entry.readings)
    return {**entry.as_json(), **_words(entry), "caution": SAFETY if mains else None}


def _words(entry: Marking) -> dict[str, str | None]:
    """Return what words beside the numbers say."""
    said = {
        "kind": entry.kind,
        "mounting": entry.mounting,
        "safety_class": entry.safety_class,
        "case_code": entry.case_code,
    }
    return {name: str(word) if word else None for name, word in said.items()}


def _lines(entry: Marking) -> list[str]:
    if not entry.readings:
        return [f'"{quoted(entry.text)}"', f"  refused: {quoted(entry.refused or '', 200)}"]
    words = [word for word in _words(entry).values() if word]
    beside = f" ({', '.join(words)})" if words else ""
    lines = [f'"{quoted(entry.text)}"{beside}']
    for number, reading in enumerate(entry.readings, 1):
        lead = "  " if len(entry.readings) == 1 else f"  {number}. "
        lines.append(f"{lead}{describe(reading)}: {reading.certainty}")
        lines.append(f"{' ' * len(lead)}because {quoted(reading.because, 400)}")
    if any(reading.certainty is not Certainty.CERTAIN for reading in entry.readings):
        lines.append("  ask before using it" if len(entry.readings) > 1 else "  check before using it")
    return lines


def describe(reading: Reading) -> str:
    """Return what a reading says, for people."""
    parts: list[str] = []
    if reading.designators:
        parts.append(", ".join(reading.designators[:12]) + (" …" if len(reading.designators) > 12 else ""))
    if reading.quantity is not None and reading.quantity != len(reading.designators):
        parts.append("not fitted" if reading.quantity == 0 else f"{reading.quantity} pieces")
    if reading.sections_f:
        parts.append("sections " + " + ".join(farads(value) for value in reading.sections_f))
    if reading.capacitance_f is not None:
        parts.append(farads(reading.capacitance_f))
    current = {None: "", True: " AC", False: " DC"}[reading.ac]
    if reading.rated_voltage_v is not None:
        parts.append(volts(reading.rated_voltage_v) + current)
    elif current:
        parts.append(current.strip())
    if reading.tolerance_pct:
        low, high = reading.tolerance_pct
        parts.append(f"±{high:g} %" if low == -high else f"{low:+g}/{high:+g} %")
    for value, name in (
        (reading.diameter_mm, "diameter"),
        (reading.length_mm, "length"),
        (reading.lead_spacing_mm, "lead spacing"),
    ):
        if value is not None:
            parts.append(f"{name} {plain(value, 4)} mm")
    if reading.temperature_c is not None:
        parts.append(f"{plain(reading.temperature_c)} °C")
    if reading.endurance_h is not None:
        parts.append(hours(reading.endurance_h))
    if reading.date:
        parts.append(f"made {reading.date}")
    return ", ".join(parts) or "no value"
