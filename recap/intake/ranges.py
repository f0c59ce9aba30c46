"""Numbers outside anything that occurs are reported, not used."""

from __future__ import annotations

from recap.intake.columns import Column
from recap.intake.quantities import COLUMN_UNITS
from recap.intake.readings import Finding
from recap.units import plain

UNIT_SHOWN = {"uF": "µF", "uA": "µA", "ohm": "Ω", "degC": "°C", "percent": "%", "year": "years"}

SMALLEST = 1e-9
"""In a column's own unit; sums with less than that would overflow."""


def shown(number: float, column: Column) -> str:
    """Return a number of the model in its column's unit."""
    own = number / COLUMN_UNITS[column.unit][1]
    return f"{plain(own, 6)} {UNIT_SHOWN.get(column.unit, column.unit)}"


def out_of_range(number: float, column: Column) -> Finding | None:
    """Return what to say about a number, in the model's unit, that is outside its column's range."""
    own = number / COLUMN_UNITS[column.unit][1]
    low, high = column.low, column.high
    if 0 < abs(own) < SMALLEST:
        message = f"{own:.3g} {column.unit} is smaller than anything that can be measured; it is not used"
        return Finding("out-of-range", message, "check the number, its unit and its column")
    if (low is None or own >= low * (1 - 1e-9)) and (high is None or own <= high * (1 + 1e-9)):
        return None
    unit = UNIT_SHOWN.get(column.unit, column.unit)
    return Finding(
        "out-of-range",
        f"{plain(own, 6)} {unit} is outside {plain(low or 0, 6)} to {plain(high or 0, 6)} {unit}; it is not used",
        "check the number, its unit and its column",
    )


def percent_format(value: float) -> Finding:
    """Return what to say about a fraction under a heading of per cent: a spreadsheet keeps 5 % as 0.05."""
    message = f"is {value:g} here, which a spreadsheet keeps for {plain(value * 100)} %; taken as that"
    return Finding("percent-format", message, "write the number without the per cent sign")
