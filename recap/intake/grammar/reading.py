"""What a reading is, and how it is written so that it reads back the same."""

from __future__ import annotations

from dataclasses import dataclass, fields
from decimal import Decimal
from enum import StrEnum
from typing import Any

from recap.model.vocabulary import Kind, Mounting


class Certainty(StrEnum):
    """How sure a reading is: ambiguous readings have to be asked about."""

    CERTAIN = "certain"
    LIKELY = "likely"
    AMBIGUOUS = "ambiguous"


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read a marking; what the text does not say is None or empty."""

    capacitance_f: float | None = None
    sections_f: tuple[float, ...] = ()
    rated_voltage_v: float | None = None
    ac: bool | None = None
    tolerance_pct: tuple[float, float] | None = None
    diameter_mm: float | None = None
    length_mm: float | None = None
    lead_spacing_mm: float | None = None
    temperature_c: float | None = None
    endurance_h: float | None = None
    quantity: int | None = None
    designators: tuple[str, ...] = ()
    date: str | None = None
    certainty: Certainty = Certainty.AMBIGUOUS
    because: str = ""

    def as_json(self) -> dict[str, Any]:
        """Return the reading as plain JSON values."""
        document: dict[str, Any] = {}
        for each in fields(self):
            value = getattr(self, each.name)
            document[each.name] = list(value) if isinstance(value, tuple) else value
        document["certainty"] = str(self.certainty)
        return document

    @property
    def facts(self) -> dict[str, Any]:
        """Return the fields that the text gives, without certainty and reason."""
        return {
            each.name: value
            for each in fields(self)
            if each.name not in ("certainty", "because") and (value := getattr(self, each.name)) not in (None, ())
        }


@dataclass(frozen=True, slots=True)
class Marking:
    """A text with its readings, likeliest first, or the reason why it has none.

    `kind`, `mounting`, `safety_class` and `case_code` come from words beside the numbers, `ripple_current_a` and
    `ripple_frequency_hz` from a ripple rating; `notation` names the rules used, `confused_with` what else they
    could mean.
    """

    text: str
    readings: tuple[Reading, ...] = ()
    refused: str | None = None
    kind: Kind | None = None
    mounting: Mounting | None = None
    safety_class: str | None = None
    case_code: str | None = None
    ripple_current_a: float | None = None
    ripple_frequency_hz: float | None = None
    surge_voltage_v: float | None = None
    lower_bound: bool = False
    notation: tuple[str, ...] = ()
    confused_with: tuple[str, ...] = ()

    @property
    def best(self) -> Reading | None:
        """Return the likeliest reading."""
        return self.readings[0] if self.readings else None

    @property
    def certain(self) -> bool:
        """Return whether the text can be taken as read."""
        return len(self.readings) == 1 and self.readings[0].certainty is Certainty.CERTAIN

    def as_json(self) -> dict[str, Any]:
        """Return the entry that `recap calc marking --json` prints."""
        return {
            "text": self.text,
            "readings": [reading.as_json() for reading in self.readings],
            "refused": self.refused,
        }


def _figures(value: Decimal) -> str:
    text = f"{value:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
        # Three decimals could be read as thousands.
        if len(text.partition(".")[2]) == 3:
            text += "0"
    return text


def _number(value: float, shift: int = 0) -> str:
    return _figures(Decimal(repr(value)).scaleb(shift))


def _farads(value: float) -> str:
    for unit, shift, least in (("µF", 6, 1e-7), ("nF", 9, 1e-9), ("pF", 12, 0.0)):
        if value >= least:
            figures = _number(value, shift)
            if unit != "nF" or value < 1e-6:
                return f"{figures} {unit}"
    raise AssertionError("unreachable")


def format_marking(reading: Reading) -> str:
    """Return a reading as one line of text that reads back as the same.

    >>> format_marking(Reading(capacitance_f=4.7e-5, rated_voltage_v=16.0, temperature_c=105.0))
    '47 µF 16 V 105 °C'
    """
    parts: list[str] = []
    if reading.designators:
        parts.append(", ".join(reading.designators))
    elif reading.quantity is not None:
        parts.append("not fitted" if reading.quantity == 0 else f"{reading.quantity} pcs")
    if reading.sections_f:
        parts.append(" + ".join(_farads(value) for value in reading.sections_f))
    elif reading.capacitance_f is not None:
        parts.append(_farads(reading.capacitance_f))
    current = {None: "", True: " AC", False: " DC"}[reading.ac]
    if reading.rated_voltage_v is not None:
        parts.append(f"{_number(reading.rated_voltage_v)} V{current}")
    elif current:
        parts.append(current.strip())
    if reading.tolerance_pct:
        low, high = (_number(abs(value)) for value in reading.tolerance_pct)
        if reading.designators and len(parts) == 1:
            parts[0] += ":"  # C1 -20 would be a range
        parts.append(f"-{low}/+{high} %")
    for label, value in (
        ("diameter", reading.diameter_mm),
        ("length", reading.length_mm),
        ("lead spacing", reading.lead_spacing_mm),
    ):
        if value is not None:
            parts.append(f"{label} {_number(value)} mm")
    if reading.temperature_c is not None:
        parts.append(f"{_number(reading.temperature_c)} °C")
    if reading.endurance_h is not None:
        parts.append(f"{_number(reading.endurance_h)} h")
    if reading.date is not None:
        parts.append(f"date {reading.date}")
    return " ".join(parts)
