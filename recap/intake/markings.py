"""Cells that hold what is marked on a body: the one grammar reads them."""

from __future__ import annotations

import re

from recap.intake.cells import Value, written
from recap.intake.columns import Column
from recap.intake.quantities import COLUMN_UNITS, NotReadError, model_factor, read_quantity
from recap.intake.quantities import tidy as tidy_number
from recap.intake.readings import Finding, Reading
from recap.units import plain

MARKED = {
    "capacitance": "not-a-capacitance",
    "voltage": "not-a-voltage",
    "tolerance": "not-a-tolerance",
    "temperature": "not-a-temperature",
    "endurance": "not-an-endurance",
    "size": "not-a-size",
    "length": "not-a-size",
    "spacing": "not-a-size",
    "designators": "",
    "date": "",
}


def read_marked(value: Value, column: Column) -> Reading:
    """Return the reading of a cell by the grammar of markings."""
    text = written(value)
    if column.reads == "designators":
        match = re.fullmatch(r"([A-Za-z]+)(\d+)\s*[-–]\s*(?:[A-Za-z]+)?(\d+)", text)
        if match and int(match[3]) > int(match[2]):
            names = tuple(f"{match[1]}{n}" for n in range(int(match[2]), int(match[3]) + 1))
            return Reading(names, ", ".join(names))
        names = tuple(name.strip() for name in re.split(r",|;|\band\b", text) if name.strip())
        return Reading(names, ", ".join(names), plain=len(names) == 1)
    if column.reads == "date":
        return Reading(text, text, plain=True)
    if column.reads == "tolerance":
        match = re.fullmatch(r"±?\s*(\d+)\s*%?", text)
        if match:
            part = int(match[1]) / 100
            return Reading((-part, part), f"±{match[1]} %")
    tidy = re.sub(r"^(\d+)[uµμ](\d+)$", r"\1.\2 uF", text)
    try:
        if isinstance(value, float):
            number = tidy_number(value * (model_factor(column.bare_unit, column.unit) or 1.0))
        else:
            number = read_quantity(tidy, column.bare_unit, column.unit)
    except NotReadError as error:
        code = "ambiguous" if error.ambiguous else MARKED[column.reads]
        return Reading(None, "", "refused", str(error), findings=(Finding(code, str(error)),))
    shown = f"{plain(number / COLUMN_UNITS[column.unit][1], 6)} {column.unit}"
    return Reading(number, shown, plain=isinstance(value, float))
